package book

import (
	"slices"
	"strings"
)

// lawAllergens are the fourteen of Regulation (EU) 1169/2011, annex II.
var lawAllergens = []string{
	"gluten", "crustaceans", "eggs", "fish", "peanuts", "soya", "milk", "nuts",
	"celery", "mustard", "sesame", "sulphites", "lupin", "molluscs",
}

// AllergensOf gives what a solid and a base bring along, in the order of the law's list.
func (b *Book) AllergensOf(solid, base string) []string {
	s, _ := b.Botanical(solid)
	l, _ := b.Liquid(base)
	var all []string
	for _, a := range lawAllergens {
		if slices.Contains(s.Allergens, a) || slices.Contains(l.Allergens, a) {
			all = append(all, a)
		}
	}
	return all
}

// agentWords are the words in the name of what a liquid is cleared or washed
// with that tell its allergen (common practice, no source). Straining takes
// the agent out and leaves its allergen in.
var agentWords = map[string][]string{
	"milk": {"milk", "cream", "butter", "ghee", "whey", "casein", "yoghurt", "yogurt", "buttermilk"},
	"eggs": {"egg", "eggs", "albumen", "albumin", "yolk"},
	"fish": {"isinglass", "fish"},
	"soya": {"soya", "soy"},
}

// AllergensOfAgent gives what a liquid takes from what it is cleared or washed
// with, in the order of the law's list. A liquid or a botanical of the book
// tells its own; otherwise each word of the name tells what it can. A recipe's
// allergens hold those of its ClearWith from the reading on, so that no label
// can lack them.
func (b *Book) AllergensOfAgent(agent string) []string {
	if told, known := b.toldOf(agent); known {
		return told
	}
	words := strings.FieldsFunc(Fold(agent), func(r rune) bool { return r == ' ' || r == '-' })
	var all []string
	for _, a := range lawAllergens {
		tells := func(w string) bool {
			told, _ := b.toldOf(w)
			return slices.Contains(agentWords[a], w) || slices.Contains(told, a)
		}
		if slices.ContainsFunc(words, tells) {
			all = append(all, a)
		}
	}
	return all
}

// toldOf gives what the book tells of a liquid or a botanical.
func (b *Book) toldOf(name string) (allergens []string, known bool) {
	l, liquid := b.Liquid(name)
	s, solid := b.Botanical(name)
	return b.AllergensOf(s.Name, l.Name), liquid || solid
}
