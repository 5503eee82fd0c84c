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
	"strings"
	"time"
	"unicode/utf8"

	"ventbell/internal/book"
)

// The most characters and words that a line may have. Whoever needs help gets it
// in one of more words too.
const (
	longest   = 4000
	mostWords = 250
)

// Reader reads lines against one book. It is made once for a book and may be
// used by several goroutines.
type Reader struct {
	book  *book.Book
	lex   *lexicon
	index *index
	tags  []tag
	verbs wordList // the words that are a verb by themselves
	// measured are the words of measures.
	measured wordList
}

// NewReader makes a reader for a book.
func NewReader(b *book.Book) *Reader {
	if b == nil {
		b = &book.Book{}
	}
	lex := allTables().in(b.House, every)
	r := &Reader{book: b, lex: lex, index: newIndex(b, lex)}
	for _, v := range b.Vessels {
		r.tags = addTag(r.tags, v.Tag)
	}
	r.verbs = lex.singleVerbs()
	r.measured = lex.measures()
	return r
}

// Read reads one line by itself. Who reads many makes a Reader once.
func Read(line string, c Context) Reading { return NewReader(c.Book).Read(line, c) }

// Read reads one line. The reader's own book counts, whatever c holds.
func (r *Reader) Read(text string, c Context) Reading {
	if len(text) > longest && (len(text) > 4*longest || utf8.RuneCountInString(text) > longest) {
		return problem(Problem{Code: TooLong, Example: r.sentence("", c).anyStart()})
	}
	if isWide(text) {
		narrowed := strings.Map(narrow, text)
		g := r.Read(narrowed, c)
		if g.Problem != nil {
			widened(g.Problem, narrowed, text)
		}
		return g
	}
	s := r.sentence(text, c)
	if g, ok := s.forget(); ok {
		return g
	}
	if g, ok := s.people(); ok {
		return g
	}
	if g, ok := s.lot(c); ok {
		return g
	}
	if g, ok := s.traces(); ok {
		return g
	}
	if g, ok := s.handsTo(); ok {
		g.Language = s.language(s.home)
		return g
	}
	g := s.read()
	if g.Language == "" {
		g.Language = s.language(s.home)
	}
	if g.Problem != nil {
		if parts, ok := r.inParts(text, c, *g.Problem); ok {
			parts.Language = g.Language
			return parts
		}
	}
	return g
}

// sentence makes a line ready for reading.
func (r *Reader) sentence(text string, c Context) *sentence {
	s := &sentence{Reader: r, now: c.Now, open: c.Open, home: r.own(c)}
	s.line = cut(text)
	s.know(c.Open)
	return s
}

// withoutAVerb reads the lines that need no verb: "on", "done", "rest 90".
func (s *sentence) withoutAVerb(hits []hit) (Reading, bool) {
	if len(hits) > 0 || len(s.toks) > maxTerms {
		return Reading{}, false
	}
	for _, read := range []func() (Reading, bool){s.shift, s.done, s.restFor} {
		if r, ok := read(); ok {
			return r, true
		}
	}
	return Reading{}, false
}

// own gives the kitchen's own language.
func (r *Reader) own(c Context) string {
	for _, language := range []string{c.Language, r.book.House.Language} {
		if language != "" {
			return language
		}
	}
	return tongues[0].code
}

// read reads the line. What is urgent goes before everything, then what tells
// of gas.
func (s *sentence) read() Reading {
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
	hits := s.hits()
	h, help := urgent(hits)
	if r, ok := s.fixedLine(); ok && h.verb != Emergency {
		return r
	}
	if r, ok := s.decline(); ok && h.verb != Emergency {
		return r
	}
	if r, ok := s.closes(); ok && h.verb != Emergency {
		return r
	}
	if help {
		s.useAll(h.toks)
		return s.look(h.saying)
	}
	if len(s.toks) > mostWords {
		return problem(Problem{Code: TooLong, Example: s.anyStart()})
	}
	if r, ok := s.stock(); ok {
		return r
	}
	if r, ok := s.moreGas(hits); ok {
		return r
	}
	if r, ok := s.taste(); ok {
		return r
	}
	if r, ok := s.withoutAVerb(hits); ok {
		return r
	}
	if r, ok := s.longerByStart(hits); ok {
		return r
	}
	if i := slices.IndexFunc(hits, func(h hit) bool { return h.verb == Offer }); i >= 0 {
		s.useAll(hits[i].toks)
		return s.offer()
	}
	if s.asksSomebody(hits) {
		return s.offer()
	}
	if h, ok := s.question(hits); ok {
		s.useAll(h.toks)
		return s.look(h.saying)
	}
	switch len(verbsOf(hits)) {
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
	now   time.Time
	home  string // the kitchen's own language
	open  []Open
	tags  []tag // of the book, and of the open batches
	roles role  // of all its words
	// wondering says that the line is a question, in which a small "a" before its
	// words is an article.
	wondering bool
	told      []tag // the vessels that are introduced as such
}

// stranger is what is known of a word that stands in no table and no book.
var stranger = entry{id: -1, day: dayless, week: dayless}

// urgent gives the word for trouble that a line holds, the worst first: whoever
// needs help gets it, whatever else the line says.
func urgent(hits []hit) (hit, bool) {
	for _, v := range []Verb{Emergency, Trouble, Help} {
		if i := slices.IndexFunc(hits, func(h hit) bool { return h.verb == v }); i >= 0 {
			return hits[i], true
		}
	}
	return hit{}, false
}

// question gives the question that a line is: one that begins with it, or that
// asks anyway.
func (s *sentence) question(hits []hit) (hit, bool) {
	for k, h := range hits {
		if (h.verb == Asks || h.verb == Resting) && (k == 0 || s.asked || s.asks() || looks(hits[0].verb)) {
			if i := slices.IndexFunc(hits, func(o hit) bool { return o.topic == UseBy }); h.topic == TimeLeft && i >= 0 {
				h = hits[i] // "how long does it keep"
			} else if h.topic == TimeLeft && s.toks[len(s.toks)-1].text == "last" { // "how long does it last"
				h.topic = UseBy
			}
			return h, true
		}
	}
	return hit{}, false
}

// asksSomebody says that somebody else is asked to take a batch: "can bar-2 take B".
func (s *sentence) asksSomebody(hits []hit) bool {
	i := slices.IndexFunc(hits, func(h hit) bool { return h.verb == Take })
	if i < 0 || !s.asks() || !s.offered() {
		return false
	}
	for _, t := range s.toks[:hits[i].toks[len(hits[i].toks)-1]] {
		if t.text == "i" || t.text == "we" || t.text == "yo" || t.text == "je" {
			return false
		}
	}
	s.useAll(hits[i].toks)
	return true
}

// looks says that a verb changes no batch: a word that it doesn't know is
// passed over.
func looks(v Verb) bool {
	switch v {
	case Help, Resting, Asks, Trouble, Emergency, OnShift, OffShift:
		return true
	}
	return false
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
	if h.ask && !risky(h.verb) && s.finished() {
		h.ask = false
	}
	switch {
	case h.verb == Start && (s.toks[h.toks[0]].text == "fire" || s.toks[h.toks[0]].text == "smoke"): // without a batch it is no order for one
		if r := s.copied().start(); r.Problem == nil {
			return r
		}
		return s.look(saying{verb: Emergency, kind: Fire})
	case h.verb == Start:
		return s.start()
	case h.verb == Again:
		return s.again()
	case looks(h.verb):
		return s.look(h.saying)
	}
	return s.step(h.verb, h.ask)
}

// risky says that believing a verb too soon could hurt somebody.
func risky(v Verb) bool {
	switch v {
	case Charged, GasIn, NoGas, MoreGas, Vented:
		return true
	}
	return false
}

// finished says that the line says a word for "done": "label A done".
func (s *sentence) finished() bool {
	for i := range s.toks {
		if _, ok := s.phraseAt(i, allDone); ok && s.toks[i].text != "ya" {
			return true
		}
	}
	return false
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
		one := s.copied()
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
		return s.notRead(text, at, s.anyLine())
	case 1:
		return s.notRead(text, at, options[0].Line)
	}
	return ask(WhichMeant, text, options)
}

// withoutVerb reads a line that says no verb: a longer rest, a slip of the
// thumb, or the name of something to start.
func (s *sentence) withoutVerb() Reading {
	if r, ok := s.asksOfAllergens(); ok {
		return r
	}
	if r, ok := s.aside(); ok {
		return r
	}
	if r, ok := s.longer(); ok && (r.Problem == nil || s.spans() || s.roles&denial != 0 || !s.namesSomething()) {
		return r
	}
	if r, ok := s.misspelt(); ok {
		return r
	}
	if r, ok := s.misspeltStart(); ok {
		return r
	}
	if s.namesSomething() {
		asks := s.asksOfPlan()
		r := s.start()
		switch {
		case r.Request != nil && asks: // "how much ginger for 2 L gin": the plan of it says
			return ask(WhichMeant, string(Start), addOption(nil, *r.Request))
		case r.Request != nil && (s.asked || s.asks() && !s.offered()): // "rhubarb gin?" may only ask how it does
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
	return s.notRead(text, at, "")
}

// asksOfPlan says that a line asks what a batch takes ("how many grams", "recipe
// for"); the words that ask then count as read.
func (s *sentence) asksOfPlan() bool {
	i := 0
	for i < len(s.toks) && s.toks[i].role&article != 0 || i < len(s.toks) && s.toks[i].text == "the" {
		i++
	}
	if i >= len(s.toks) {
		return false
	}
	switch s.toks[i].text {
	case "recipe", "receta", "recette":
		return true
	case "how", "what", "cuanto", "cuanta", "cuantos", "que", "combien", "quelle", "quel":
	default:
		return false
	}
	for s.use(i, i+1); i < len(s.toks); i++ {
		switch s.toks[i].text {
		case "much", "many", "grams", "gramos", "grammes", "temp", "temperature", "temperatura", "do", "need", "weight", "goes":
			s.use(i, i+1)
		}
	}
	return true
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
		_, _, two := s.index.split(t.text)
		if t.known.id >= 0 || two || len(s.index.guesses(t.text)) > 0 {
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
