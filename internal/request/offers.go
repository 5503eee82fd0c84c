package request

import "slices"

// whichName asks which recipe is meant, or whether to go by the class.
func (b *start) whichName(m match, all []choice) Reading {
	text, _ := b.said(m.from, m.to)
	code := WhichRecipe
	if slices.ContainsFunc(all, func(c choice) bool { return c.req.Recipe == "" }) {
		code = WhichMeant
	}
	if len(all) == 1 {
		if all[0].req.Recipe == "" {
			code = NotHouse
			all = append(b.holding(m), all...)
		}
		all = append(all, b.instead(m)...)
	}
	return ask(code, text, options(all))
}

// holding gives the house recipes whose names hold all that was said.
func (b *start) holding(m match) []choice {
	var all []choice
	for _, at := range b.index.recipes.among(m.terms) {
		n := b.index.recipes.list[at]
		if taken, _, _ := b.index.cover(m.terms, n, 0); b.all(m.terms, taken) && len(all) < maxOptions-1 {
			all = append(all, b.placed(b.house(n.of)))
		}
	}
	return all
}

// instead gives the house recipes to offer beside a class default: those with
// the same botanical first, then those on the same liquid, then the nearest.
func (b *start) instead(m match) []choice {
	var all []choice
	add := func(r int) {
		if len(all) < maxOptions-1 {
			all = append(all, b.placed(b.house(r)))
		}
	}
	for _, p := range m.pairs {
		for r, solid := range b.index.solidOf {
			if solid == p.solid {
				add(r)
			}
		}
	}
	onBase := func(r int) bool {
		return slices.ContainsFunc(m.pairs, func(p pair) bool { return p.liquid == b.index.baseOf[r] })
	}
	for _, same := range []bool{true, false} {
		for _, r := range m.nearest {
			if len(all) < maxOptions-1 && onBase(r) == same {
				add(r)
			}
		}
	}
	return all
}

// whichVessel asks which of the vessels that were named is meant.
func (b *start) whichVessel(m match, all []choice, one bool) Reading {
	second := b.vessels[1]
	word, at := b.said(second.from, second.from+len(second.words))
	if !one { // one question at most
		return problem(Problem{Code: UnknownVessel, Word: word, Where: at, Names: b.tagNames(), Example: b.example(all, m)})
	}
	var in []choice
	for _, v := range b.vessels {
		r := all[0].req
		r.Vessel = v.text
		in = append(in, choice{r, v.text + " " + all[0].label})
	}
	return ask(WhichVessel, word, options(in))
}

// whichMeant asks which meaning of a number is meant.
func (b *start) whichMeant(m match, all []choice, one bool) Reading {
	text, at := b.said(b.doubt, b.end)
	if !one { // one question at most
		return problem(Problem{Code: BadNumber, Word: text, Where: at, Example: b.example(all, m)})
	}
	var meant []choice
	for _, set := range b.alts {
		r := b.placed(all[0]).req
		set(&r)
		meant = append(meant, choice{r, r.String()})
	}
	return ask(WhichMeant, text, options(meant))
}

// options makes the options of a question from the choices.
func options(all []choice) []Option {
	var out []Option
	for _, c := range all {
		before := len(out)
		if out = addOption(out, c.req); len(out) > before {
			out[before].Label = c.label
		}
	}
	return out
}
