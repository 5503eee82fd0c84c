package request

import (
	"time"

	"ventbell/internal/quantity"
)

// spanish is what Spanish-speaking kitchens type, on both sides of the ocean.
// Common practice, no source.
var spanish = words{
	tongue: inSpanish,
	verbs: map[Verb][]string{
		Emptied: {"nata vaciada", "nata vacia", "he vaciado la nata", "vaciada la nata", "se acabo la nata", "crema vaciada", "crema vacia", "vaciada la crema"},
		Start: {
			"empieza", "empezar", "empezamos", "empiezo", "comienza", "arranca", "arrancar", "arrancamos", "inicia", "iniciar",
			"pon", "ponle", "ponme", "pone", "poner", "ponemos", "ponlo", "mete", "meteme", "dale", "haz", "hazme", "hacer", "hacemos",
			"prepara", "preparar", "preparame", "lanza", "echa", "echame", "infusiona", "infusionar", "vamos con", "a por", "vamos a hacer", "vamos a empezar", "vamos a preparar", "voy a hacer", "voy a empezar",
		},
		Charged: {
			"cargado", "cargada", "gaseado", "gaseada", "carga puesta", "carga metida", "carga dentro", "carga adentro",
			"capsula puesta", "capsula metida", "capsula dentro", "capsula adentro", "cartucho puesto", "cartucho metido",
			"cartucho dentro", "cartucho adentro", "bala puesta", "bala dentro", "meti una carga", "meti la carga",
			"meti un cartucho", "meti una capsula", "puse una carga", "puse la carga", "puse un cartucho", "puse una capsula",
			"puse la capsula", "puse capsula", "meti la capsula", "meti capsula", "puse el cartucho", "meti el cartucho", "puse la bala", "meti la bala", "puse una bala", "meti una bala",
			"una carga mas", "cargue", "entro la carga", "entro la capsula", "entro el cartucho", "entro la bala", "carga entro", "capsula entro", "cartucho entro",
			"carga en", "capsula en", "cartucho en", "carga esta en", "capsula esta en", "carga ya esta en", "capsula ya esta en", "cartucho ya esta en",
		},
		SetDown: {"en reposo", "a reposar", "puesto de pie", "de pie", "apoyado", "reposando ya", "agitado", "agitada", "removido"},
		Vented: {
			"venteado", "venteada", "quedo venteado", "quedo ventilado", "quedo vaciado", "termine de ventear", "acabe de ventear", "ventilado", "ventilada", "vaciado", "vaciada", "despresurizado", "despresurizada",
			"purgado", "purgada", "gas fuera", "gas sacado", "sin presion", "vacio dos pulsaciones mudas",
		},
		Strained: {"colado", "colada", "filtrado", "filtrada", "tamizado", "tamizada", "escurrido", "escurrida", "escurridos", "escurridas", "escurri", "escurrimos"},
		Cleared:  {"clarificado", "clarificada", "aclarado", "aclarada", "decantado", "decantada"},
		Labelled: {"etiquetado", "etiquetada", "etiqueta puesta", "etiqueta pegada", "etiqueta lista", "fechado", "puse la etiqueta", "pegue la etiqueta", "puse etiqueta"},
		Washed:   {"lavado", "lavada", "fregado", "fregada", "limpiado", "limpiada"},
		NoGas: {
			"no entro gas", "no entro el gas", "el gas no entro", "no metio gas", "no tenia gas", "carga fallida", "carga vacia",
			"cartucho vacio", "cartucho fallido", "capsula vacia", "capsula fallida", "fallo la carga", "fallo el cartucho",
			"fallo la capsula", "no dio gas", "bala vacia", "capsula estaba vacia", "carga estaba vacia", "cartucho estaba vacio", "bala estaba vacia", "salio vacia", "salio vacio", "estaba vacia la capsula", "estaba vacio el cartucho", "cartucho malo", "capsula mala", "carga mala", "capsula defectuosa", "cartucho defectuoso", "carga defectuosa", "salio mala la capsula", "salio malo el cartucho",
		},
		GasIn: {"entro gas", "entro el gas", "el gas entro", "si entro gas", "si entro", "el gas si entro", "gas dentro"},
		Why:   {"por que", "porque", "explica", "cifras"},
		Take: {
			"toma", "tomo", "yo tomo", "lo tomo", "tomo yo", "cojo", "agarro", "me encargo", "me encargo de", "me quedo con",
			"lo llevo yo", "llevo yo", "yo me encargo", "yo venteo", "yo cuelo", "yo lo hago", "relevo",
		},
		Resting: {
			"que hay", "que esta reposando", "que hay en reposo", "que reposa", "que falta", "que tenemos", "como va", "como vamos",
			"como van", "estado", "donde esta", "tablero", "pizarra", "que hay en marcha", "en marcha", "puedo usar", "que sifones hay libres", "hay libres", "cual esta libre", "hay algo cargado", "algo cargado",
		},
		Scrap: {
			"cancela", "cancelar", "cancelado", "tira", "tirar", "tirado", "anula", "anular", "anulado", "desecha", "descarta", "bota",
			"a la basura",
		},
		Undo: {"deshacer", "deshaz", "deshazlo", "deshaz eso"},
		Help: {"ayuda", "ayudame", "como se", "como ventear", "como lo", "auxilio", "socorro", "como se hace", "como hago", "que hago", "que sigue", "y ahora que", "problema"},
		Offer: {
			"alguien puede ventear", "alguien puede tomar", "alguien puede colar", "alguien que ventee", "alguien que tome", "quien puede ventear",
			"quien puede tomar", "me cubres", "cubreme", "relevame", "me relevas", "quien me cubre", "quien puede con", "quien se queda con", "alguien ventea", "alguien la ventea", "alguien lo ventea", "alguien se queda con", "no puedo con", "puedes tomar", "puedes ventear",
		},
		Pause: {"pausa", "pausar", "para el reloj", "para el tiempo", "deten el reloj", "deten el tiempo", "pausalo"},
		Again: {
			"otra vez", "de nuevo", "lo mismo", "igual", "la misma", "el mismo", "repite", "repetir", "lo mismo que ayer", "igual que ayer", "como ayer",
			"lo de ayer", "lo de siempre", "igual que antes", "como la ultima vez",
		},
		OnShift:  {"entro a turno", "entro de turno", "estoy de turno", "empiezo turno", "empiezo mi turno", "entro al turno", "de turno", "llegue", "ya llegue", "estoy en turno", "ya estoy en turno", "ya volvi"},
		OffShift: {"salgo de turno", "fuera de turno", "termino turno", "acabo turno", "termine mi turno", "termino mi turno", "me voy", "ya me voy", "me voy a casa", "ya me voy a casa", "me salgo", "me fui", "salgo ya"},
	},
	orders: map[Verb][]string{
		Charged: {"carga", "cargar", "cargalo", "gasea"},
		Vented: {
			"ventea", "ventear", "ventee", "venteamos", "vaciamos", "ventila", "ventilar", "ventile", "suelta", "suelta el gas", "soltar el gas", "libera", "liberar",
			"saca el gas", "sacar el gas", "saque el gas", "saque todo el gas", "quite la presion", "quita la presion", "sin silbido", "ya no silba", "no silba", "pssh", "pschit", "purga", "purgar", "purgue", "vacia", "vaciar", "vacie", "vacio", "ventealo",
		},
		NoGas:    {"sin gas", "no silbo", "no siseo"},
		Strained: {"cuela", "colar", "cole", "colamos", "filtramos", "filtra", "filtrar", "filtre", "tamiza", "tamizar", "escurre", "escurrir", "escurra"},
		Cleared:  {"clarifica", "clarificar", "clarifique", "aclara", "decanta", "decantar", "decante"},
		Labelled: {"etiqueta", "etiquetar", "etiquetamos", "etiquete"},
		Washed:   {"lava", "lavar", "lavamos", "lave", "limpia", "limpiar", "limpie", "friega", "fregar", "limpio"},
	},
	polite: []string{"porfa", "por favor", "porfavor", "porfis", "xfa", "xfavor", "favor"},
	had:    []string{"he", "hemos", "acabo", "acabamos"},
	fillers: []string{
		"el", "la", "los", "las", "lo", "pa", "un", "una", "unos", "unas", "uno", "de", "del", "al", "con", "en", "y", "para", "por", "que", "se",
		"es", "esta", "este", "eso", "esto", "ese", "ya", "ahora", "porfa", "porfis", "xfa", "xfavor", "porfavor", "favor", "gracias", "jefe", "chef", "hola", "oye",
		"si", "vale", "bueno", "bien", "listo", "lista", "listos", "hecho", "oido", "okey", "hoy", "noche", "otro", "otra", "nuevo",
		"nueva", "tanda", "receta", "infusion", "lote", "me", "mi", "nos", "yo", "tu", "te", "le", "les", "quiero", "necesito", "necesitamos",
		"puedes", "puede", "podemos", "quieres", "hay", "ha", "he", "hemos", "sido", "todo", "toda", "sifon", "sifones", "recipiente",
		"cada", "temp", "temperatura", "casa", "rapido", "favor", "entonces", "luego", "pues", "va", "ser", "a", "su", "sobre",
		"esta", "estan", "cabeza", "usando", "dentro", "semana", "pero", "jaja", "jajaja", "saque", "algo", "buenas", "genial", "perfecto", "fruta", "chino", "colador", "tela", "marca", "anota", "salieron", "quedaron", "perdon", "ups", "embotellado", "aproximadamente", "deja", "dejalo", "dejala", "infusionado", "infusionada", "acabo", "acabamos", "como",
	},
	asides: []string{
		"por favor", "me haces el favor de", "hazme el favor de", "buenos dias", "buenas tardes", "buenas noches", "no hay problema", "no me dejes olvidar", "que no se me olvide", "no olvides", "avisame", "si puedes", "muchas gracias", "como siempre",
		"para el servicio", "para esta noche", "por ahora", "lo antes posible", "un momento", "un segundito", "que no se pase", "sin agitar", "no agitar",
	},
	greets: []string{
		"ok", "hola", "oye", "chef", "jefe", "bueno", "si", "vale", "ya", "listo", "pues", "y", "porfa", "he", "hemos", "el", "la", "yo", "oido",
	},
	nouns:   []string{"nueva", "nuevo", "tanda", "receta", "infusion", "lote", "sifon", "temp", "temperatura", "todo"},
	denials: []string{"no", "nunca", "sin", "todavia", "aun", "casi", "nadie", "antes", "hasta", "ningun", "ninguna", "tampoco", "jamas"},
	askers: []string{
		"quien", "cuando", "cuanto", "cuantos", "cuanta", "cuantas", "donde", "cual", "cuales", "como", "alguien", "puedo", "puede", "puedes",
		"esta", "ha", "de que", "a que", "hay algo", "tiene", "lleva", "contiene",
	},
	offers:   []string{"puedo", "puede", "puedes"},
	places:   []string{"en", "sifon", "recipiente", "del", "al"},
	namers:   []string{"sifon", "recipiente"},
	articles: nil,
	definite: []string{"la", "las", "el", "los"},
	ones:     []string{"un", "una", "uno"},
	links:    []string{"de", "un", "una"},
	vessels:  []string{"sifon", "sifones", "recipiente", "recipientes", "veces"},
	runs:     []string{"tanda", "tandas", "receta", "recetas", "lote", "lotes"},
	serves:   []string{"racion", "raciones", "porcion", "porciones", "servicios", "tragos", "copas", "servicio"},
	chargers: []string{"carga", "cargas", "cartucho", "cartuchos", "capsula", "capsulas", "bala", "balas"},
	looks:    []string{"rojo", "roja", "azul", "negro", "negra", "verde", "blanco", "blanca", "grande", "pequeno", "chico", "chica", "primero", "primera", "segundo", "segunda", "tercera", "tercero", "ultimo", "ultima"},
	done:     []string{"listo", "lista", "hecho", "ya", "ya esta", "ya estuvo", "terminado", "acabado", "ya quedo"},
	heard:    []string{"oido", "vale", "okey", "si", "va", "si chef", "oido chef"},
	topics: map[Topic][]string{
		StockLeft: {"existencias", "existencias de cargas", "cargas en stock", "alcanzan las cargas", "nos alcanzan las cargas", "llegan las cargas"},
		OnNow:     {"quien esta de turno", "quien hay", "quien trabaja", "quien esta trabajando", "quien esta hoy", "quien esta ahora", "quienes estan", "quienes estan de turno", "quien hay de turno"},
		WhoHas:    {"quien tiene", "quien lleva", "de quien es", "quien esta con", "quien cogio", "quien agarro", "quien anda con"},
		TimeLeft: {
			"cuanto falta", "cuanto le falta", "cuanto queda", "cuanto le queda", "cuanto tiempo", "que le falta", "ya casi", "cuanto lleva", "cuanto resta",
			"ya esta listo", "esta listo", "a que hora", "cuando venteo", "cuando ventear", "cuando toca", "cuando cuelo",
		},
		ChargersFor: {
			"cuantas cargas", "cuantas capsulas", "cuantos cartuchos", "cuantas balas", "cargas quedan", "capsulas quedan", "cartuchos quedan",
			"quedan cargas", "quedan capsulas", "quedan cartuchos", "hay cargas", "hay cartuchos", "hay capsulas", "cuanto gas",
		},
		Unstrained: {"que hay que colar", "que falta colar", "que falta por colar", "por colar", "sin colar", "que cuelo", "que toca colar", "que hay que escurrir", "que falta por escurrir", "por escurrir", "sin escurrir"},
		Expiring:   {"que caduca hoy", "que caduca", "que vence hoy", "que vence", "que se vence", "caducado", "vencido", "que expira"},
		Allergens: {
			"alergenos", "alergeno", "alergia", "alergico", "alergica", "alergias", "que lleva", "que tiene", "que contiene", "contiene", "celiaco", "celiaca",
			"sin gluten", "intolerante", "de que esta hecho", "de que esta hecha", "ingredientes", "lleva nueces", "tiene nueces", "tiene frutos secos", "lleva frutos secos",
		},
		UseBy: {
			"caducidad", "fecha de caducidad", "hasta cuando", "cuando caduca", "cuando vence", "cuanto dura", "hasta cuando dura", "dura", "aguanta", "consumir antes", "cuando expira", "vencimiento",
			"caducidad de", "consumo preferente",
		},
		OwnBoard:  {"mis tandas", "lo mio", "mios", "mias", "que tengo", "que tengo yo", "mis sifones"},
		Closing:   {"cierre", "lista de cierre", "cerramos", "cerrar", "vamos a cerrar", "para cerrar", "podemos cerrar", "cerrando"},
		Overnight: {"toda la noche", "dejar cargado", "dejarlo cargado", "dejo cargado", "hasta manana cargado", "de un dia para otro", "por la noche cargado"},
		Strength:  {"graduacion", "cuanto alcohol", "que graduacion", "cuantos grados tiene"},
		MayOpen:   {"abre", "abrir", "desenroscar", "puedo desenroscar", "quitar la cabeza", "puedo abrir", "se puede abrir", "puedo abrirlo", "lo abro", "podemos abrir", "cuando puedo abrir"},
		TheLabel:  {"imprime la etiqueta", "imprime etiqueta", "imprimir etiqueta", "texto de la etiqueta", "que pone la etiqueta", "dame la etiqueta"},
	},
	kinds: map[Kind][]string{
		Overrun: {"olvide", "se me olvido", "se me paso", "lo olvide", "me olvide", "se nos paso", "se paso"},
		Blocked: {
			"atascado", "atascada", "bloqueado", "bloqueada", "obstruido", "tapado", "tapada", "no ventea", "no suelta", "no sale el gas", "no sale gas",
			"no sale nada", "no salio gas", "no salio el gas", "no salio nada", "se atasco", "se bloqueo", "se trabo", "se atoro", "boquilla congelada", "boquilla esta congelada", "boquilla se congelo", "valvula esta congelada", "trabado", "trabada", "atorado", "atorada",
		},
		Leaking: {"gotea", "goteando", "tirando gas", "tira gas", "huele a gas", "olor a gas", "pierde", "pierde gas", "fuga", "fugas", "se sale", "tiene fuga", "se escapa", "chorrea"},
		Hissing: {"silba", "silbando", "sisea", "siseando", "todavia tiene gas", "sigue con gas", "sigue con presion", "aun tiene gas", "aun tiene presion", "todavia tiene presion"},
		Foaming: {"se desbordo", "desbordado", "espuma por todos lados", "rebalso", "se derramo", "salio espuma", "espuma por todas partes", "se salio la espuma", "salio la espuma", "se desborda", "mucha espuma"},
		Stuck:   {"no abre", "no se abre", "no puedo abrir", "no puedo abrirlo", "no puedo abrirla"},
		Hurt: {
			"herido", "herida", "me corte", "se corto", "me golpeo", "en la cara", "a la cara", "se cayo", "se ahoga", "emergencia", "llama al 112", "llamen al 112", "llama al 911", "sangre", "sangra", "sangrando", "lastimado", "se lastimo", "me lastime", "accidente", "ambulancia",
			"exploto", "revento", "salio volando", "reaccion alergica", "anafilaxia", "anafilactico", "me golpee", "primeros auxilios", "me pego en la cara", "golpe en la cara", "se hizo dano", "me hice dano",
		},
		Burn:    {"quemadura", "quemaduras", "me queme", "se me quemo", "me quemo", "se le quemo", "se quemo", "quemado", "quemada", "congelo el dedo", "congelacion", "me congele"},
		Eye:     {"ojos", "en el ojo", "en los ojos", "mi ojo", "el ojo", "al ojo"},
		Fire:    {"fuego", "incendio", "humo", "se quema", "en llamas", "llamas", "hay fuego", "se incendio", "bomberos"},
		Fainted: {"desmayado", "desmayada", "se desmayo", "desmayo", "mareado", "mareada", "se cayo redondo", "inconsciente", "no puede respirar", "no puedo respirar", "no respira", "me mareo", "sin sentido"},
	},
	contain: map[string][]string{
		"nuts": {"nueces", "nuez", "frutos secos", "fruto seco", "secos"}, "peanuts": {"cacahuate", "cacahuates", "cacahuete", "cacahuetes", "mani"},
		"milk": {"leche", "lacteos", "lactosa", "lacteo"}, "gluten": {"gluten", "trigo", "celiaco", "celiaca"}, "eggs": {"huevo", "huevos"}, "fish": {"pescado"},
		"soya": {"soja", "soya"}, "celery": {"apio"}, "mustard": {"mostaza"}, "sesame": {"sesamo", "ajonjoli"}, "sulphites": {"sulfitos"},
		"crustaceans": {"mariscos", "crustaceos"}, "molluscs": {"moluscos"}, "lupin": {"altramuz", "altramuces"},
	},
	tooMuch: []string{"se me fue la mano con las capsulas", "se me fue la mano con el gas", "me he pasado con las capsulas", "me pase con las capsulas", "me pase de capsulas", "me pase de gas", "sobrecargado", "sobrecargada", "demasiado gas", "demasiadas cargas", "demasiados cartuchos", "cargado doble", "cargado dos veces"},

	numbers: map[string]int64{
		"un": 1, "una": 1, "uno": 1, "dos": 2, "par": 2, "tres": 3, "cuatro": 4, "cinco": 5, "seis": 6, "siete": 7, "ocho": 8, "nueve": 9, "diez": 10,
		"once": 11, "doce": 12, "quince": 15, "veinte": 20, "veinticinco": 25, "treinta": 30, "cuarenta": 40, "cincuenta": 50, "sesenta": 60, "setenta": 70,
		"ochenta": 80, "noventa": 90, "cien": 100, "ciento": 100, "doscientos": 200, "doscientas": 200, "trescientos": 300, "trescientas": 300,
		"cuatrocientos": 400, "cuatrocientas": 400, "quinientos": 500, "quinientas": 500, "seiscientos": 600, "setecientos": 700,
		"ochocientos": 800, "novecientos": 900,
	},
	hundreds:  map[string]int64{"mil": 1000},
	fractions: map[string]amount{"medio": {n: 1, d: 2}, "media": {n: 1, d: 2}, "cuarto": {n: 1, d: 4}, "tercio": {n: 1, d: 3}, "cuartos": {n: 1, d: 4}},
	doubles:   []string{"doble", "dobles"},
	loose:     []string{"doble", "dobles", "triple", "ambos", "ambas", "pocos", "unos", "medio", "media", "cuarto", "tercio", "cuartos"},
	foreign:   []string{"cucharada", "cucharadas", "cucharadita", "cucharaditas", "cda", "cdta", "pizca", "punado", "manojo", "rama", "personas", "comensales", "cubiertos"},

	volumes: map[string]quantity.Volume{
		"mililitro": quantity.Millilitre, "mililitros": quantity.Millilitre, "litro": quantity.Litre, "litros": quantity.Litre,
		"centilitro": quantity.Centilitre, "centilitros": quantity.Centilitre,
		"taza": 250 * quantity.Millilitre, "tazas": 250 * quantity.Millilitre,
		"pinta": 500 * quantity.Millilitre, "pintas": 500 * quantity.Millilitre,
	},
	local:   map[localUnit][]string{aFluidOunce: {"onza", "onzas"}, aGallon: {"galon", "galones"}, aShot: {"caballito", "caballitos", "chupito", "chupitos"}},
	bottles: []string{"botella", "botellas"},
	masses: map[string]quantity.Mass{
		"gramo": quantity.Gram, "gramos": quantity.Gram, "kilogramo": quantity.Kilogram, "kilogramos": quantity.Kilogram,
		"libra": pound, "libras": pound,
	},
	spans: map[string]time.Duration{
		"seg": time.Second, "segs": time.Second, "segundo": time.Second, "segundos": time.Second,
		"minuto": time.Minute, "minutos": time.Minute, "hora": time.Hour, "horas": time.Hour,
	},
	celsius: []string{"grados c", "grado c", "grados celsius", "grados centigrados"},
	faren:   []string{"grados f", "grado f", "grados fahrenheit"},
	degrees: []string{"grados", "grado"},
	alone:   []string{"botella", "litro"},
	bands: map[string]band{
		"congelado": frozen, "congelada": frozen, "helado": iced, "helada": iced, "frio": cold, "fria": cold, "nevera": cold, "refri": cold,
		"bodega": cellar, "ambiente": room, "temperatura ambiente": room, "temp ambiente": room, "temp amb": room,
		"del tiempo": room, "templado": room, "templada": room, "tibio": warm, "tibia": warm, "caliente": hot, "hirviendo": boiling, "hervido": boiling,
	},

	rest:  []string{"reposo", "reposa", "reposar", "descanso", "descansa"},
	more:  []string{"dale", "mas", "anade", "suma", "agrega", "ponle", "extra"},
	ago:   []string{"atras"},
	since: []string{"hace"},
	at:    []string{"las"},
	by:    []string{"para", "pa", "antes"},
	days:  map[string]int{"hoy": 0, "manana": 1, "ayer": -1},
	week:  []string{"domingo dom", "lunes lun", "martes", "miercoles mie", "jueves jue", "viernes vie", "sabado sab"},
	split: []string{"dividido", "divide", "dividir", "en varias tandas"},
	class: []string{"por clase", "segun la clase", "segun clase"},
	and:   []string{"y"},
	half:  []string{"y medio", "y media"},

	inAll:   []string{"en total", "total", "en todo"},
	mistake: []string{"por error", "de mas", "sin querer", "por equivocacion", "extra", "demasiadas", "demasiados"},
	further: []string{"mas", "otra", "otras", "otro", "otros"},
	either:  []string{"o", "a"},
	put:     []string{"meti", "puse", "use", "cargue", "metimos", "pusimos", "usamos", "usado", "metido", "puesto", "cargado"},
}
