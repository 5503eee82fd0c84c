package keeping

import "slices"

// allergenWord is one allergen by the book's word and the words of a name that
// tell it, as names are compared.
type allergenWord struct {
	key    string
	words  []string
	except []string // names that hold one of the words and tell nothing
}

// allergenWords are in the order of the law's list (Regulation (EU) 1169/2011,
// annex II). The words are common practice, those in Spanish and French from
// memory.
var allergenWords = []allergenWord{
	{"gluten", []string{"wheat", "barley", "oat", "rye", "spelt", "malt", "trigo", "cebada", "avena", "centeno", "ble", "orge", "avoine", "seigle"}, nil},
	{"eggs", []string{"egg", "albumen", "albumin", "yolk", "huevo", "oeuf"}, nil},
	{"fish", []string{"fish", "isinglass", "anchovy", "pescado", "poisson"}, nil},
	{"peanuts", []string{"peanut", "cacahuate", "cacahuete", "mani", "arachide"}, nil},
	{"soya", []string{"soya", "soy", "soja", "tofu"}, nil},
	{
		"milk", []string{"milk", "cream", "butter", "cheese", "yoghurt", "yogurt", "whey", "casein", "leche", "nata", "lait", "creme", "beurre"},
		[]string{"coconut", "coco", "oat", "avena", "avoine", "almond", "almendra", "amande", "soya", "soy", "soja", "rice", "arroz", "riz", "cocoa butter", "peanut butter", "nut butter"},
	},
	{
		"nuts", []string{
			"nut", "almond", "hazelnut", "walnut", "pecan", "cashew", "pistachio", "macadamia", "brazil nut", "almendra", "almendras", "avellana",
			"avellanas", "nuez", "nuece", "pistacho", "anacardo", "amande", "noisette", "noix", "pistache", "noix de cajou",
		},
		[]string{"nuez moscada", "noix de muscade", "noix de coco", "pine nut"},
	},
	{"celery", []string{"celery", "celeriac", "apio", "celeri"}, nil},
	{"mustard", []string{"mustard", "mostaza", "moutarde"}, nil},
	{"sesame", []string{"sesame", "tahini", "ajonjoli", "sesamo"}, nil},
	{"lupin", []string{"lupin", "altramuz"}, nil},
}

// AllergensNamed reads allergens out of the names that a solid or a liquid goes
// by. It finds what somebody forgot to tell; that it finds nothing tells
// nothing.
func AllergensNamed(names ...string) []string {
	said := plain(names)
	var all []string
	for _, w := range allergenWords {
		excepted := slices.ContainsFunc(w.except, func(e string) bool { return holds(said, e) })
		if !excepted && holdsAny(said, w.words...) {
			all = append(all, w.key)
		}
	}
	return all
}
