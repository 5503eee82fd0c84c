package voice

// frenchRoles is what is said of who may do what, and of being forgotten.
var frenchRoles = map[phrase]string{
	"refuse.hand":        "Demander à {who} ou à quelqu'un de l'équipe. Tout le monde peut demander, parler de gaz et donner l'alerte : `blocked A`, `hurt`, `fire`.",
	"refuse.hand.any":    "Demander à quelqu'un de l'équipe. Tout le monde peut demander, parler de gaz et donner l'alerte : `blocked A`, `hurt`, `fire`.",
	"refuse.silence":     "S'écarter de {vessel} : {who} et l'équipe vont regarder. Tant que personne d'eux ne dit qu'il est vide il compte comme SOUS PRESSION.",
	"refuse.manager.who": "Demander à {who} : c'est pour un responsable.",
	"refuse.manager.any": "Demander à un responsable : c'est pour lui. Aucun n'est nommé : VENTBELL_MANAGERS le fait.",
	"refuse.nobody":      "Nommer quelqu'un avec un @ : personne ici ne s'appelle {title}.",
	"refuse.owns":        "Passer d'abord la main : {who} a encore {vessels}. Quelqu'un dit `take` et la lettre.",
	"refuse.listed":      "Retirer d'abord {who} de VENTBELL_MANAGERS et relancer le service : un responsable oublié y serait nommé de nouveau.",
	"ask.forget":         "Oublier {title} pour de bon ? Ce qui s'est passé reste, avec un jeton à la place du nom. C'est sans retour.",
	"choose.forget":      "Oublier",
	"done.forget":        "Oublié : {title} est à la place du nom. Le journal suit dans quelques minutes.",
	"verb.forget":        "oublié",
	"echo.forget":        "Oublier quelqu'un",
	"claim.call":         "*Regarder {vessel}*, {ring} : {claimedBy} le dit vide, {claimed}. Personne de l'équipe ne l'a confirmé : SOUS PRESSION d'ici là.",
	"claim.over":         "*Répondu, {vessel}* : {emptiedBy} l'a trouvé vide, {emptied}.",
	"claim.gone":         "*Répondu, {vessel}*.",
}
