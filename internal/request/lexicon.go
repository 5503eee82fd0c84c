package request

import (
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// role is what a word can be in a line, one bit each.
type role uint64

const (
	filler role = 1 << iota
	greeting
	fillerNoun
	foreignUnit
	denial
	asker
	offerWord
	place
	namer
	article
	definite
	oneWord
	plea
	hadWord
	linkWord
	vesselNoun
	runNoun
	chargerNoun
	serveNoun
	lookWord
	doubleWord
	looseAmount
	restWord
	moreWord
	agoWord
	atWord
	byWord
	andWord
	amWord
	pmWord
	aloneUnit
	putWord
	subject
	eitherWord
)

// saying is one way to say a verb, in words.
type saying struct {
	words []string
	verb  Verb
	plain plainness
	topic Topic
	kind  Kind
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
	ounce     bool // of liquid, if it isn't one of weight
}

// warmth is a word for a temperature.
type warmth struct {
	words []string
	band  band
}

// entry is all that a word can be. Phrases stand under their first word, the
// longest first.
type entry struct {
	role     role
	tongue   tongue // of the tables
	named    tongue // of the names of things
	sayings  []saying
	units    []unit
	bands    []warmth
	phrases  []phrase
	number   int64  // 0 = none
	hundred  int64  // what multiplies the number before it; 0 = nothing
	fraction amount // no denominator = none
	day      int8   // dayless = none
	week     int8   // likewise; 0 = Sunday
	id       int    // in the index of the book's names; -1 = none
	names    [][]string
	slipOf   string // the word that it was meant for
	allergen string // that the word names, as books write it
}

// dayless says that a word names no day.
const dayless = -128

// phrase is a phrase that is no verb.
type phrase struct {
	words []string
	is    phraseKind
}

// phraseKind says what a phrase is.
type phraseKind uint8

const (
	anAside phraseKind = iota + 1
	anAsker
	byClass
	inRuns
	andHalf
	sinceWhen
	allDone
	onlyHeard
	totalled
	mistaken
	further
	corrected
	cameIn
	wereCounted
	wentToFoam
	spentShells
	areFull
	ofCream
	keptForService
)

// lexicon is the tables of one or more languages, made ready for one house.
type lexicon struct {
	entries map[string]*entry
}

// entry gives the entry of a word, made when there is none.
func (lex *lexicon) entry(text string) *entry {
	e := lex.entries[text]
	if e == nil {
		e = &entry{id: -1, day: dayless, week: dayless}
		lex.entries[text] = e
	}
	return e
}

// at gives the entry that a phrase stands under, and notes whose words they are.
func (lex *lexicon) at(words []string, t tongue) *entry {
	for _, w := range words {
		lex.entry(w).tongue |= t
	}
	return lex.entry(words[0])
}

// role gives the roles of a word.
func (lex *lexicon) role(text string) role {
	if e := lex.entries[text]; e != nil {
		return e.role
	}
	return 0
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
		{offerWord, w.offers},
		{place, w.places},
		{namer, w.namers},
		{article, w.articles},
		{definite, w.definite},
		{oneWord, w.ones},
		{plea, w.polite},
		{hadWord, w.had},
		{linkWord, w.links},
		{vesselNoun, w.vessels},
		{vesselNoun | runNoun, w.runs},
		{chargerNoun, w.chargers},
		{serveNoun, w.serves},
		{lookWord, w.looks},
		{doubleWord, w.doubles},
		{looseAmount, w.loose},
		{restWord, w.rest},
		{moreWord, w.more},
		{agoWord, w.ago},
		{atWord, w.at},
		{byWord, w.by},
		{andWord, w.and},
		{amWord, w.am},
		{pmWord, w.pm},
		{aloneUnit, w.alone},
		{putWord, w.put},
		{subject, w.subjects},
		{eitherWord, w.either},
	} {
		for _, text := range r.list {
			for _, form := range forms(text) {
				if len(form) == 1 {
					lex.at(form, w.tongue).role |= r.role
				}
			}
		}
	}
	for _, text := range w.polite {
		for _, form := range forms(text) {
			if len(form) > 1 { // its last word is the one that nothing else says
				lex.entry(form[len(form)-1]).role |= plea
			}
		}
	}
}

func (lex *lexicon) addSayings(w words) {
	say := func(texts []string, s saying) {
		for _, text := range texts {
			for _, s.words = range forms(text) {
				e := lex.at(s.words, w.tongue)
				e.sayings = append(e.sayings, s)
			}
		}
	}
	for plainly, table := range []map[Verb][]string{w.verbs, w.orders, w.pleas} {
		for verb, texts := range table {
			say(texts, saying{verb: verb, plain: plainness(plainly)})
		}
	}
	for topic, texts := range w.topics {
		say(texts, saying{verb: Asks, topic: topic})
	}
	for kind, texts := range w.kinds {
		say(texts, saying{verb: kind.verb(), kind: kind})
	}
	say(w.tooMuch, saying{verb: MoreGas})
}

func (lex *lexicon) addPhrases(w words) {
	for _, list := range []struct {
		from []string
		is   phraseKind
	}{
		{w.asides, anAside},
		{w.class, byClass},
		{w.split, inRuns},
		{w.half, andHalf},
		{w.since, sinceWhen},
		{w.askers, anAsker},
		{w.done, allDone},
		{w.heard, onlyHeard},
		{w.inAll, totalled},
		{w.mistake, mistaken},
		{w.further, further},
		{corrections[w.tongue], corrected},
	} {
		for _, text := range list.from {
			for _, form := range forms(text) {
				e := lex.at(form, w.tongue)
				e.phrases = append(e.phrases, phrase{form, list.is})
			}
		}
	}
}

func (lex *lexicon) addNumbers(w words) {
	for allergen, texts := range w.contain {
		for _, text := range texts {
			form := forms(text)[0]
			lex.at(form, w.tongue)
			lex.entry(form[len(form)-1]).allergen = allergen
		}
	}
	for slip, text := range w.slips {
		lex.entry(slip).slipOf = text
		lex.entry(slip).tongue |= w.tongue
	}
	for text, n := range w.numbers {
		lex.at([]string{text}, w.tongue).number = n
	}
	for text, n := range w.hundreds {
		lex.at([]string{text}, w.tongue).hundred = n
	}
	for text, f := range w.fractions {
		lex.at([]string{text}, w.tongue).fraction = f
	}
	for text, day := range w.days {
		for _, form := range forms(text) {
			lex.at(form, w.tongue).day = int8(day)
		}
	}
	for day, names := range w.week {
		for _, text := range strings.Fields(names) {
			lex.at([]string{text}, w.tongue).week = int8(day)
		}
	}
}

func (lex *lexicon) addUnits(w words, house book.House) {
	add := func(text string, u unit) {
		u.words = strings.Fields(text)
		e := lex.at(u.words, w.tongue)
		same := func(o unit) bool { return slices.Equal(o.words, u.words) && o.measure == u.measure }
		if !slices.ContainsFunc(e.units, same) {
			e.units = append(e.units, u)
		}
	}
	for text, size := range w.volumes {
		add(text, unit{measure: ofVolume, size: int64(size), thousands: size < quantity.Decilitre})
	}
	for of, texts := range w.local {
		for _, text := range texts {
			add(text, unit{measure: ofVolume, size: int64(of.in(house.Country)), ounce: of == aFluidOunce})
		}
	}
	for _, text := range w.bottles {
		add(text, unit{measure: ofVolume, size: int64(bottle(house))})
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
	var all [][]string
	var form []string
	for _, w := range strings.Fields(text) {
		if n := elided(w); n > 0 && n < len(w) {
			form = append(form, w[:n], w[n:])
			continue
		}
		form = append(form, w)
	}
	all = append(all, form)
	if bare := strings.ReplaceAll(text, "'", ""); bare != text && len(bare) > 1 {
		all = append(all, strings.Fields(bare))
	}
	return all
}

// longestFirst orders the phrases that begin alike, so that the first that
// fits is the one that was meant.
func longestFirst[T any](list []T, words func(T) []string) {
	slices.SortFunc(list, func(a, b T) int {
		if d := len(words(b)) - len(words(a)); d != 0 {
			return d
		}
		return slices.Compare(words(a), words(b))
	})
}
