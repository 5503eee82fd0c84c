package voice

// spanishTaste is the catalogue in Spanish of how batches came out, and of what
// is learned from it.
var spanishTaste = map[phrase]string{
	"verdict.weak":       "flojo",
	"verdict.right":      "en su punto",
	"verdict.strong":     "fuerte",
	"verdict.spent":      "sólidos agotados",
	"verdict.good again": "los sólidos sirven otra vez",
	"verb.taste":         "probado",
	"echo.taste":         "Cómo salió",
	"done.taste":         "Anotado, {title}: {verdict}.",
	"choose.spent":       "Sólidos agotados",
	"choose.good again":  "Sólidos sirven otra vez",

	"slip.taste":    "Pruébalo cuando haya asentado: ¿cómo salió?",
	"slip.tasted":   "Salió: {verdict}. Otro toque lo corrige.",
	"button.weak":   "Flojo",
	"button.right":  "En su punto",
	"button.strong": "Fuerte",
	"button.try":    "Probar {to}",

	"learn.last":      "La última vez: {told}.",
	"learn.last.on":   "La última vez, {made}: {told}.",
	"learn.rest":      "reposo {rest}",
	"learn.try.ratio": "{n} de los últimos {of}: {verdict}. ¿Probar {to} en vez de {from}? La clase va de {low} a {high}; es una estimación.",
	"learn.try.rest":  "{n} de los últimos {of}: {verdict}. ¿Probar {to} de reposo en vez de {from}? La receta admite de {low} a {high}; es una estimación.",
	"learn.keep time": "{n} de los últimos {of}: {verdict}, y fuera de tiempo. Antes de cambiar la receta, respeta el reposo ({low} a {high}) y lo que sigue.",
	"learn.type":      "Para tenerlo así: `{line}`.",
	"why.gauged":      "las pesadas de la casa, un gramo retiene de {low} a {high} ml",
}
