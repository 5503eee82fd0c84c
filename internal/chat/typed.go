package chat

import (
	"cmp"
	"regexp"
	"strings"
)

var (
	marked         = regexp.MustCompile(`<([^<>]*)>`)
	leadingMention = regexp.MustCompile(`^\s*<@[^<>]*>`)
	// Slack escapes just these three in what it sends.
	unescape = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&")
)

// unmark gives a message as it was typed: our own mention taken out, other people
// by their ids, channels and links by their names, escapes undone, what a phone's
// keyboard made of it undone as well.
func unmark(text, us string) string {
	text = marked.ReplaceAllStringFunc(text, func(s string) string {
		what, label, _ := strings.Cut(s[1:len(s)-1], "|")
		switch {
		case us != "" && what == "@"+us:
			return " "
		case strings.HasPrefix(what, "@"): // who is named is known by their id
			return what
		case strings.HasPrefix(what, "#"):
			return what[:1] + strings.TrimPrefix(cmp.Or(label, what[1:]), what[:1])
		case strings.HasPrefix(what, "!"): // all who are here, a group of people
			return cmp.Or(label, "@"+what[1:])
		}
		return cmp.Or(label, strings.TrimPrefix(strings.TrimPrefix(what, "mailto:"), "tel:"))
	})
	return keyed(unescape.Replace(text))
}

// keyed gives text with plain quotes and spaces, and with the emoji
// that say yes as the word.
func keyed(text string) string {
	text = tones.ReplaceAllString(text, "")
	text = agreed.ReplaceAllString(text, " ok ")
	return strings.TrimSpace(keyboard.Replace(text))
}

var (
	tones  = regexp.MustCompile(`:skin-tone-[2-6]:`)
	agreed = regexp.MustCompile(`:(\+1|thumbsup|white_check_mark|ok_hand):`)
)

// keyboard undoes what phones put in the place of plain signs: quotes, spaces
// of several widths, signs without any width.
var keyboard = strings.NewReplacer(
	"\u2018", "'", "\u2019", "'", "\u201a", "'", "\u201b", "'",
	"\u201c", `"`, "\u201d", `"`, "\u201e", `"`, "\u201f", `"`,
	"\u00ab", `"`, "\u00bb", `"`,
	"\u00a0", " ", "\u2002", " ", "\u2003", " ", "\u2007", " ", "\u2008", " ", "\u2009", " ", "\u200a", " ", "\u202f", " ",
	"\u200b", "", "\u200c", "", "\u200d", "", "\u2060", "", "\ufeff", "", "\u00ad", "",
)
