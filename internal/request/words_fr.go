package request

import (
	"time"

	"ventbell/internal/quantity"
)

// french is what French-speaking kitchens type. Common practice, no source.
var french = words{
	tongue: inFrench,
	verbs: map[Verb][]string{
		Emptied: {"creme videe", "creme vide", "j'ai vide la creme", "vide la creme", "videe la creme", "la creme est vide", "plus de creme"},
		Start: {
			"lance", "lancer", "lancez", "on lance", "demarre", "demarrer", "demarrez", "commence", "commencer", "on commence", "mets",
			"mets moi", "mettez", "mettre", "on met", "envoie", "envoyer", "envoyez", "fais", "fais moi", "faire", "faites", "on fait",
			"prepare", "preparer", "preparez", "infuse", "infuser", "on part sur", "je lance", "relance", "on relance", "je mets", "je fais", "depart", "on va faire", "on va lancer", "je vais faire", "je vais lancer",
		},
		Charged: {
			"chargee", "gazee", "cartouche mise", "cartouche dedans", "cartouche posee", "cartouche en place", "capsule mise",
			"capsule dedans", "capsule en place", "charge mise", "charge dedans", "mis une cartouche", "mis la cartouche", "remis une cartouche", "remis la cartouche", "mis une capsule",
			"mis la capsule", "mis une charge", "mis la charge", "une cartouche de plus", "a ete charge", "est charge", "cartouche passee", "cartouche dans", "capsule dans",
		},
		SetDown: {"au repos", "posee", "pose debout", "debout", "en repos", "repose la"},
		Vented: {
			"videe", "purgee", "degazee", "a ete vide", "a ete purge", "a ete degaze", "gaz sorti", "plus de pression", "fini de vider", "fini de degazer",
			"vide deux pressions muettes",
		},
		Strained: {"filtree", "passee", "tamisee", "a ete filtre", "a ete passe", "chinoisee", "c'est filtre", "c'est passe", "egouttee", "egouttees", "a ete egoutte", "c'est egoutte"},
		Cleared:  {"clarifiee", "decantee", "a ete clarifie", "c'est clarifie"},
		Labelled: {
			"etiquetee", "etiquette mise", "etiquette posee", "etiquette collee", "etiquette faite", "a ete etiquete", "c'est etiquete", "datee",
		},
		Washed: {"lavee", "nettoyee", "a ete lave", "c'est lave", "rincee et lavee"},
		NoGas: {
			"pas de gaz", "le gaz n'est pas entre", "gaz pas entre", "pas de gaz entre", "cartouche vide", "capsule vide", "cartouche ratee",
			"capsule ratee", "la cartouche etait vide", "la capsule etait vide", "cartouche etait vide", "capsule etait vide", "cartouche est vide", "capsule est vide", "charge ratee", "charge vide", "n'a pas pris", "gaz est pas rentre", "gaz pas rentre", "gaz n'est pas rentre", "cartouche defectueuse", "capsule defectueuse", "cartouche morte",
		},
		GasIn: {"gaz entre", "le gaz est entre", "gaz dedans", "le gaz est passe", "gaz passe"},
		Why:   {"pourquoi", "explique", "chiffres"},
		Take: {
			"je prends", "je reprends", "je m'occupe de", "je m'en occupe", "prends", "je garde", "c'est pour moi", "je recupere", "je m'en charge",
		},
		Resting: {
			"on en est ou", "ou on en est", "ou en est on", "quoi en cours", "en cours", "qu'est ce qui repose", "qu'est ce qui tourne",
			"qu'est ce qui est en cours", "c'est quoi en cours", "tableau", "etat", "ou est", "il reste quoi", "quoi en route", "quoi de lance",
			"qu'est ce qu'on a", "je peux utiliser", "on peut utiliser", "lesquels sont libres", "quoi de libre", "quelque chose de charge",
		},
		Scrap: {"annule", "annuler", "annulee", "jette", "jeter", "jetee", "balance", "poubelle", "laisse tomber", "abandonne"},
		Undo:  {"defais", "defaire", "annule ca", "reviens en arriere", "retour"},
		Help:  {"aide", "aide moi", "a l'aide", "à l'aide", "au secours", "comment on fait", "comment on", "comment je", "comment faire", "que faire", "et maintenant", "quoi maintenant", "probleme"},
		Offer: {
			"quelqu'un peut vider", "quelqu'un peut prendre", "quelqu'un peut filtrer", "qui peut prendre", "qui peut vider", "qui peut filtrer",
			"je passe la main", "releve moi", "tu peux prendre", "tu peux vider", "quelqu'un pour prendre", "quelqu'un pour vider", "remplace moi", "qui prend", "en galere", "je suis en galere",
		},
		Pause: {"pause", "en pause", "arrete le chrono", "arrete l'horloge", "stoppe le chrono", "mets en pause"},
		Again: {
			"encore une fois", "pareil", "pareille", "la meme", "la meme chose", "le meme", "idem", "refais", "on refait", "refaire", "rebelote", "comme hier", "pareil qu'hier",
			"la meme qu'hier", "comme la derniere fois",
		},
		OnShift:  {"je prends mon service", "je commence mon service", "je suis de service", "en service", "j'arrive en service", "je suis en service", "je suis la", "je suis arrive", "je suis de retour", "j'embauche"},
		OffShift: {"je finis mon service", "fin de service", "j'ai fini mon service", "je pars", "je rentre", "hors service", "je quitte mon service", "je me casse", "je m'en vais", "je file", "je debauche", "je me sauve"},
	},
	orders: map[Verb][]string{
		SetDown:  {"pose", "poser", "agite", "agiter", "remue", "remuer", "secoue"},
		Charged:  {"charge le", "gaze", "charge la", "recharge"},
		Vented:   {"vide", "vider", "videz", "vide le gaz", "degaze", "degazer", "purge", "purger", "purgez", "lache", "lache le gaz", "vente", "venter", "relache", "pschitt", "pschit", "pshitt", "psht", "plus de gaz", "gaz parti", "siffle plus", "plus de sifflement"},
		NoGas:    {"sans gaz", "pas siffle"},
		Strained: {"filtre", "filtrer", "filtrez", "passe", "passer", "passe au chinois", "chinoise", "tamise", "tamiser", "egoutte", "egoutter", "egouttez"},
		Cleared:  {"clarifie", "clarifier", "decante", "decanter"},
		Labelled: {"etiquette", "etiqueter", "etiquete"},
		Washed:   {"lave", "laver", "nettoie", "nettoyer", "nettoye"},
	},
	polite:   []string{"stp", "svp", "s'il te plait", "s'il vous plait", "merci de"},
	subjects: []string{"ca", "il", "elle", "on", "qui", "y", "personne", "quelqu'un", "quelqu", "gaz", "buse", "tout"},
	had:      []string{"ai", "jai", "avons", "viens", "venons"},
	fillers: []string{
		"le", "la", "les", "l'", "un", "une", "des", "du", "de", "d'", "au", "aux", "à", "avec", "en", "et", "ou", "dans", "sur", "pour", "par",
		"que", "qu'", "qui", "ce", "c'", "ca", "cela", "est", "sont", "etait", "ete", "ai", "j'", "je", "jai", "on", "nous", "tu", "il", "elle", "me", "m'", "moi",
		"mon", "ma", "se", "s'", "y", "stp", "svp", "merci", "chef", "salut", "bonjour", "oui", "ok", "okay", "d'accord", "bon", "bien", "fait", "faite",
		"voila", "maintenant", "deja", "vite", "ici", "soir", "nouveau", "nouvelle", "autre", "recette", "infusion", "fournee",
		"lot", "veux", "voudrais", "besoin", "peux", "peut", "tout", "toute", "siphon", "syphon", "chaque", "temp", "temperature", "maison", "la",
		"alors", "puis", "donc", "plait", "te", "vous", "t'", "avons", "tous", "semaine", "mais", "note", "marque", "desole", "pardon", "oups", "laisse", "infusee", "environ", "viens", "venons", "voudrait", "comme", "mdr", "bonsoir", "sorti", "obtenu", "super", "genial", "parfait", "fruit", "fruits", "passoire", "chinois", "etamine",
	},
	asides: []string{
		"s'il te plait", "s'il vous plait", "bonne nuit", "bonne soiree", "de rien", "pas de souci", "fais moi penser", "ne me laisse pas oublier", "n'oublie pas", "il me faut", "il nous faut", "sans secouer", "pas secouer", "un instant", "un moment", "rappelle moi", "si tu peux",
		"merci beaucoup", "comme d'habitude", "pour le service", "pour ce soir", "des que possible", "je crois",
	},
	greets: []string{
		"ok", "oui", "salut", "bonjour", "chef", "alors", "bon", "voila", "et", "stp", "j'", "ai", "c'", "est", "jai", "on", "donc", "le", "la",
		"maintenant", "deja", "puis",
	},
	nouns:   []string{"nouvelle", "nouveau", "recette", "infusion", "fournee", "lot", "siphon", "temp", "temperature"},
	denials: []string{"ne", "n'", "pas", "jamais", "sans", "personne", "presque", "avant", "aucun", "aucune", "non", "toujours"},
	askers: []string{
		"qui", "quand", "combien", "comment", "quel", "quelle", "quels", "quelles", "est ce que", "est ce", "quelqu'un", "puis je", "peut", "peux", "y a t il", "il y a du", "il y a des", "y a du", "y a des", "de quoi", "t'as", "tu as", "tu l'as", "vous avez",
		"faut", "ou",
	},
	offers:   []string{"peut", "peux"},
	places:   []string{"dans", "sur", "siphon", "syphon", "du"},
	namers:   []string{"siphon", "syphon"},
	definite: []string{"la", "l'", "le", "les"},
	ones:     []string{"un", "une"},
	links:    []string{"de", "d'", "un", "une"},
	vessels:  []string{"siphon", "siphons", "syphon", "fois"},
	runs:     []string{"recette", "recettes", "dose", "fournee", "fournees", "lot", "lots"},
	serves:   []string{"portions", "portion", "verres", "doses", "services"},
	chargers: []string{"cartouche", "cartouches", "capsule", "capsules", "charges"},
	looks:    []string{"rouge", "bleu", "bleue", "noir", "noire", "vert", "verte", "blanc", "blanche", "grand", "grande", "petit", "petite", "premier", "premiere", "deuxieme", "seconde", "troisieme", "dernier", "derniere"},
	done:     []string{"fait", "faite", "c'est fait", "c'est bon", "ca y est", "termine", "fini", "voila", "c'est termine"},
	heard:    []string{"oui chef", "oui", "bon", "d'accord", "ca marche", "entendu", "recu"},
	topics: map[Topic][]string{
		StockLeft: {"stock de capsules", "etat du stock", "assez de cartouches", "assez de capsules", "on a assez de cartouches"},
		OnNow:     {"qui est la", "qui est là", "qui est de service", "qui est en service", "qui travaille", "qui bosse", "qui est present", "qui est en poste"},
		WhoHas:    {"qui a", "qui s'occupe de", "a qui est", "qui gere", "qui tient", "qui a pris", "c'est a qui", "c'est à qui", "à qui est", "qui est sur", "qui s'occupe du"},
		TimeLeft: {
			"il reste combien", "combien il reste", "reste combien", "combien de temps", "combien reste t il", "encore combien", "combien de minutes",
			"ca fait combien", "combien encore", "quand est ce que je vide", "quand vider", "quand est ce qu'on vide", "à quelle heure", "a quelle heure", "dans combien de temps", "c'est pret", "est pret",
		},
		ChargersFor: {
			"combien de cartouches", "combien de capsules", "cartouches restantes", "reste combien de cartouches", "il reste combien de cartouches",
			"il reste des cartouches", "reste des cartouches", "reste des capsules", "reste combien de capsules", "stock de cartouches", "combien de gaz", "il reste combien de capsules",
		},
		Unstrained: {"qu'est ce qu'il faut filtrer", "quoi a filtrer", "quoi à filtrer", "reste à filtrer", "reste a filtrer", "à filtrer", "a filtrer", "à passer", "pas encore filtre", "qu'est ce qu'il faut egoutter", "quoi a egoutter", "reste a egoutter", "a egoutter"},
		Expiring:   {"qu'est ce qui perime", "quoi perime", "perime aujourd'hui", "qu'est ce qui expire", "perimes", "perime", "expire aujourd'hui", "dlc du jour", "quoi expire"},
		Allergens: {
			"allergenes", "allergene", "allergie", "allergies", "allergique", "contient", "qu'est ce qui contient", "qu'y a t il dans", "quoi contient",
			"coeliaque", "intolerant", "sans gluten", "y a des noix", "il y a des noix",
		},
		UseBy: {
			"dlc", "dlc de", "dlc du", "se garde", "se conserve", "tient combien de temps", "date limite", "jusqu'à quand", "jusqu'a quand", "se garde combien", "ca se garde combien", "peremption", "à consommer avant",
			"perime quand", "date de peremption", "a consommer avant",
		},
		OwnBoard:  {"les miens", "les miennes", "à moi", "mes siphons", "mes lots", "ce que j'ai", "qu'est ce que j'ai"},
		Closing:   {"fermeture", "liste de fermeture", "on ferme", "fermer", "cloture", "on peut fermer", "je ferme"},
		Overnight: {"toute la nuit", "laisser charge", "laisser sous pression", "jusqu'à demain charge", "cette nuit charge", "pour la nuit", "la nuit"},
		Strength:  {"quel degre", "titre alcoolique", "combien d'alcool", "degre d'alcool", "titre combien", "ca titre"},
		MayOpen:   {"devisser", "devisse", "enlever la tete", "ouvre", "ouvrir", "je peux ouvrir", "on peut ouvrir", "peut on ouvrir", "puis je ouvrir", "j'ouvre", "quand ouvrir"},
		TheLabel:  {"imprime l'etiquette", "imprimer l'etiquette", "texte de l'etiquette", "envoie l'etiquette", "montre l'etiquette"},
	},
	kinds: map[Kind][]string{
		Overrun: {"oublie", "j'ai oublie", "jai oublie", "on a oublie", "trop tard", "laisse trop longtemps", "min de trop", "minutes de trop"},
		Blocked: {
			"bloque", "bloquee", "bouche", "bouchee", "coince", "coincee", "ne se vide pas", "se vide pas", "ne veut pas se vider", "veut pas se vider", "buse a gele", "rien ne sort", "rien ne sortait", "pas de gaz qui sort", "le gaz ne sort pas",
			"buse gelee", "buse est gelee", "buse est bouchee", "buse bouchee", "grippe", "ne degaze pas", "degaze pas",
		},
		Leaking: {"fuit", "fuite", "fuites", "sent le gaz", "odeur de gaz", "perd du gaz", "ca coule"},
		Hissing: {"siffle", "sifflement", "ca siffle", "encore du gaz", "encore sous pression", "encore de la pression", "toujours sous pression"},
		Foaming: {"deborde", "debordee", "ca mousse partout", "mousse partout", "a mousse", "de la mousse partout"},
		Stuck:   {"ne s'ouvre pas", "s'ouvre pas", "n'ouvre pas", "impossible à ouvrir", "impossible d'ouvrir", "arrive pas à ouvrir", "peux pas ouvrir"},
		Hurt: {
			"blesse", "blessee", "urgence", "appelle le 112", "appelez le 112", "appelle le 15", "s'etouffe", "est tombe", "saigne", "coupe le doigt", "me suis coupe", "s'est coupe", "accident", "ambulance", "explose", "a saute", "reaction allergique", "anaphylaxie", "anaphylactique", "premiers secours", "samu", "dans la figure", "sang",
			"fait mal", "me suis fait mal", "s'est fait mal",
		},
		Burn:    {"brulure", "brulures", "brulee", "s'est brule", "me suis brule", "brule", "gelure", "gelures", "doigt gele", "colle à la buse", "colle a la buse", "doigt colle", "doigt est colle"},
		Eye:     {"oeil", "yeux", "dans l'oeil", "dans les yeux"},
		Fire:    {"feu", "incendie", "de la fumee", "fumee dans", "fumee partout", "en feu", "au feu", "le feu", "flammes", "torchon brule", "torchon a pris feu", "ca brule", "pompiers"},
		Fainted: {"evanoui", "evanouie", "s'est evanoui", "malaise", "tombe dans les pommes", "est tombe dans les pommes", "tete qui tourne", "tete tourne", "tourne de l'oeil", "inconscient", "respire plus", "ne respire plus", "respire pas", "ne respire pas", "etourdi", "vertige", "vertiges"},
	},
	contain: map[string][]string{
		"nuts": {"noix", "fruits à coque", "fruits a coque", "coque"}, "peanuts": {"arachide", "arachides", "cacahuete", "cacahuetes"}, "milk": {"lait", "lactose", "laitiers"},
		"gluten": {"gluten", "ble", "coeliaque"}, "eggs": {"oeuf", "oeufs"}, "fish": {"poisson"}, "soya": {"soja"}, "celery": {"celeri"}, "mustard": {"moutarde"},
		"sesame": {"sesame"}, "sulphites": {"sulfites"}, "crustaceans": {"crustaces"}, "molluscs": {"mollusques"}, "lupin": {"lupin"},
	},
	tooMuch: []string{"trop charge", "trop chargee", "surcharge", "surchargee", "trop de gaz", "trop de cartouches", "charge deux fois", "charge en double"},

	numbers: map[string]int64{
		"un": 1, "une": 1, "deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "six": 6, "sept": 7, "huit": 8, "neuf": 9, "dix": 10,
		"onze": 11, "douze": 12, "quinze": 15, "vingt": 20, "trente": 30, "quarante": 40, "cinquante": 50, "soixante": 60,
	},
	hundreds:  map[string]int64{"cent": 100, "cents": 100, "mille": 1000},
	fractions: map[string]amount{"demi": {n: 1, d: 2}, "demie": {n: 1, d: 2}, "quart": {n: 1, d: 4}, "quarts": {n: 1, d: 4}, "tiers": {n: 1, d: 3}, "moitie": {n: 1, d: 2}},
	doubles:   []string{"double", "doubles"},
	loose:     []string{"double", "triple", "quelques", "demi", "demie", "quart", "quarts", "tiers", "moitie", "cent", "cents", "mille"},
	foreign:   []string{"cuillere", "cuilleres", "cas", "cac", "pincee", "poignee", "bouquet", "brin", "personnes", "couverts"},

	volumes: map[string]quantity.Volume{
		"millilitre": quantity.Millilitre, "millilitres": quantity.Millilitre, "litre": quantity.Litre, "litres": quantity.Litre,
		"centilitre": quantity.Centilitre, "centilitres": quantity.Centilitre, "decilitre": quantity.Decilitre, "decilitres": quantity.Decilitre,
		"tasse": 250 * quantity.Millilitre, "tasses": 250 * quantity.Millilitre,
		"pinte": 500 * quantity.Millilitre, "pintes": 500 * quantity.Millilitre,
	},
	local:   map[localUnit][]string{aFluidOunce: {"once", "onces"}},
	bottles: []string{"bouteille", "bouteilles", "btle"},
	masses: map[string]quantity.Mass{
		"gramme": quantity.Gram, "grammes": quantity.Gram, "kilogramme": quantity.Kilogram, "livre": 500 * quantity.Gram, "livres": 500 * quantity.Gram,
	},
	spans: map[string]time.Duration{
		"seconde": time.Second, "secondes": time.Second, "mn": time.Minute, "minute": time.Minute, "minutes": time.Minute,
		"heure": time.Hour, "heures": time.Hour,
	},
	celsius: []string{"degres c", "degre c", "degres celsius"},
	faren:   []string{"degres f", "degre f", "degres fahrenheit"},
	degrees: []string{"degres", "degre"},
	alone:   []string{"bouteille", "litre"},
	bands: map[string]band{
		"congele": frozen, "congelee": frozen, "glace": iced, "glacee": iced, "froid": cold, "froide": cold, "frais": cold, "fraiche": cold,
		"frigo": cold, "cave": cellar, "ambiante": room, "temperature ambiante": room, "temp ambiante": room, "tiede": warm,
		"chaud": hot, "chaude": hot, "bouillant": boiling, "bouillante": boiling,
	},

	rest:  []string{"repos", "repose", "reposer", "laisse reposer"},
	more:  []string{"plus", "encore", "ajoute", "rajoute", "rajouter"},
	since: []string{"il y a", "depuis", "y a"},
	at:    []string{"à", "vers"},
	by:    []string{"pour", "avant"},
	days:  map[string]int{"aujourd'hui": 0, "demain": 1, "hier": -1, "soir": 0},
	week:  []string{"dimanche dim", "lundi lun", "mardi", "mercredi", "jeudi", "vendredi", "samedi"},
	split: []string{"divise", "diviser", "en plusieurs fois", "en plusieurs fournees"},
	class: []string{"par classe", "selon la classe", "selon classe"},
	and:   []string{"et"},
	half:  []string{"et demi", "et demie"},

	inAll:   []string{"en tout", "au total", "total"},
	mistake: []string{"par erreur", "de trop", "en trop", "sans faire expres"},
	further: []string{"de plus", "encore", "autres", "autre", "en plus"},
	either:  []string{"ou", "à"},
	put:     []string{"mis", "utilise", "charge", "ajoute", "rajoute"},
}
