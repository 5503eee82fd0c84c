package glass

// Problem says why a line is no drink and what to type instead.
type Problem struct {
	Code    ProblemCode `cbor:"c"`
	Word    string      `cbor:"w,omitempty"` // what is at fault, as typed
	Names   []string    `cbor:"n,omitempty"` // nearest names, best first
	Example string      `cbor:"e"`           // a line that works
}

// ProblemCode says what was wrong with a line.
type ProblemCode string

// The problems.
const (
	NothingPoured ProblemCode = "nothing poured" // no part in it
	LineTooLong   ProblemCode = "line too long"
	TooManyParts  ProblemCode = "too many parts"
	HowMuch       ProblemCode = "how much"     // a part without a volume
	BadVolume     ProblemCode = "bad volume"   // nothing, less than that, or beyond a kitchen
	BadStrength   ProblemCode = "bad strength" // beyond 0 to 100 % by volume
	BadDilution   ProblemCode = "bad dilution" // beyond 0 to 200 %
	TwoMethods    ProblemCode = "two methods"
	UnknownPart   ProblemCode = "unknown part"
	WhichPart     ProblemCode = "which part"  // as near to one name as to another
	BadFigures    ProblemCode = "bad figures" // the book's own figures cannot be
)

// The most that a line and a drink can mean, our own limits: above them
// something was mistyped.
const (
	longestLine  = 1000 // bytes
	mostParts    = 20
	mostNames    = 3
	mostDilution = 200.0 // percent
)
