package voice

// englishTaste is the catalogue in English of how batches came out, and of what
// is learned from it.
var englishTaste = map[phrase]string{
	"verdict.weak":       "weak",
	"verdict.right":      "right",
	"verdict.strong":     "strong",
	"verdict.spent":      "solids spent",
	"verdict.good again": "solids good again",
	"verb.taste":         "tasted",
	"echo.taste":         "How it came out",
	"done.taste":         "Noted, {title}: {verdict}.",
	"choose.spent":       "Solids spent",
	"choose.good again":  "Solids good again",

	"slip.taste":    "Taste it when it has settled: how did it come out?",
	"slip.tasted":   "Came out: {verdict}. Another tap corrects it.",
	"button.weak":   "Weak",
	"button.right":  "Right",
	"button.strong": "Strong",
	"button.try":    "Try {to}",

	"learn.last":      "Last time: {told}.",
	"learn.last.on":   "Last time, {made}: {told}.",
	"learn.rest":      "rest {rest}",
	"learn.try.ratio": "{n} of the last {of} were {verdict}: try {to} instead of {from}? The class goes from {low} to {high}; an estimate.",
	"learn.try.rest":  "{n} of the last {of} were {verdict}: try a rest of {to} instead of {from}? The recipe bears {low} to {high}; an estimate.",
	"learn.keep time": "{n} of the last {of} were {verdict}, and not on time: keep the rest ({low} to {high}) and what comes after it before changing the recipe.",
	"learn.type":      "To have it so: `{line}`.",
	"why.gauged":      "your own weighings, a gram keeps {low} to {high} ml",
}
