package request

import (
	"slices"
	"strings"

	"ventbell/internal/book"
)

// known is one word that stands in the book, or that is a verb by itself.
type known struct {
	text    string
	letters uint32
	say     saying // of a verb
}

// named is one name or alias of something in the book, as the ids of its words.
type named struct {
	of    int // index into the book's own list
	words []int
}

// names is a list of names, and by word the places of those that hold it.
type names struct {
	list []named
	with map[int][]int
}

// index is a book's names, made ready for matching.
type index struct {
	words   []known
	lex     *lexicon
	recipes names
	solids  names
	liquids names
	// Half names: a word of a longer name, where no whole name is that word
	// ("pepper" of hot pepper and of black pepper, "oil" of olive oil).
	halfSolids  names
	halfLiquids names
	beside      map[[2]int]bool // words that a botanical or a liquid begins with
	about       []map[int]bool  // by recipe: the words that can be said of it
	bones       map[string]int  // the longer words without their vowels; -1 where two are alike
	solidOf     []int           // by recipe; -1 when the book lacks it
	baseOf      []int           // likewise
	joined      []string        // by recipe: its name without gaps
}

func newIndex(b *book.Book, lex *lexicon) *index {
	x := &index{lex: lex, beside: map[[2]int]bool{}, bones: map[string]int{}}
	solids, liquidNames := newShelf(botanicals), newShelf(liquids)
	for i, l := range b.Liquids {
		x.add(&x.liquids, i, l.Name, liquidNames.aliases(l.Name, l.Aliases))
	}
	for i, s := range b.Botanicals {
		x.add(&x.solids, i, s.Name, solids.aliases(s.Name, s.Aliases))
	}
	x.own(&x.liquids, len(b.Liquids), func(i int) (string, []string) { return b.Liquids[i].Name, b.Liquids[i].Aliases })
	x.own(&x.solids, len(b.Botanicals), func(i int) (string, []string) { return b.Botanicals[i].Name, b.Botanicals[i].Aliases })
	for i, r := range b.Recipes {
		from := len(x.recipes.list)
		x.add(&x.recipes, i, r.Name, r.Aliases)
		x.joined = append(x.joined, strings.Join(texts(r.Name), ""))
		x.solidOf = append(x.solidOf, slices.IndexFunc(b.Botanicals, func(s book.Botanical) bool { return same(s.Name, r.Solid) }))
		x.baseOf = append(x.baseOf, slices.IndexFunc(b.Liquids, func(l book.Liquid) bool { return same(l.Name, r.Base) }))
		x.about = append(x.about, x.wordsAbout(i, x.recipes.list[from:]))
	}
	x.phrase(x.recipes.list, 1)
	x.phrase(x.solids.list, 2)
	x.phrase(x.liquids.list, 2)
	for _, e := range lex.entries {
		longestFirst(e.names, func(words []string) []string { return words })
	}
	for _, n := range slices.Concat(x.solids.list, x.liquids.list) {
		if len(n.words) > 1 {
			x.beside[[2]int{n.words[0], n.words[1]}] = true
		}
	}
	x.halfSolids = x.halves(x.solids.list, false)
	x.halfLiquids = x.halves(x.liquids.list, true)
	solids.tell(lex)
	liquidNames.tell(lex)
	for _, list := range []*names{&x.recipes, &x.solids, &x.liquids, &x.halfSolids, &x.halfLiquids} {
		list.sort()
	}
	for id, w := range x.words {
		if b := bones(w.text); b != "" {
			if _, twice := x.bones[b]; twice {
				id = -1
			}
			x.bones[b] = id
		}
	}
	return x
}

// sort notes which names hold a word.
func (n *names) sort() {
	n.with = map[int][]int{}
	for i, name := range n.list {
		for _, id := range name.words {
			if all := n.with[id]; len(all) == 0 || all[len(all)-1] != i {
				n.with[id] = append(all, i)
			}
		}
	}
}

// among gives the names that hold one of the terms, in order.
func (n *names) among(terms []term) []int {
	var all []int
	for i := range terms {
		if id := terms[i].id; id >= 0 {
			all = append(all, n.with[id]...)
		}
		for _, g := range terms[i].guesses {
			all = append(all, n.with[g.id]...)
		}
	}
	if len(all) > 1 {
		slices.Sort(all)
		all = slices.Compact(all)
	}
	return all
}

// own takes out the names that the tables of goods gave to one thing and the
// book gives to another: the book's own word wins.
func (x *index) own(list *names, n int, of func(int) (string, []string)) {
	owner := map[string]int{}
	for i := range n {
		name, aliases := of(i)
		for _, text := range append([]string{name}, aliases...) {
			owner[x.key(text)] = i
		}
	}
	list.list = slices.DeleteFunc(list.list, func(n named) bool {
		at, told := owner[x.keyOf(n.words)]
		return told && at != n.of
	})
}

func (x *index) key(name string) string { return strings.Join(texts(name), " ") }

func (x *index) keyOf(ids []int) string {
	var words []string
	for _, id := range ids {
		words = append(words, x.words[id].text)
	}
	return strings.Join(words, " ")
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
		e := x.lex.entry(words[0])
		e.names = append(e.names, words)
	}
}

// halves gives the words of the longer names, or only the last of each, that
// are no whole name and mean nothing else.
func (x *index) halves(list []named, last bool) names {
	whole := map[int]bool{}
	for _, n := range list {
		if len(n.words) == 1 {
			whole[n.words[0]] = true
		}
	}
	var out names
	for _, n := range list {
		words := n.words
		if last {
			words = words[len(words)-1:]
		}
		for _, id := range words {
			again := slices.ContainsFunc(out.list, func(o named) bool { return o.of == n.of && o.words[0] == id })
			if !whole[id] && x.lex.role(x.words[id].text)&filler == 0 && !again {
				out.list = append(out.list, named{of: n.of, words: []int{id}})
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

func (x *index) add(list *names, of int, name string, aliases []string) {
	from := len(list.list)
	for _, n := range append([]string{name}, aliases...) {
		var ids []int
		for _, text := range texts(n) {
			ids = append(ids, x.id(text))
		}
		known := slices.ContainsFunc(list.list[from:], func(o named) bool { return slices.Equal(o.words, ids) })
		if len(ids) > 0 && !known {
			list.list = append(list.list, named{of: of, words: ids})
		}
	}
}

func (x *index) id(text string) int {
	e := x.lex.entry(text)
	if e.id < 0 {
		e.id = len(x.words)
		x.words = append(x.words, known{text: text, letters: letters(text)})
	}
	return e.id
}

// has gives the id of a word.
func (x *index) has(text string) (int, bool) {
	if e := x.lex.entries[text]; e != nil && e.id >= 0 {
		return e.id, true
	}
	return 0, false
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
	put(x.solids.list, x.solidOf[recipe])
	put(x.liquids.list, x.baseOf[recipe])
	return about
}

// guess is a word of the book that a typed word may have been meant for.
type guess struct{ id, off int }

// guesses gives the words of the book near a typed one, nearest first.
func (x *index) guesses(text string) []guess {
	set := letters(text)
	var all []guess
	for id := range x.words {
		w := &x.words[id]
		if d, ok := near(text, w.text, set, w.letters); ok {
			all = append(all, guess{id, d})
		}
	}
	if len(all) == 0 {
		if id, ok := x.bones[bare(text)]; ok && id >= 0 {
			all = append(all, guess{id, 1})
		}
	}
	slices.SortStableFunc(all, func(a, b guess) int { return a.off - b.off })
	return all
}

// bones gives a word of six letters and more without its vowels after the first
// letter, if four are left; "" for every other.
func bones(text string) string {
	if len(text) < 6 {
		return ""
	}
	return bare(text)
}

// bare drops the vowels after the first letter: "jlpno" and "jalapeno" agree up
// to the last one.
func bare(text string) string {
	var out []byte
	for i := range len(text) {
		if i == 0 || strings.IndexByte("aeiou", text[i]) < 0 {
			out = append(out, text[i])
		}
	}
	if len(out) < 4 {
		return ""
	}
	return string(out)
}

// recipesOf gives the recipes that are made of a solid and a liquid.
func (x *index) recipesOf(solid, liquid int) []int {
	var all []int
	for r := range x.solidOf {
		if x.solidOf[r] == solid && x.baseOf[r] == liquid {
			all = append(all, r)
		}
	}
	return all
}
