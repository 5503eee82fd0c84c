package request

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// corrections are what each language says before it says otherwise. Common
// practice, no source.
var corrections = map[tongue][]string{
	inEnglish: {
		"no wait", "wait no", "wait", "scratch that", "i mean", "i meant", "sorry i mean", "sorry i meant", "no sorry", "make that", "no make that", "make it", "no make it", "actually no",
		"correction", "rather", "instead",
	},
	inSpanish: {"no espera", "espera no", "mejor", "no mejor", "mejor dicho", "digo", "perdon digo", "quiero decir", "no perdon", "mas bien"},
	inFrench:  {"non attends", "attends non", "plutot", "non plutot", "je veux dire", "pardon je veux dire", "enfin non", "non pardon", "ou plutot"},
}

// mostParts is at how many places a line is taken apart.
const mostParts = 3

// inParts reads a line that makes no sense as one and does in two: two requests
// in one line, a correction ("ginger gin 400 no wait 300"), "not gin, vodka". What
// is meant of it is always asked, one tap a request.
func (r *Reader) inParts(text string, c Context, p Problem) (Reading, bool) {
	switch p.Code {
	case Refused, NoDefault, TooLong, Empty:
		return Reading{}, false
	}
	s := r.sentence(text, c)
	if len(s.toks) < 2 || len(s.toks) > maxTerms {
		return Reading{}, false
	}
	for i, tried := 0, 0; i < len(s.toks) && tried < mostParts; i++ {
		end, is := s.joint(i)
		if is == noJoint || end >= len(s.toks) {
			continue
		}
		tried++
		first, second := "", text[s.toks[end].at:]
		if i > 0 {
			first = text[:s.toks[i-1].end]
		}
		if g, ok := r.both(first, second, c, is); ok {
			return g, true
		}
		i = max(i, end-1)
	}
	return Reading{}, false
}

// joint is what stands between two parts of a line.
type joint uint8

const (
	noJoint joint = iota
	another       // "and", a comma, a verdict behind a step
	instead       // a correction
)

// joint says what joins the token at i to what goes before it, and gives the token
// that the second part begins with.
func (s *sentence) joint(i int) (int, joint) {
	if end, ok := s.phraseAt(i, corrected); ok {
		return end, instead
	}
	if i == 0 {
		return i, noJoint
	}
	if s.is(i, andWord) || s.toks[i].text == "then" || s.toks[i].text == "luego" || s.toks[i].text == "puis" {
		return i + 1, another
	}
	if strings.ContainsAny(s.src[s.toks[i-1].end:s.toks[i].at], ",;.\n") {
		if end, ok := s.phraseAt(i, corrected); ok {
			return end, instead
		}
		return i, another
	}
	for is := range verdictPhrases {
		if _, ok := s.phraseAt(i, is); ok {
			return i, another
		}
	}
	return i, noJoint
}

// both asks which of two parts is meant, if the second is a request.
func (r *Reader) both(first, second string, c Context, is joint) (Reading, bool) {
	before := r.sentence(first, c)
	says := len(before.hits()) > 0
	a, b := Reading{}, r.sentence(second, c).read()
	if first != "" {
		a = before.read()
	}
	if is == instead && a.Request != nil && b.Request != nil && b.Request.Verb == Resting && b.Request.Vessel != "" { // "charged A no wait B"
		other := *a.Request
		other.Vessel = b.Request.Vessel
		b.Request = &other
	}
	if b.Request == nil && is == instead { // "400 no wait 300"
		b = r.sentence(r.unnumbered(first, c)+" "+second, c).read()
	}
	if b.Request == nil && a.Request != nil && a.Request.Vessel != "" { // "and labelled it"
		b = r.sentence(second+" "+written(a.Request.Vessel), c).read()
	}
	denied := before.roles&denial != 0 || len(before.toks) == 0
	switch {
	case b.Request == nil:
		return Reading{}, false
	case a.Request == nil && is == another && !denied, a.Request != nil && a.Request.Verb == Taste && b.Request.Verb == Taste: // "weak or strong"
		return Reading{}, false
	}
	options := addOption(nil, *b.Request)
	if a.Request != nil && is == another {
		options = addOption(addOption(nil, *a.Request), *b.Request)
	} else if a.Request != nil {
		options = addOption(options, *a.Request)
	}
	if len(options) == 1 && looks(b.Request.Verb) && says { // what was said first must not get lost
		return Reading{}, false
	}
	if len(options) == 1 && looks(b.Request.Verb) {
		return Reading{Request: b.Request}, true
	}
	return ask(WhichMeant, second, options), true
}

// unnumbered gives a line without its amounts.
func (r *Reader) unnumbered(text string, c Context) string {
	s := r.sentence(text, c)
	var kept strings.Builder
	at := 0
	for i := 0; i < len(s.toks); i++ {
		_, _, end, measured := s.measureAt(i)
		if !measured {
			_, end, measured = s.numberAt(i)
		}
		if !measured || i == 0 && s.toks[i].kind == word {
			continue
		}
		kept.WriteString(text[at:s.toks[i].at])
		at = s.toks[end-1].end
		i = end - 1
	}
	kept.WriteString(text[at:])
	return kept.String()
}

// aside reads a line that says nothing about the kitchen ("thanks", "good
// morning"), or no more than a vessel ("A?"), or a vessel and what came out of it.
func (s *sentence) aside() (Reading, bool) {
	st := &step{sentence: s.copied(), req: Request{Verb: Strained}, ask: true}
	st.vessels, st.unclear = st.sentence.vessels(Strained)
	empty := func() bool {
		return !slices.ContainsFunc(st.toks, func(t token) bool {
			return !t.used && t.kind != sign && (t.kind != word || t.role&filler == 0 || t.known.fraction.d != 0 || t.known.number != 0)
		})
	}
	if s.asked && len(st.vessels) == 0 && s.roles&(chargerNoun|denial) == chargerNoun { // "chargers?"
		one := st.copied()
		for i := range one.toks {
			if one.is(i, chargerNoun) {
				one.use(i, i+1)
			}
		}
		if _, more := one.unread(); !more {
			return understood(Request{Verb: Asks, Topic: ChargersFor}), true
		}
	}
	if empty() {
		switch {
		case len(st.vessels) == 1:
			return understood(Request{Verb: Resting, Vessel: st.vessels[0].text}), true
		case len(st.vessels) > 1:
			return Reading{}, false
		case s.asked || s.asks() || slices.ContainsFunc(st.toks, func(t token) bool { return !t.used && t.role&denial != 0 }):
			return Reading{}, false
		case slices.ContainsFunc(s.open, func(o Open) bool { return o.Mine && o.Due != "" }):
			return understood(Request{Verb: Asks, Topic: OwnBoard}), true
		}
		return problem(Problem{Code: NothingDue, Example: string(Resting), Another: string(Help)}), true
	}
	if len(st.vessels) != 1 || s.roles&denial != 0 {
		return Reading{}, false
	}
	from := st.vessels[0].from
	if fault := st.cameOut(); fault != nil || st.req.Volume == 0 && st.bare == nil || !empty() {
		return Reading{}, false
	}
	said := slices.ContainsFunc(s.toks, func(t token) bool {
		switch t.text {
		case "out", "got", "from", "of", "de", "saque", "salieron", "quedaron", "obtenu", "ai":
			return true
		}
		return false
	})
	if from > 0 && !said {
		return Reading{}, false
	}
	return st.choose(), true
}

// narrow writes the wide letters and digits of an East Asian keyboard as plain ones.
func narrow(r rune) rune {
	if r >= 0xFF01 && r <= 0xFF5E {
		return r - 0xFF01 + '!'
	}
	return r
}

// isWide says that such a letter stands in a line.
func isWide(text string) bool {
	return strings.ContainsFunc(text, func(r rune) bool { return r >= 0xFF01 && r <= 0xFF5E })
}

// widened gives a problem of a narrowed line as one of the line that was typed.
func widened(p *Problem, narrowed, text string) {
	from := utf8.RuneCountInString(narrowed[:p.Where])
	to := from + utf8.RuneCountInString(p.Word)
	at, n := [2]int{len(text), len(text)}, 0
	for i := range text {
		if n == from {
			at[0] = i
		}
		if n == to {
			at[1] = i
		}
		n++
	}
	p.Where, p.Word = at[0], text[at[0]:at[1]]
}
