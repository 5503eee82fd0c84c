package request

import (
	"strings"
	"sync"
)

// shelf is the tables of goods, by name.
type shelf struct {
	names [][][]string      // by good: its names in every language, as words
	by    map[string]int    // by a name: the good that bears it, by an English one first
	told  map[string]tongue // by a word: the languages that it belongs to
}

// The shelves of the trade, which no house changes.
var (
	botanicalShelf = sync.OnceValue(func() *shelf { return newShelf(botanicals) })
	liquidShelf    = sync.OnceValue(func() *shelf { return newShelf(liquids) })
)

func newShelf(goods []good) *shelf {
	s := &shelf{names: make([][][]string, len(goods)), by: map[string]int{}, told: map[string]tongue{}}
	for _, l := range []struct {
		list func(good) string
		in   tongue
	}{ // a book in English wins
		{func(g good) string { return g.en }, inEnglish},
		{func(g good) string { return g.es }, inSpanish},
		{func(g good) string { return g.fr }, inFrench},
	} {
		for i, g := range goods {
			for _, name := range split(l.list(g)) {
				s.put(i, name, l.in)
			}
		}
	}
	return s
}

func split(list string) []string { return strings.Split(list, ", ") }

// put notes a name of a good. A tea that lost its accent is one only in a longer
// name: by itself it is a small word.
func (s *shelf) put(of int, name string, in tongue) {
	words := texts(name)
	forms := [][]string{words}
	if _, known := s.by[name]; !known {
		s.by[name] = of
	}
	s.names[of] = append(s.names[of], words)
	if bare := unaccented(name); bare != name {
		forms = append(forms, texts(bare))
		if len(words) > 1 {
			s.names[of] = append(s.names[of], forms[1])
		}
	}
	for _, form := range forms {
		for _, text := range form {
			s.told[text] |= in
		}
	}
}

// unaccented writes a name as a thumb without accents does.
func unaccented(text string) string {
	if !strings.Contains(text, "té") && !strings.Contains(text, "thé") {
		return text
	}
	return strings.ReplaceAll(strings.ReplaceAll(text, "thé", "the"), "té", "te")
}

// more gives the names in every language of something in the book. What it is,
// its own name tells, the first; where that tells nothing, an alias does.
func (s *shelf) more(own [][]string) [][]string {
	for _, words := range own {
		if i, known := s.by[strings.Join(words, " ")]; known {
			return s.names[i]
		}
	}
	return nil
}

// tell notes the languages that the names of the goods of a book belong to.
func (s *shelf) tell(lex *lexicon) {
	for text, in := range s.told {
		if e := lex.entries[text]; e != nil {
			e.named |= in
		}
	}
}
