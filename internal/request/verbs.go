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
			if worse, found := s.worseIn(h); found {
				h = worse
			}
			all = append(all, h)
			taken = h.toks[len(h.toks)-1]
		}
	}
	return all
}

// worseIn gives what matters more and begins inside the words of a hit: "is frozen
// to the nozzle", "I take the head off".
func (s *sentence) worseIn(h hit) (hit, bool) {
	if h.verb != Trouble && h.verb != Take {
		return hit{}, false
	}
	for _, i := range h.toks[1:] {
		if e, ok := s.verbAt(i); ok && (e.verb == Emergency || h.verb == Take && e.topic == MayOpen) {
			return e, true
		}
	}
	return hit{}, false
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
		h.ask = say.plain == anOrder && !s.past(i, j) && !(s.toks[i].sharp && !risky(say.verb)) || say.plain == withPlea && (s.polite() || s.toCome(i))
		return h, true
	}
	return hit{}, false
}

// tagBefore gives the length of a tag at i that the word follows, or 0.
func (s *sentence) tagBefore(i int, word string) int {
	from := i
	if (s.is(i, place) || s.toks[i].text == "de" || s.toks[i].text == "of") && i+1 < len(s.toks) && s.toks[i+1].text != word { // "charger in A was empty"
		from++
	}
	for n := 1; n <= longestTag && from+n < len(s.toks); n++ {
		if s.toks[from+n].text != word {
			continue
		}
		if _, of, ok := s.tagAt(from); ok && of == n {
			return from + n - i
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

// toCome says that the verb at i is still to be done: "remind me to strain A".
func (s *sentence) toCome(i int) bool {
	if i == 0 {
		return false
	}
	switch s.toks[i-1].text {
	case "to", "will", "gonna", "must", "should", "shall", "wanna", "can", "could":
		return true
	}
	return false
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
