package voice

// englishAskback is the catalogue in English of questions back about a start, and
// of the vessels that are held for their answers.
var englishAskback = map[phrase]string{
	"question.nothing": "Nothing is noted before a tap.",
	"asked.new":        "For {who}: {line}. Nothing has started.",
	"asked.wait":       "*Not started*, {who}: {line} waits for one tap below.",
	"asked.held":       "Held for it: {vessels}, until {until}.",
	"asked.none":       "No vessel is held for it.",
	"asked.answered":   "Answered, {by} {at}: {line}.",
	"asked.called off": "Called off, {by} {at}: {line}. Nothing was started.",
	"asked.lapsed":     "Nobody answered {who} by {at}: {line}. Nothing was started, nothing is held.",
	"asked.left":       "{who} went on to something else {at}: {line} was not started, nothing is held.",
	"asked.taken":      "{by} took what was held, {vessels} {at}: {line} was not started.",
	"asked.anew":       "A tap plans it anew.",
	"already.chosen":   "Answered before, {who} {at}: {line}. Nothing was changed.",
	"already.off":      "Called off, {who} {at}: {line}. Nothing was started.",
	"done.start.were":  "Not in {were}: that is no longer held for it.",
	"ask.held":         "{vessel} is held: {who} was asked back {at}. Nothing has started. Take it all the same, by a tap or by naming it again?",
	"choose.held":      "Take {vessel}",
	"board.held":       "Held for an answer of {who}: {vessels}, until {until}.",
}
