package request

import (
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

// taste reads a line that says a verdict and what of, and nothing else: a line
// with any other word in it is something else. A word that says good of anything
// is a taste only with its vessel.
func (s *sentence) taste() (Reading, bool) {
	if s.asked || s.asks() {
		return Reading{}, false
	}
	verdict, from, to := s.verdict()
	if verdict == "" {
		return Reading{}, false
	}
	st := &step{sentence: s.copied(), req: Request{Verb: Taste, Verdict: verdict}}
	st.use(from, to)
	for i := range st.toks { // "done" is a step, whatever else is said of it, and "not" turns all around
		_, done := st.phraseAt(i, allDone)
		_, heard := st.phraseAt(i, onlyHeard)
		if done || heard || st.is(i, denial) {
			return Reading{}, false
		}
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
	switch {
	case st.req.Recipe != "":
		return understood(st.req), true
	case len(st.vessels)+len(st.titled) == 0 && to-from == 1 && verdict == Right:
		return Reading{}, false
	}
	return st.choose(), true
}

// verdict finds the one verdict of a line, as the tokens that say it.
func (s *sentence) verdict() (found Verdict, from, to int) {
	for i := 0; i < len(s.toks); i++ {
		if len(s.toks[i].known.phrases) == 0 {
			continue
		}
		for is, verdict := range verdictPhrases {
			end, ok := s.phraseAt(i, is)
			switch {
			case !ok:
				continue
			case found != "" && i < to: // a longer one began before
				continue
			case found != "":
				return "", 0, 0
			}
			if longer, n := s.longest(i); n > end {
				verdict, end = longer, n
			}
			found, from, to = verdict, i, end
		}
	}
	return found, from, to
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

// tasteLine writes a verdict.
func (r Request) tasteLine() string {
	text := string(Taste) + " " + string(r.Verdict)
	if r.Recipe != "" {
		return text + " " + r.Recipe
	}
	return strings.TrimRight(text+" "+written(r.Vessel), " ")
}
