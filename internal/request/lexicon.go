package request

import (
	"maps"
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// role is what a word can be in a line, one bit each.
type role uint32

const (
	filler role = 1 << iota
	greeting
	fillerNoun
	foreignUnit
	denial
	asker
	place
	namer
	article
	oneWord
	plea
	linkWord
	vesselNoun
	chargerNoun
	serveNoun
	looseAmount
	restWord
	moreWord
	agoWord
	atWord
	andWord
	amWord
	pmWord
	aloneUnit
)

// saying is one way to say a verb, in words.
type saying struct {
	words []string
	verb  Verb
	plain plainness
}

// plainness says how surely a saying means that the thing was done.
type plainness uint8

const (
	plain    plainness = iota
	anOrder            // it could ask somebody to do it: asked back
	withPlea           // likewise, but only with a "please"
)

// measure is what a unit measures.
type measure uint8

const (
	ofVolume measure = iota + 1
	ofMass
	ofTime
	ofCelsius
	ofFahrenheit
)

// unit is one unit as it is typed.
type unit struct {
	words   []string
	measure measure
	size    int64
	// thousands says that "1.000" of it is a thousand and not one: nobody weighs
	// or measures thousandths of it.
	thousands bool
}

// warmth is a word for a temperature.
type warmth struct {
	words []string
	band  band
}

// lexicon is the tables of one or more languages, made ready for one house.
type lexicon struct {
	roles     map[string]role
	sayings   map[string][]saying // by first word, longest first
	units     map[string][]unit   // likewise
	bands     map[string][]warmth // likewise
	class     [][]string
	split     [][]string
	asides    [][]string
	half      [][]string
	numbers   map[string]int64
	fractions map[string]amount
}

// compile makes the tables ready for a house: its country decides what an
// ounce is, its own rule what a bottle holds.
func compile(house book.House, languages ...words) *lexicon {
	lex := &lexicon{
		roles: map[string]role{}, sayings: map[string][]saying{}, units: map[string][]unit{},
		bands: map[string][]warmth{}, numbers: map[string]int64{}, fractions: map[string]amount{},
	}
	for _, w := range languages {
		lex.addRoles(w)
		lex.addSayings(w)
		lex.addUnits(w, house)
		for text, b := range w.bands {
			for _, form := range forms(text) {
				lex.bands[form[0]] = append(lex.bands[form[0]], warmth{form, b})
			}
		}
		for _, list := range []struct {
			from []string
			to   *[][]string
		}{{w.class, &lex.class}, {w.split, &lex.split}, {w.half, &lex.half}, {w.asides, &lex.asides}} {
			for _, text := range list.from {
				*list.to = append(*list.to, forms(text)...)
			}
		}
		maps.Copy(lex.numbers, w.numbers)
		maps.Copy(lex.fractions, w.fractions)
	}
	longestFirst(lex.sayings, func(s saying) []string { return s.words })
	longestFirst(lex.units, func(u unit) []string { return u.words })
	longestFirst(lex.bands, func(w warmth) []string { return w.words })
	for _, list := range [][][]string{lex.class, lex.split} {
		slices.SortFunc(list, func(a, b []string) int { return len(b) - len(a) })
	}
	return lex
}

func (lex *lexicon) addRoles(w words) {
	for _, r := range []struct {
		role role
		list []string
	}{
		{filler, w.fillers},
		{greeting, w.greets},
		{fillerNoun, w.nouns},
		{foreignUnit, w.foreign},
		{denial, w.denials},
		{asker, w.askers},
		{place, w.places},
		{namer, w.namers},
		{article, w.articles},
		{oneWord, w.ones},
		{plea, w.polite},
		{linkWord, w.links},
		{vesselNoun, w.vessels},
		{chargerNoun, w.chargers},
		{serveNoun, w.serves},
		{looseAmount, w.loose},
		{restWord, w.rest},
		{moreWord, w.more},
		{agoWord, w.ago},
		{atWord, w.at},
		{andWord, w.and},
		{amWord, w.am},
		{pmWord, w.pm},
		{aloneUnit, w.alone},
	} {
		for _, text := range r.list {
			for _, form := range forms(text) {
				lex.roles[form[0]] |= r.role
			}
		}
	}
}

func (lex *lexicon) addSayings(w words) {
	add := func(table map[Verb][]string, as plainness) {
		for verb, texts := range table {
			for _, text := range texts {
				for _, form := range forms(text) {
					lex.sayings[form[0]] = append(lex.sayings[form[0]], saying{form, verb, as})
				}
			}
		}
	}
	add(w.verbs, plain)
	add(w.orders, anOrder)
	add(w.pleas, withPlea)
}

func (lex *lexicon) addUnits(w words, house book.House) {
	add := func(text string, u unit) {
		u.words = strings.Fields(text)
		lex.units[u.words[0]] = append(lex.units[u.words[0]], u)
	}
	ounce := quantity.USFluidOunce
	if house.Country == "GB" {
		ounce = quantity.UKFluidOunce
	}
	for text, size := range w.volumes {
		add(text, unit{measure: ofVolume, size: int64(size), thousands: size < quantity.Decilitre})
	}
	for _, text := range w.ounces {
		add(text, unit{measure: ofVolume, size: int64(ounce)})
	}
	for _, text := range w.bottles {
		add(text, unit{measure: ofVolume, size: int64(house.Bottle)})
	}
	for text, size := range w.masses {
		add(text, unit{measure: ofMass, size: int64(size), thousands: size == quantity.Gram})
	}
	for text, size := range w.spans {
		add(text, unit{measure: ofTime, size: int64(size)})
	}
	own := ofCelsius
	if house.Country == "US" {
		own = ofFahrenheit
	}
	for _, list := range []struct {
		texts []string
		as    measure
	}{{w.celsius, ofCelsius}, {w.faren, ofFahrenheit}, {w.degrees, own}} {
		for _, text := range list.texts {
			add(text, unit{measure: list.as})
		}
	}
}

// forms gives the ways a phrase is typed: as it stands, and without its
// apostrophes.
func forms(text string) [][]string {
	all := [][]string{strings.Fields(text)}
	if bare := strings.ReplaceAll(text, "'", ""); bare != text {
		all = append(all, strings.Fields(bare))
	}
	return all
}

// longestFirst orders the phrases that begin alike, so that the first that
// fits is the one that was meant.
func longestFirst[T any](table map[string][]T, words func(T) []string) {
	for _, list := range table {
		slices.SortFunc(list, func(a, b T) int {
			if d := len(words(b)) - len(words(a)); d != 0 {
				return d
			}
			return slices.Compare(words(a), words(b))
		})
	}
}

// singleVerbs gives the verbs that are one word, long enough to be recognised
// when a thumb slipped. The order is fixed, so that a tie is the same each time.
func (lex *lexicon) singleVerbs() []known {
	var all []known
	for text, says := range lex.sayings {
		last := says[len(says)-1]
		if len(last.words) == 1 && slack(len(text)) > 0 {
			all = append(all, known{text, letters(text)})
		}
	}
	slices.SortFunc(all, func(a, b known) int { return strings.Compare(a.text, b.text) })
	return all
}
