package request

import (
	"slices"
	"strings"

	"ventbell/internal/book"
)

// known is one word that stands in the book.
type known struct {
	text    string
	letters uint32
}

// named is one name or alias of something in the book, as the ids of its words.
type named struct {
	of    int // index into the book's own list
	words []int
}

// index is a book's names, made ready for matching.
type index struct {
	words   []known
	ids     map[string]int
	recipes []named
	solids  []named
	liquids []named
	// Half names: a word of a longer name, where no whole name is that word
	// ("pepper" of hot pepper and of black pepper, "oil" of olive oil).
	halfSolids  []named
	halfLiquids []named
	beside      map[[2]int]bool       // words that stand side by side in a botanical or a liquid
	about       []map[int]bool        // by recipe: the words that can be said of it
	phrases     map[string][][]string // names and aliases of recipes by first word, longest first
	solidOf     []int                 // by recipe; -1 when the book lacks it
	baseOf      []int                 // likewise
	joined      []string              // by recipe: its name without gaps
}

func newIndex(b *book.Book, lex *lexicon) *index {
	x := &index{ids: map[string]int{}, phrases: map[string][][]string{}, beside: map[[2]int]bool{}}
	for i, l := range b.Liquids {
		x.liquids = x.add(x.liquids, i, l.Name, l.Aliases)
	}
	for i, s := range b.Botanicals {
		x.solids = x.add(x.solids, i, s.Name, s.Aliases)
	}
	for i, r := range b.Recipes {
		from := len(x.recipes)
		x.recipes = x.add(x.recipes, i, r.Name, r.Aliases)
		x.joined = append(x.joined, strings.Join(texts(r.Name), ""))
		x.solidOf = append(x.solidOf, slices.IndexFunc(b.Botanicals, func(s book.Botanical) bool { return same(s.Name, r.Solid) }))
		x.baseOf = append(x.baseOf, slices.IndexFunc(b.Liquids, func(l book.Liquid) bool { return same(l.Name, r.Base) }))
		x.about = append(x.about, x.wordsAbout(i, x.recipes[from:]))
	}
	x.phrase(x.recipes, 1)
	x.phrase(x.solids, 2)
	x.phrase(x.liquids, 2)
	longestFirst(x.phrases, func(words []string) []string { return words })
	for _, n := range slices.Concat(x.solids, x.liquids) {
		for i := range len(n.words) - 1 {
			x.beside[[2]int{n.words[i], n.words[i+1]}] = true
		}
	}
	x.halfSolids = x.halves(x.solids, lex, false)
	x.halfLiquids = x.halves(x.liquids, lex, true)
	return x
}

// phrase notes the names of at least so many words, as they stand in a line.
func (x *index) phrase(list []named, least int) {
	for _, n := range list {
		if len(n.words) < least {
			continue
		}
		var words []string
		for _, id := range n.words {
			words = append(words, x.words[id].text)
		}
		x.phrases[words[0]] = append(x.phrases[words[0]], words)
	}
}

// halves gives the words of the longer names, or only the last of each, that
// are no whole name and mean nothing else.
func (x *index) halves(list []named, lex *lexicon, last bool) []named {
	whole := map[int]bool{}
	for _, n := range list {
		if len(n.words) == 1 {
			whole[n.words[0]] = true
		}
	}
	var out []named
	for _, n := range list {
		words := n.words
		if last {
			words = words[len(words)-1:]
		}
		for _, id := range words {
			again := slices.ContainsFunc(out, func(o named) bool { return o.of == n.of && o.words[0] == id })
			if !whole[id] && lex.roles[x.words[id].text]&filler == 0 && !again {
				out = append(out, named{of: n.of, words: []int{id}})
			}
		}
	}
	return out
}

// texts gives the words of a name as the reader cuts them.
func texts(name string) []string {
	var all []string
	for _, t := range cut(name).toks {
		all = append(all, t.text)
	}
	return all
}

func same(a, b string) bool { return book.Fold(a) == book.Fold(b) }

func (x *index) add(list []named, of int, name string, aliases []string) []named {
	for _, n := range append([]string{name}, aliases...) {
		var ids []int
		for _, text := range texts(n) {
			ids = append(ids, x.id(text))
		}
		if len(ids) > 0 {
			list = append(list, named{of: of, words: ids})
		}
	}
	return list
}

func (x *index) id(text string) int {
	id, ok := x.ids[text]
	if !ok {
		id = len(x.words)
		x.ids[text] = id
		x.words = append(x.words, known{text, letters(text)})
	}
	return id
}

// wordsAbout gives the words that may be said beside the name of a recipe
// without meaning anything else: those of its own names, of its solid and of
// its liquid ("pepper tequila, 50 g chile").
func (x *index) wordsAbout(recipe int, own []named) map[int]bool {
	about := map[int]bool{}
	put := func(list []named, of int) {
		for _, n := range list {
			for _, id := range n.words {
				if n.of == of {
					about[id] = true
				}
			}
		}
	}
	put(own, recipe)
	put(x.solids, x.solidOf[recipe])
	put(x.liquids, x.baseOf[recipe])
	return about
}

// guess is a word of the book that a typed word may have been meant for.
type guess struct{ id, off int }

// guesses gives the words of the book near a typed one, nearest first.
func (x *index) guesses(text string) []guess {
	set := letters(text)
	var all []guess
	for id, w := range x.words {
		if d, ok := near(text, w.text, set, w.letters); ok {
			all = append(all, guess{id, d})
		}
	}
	slices.SortStableFunc(all, func(a, b guess) int { return a.off - b.off })
	return all
}

// recipeOf gives the recipes that are made of a solid and a liquid.
func (x *index) recipesOf(solid, liquid int) []int {
	var all []int
	for r := range x.solidOf {
		if x.solidOf[r] == solid && x.baseOf[r] == liquid {
			all = append(all, r)
		}
	}
	return all
}
