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

	Volume quantity.Volume // liquid for a start, strained volume for strained
	Count  int             // vessels (batches of Volume each); 0 = not said
	Serves int             // how many serves are wanted, in place of Volume; 0 = not said
	Serve  quantity.Volume // how big one is; 0 = by the book
	Split  bool            // in as many runs as it takes, where it does not fit otherwise
	Vessel string          // tag as the book writes it
	Solids quantity.Mass
	Rest   time.Duration
	Temp   *quantity.Temperature // of the liquid
	Extra  time.Duration         // "+15 s" asked of a rest
	// Text is what follows a verb that another room reads.
	Text string
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
}

// Context is what the reader may know beside the line.
type Context struct {
	Book *book.Book
	Now  time.Time // in the kitchen's own zone
	Open []Open    // in order of urgency, most urgent first
}

// Reading is what became of a line: exactly one of the three is set.
type Reading struct {
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
)

// Problem says why a line was not understood and what to type instead.
type Problem struct {
	Code    ProblemCode
	Word    string   // the word at fault, as typed
	Where   int      // its byte offset in the line; 0 when the whole line is meant
	Names   []string // nearest names, best first
	Example string   // a line that works
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
