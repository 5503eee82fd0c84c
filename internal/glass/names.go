package glass

import (
	"cmp"
	"slices"
	"strings"

	"ventbell/internal/book"
)

// named is one name of something that can be poured.
type named struct {
	words  []string
	recipe *book.Recipe
	liquid *book.Liquid
	own    *ingredient
}

// title is the name as the book or our table writes it.
func (n named) title() string {
	switch {
	case n.recipe != nil:
		return n.recipe.Name
	case n.liquid != nil:
		return n.liquid.Name
	case n.own != nil:
		return n.own.name
	}
	return ""
}

// namesOf lists everything that can be poured under each of its names: the
// infusions, then the liquids of the book, then our own ingredients.
func namesOf(b *book.Book) []named {
	all := make([]named, 0, 2*(len(b.Recipes)+len(b.Liquids)+len(ingredients)))
	add := func(n named, name string, aliases []string) {
		for _, text := range append([]string{name}, aliases...) {
			n.words = texts(scan(text))
			all = append(all, n)
		}
	}
	for i := range b.Recipes {
		if b.Recipes[i].Product != book.SolidKept { // a pickle is not poured
			add(named{recipe: &b.Recipes[i]}, b.Recipes[i].Name, b.Recipes[i].Aliases)
		}
	}
	for i := range b.Liquids {
		add(named{liquid: &b.Liquids[i]}, b.Liquids[i].Name, b.Liquids[i].Aliases)
	}
	for i := range ingredients {
		add(named{own: &ingredients[i]}, ingredients[i].name, ingredients[i].aliases)
	}
	return all
}

// texts gives the words and figures of a name as a line is cut.
func texts(toks []token) []string {
	var words []string
	for _, t := range toks {
		if t.kind == word || t.kind == number {
			words = append(words, t.text)
		}
	}
	return words
}

// find gives what the words name. In their order and exact goes first, then in
// any order, then the one that is nearest within the slack of each word.
func find(all []named, words []string) (named, *Problem) {
	for _, n := range all {
		if slices.Equal(n.words, words) {
			return n, nil
		}
	}
	best, found := -1, []named(nil)
	for _, n := range all {
		off, ok := fit(words, n.words)
		switch {
		case !ok || best >= 0 && off > best:
		case off < best || best < 0:
			best, found = off, []named{n}
		case !slices.ContainsFunc(found, func(f named) bool { return f.title() == n.title() }):
			found = append(found, n)
		}
	}
	switch {
	case len(found) == 1, len(found) > 1 && best == 0:
		return found[0], nil
	case len(found) > 1:
		p := &Problem{Code: WhichPart}
		for _, f := range found[:min(len(found), mostNames)] {
			p.Names = append(p.Names, f.title())
		}
		return named{}, p
	}
	return named{}, &Problem{Code: UnknownPart, Names: nearest(all, words)}
}

// fit gives how many edits the typed words are off a name, if each stands for
// one word of it and none is left over.
func fit(typed, name []string) (int, bool) {
	if len(typed) != len(name) {
		return 0, false
	}
	left := slices.Clone(name)
	sum := 0
	for _, t := range typed {
		best, at := -1, -1
		for i, n := range left {
			if d, ok := slip(t, n); ok && (best < 0 || d < best) {
				best, at = d, i
			}
		}
		if at < 0 {
			return 0, false
		}
		sum += best
		left = slices.Delete(left, at, at+1)
	}
	return sum, true
}

// nearest gives the names nearest to the words: by the words they share, then
// by the letters.
func nearest(all []named, words []string) []string {
	type rank struct {
		title       string
		shared, off int
	}
	typed := strings.Join(words, " ")
	ranks := make([]rank, 0, len(all))
	for _, n := range all {
		r := rank{title: n.title(), off: book.Distance(typed, strings.Join(n.words, " "), book.LongestWord)}
		for _, w := range words {
			if slices.ContainsFunc(n.words, func(k string) bool { _, ok := slip(w, k); return ok }) {
				r.shared++
			}
		}
		ranks = append(ranks, r)
	}
	slices.SortStableFunc(ranks, func(a, b rank) int {
		return cmp.Or(cmp.Compare(b.shared, a.shared), cmp.Compare(a.off, b.off))
	})
	var titles []string
	for _, r := range ranks {
		if !slices.Contains(titles, r.title) && len(titles) < mostNames {
			titles = append(titles, r.title)
		}
	}
	return titles
}

// slip gives how far a typed word is from a known one, if that is within the
// slack: none up to three letters, one up to five, two above. A figure is never
// guessed: "3:1" is not "2:1". The beginning must agree, or a dime of something
// would be lime.
func slip(typed, known string) (int, bool) {
	if typed == known {
		return 0, true
	}
	slack := 2
	switch n := len(known); {
	case n <= 3 || len(typed) < 3 || isDigit(known[0]):
		return 0, false
	case n <= 5:
		slack = 1
	}
	if typed[0] != known[0] && typed[0] != known[1] && typed[1] != known[0] {
		return 0, false
	}
	if off := len(typed) - len(known); off > slack || off < -slack {
		return 0, false
	}
	d := book.Distance(typed, known, slack)
	return d, d <= slack
}
