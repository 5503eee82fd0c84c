package request

import (
	"iter"
	"slices"
	"strings"
)

// fixed is one line that counts only as a whole, in one language, word by word: "#"
// stands for a vessel. Small words may stand between them.
type fixed struct {
	words  []string
	verb   Verb
	topic  Topic
	reason bool   // a reason in free words may follow
	code   string // of its language
}

// fixedOf gives the fixed lines of a list, as a table of words has them: a comma
// between them, a "*" at the end of one that a reason may follow.
func fixedOf(code string, verb Verb, topic Topic, lines string) []fixed {
	var list []fixed
	for _, text := range strings.Split(lines, ", ") {
		text, reason := strings.CutSuffix(text, "*")
		for _, form := range forms(text) {
			list = append(list, fixed{words: form, verb: verb, topic: topic, reason: reason, code: code})
		}
	}
	return list
}

// fixedTable is fixed lines in their order, and by their longest word which of them
// have it: a line is held against those only that it has that word of.
type fixedTable struct {
	lines []fixed
	with  map[string][]int
}

func tableOf(lines []fixed) fixedTable {
	t := fixedTable{lines: lines, with: map[string][]int{}}
	for i, f := range lines {
		longest := slices.MaxFunc(f.words, func(x, y string) int { return len(x) - len(y) })
		t.with[longest] = append(t.with[longest], i)
	}
	return t
}

// among gives the fixed lines that a line with these words can be, in their order.
func (t fixedTable) among(toks []token) iter.Seq[fixed] {
	var at []int
	for i, tok := range toks {
		if tok.kind == word && (i == 0 || tok.text != toks[i-1].text) {
			at = append(at, t.with[plainA(tok.text)]...)
		}
	}
	slices.Sort(at)
	return func(yield func(fixed) bool) {
		for _, i := range slices.Compact(at) {
			if !yield(t.lines[i]) {
				return
			}
		}
	}
}

// plainA gives a word as the tables have it, which know no accent: cutting a line
// leaves that of "à".
func plainA(text string) string {
	if text == "à" {
		return "a"
	}
	return text
}

// reads says that the whole line is a fixed one, and how many words it leaves for
// the reason.
func (s *sentence) reads(f fixed) (Request, int, bool) {
	r := Request{Verb: f.verb, Topic: f.topic}
	i := 0
	for k := 0; k < len(f.words); {
		switch {
		case i >= len(s.toks):
			return r, 0, false
		case f.words[k] == "#" && s.vesselAt(i, k+1 < len(f.words) || !f.reason):
			if s.is(i, namer) {
				i++
			}
			t, n, _ := s.namedAt(i)
			r.Vessel = t.text
			i += n
			k++
		case s.toks[i].kind == word && plainA(s.toks[i].text) == f.words[k]:
			i++
			k++
		case s.toks[i].small():
			i++
		default:
			return r, 0, false
		}
	}
	if !slices.ContainsFunc(s.toks[i:], func(t token) bool { return !t.small() && t.kind != sign }) {
		i = len(s.toks) // "please"
	}
	if f.reason && i < len(s.toks) {
		r.Text = s.reasonFrom(i)
		return r, len(s.toks) - i, true
	}
	return r, 0, i == len(s.toks)
}

// small says that a word means nothing here. Whose vessels are meant does.
func (t token) small() bool {
	if t.kind != word || t.role&(filler|greeting|plea|article) == 0 || t.role&(denial|asker) != 0 {
		return false
	}
	return !slices.Contains([]string{"my", "mis", "mes"}, t.text)
}

// vesselAt says that a vessel stands at i. A small "a" is one only where nothing
// but a vessel can stand, or where a colon or the end follows.
func (s *sentence) vesselAt(i int, sure bool) bool {
	if s.is(i, namer) {
		_, _, ok := s.namedAt(i + 1)
		return ok
	}
	_, n, ok := s.namedAt(i)
	if !ok {
		return false
	}
	t := s.toks[i]
	return sure || n > 1 || t.role&article == 0 || t.capital && !s.loud || t.colon || i+1 == len(s.toks)
}

// namedAt gives the tag that stands at i, and its length in tokens, whether it was
// introduced as a vessel or not.
func (s *sentence) namedAt(i int) (tag, int, bool) {
	for _, t := range s.told {
		if t.from == i {
			return t, len(t.words), true
		}
	}
	return s.tagAt(i)
}
