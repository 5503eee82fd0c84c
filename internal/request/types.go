package request

import (
	"time"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// Verb is what a line asks for.
type Verb string

// The verbs. A word in brackets is how it is typed.
const (
	Start    Verb = "start"
	Charged  Verb = "charged"
	SetDown  Verb = "set down" // the vessel stands: the rest starts now
	Vented   Verb = "vented"   // confirmed empty
	Strained Verb = "strained"
	Cleared  Verb = "cleared" // stood to clear and drawn off
	Labelled Verb = "labelled"
	Washed   Verb = "washed"
	NoGas    Verb = "no gas"  // the last counted charger let no gas in
	GasIn    Verb = "gas in"  // a charger above the count did go in
	More     Verb = "more"    // "+15 s": a longer rest, by Extra
	Why      Verb = "why"     // the figures behind a batch's plan
	Take     Verb = "take"    // the speaker takes the batch over
	Resting  Verb = "resting" // what is in every vessel now
	Scrap    Verb = "scrap"
	Undo     Verb = "undo"
	Help     Verb = "help"
	Drink    Verb = "drink" // what is in the glass: the rest of the line, as Text
	// MoreGas: chargers went in beyond those that were counted, Chargers of them
	// (0 = nobody said how many) or, with InAll, so many in all. It is never said
	// of fewer than were counted: whoever carries it out adds, never subtracts.
	MoreGas Verb = "more gas"
	// RestFor: the batch that is open shall rest for Rest.
	RestFor Verb = "rest"
	Pause   Verb = "pause" // hold the clocks; nothing under gas can be held
	// Asks is a question that changes nothing; Topic says which.
	Asks Verb = "ask"
	// Again: the same once more, of Recipe or of whatever was last; OfYesterday
	// says that the day before is meant.
	Again Verb = "again"
	// Trouble is something wrong with a vessel; Kind says what.
	Trouble Verb = "trouble"
	// Emergency is somebody hurt or a fire; Kind says which.
	Emergency Verb = "emergency"
	Offer     Verb = "offer" // somebody else shall take the batch over
	OnShift   Verb = "on"    // the speaker is on shift
	OffShift  Verb = "off"   // and off it
)

// Topic is what a question is about.
type Topic string

// The topics.
const (
	WhoHas      Topic = "who has"       // whose is Vessel, or Recipe
	TimeLeft    Topic = "how long on"   // how long Vessel or Recipe still rests, or everything
	ChargersFor Topic = "chargers left" // how many chargers there are
	Unstrained  Topic = "what needs straining"
	Expiring    Topic = "what expires today"
	// Allergens: of Recipe or Vessel, or what holds Allergen, or whether the one
	// holds the other.
	Allergens Topic = "allergens"
	UseBy     Topic = "use by of"    // of Recipe or Vessel
	OwnBoard  Topic = "mine"         // what the speaker owns
	Closing   Topic = "closing"      // what is still open before the house closes: read as CloseList
	Overnight Topic = "overnight"    // whether Vessel may be left charged
	Strength  Topic = "strength"     // how strong Recipe or Vessel is
	MayOpen   Topic = "safe to open" // whether Vessel may be opened
	TheLabel  Topic = "label of"     // what stands on the label of Vessel or Recipe
)

// Kind is what is wrong: with a vessel under Trouble, with somebody or the
// house under Emergency.
type Kind string

// The kinds of trouble and of emergency.
const (
	Blocked Kind = "blocked" // it does not vent
	Leaking Kind = "leaking"
	Hissing Kind = "hissing"   // gas still flows, or something still hisses
	Foaming Kind = "foaming"   // it foamed over
	Stuck   Kind = "stuck"     // it does not open
	Overrun Kind = "forgotten" // it rested too long: for Rest, where that was said

	Hurt    Kind = "hurt"
	Burn    Kind = "burn" // by heat or by cold
	Eye     Kind = "eye"
	Fire    Kind = "fire"
	Fainted Kind = "fainted"
)

// Request is one line understood. A field not said has its zero value.
type Request struct {
	Verb Verb
	// Recipe is the name of a recipe in the book. It is empty when the line
	// names a known botanical on a base that no recipe joins: then Solid, Base
	// and Class say what was meant, and Sure whether the line already says
	// "as class default", which the one tap does.
	Recipe string
	Solid  string
	Base   string
	Class  string
	Sure   bool

	Volume quantity.Volume // liquid for a start, strained volume for strained and taste
	Count  int             // vessels (batches of Volume each); 0 = not said
	Serves int             // how many serves are wanted, in place of Volume; 0 = not said
	Serve  quantity.Volume // how big one is; 0 = by the book
	Split  bool            // in as many runs as it takes, where it does not fit otherwise
	Vessel string          // tag as the book writes it
	Solids quantity.Mass   // for a start; what the pieces weighed for strained and taste
	Rest   time.Duration
	Temp   *quantity.Temperature // of the liquid
	Extra  time.Duration         // "+15 s" asked of a rest
	For    time.Time             // when it is wanted: a moment, or midnight for a whole day

	Chargers    int // that went in beyond the count, or with InAll in all
	InAll       bool
	OfYesterday bool
	Topic       Topic
	Kind        Kind
	Allergen    string // as keeping and books write it: "nuts"
	Verdict     Verdict
	Also        Verdict // of the solids, beside a Verdict of the batch
	// Text is what follows a verb that another room reads.
	Text   string
	Lot    string // of a liquid or solid, as its bottle or box says
	Code   string // of a batch, as its label says
	Person string // the platform's id of somebody who is named
	// Done is when a thing was done, where the line says so ("40s ago", "at
	// 18:06"); zero otherwise.
	Done time.Time
}

// Open is one open batch, as the reader needs it.
type Open struct {
	Batch  uint32
	Title  string // "rhubarb gin"
	Vessel string
	Phase  string // the kitchen's word for the phase
	Mine   bool   // the speaker owns it
	// Weighed says that its pieces are what is kept: they are told in grams.
	Weighed bool
	// Due is what is asked of its owner now: the verb that ticks it off; empty =
	// nothing is due.
	Due Verb
}

// Context is what the reader may know beside the line.
type Context struct {
	Book *book.Book
	Now  time.Time // in the kitchen's own zone
	Open []Open    // in order of urgency, most urgent first
	// Language is the kitchen's own, "en", "es" or "fr"; empty = the book's.
	Language string
}

// Reading is what became of a line: exactly one of the three is set, and the
// language that the line was written in ("en", "es", "fr"): the kitchen's own
// when nothing tells.
type Reading struct {
	Language string

	Request  *Request
	Question *Question
	Problem  *Problem
}

// Question is the one thing asked back. It is no state: every option carries
// the completed line.
type Question struct {
	Code    QuestionCode
	Word    string   // the word or name the question is about
	Options []Option // two or three
}

// Option is one answer to a question: Label on the button, Line what it says.
type Option struct{ Label, Line string }

// QuestionCode says what is asked.
type QuestionCode string

// The questions.
const (
	WhichRecipe QuestionCode = "which recipe" // Word fits several recipes
	WhichVessel QuestionCode = "which vessel" // several batches could be meant
	NotHouse    QuestionCode = "not house"    // no house recipe: go by the class?
	WhichMeant  QuestionCode = "which meant"  // two readings of one line
	WhichStep   QuestionCode = "which step"   // "done", and several steps are due
)

// Problem says why a line was not understood and what to type instead.
type Problem struct {
	Code    ProblemCode
	Word    string   // the word at fault, as typed
	Where   int      // its byte offset in the line; 0 when the whole line is meant
	Names   []string // nearest names, best first
	Example string   // a line that works
	Another string   // a second one, where nothing of the line was understood
	// Meant is the verb of a line that was understood and found nothing open.
	Meant Verb `cbor:",omitempty"`
}

// ProblemCode says what was wrong with a line.
type ProblemCode string

// The problems.
const (
	Empty          ProblemCode = "empty"
	TooLong        ProblemCode = "too long"
	UnknownVerb    ProblemCode = "unknown verb"
	UnknownRecipe  ProblemCode = "unknown recipe"
	UnknownVessel  ProblemCode = "unknown vessel"
	NoRecipe       ProblemCode = "no recipe"
	NothingDue     ProblemCode = "nothing due"  // "done", and nothing of the speaker's is due
	NothingOpen    ProblemCode = "nothing open" // the verb needs a batch, none is open for it
	Refused        ProblemCode = "refused"      // a refused botanical; Names holds the reason
	NoDefault      ProblemCode = "no default"   // oil, dairy or a pair without a class
	BadVolume      ProblemCode = "bad volume"   // nothing, or beyond what a kitchen holds
	BadCount       ProblemCode = "bad count"    // of vessels
	BadNumber      ProblemCode = "bad number"   // a number without a meaning here
	Future         ProblemCode = "future"       // a moment that is still to come
	TooLongAgo     ProblemCode = "too long ago" // a moment more than 12 hours back
	BadRest        ProblemCode = "bad rest"     // outside the recipe's limits
	BadTemperature ProblemCode = "bad temperature"
)
