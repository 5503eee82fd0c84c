package voice

// Form is something to fill in, before any platform's markup.
type Form struct {
	Name   string // which form: the kitchen reads what comes back by it
	Title  string // at most 24 characters
	Submit string // the button's label, at most 24 characters
	Back   string // the label of what closes it, at most 24 characters
	Carry  string // comes back as it is: which batch, at which turn
	Lines  []Line // above the fields
	Fields []Field
}

// Field is one thing to fill in or to choose.
type Field struct {
	ID       string
	Label    string
	Hint     string   // below the field
	Value    string   // what stands in it; of Options, the value chosen
	Options  []Option // to choose one of; none = it is typed
	Long     bool     // typed in several lines
	Optional bool
}

// Option is one thing to choose.
type Option struct{ Value, Label string }

// Page is a screen of somebody's own: messages one below the other.
type Page []Message

// Can is what a platform can do with a message.
type Can struct {
	Edit    bool // replace what was posted
	Thread  bool // post below another message
	Button  bool // show buttons; else what they say is typed
	Whisper bool // show something to one person only
	Longest int  // characters of a message; 0 = no limit known
}
