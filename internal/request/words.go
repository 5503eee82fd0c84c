package request

import (
	"time"

	"ventbell/internal/quantity"
)

// words is what one language calls things. A language is one such table and
// nothing else; the reader knows them all at once. Everything is written in
// small letters and without accents. An apostrophe may be left out by whoever
// types, so "what's" also stands for "whats".
type words struct {
	tongue tongue
	verbs  map[Verb][]string
	// orders are forms that could as well ask somebody else to do the work,
	// where believing too soon would hide it: they are asked back. A form that
	// ends in a sharp accent ("vidé", "colé") or that "I have" stands before says
	// that it was done.
	orders map[Verb][]string
	// pleas are forms that are an order only with a "please".
	pleas  map[Verb][]string
	polite []string
	had    []string // "I have": the work is done
	// subjects are what the French "a" stands behind as "has": "il a".
	subjects []string

	fillers  []string // mean nothing here
	asides   []string // fillers of several words
	greets   []string // fillers that a line may begin with
	nouns    []string // fillers that an article may stand before
	denials  []string // turn a line around
	askers   []string // begin a question
	offers   []string // askers that may well ask for a batch: "can you make"
	places   []string // stand before a vessel's tag
	namers   []string // places that only a tag can follow
	articles []string // may be a tag or an article
	definite []string // articles that follow a preposition "a"
	ones     []string // stand for one before a unit: "a bottle"
	links    []string // may stand between an amount and its unit: "half of a litre"
	vessels  []string // counted: "2 vessels"
	runs     []string // counted likewise, or taken by half: "half batch"
	chargers []string // never counted by a start
	serves   []string // counted, each of a volume: "40 serves at 50 ml"
	looks    []string // tell vessels apart by what the reader cannot see: "the red one"
	done     []string // the work is done
	heard    []string // what was said was heard
	topics   map[Topic][]string
	kinds    map[Kind][]string
	contain  map[string][]string // an allergen, as books write it, by its words
	slips    map[string]string   // what autocorrect and haste make of words
	tooMuch  []string            // chargers went in beyond the count, nobody says how many

	numbers   map[string]int64
	hundreds  map[string]int64 // what multiplies the number before it
	fractions map[string]amount
	doubles   []string // twice the house batch
	loose     []string // amounts of nobody knows what: "a few"
	foreign   []string // units that this reader doesn't take

	volumes map[string]quantity.Volume
	// The house's country decides what these hold.
	local   map[localUnit][]string
	bottles []string // the house decides how much
	masses  map[string]quantity.Mass
	spans   map[string]time.Duration
	celsius []string
	faren   []string
	degrees []string // of the house's own scale
	alone   []string // units that mean one of them without a number
	bands   map[string]band

	rest    []string // "rest 90"
	more    []string // "15 s more"
	ago     []string
	since   []string // "ago" that goes before the span
	at      []string
	by      []string // before the day or the time that something is wanted for
	days    map[string]int
	week    []string // from Sunday on
	class   []string // "as class"
	split   []string // "split": in several runs
	and     []string
	half    []string // "and a half"
	am      []string
	pm      []string
	inAll   []string // "3 in all"
	mistake []string // "by mistake"
	further []string // "2 more"
	put     []string // what is done with a charger
	either  []string // between the ends of a range, or between two amounts
}

// band is what a word says of a temperature.
type band struct{ low, high quantity.Temperature }

// The bands that words mean, common practice, no source.
var (
	frozen  = band{-18 * quantity.Celsius, -18 * quantity.Celsius}
	iced    = band{0, 2 * quantity.Celsius}
	cold    = band{2 * quantity.Celsius, 5 * quantity.Celsius}
	cellar  = band{10 * quantity.Celsius, 14 * quantity.Celsius}
	room    = band{18 * quantity.Celsius, 24 * quantity.Celsius}
	warm    = band{35 * quantity.Celsius, 45 * quantity.Celsius}
	hot     = band{60 * quantity.Celsius, 75 * quantity.Celsius}
	boiling = band{100 * quantity.Celsius, 100 * quantity.Celsius}
)

// every holds the tables of all languages.
var every = []words{english, spanish, french}

// common is what all three languages share: signs and letters.
var common = words{
	tongue: anyTongue,
	volumes: map[string]quantity.Volume{
		"ml": quantity.Millilitre, "mls": quantity.Millilitre, "mil": quantity.Millilitre, "mils": quantity.Millilitre,
		"cc": quantity.Millilitre, "cl": quantity.Centilitre, "dl": quantity.Decilitre,
		"l": quantity.Litre, "lt": quantity.Litre, "ltr": quantity.Litre, "ltrs": quantity.Litre, "lts": quantity.Litre,
	},
	local: map[localUnit][]string{aFluidOunce: {"oz", "floz", "fl oz"}},
	masses: map[string]quantity.Mass{
		"g": quantity.Gram, "gr": quantity.Gram, "gm": quantity.Gram, "gms": quantity.Gram, "grs": quantity.Gram,
		"kg": quantity.Kilogram, "kgs": quantity.Kilogram, "kilo": quantity.Kilogram, "kilos": quantity.Kilogram,
	},
	spans: map[string]time.Duration{
		"s": time.Second, "sec": time.Second, "m": time.Minute, "min": time.Minute, "mins": time.Minute,
		"h": time.Hour, "hr": time.Hour, "hrs": time.Hour, "'": time.Minute, `"`: time.Second,
	},
	celsius: []string{"c", "° c", "celsius"},
	faren:   []string{"f", "° f", "fahrenheit"},
	bottles: []string{"btl", "btls"},
	alone:   []string{"btl"},
	degrees: []string{"°"},
	fillers: []string{"👍"},
	heard:   []string{"👍"},
}
