package voice

// englishKept are the sentences for pieces that are kept in place of the liquid,
// and for what a manager answers for.
var englishKept = map[phrase]string{
	"note.slow vent":      "Vent slowly, in short presses: a fast one blows the liquid out of the pieces.",
	"note.keep solid":     "Keep {name}, drained; the liquid is not used again.",
	"note.same shift":     "Best this shift.",
	"note.holds alcohol":  "Say that {name} holds alcohol.",
	"note.sign off":       "A manager answers for {name}.",
	"note.safe slow vent": "Upright, open jug, faces clear, no flame; press short. Empty only after flow and two silent presses.",
	"note.safe drain":     "Clean tongs, no bare hands.",
	"step.drain":          "drain",
	"plan.sign off":       "{name} is made only when a manager answers for it.",
	"plan.not poured":     "{name} is weighed and not poured: say how many grams.",
	"why.drained":         "Drained: about {drained}, by {by}.",
}
