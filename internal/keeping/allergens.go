package keeping

import (
	"slices"

	"ventbell/internal/book"
)

// Law is which list of allergens a place tells by.
type Law string

// The two lists.
const (
	NineUS     Law = "US nine"
	FourteenEU Law = "EU fourteen" // the UK's too
)

// listed is one allergen of a law: the book's word and the law's.
type listed struct{ key, word string }

var lists = map[Law][]listed{
	// FDA, after the FASTER Act of 2021 (sesame since 1 January 2023). The
	// book's gluten is told as wheat unless its grain is known to be another.
	NineUS: {
		{"milk", "milk"},
		{"eggs", "egg"},
		{"fish", "fish"},
		{"crustaceans", "crustacean shellfish"},
		{"nuts", "tree nuts"},
		{"peanuts", "peanut"},
		{"gluten", "wheat"},
		{"soya", "soy"},
		{"sesame", "sesame"},
	},
	// UK food information rules; Regulation (EU) 1169/2011, annex II, from memory.
	FourteenEU: {
		{"gluten", "cereals containing gluten"},
		{"crustaceans", "crustaceans"},
		{"eggs", "egg"},
		{"fish", "fish"},
		{"peanuts", "peanuts"},
		{"soya", "soya"},
		{"milk", "milk"},
		{"nuts", "nuts"},
		{"celery", "celery"},
		{"mustard", "mustard"},
		{"sesame", "sesame"},
		{"sulphites", "sulphites"},
		{"lupin", "lupin"},
		{"molluscs", "molluscs"},
	},
}

// Keys gives the allergens of a law by the book's words, in the law's order.
func (l Law) Keys() []string {
	var all []string
	for _, a := range lists[l] {
		all = append(all, a.key)
	}
	return all
}

// Bearer is something that brings allergens: a solid, a base, an agent.
type Bearer struct {
	Name      string
	Allergens []string
}

// Told is one allergen to tell and what brings it. The laws want the nut, the
// fish or the grain named, so the names go with it.
type Told struct {
	Key  string // the book's word
	Word string // the law's word
	From []string
}

// Contains is what a product has to tell.
type Contains struct {
	Law Law
	// Emphasised says how: within the list of ingredients, set off (EU, UK);
	// otherwise in a line of its own that begins with "contains" (US).
	Emphasised bool
	Listed     []Told // what the law names, in its order
	// Also holds what the law of the place does not name. It is told all the
	// same: nothing that went in is dropped.
	Also []Told
}

// Allergens gives what a product made of these has to tell at a place. What was
// strained out still counts, and so does what it was washed or cleared with.
func Allergens(where string, parts []Bearer, agents []Agent) Contains {
	j, _ := Where(where)
	out := Contains{Law: j.Allergens, Emphasised: j.Allergens == FourteenEU}
	parts = slices.Clone(parts)
	for _, a := range agents {
		parts = append(parts, a.bearer())
	}
	var keys []string
	for _, l := range lists[FourteenEU] {
		keys = append(keys, l.key)
	}
	for _, p := range parts {
		for _, k := range p.Allergens {
			if !slices.Contains(keys, k) {
				keys = append(keys, k) // a word that no law has is told as it is
			}
		}
	}
	for _, key := range keys {
		out.add(key, parts)
	}
	slices.SortStableFunc(out.Listed, func(a, b Told) int { return out.Law.rank(a.Key) - out.Law.rank(b.Key) })
	return out
}

// add tells one allergen, apart for what the law names and what it does not.
func (c *Contains) add(key string, parts []Bearer) {
	named, also := Told{Key: key}, Told{Key: key, Word: key}
	for _, p := range parts {
		if !slices.Contains(p.Allergens, key) {
			continue
		}
		if word := c.Law.word(key, p.Name); word != "" {
			named.Word = word
			named.From = appendOnce(named.From, p.Name)
		} else {
			also.From = appendOnce(also.From, p.Name)
		}
	}
	if len(named.From) > 0 {
		c.Listed = append(c.Listed, named)
	}
	if len(also.From) > 0 {
		c.Also = append(c.Also, also)
	}
}

func appendOnce(all []string, s string) []string {
	if slices.Contains(all, s) {
		return all
	}
	return append(all, s)
}

func (l Law) rank(key string) int {
	return slices.IndexFunc(lists[l], func(a listed) bool { return a.key == key })
}

// word gives the law's word for an allergen; empty when the law does not name it.
func (l Law) word(key, from string) string {
	if l == NineUS && key == "gluten" && holdsAny(singular(from), "barley", "rye", "oat", "malt") {
		return "" // US law names wheat and no other grain
	}
	i := l.rank(key)
	if i < 0 {
		return ""
	}
	return lists[l][i].word
}

// Agent is what a liquid is washed or cleared with, by its name.
type Agent string

// agentFact is what an agent leaves behind.
type agentFact struct {
	names     []string
	allergens []string
	fat       bool // the product counts as washed
	meat      bool // fat of meat
	egg       bool
}

var agentFacts = []agentFact{
	{names: []string{"milk", "cream", "yoghurt", "yogurt", "whey", "buttermilk"}, allergens: []string{"milk"}, fat: true},
	{names: []string{"casein", "skimmed milk powder"}, allergens: []string{"milk"}},
	{names: []string{"butter", "brown butter", "ghee"}, allergens: []string{"milk"}, fat: true},
	{names: []string{"egg", "egg white", "whole egg", "egg yolk"}, allergens: []string{"eggs"}, fat: true, egg: true},
	{names: []string{"soya milk", "soy milk", "soya drink"}, allergens: []string{"soya"}, fat: true},
	{names: []string{"oat milk", "oat drink"}, allergens: []string{"gluten"}, fat: true},
	{names: []string{"nut milk", "almond milk", "hazelnut oil", "walnut oil", "nut butter"}, allergens: []string{"nuts"}, fat: true},
	{names: []string{"peanut butter", "peanut oil"}, allergens: []string{"peanuts"}, fat: true},
	{names: []string{"sesame oil", "tahini"}, allergens: []string{"sesame"}, fat: true},
	{names: []string{"coconut oil", "coconut milk", "cocoa butter", "olive oil", "neutral oil"}, fat: true},
	{names: []string{"bacon fat", "lard", "tallow", "duck fat", "chicken fat", "animal fat"}, fat: true, meat: true},
	{names: []string{"isinglass", "fish gelatine"}, allergens: []string{"fish"}},
	{names: []string{"chitosan"}, allergens: []string{"crustaceans"}}, // from memory: made of their shells
	{names: []string{"gelatine", "gelatin", "agar", "agar agar", "bentonite", "pectinase", "pectin enzyme", "kaolin", "silica"}},
	{names: []string{"paper", "paper filter", "coffee filter", "cloth", "settling", "freezing"}},
}

// fact finds what is known of an agent, whatever its case, accents and number.
func (a Agent) fact() (agentFact, bool) {
	word := singular(string(a))
	for _, f := range agentFacts {
		for _, name := range f.names {
			if singular(name) == word {
				return f, true
			}
		}
	}
	return agentFact{}, false
}

// bearer gives what an agent brings along. One that is not known brings what
// its words say.
func (a Agent) bearer() Bearer {
	f, known := a.fact()
	b := Bearer{Name: book.Fold(string(a)), Allergens: f.allergens}
	if !known {
		b.Allergens = saidBy(b.Name)
	}
	return b
}

// saidBy reads allergens out of an unknown agent's name, rather one too many.
func saidBy(name string) []string {
	var all []string
	for _, w := range allergenWords {
		if holdsAny(singular(name), w.words...) {
			all = append(all, w.key)
		}
	}
	return all
}
