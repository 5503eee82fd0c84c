package book

import (
	"strings"
	"unicode"
)

// Recipe finds a recipe by its name or an alias, whatever the case and accents.
func (b *Book) Recipe(name string) (Recipe, bool) {
	return find(b.Recipes, name, func(r Recipe) (string, []string) { return r.Name, r.Aliases })
}

// Vessel finds a vessel by its tag, whatever the case.
func (b *Book) Vessel(tag string) (Vessel, bool) {
	return find(b.Vessels, tag, func(v Vessel) (string, []string) { return v.Tag, nil })
}

// Liquid finds a liquid by its name or an alias, whatever the case and accents.
func (b *Book) Liquid(name string) (Liquid, bool) {
	return find(b.Liquids, name, func(l Liquid) (string, []string) { return l.Name, l.Aliases })
}

// Botanical finds a botanical by its name or an alias, whatever the case and
// accents.
func (b *Book) Botanical(name string) (Botanical, bool) {
	return find(b.Botanicals, name, func(s Botanical) (string, []string) { return s.Name, s.Aliases })
}

// ClassFor finds the class of one kind of botanical in one family of liquid,
// for what keeps the liquid.
func (b *Book) ClassFor(f Family, k Kind) (Class, bool) { return b.classFor(f, k, LiquidKept) }

// ClassOf finds the class of a recipe.
func (b *Book) ClassOf(r Recipe) (Class, bool) {
	solid, _ := b.Botanical(r.Solid)
	return b.classFor(b.Family(r), solid.Kind, r.Product)
}

func (b *Book) classFor(f Family, k Kind, p Product) (Class, bool) {
	for _, c := range b.Classes {
		if c.Family == f && c.Kind == k && (c.Product == SolidKept) == (p == SolidKept) {
			return c, true
		}
	}
	return Class{}, false
}

// Family gives the family of the liquid that r is made in.
func (b *Book) Family(r Recipe) Family {
	l, _ := b.Liquid(r.Base)
	return l.Family
}

// find looks a word up among the names first and then among the aliases, so
// that an alias never hides a name.
func find[T any](list []T, word string, names func(T) (string, []string)) (T, bool) {
	var none T
	word = Fold(word)
	if word == "" {
		return none, false
	}
	for _, t := range list {
		if name, _ := names(t); Fold(name) == word {
			return t, true
		}
	}
	for _, t := range list {
		_, aliases := names(t)
		for _, alias := range aliases {
			if Fold(alias) == word {
				return t, true
			}
		}
	}
	return none, false
}

// Fold gives a name as it is compared: lower case, without accents, single
// spaces. It knows the accents of the Latin letters that kitchens write.
func Fold(s string) string {
	if isFolded(s) {
		return s
	}
	var out strings.Builder
	for _, r := range strings.ToLower(s) {
		switch plain, accented := plainLetters[r]; {
		case accented:
			out.WriteString(plain)
		case unicode.Is(unicode.Mn, r): // an accent typed apart from its letter
		default:
			out.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(out.String()), " ")
}

// isFolded reports whether s is already as Fold would give it, the usual case.
func isFolded(s string) bool {
	space := true // a leading space is one too many
	for i := range len(s) {
		c := s[i]
		switch {
		case c == ' ' && space, c > '~', c < ' ', c >= 'A' && c <= 'Z':
			return false
		}
		space = c == ' '
	}
	return !space || s == ""
}

var plainLetters = letters(map[string]string{
	"a": "áàâäãåā", "c": "çćč", "e": "éèêëēė", "i": "íìîïī", "n": "ñń", "o": "óòôöõøō",
	"s": "śš", "u": "úùûüū", "y": "ýÿ", "z": "žźż", "ae": "æ", "oe": "œ", "ss": "ß",
})

func letters(by map[string]string) map[rune]string {
	all := map[rune]string{}
	for plain, accented := range by {
		for _, r := range accented {
			all[r] = plain
		}
	}
	return all
}
