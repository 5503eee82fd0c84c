package chat

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"ventbell/internal/door"
	"ventbell/internal/voice"
)

// Slack's markup escapes & < > and nothing else. What a person typed may hold
// the signs for bold, italics, struck and code as well, and no escape exists
// for those: they become signs that look alike and mean nothing. So no name,
// however it is written, mentions anybody, begins a quotation or carries the
// layout away.

// markup is a piece of a line as Slack's markup.
type markup struct {
	text string
	span bool // bold or code: needs a boundary on both sides
}

// mark gives a line as Slack's markup.
func mark(l voice.Line) string {
	var b strings.Builder
	var before markup
	for _, p := range l {
		next := markPiece(p)
		if next.text == "" {
			continue
		}
		if before.span && joins(firstRune(next.text)) || next.span && joins(lastRune(before.text)) {
			b.WriteRune(zeroSpace)
		}
		b.WriteString(next.text)
		before = next
	}
	return unquoted(b.String())
}

func markPiece(p voice.Piece) markup {
	switch {
	case p.Person != nil, p.Page != "":
		return markup{text: plainPiece(p)}
	case !p.Time.IsZero():
		return bold(p.Strong, when(p))
	case p.Code:
		if code := escape(strings.ReplaceAll(p.Text, "`", "")); code != "" {
			return markup{text: "`" + code + "`", span: true}
		}
		return markup{}
	}
	return bold(p.Strong, clean(p.Text))
}

// plainPiece gives a piece as it stands in the text beside the blocks.
func plainPiece(p voice.Piece) string {
	switch {
	case p.Page != "": // nothing that anybody typed comes here
		return "<!" + p.Pages() + ">"
	case p.Person != nil && p.Ring && person.MatchString(p.Person.ID):
		return "<@" + p.Person.ID + ">"
	case p.Person != nil && p.Ring:
		return "@" + clean(p.Person.Name)
	case p.Person != nil:
		return clean(p.Person.Name)
	case !p.Time.IsZero():
		return p.Time.Format(layout(p))
	}
	return clean(p.Text)
}

// person is what Slack's ids of people look like. Only such an id is put into
// markup.
var person = regexp.MustCompile(`^[UW][A-Z0-9]+$`)

// when gives a time as Slack draws it, in the zone of whoever reads. Where
// that does not work the kitchen's own clock time stands, as it always does in
// the text beside the blocks.
func when(p voice.Piece) string {
	form := "{time}"
	if strings.Contains(layout(p), "05") {
		form = "{time_secs}"
	}
	return fmt.Sprintf("<!date^%d^%s|%s>", p.Time.Unix(), form, p.Time.Format(layout(p)))
}

func layout(p voice.Piece) string {
	if p.Clock == "" {
		return "15:04"
	}
	return p.Clock
}

// bold sets text between stars, its outer spaces outside: stars beside a space
// are just stars.
func bold(strong bool, text string) markup {
	inner := strings.TrimSpace(text)
	if !strong || inner == "" {
		return markup{text: text}
	}
	head, tail, _ := strings.Cut(text, inner)
	return markup{text: head + "*" + inner + "*" + tail, span: true}
}

// zeroSpace parts a bold word from the word it touches, which Slack's markup
// wants; it takes no room.
const zeroSpace = '\u200b'

// joins says that a span may not touch r.
func joins(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '*' || r == '`'
}

func firstRune(s string) rune { r, _ := utf8.DecodeRuneInString(s); return r }
func lastRune(s string) rune  { r, _ := utf8.DecodeLastRuneInString(s); return r }

// clean gives text as markup that reads as the text and does nothing.
func clean(text string) string { return lookalike.Replace(escape(text)) }

var lookalike = strings.NewReplacer(door.Lookalikes()...)

// escape makes text one line that holds no markup of Slack's in angle
// brackets.
func escape(text string) string {
	return escapes.Replace(door.OneLine(text))
}

var escapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

// unquoted keeps a line that begins with > from becoming a quotation, which
// Slack makes of the escaped sign too.
func unquoted(line string) string {
	if strings.HasPrefix(strings.TrimLeft(line, " "), "&gt;") {
		return string(wordJoiner) + line
	}
	return line
}

// wordJoiner has no width and no meaning to Slack.
const wordJoiner = '\u2060'
