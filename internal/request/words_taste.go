package request

// tastes is what each language says of a batch that was tasted, and of its
// solids. Common practice, no source. A word that other lines are full of
// ("good", "bien") stands here only together with another.
var tastes = map[tongue]map[Verdict][]string{
	inEnglish: {
		Weak: {
			"weak", "too weak", "taste weak", "tastes weak", "tasted weak", "a bit weak", "bit weak", "came out weak", "weak one",
			"not strong enough", "not enough flavour", "too mild", "tastes thin", "bland",
		},
		Right: {
			"right", "just right", "taste right", "tastes right", "tasted right", "came out right", "spot on", "tastes good", "tasted good",
			"taste good", "came out good", "came out fine", "tastes fine",
		},
		Strong: {
			"strong", "too strong", "taste strong", "tastes strong", "tasted strong", "a bit strong", "bit strong", "came out strong", "came out too strong",
			"overpowering", "too much flavour",
		},
		Spent: {"spent", "taste spent", "solids spent", "solids are spent", "solids used up", "solids are done for"},
		GoodAgain: {
			"taste good again", "is good again", "are good again", "solids good again", "solids are good again", "solids can be used again", "solids good for another", "good for another use",
		},
	},
	inSpanish: {
		Weak: {
			"flojo", "floja", "muy flojo", "muy floja", "demasiado flojo", "demasiado floja", "salio flojo", "salio floja", "quedo flojo", "quedo floja", "le falta sabor", "sabe a poco",
			"soso", "sosa", "debil", "muy debil",
		},
		Right: {"en su punto", "bien", "bien de sabor", "sabe bien", "salio bien", "quedo bien", "buen sabor", "de sabor bien", "correcto de sabor"},
		Strong: {
			"fuerte", "muy fuerte", "demasiado fuerte", "salio fuerte", "quedo fuerte", "sabe fuerte", "sabe muy fuerte", "se paso de fuerte", "cargado de sabor",
		},
		Spent:     {"agotado", "agotada", "solidos agotados", "solidos gastados", "fruta agotada"},
		GoodAgain: {"solidos buenos otra vez", "solidos sirven otra vez", "sirve otra vez", "sirven otra vez", "se puede reusar", "se pueden reusar"},
	},
	inFrench: {
		Weak: {
			"faible", "trop faible", "un peu faible", "fade", "trop fade", "pas assez fort", "pas assez forte", "manque de gout", "goutte faible",
		},
		Right:     {"bien", "juste bien", "bon gout", "gout bon", "au gout bon", "bien dose", "tres bon au gout", "bien de gout", "parfait au gout"},
		Strong:    {"fort", "forte", "trop fort", "trop forte", "un peu fort", "un peu forte", "trop corse", "gout fort"},
		Spent:     {"epuise", "epuisee", "epuises", "solides epuises", "plus rien a tirer"},
		GoodAgain: {"solides encore bons", "encore bons", "encore utilisable", "encore utilisables", "peut resservir", "peuvent resservir"},
	},
}
