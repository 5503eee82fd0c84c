package voice

import (
	"strings"
	"time"

	"ventbell/internal/kitchen"
)

// Message is something to show to people, before any platform's markup. Its
// plain text holds everything that its lines hold.
type Message struct {
	Lines   []Line // the first is the headline: what to do, when, which vessel
	Buttons []Button
}

// Line is one line of a message, in pieces.
type Line []Piece

// Piece is a piece of a line. Exactly one of Text, Person, Page and Time is set.
type Piece struct {
	Text   string
	Strong bool            // Text carries the weight of the line
	Code   bool            // Text is something to type, as it stands
	Person *kitchen.Person // by name
	Ring   bool            // the Person is mentioned, so that their phone rings
	Page   kitchen.Page    // alone: everybody in the channel is mentioned
	Time   time.Time       // in the kitchen's own zone
	Clock  string          // layout of Time: "15:04" or "15:04:05"
}

// Button is one thing that can be tapped.
type Button struct {
	Label string
	Tap   kitchen.Tap
	Main  bool   // the thing to do next
	Sure  string // asked before it is done; empty = not asked
	Back  string // with Sure: the label of what leaves everything as it is
}

// Plain gives m as plain text: a line each, names with an @ where they ring,
// and clock times in the kitchen's zone. Buttons are left out.
func (m Message) Plain() string {
	lines := make([]string, len(m.Lines))
	for i, l := range m.Lines {
		lines[i] = l.Plain()
	}
	return strings.Join(lines, "\n")
}

// Plain gives l as plain text.
func (l Line) Plain() string {
	var b strings.Builder
	for _, p := range l {
		switch {
		case p.Page != "":
			b.WriteString("@" + p.Pages())
		case p.Person != nil && p.Ring:
			b.WriteString("@" + p.Person.Name)
		case p.Person != nil:
			b.WriteString(p.Person.Name)
		case !p.Time.IsZero():
			b.WriteString(p.Time.Format(p.Clock))
		default:
			b.WriteString(p.Text)
		}
	}
	return b.String()
}

// Pages gives the word by which chat platforms mention everybody of a channel, or
// everybody who is active there.
func (p Piece) Pages() string {
	if p.Page == kitchen.PagePressurised {
		return "channel"
	}
	return "here"
}
