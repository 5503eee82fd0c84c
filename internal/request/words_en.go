package request

import (
	"time"

	"ventbell/internal/quantity"
)

// english is what English-speaking kitchens type. Common practice, no source.
var english = words{
	tongue: inEnglish,
	verbs: map[Verb][]string{
		Emptied: {"cream emptied", "emptied the cream", "emptied cream", "cream is empty", "cream is emptied", "cream gone", "cream is gone", "cream is out", "cream vented", "vented the cream"},
		Start: {
			"start", "go", "run", "make", "begin", "load", "prep", "put on", "kick off", "fire", "fire up",
			"set up", "get going", "launch", "putting on", "starting", "throw on", "throw together", "infuse", "in fuse", "start infusion", "whip up", "fire off", "knock up", "smoke",
		},
		Charged: {
			"charged", "charger in", "charger is in", "charger went in", "one charger in", "gassed", "charger done",
			"popped a charger in", "popped the charger in", "screwed a charger in", "bulb in", "bulb is in", "bulb went in", "bullet in", "cartridge in", "cartridge is in", "capsule in",
		},
		SetDown: {"set down", "setdown", "put down", "put it down", "set it down", "shook", "shook it", "down", "standing", "swirled", "shaken", "swirl done", "done swirling"},
		Vented: {
			"vented", "emptied", "empty two silent presses", "empty 2 silent presses", "two silent presses",
			"vented and empty", "done venting", "finished venting", "venting done",
		},
		Strained: {
			"strained", "strained off", "strained out", "sieved", "filtered", "passed", "passed through", "done straining", "straining done", "finished straining", "drained", "drained off",
		},
		Cleared:  {"cleared", "clarified", "drawn off"},
		Labelled: {"labelled", "labeled", "label on", "label is on", "label done", "tagged", "dated"}, //nolint:misspell // both are typed
		Washed:   {"washed", "washed up", "washed out", "cleaned", "rinsed and washed"},
		NoGas: {
			"no gas", "no gas in", "no gas came", "no gas came in", "nothing went in", "nothing came in", "didn't go in", "didn't pierce", "didn't fire", "no gas came out of the charger", "no gas in last charger", "no gas in the last charger", "no gas in that one", "no gas went in", "gas did not go in", "gas didn't go in", "dud", "dud charger",
			"charger was a dud", "charger was empty", "charger is empty", "charger empty", "empty charger", "misfire", "misfired",
		},
		GasIn:   {"gas in", "gas is in", "gas went in", "gas did go in"},
		Why:     {"why", "figures", "why so"},
		Take:    {"take", "taking", "take over", "taking over", "i take", "i'll take", "i'll take over", "i'm taking", "i got", "i'll do", "i'll get", "i'll vent", "i'll strain", "i'll watch", "i've got", "i have got", "got covered"},
		Resting: {"resting", "board", "status", "what's resting", "what is resting", "what's on", "what is on", "wut's on", "what's in", "what is in", "what do we have on", "what's going", "still resting", "list", "where is", "where's", "what's ready", "what's next", "what's due", "what have we got", "what's free", "is free", "anything free", "what can i use", "can i use", "can we use", "vessels free", "vessels are free", "whippers are free", "which are free", "what's empty", "what's doing", "what is doing", "what's happening", "how are we doing", "where are we", "where are we at", "anything charged", "anything resting", "anything on", "is under pressure", "how many did i put in", "how many are in"},
		Scrap: {
			"scrap", "scrapped", "cancel", "cancelled", "bin", "binned", "abort", "throw away", "throw out", "trash", "kill", "chuck", "dump", "toss", "86",
			"chuck away", "chucked", "chucked away", "dumped", "tossed", "threw away", "threw out", "thrown away", "thrown out", "trashed",
		},
		Undo: {"undo", "undo that", "undo last", "take back", "take that back"},
		Help: {"help", "help me", "how do i", "how do you", "how do we", "what now", "now what", "what next", "what's next for", "what do i do", "what should i do", "what do we do", "stuck", "problem"},
		Offer: {
			"hand over", "handing over", "hand off", "can someone take", "can someone vent", "can someone watch", "can someone strain", "can anyone take",
			"can anyone vent", "someone take", "someone vent", "someone grab", "can someone grab", "can somebody take", "can somebody vent", "somebody take", "somebody vent", "anyone take", "cover me", "cover for me", "need cover", "who can take", "who can vent", "can you take", "can you watch", "need someone on", "need somebody on", "swap me off",
			"somebody grab", "can somebody grab", "can anyone grab", "anyone grab", "someone watch", "somebody watch", "someone strain", "somebody strain", "can somebody strain",
			"can somebody watch", "can anyone watch", "can anyone strain", "someone get", "somebody get", "someone cover", "somebody cover", "in the weeds", "i'm in the weeds", "i'm slammed", "getting slammed", "i'm swamped",
		},
		Pause: {"pause", "paused", "stop the clock", "stop the timer", "hold the clock", "freeze the clock", "hold it", "hold"},
		Again: {
			"again", "same again", "same", "the same", "repeat", "same as last time", "as last time", "same as before", "same as yesterday",
			"as yesterday", "like yesterday", "like last time",
		},
		OnShift:  {"on shift", "i'm on", "i am on", "i'm in", "i'm here", "clocking in", "clocked in", "i'm back", "back on", "back on shift", "starting my shift", "start of shift"},
		OffShift: {"off shift", "i'm off", "i am off", "i'm off home", "i'm out", "i am out", "i'm off now", "i'm leaving", "i'm heading out", "i'm heading home", "heading home", "knocking off", "signing off", "clocking out", "clocked out", "clocking off", "clocked off", "shift over", "going home", "end of my shift", "i'm done for today"},
	},
	orders: map[Verb][]string{
		Charged: {"charge it", "charge that", "gas it", "put the charger in"},
		// "vent A" may be asked of somebody: it never counts as empty.
		Vented: {
			"vent", "empty", "vent it", "release", "vent off", "let go", "let it go", "pop", "pssh", "psshh", "pssht", "psh", "gas out", "gas came out", "gas came out of", "gas is out", "gas is all out", "all gas out",
			"gas is out of", "let the gas out", "let the gas out of", "no hiss", "no more hiss", "no hissing", "no more hissing", "stopped hissing",
		},
		Cleared:  {"clear", "clarify"},
		NoGas:    {"didn't hiss", "never hissed"},
		Labelled: {"label", "tag"},
		Washed:   {"wash", "clean"},
	},
	pleas: map[Verb][]string{
		Charged:  {"charge"},
		Strained: {"strain", "drain"},
	},
	polite: []string{"please", "pls", "plz"},
	fillers: []string{
		"a", "an", "the", "of", "with", "w", "some", "and", "or", "in", "into", "on", "to", "for", "from", "it", "that", "this",
		"is", "are", "was", "has", "have", "been", "be", "please", "pls", "plz", "thanks", "thx", "ta", "cheers", "chef",
		"hi", "hey", "hello", "bell", "ok", "okay", "k", "yes", "yep", "yeah", "heard", "done", "now", "just", "already",
		"finally", "right", "today", "tonight", "asap", "new", "another", "batch", "infusion", "recipe", "me", "us", "my",
		"our", "we", "i", "i've", "we've", "i'd", "i'm", "it's", "can", "could", "would", "you", "want", "need", "like", "let's",
		"do", "u", "im", "all", "good", "fine", "sorry", "oops", "infused", "enough", "she", "they", "he's", "she's", "they've", "wants", "needs", "someone", "somebody", "usual", "about", "around", "roughly", "approx", "bottled", "straight", "gently", "shelf", "silent", "quiet", "out", "one", "temp", "temperature", "house", "then", "so",
		"vessel", "whipper", "siphon", "syphon", "each", "apiece", "per", "guys", "team", "folks", "mate", "boss",
		"everyone", "quick", "quickly", "urgent", "whisper", "whopper", "using", "got", "gonna", "lets", "up", "by", "there", "week", "weekend", "but", "give", "get", "gimme", "going", "have", "making", "'s", "mark", "log", "as", "let", "ready", "needed", "through", "chinois", "sieve", "muslin", "cheesecloth", "fruit", "fruits", "solids", "actually", "change", "nvm", "lol", "haha", "morning", "nice", "great", "awesome", "perfect", "love", "thank",
	},
	asides: []string{
		"don't let me forget", "don't forget", "remind me", "if you can", "when you can", "thank you", "as usual", "asap please",
		"i think", "don't shake", "don't shake it", "don't let it sit", "dont forget me", "don't forget me", "a sec", "a moment", "no rush", "for the party", "for the event", "for the function", "for service", "for the bar", "for tonight", "for now", "by now", "all good", "never mind", "a lot", "of it", "good morning", "good evening", "good night", "see you", "no worries", "no problem", "nice one", "well done",
	},
	greets: []string{
		"ok", "okay", "k", "hi", "hey", "hello", "bell", "chef", "so", "right", "then", "and", "please", "yes", "yep",
		"done", "heard", "yeah", "now", "i", "i've", "just", "we",
	},
	nouns: []string{"new", "batch", "infusion", "recipe", "good", "fine", "vessel", "whipper", "siphon", "syphon", "house", "temp", "temperature", "quick"},
	denials: []string{
		"not", "no", "never", "isn't", "wasn't", "aren't", "don't", "doesn't", "didn't", "hasn't", "haven't", "won't",
		"can't", "cannot", "shouldn't", "nobody", "without", "unless", "before", "until", "still", "yet", "nearly", "almost", "later",
	},
	askers: []string{
		"is", "are", "was", "were", "has", "have", "had", "did", "does", "do", "can", "could", "should", "shall", "will",
		"would", "you", "u", "who", "what", "when", "how", "why", "where", "which", "anyone", "anybody", "someone", "somebody",
	},
	offers:   []string{"can", "could", "would", "will", "shall"},
	places:   []string{"in", "into", "on", "vessel", "whipper", "siphon", "syphon"},
	namers:   []string{"vessel", "whipper", "siphon", "syphon"},
	articles: []string{"a"},
	ones:     []string{"a", "an"},
	links:    []string{"a", "an", "of"},
	vessels: []string{
		"vessels", "vessel", "whippers", "whipper", "siphons", "siphon", "syphons", "syphon", "times", "whispers", "whoppers",
	},
	runs:     []string{"batches", "batch", "runs", "recipe", "recipes"},
	serves:   []string{"serves", "serve", "servings", "serving", "portions", "portion", "drinks", "cocktails"},
	chargers: []string{"charger", "chargers", "bulb", "bulbs", "bullet", "bullets", "cartridge", "cartridges", "capsule", "capsules", "dud", "misfire"},
	looks:    []string{"red", "blue", "black", "green", "white", "yellow", "silver", "big", "small", "little", "other", "first", "second", "third", "last", "next"},
	done:     []string{"done", "finished", "all done", "sorted", "did it"},
	heard:    []string{"ok", "okay", "k", "yes", "yep", "heard", "yes chef", "got it"},
	topics: map[Topic][]string{
		StockLeft: {"stock", "stock left", "charger stock", "chargers in stock", "stock of chargers", "will the chargers last", "are chargers running low"},
		OnNow:     {"who is on shift", "who's on shift", "who is working", "who's working", "whos working", "who is here", "who's here", "who's around", "who is around", "who is on now", "who's on now", "who is on tonight", "who's on tonight", "who is on duty", "who's on duty"},
		WhoHas:    {"who has", "who's got", "who got", "who is on", "who's on", "whose is", "who owns", "who took", "who runs"},
		TimeLeft: {
			"how long", "how long on", "how long left", "how much longer", "what's left", "what is left", "how long till", "time left", "is ready", "ready yet",
			"is it ready", "how's", "how is", "when do i vent", "when do we vent", "when is due", "eta", "when can i vent", "when can we vent", "when should i vent", "when to vent", "when do i strain",
			"vents when", "ready when", "when is ready", "when's ready", "when's due", "when will be ready", "how much time", "how many minutes", "how many min", "how many mins",
		},
		ChargersFor: {
			"chargers left", "how many chargers", "what chargers", "how many bulbs", "charger count", "bulbs left", "cartridges left", "how many cartridges",
			"how much gas", "gas left", "out of chargers", "i'm out of chargers", "we're out of chargers", "out of bulbs", "no more chargers", "no chargers", "have chargers", "enough chargers",
		},
		Unstrained: {
			"what needs straining", "needs straining", "need straining", "what to strain", "anything to strain", "left to strain", "anything unstrained", "what's unstrained", "unstrained", "what do i strain", "what's left to strain", "what is left to strain",
			"to be strained", "still to strain", "what needs draining", "needs draining", "what to drain", "anything to drain", "still to drain",
		},
		Expiring: {
			"what expires today", "what expires", "what's expiring", "expires today", "expiring", "what goes off", "anything going off", "going off today", "what's going off", "what's out of date",
			"out of date", "past use by", "what's expired", "expired", "bin today", "to bin today", "what do i have to bin", "what do we have to bin", "what do i need to bin", "what should i bin", "what do we bin", "have to bin", "needs binning", "goes off today", "use up today", "needs using up",
		},
		Allergens: {
			"allergens", "allergen", "allergy", "allergic", "allergies", "what's got", "what has", "contains", "contain", "which ones have",
			"nut free", "dairy free", "gluten free", "any nuts", "got nuts", "any dairy", "coeliac", "celiac", "intolerant",
		},
		UseBy: {
			"use by of", "use by", "best before", "expiry", "expiry of", "when does expire", "how long does keep", "shelf life", "when to bin",
			"expire", "when does", "go off", "when does go off", "keep", "keeps", "does last", "date on", "the date on", "what's the date on", "good until", "keep until", "how long will keep", "good til", "good till", "still good", "still ok", "still okay", "still fine", "still usable", "gone off", "lasts", "how long is good for", "good for",
		},
		OwnBoard: {"mine", "my batches", "what's mine", "what do i have", "what have i got", "my list", "my vessels"},
		Closing: {
			"closing", "closing list", "close", "closing down", "closing up", "closing time", "end of shift list", "close down", "all signed",
			"what's not signed", "anything unlabelled", "left unlabelled", "what's unlabelled", "can we close",
		},
		Overnight: {"overnight", "leave charged", "leave it charged", "keep it charged", "leave it under pressure", "till tomorrow charged"},
		Strength:  {"strength", "strength of", "abv", "abv of", "how strong", "what proof"},
		MayOpen:   {"unscrew", "can i unscrew", "take the head off", "take head off", "take the lid off", "take the top off", "open", "can i open", "can we open", "safe to open", "ok to open", "may i open", "should i open", "when can i open"},
		TheLabel:  {"label of", "label text", "print label", "print the label", "what goes on the label", "show label", "send label", "label for"},
	},
	kinds: map[Kind][]string{
		Overrun: {"forgot", "forgotten", "forgot it", "left it too long", "over time", "missed it", "missed the vent", "too long"},
		Blocked: {
			"blocked", "iced up", "clogged", "jammed", "plugged", "frozen nozzle", "nozzle frozen", "won't vent", "will not vent", "can't vent", "cannot vent",
			"doesn't vent", "not venting", "isn't venting", "nothing comes out", "lever stuck", "lever is stuck", "lever is bent", "lever broke", "lever is broken", "valve is stuck", "is stuck", "nozzle froze", "nozzle is frozen", "is frozen", "froze up", "won't release", "won't empty", "valve stuck", "nozzle stuck", "nozzles frozen", "nozzles blocked", "no gas came out", "no gas comes out", "no gas coming out", "no gas is coming out", "gas not coming out", "gas isn't coming out", "nothing came out", "won't come out",
		},
		Leaking: {"leaking", "leaks", "leak", "leaked", "gas coming out", "spraying", "gasket popped", "gasket is out", "smell gas", "smells of gas", "smell of gas", "smells like gas"},
		Hissing: {"hissing", "hiss", "hisses", "still gas", "still pressure", "still under pressure"},
		Foaming: {"foamed over", "foamed", "foaming", "foam everywhere", "foams over", "foam over", "overflowed", "foam all over", "foaming over", "boiled over", "erupted"},
		Stuck:   {"can't unscrew", "cannot unscrew", "won't open", "will not open", "can't open", "cannot open", "doesn't open", "head stuck", "lid stuck", "stuck head", "won't come off", "won't unscrew", "doesn't come off", "can't get it open", "can't get the head off", "can't get the lid off"},
		Hurt: {
			"hurt", "hurts", "injured", "injury", "bleeding", "cut my", "cut his", "cut her", "cut himself", "cut herself", "cut myself", "cut a finger", "in the face", "in my face", "hit my face",
			"somebody hurt", "ambulance", "emergency", "call 911", "call 112", "call 999", "slipped and fell", "fell down", "choking", "exploded", "explosion", "it burst", "blew up", "flew off", "shot off", "blood", "broken glass", "hit their", "hit his", "hit my", "having a reaction", "hit me", "hit him", "hit her", "hit someone", "hit somebody", "heart attack", "seizure", "electrocuted",
			"first aid", "need a doctor", "allergic reaction", "anaphylaxis", "anaphylactic", "epipen", "epi pen", "throat is closing", "throat closing",
		},
		Burn: {
			"burn", "burned", "burns", "burnt my", "burnt his", "burnt her", "burnt himself", "burnt herself", "got burnt", "scalded", "frostbite",
			"frostbitten", "cold burn", "froze my", "frozen finger", "frozen fingers", "fingers frozen", "finger frozen", "frozen to", "stuck to the", "is stuck to the",
		},
		Eye:  {"eye", "eyes", "in the eye", "in my eye", "can't see"},
		Fire: {"on fire", "flames", "smoke in", "there's smoke", "there is smoke", "smoke everywhere", "smoke coming", "full of smoke", "caught fire", "fire alarm", "it's burning", "is burning", "there's a fire", "there is a fire", "fire brigade", "fire department", "fire service"},
		Fainted: {
			"fainted", "faint", "passed out", "collapsed", "unconscious", "dizzy", "not breathing", "can't breathe", "cannot breathe", "isn't breathing",
			"light headed", "blacked out", "keeled over", "knocked out", "short of breath",
		},
	},
	contain: map[string][]string{
		"nuts": {"nut", "nuts"}, "peanuts": {"peanut", "peanuts"}, "milk": {"milk", "dairy", "lactose"}, "gluten": {"gluten", "wheat", "coeliac", "celiac"},
		"eggs": {"egg", "eggs"}, "fish": {"fish"}, "soya": {"soy", "soya"}, "celery": {"celery"}, "mustard": {"mustard"}, "sesame": {"sesame"},
		"sulphites": {"sulphites", "sulfites", "sulphite"}, "lupin": {"lupin"}, "crustaceans": {"crustaceans", "shellfish"}, "molluscs": {"molluscs"},
	},
	slips: map[string]string{
		"tee": "tea", "teq": "tequila", "tqla": "tequila", "halapeno": "jalapeno", "chle": "chile", "wiskey": "whiskey", "ginr": "ginger",
		"cinamon": "cinnamon", "stawberry": "strawberry", "labled": "labelled", "labeld": "labelled", "strainded": "strained", "draned": "drained", "drainned": "drained", "draind": "drained", "drianed": "drained",
	},
	tooMuch: []string{"overcharged", "over charged", "double charged", "too many chargers in", "too much gas in", "too much gas"},

	numbers: map[string]int64{
		"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
		"couple": 2, "eleven": 11, "twelve": 12, "fifteen": 15, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60,
		"seventy": 70, "eighty": 80, "ninety": 90,
	},
	hundreds:  map[string]int64{"hundred": 100, "thousand": 1000},
	fractions: map[string]amount{"half": {n: 1, d: 2}, "quarter": {n: 1, d: 4}, "third": {n: 1, d: 3}},
	doubles:   []string{"double", "dbl", "twice"},
	loose:     []string{"double", "dbl", "triple", "twice", "both", "few", "lots", "half", "quarter", "third", "hundred", "thousand"},
	foreign:   []string{"tbsp", "tsp", "dash", "splash", "pinch", "handful", "bunch", "sprig", "barspoon", "guests", "people", "covers", "ppl", "pax", "heads", "persons"},

	volumes: map[string]quantity.Volume{
		"millilitre": quantity.Millilitre, "millilitres": quantity.Millilitre,
		"milliliter": quantity.Millilitre, "milliliters": quantity.Millilitre, //nolint:misspell // both are typed
		"litre": quantity.Litre, "litres": quantity.Litre, "leader": quantity.Litre, "leaders": quantity.Litre,
		"liter": quantity.Litre, "liters": quantity.Litre, //nolint:misspell // both are typed
		// A fifth of an American gallon and its half: bottles of the trade there.
		"fifth": 750 * quantity.Millilitre, "fifths": 750 * quantity.Millilitre, "handle": 1750 * quantity.Millilitre, "handles": 1750 * quantity.Millilitre,
		"centilitre": quantity.Centilitre, "centilitres": quantity.Centilitre, "mills": quantity.Millilitre, "mil's": quantity.Millilitre,
	},
	local: map[localUnit][]string{
		aFluidOunce: {"ounce", "ounces", "fluid ounce", "fluid ounces"},
		aPint:       {"pint", "pints", "pt", "pts"},
		aQuart:      {"quart", "quarts", "qt", "qts"},
		aGallon:     {"gallon", "gallons", "gal"},
		aCup:        {"cup", "cups"},
		aShot:       {"shot", "shots"},
		aJigger:     {"jigger", "jiggers"},
	},
	bottles: []string{"bottle", "bottles", "bot", "bots"},
	masses: map[string]quantity.Mass{
		"gram": quantity.Gram, "grams": quantity.Gram, "gramme": quantity.Gram, "grammes": quantity.Gram,
		"lb": pound, "lbs": pound, "pound": pound, "pounds": pound, "kilogram": quantity.Kilogram, "kilograms": quantity.Kilogram,
	},
	spans: map[string]time.Duration{
		"secs": time.Second, "second": time.Second, "seconds": time.Second,
		"minute": time.Minute, "minutes": time.Minute, "hour": time.Hour, "hours": time.Hour,
	},
	celsius: []string{"degrees c", "degree c", "deg c", "degrees celsius"},
	faren:   []string{"degrees f", "degree f", "deg f", "degrees fahrenheit"},
	degrees: []string{"degrees", "degree", "deg"},
	alone:   []string{"bottle", "litre", "liter", "pint", "cup", "gallon", "handle"}, //nolint:misspell // both are typed
	bands: map[string]band{
		"frozen": frozen, "iced": iced, "ice cold": iced, "cold": cold, "fridge": cold, "chilled": cold, "cellar": cellar,
		"room": room, "rt": room, "ambient": room, "room warm": room, "room temp": room, "room temperature": room,
		"warm": warm, "blood warm": warm, "lukewarm": warm, "hot": hot, "boiling": boiling,
	},

	rest:  []string{"rest", "rested"},
	more:  []string{"more", "add", "extra", "another", "snooze", "extend"},
	ago:   []string{"ago"},
	at:    []string{"at", "since"},
	by:    []string{"for", "by", "before"},
	days:  map[string]int{"today": 0, "tonight": 0, "tomorrow": 1, "tmrw": 1, "tmw": 1, "yesterday": -1},
	week:  []string{"sunday sun", "monday mon", "tuesday tue tues", "wednesday wed", "thursday thu thur thurs", "friday fri", "saturday sat"},
	split: []string{"split", "split up", "split it", "split it up", "in runs", "into runs", "in several runs"},
	class: []string{"as class", "as a class", "by class", "by the class", "as class default", "as the class default"},
	and:   []string{"and"},
	half:  []string{"and a half", "and half"},
	am:    []string{"am"},
	pm:    []string{"pm"},

	inAll:   []string{"in all", "in total", "total", "altogether"},
	mistake: []string{"by mistake", "by accident", "too many", "mistakenly", "accidentally", "extra", "mistake"},
	further: []string{"more", "another", "others"},
	either:  []string{"or", "to"},
	put:     []string{"put", "used", "charged", "gassed", "screwed"},
}
