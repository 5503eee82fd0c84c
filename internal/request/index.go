package request

import (
	"slices"
	"strings"

	"ventbell/internal/book"
)

// known is one word that stands in the book, or that is a verb by itself.
type known struct {
	text string
	say  saying // of a verb
}

// named is one name or alias of something in the book, as the ids of its words.
type named struct {
	of    int // index into the book's own list
	words []int
	own   bool // the book says it, not the tables of goods
}

// names is a list of names, and by word the places of those that hold it.
type names struct {
	list []named
	with map[int][]int
}

// index is a book's names, made ready for matching.
type index struct {
	words   []known
	shapes  []shape // of the words
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
	small       []bool          // by word: it means nothing by itself
	twins       [][]guess       // by word: the same one in the plural or the singular
}

func newIndex(b *book.Book, lex *lexicon) *index {
	x := &index{lex: lex, beside: map[[2]int]bool{}, bones: map[string]int{}}
	solidAt, baseAt := map[string]int{}, map[string]int{}
	for i, l := range b.Liquids {
		x.addGood(&x.liquids, i, namesOf(l.Name, l.Aliases), liquidShelf(), b.House.Country)
		first(baseAt, l.Name, i)
	}
	for i, s := range b.Botanicals {
		x.addGood(&x.solids, i, namesOf(s.Name, s.Aliases), botanicalShelf(), b.House.Country)
		first(solidAt, s.Name, i)
	}
	x.own(&x.liquids)
	x.own(&x.solids)
	for i, r := range b.Recipes {
		from := len(x.recipes.list)
		own := namesOf(r.Name, r.Aliases)
		x.add(&x.recipes, i, own, true)
		x.joined = append(x.joined, strings.Join(own[0], ""))
		x.solidOf = append(x.solidOf, placeOf(solidAt, r.Solid))
		x.baseOf = append(x.baseOf, placeOf(baseAt, r.Base))
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
	botanicalShelf().tell(lex)
	liquidShelf().tell(lex)
	for _, list := range []*names{&x.recipes, &x.solids, &x.liquids, &x.halfSolids, &x.halfLiquids} {
		list.sort()
	}
	x.twins = make([][]guess, len(x.words))
	for id, w := range x.words {
		x.small = append(x.small, lex.role(w.text)&filler != 0)
		for _, s := range []string{"s", "es"} {
			if other, ok := x.has(w.text + s); ok {
				x.twins[id], x.twins[other] = append(x.twins[id], guess{id: other}), append(x.twins[other], guess{id: id})
			}
		}
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
func (x *index) own(list *names) {
	owner := map[string]int{}
	for _, n := range list.list {
		if n.own {
			owner[x.text(n.words)] = n.of
		}
	}
	list.list = slices.DeleteFunc(list.list, func(n named) bool {
		at, told := owner[x.text(n.words)]
		return told && at != n.of
	})
}

// text writes the words of a name.
func (x *index) text(ids []int) string {
	words := make([]string, 0, 4)
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
		words := make([]string, 0, len(n.words))
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
	seen := map[[2]int]bool{}
	for _, n := range list {
		words := n.words
		if last {
			words = words[len(words)-1:]
		}
		for k, id := range words {
			half := [2]int{n.of, id}
			if !whole[id] && x.lex.role(x.words[id].text)&filler == 0 && !seen[half] {
				seen[half] = true
				out.list = append(out.list, named{of: n.of, words: words[k : k+1]})
			}
		}
	}
	return out
}

// texts gives the words of a name as the reader cuts them.
func texts(name string) []string {
	toks := cut(name).toks
	all := make([]string, 0, len(toks))
	for _, t := range toks {
		all = append(all, t.text)
	}
	return all
}

// namesOf gives a name and its aliases as words, the name first.
func namesOf(name string, aliases []string) [][]string {
	all := make([][]string, 0, len(aliases)+1)
	for _, n := range append([]string{name}, aliases...) {
		all = append(all, texts(n))
	}
	return all
}

func same(a, b string) bool { return book.Fold(a) == book.Fold(b) }

// first notes the first place of a name.
func first(at map[string]int, name string, i int) {
	if _, known := at[book.Fold(name)]; !known {
		at[book.Fold(name)] = i
	}
}

// placeOf gives the place of a name, -1 for none.
func placeOf(at map[string]int, name string) int {
	if i, known := at[book.Fold(name)]; known {
		return i
	}
	return -1
}

// addGood adds a botanical or a liquid by its own names and by those that it has
// in every language.
func (x *index) addGood(list *names, of int, own [][]string, goods *shelf, country string) {
	x.add(list, of, own, true)
	x.add(list, of, saidIn(country, goods.more(own)), false)
}

// add adds names of a thing, unless they are there.
func (x *index) add(list *names, of int, names [][]string, own bool) {
	from := len(list.list)
	for from > 0 && list.list[from-1].of == of {
		from--
	}
	for _, words := range names {
		ids := make([]int, 0, len(words))
		for _, text := range words {
			ids = append(ids, x.id(text))
		}
		known := slices.ContainsFunc(list.list[from:], func(o named) bool { return slices.Equal(o.words, ids) })
		if len(ids) > 0 && !known {
			list.list = append(list.list, named{of: of, words: ids, own: own})
		}
	}
}

func (x *index) id(text string) int {
	e := x.lex.entry(text)
	if e.id < 0 {
		e.id = len(x.words)
		x.words = append(x.words, known{text: text})
		x.shapes = append(x.shapes, shapeOf(text))
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
	typed := shapeOf(text)
	var all []guess
	for id := range x.shapes {
		if x.shapes[id].most(&typed) == 0 {
			continue
		}
		if d, ok := near(text, x.words[id].text, &typed, &x.shapes[id]); ok {
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
