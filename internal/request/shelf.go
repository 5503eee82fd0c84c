package request

import (
	"slices"
	"strings"
)

// shelf is the tables of goods, by name.
type shelf struct {
	goods []good
	by    map[string][]int // by a name: the goods that bear it, by an English one first
}

func newShelf(goods []good) *shelf {
	s := &shelf{goods: goods, by: map[string][]int{}}
	for _, list := range []func(good) string{ // a book in English wins
		func(g good) string { return g.en }, func(g good) string { return g.es }, func(g good) string { return g.fr },
	} {
		for i, g := range goods {
			for _, name := range split(list(g)) {
				s.by[name] = append(s.by[name], i)
			}
		}
	}
	return s
}

func split(list string) []string { return strings.Split(list, ", ") }

// aliases gives the aliases of something in the book with the names that it has
// in every language. What it is, its own name tells; where that tells nothing,
// an alias does.
func (s *shelf) aliases(name string, own []string) []string {
	all := slices.Clone(own)
	for _, i := range s.find(name, own) {
		g := s.goods[i]
		for _, list := range []string{g.en, g.es, g.fr} {
			for _, text := range split(list) {
				all = append(all, text)
				if bare := unaccented(text); bare != text && strings.Contains(text, " ") {
					all = append(all, bare)
				}
			}
		}
	}
	return all
}

// unaccented writes a name as a thumb without accents does.
func unaccented(text string) string {
	if !strings.Contains(text, "té") && !strings.Contains(text, "thé") {
		return text
	}
	return strings.ReplaceAll(strings.ReplaceAll(text, "thé", "the"), "té", "te")
}

func (s *shelf) find(name string, own []string) []int {
	for _, text := range append([]string{name}, own...) {
		if at := s.by[strings.Join(texts(text), " ")]; len(at) > 0 {
			return at[:1]
		}
	}
	return nil
}

// tell notes the languages that the names of the goods of a book belong to.
func (s *shelf) tell(lex *lexicon) {
	for _, g := range s.goods {
		for _, l := range []struct {
			list string
			in   tongue
		}{{g.en, inEnglish}, {g.es, inSpanish}, {g.fr, inFrench}} {
			for _, name := range split(l.list) {
				for _, text := range texts(name) {
					if e := lex.entries[text]; e != nil {
						e.named |= l.in
					}
				}
			}
		}
	}
}
