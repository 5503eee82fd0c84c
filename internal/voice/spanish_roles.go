package voice

// spanishRoles is what is said of who may do what, and of being forgotten.
var spanishRoles = map[phrase]string{
	"refuse.hand":        "Pídeselo a {who} o a alguien del equipo. Preguntar, avisar de gas y dar la alarma puede cualquiera: `blocked A`, `hurt`, `fire`.",
	"refuse.hand.any":    "Pídeselo a alguien del equipo. Preguntar, avisar de gas y dar la alarma puede cualquiera: `blocked A`, `hurt`, `fire`.",
	"refuse.silence":     "Lejos de {vessel}: {who} y el equipo van a mirarlo. Hasta que uno de ellos diga que está vacío cuenta como A PRESIÓN.",
	"refuse.manager.who": "Pídeselo a {who}: es cosa de un encargado.",
	"refuse.manager.any": "Pídeselo a un encargado: es cosa suya. Todavía no hay ninguno: se nombra en VENTBELL_MANAGERS.",
	"refuse.nobody":      "Di el nombre de alguien con @: aquí nadie se llama {title}.",
	"refuse.owns":        "Pasa primero lo suyo: {who} aún tiene {vessels}. Que alguien diga `take` y la letra.",
	"refuse.listed":      "Quita primero a {who} de VENTBELL_MANAGERS y arranca otra vez el servicio: un encargado olvidado volvería a aparecer.",
	"ask.forget":         "¿Olvidar a {title} para siempre? Lo que pasó se queda, con una ficha en lugar del nombre. No tiene vuelta atrás.",
	"choose.forget":      "Olvidar",
	"done.forget":        "Olvidado: en lugar del nombre queda {title}. El registro sigue en unos minutos.",
	"verb.forget":        "olvidado",
	"echo.forget":        "Olvidar a alguien",
	"claim.call":         "*Mira {vessel}*, {ring}: {claimedBy} dice que está vacío, {claimed}. Nadie del equipo lo confirmó: A PRESIÓN hasta entonces.",
	"claim.over":         "*Respondido, {vessel}*: {emptiedBy} lo encontró vacío, {emptied}.",
	"claim.gone":         "*Respondido, {vessel}*.",
}
