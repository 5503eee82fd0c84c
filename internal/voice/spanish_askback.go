package voice

// spanishAskback is the catalogue in Spanish of questions back about a start, and
// of the vessels that are held for their answers.
var spanishAskback = map[phrase]string{
	"question.nothing": "Nada se anota sin un toque.",
	"asked.new":        "Para {who}: {line}. Nada ha empezado.",
	"asked.wait":       "*Sin empezar*, {who}: {line} espera un toque aquí abajo.",
	"asked.held":       "Apartado para ello: {vessels}, hasta las {until}.",
	"asked.none":       "No hay ningún sifón apartado para ello.",
	"asked.answered":   "Respondido, {by} {at}: {line}.",
	"asked.called off": "Anulado, {by} {at}: {line}. No se empezó nada.",
	"asked.lapsed":     "Nadie respondió a {who} hasta las {at}: {line}. No se empezó nada y nada queda apartado.",
	"asked.left":       "{who} pasó a otra cosa {at}: {line} no se empezó y nada queda apartado.",
	"asked.taken":      "{by} tomó lo apartado, {vessels} {at}: {line} no se empezó.",
	"asked.anew":       "Un toque lo planifica de nuevo.",
	"already.chosen":   "Ya respondido, {who} {at}: {line}. No se cambió nada.",
	"already.off":      "Anulado, {who} {at}: {line}. No se empezó nada.",
	"done.start.were":  "No en {were}: ya no está apartado para ello.",
	"ask.held":         "{vessel} está apartado: se le preguntó a {who} {at}. Nada ha empezado. ¿Tomarlo igual, con un toque o nombrándolo otra vez?",
	"choose.held":      "Tomar {vessel}",
	"board.held":       "Apartado a la espera de {who}: {vessels}, hasta las {until}.",
}
