package hatch

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"ventbell/internal/door"
	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

const (
	// longest is how many characters a message may have: the shortest limit
	// of the servers that take such webhooks (from memory).
	longest     = 2000
	mostReplies = 5        // lines to type below a message
	slashName   = "/bell"  // how the command is called where nobody says
	openForm    = "change" // With of a tap that asks for a form
)

// text gives a message as plain text, what can be done about it as lines to
// type below it. front goes before the first line.
func text(front string, m voice.Message, command string) string {
	lines := make([]string, len(m.Lines))
	for i, l := range m.Lines {
		lines[i] = line(l)
	}
	body, below := front+strings.Join(lines, "\n"), replies(m.Buttons, cmp.Or(command, slashName))
	return cut(body, longest-utf8.RuneCountInString(below)) + below
}

// replies gives buttons as lines to type, but for those that open a form: there
// are none here.
func replies(buttons []voice.Button, command string) string {
	var b strings.Builder
	buttons = slices.DeleteFunc(slices.Clone(buttons), func(b voice.Button) bool { return b.Tap.With == openForm })
	for _, button := range buttons[:min(len(buttons), mostReplies)] {
		b.WriteString("\n" + clean(button.Label) + ": `" + command + " " + strings.ReplaceAll(typed(button), "`", "") + "`")
	}
	return b.String()
}

// line gives one line as plain text.
func line(l voice.Line) string {
	var b strings.Builder
	for _, p := range l {
		switch {
		case p.Page != "":
			b.WriteString("@" + p.Pages())
		case p.Person != nil && p.Ring:
			b.WriteString(ring(p.Person.Name))
		case p.Person != nil:
			b.WriteString(clean(p.Person.Name))
		case !p.Time.IsZero():
			b.WriteString(p.Time.Format(cmp.Or(p.Clock, "15:04")))
		case p.Code && p.Text != "":
			b.WriteString("`" + strings.ReplaceAll(door.OneLine(p.Text), "`", "") + "`")
		default:
			b.WriteString(clean(p.Text))
		}
	}
	return b.String()
}

// ring mentions somebody by the name that the server knows them by, so that
// their phone rings. A name that would ring everybody's is only written.
func ring(name string) string {
	if !handle.MatchString(name) || everybody[strings.ToLower(name)] {
		return clean("@" + name)
	}
	return "@" + name
}

var (
	handle    = regexp.MustCompile(`^[\pL\pN][\pL\pN._-]*$`)
	everybody = map[string]bool{"all": true, "channel": true, "everyone": true, "group": true, "here": true}
)

// clean gives text as it reads, such that it does nothing: it mentions nobody,
// begins no tag and no link, and carries the layout away nowhere.
func clean(text string) string { return harmless.Replace(door.OneLine(text)) }

// joiner has no width and no meaning.
const joiner = "\u2060"

var harmless = strings.NewReplacer(append(door.Lookalikes(),
	"@", "@"+joiner,
	"<", "<"+joiner,
	"](", "]"+joiner+"(",
)...)

// cut shortens text to so many characters.
func cut(text string, most int) string {
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most-1]) + "…"
}

// typed gives a button as something to type. What a tap says besides its line
// stands behind it, after a mark; a tap that is asked about first is asked
// about by the kitchen when only its line is typed.
func typed(b voice.Button) string {
	if b.Tap.With == "" || b.Sure != "" {
		return b.Tap.Line
	}
	head, _, _ := strings.Cut(b.Tap.String(), " ")
	return b.Tap.Line + mark + head
}

// mark stands before what a typed tap says besides its line.
const mark = " !"

// mostN bounds the number that a typed tap may carry, a count of chargers.
const mostN = 99

// untyped gives a typed line as it was, and the tap that it stands for if it
// carries one.
func untyped(text string) (string, *kitchen.Tap) {
	at := strings.LastIndex(text, mark)
	if at < 0 {
		return text, nil
	}
	tap, err := kitchen.ParseTap(text[at+len(mark):] + " " + strings.TrimSpace(text[:at]))
	if err != nil || tap.With == "" || tap.N < 0 || tap.N > mostN {
		return text, nil
	}
	return tap.Line, &tap
}
