package request

import (
	"cmp"
	"slices"
	"strings"
)

// Taste says how a batch came out, by Verdict.
const Taste Verb = "taste"

// Verdict is what was said of a batch once it was tasted, or of its solids.
type Verdict string

// The verdicts.
const (
	Weak      Verdict = "weak"
	Right     Verdict = "right"
	Strong    Verdict = "strong"
	Spent     Verdict = "spent"      // of the solids: nothing is left in them
	GoodAgain Verdict = "good again" // of the solids: they do for another use
)

// AboutSolids says that a verdict is about the solids and not the taste.
func (v Verdict) AboutSolids() bool { return v == Spent || v == GoodAgain }

// verdictPhrases are the kinds of the phrases that say a verdict. They stand
// apart from those of the other phrases.
var verdictPhrases = map[phraseKind]Verdict{101: Weak, 102: Right, 103: Strong, 104: Spent, 105: GoodAgain}

// addTastes adds one language's words for a verdict.
func (lex *lexicon) addTastes(of tongue) {
	for is, verdict := range verdictPhrases {
		for _, text := range tastes[of][verdict] {
			for _, form := range forms(text) {
				e := lex.at(form, of)
				e.phrases = append(e.phrases, phrase{form, is})
			}
		}
	}
}

// taste reads a line that says a verdict and what of, and how much came out, and
// nothing else: a line with any other word in it is something else. A word that
// says good of anything is a taste only with its vessel; a recipe with an amount
// is one only where the verdict is said at length ("came out strong"), since
// "strong rhubarb gin 400ml" may be meant to begin.
func (s *sentence) taste() (Reading, bool) {
	if s.asked || s.asks() {
		return Reading{}, false
	}
	verdicts := s.verdicts()
	if len(verdicts) == 0 {
		return Reading{}, false
	}
	st := &step{sentence: s.copied(), req: Request{Verb: Taste, Verdict: verdicts[0].verdict}}
	long := false
	for _, v := range verdicts {
		st.use(v.from, v.to)
		long = long || v.to-v.from > 1
		if v.verdict != st.req.Verdict {
			st.req.Also = v.verdict
		}
	}
	for i := range st.toks { // "done" is a step, whatever else is said of it, and "not" turns all around
		_, done := st.phraseAt(i, allDone)
		_, heard := st.phraseAt(i, onlyHeard)
		if done || heard || st.is(i, denial) {
			return Reading{}, false
		}
	}
	if st.cameOut() != nil {
		return Reading{}, false
	}
	st.vessels, st.unclear = st.sentence.vessels(Taste)
	st.open = slices.DeleteFunc(slices.Clone(s.open), func(o Open) bool {
		return !slices.ContainsFunc(suits[Taste], func(phases []string) bool { return slices.Contains(phases, o.Phase) })
	})
	st.titled = st.sentence.titled()
	if len(st.titled) == 0 && len(st.vessels) == 0 {
		st.req.Recipe = st.named()
	}
	if _, more := st.unread(); more {
		return Reading{}, false
	}
	measured := st.req.Volume > 0 || st.req.Solids > 0 || st.bare != nil
	switch {
	case st.req.Recipe != "" && measured && !long:
		return Reading{}, false
	case st.req.Recipe != "":
		return understood(st.told("")), true
	case len(st.vessels)+len(st.titled) == 0 && !long && st.req.Verdict == Right:
		return Reading{}, false
	}
	return st.choose(), true
}

// saidOfIt is a verdict and the tokens that say it.
type saidOfIt struct {
	verdict  Verdict
	from, to int
}

// verdicts finds what a line says of a batch and of its solids, the batch first:
// one of each at most, else it says nothing that can be meant.
func (s *sentence) verdicts() []saidOfIt {
	var found []saidOfIt
	for i := 0; i < len(s.toks); i++ {
		said, end := s.longest(i)
		if said == "" {
			continue
		}
		if slices.ContainsFunc(found, func(o saidOfIt) bool { return o.verdict.AboutSolids() == said.AboutSolids() }) {
			return nil
		}
		found = append(found, saidOfIt{said, i, end})
		i = end - 1
	}
	if len(found) == 2 && found[0].verdict.AboutSolids() {
		slices.Reverse(found)
	}
	return found
}

// longest gives the longest verdict that begins at i.
func (s *sentence) longest(i int) (best Verdict, end int) {
	for is, verdict := range verdictPhrases {
		if n, ok := s.phraseAt(i, is); ok && n > end {
			best, end = verdict, n
		}
	}
	return best, end
}

// named gives the one recipe that all words left speak of; they then count as
// read.
func (s *sentence) named() string {
	name := s.copied().recipe()
	i := slices.IndexFunc(s.index.joined, func(joined string) bool { return joined == strings.Join(texts(name), "") })
	if name == "" || i < 0 {
		return ""
	}
	for k, t := range s.toks {
		if t.used || t.kind != word || !s.index.about[i][t.known.id] {
			continue
		}
		s.use(k, k+1)
	}
	return name
}

// tasteLine writes what was said of a batch.
func (r Request) tasteLine() string {
	parts := []string{string(Taste), string(r.Verdict)}
	if r.Also != "" {
		parts = append(parts, "solids "+string(r.Also))
	}
	if r.Recipe+r.Vessel != "" {
		parts = append(parts, cmp.Or(r.Recipe, written(r.Vessel)))
	}
	if r.Solids > 0 {
		parts = append(parts, grams(r.Solids))
	}
	if r.Volume > 0 {
		parts = append(parts, millilitres(r.Volume))
	}
	return strings.Join(parts, " ")
}
