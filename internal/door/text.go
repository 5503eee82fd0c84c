package door

import (
	"strings"
	"unicode"
)

// OneLine makes text one line and drops what has no look of its own but changes
// the look of the rest: control characters, and signs that turn the direction
// of reading.
func OneLine(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t' || r == '\u2028' || r == '\u2029':
			return ' '
		case unicode.IsControl(r), r >= '\u202a' && r <= '\u202e', r >= '\u2066' && r <= '\u2069':
			return -1
		}
		return r
	}, text)
}

// Lookalikes are signs that look like those that chat platforms take for bold,
// italics, struck out and code, and mean nothing; in pairs, for a replacer.
func Lookalikes() []string {
	return []string{
		"*", "\u2217", // asterisk operator
		"_", "\u02cd", // modifier letter low macron
		"~", "\u223c", // tilde operator
		"`", "\u02cb", // modifier letter grave accent
	}
}
