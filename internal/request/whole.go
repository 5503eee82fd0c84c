package request

import (
	"iter"
	"regexp"
	"slices"
	"strings"

	"ventbell/internal/book"
)

const (
	// whoNamed is somebody who is mentioned: "@bar-2", or as the platform writes it.
	whoNamed = `<?@([^\s<>|@,;!?]+)(?:\|[^>]*)?>?`
	please   = `(?:please|pls|plz|por favor|porfa|s'il te plait|s'il vous plait|svp|stp)`
)

// politely gives a form as a whole line, with what is said for politeness around it.
func politely(form string) *regexp.Regexp {
	return regexp.MustCompile(`^(?:` + please + `[ ,]*)?(?:` + form + `)[ ,]*(?:` + please + `)?[ .!]*$`)
}

// whole is one way to say something, in one language, that counts only as a whole
// line. Its form is held against the folded line.
type whole struct {
	code  string // of the language; empty = of more than one
	verb  Verb
	topic Topic
	form  *regexp.Regexp
}

// wholes are ways to say something.
type wholes struct {
	// hints are how a word begins that such a line has in it; also tells of a line
	// that may be one without any. Most lines have neither and need no further look.
	hints []string
	also  func(src string) bool
	most  int // bytes of such a line; 0 = as many as any
	forms []whole
}

// wholeMatch is a line that is one of those ways.
type wholeMatch struct {
	whole
	text string // the line, its gaps narrowed
	from []int  // the byte of text for each of the folded one
	at   []int  // the groups, in the folded one
}

// mentions says that somebody is mentioned.
func mentions(src string) bool { return strings.Contains(src, "@") }

// hinted says that one of the ways can be meant by a line.
func (w *wholes) hinted(l *line) bool {
	if w.also != nil && w.also(l.src) {
		return true
	}
	return slices.ContainsFunc(l.toks, func(t token) bool {
		return t.kind == word && slices.ContainsFunc(w.hints, func(h string) bool { return strings.HasPrefix(t.text, h) })
	})
}

// in gives the ways in which a line can be meant, in their order.
func (w *wholes) in(l *line) iter.Seq[wholeMatch] {
	return func(yield func(wholeMatch) bool) {
		if !w.hinted(l) {
			return
		}
		text := strings.Join(strings.Fields(l.src), " ")
		if w.most > 0 && len(text) > w.most {
			return
		}
		plain, from := folded(text)
		for _, f := range w.forms {
			if at := f.form.FindStringSubmatchIndex(plain); at != nil && !yield(wholeMatch{f, text, from, at}) {
				return
			}
		}
	}
}

// groups gives what the groups of a form found, by their names, as it was typed.
func (m wholeMatch) groups() iter.Seq2[string, string] {
	return func(yield func(string, string) bool) {
		for i, name := range m.form.SubexpNames() {
			if i > 0 && m.at[2*i] >= 0 && !yield(name, m.text[m.from[m.at[2*i]]:m.from[m.at[2*i+1]]]) {
				return
			}
		}
	}
}

// last gives what the last of the groups found; empty if none did.
func (m wholeMatch) last() string {
	found := ""
	for _, text := range m.groups() {
		found = text
	}
	return found
}

// folded gives a text in small letters without accents, and for each of its bytes,
// and its end, the byte of the text that it stands for.
func folded(text string) (plain string, from []int) {
	var b strings.Builder
	for at, r := range text {
		small := " "
		switch {
		case isApostrophe(r):
			small = "'"
		case r != ' ':
			small = book.Fold(string(r))
		}
		b.WriteString(small)
		for range len(small) {
			from = append(from, at)
		}
	}
	return b.String(), append(from, len(text))
}
