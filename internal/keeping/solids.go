package keeping

import (
	"slices"
	"strings"

	"ventbell/internal/book"
)

// Class is what a solid counts as for keeping.
type Class string

// The classes. A solid of no class is not known, and a person decides.
const (
	Dry    Class = "dry"       // spice, dried herb, tea, coffee, cocoa, dried zest, chilli flake
	Herb   Class = "herb"      // fresh leaf or flower
	Fruit  Class = "fruit"     // fruit and peel
	Veg    Class = "vegetable" // vegetable, root, chilli, ginger, mushroom; dried vegetable too
	Allium Class = "allium"    // garlic, onion, shallot, leek, fresh or dried
	Fat    Class = "fat"       // nuts and seeds full of fat; what fat, dairy, egg or nuts washed
)

// Solid is one botanical by its name and any other names it goes by.
type Solid struct {
	Name  string
	Also  []string
	Class Class
}

// mostDryWater tells dried leaves and peel from fresh ones: the water in 100 g
// in tenths of a gram. Dried ones hold some 10 g, fresh ones 65 g and more; the
// line between them is an estimate.
const mostDryWater = 250

// SolidOf gives a botanical of the book as it counts for keeping.
func SolidOf(b book.Botanical) Solid {
	s := Solid{Name: b.Name, Also: b.Aliases}
	first, _, _ := strings.Cut(book.Fold(b.Name), " ")
	dried := (b.Dry || first == "dried" || b.Water > 0) && b.Water <= mostDryWater
	switch b.Kind {
	case book.Produce, book.SoftProduce, book.HotPepper:
		s.Class = Veg
	case book.Bitter:
		s.Class = unless(dried, Veg)
	case book.Fruit: // dried fruit is still moist
		s.Class = Fruit
	case book.Peel:
		s.Class = unless(dried, Fruit)
	case book.Herb, book.Woody:
		s.Class = unless(dried, Herb)
	case book.Spice, book.Roast, book.Tea:
		s.Class = Dry
		if first == "fresh" {
			s.Class = Veg
		}
	}
	switch {
	case s.Class == "":
	case b.Allium:
		s.Class = Allium
	case s.Class == Dry && (b.Mushroom || b.DriedVegetable):
		s.Class = Veg
	case s.Class == Dry && b.Kind == book.Roast && slices.ContainsFunc(b.Allergens, isFatAllergen):
		s.Class = Fat
	}
	return s.counted()
}

func unless(dried bool, fresh Class) Class {
	if dried {
		return Dry
	}
	return fresh
}

func isFatAllergen(a string) bool { return a == "nuts" || a == "peanuts" || a == "sesame" }

// What a word in a name says, whatever class came with it: dried, these count
// as fresh ones do.
var (
	alliumWords = []string{"garlic", "onion", "shallot", "leek", "chive", "scallion", "ramson", "allium"}
	vegWords    = []string{
		"mushroom", "porcini", "shiitake", "morel", "chanterelle", "truffle", "tomato", "carrot", "parsnip",
		"celeriac", "beetroot", "aubergine", "courgette", "vegetable",
	}
	fatWords = []string{
		"coconut", "nut", "hazelnut", "almond", "walnut", "pecan", "pistachio", "cashew", "macadamia", "peanut",
		"sesame", "tahini", "butter", "bacon", "lard",
	}
)

// counted gives s with the class that its names force on it, which is never an
// easier one.
func (s Solid) counted() Solid {
	switch names := plain(s.names()); {
	case s.Class == "" || s.Class == Allium:
	case holdsAny(names, alliumWords...):
		s.Class = Allium
	case s.Class == Dry && holdsAny(names, vegWords...):
		s.Class = Veg
	case s.Class == Dry && holdsAny(names, fatWords...):
		s.Class = Fat
	}
	return s
}

func (s Solid) names() []string { return append([]string{s.Name}, s.Also...) }

// acidLimit gives the highest pH that an acidified solid may have, and whether
// the acidifying was ever tested for it. Only four plants were, and fresh: the
// garlic ended at 3.7; 4.2 for the herbs is common practice.
func (s Solid) acidLimit() (float64, bool) {
	limit, tested := acidLimits[book.Fold(s.Name)]
	return limit, tested
}

var acidLimits = map[string]float64{
	"garlic": 3.7, "fresh garlic": 3.7, "basil": 4.2, "oregano": 4.2, "rosemary": 4.2,
}

// plain gives names as they are compared: folded, each word in the singular,
// with a mark between two names that no phrase holds.
func plain(names []string) string {
	var all []string
	for _, n := range names {
		all = append(all, singular(n))
	}
	return strings.Join(all, " | ")
}

// holdsAny reports whether names in plain form hold any of the phrases, which
// are in plain form themselves, as whole words.
func holdsAny(plain string, phrases ...string) bool {
	return slices.ContainsFunc(phrases, func(p string) bool { return holds(plain, p) })
}

func holds(plain, phrase string) bool {
	for from := 0; ; {
		i := strings.Index(plain[from:], phrase)
		if i < 0 {
			return false
		}
		start, end := from+i, from+i+len(phrase)
		if (start == 0 || plain[start-1] == ' ') && (end == len(plain) || plain[end] == ' ') {
			return true
		}
		from = start + 1
	}
}

// singular gives a name folded, without apostrophes and with each word in the
// singular, roughly: both sides of a comparison have gone through it.
func singular(name string) string {
	name = strings.ReplaceAll(strings.ReplaceAll(book.Fold(name), "'", ""), "’", "")
	words := strings.FieldsFunc(name, func(r rune) bool { return strings.ContainsRune(" -,/|", r) })
	for i, w := range words {
		words[i] = singularWord(w)
	}
	return strings.Join(words, " ")
}

func singularWord(w string) string {
	if one, odd := oddPlurals[w]; odd {
		return one
	}
	switch stem, plural := strings.CutSuffix(w, "s"); {
	case len(w) < 4 || !plural, strings.HasSuffix(stem, "s"), strings.HasSuffix(stem, "u"), strings.HasSuffix(stem, "a"), strings.HasSuffix(w, "is"):
		return w
	case strings.HasSuffix(stem, "ie"):
		return strings.TrimSuffix(stem, "ie") + "y"
	case strings.HasSuffix(stem, "oe"):
		return strings.TrimSuffix(stem, "e")
	default:
		return stem
	}
}

var oddPlurals = map[string]string{"leaves": "leaf", "chillies": "chilli", "chilies": "chili"}
