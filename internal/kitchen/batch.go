package kitchen

import (
	"cmp"
	"slices"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// Phase is how far a batch has come.
type Phase string

// The phases of a batch, in order. A batch that is strained first settles
// after straining, off its solids.
const (
	Loading   Phase = "loading"
	Charging  Phase = "charging" // some or all chargers in, or the last swirl
	Resting   Phase = "resting"
	Venting   Phase = "venting" // called until confirmed empty
	Settling  Phase = "settling"
	Straining Phase = "straining"
	Clearing  Phase = "clearing" // standing to clear
	Labelling Phase = "labelling"
	Stored    Phase = "stored"
	Scrapped  Phase = "scrapped"
)

// Phases lists the phases in order.
func Phases() []Phase {
	return []Phase{Loading, Charging, Resting, Venting, Settling, Straining, Clearing, Labelling, Stored, Scrapped}
}

// Batch is one vessel's load on its way from loading to its label.
type Batch struct {
	ID uint32
	Fixed
	Moving
}

// Fixed is what a batch copied from its plan: it is written once.
type Fixed struct {
	V           int             `cbor:"v"`
	Title       string          `cbor:"t"`
	House       bool            `cbor:"h,omitempty"`
	Line        string          `cbor:"q,omitempty"` // the request, as understood
	Vessel      string          `cbor:"a"`
	Base        string          `cbor:"b,omitempty"`
	Family      book.Family     `cbor:"f,omitempty"`
	Liquid      quantity.Volume `cbor:"l"`
	Solids      []plan.Solid    `cbor:"s"`
	Chargers    int             `cbor:"n"`
	Temp        book.TempRange  `cbor:"e"`
	Swirl       time.Duration   `cbor:"w"`
	Rest        book.Span       `cbor:"r"`
	Settle      time.Duration   `cbor:"d"`
	StrainFirst bool            `cbor:"i,omitempty"`
	Contact     time.Duration   `cbor:"c"`
	Clear       time.Duration   `cbor:"k,omitempty"`
	JudgeAfter  time.Duration   `cbor:"j,omitempty"`
	Gentle      bool            `cbor:"g,omitempty"`
	Storage     string          `cbor:"o,omitempty"`
	Allergens   []string        `cbor:"x,omitempty"`
	Notes       []plan.Note     `cbor:"z,omitempty"`
	Started     Mark            `cbor:"m"`
	// Later is how long after the start its first charger goes in, where several
	// runs are started together; 0 = at once.
	Later time.Duration `cbor:"p,omitempty"`
	// ABVLow and ABVHigh are the finished strength in percent by volume, 0 for
	// what has none; UseBy is the last day it keeps, a moment of that day.
	ABVLow  float64 `cbor:"u,omitempty"`
	ABVHigh float64 `cbor:"v1,omitempty"`
	UseBy   Moment  `cbor:"y,omitempty"`
	// About is the yield that the plan expects; AboutDrained is what the pieces
	// weigh drained, where they are kept.
	About        quantity.Volume `cbor:"j1,omitempty"`
	AboutDrained quantity.Mass   `cbor:"j2,omitempty"`
	// Product is what is kept of it and Vent is how its gas is let go; empty = the
	// liquid, and fast.
	Product book.Product `cbor:"k1,omitempty"`
	Vent    book.Vent    `cbor:"n1,omitempty"`
	// VentStep and StrainStep pace the second calls; 0 = as usual: see pace.go.
	VentStep   time.Duration `cbor:"q2,omitempty"`
	StrainStep time.Duration `cbor:"q3,omitempty"`
	// Edition counts the edits of the book that were made before it was started.
	Edition uint32 `cbor:"q1,omitempty"`
	// Code is the batch code of its label, and Lots the lots of what it is made of,
	// by name.
	Code string            `cbor:"c1,omitempty"`
	Lots map[string]string `cbor:"l1,omitempty"`
	// Carried is what else its label needs; Latest is the last day that it has at
	// most, for it stood without a label when a day was signed; 0 = it did not.
	Carried Carried `cbor:"b1,omitzero"`
	Latest  Moment  `cbor:"y1,omitempty"`
}

// Moving is what changes while a batch is worked on.
type Moving struct {
	V     int    `cbor:"v"`
	Phase Phase  `cbor:"p"`
	Owner Person `cbor:"o"`
	// Turn rises whenever the clocks are set anew, so that a moment reached
	// again calls again and an old button is known as old.
	Turn uint16 `cbor:"u"`

	Charges []Charge `cbor:"c,omitempty"` // since the vessel was last empty
	Doubt   *Doubt   `cbor:"d,omitempty"` // a charger above the count, unanswered
	// Told is a charger told by somebody who does not own the batch and has
	// not said yet whether they take it over.
	Told *Mark `cbor:"o1,omitempty"`

	// Offered is that the batch was offered to the team and nobody took it yet;
	// Offers counts how often it was.
	Offered *Mark `cbor:"o2,omitempty"`
	Offers  uint8 `cbor:"o3,omitempty"`
	// Skilled is that it was offered because somebody charged it who may not.
	Skilled bool `cbor:"o4,omitempty"`

	// Declined are the ids of those who will not vent it, until it is empty; Wide
	// is how wide the circle of its calls is, and Paged the rung, and one, at which
	// the managers joined.
	Declined []string `cbor:"w1,omitempty"`
	Wide     uint8    `cbor:"w2,omitempty"`
	Paged    uint8    `cbor:"w3,omitempty"`

	RestFrom    Moment        `cbor:"r,omitempty"` // end of the last swirl, or set down
	RestAssumed bool          `cbor:"a,omitempty"` // nobody said so: by the plan
	VentAt      Moment        `cbor:"t,omitempty"`
	Extra       time.Duration `cbor:"x,omitempty"` // rest added by request
	HeadsUp     bool          `cbor:"h,omitempty"` // given in this turn

	ContactFrom Moment `cbor:"f,omitempty"`
	ContactAt   Moment `cbor:"g,omitempty"` // the next contact call
	ContactRung uint8  `cbor:"j,omitempty"` // contact calls made

	// Blocked is what is known of its vessel while that does not vent.
	Blocked *Block `cbor:"b1,omitempty"`

	Stops  uint8  `cbor:"y1,omitempty"` // chargers above the count, ever
	CallAt Moment `cbor:"n,omitempty"`  // the phase's next call
	Rung   uint8  `cbor:"q,omitempty"`  // calls made in this phase

	// Claimed is that somebody said that it is empty whose word is not enough.
	// Claims counts how often the crew was asked about it.
	Claimed  *Mark `cbor:"e1,omitempty"`
	Claims   uint8 `cbor:"e2,omitempty"`
	Emptied  *Mark `cbor:"e,omitempty"`
	Strained *Mark `cbor:"s,omitempty"`
	Cleared  *Mark `cbor:"k,omitempty"`
	Labelled *Mark `cbor:"l,omitempty"`
	Ended    *Mark `cbor:"z,omitempty"` // stored or scrapped
	Expired  bool  `cbor:"i,omitempty"` // scrapped because nothing was charged
	// Replaced is the batch that took this one's place when its reading was
	// corrected; 0 = none.
	Replaced uint32          `cbor:"r1,omitempty"`
	Yield    quantity.Volume `cbor:"y,omitempty"`  // of liquid; beside pieces that are kept only if it was told
	Drained  quantity.Mass   `cbor:"y2,omitempty"` // what the pieces weighed, where they are kept

	Last   Last    `cbor:"m"`           // the last thing a person did
	Before *Moving `cbor:"b,omitempty"` // what undo brings back
	Undone *Mark   `cbor:"w,omitempty"` // the last undo
}

// Mark is that somebody did a thing: when it was done and when it was entered.
type Mark struct {
	By      Person `cbor:"b"`
	Done    Moment `cbor:"d"` // clocks run from it
	Entered Moment `cbor:"e,omitempty"`
	// Said is when it was said, if that was too long before Entered for clocks to
	// run from it; else 0.
	Said Moment `cbor:"s,omitempty"`
}

// SaidAt gives when a thing was said to be done: what came before what is told
// by it, even when all of it reaches us late and at once.
func (m Mark) SaidAt() Moment { return cmp.Or(m.Said, m.Done) }

// Charge is one charger counted into a vessel.
type Charge struct {
	Mark
	Assumed bool `cbor:"a,omitempty"` // counted afterwards, on a plain word
}

// Doubt is a charger above the count, of which it isn't known whether gas
// went in. It counts as gas until somebody says that none did.
type Doubt struct {
	Mark
	N int `cbor:"n"`
}

// Last is the last thing a person did to a batch.
type Last struct {
	Verb request.Verb `cbor:"v,omitempty"`
	Mark
}

// Gas gives how many chargers' gas the vessel may hold.
func (m *Moving) Gas() int {
	n := 0
	if m.Emptied == nil {
		n = len(m.Charges)
	}
	if m.Doubt != nil {
		n += m.Doubt.N
	}
	return n
}

// LastGas gives when gas last went in, as far as anybody told.
func (m *Moving) LastGas() Moment { return m.lastGas().Done }

// lastGas gives the same as a mark. What reached us late can be entered in
// another order than it was said in: the latest of each counts.
func (m *Moving) lastGas() Mark {
	last, said := m.FullSince().Mark, Moment(0)
	if m.Doubt != nil {
		said = m.Doubt.SaidAt()
		if m.Doubt.Done >= last.Done {
			last = m.Doubt.Mark
		}
	}
	for _, c := range m.Charges {
		said = max(said, c.SaidAt())
	}
	last.Said = said
	return last
}

// GasSince gives the first charge of the gas that is in a vessel: since when it is
// under pressure, and by whom.
func (m *Moving) GasSince() Mark {
	switch {
	case m.Emptied == nil && len(m.Charges) > 0:
		return m.Charges[0].Mark
	case m.Doubt != nil:
		return m.Doubt.Mark
	}
	return Mark{}
}

// Opened gives the last step on the way out of the vessel, which no later one
// may come before: the gas while any is in, then the vent, then the strain.
func (m *Moving) Opened() Mark {
	switch {
	case m.Gas() > 0:
		return m.lastGas()
	case m.Strained != nil:
		return *m.Strained
	case m.Emptied != nil:
		return *m.Emptied
	}
	return Mark{}
}

// Full says that all chargers of the plan are in.
func (b *Batch) Full() bool { return len(b.Charges) >= b.Chargers }

// FullSince gives the charge that went in last, of those counted.
func (m *Moving) FullSince() Charge {
	if len(m.Charges) == 0 {
		return Charge{}
	}
	return m.Charges[len(m.Charges)-1]
}

// SwirlEnds gives when the swirl after the last counted charge ends.
func (b *Batch) SwirlEnds() Moment { return b.FullSince().Done.Add(b.Swirl) }

// SolidsOut gives when the contact cap is reached; zero before any contact.
func (b *Batch) SolidsOut() Moment {
	if b.ContactFrom == 0 {
		return 0
	}
	return b.ContactFrom.Add(b.Contact)
}

// SettledAt gives when the settling ends; zero before it begins.
func (b *Batch) SettledAt() Moment {
	began := b.Emptied
	if b.StrainFirst {
		began = b.Strained
	}
	if began == nil {
		return 0
	}
	return began.Done.Add(b.Settle)
}

// StrainAt gives when the batch is to be strained: settled, or at once where
// it is strained first; zero before it is vented.
func (b *Batch) StrainAt() Moment {
	if b.StrainFirst && b.Emptied != nil {
		return b.Emptied.Done
	}
	return b.SettledAt()
}

// ClearAt gives when the standing to clear ends.
func (b *Batch) ClearAt() Moment {
	switch {
	case b.Strained == nil || b.Clear == 0:
		return 0
	case b.StrainFirst:
		return b.SettledAt().Add(b.Clear)
	}
	return b.Strained.Done.Add(b.Clear)
}

// LabelOnClear says that the request for the label stands on the clear call:
// the batch was drawn off when it had been called, or was due to be.
func (b *Batch) LabelOnClear() bool {
	return b.Cleared != nil && b.ClearAt() != 0 && b.Cleared.Entered >= b.ClearAt()
}

// FirstAt gives when the first charger goes in by the plan.
func (b *Batch) FirstAt() Moment { return b.Started.Done.Add(b.Later) }

// HeldUntil gives when a reservation runs out that nobody charges.
func (b *Batch) HeldUntil() Moment {
	return max(b.Started.Entered.Add(b.Later), b.Last.Entered).Add(reserved)
}

// JudgeAt gives when the batch can be judged; zero before it is vented.
func (b *Batch) JudgeAt() Moment {
	if b.Emptied == nil {
		return 0
	}
	return b.Emptied.Done.Add(b.JudgeAfter)
}

// holdsVessel says that the batch's solids or gas are still in its vessel.
func (b *Batch) holdsVessel() bool {
	switch b.Phase {
	case Stored:
		return false
	case Scrapped:
		return b.Gas() > 0
	default:
		return b.Strained == nil
	}
}

// marks are what a batch's history tells, to see whether it changed.
type marks struct {
	emptied, strained, cleared, labelled, ended *Mark
	yield                                       quantity.Volume
	drained                                     quantity.Mass
	charges                                     int
}

func (b *Batch) marks() marks {
	return marks{b.Emptied, b.Strained, b.Cleared, b.Labelled, b.Ended, b.Yield, b.Drained, len(b.Charges)}
}

// urgency sorts batches: what holds gas and is called, what is called, what
// rests, the others, what is over.
func (b *Batch) urgency() int {
	switch {
	case b.Gas() > 0 && b.Rung > 0:
		return 0
	case b.Phase == Stored || (b.Phase == Scrapped && b.Gas() == 0):
		return 4
	case b.Rung > 0 || b.ContactRung > 0:
		return 1
	case b.Gas() > 0:
		return 2
	}
	return 3
}

// fixed copies from a plan what its batch in the given run needs.
func (s *scene) fixed(p plan.Plan, run plan.Run, line string) Fixed {
	notes := slices.DeleteFunc(slices.Clone(p.Notes), func(n plan.Note) bool {
		return n.Vessel != "" && n.Vessel != run.Vessel // about another run
	})
	return Fixed{
		V: version, Title: p.Title, House: p.House, Line: line, Vessel: run.Vessel,
		Base: p.Base, Family: p.Family, Liquid: run.Liquid, Solids: run.Solids, Chargers: run.Chargers,
		Temp: p.Temp, Swirl: p.Swirl, Rest: p.Rest, Settle: p.Settle, StrainFirst: p.StrainFirst,
		Contact: p.Contact, Clear: p.Clear, JudgeAfter: p.JudgeAfter, Gentle: p.Gentle,
		Storage: cmp.Or(p.Figures.Keep.Storage, p.Storage), Allergens: p.Allergens, Notes: notes, Started: s.mark(),
		Later: run.Figures.StartAt, ABVLow: p.Figures.ABVLow, ABVHigh: p.Figures.ABVHigh,
		UseBy: At(p.Figures.Keep.UseBy), About: run.Figures.Yield, AboutDrained: run.Figures.Drained,
		Product: p.Product, Vent: p.Vent, Edition: s.Head.Edition, VentStep: ventStep(p.Rest), StrainStep: strainStep(p.Contact),
	}
}
