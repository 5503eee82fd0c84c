package request

import (
	"sync"

	"ventbell/internal/book"
)

// allTables are the tables of every language, as far as no house changes them.
var allTables = sync.OnceValue(func() *lexicon { return tabled(every) })

// in gives the tables with the units of a house, as a copy: its country decides
// what an ounce is, its own rule what a bottle holds.
func (lex *lexicon) in(house book.House, languages []words) *lexicon {
	own := &lexicon{entries: make(map[string]*entry, 2*len(lex.entries))}
	all := make([]entry, 0, len(lex.entries))
	for text, e := range lex.entries {
		all = append(all, *e)
		own.entries[text] = &all[len(all)-1]
	}
	for _, w := range append([]words{common}, languages...) {
		own.addUnits(w, house)
	}
	for _, e := range own.entries {
		longestFirst(e.units, func(u unit) []string { return u.words })
	}
	return own
}

// tabled makes the tables of some languages ready, all but their units.
func tabled(languages []words) *lexicon {
	lex := &lexicon{entries: map[string]*entry{}}
	for _, w := range append([]words{common}, languages...) {
		lex.addRoles(w)
		lex.addSayings(w)
		lex.addPhrases(w)
		lex.addStock(w.tongue)
		lex.addTastes(w.tongue)
		lex.addNumbers(w)
		for text, b := range w.bands {
			for _, form := range forms(text) {
				e := lex.at(form, w.tongue)
				e.bands = append(e.bands, warmth{form, b})
			}
		}
	}
	for _, e := range lex.entries {
		longestFirst(e.sayings, func(s saying) []string { return s.words })
		longestFirst(e.bands, func(w warmth) []string { return w.words })
		longestFirst(e.phrases, func(p phrase) []string { return p.words })
	}
	return lex
}
