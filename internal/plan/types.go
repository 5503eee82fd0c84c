package plan

import (
	"time"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// Plan is one request laid out: what goes into which vessel, and the clocks.
// Every figure is copied from the book, so that a batch keeps the recipe as it
// was when it started.
type Plan struct {
	Title       string // "rhubarb gin"
	House       bool   // a house recipe; false = by the class default
	Class       string
	Solid       string
	Base        string
	Family      book.Family
	Volume      quantity.Volume // liquid asked for, over all runs
	VolumeSaid  bool            // false = the house batch
	Runs        []Run           // at least one
	Prep        string
	Choose      string
	Use         string
	Temp        book.TempRange
	Swirl       time.Duration // after each charger
	Rest        book.Span
	Settle      time.Duration
	StrainFirst bool
	Contact     time.Duration
	Clear       time.Duration // 0 = none
	JudgeAfter  time.Duration
	Gentle      bool
	Vent        book.Vent    // slow where the pieces are kept
	Product     book.Product // what is kept: the yield is a volume, or what the solid weighs drained
	Storage     string
	Allergens   []string
	Cycles      int // charged, vented empty and charged again so often; 0 or 1 = once
	// SignOff is why a manager has to answer for the solid; empty = nobody has to.
	SignOff string
	Steps   []Step
	Notes   []Note
	Figures Figures
	// Last are the last results of this recipe, the latest first; Proposal is what
	// they speak for, nil = nothing.
	Last     []Result
	Proposal *Proposal
}

// Rounds gives how often the vessel is used that is used most.
func (p Plan) Rounds() int {
	rounds := 1
	for _, r := range p.Runs {
		rounds = max(rounds, r.Figures.Round)
	}
	return rounds
}

// Run is one vessel's part of a plan.
type Run struct {
	Vessel   string
	Liquid   quantity.Volume
	Solids   []Solid
	Chargers int
	Charge   quantity.Mass // of gas, all chargers together
	Figures  RunFigures
}

// Solid is one weighed solid.
type Solid struct {
	Name string
	Mass quantity.Mass
	Prep string
}

// Step is one thing to do, at a span from the first charger going in.
type Step struct {
	At   time.Duration
	Do   StepKind
	Note NoteCode // the safety note that goes with it; empty = none
	N    int      // which charger, for a charge
}

// StepKind is what a step asks to do.
type StepKind string

// The steps of a plan, in the order of a batch.
const (
	Weigh  StepKind = "weigh"
	Fill   StepKind = "fill"
	Charge StepKind = "charge"
	Swirl  StepKind = "swirl"
	Rest   StepKind = "rest"
	Vent   StepKind = "vent"
	Empty  StepKind = "empty" // confirmed before it is charged again
	Settle StepKind = "settle"
	Strain StepKind = "strain"
	Drain  StepKind = "drain" // the pieces are kept: in place of straining
	Clear  StepKind = "clear"
	Label  StepKind = "label"
	Store  StepKind = "store"
)

// Note is one thing to know, with the values its sentence needs.
type Note struct {
	Code   NoteCode
	Vessel string          `cbor:",omitempty"`
	Volume quantity.Volume `cbor:",omitempty"`
	Count  int             `cbor:",omitempty"`
	Name   string          `cbor:",omitempty"`
	Span   time.Duration   `cbor:",omitempty"`
}

// NoteCode names a note; the room voice holds its sentence.
type NoteCode string

// The notes. The safety notes belong to a step and are never left out.
const (
	NoteHouseBatch   NoteCode = "house batch"   // no volume said: Volume is the house batch
	NoteNotHouse     NoteCode = "not house"     // by the class default, not a house recipe
	NoteFewerCharges NoteCode = "fewer charges" // Count chargers: the limit of Vessel
	NoteWeaker       NoteCode = "weaker"        // a litre vessel on Count chargers comes out weaker than the ratio was proven
	NoteNoBrim       NoteCode = "no brim"       // Vessel's brim is not measured: solids count to the line, and Volume is guessed
	NoteNoLimit      NoteCode = "no limit"      // Vessel's charger limit is not entered: one charger
	NoteShortContact NoteCode = "short contact" // Span from filling to straining
	NoteStrainFirst  NoteCode = "strain first"
	NoteStandClear   NoteCode = "stand clear" // Span of standing
	NoteAllergen     NoteCode = "allergen"    // Name
	NoteGentle       NoteCode = "gentle"
	NoteCycles       NoteCode = "cycles" // charged Count times, empty between; one cycle is timed here
	NoteWarm         NoteCode = "warm"
	NoteStrong       NoteCode = "strong"      // 50 % and up, or the liquid at its caution flash point
	NoteIrritant     NoteCode = "irritant"    // the spray of Name hurts eyes
	NoteAcid         NoteCode = "acid"        // acid, and the metal of Vessel is not entered
	NotePowder       NoteCode = "powder"      // Name clogs the valve
	NoteCaution      NoteCode = "caution"     // Name is a botanical to limit or to warn of
	NoteFoams        NoteCode = "foams"       // Volume is what the jug should hold
	NoteNearlyFull   NoteCode = "nearly full" // little headspace is left in Vessel
	NoteInsulated    NoteCode = "insulated"   // Vessel tells the hand nothing of what is inside
	NoteGasLeaves    NoteCode = "gas leaves"  // the rest of the gas leaves within Span of the vent
	NoteSlowVent     NoteCode = "slow vent"   // in short presses, so that the liquid stays in the pieces
	NoteKeepSolid    NoteCode = "keep solid"  // Name is kept, and the liquid is not used again
	NoteSameShift    NoteCode = "same shift"  // best within the shift
	NoteHoldsAlcohol NoteCode = "holds alcohol"
	NoteSignOff      NoteCode = "sign off" // a manager has answered for Name

	SafeFill   NoteCode = "safe fill"
	SafeCharge NoteCode = "safe charge"
	SafeSwirl  NoteCode = "safe swirl"
	SafeRest   NoteCode = "safe rest"
	SafeVent   NoteCode = "safe vent"
	SafeSlow   NoteCode = "safe slow vent" // what goes with a vent that is slow
	SafeEmpty  NoteCode = "safe empty"
	SafeSettle NoteCode = "safe settle"
	SafeStrain NoteCode = "safe strain"
	SafeDrain  NoteCode = "safe drain"
	SafeClear  NoteCode = "safe clear"
	SafeLabel  NoteCode = "safe label"
	SafeStore  NoteCode = "safe store"
)

// Problem says why no plan was made and what works instead.
type Problem struct {
	Code   ProblemCode
	Vessel string
	Volume quantity.Volume // liquid asked for in one run
	Count  int
	Name   string
	Rest   book.Span      // what the rest may be, for RestOutside
	Temp   book.TempRange // what the liquid may be, for TempOutside and, by its Max, TooHot
	// Bar is the estimate in whole bar that lies above the limit Stamp of the
	// vessel, for OverStamp.
	Bar, Stamp int
	Range      *quantity.RangeError // for BadFigure
	Offers     []Offer              // lines that work, best first; at most three
}

// Offer is one thing that works: Line is what to type, the rest what it means.
type Offer struct {
	Line   string
	Runs   int
	Vessel []string
	Volume quantity.Volume // each
	Split  bool            // the runs differ: Volume is of all together
}

// ProblemCode says what stands in the way of a plan.
type ProblemCode string

// The problems.
const (
	TooMuch      ProblemCode = "too much"      // Volume does not fit Vessel (or any one vessel)
	NoVessel     ProblemCode = "no vessel"     // none is free that could take it
	TooFew       ProblemCode = "too few"       // Count vessels asked, fewer free
	NextRound    ProblemCode = "next round"    // Volume takes Count rounds, and only the first can be started now
	TooLittle    ProblemCode = "too little"    // less than a quarter of the smallest vessel's line
	TooStrong    ProblemCode = "too strong"    // grams above the class's most; Count = grams per 100 ml at most
	RestOutside  ProblemCode = "rest outside"  // the rest asked is outside the recipe's limits
	TempOutside  ProblemCode = "temp outside"  // the liquid is too hot or too cold for the recipe
	VesselShut   ProblemCode = "vessel shut"   // the named vessel isn't free
	NutFreeOnly  ProblemCode = "nut free only" // the named vessel is kept free of the recipe's allergen (Name)
	PlasticHead  ProblemCode = "plastic head"  // the named vessel has a head of plastic
	NotHouseRule ProblemCode = "not house"     // needs the one tap first
	TooHot       ProblemCode = "too hot"       // nothing above 50 °C, spirit 40 °C at most, strong spirit never warmed
	OverStamp    ProblemCode = "over stamp"    // the estimate of the pressure lies above what is stamped on Vessel
	AcidMetal    ProblemCode = "acid metal"    // acid, and Vessel is of aluminium
	Refused      ProblemCode = "refused"       // Name is never made, or not kept like this
	SignOff      ProblemCode = "sign off"      // Name is made only when a manager answers for it
	NotPoured    ProblemCode = "not poured"    // serves of Name asked, and its pieces are kept
	NoServe      ProblemCode = "no serve"      // Count serves asked, and how big one is was never entered
	BadFigure    ProblemCode = "bad figure"    // Name is out of the Range in which a figure holds
)
