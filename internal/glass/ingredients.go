package glass

// ingredient is one thing that goes into a glass and that no book has to list.
type ingredient struct {
	name     string
	aliases  []string
	strength float64 // percent by volume
	sugar    float64 // g per 100 ml
	acid     float64 // g per 100 ml, what a bar calls percent
	source   string
	contains []string
}

// Where the figures come from.
const (
	publicPages = "published: public pages of the trade, read one against another"
	nutrients   = "published: USDA National Nutrient Database, SR Legacy, by mass, times the juice's density"
	practice    = "common practice, no source"
	fromMemory  = "from memory"
)

// ingredients are ours. A liquid of the book under the same name goes before
// them. Acids count as what a titration finds; wine and sparkling drinks count
// without their carbonic acid.
var ingredients = []ingredient{
	{
		name: "lemon juice", aliases: []string{"lemon"}, sugar: 2.6, acid: 6,
		source: "acid " + publicPages + "; sugar " + nutrients,
	},
	{
		name: "lime juice", aliases: []string{"lime"}, sugar: 1.7, acid: 6,
		source: "acid " + publicPages + "; sugar " + nutrients,
	},
	{
		name: "grapefruit juice", aliases: []string{"grapefruit"}, sugar: 9, acid: 2.2,
		source: "acid " + publicPages + "; sugar " + fromMemory,
	},
	{
		name: "orange juice", aliases: []string{"orange", "oj"}, sugar: 8.7, acid: 0.8,
		source: "acid " + publicPages + "; sugar " + nutrients,
	},
	{
		name: "pineapple juice", aliases: []string{"pineapple"}, sugar: 10.4, acid: 0.8,
		source: "acid " + publicPages + "; sugar " + fromMemory,
	},
	{
		name: "syrup 1:1", aliases: []string{"sugar syrup 1:1", "simple syrup 1:1", "simple syrup", "simple"}, sugar: 61.5,
		source: "published: density 1.23 of equal masses, an engineering table by way of a public page",
	},
	{
		name: "syrup 2:1", aliases: []string{"sugar syrup 2:1", "rich syrup 2:1", "rich syrup"}, sugar: 88.7,
		source: "published: density 1.33 of two masses to one, an engineering table by way of a public page",
	},
	// One mass of honey with four fifths of sugar to one of water.
	{name: "honey syrup", aliases: []string{"honey syrup 1:1"}, sugar: 48, source: fromMemory},
	{name: "agave syrup", aliases: []string{"agave", "agave nectar"}, sugar: 95, source: fromMemory},
	{name: "soda water", aliases: []string{"soda", "sparkling water"}, source: practice},
	{name: "tonic water", aliases: []string{"tonic"}, sugar: 8.8, source: fromMemory},
	{name: "ginger beer", sugar: 9, source: fromMemory},
	{name: "cola", sugar: 11, source: fromMemory},
	{name: "water", aliases: []string{"still water"}, source: practice},
	{name: "brewed coffee", aliases: []string{"coffee", "espresso"}, source: practice},
	{name: "brewed tea", aliases: []string{"tea"}, source: practice},
	{name: eggWhite, aliases: []string{"egg whites", "white of egg"}, source: practice, contains: []string{"eggs"}},
	{name: "bitters", aliases: []string{"aromatic bitters", "orange bitters"}, strength: 44, source: fromMemory},
	{
		name: "sparkling wine", aliases: []string{"brut"}, strength: 12, sugar: 1, acid: 0.6, source: fromMemory,
		contains: []string{"sulphites"},
	},
}

// eggWhite is counted by the piece when no unit is said.
const eggWhite = "egg white"

// sugarVolume is the room that a gram of dissolved sugar takes in ml. From
// memory; the two syrups above give 0.624 and 0.627, and the tests hold it
// against the densities of the CRC Handbook.
const sugarVolume = 0.625

// waterDensity is that of water at 20 °C in g/ml (OIML R 22).
const waterDensity = 0.9982

// mostSugar is the sugar in g per 100 ml above which nothing pours: honey as it
// comes has about 117 (82 % by mass at 1.42 g/ml, from memory).
const mostSugar = 130.0
