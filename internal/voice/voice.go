// Package voice holds every sentence the program says to people: answers,
// calls, slips, the board, problems and their cures. Rooms below it speak in
// codes and values; platforms above it draw its messages. How it speaks: the
// first word is what to do, the number second, the vessel third; times are
// clock times; six lines a message at most; no blame; a refusal says what to
// type instead; a late call says how late it is and what to do now; safety
// notes are never left out.
package voice

import (
	"fmt"
	"strings"
	"time"

	"ventbell/internal/kitchen"
)

// Voice speaks one language in one time zone.
type Voice struct {
	tongue
	zone  *time.Location
	point string // between a whole and its parts
}

// New gives a voice in the language nearest to a tag ("en", "es-MX") and a
// kitchen's zone.
func New(language string, zone *time.Location) (Voice, error) {
	t, asked, ok := nearest(language)
	if !ok {
		return Voice{}, fmt.Errorf("find catalogue: no language %q", language)
	}
	return Voice{tongue: t, zone: zone, point: decimalPoint(asked)}, nil
}

// phrase names one sentence of a catalogue. In a sentence {name} stands for a
// value, *stars* carry weight, `ticks` are to be typed.
type phrase string

// values are what a sentence's {names} stand for.
type values map[string]any

// ring is a person who is mentioned, so that their phone rings.
type ring []kitchen.Person

// toSecond is a moment told to the second; other moments are told to the minute.
type toSecond kitchen.Moment

// day is a moment told as a weekday and a date.
type day kitchen.Moment

// say makes a line of a phrase.
func (v Voice) say(p phrase, vals values) Line {
	text, ok := v.text(p, vals)
	if !ok {
		text = string(p) // a test rules it out
	}
	var line Line
	strong, code := false, false
	for text != "" {
		next := strings.IndexAny(text, "{*`")
		if next < 0 {
			next = len(text)
		}
		if next > 0 {
			line = line.with(Piece{Text: line.closed(text[:next]), Strong: strong, Code: code})
			text = text[next:]
			continue
		}
		switch text[0] {
		case '*':
			strong, text = !strong, text[1:]
		case '`':
			code, text = !code, text[1:]
		default:
			name, rest, _ := strings.Cut(text[1:], "}")
			line = line.with(v.fill(vals[name], strong, code)...)
			text = rest
		}
	}
	return line
}

// closed gives what comes next in a sentence without its full stop, where the
// line ends in one already: "24 nov.".
func (l Line) closed(next string) string {
	if len(l) > 0 && strings.HasSuffix(l[len(l)-1].Text, ".") {
		return strings.TrimPrefix(next, ".")
	}
	return next
}

// with gives the line with more pieces. Text in the same hand is one piece, so
// that a line to type is drawn as one.
func (l Line) with(pieces ...Piece) Line {
	for _, p := range pieces {
		if p.plain() && p.Text == "" {
			continue
		}
		last := len(l) - 1
		if last >= 0 && l[last].plain() && p.plain() && l[last].Strong == p.Strong && l[last].Code == p.Code {
			l[last].Text += p.Text
			continue
		}
		l = append(l, p)
	}
	return l
}

// plain says that a piece is nothing but text.
func (p Piece) plain() bool { return p.Person == nil && p.Time.IsZero() && p.Page == "" }

// fill makes pieces of a value.
func (v Voice) fill(value any, strong, code bool) Line {
	switch x := value.(type) {
	case kitchen.Person:
		return Line{{Person: &x, Strong: strong}}
	case ring:
		var line Line
		for i, p := range x {
			if i > 0 {
				line = append(line, Piece{Text: ", "})
			}
			line = append(line, Piece{Person: &p, Ring: true})
		}
		return line
	case kitchen.Moment:
		return Line{{Time: x.Time().In(v.zone), Clock: "15:04", Strong: strong}}
	case toSecond:
		return Line{{Time: kitchen.Moment(x).Time().In(v.zone), Clock: "15:04:05", Strong: strong}}
	case day:
		return Line{{Text: v.date(kitchen.Moment(x).Time().In(v.zone)), Strong: strong}}
	case Line:
		return x
	case nil:
		return nil
	}
	return Line{{Text: fmt.Sprint(value), Strong: strong, Code: code}}
}

// chargers counts chargers in words.
func (v Voice) chargers(n int) string { return v.count("chargers", n, nil) }

// more counts chargers above the count in words.
func (v Voice) more(n int) string { return v.count("more", n, nil) }

// short keeps a word that somebody typed from filling the screen.
func short(word string) string {
	const most = 40
	runes := []rune(word)
	if len(runes) <= most {
		return word
	}
	return string(runes[:most-1]) + "…"
}

// message makes a message of lines, leaving out those that say nothing.
func message(lines ...Line) Message {
	var m Message
	for _, l := range lines {
		if len(l) > 0 {
			m.Lines = append(m.Lines, l)
		}
	}
	return m
}

// with gives m with buttons.
func (m Message) with(buttons ...Button) Message {
	m.Buttons = append(m.Buttons, buttons...)
	return m
}

// button draws one button about a batch.
func (v Voice) button(b *kitchen.Batch, label phrase, line string, n int) Button {
	return Button{Label: v.word(label, keptOf(b)), Tap: kitchen.Tap{
		Line: line + " " + b.Vessel, Batch: b.ID, Turn: b.Turn, N: n,
	}}
}

// word gives a phrase as plain text.
func (v Voice) word(p phrase, vals values) string { return v.say(p, vals).Plain() }

// main marks a button as the thing to do next.
func main(b Button) Button {
	b.Main = true
	return b
}
