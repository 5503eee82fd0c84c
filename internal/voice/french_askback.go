package voice

// frenchAskback is the catalogue in French of questions back about a start, and
// of the vessels that are held for their answers.
var frenchAskback = map[phrase]string{
	"question.nothing": "Rien n'est noté sans un appui.",
	"asked.new":        "Pour {who} : {line}. Rien n'a commencé.",
	"asked.wait":       "*Pas commencé*, {who} : {line} attend un appui ci-dessous.",
	"asked.held":       "Gardé pour cela : {vessels}, jusqu'à {until}.",
	"asked.none":       "Aucun siphon n'est gardé pour cela.",
	"asked.answered":   "Répondu, {by} {at} : {line}.",
	"asked.called off": "Annulé, {by} {at} : {line}. Rien n'a été commencé.",
	"asked.lapsed":     "Personne n'a répondu à {who} avant {at} : {line}. Rien n'a été commencé, rien n'est gardé.",
	"asked.left":       "{who} est passé à autre chose {at} : {line} n'a pas été commencé, rien n'est gardé.",
	"asked.taken":      "{by} a pris ce qui était gardé, {vessels} {at} : {line} n'a pas été commencé.",
	"asked.anew":       "Un appui le planifie à nouveau.",
	"already.chosen":   "Déjà répondu, {who} {at} : {line}. Rien n'a été changé.",
	"already.off":      "Annulé, {who} {at} : {line}. Rien n'a été commencé.",
	"done.start.were":  "Pas dans {were} : ce n'est plus gardé pour cela.",
	"ask.held":         "{vessel} est gardé : {who} a été questionné {at}. Rien n'a commencé. Le prendre quand même, d'un appui ou en le nommant encore ?",
	"choose.held":      "Prendre {vessel}",
	"board.held":       "Gardé dans l'attente de {who} : {vessels}, jusqu'à {until}.",
}
