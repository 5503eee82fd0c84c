package voice

// frenchTaste is the catalogue in French of how batches came out, and of what is
// learned from it.
var frenchTaste = map[phrase]string{
	"verdict.weak":       "faible",
	"verdict.right":      "juste bien",
	"verdict.strong":     "fort",
	"verdict.spent":      "solides épuisés",
	"verdict.good again": "solides encore bons",
	"verb.taste":         "goûté",
	"echo.taste":         "Le goût qu'il a",
	"done.taste":         "Noté, {title} : {verdict}.",
	"choose.spent":       "Solides épuisés",
	"choose.good again":  "Solides encore bons",

	"slip.taste":    "Goûtez quand il a reposé : comment est-il ?",
	"slip.tasted":   "Résultat : {verdict}. Un autre appui le corrige.",
	"button.weak":   "Faible",
	"button.right":  "Juste bien",
	"button.strong": "Fort",
	"button.try":    "Essayer {to}",

	"learn.last":      "La dernière fois : {told}.",
	"learn.last.on":   "La dernière fois, {made} : {told}.",
	"learn.rest":      "repos {rest}",
	"learn.try.ratio": "{n} des {of} derniers : {verdict}. Essayer {to} au lieu de {from} ? La classe va de {low} à {high} ; une estimation.",
	"learn.try.rest":  "{n} des {of} derniers : {verdict}. Essayer un repos de {to} au lieu de {from} ? La recette admet {low} à {high} ; une estimation.",
	"learn.keep time": "{n} des {of} derniers : {verdict}, et hors délai. Avant de changer la recette, tenez le repos ({low} à {high}) et la suite.",
	"learn.type":      "Pour l'avoir ainsi : `{line}`.",
	"why.gauged":      "les pesées maison, un gramme retient {low} à {high} ml",
}
