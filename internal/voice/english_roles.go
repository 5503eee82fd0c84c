package voice

// englishRoles is what is said of who may do what, and of being forgotten.
var englishRoles = map[phrase]string{
	"refuse.hand":        "Ask {who}, or somebody of the crew: that is theirs to do. Anybody may ask, tell of gas and raise an alarm: `blocked A`, `hurt`, `fire`.",
	"refuse.hand.any":    "Ask somebody of the crew: that is theirs to do. Anybody may ask, tell of gas and raise an alarm: `blocked A`, `hurt`, `fire`.",
	"refuse.silence":     "Keep away from {vessel}: {who} and the crew are asked to look. Until one of them says that it is empty it counts as PRESSURISED.",
	"refuse.manager.who": "Ask {who}: that is for a manager.",
	"refuse.manager.any": "Ask a manager: that is for one. None is named yet: VENTBELL_MANAGERS does.",
	"refuse.nobody":      "Name somebody with an @: nobody here is called {title}.",
	"refuse.owns":        "Hand over first: {who} still has {vessels}. Somebody says `take` and the letter.",
	"refuse.listed":      "Take {who} off VENTBELL_MANAGERS first, and start the service again: a manager who is forgotten would be named again.",
	"ask.forget":         "Forget {title} for good? What happened stays, with a token in place of the name. Nobody can take it back.",
	"choose.forget":      "Forget",
	"done.forget":        "Forgotten: {title} stands in place of the name. The log follows within minutes.",
	"verb.forget":        "forgotten",
	"echo.forget":        "Forget somebody",
	"claim.call":         "*Look at {vessel}*, {ring}: {claimedBy} says that it is empty, {claimed}. Nobody of the crew confirmed it: PRESSURISED until then.",
	"claim.over":         "*Answered, {vessel}*: {emptiedBy} found it empty, {emptied}.",
	"claim.gone":         "*Answered, {vessel}*.",
}
