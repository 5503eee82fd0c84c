// Package request reads one line of chat. With what the reader may know beside
// it (the book, the open batches, the time) a line becomes a Request, or a
// Question that its options answer in full, or a Problem that says what to type
// instead; always exactly one of the three. It plans nothing, holds nothing
// between two lines and words nothing: a vessel or a count is never picked from
// a word that could mean something else, and a step is never confirmed by a
// line with a word in it that was not understood.
package request

import (
	"slices"
	"time"
	"unicode/utf8"

	"ventbell/internal/book"
)

// longest is how many characters a line may have.
const longest = 4000

// Reader reads lines against one book. It is made once for a book and may be
// used by several goroutines.
type Reader struct {
	book  *book.Book
	lex   *lexicon
	index *index
	tags  []tag
	verbs []known // the words that are a verb by themselves, for slips of the thumb
}

// NewReader makes a reader for a book.
func NewReader(b *book.Book) *Reader {
	if b == nil {
		b = &book.Book{}
	}
	lex := compile(b.House, english)
	r := &Reader{book: b, lex: lex, index: newIndex(b, lex)}
	for _, v := range b.Vessels {
		r.tags = addTag(r.tags, v.Tag)
	}
	r.verbs = lex.singleVerbs()
	return r
}

// Read reads one line by itself. Who reads many makes a Reader once.
func Read(line string, c Context) Reading { return NewReader(c.Book).Read(line, c) }

// Read reads one line. The reader's own book counts, whatever c holds.
func (r *Reader) Read(text string, c Context) Reading {
	s := &sentence{Reader: r, now: c.Now, open: c.Open}
	if len(text) > longest && (len(text) > 4*longest || utf8.RuneCountInString(text) > longest) {
		return problem(Problem{Code: TooLong, Example: s.anyStart()})
	}
	s.line = cut(text)
	s.know(c.Open)
	switch {
	case s.asksForADrink():
		return s.drink()
	case len(s.toks) == 0 && s.asked:
		return understood(Request{Verb: Help})
	case len(s.toks) == 0:
		return problem(Problem{Code: Empty, Example: s.anyStart()})
	}
	s.claim()
	s.introduced()
	switch hits := s.hits(); len(verbsOf(hits)) {
	case 0:
		return s.withoutVerb()
	case 1:
		return s.as(hits)
	default:
		return s.severalVerbs(hits)
	}
}

// sentence is one line being read.
type sentence struct {
	*Reader
	line
	now  time.Time
	open []Open
	tags []tag // of the book, and of the open batches
	told []tag // the vessels that are introduced as such
}

// know takes in the tags of the open batches, gives the tokens their roles and
// drops the mentions. A mention that is a vessel's tag is a slip: it is kept.
func (s *sentence) know(open []Open) {
	s.tags = s.Reader.tags
	for _, o := range open {
		if !hasTag(s.tags, o.Vessel) {
			s.tags = addTag(s.tags[:len(s.tags):len(s.tags)], o.Vessel)
		}
	}
	kept := s.toks[:0]
	for _, t := range s.toks {
		if t.kind == mention {
			if !isTag(s.tags, t.text) {
				continue
			}
			t.kind = word
		}
		t.role = s.lex.roles[t.text]
		kept = append(kept, t)
	}
	s.toks = kept
	for i := range s.toks {
		for _, words := range s.lex.asides {
			if end, ok := s.follows(i, words); ok {
				s.use(i, end)
			}
		}
	}
}

// claim marks the names that are said in full, word after word, so that nothing
// else is read out of them.
func (s *sentence) claim() {
	for i := 0; i < len(s.toks); i++ {
		for _, words := range s.index.phrases[s.toks[i].text] {
			if end, ok := s.follows(i, words); ok {
				for k := i; k < end; k++ {
					s.toks[k].name = true
				}
				i = end - 1
				break
			}
		}
	}
}

// hit is a verb that was found, and its tokens.
type hit struct {
	verb Verb
	ask  bool
	toks []int
}

// hits finds the verbs of a line, in order. A word for trouble goes before
// everything: whoever needs help gets it, whatever else the line says.
func (s *sentence) hits() []hit {
	var all []hit
	taken := -1
	for i := range s.toks {
		if i <= taken || !s.free(i) {
			continue
		}
		h, ok := s.verbAt(i)
		if !ok {
			continue
		}
		if h.verb == Help {
			return []hit{h}
		}
		all = append(all, h)
		taken = h.toks[len(h.toks)-1]
	}
	return all
}

// verbAt finds the longest verb that begins at i. The vessel may stand inside
// it: "set A down".
func (s *sentence) verbAt(i int) (hit, bool) {
	for _, say := range s.lex.sayings[s.toks[i].text] {
		h := hit{verb: say.verb, ask: say.plain == anOrder || say.plain == withPlea && s.polite()}
		j := i
		for k, w := range say.words {
			if k > 0 && s.free(j) && s.toks[j].text != w {
				if _, n, ok := s.tagAt(j); ok {
					j += n
				}
			}
			if !s.free(j) || s.toks[j].text != w {
				break
			}
			h.toks = append(h.toks, j)
			j++
		}
		if len(h.toks) == len(say.words) {
			return h, true
		}
	}
	return hit{}, false
}

// polite says that the line says please.
func (s *sentence) polite() bool {
	return slices.ContainsFunc(s.toks, func(t token) bool { return t.role&plea != 0 })
}

func verbsOf(hits []hit) []Verb {
	var all []Verb
	for _, h := range hits {
		if !slices.Contains(all, h.verb) {
			all = append(all, h.verb)
		}
	}
	return all
}

// as reads the line as its one verb.
func (s *sentence) as(hits []hit) Reading {
	h := hits[0]
	for k, again := range hits {
		// Said twice, a charge could be two: the second word then stays unread.
		if k == 0 || h.verb != Charged && h.verb != NoGas && h.verb != GasIn {
			s.useAll(again.toks)
			h.ask = h.ask && again.ask
		}
	}
	switch h.verb {
	case Start:
		if len(s.toks) == 1 && s.toks[0].text == "fire" { // alone it is no order for a batch
			return understood(Request{Verb: Help})
		}
		return s.start()
	case Help, Resting:
		return s.look(h.verb)
	}
	return s.step(h.verb, h.ask)
}

func (s *sentence) useAll(toks []int) {
	for _, i := range toks {
		s.toks[i].used = true
	}
}

// severalVerbs asks which of several verbs is meant, of those that the line
// can be read with.
func (s *sentence) severalVerbs(hits []hit) Reading {
	var options []Option
	verbs := verbsOf(hits)
	if len(verbs) > maxOptions {
		verbs = nil // no answer would fit
	}
	for _, v := range verbs {
		one := *s
		one.toks = slices.Clone(s.toks)
		var own []hit
		for _, h := range hits {
			if h.verb == v {
				own = append(own, h)
			} else {
				one.useAll(h.toks)
			}
		}
		if r := one.as(own); r.Request != nil {
			options = addOption(options, *r.Request)
		}
	}
	second := hits[slices.IndexFunc(hits, func(h hit) bool { return h.verb != hits[0].verb })]
	text, at := s.said(second.toks[0], second.toks[len(second.toks)-1]+1)
	switch len(options) {
	case 0:
		return problem(Problem{Code: UnknownVerb, Word: text, Where: at, Example: s.anyLine()})
	case 1:
		return problem(Problem{Code: UnknownVerb, Word: text, Where: at, Example: options[0].Line})
	}
	return ask(WhichMeant, text, options)
}

// withoutVerb reads a line that says no verb: a longer rest, a slip of the
// thumb, or the name of something to start.
func (s *sentence) withoutVerb() Reading {
	if r, ok := s.longer(); ok {
		return r
	}
	if r, ok := s.misspelt(); ok {
		return r
	}
	if r, ok := s.misspeltStart(); ok {
		return r
	}
	if s.namesSomething() {
		r := s.start()
		switch {
		case r.Request != nil && s.asked: // "rhubarb gin?" may only ask how it does
			return ask(WhichMeant, string(Start), addOption(nil, *r.Request))
		case r.Problem == nil, !s.asked && !s.asks():
			return r
		}
	}
	text, at := s.said(0, 1)
	for i, t := range s.toks {
		if t.role&filler == 0 {
			text, at = s.said(i, i+1)
			break
		}
	}
	return problem(Problem{Code: UnknownVerb, Word: text, Where: at, Example: s.anyLine()})
}

// namesSomething says that a word of the line is one of the book's, or nearly,
// or that a volume is said.
func (s *sentence) namesSomething() bool {
	for i, t := range s.toks {
		if _, u, _, ok := s.measureAt(i); ok && u.measure != ofTime {
			return true
		}
		if t.kind != word || t.role&filler != 0 || i >= maxTerms {
			continue
		}
		_, known := s.index.ids[t.text]
		_, _, two := s.index.split(t.text)
		if known || two || len(s.index.guesses(t.text)) > 0 {
			return true
		}
	}
	return false
}

// unread gives the first token that nothing has been read from and that means
// something.
func (s *sentence) unread() (int, bool) {
	for i, t := range s.toks {
		if !t.used && t.kind != sign && (t.role&filler == 0 || t.kind != word) {
			return i, true
		}
	}
	return 0, false
}

// look reads a line that changes nothing: help and the board. It never fails,
// so a word that it doesn't know is passed over.
func (s *sentence) look(v Verb) Reading {
	req := Request{Verb: v}
	tags, _ := s.vessels(v)
	if len(tags) == 1 {
		req.Vessel = tags[0].text
	} else if o := s.titled(); len(o) == 1 && len(tags) == 0 {
		req.Vessel = o[0].Vessel
	}
	return understood(req)
}

func understood(r Request) Reading { return Reading{Request: &r} }

func problem(p Problem) Reading { return Reading{Problem: &p} }

// maxOptions is how many options a question has at most.
const maxOptions = 3

// addOption adds a request as an option, unless its line is there already.
func addOption(options []Option, r Request) []Option {
	line := r.String()
	known := slices.ContainsFunc(options, func(o Option) bool { return o.Line == line })
	if known || len(options) == maxOptions {
		return options
	}
	return append(options, Option{Label: line, Line: line})
}

// ask makes a question. A question has two options at least; where only one is
// left the other is to look at the board.
func ask(code QuestionCode, word string, options []Option) Reading {
	if len(options) < 2 {
		options = addOption(options, Request{Verb: Resting})
	}
	return Reading{Question: &Question{Code: code, Word: word, Options: options}}
}
