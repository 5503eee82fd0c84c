package request

import (
	"math/bits"
	"slices"
	"strings"

	"ventbell/internal/book"
)

// term is one word of a line that may belong to a name.
type term struct {
	from, to int // its tokens
	text     string
	id       int     // in the index; -1 when the book doesn't know it
	guesses  []guess // of what the book doesn't know; else its plural or singular
	spare    bool    // it means nothing, or something else, outside a name
}

// pair is a botanical on a liquid, by their places in the book.
type pair struct{ solid, liquid int }

// match is what the words of a line name: one recipe or several that it could
// be, else pairs that no recipe joins, else a problem.
type match struct {
	recipes []int
	pairs   []pair
	fit     int  // how well the pairs fit
	half    bool // the botanical was not said in full
	code    ProblemCode
	refused int // the botanical at fault
	from    int // the token at fault
	to      int
	terms   []term
	taken   uint32 // the terms that the name is made of
	nearest []int  // recipes, nearest first
}

// maxTerms is how many words a name is looked for in. Nobody says more of one
// batch, and it bounds the work.
const maxTerms = 24

// names finds what the words of the line that are left over name. What is
// exact wins over what is near, and a name said in full over half a name.
func (s *sentence) names() match {
	terms := s.terms()
	m := match{terms: terms, code: NoRecipe}
	meant := slices.DeleteFunc(slices.Clone(terms), func(t term) bool { return t.spare })
	switch {
	case len(meant) == 0:
		return m
	case len(terms) > maxTerms:
		return s.unknown(m, meant)
	}
	joined := s.joined(terms)
	for _, as := range [][]term{terms, joined} {
		if found := s.exact(as); found.code == "" || found.code == Refused {
			return found
		}
	}
	for _, as := range [][]term{terms, joined} {
		s.guess(as)
		if found := s.fuzzy(as); found.code == "" || found.code == Refused {
			s.spelt(found.terms)
			return found
		}
	}
	return s.unknown(m, meant)
}

// spelt notes which words of the book the misspelt ones are, for the language
// that the line is in.
func (s *sentence) spelt(terms []term) {
	for _, t := range terms {
		if t.id < 0 && len(t.guesses) > 0 {
			s.toks[t.from].known = s.lex.entries[s.index.words[t.guesses[0].id].text]
		}
	}
}

// terms gives the words of the line that are left over.
func (s *sentence) terms() []term {
	terms := make([]term, 0, 8)
	for i, t := range s.toks {
		if t.used || t.kind != word && !t.name {
			continue
		}
		_, _, warm := s.warmAt(i)
		word := term{from: i, to: i + 1, text: t.text, id: t.known.id, spare: !t.name && (t.role&filler != 0 || warm)}
		if word.id >= 0 {
			word.guesses = s.index.twins[word.id]
		}
		terms = append(terms, word)
	}
	return terms
}

// joined gives the terms with a word put together that was typed in two ("lemon
// grass") and two words taken apart that were typed as one ("peppertequila").
func (s *sentence) joined(terms []term) []term {
	var out []term
	for i := 0; i < len(terms); i++ {
		t := terms[i]
		if i+1 < len(terms) && terms[i+1].from == t.to {
			text := t.text + terms[i+1].text
			if id, ok := s.index.has(text); ok {
				out = append(out, term{from: t.from, to: terms[i+1].to, text: text, id: id})
				i++
				continue
			}
		}
		if t.id < 0 && !t.spare {
			if a, b, ok := s.index.split(t.text); ok {
				out = append(out, term{from: t.from, to: t.to, text: s.index.words[a].text, id: a},
					term{from: t.from, to: t.to, text: s.index.words[b].text, id: b})
				continue
			}
		}
		out = append(out, t)
	}
	if len(out) == len(terms) || len(out) > maxTerms {
		return nil
	}
	return out
}

// split takes a word apart into two words of the book.
func (x *index) split(text string) (int, int, bool) {
	if len(text) > book.LongestWord {
		return 0, 0, false
	}
	for i := 3; i+3 <= len(text); i++ {
		a, ok1 := x.has(text[:i])
		b, ok2 := x.has(text[i:])
		if ok1 && ok2 {
			return a, b, true
		}
	}
	return 0, 0, false
}

// guess looks up what the unknown words may have been meant for.
func (s *sentence) guess(terms []term) {
	for i, t := range terms {
		if t.id < 0 && !t.spare && t.guesses == nil {
			terms[i].guesses = s.index.guesses(t.text)
		}
	}
}

// corrected replaces each unknown word by the one word of the book that it is
// clearly nearest to.
func (s *sentence) corrected(terms []term) ([]term, bool) {
	fixed := slices.Clone(terms)
	for i, t := range fixed {
		if t.id >= 0 || t.spare {
			continue
		}
		if len(t.guesses) == 0 || len(t.guesses) > 1 && t.guesses[1].off == t.guesses[0].off {
			return nil, false
		}
		id := t.guesses[0].id
		fixed[i].id, fixed[i].text, fixed[i].guesses = id, s.index.words[id].text, nil
	}
	return fixed, true
}

// unknown is the answer when nothing fits: the word at fault is the first that
// the book doesn't know, else all that was said.
func (s *sentence) unknown(m match, meant []term) match {
	m.code, m.taken = UnknownRecipe, 0
	m.from, m.to = meant[0].from, meant[len(meant)-1].to
	for _, t := range meant {
		if t.id < 0 {
			m.from, m.to = t.from, t.to
			break
		}
	}
	m.nearest = s.nearest(meant[:min(len(meant), maxTerms)])
	return m
}

// nearest gives the recipes by how near the terms come to them: by the words
// that they share with a name or that are said of what it is made of, then by the
// letters.
func (s *sentence) nearest(terms []term) []int {
	s.guess(terms)
	var all strings.Builder
	for _, t := range terms {
		if !t.spare && all.Len() < book.LongestWord {
			all.WriteString(t.text)
		}
	}
	type rank struct{ recipe, shared, off int }
	best := make([]rank, len(s.book.Recipes))
	said := all.String()
	for r := range best {
		best[r] = rank{recipe: r, off: book.Distance(said, s.index.joined[r], farthest)}
		for _, t := range terms {
			if t.id >= 0 && s.index.about[r][t.id] {
				best[r].shared += 3
			}
		}
	}
	for _, at := range s.index.recipes.among(terms) {
		n := s.index.recipes.list[at]
		taken, edits, _ := s.index.cover(terms, n, 0)
		best[n.of].shared = max(best[n.of].shared, 4*bits.OnesCount32(taken)-edits)
	}
	slices.SortStableFunc(best, func(a, b rank) int {
		if a.shared != b.shared {
			return b.shared - a.shared
		}
		return a.off - b.off
	})
	var recipes []int
	for _, b := range best {
		if b.shared <= 0 && b.off > farthest { // nothing of it was said
			break
		}
		recipes = append(recipes, b.recipe)
	}
	return recipes
}

// farthest is from how many edits on a name is no nearer than any other.
const farthest = 6

// span gives the tokens from the first taken term to the last.
func span(terms []term, taken uint32) (from, to int) {
	for i, t := range terms {
		if taken&(1<<i) == 0 {
			continue
		}
		if to == 0 {
			from = t.from
		}
		to = t.to
	}
	return from, to
}
