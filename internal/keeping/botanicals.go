package keeping

import (
	"cmp"
	"slices"
	"strings"
)

// Caution is a botanical that is refused, limited or warned of.
type Caution struct {
	ID string
	// Names are its names as they are compared: folded, in the singular, word
	// by word. Latin names are from memory.
	Names []string
	// Except are names that hold one of Names and are none of it.
	Except []string
	Act    Act
	Europe Act // in the EU and the UK, where their law is milder; empty = Act
	// WithAlcohol is the act where the product holds alcohol; empty = the other.
	WithAlcohol Act
	Why         Hazard
	Limits      []Most
	Unless      Lift // what lifts it; only a manager can say so
	// SignOff says that a manager answers for it each time it is used, where it is
	// not refused.
	SignOff bool
	Sources []Source
}

// Refuses reports whether a caution refuses anywhere, or with alcohol.
func (c Caution) Refuses() bool { return c.Act == Refuse || c.WithAlcohol == Refuse }

// Hazard is what a botanical does.
type Hazard string

// The hazards.
const (
	Nicotine        Hazard = "nicotine"
	Coumarin        Hazard = "coumarin"
	BetaAsarone     Hazard = "beta-asarone"
	Safrole         Hazard = "safrole"
	Quinine         Hazard = "quinine"
	Thujone         Hazard = "thujone"
	Cyanide         Hazard = "cyanide"
	RawElder        Hazard = "raw elder"
	Lectin          Hazard = "lectin"
	Oxalate         Hazard = "oxalate"
	HeartGlycoside  Hazard = "heart glycoside"
	Pyrrolizidine   Hazard = "pyrrolizidine alkaloids"
	Anisatin        Hazard = "anisatin"
	Myristicin      Hazard = "myristicin"
	BindsMedicine   Hazard = "binds medicines"
	BlocksMedicine  Hazard = "blocks medicines"
	Drug            Hazard = "drug"
	Stimulant       Hazard = "stimulant"
	DrinksOnly      Hazard = "drinks only"
	Poison          Hazard = "poison"
	CookedOnly      Hazard = "cooked only"
	NotFood         Hazard = "not food grade"
	BloodPressure   Hazard = "blood pressure"
	Irritant        Hazard = "irritant aerosol"
	AllergenAerosol Hazard = "allergen"
)

// Lift is what can lift a caution.
type Lift string

// The lifts.
const (
	Licence   Lift = "licence"
	Declared  Lift = "declared commercial product" // never a house extraction
	FoodGrade Lift = "food grade"
	Trusted   Lift = "trusted supplier, whole"
)

// Most is a limit that a law or an authority has set.
type Most struct {
	Of     string
	Value  float64
	Unit   string
	Source Source
}

// ActAt gives what a caution asks for in a region; a region that was never said
// has no milder act.
func (c Caution) ActAt(r Region, alcohol bool) Act {
	act := c.Act
	if c.Europe != "" && (r == Europe || r == UnitedKingdom) {
		act = c.Europe
	}
	if alcohol && gravity[c.WithAlcohol] > gravity[act] {
		act = c.WithAlcohol
	}
	return act
}

// Cautions gives the whole list.
func Cautions() []Caution { return slices.Clone(cautions) }

// CautionsFor gives what is known against a botanical by its names, gravest
// first. A name is matched word by word, so "dried tobacco leaf" is tobacco and
// "apple" is no apple seed. None does not mean that it is food: what a house
// does not know, a person decides.
func CautionsFor(names ...string) []Caution {
	said := plain(names)
	var all []Caution
	for _, c := range cautions {
		left := said
		for _, e := range c.Except {
			left = strings.ReplaceAll(left, e, "|")
		}
		if holdsAny(left, c.Names...) {
			all = append(all, c)
		}
	}
	slices.SortStableFunc(all, func(a, b Caution) int { return cmp.Compare(gravity[b.Act], gravity[a.Act]) })
	return all
}

// Sources that several cautions share.
var (
	natural172510 = Source{"21 CFR 172.510", Verified}
	annexThree    = Source{"Regulation (EC) 1334/2008, annexes III and IV", Verified}
	kernels       = Source{"Regulation (EU) 2017/1237: 20 mg/kg hydrocyanic acid in apricot kernels", Verified}
	stimulantLaws = Source{"infusion laws of Alabama, Oklahoma and Tennessee", Verified}
)

// cautions is the list. Most refuse everywhere: a bar can assay nothing. The
// names in Spanish and French are from memory.
var cautions = []Caution{
	{
		ID: "tobacco", Names: []string{"tobacco", "tabaco", "tabac", "cigar", "nicotine", "nicotiana"}, Act: Refuse, Why: Nicotine,
		Sources: []Source{{"drinks trade reports: nicotine dissolves readily in alcohol", SecondHand}, {"no permitted food ingredient", FromMemory}},
	},
	{
		ID: "tonka", Names: []string{"tonka", "tonka bean", "haba tonka", "feve tonka", "deertongue", "coumarin", "dipteryx odorata"}, Act: Refuse, Europe: Limit, Why: Coumarin,
		Limits:  []Most{coumarinDaily},
		Sources: []Source{{"21 CFR 189.130: food with coumarin from tonka is adulterated", Verified}, annexThree},
	},
	{
		ID: "cassia", Names: []string{"cassia", "cinnamon", "canela", "cannelle", "cinnamomum cassia"}, Except: []string{"ceylon cinnamon", "true cinnamon", "cinnamomum verum", "canela de ceilan", "cannelle de ceylan"}, Act: Limit, Why: Coumarin,
		Limits: []Most{
			coumarinDaily,
			{"cassia a day for a person of 60 kg", 2, "g", Source{"BfR 26/2012", SecondHand}},
		},
		Sources: []Source{annexThree, {"BfR 26/2012: prefer the Ceylon kind", SecondHand}},
	},
	{
		ID: "calamus", Names: []string{"calamus", "sweet flag", "calamo", "acorus calamus"}, Act: Refuse, Why: BetaAsarone,
		Limits:  []Most{{"beta-asarone in alcoholic drinks (EU)", 1, "mg/kg", annexThree}},
		Sources: []Source{{"21 CFR 189.110", Verified}, annexThree},
	},
	{
		ID: "sassafras", Names: []string{"sassafras", "sasafras", "safrole", "sassafras albidum"}, Act: Refuse, Why: Safrole,
		Sources: []Source{{"21 CFR 189.180; leaf only if free of safrole, 172.510", Verified}},
	},
	{
		ID: "cinchona", Names: []string{"cinchona", "cinchona bark", "quinine", "quinine bark", "quinina", "fever tree bark", "corteza de quina", "ecorce de quinquina"}, Act: Refuse, Why: Quinine, Unless: Declared,
		Limits: []Most{
			{"quinine in carbonated drinks, declared", 83, "ppm", Source{"21 CFR 172.575", Verified}},
			{"total cinchona alkaloids in the drink", 83, "ppm", natural172510},
		},
		Sources: []Source{{"21 CFR 172.575", Verified}, natural172510},
	},
	{
		ID: "thujone", Names: []string{"wormwood", "absinthe herb", "artemisia absinthium", "tansy", "tanacetum vulgare", "white cedar", "thuja", "thujone",
			"ajenjo", "grande absinthe", "tanaceto", "tanaisie"}, Act: Refuse, Europe: Limit, Why: Thujone,
		Limits: []Most{
			{"thujone in the finished food or drink (US)", 0, "mg/kg", natural172510},
			{"thujone (EU)", 10, "mg/kg", Source{"Regulation (EC) 1334/2008", SecondHand}},
			{"thujone in bitters (EU)", 35, "mg/kg", Source{"proposal of 2006", SecondHand}},
		},
		Sources: []Source{natural172510},
	},
	{
		ID: "stones", Names: []string{
			"bitter almond", "apricot stone", "apricot kernel", "apricot pit", "peach stone", "peach kernel", "peach pit", "cherry stone", "cherry kernel", "cherry pit",
			"plum stone", "plum kernel", "plum pit", "apple seed", "apple pip", "noyaux", "cherry laurel",
			"almendra amarga", "amande amere", "hueso de albaricoque", "hueso de melocoton", "hueso de cereza", "hueso de ciruela", "pepita de manzana",
			"noyau dabricot", "noyau de peche", "noyau de cerise", "noyau de prune", "pepin de pomme", "laurel cerezo", "laurier cerise",
		}, Act: Refuse, Why: Cyanide,
		Limits: []Most{
			{"hydrocyanic acid in apricot kernels sold (EU)", 20, "mg/kg", kernels},
			{"hydrocyanic acid in alcoholic drinks (EU)", 35, "mg/kg", annexThree},
			{"prussic acid in extract of cherry pits (US)", 25, "ppm", natural172510},
		},
		Sources: []Source{kernels, natural172510},
	},
	{
		ID: "elder", Names: []string{
			"elder leaf", "elder stem", "elder bark", "elderberry", "raw elderberry", "elder berry", "elder", "sambucus",
			"sauco", "hoja de sauco", "baya de sauco", "sureau", "feuille de sureau", "baie de sureau",
		},
		Except: []string{"elderflower", "elder flower", "cooked elderberry", "flor de sauco", "flore de sauco", "fleur de sureau"}, Act: Refuse, Why: RawElder,
		Sources: []Source{{"US CDC MMWR on the California outbreak of 1983: eleven ill from raw berries and leaves", Verified}},
	},
	{
		ID: "raw bean", Names: []string{"kidney bean", "runner bean", "haricot bean", "borlotti bean", "raw bean", "phaseolus"}, Except: []string{"cooked kidney bean"}, Act: Refuse, Why: Lectin,
		Sources: []Source{{"FDA Bad Bug Book: soak five hours, boil thirty minutes", SecondHand}},
	},
	{
		ID: "rhubarb leaf", Names: []string{"rhubarb leaf", "rhubarb root", "hoja de ruibarbo", "feuille de rhubarbe"}, Act: Refuse, Why: Oxalate,
		Sources: []Source{{"Illinois Extension: leaf and root are toxic", SecondHand}},
	},
	{
		ID: "heart", Names: []string{
			"foxglove", "digitalis", "dedalera", "digitale", "lily of the valley", "convallaria", "lirio de los valle", "muguet",
			"oleander", "nerium", "adelfa", "laurier rose", "squill", "urginea", "drimia",
		}, Act: Refuse, Why: HeartGlycoside,
		Sources: []Source{{"outbreak of 2010, nine people, and single cases", Verified}},
	},
	{
		ID: "comfrey", Names: []string{"comfrey", "symphytum", "consuelda", "consoude"}, Act: Refuse, Why: Pyrrolizidine,
		Sources: []Source{{"Tokyo food safety page", Verified}},
	},
	{
		ID: "coltsfoot", Names: []string{"coltsfoot", "tussilago", "tusilago", "tussilage"}, Act: Refuse, Why: Pyrrolizidine,
		Sources: []Source{{"pyrrolizidine alkaloids", FromMemory}},
	},
	{
		ID: "borage", Names: []string{"borage", "borago", "borraja", "bourrache"}, Act: Warn, SignOff: true, Why: Pyrrolizidine, // in quantity
		Sources: []Source{{"pyrrolizidine alkaloids", FromMemory}},
	},
	{
		ID: "japanese star anise", Names: []string{"japanese star anise", "shikimi", "illicium anisatum", "anis estrellado japone", "badiane du japon"}, Act: Refuse, Why: Anisatin,
		Sources: []Source{{"FDA advisory of 10 September 2003: about forty ill; dried, the two look alike", SecondHand}},
	},
	{
		ID: "star anise", Names: []string{"star anise", "illicium verum", "anis estrellado", "anis etoile", "badiane"}, Act: Warn, SignOff: true, Why: Anisatin, Unless: Trusted,
		Sources: []Source{{"FDA advisory of 10 September 2003", SecondHand}},
	},
	{
		ID: "nutmeg", Names: []string{"nutmeg", "mace", "myristica", "nuez moscada", "macis", "noix de muscade", "muscade"}, Act: Limit, SignOff: true, Why: Myristicin,
		Limits: []Most{
			{"nutmeg or mace in the liquid", 1, "g/l", practice},
			{"nutmeg swallowed, where harm begins", 5, "g", Source{"medical review of nutmeg poisonings", Verified}},
		},
		Sources: []Source{{"medical review of nutmeg poisonings", Verified}, practice},
	},
	{
		ID: "charcoal", Names: []string{"activated charcoal", "charcoal", "carbon activado", "charbon actif"}, Act: Refuse, Why: BindsMedicine,
		Sources: []Source{{"New York City ordered it out of food; no approved food colour in the US", SecondHand}},
	},
	{
		ID: "grapefruit", Names: []string{"grapefruit", "pomelo", "toronja", "pamplemousse", "seville orange", "citrus paradisi", "citrus maxima"}, Act: Warn, Why: BlocksMedicine,
		Sources: []Source{{"US patient-safety advice: CYP3A4", SecondHand}},
	},
	{
		ID: "cannabis", Names: []string{"cannabis", "hemp flower", "cbd", "thc", "cannabidiol", "marijuana", "canamo", "chanvre"}, Act: Refuse, Why: Drug, Unless: Licence,
		Sources: []Source{{"TTB 2019: not in alcohol; FDA: not in food", SecondHand}},
	},
	{
		ID: "stimulant", Names: []string{
			"caffeine", "caffeine powder", "cafeina", "guarana", "paullinia cupana", "ginseng", "panax", "taurine", "taurina",
		}, Act: Warn, WithAlcohol: Refuse, Why: Stimulant,
		Sources: []Source{stimulantLaws},
	},
	{
		ID: "drinks only", Names: []string{"st john wort", "hypericum", "hiperico", "millepertuis", "wall germander", "germandree", "teucrium"}, Act: Warn, SignOff: true, Why: DrinksOnly,
		Sources: []Source{annexThree, {"changes how medicines work", FromMemory}},
	},
	{ID: "quassia", Names: []string{"quassia", "cuasia"}, Act: Warn, SignOff: true, Why: DrinksOnly, Sources: []Source{annexThree}},
	{
		ID: "gentian", Names: []string{"gentian", "gentiana", "genciana", "gentiane"}, Act: Warn, SignOff: true, Why: Poison, Unless: Trusted,
		Sources: []Source{{"roots of white hellebore are dug up for it", FromMemory}},
	},
	{
		ID: "poisonous", Names: []string{
			"aristolochia", "snakeroot", "pennyroyal", "mentha pulegium", "rue", "ruta graveolen", "kava", "piper methysticum", "ephedra", "datura", "brugmansia",
			"angel trumpet", "monkshood", "aconite", "aconitum", "aconito", "aconit", "yew", "taxus", "hemlock", "conium", "daffodil", "narcissus", "rhododendron", "azalea",
			"hydrangea", "wisteria", "hellebore", "helleborus", "mistletoe", "viscum", "castor bean", "ricinus", "poke", "pokeweed", "phytolacca", "sweet pea", "lathyrus", "white hellebore", "veratrum",
			"poleo", "menthe pouliot", "ruda", "cicuta", "cigue", "tejo", "narciso", "jonquille", "toloache", "muerdago", "gui", "ricino",
		}, Act: Refuse, Why: Poison,
		Sources: []Source{{"known as poisonous; 21 CFR 172.510 still lists Virginia snakeroot for drinks, refused all the same", FromMemory}},
	},
	{
		ID: "cooked only", Names: []string{"wild mushroom", "seta silvestre", "setas silvestre", "champignon sauvage", "cashew in shell", "raw cashew shell",
			"green potato", "cassava", "raw cassava", "manihot", "yuca", "lima bean", "raw lima bean",
		}, Act: Refuse, Why: CookedOnly,
		Sources: []Source{{"toxins that only cooking or processing removes", FromMemory}, wildMushrooms},
	},
	{
		ID: "not food", Names: []string{"florist flower", "garden centre flower", "garden center flower", "potpourri", "decorative bark", "essential oil", "aceite esencial", "huile essentielle"}, Act: Refuse, Why: NotFood, Unless: FoodGrade,
		Sources: []Source{practice},
	},
	{
		ID: "liquorice", Names: []string{"liquorice", "licorice", "glycyrrhiza", "regaliz", "reglisse"}, Act: Warn, SignOff: true, Why: BloodPressure,
		Sources: []Source{{"blood pressure and potassium with repeated intake", FromMemory}},
	},
	{
		ID: "irritant", Names: []string{
			"chilli", "chile", "chili", "hot pepper", "jalapeno", "serrano", "habanero", "cayenne", "horseradish", "armoracia", "wasabi", "mustard",
		}, Act: Warn, Why: Irritant,
		Sources: []Source{practice},
	},
	{
		ID: "allergen", Names: []string{
			"nut", "hazelnut", "almond", "walnut", "pecan", "pistachio", "cashew", "macadamia", "peanut", "sesame",
		}, Act: Warn, Why: AllergenAerosol,
		Sources: []Source{practice},
	},
}

var coumarinDaily = Most{"coumarin a day", 0.1, "mg per kg of body", Source{"EFSA, BfR", Verified}}
