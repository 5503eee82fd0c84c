package request

import (
	"time"

	"ventbell/internal/quantity"
)

// words is what one language calls things. A language is one such table and
// nothing else; the reader may know several at once. Everything is written in
// small letters and without accents. An apostrophe may be left out by whoever
// types, so "what's" also stands for "whats".
type words struct {
	verbs map[Verb][]string
	// orders are forms that could as well ask somebody else to do the work,
	// where believing too soon would hide it: they are asked back.
	orders map[Verb][]string
	// pleas are forms that are an order only with a "please".
	pleas  map[Verb][]string
	polite []string

	fillers  []string // mean nothing here
	asides   []string // fillers of several words
	greets   []string // fillers that a line may begin with
	nouns    []string // fillers that an article may stand before
	denials  []string // turn a line around
	askers   []string // begin a question
	places   []string // stand before a vessel's tag
	namers   []string // places that only a tag can follow
	articles []string // may be a tag or an article
	ones     []string // stand for one before a unit: "a bottle"
	links    []string // may stand between an amount and its unit: "half of a litre"
	vessels  []string // counted: "2 vessels"
	chargers []string // never counted by a line
	serves   []string // counted, each of a volume: "40 serves at 50 ml"

	numbers   map[string]int64
	fractions map[string]amount
	loose     []string // amounts of nobody knows what: "double"
	foreign   []string // units that this reader doesn't take

	volumes map[string]quantity.Volume
	ounces  []string // of liquid; the house's country decides which
	bottles []string // the house decides how much
	masses  map[string]quantity.Mass
	spans   map[string]time.Duration
	celsius []string
	faren   []string
	degrees []string // of the house's own scale
	alone   []string // units that mean one of them without a number
	bands   map[string]band

	rest  []string // "rest 90"
	more  []string // "15 s more"
	ago   []string
	at    []string
	class []string // "as class"
	split []string // "split": in several runs
	and   []string
	half  []string // "and a half"
	am    []string
	pm    []string
}

// band is what a word says of a temperature.
type band struct{ low, high quantity.Temperature }

// english is what English-speaking kitchens type. Common practice, no source.
var english = words{
	verbs: map[Verb][]string{
		Start: {
			"start", "go", "run", "make", "begin", "load", "prep", "put on", "kick off", "fire", "fire up",
			"set up", "get going", "launch",
		},
		Charged: {
			"charged", "charger in", "charger is in", "charger went in", "one charger in", "gassed",
			"bulb in", "cartridge in",
		},
		SetDown: {"set down", "setdown", "put down", "down", "standing"},
		Vented:  {"vented", "emptied", "empty two silent presses", "empty 2 silent presses"},
		Strained: {
			"strained", "strained off", "strained out", "sieved", "filtered",
		},
		Cleared:  {"cleared", "clarified", "drawn off"},
		Labelled: {"labelled", "labeled", "label on", "label is on", "tagged"}, //nolint:misspell // both are typed
		Washed:   {"washed", "washed up", "washed out", "cleaned", "rinsed and washed"},
		NoGas: {
			"no gas", "no gas in", "no gas went in", "gas did not go in", "gas didn't go in", "dud", "dud charger",
			"charger was a dud", "charger was empty", "charger is empty", "charger empty", "empty charger", "misfire", "misfired",
		},
		GasIn: {"gas in", "gas is in", "gas went in", "gas did go in"},
		Why:   {"why", "figures", "why so"},
		Take: {
			"take", "taking", "take over", "taking over", "i take", "i'll take", "i'll take over", "i'm taking",
		},
		Resting: {
			"resting", "board", "status", "what's resting", "what is resting", "what's on", "what is on", "what's left",
			"what is left", "what's in", "what is in", "how long", "who has", "who's got", "still resting", "list",
		},
		Scrap: {
			"scrap", "scrapped", "cancel", "cancelled", "bin", "binned", "abort", "throw away", "throw out", "trash",
		},
		Undo: {"undo", "undo that", "undo last", "take back", "take that back"},
		Help: {
			"help", "help me", "how do i", "stuck", "blocked", "leaking", "leaks", "hissing", "won't open", "won't vent",
			"will not open", "will not vent", "can't open", "can't vent", "cannot open", "cannot vent", "hurt", "burned", "on fire",
		},
	},
	orders: map[Verb][]string{
		Vented:   {"vent", "empty"}, // "vent A" may be asked of somebody: it never counts as empty
		Cleared:  {"clear", "clarify"},
		Labelled: {"label", "tag"},
		Washed:   {"wash", "clean"},
	},
	pleas: map[Verb][]string{
		Charged:  {"charge"},
		Strained: {"strain"},
	},
	polite: []string{"please", "pls", "plz"},
	fillers: []string{
		"a", "an", "the", "of", "with", "w", "some", "and", "or", "in", "into", "on", "to", "for", "from", "it", "that", "this",
		"is", "are", "was", "has", "have", "been", "be", "please", "pls", "plz", "thanks", "thx", "ta", "cheers", "chef",
		"hi", "hey", "hello", "bell", "ok", "okay", "k", "yes", "yep", "yeah", "heard", "done", "now", "just", "already",
		"finally", "right", "today", "tonight", "asap", "new", "another", "batch", "infusion", "recipe", "me", "us", "my",
		"our", "we", "i", "i've", "we've", "i'd", "i'm", "it's", "can", "could", "would", "you", "want", "need", "like", "let's",
		"do", "all", "good", "fine", "silent", "quiet", "out", "one", "temp", "temperature", "house", "then", "so",
		"vessel", "whipper", "siphon", "syphon", "each", "apiece", "per", "guys", "team", "folks", "mate", "boss",
		"everyone", "quick", "quickly", "urgent",
	},
	asides: []string{
		"don't let me forget", "don't forget", "remind me", "if you can", "when you can", "thank you", "as usual",
	},
	greets: []string{"ok", "okay", "k", "hi", "hey", "hello", "bell", "chef", "so", "right", "then", "and", "please", "yes", "yep"},
	nouns:  []string{"new", "batch", "infusion", "recipe", "good", "fine", "vessel", "whipper", "siphon", "syphon", "house", "temp"},
	denials: []string{
		"not", "no", "never", "isn't", "wasn't", "aren't", "don't", "doesn't", "didn't", "hasn't", "haven't", "won't",
		"can't", "cannot", "shouldn't", "nobody", "without", "unless", "before", "until", "still", "yet", "nearly", "almost",
	},
	askers: []string{
		"is", "are", "was", "were", "has", "have", "had", "did", "does", "do", "can", "could", "should", "shall", "will",
		"would", "who", "what", "when", "how", "why", "where", "which", "anyone", "anybody", "someone", "somebody",
	},
	places:   []string{"in", "into", "on", "vessel", "whipper", "siphon", "syphon"},
	namers:   []string{"vessel", "whipper", "siphon", "syphon"},
	articles: []string{"a"},
	ones:     []string{"a", "an"},
	links:    []string{"a", "an", "of"},
	vessels: []string{
		"vessels", "vessel", "whippers", "whipper", "siphons", "siphon", "syphons", "syphon", "batches", "batch", "runs", "times",
	},
	serves:   []string{"serves", "serve", "servings", "serving", "portions", "portion"},
	chargers: []string{"charger", "chargers", "bulb", "bulbs", "cartridge", "cartridges", "dud", "misfire"},

	numbers: map[string]int64{
		"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
	},
	fractions: map[string]amount{"half": {n: 1, d: 2}, "quarter": {n: 1, d: 4}},
	loose:     []string{"double", "dbl", "triple", "twice", "both", "couple", "few", "half", "quarter"},
	foreign: []string{
		"qt", "qts", "quart", "quarts", "pint", "pints", "pt", "cup", "cups", "gallon", "gal", "tbsp", "tsp", "shot", "shots",
		"jigger", "dash", "splash", "lb", "lbs", "pound", "pounds", "guests", "people",
	},

	volumes: map[string]quantity.Volume{
		"ml": quantity.Millilitre, "mls": quantity.Millilitre, "mil": quantity.Millilitre, "mils": quantity.Millilitre,
		"cc": quantity.Millilitre, "millilitre": quantity.Millilitre, "millilitres": quantity.Millilitre,
		"milliliter": quantity.Millilitre, "milliliters": quantity.Millilitre, //nolint:misspell // both are typed
		"cl": quantity.Centilitre, "dl": quantity.Decilitre,
		"l": quantity.Litre, "lt": quantity.Litre, "ltr": quantity.Litre, "ltrs": quantity.Litre,
		"litre": quantity.Litre, "litres": quantity.Litre,
		"liter": quantity.Litre, "liters": quantity.Litre, //nolint:misspell // both are typed
	},
	ounces:  []string{"oz", "floz", "fl oz", "ounce", "ounces", "fluid ounce", "fluid ounces"},
	bottles: []string{"bottle", "bottles", "btl", "btls"},
	masses: map[string]quantity.Mass{
		"g": quantity.Gram, "gr": quantity.Gram, "gm": quantity.Gram, "gms": quantity.Gram, "grs": quantity.Gram,
		"gram": quantity.Gram, "grams": quantity.Gram, "gramme": quantity.Gram, "grammes": quantity.Gram,
		"kg": quantity.Kilogram, "kilo": quantity.Kilogram, "kilos": quantity.Kilogram,
	},
	spans: map[string]time.Duration{
		"s": time.Second, "sec": time.Second, "secs": time.Second, "second": time.Second, "seconds": time.Second,
		"m": time.Minute, "min": time.Minute, "mins": time.Minute, "minute": time.Minute, "minutes": time.Minute,
		"h": time.Hour, "hr": time.Hour, "hrs": time.Hour, "hour": time.Hour, "hours": time.Hour,
		"'": time.Minute, `"`: time.Second,
	},
	celsius: []string{"c", "° c", "celsius", "degrees c", "degree c", "deg c", "degrees celsius"},
	faren:   []string{"f", "° f", "fahrenheit", "degrees f", "degree f", "deg f", "degrees fahrenheit"},
	degrees: []string{"°", "degrees", "degree", "deg"},
	alone:   []string{"bottle", "btl", "litre", "liter"}, //nolint:misspell // both are typed
	bands: map[string]band{
		"frozen": {-18 * quantity.Celsius, -18 * quantity.Celsius},
		"iced":   {0, 2 * quantity.Celsius}, "ice cold": {0, 2 * quantity.Celsius},
		"cold": {2 * quantity.Celsius, 5 * quantity.Celsius}, "fridge": {2 * quantity.Celsius, 5 * quantity.Celsius},
		"chilled": {2 * quantity.Celsius, 5 * quantity.Celsius},
		"cellar":  {10 * quantity.Celsius, 14 * quantity.Celsius},
		"room":    {18 * quantity.Celsius, 24 * quantity.Celsius}, "rt": {18 * quantity.Celsius, 24 * quantity.Celsius},
		"ambient":   {18 * quantity.Celsius, 24 * quantity.Celsius},
		"room warm": {18 * quantity.Celsius, 24 * quantity.Celsius},
		"warm":      {35 * quantity.Celsius, 45 * quantity.Celsius}, "blood warm": {35 * quantity.Celsius, 45 * quantity.Celsius},
		"lukewarm": {35 * quantity.Celsius, 45 * quantity.Celsius},
		"hot":      {60 * quantity.Celsius, 75 * quantity.Celsius},
		"boiling":  {100 * quantity.Celsius, 100 * quantity.Celsius},
	},

	rest:  []string{"rest", "rested"},
	more:  []string{"more", "add", "extra"},
	ago:   []string{"ago"},
	at:    []string{"at"},
	split: []string{"split", "split up", "split it", "split it up", "in runs", "into runs", "in several runs"},
	class: []string{"as class", "as a class", "by class", "by the class", "as class default", "as the class default"},
	and:   []string{"and"},
	half:  []string{"and a half"},
	am:    []string{"am"},
	pm:    []string{"pm"},
}
