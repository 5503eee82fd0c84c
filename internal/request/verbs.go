package request

import "slices"

// hit is a verb that was found, and its tokens.
type hit struct {
	saying
	ask  bool
	toks []int
}

// hits finds the verbs of a line, in order.
func (s *sentence) hits() []hit {
	var all []hit
	taken := -1
	for i := range s.toks {
		if i <= taken || !s.free(i) || len(s.toks[i].known.sayings) == 0 || i > 0 && s.toks[i].kind != word {
			continue
		}
		if h, ok := s.verbAt(i); ok {
			all = append(all, h)
			taken = h.toks[len(h.toks)-1]
		}
	}
	return all
}

// verbAt finds the longest verb that begins at i. The vessel may stand inside
// it: "set A down".
func (s *sentence) verbAt(i int) (hit, bool) {
	for k := range s.toks[i].known.sayings {
		say := &s.toks[i].known.sayings[k]
		var at [longestSaying]int
		j, found := i, 0
		for found < len(say.words) && j < len(s.toks) {
			if found > 0 && s.toks[j].text != say.words[found] {
				j += s.tagBefore(j, say.words[found])
			}
			if !s.free(j) || s.toks[j].text != say.words[found] {
				break
			}
			at[found] = j
			found++
			j++
		}
		if found < len(say.words) {
			continue
		}
		h := hit{saying: *say, toks: append([]int(nil), at[:found]...)}
		h.ask = say.plain == anOrder && !s.past(i, j) || say.plain == withPlea && s.polite()
		return h, true
	}
	return hit{}, false
}

// tagBefore gives the length of a tag at i that the word follows, or 0.
func (s *sentence) tagBefore(i int, word string) int {
	for n := 1; n <= longestTag && i+n < len(s.toks); n++ {
		if s.toks[i+n].text != word {
			continue
		}
		if _, of, ok := s.tagAt(i); ok && of == n {
			return n
		}
	}
	return 0
}

// longestTag is how many words a tag has that may stand inside a verb.
const longestTag = 3

// longestSaying is how many words a saying of a verb has at most.
const longestSaying = 12

// past says that the order from i up to j was carried out: its last word ends
// in a sharp accent, or "I have" goes before it.
func (s *sentence) past(i, j int) bool {
	if i > 1 && (s.toks[i-1].text == "de" || s.toks[i-1].text == "d'") { // "acabo de ventear"
		i--
	}
	return s.toks[j-1].sharp || i > 0 && s.toks[i-1].role&hadWord != 0
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
