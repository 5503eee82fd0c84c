package request

import (
	"math/bits"
	"slices"

	"ventbell/internal/book"
)

// cover looks for the words of a name among the terms. It gives the terms it
// takes, the edits it needs and the words that are missing.
func (x *index) cover(terms []term, n named, taken uint32) (uint32, int, int) {
	edits, missing := 0, 0
	for k, id := range n.words {
		at, off := -1, 0
		for i := range terms {
			d, ok := terms[i].means(id)
			if !ok || taken&(1<<i) != 0 || at >= 0 && d >= off || terms[i].spare && !beside(terms, i, n.words, k) {
				continue
			}
			at, off = i, d
		}
		if at < 0 {
			if !x.link(n.words, k) {
				missing++
			}
			continue
		}
		taken |= 1 << at
		edits += off
	}
	return taken, edits, missing
}

// holds gives what cover gives for a name of which no word may be missing.
func (x *index) holds(terms []term, n named, taken uint32) (uint32, int, bool) {
	for k, id := range n.words { // most names fail at once
		found := x.link(n.words, k)
		for i := range terms {
			if found {
				break
			}
			_, found = terms[i].means(id)
		}
		if !found {
			return 0, 0, false
		}
	}
	took, edits, missing := x.cover(terms, n, taken)
	return took, edits, missing == 0 && took != taken
}

// link says that word k of a name only joins others and may be left out: the "de"
// of "jarabe de cardamomo".
func (x *index) link(words []int, k int) bool {
	return k > 0 && k+1 < len(words) && x.small[words[k]]
}

// means says that a term is a word of the book, or may have been meant for it,
// and by how many edits.
func (t *term) means(id int) (int, bool) {
	if t.id == id {
		return 0, true
	}
	for _, g := range t.guesses {
		if g.id == id {
			return g.off, true
		}
	}
	return 0, false
}

// beside says that the term before or after term i is the word before or after
// word k: only so does a word belong to a name that else means something else
// ("hot pepper", but not "pepper, hot").
func beside(terms []term, i int, words []int, k int) bool {
	if k+1 < len(words) && i+1 < len(terms) {
		if _, ok := terms[i+1].means(words[k+1]); ok {
			return true
		}
	}
	if k > 0 && i > 0 {
		_, ok := terms[i-1].means(words[k-1])
		return ok
	}
	return false
}

// extra says that a term which is not taken says something more. A word said
// twice says nothing more, nor does one that is known about the recipe; a word
// that else means nothing does where it begins a name ("bell pepper").
func (x *index) extra(terms []term, taken uint32, about map[int]bool) bool {
	for i := range terms {
		t := &terms[i]
		if taken&(1<<i) != 0 || t.id >= 0 && about[t.id] {
			continue
		}
		if t.spare && (i+1 == len(terms) || !x.begins(t, &terms[i+1])) {
			continue
		}
		again := slices.ContainsFunc(terms[:i], func(o term) bool { return o.text == t.text })
		if !again {
			return true
		}
	}
	return false
}

// exact matches words just as the book writes them.
func (s *sentence) exact(terms []term) match {
	none := match{code: UnknownRecipe}
	if terms == nil {
		return none
	}
	m := s.whole(terms)
	if len(m.recipes) > 0 {
		return m
	}
	if m, refused := s.refused(terms); refused {
		return m
	}
	if m := s.pairs(terms); m.code == "" {
		return m
	}
	if m := s.several(terms); len(m.recipes) > 1 {
		return m
	}
	return s.part(terms)
}

// fuzzy matches words that are nearly as the book writes them. Only a name said
// in full is taken: half a name, misspelt, is too little.
func (s *sentence) fuzzy(terms []term) match {
	none := match{code: UnknownRecipe}
	if terms == nil {
		return none
	}
	if m := s.whole(terms); len(m.recipes) > 0 {
		return m
	}
	if m, refused := s.refused(terms); refused && !slices.ContainsFunc(terms, lost) {
		return m
	}
	if fixed, ok := s.corrected(terms); ok {
		return s.pairs(fixed)
	}
	return none
}

// lost says that a term is like nothing in the book.
func lost(t term) bool { return t.id < 0 && !t.spare && len(t.guesses) == 0 }

// begins says that two terms stand side by side in the name of a botanical or
// a liquid.
func (x *index) begins(t, next *term) bool {
	if x.beside[[2]int{t.id, next.id}] {
		return true
	}
	return slices.ContainsFunc(next.guesses, func(g guess) bool { return x.beside[[2]int{t.id, g.id}] })
}

// whole finds the recipes one of whose names stands in full among the terms,
// with nothing else. The one with the fewest edits is meant, unless another is
// nearly as near; of two exact ones the longer.
func (s *sentence) whole(terms []term) match {
	type hit struct {
		recipe, edits, words int
		taken                uint32
	}
	var hits []hit
	for _, at := range s.index.recipes.among(terms) {
		n := s.index.recipes.list[at]
		taken, edits, ok := s.index.holds(terms, n, 0)
		if !ok {
			continue
		}
		if s.index.extra(terms, taken, s.index.about[n.of]) {
			continue
		}
		hits = append(hits, hit{n.of, edits, len(n.words), taken})
	}
	slices.SortStableFunc(hits, func(a, b hit) int {
		if a.edits != b.edits {
			return a.edits - b.edits
		}
		return b.words - a.words
	})
	m := match{terms: terms, code: UnknownRecipe}
	for i, h := range hits {
		best := hits[0]
		clear := i > 0 && (best.edits == 0 && (h.edits > 0 || h.words < best.words) || h.edits > best.edits+1)
		if !clear && !slices.Contains(m.recipes, h.recipe) {
			m.recipes, m.code = append(m.recipes, h.recipe), ""
			m.taken = best.taken
		}
	}
	m.from, m.to = span(terms, m.taken)
	return m
}

// several finds two or more recipes said in full, side by side.
func (s *sentence) several(terms []term) match {
	m := match{terms: terms, code: UnknownRecipe}
	for _, at := range s.index.recipes.among(terms) {
		n := s.index.recipes.list[at]
		taken, _, ok := s.index.holds(terms, n, 0)
		if !ok {
			continue
		}
		m.taken |= taken
		if !slices.Contains(m.recipes, n.of) {
			m.recipes = append(m.recipes, n.of)
		}
	}
	if s.index.extra(terms, m.taken, nil) || len(m.recipes) < 2 {
		return match{terms: terms, code: UnknownRecipe}
	}
	m.code = ""
	m.from, m.to = span(terms, m.taken)
	return m
}

// refused finds a refused botanical, whatever else is said.
func (s *sentence) refused(terms []term) (match, bool) {
	for _, at := range s.index.solids.among(terms) {
		n := s.index.solids.list[at]
		if s.book.Botanicals[n.of].Refused == "" {
			continue
		}
		if taken, _, ok := s.index.holds(terms, n, 0); ok {
			m := match{terms: terms, taken: taken, code: Refused, refused: n.of}
			m.from, m.to = span(terms, taken)
			m.nearest = s.nearest(terms)
			return m, true
		}
	}
	return match{}, false
}

// pairs finds a botanical and a liquid with nothing else, said in full or, when
// that gives nothing, by half a name ("pepper vodka").
func (s *sentence) pairs(terms []term) match {
	x := s.index
	solids, halfSolids := x.solids.among(terms), x.halfSolids.among(terms)
	liquids, halfLiquids := x.liquids.among(terms), x.halfLiquids.among(terms)
	for k, lists := range []struct {
		solids, liquids     *names
		solidsAt, liquidsAt []int
	}{
		{&x.solids, &x.liquids, solids, liquids},
		{&x.solids, &x.halfLiquids, solids, halfLiquids},
		{&x.halfSolids, &x.liquids, halfSolids, liquids},
		{&x.halfSolids, &x.halfLiquids, halfSolids, halfLiquids},
	} {
		m := match{terms: terms, half: k >= 2}
		for _, at := range lists.liquidsAt {
			m.join(x, lists.solids, lists.solidsAt, lists.liquids.list[at])
		}
		if len(m.pairs) > 0 {
			m.from, m.to = span(terms, m.taken)
			return m
		}
	}
	return match{terms: terms, code: UnknownRecipe}
}

// join adds the pairs of a liquid with each of the botanicals that take all
// the other terms, if they fit as well as the pairs found before or better:
// "cherry sweet vermouth" is no sweet cherry.
func (m *match) join(x *index, solids *names, among []int, liquid named) {
	first, edits, ok := x.holds(m.terms, liquid, 0)
	if !ok || edits > 0 {
		return
	}
	for _, at := range among {
		solid := solids.list[at]
		taken, edits, ok := x.holds(m.terms, solid, first)
		if !ok || edits > 0 || x.extra(m.terms, taken, nil) {
			continue
		}
		fit := 4*bits.OnesCount32(taken) + unbroken(m.terms, solid) + unbroken(m.terms, liquid)
		if fit > m.fit {
			m.fit, m.pairs, m.taken = fit, nil, 0
		}
		p := pair{solid.of, liquid.of}
		if fit == m.fit && !slices.Contains(m.pairs, p) {
			m.pairs = append(m.pairs, p)
			m.taken |= taken
		}
	}
}

// unbroken gives 1 if the words of a name stand side by side, else 0.
func unbroken(terms []term, n named) int {
	for i := range len(terms) - len(n.words) + 1 {
		k := 0
		for k < len(n.words) && terms[i+k].id == n.words[k] {
			k++
		}
		if k == len(n.words) {
			return 1
		}
	}
	return 0
}

// part finds the recipes of whose names all the terms are a part: "coffee" of
// coffee rum and coffee cream. One alone is meant if its botanical was said in
// full, but not in oil or dairy: what is left out there may be the word that
// it turns on ("dried"). Else it is asked about, as the liquids are for a
// botanical alone.
func (s *sentence) part(terms []term) match {
	m := match{terms: terms, code: UnknownRecipe}
	missing := map[int]int{} // by recipe: words of its name that were not said
	for _, at := range s.index.recipes.among(terms) {
		n := s.index.recipes.list[at]
		taken, _, less := s.index.cover(terms, n, 0)
		if !s.all(terms, taken) {
			continue
		}
		if before, ok := missing[n.of]; !ok || less < before {
			missing[n.of] = less
		}
		m.add(n.of, taken)
	}
	slices.SortStableFunc(m.recipes, func(a, b int) int { return missing[a] - missing[b] })
	own := map[int]bool{}
	for _, at := range s.index.solids.among(terms) {
		n := s.index.solids.list[at]
		taken, _, ok := s.index.holds(terms, n, 0)
		if !ok {
			continue
		}
		for _, r := range m.recipes {
			own[r] = own[r] || s.index.solidOf[r] == n.of
		}
		if !s.all(terms, taken) {
			continue
		}
		for r, solid := range s.index.solidOf {
			if solid == n.of {
				own[r] = true
				m.add(r, taken)
			}
		}
		m.taken |= taken
		m.pairs = append(m.pairs, s.onLiquids(n.of)...)
	}
	switch {
	case len(m.recipes) == 1 && own[m.recipes[0]] && !s.delicate(m.recipes[0]), len(m.recipes) > 1:
		m.pairs = nil
	case len(m.recipes) == 1 && len(m.pairs) == 0:
		m.half = true
	case len(m.pairs) == 0:
		return m
	}
	m.code = ""
	m.from, m.to = span(terms, m.taken)
	return m
}

// add adds a recipe and the terms it is made of, unless it is there.
func (m *match) add(recipe int, taken uint32) {
	if !slices.Contains(m.recipes, recipe) {
		m.recipes = append(m.recipes, recipe)
	}
	m.taken |= taken
}

// all says that the taken terms are all that mean something, and not nothing.
func (s *sentence) all(terms []term, taken uint32) bool {
	return meant(terms, taken) && !s.index.extra(terms, taken, nil)
}

// onLiquids pairs a botanical with the liquids that it has a class default in.
func (s *sentence) onLiquids(solid int) []pair {
	var all []pair
	for l, liquid := range s.book.Liquids {
		_, ok := s.book.ClassFor(liquid.Family, s.book.Botanicals[solid].Kind)
		if ok && liquid.Family != book.Oil && liquid.Family != book.Dairy && len(all) < maxOptions {
			all = append(all, pair{solid, l})
		}
	}
	return all
}

// meant says that one of the taken terms means something.
func meant(terms []term, taken uint32) bool {
	for i := range terms {
		if taken&(1<<i) != 0 && !terms[i].spare {
			return true
		}
	}
	return false
}

// delicate says that a recipe is made in oil or dairy, where a wrong botanical
// makes people ill.
func (s *sentence) delicate(recipe int) bool {
	base := s.index.baseOf[recipe]
	return base < 0 || s.book.Liquids[base].Family == book.Oil || s.book.Liquids[base].Family == book.Dairy
}
