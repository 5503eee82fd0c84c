// Package book holds what a house writes down: its recipes, its vessels and
// its house rules, read from strict YAML. A book is read once and not changed
// afterwards; a batch copies from it what its clocks and calls need.
package book

import (
	"time"

	"ventbell/internal/quantity"
)

// Book is one house's written knowledge.
type Book struct {
	House      House
	Recipes    []Recipe
	Vessels    []Vessel
	Classes    []Class
	Liquids    []Liquid
	Botanicals []Botanical
	// Text is the file that the book was read from; it must not be changed. An
	// edit of the book is an edit of its text.
	Text []byte
}

// House holds the rules and habits of one house.
type House struct {
	Name     string
	Language string // "en", "es" or "fr"
	Zone     string // IANA name, e.g. "Europe/Brussels"
	// Country is the ISO 3166 two-letter code; it decides what an ounce or a
	// bottle is.
	Country string
	// State is the state or province whose law counts, where the country leaves
	// it to them; with the country it says which rules on keeping apply.
	State string
	// Licensed is whether house infusions are licensed here: "yes", "no" or
	// "unknown"; empty = never answered, and then the service does not start.
	Licensed string
	Bottle   quantity.Volume // what "a bottle" holds
	Serve    quantity.Volume // a portion, when a recipe says none; 0 = not entered
	// RoomVolume and AirChanges (in tenths an hour, hood on) are of the room the
	// vessels are vented in; 0 = not entered, and then no air is worked out.
	RoomVolume quantity.Volume
	AirChanges int
	Hands      int    // how many pairs of hands work the vessels; 0 counts as 1
	Currency   string // of all prices, e.g. "EUR"
	// ChargerPrice is the price of one charger; 0 = not entered.
	ChargerPrice quantity.Money
	// ChargerCutoff is the time of day until which the supplier takes an order, 0 =
	// not entered; an order comes ChargerLead days later at the earliest, on one of
	// ChargerDays (a bit each from Sunday on, 0 = any). ChargerReorder is how many
	// chargers are to be left at least; 0 = a day's use.
	ChargerCutoff  time.Duration
	ChargerLead    int
	ChargerDays    uint8
	ChargerReorder int
	// Emergency is the number to call when somebody is hurt; empty = by the country.
	Emergency string
	// FirstAid is one line on where first aid is to be had in the house; empty =
	// none.
	FirstAid string
	// UnlabelledDays is how many business days after the one that was signed what
	// stood without a label then is kept at most; 0 = not entered.
	UnlabelledDays int
	From           Provenance
	FileLine       int // where the house starts in its file
}

// Family is what kind of liquid an infusion is made in.
type Family string

// The families of liquid.
const (
	Spirit  Family = "spirit"
	Wine    Family = "wine" // wine, vermouth and other low strength
	Oil     Family = "oil"
	Vinegar Family = "vinegar"
	Syrup   Family = "syrup"
	Dairy   Family = "dairy" // milk, cream, plant drinks
	Water   Family = "water" // water, tea, juice
)

// Kind is what kind of botanical a solid is; together with the family of the
// liquid it picks the class.
type Kind string

// The kinds of botanical.
const (
	Produce Kind = "produce" // ginger, celery, radish: hard and wet
	// SoftProduce is mostly water and soft to the bite, so it takes more of it and
	// a gentler hand: cucumber, sweet pepper.
	SoftProduce Kind = "soft produce"
	// HotPepper stands apart from other produce: its heat comes out within
	// seconds and its clocks are the shortest.
	HotPepper Kind = "hot pepper"
	Fruit     Kind = "fruit" // soft fruit, stalks cooked as fruit
	Spice     Kind = "spice" // dry spice, bark, seed, dried chile
	Roast     Kind = "roast" // coffee, cacao, roasted nuts and grain
	Peel      Kind = "peel"  // citrus peel
	Tea       Kind = "tea"
	Herb      Kind = "herb"   // tender leaf: basil, mint
	Woody     Kind = "woody"  // rosemary, thyme, bay, flowers
	Bitter    Kind = "bitter" // dried root, bark and peel for bitters, which are poured in drops
)

// Product is what of a batch is kept.
type Product string

// The products. A recipe that says none keeps the liquid.
const (
	LiquidKept Product = "liquid"
	SolidKept  Product = "solid" // pickles and soaked fruit: the pieces, drained
)

// Vent is how the gas is let go.
type Vent string

// The ways to vent. A recipe that says none is vented fast, for that is what
// pushes the flavour out of the pieces.
const (
	FastVent Vent = "fast"
	SlowVent Vent = "slow" // short presses, so that the liquid stays in the pieces
)

// Recipe is one infusion that the house makes. Times are spans, not moments.
// The rest counts from the end of the last swirl; the contact counts from
// filling to straining.
type Recipe struct {
	Name    string
	Aliases []string
	// Solid names the botanical and Base the liquid, by their names in the
	// book; Family follows from Base and Class from both.
	Solid  string
	Base   string
	Class  string
	Batch  quantity.Volume // the house batch, when no volume is said
	Ratio  quantity.Ratio
	Prep   string // how the solid is cut, in the house's words
	Choose string // what to look for when picking the solid
	Use    string // what the infusion is for

	Temp   TempRange
	Proven quantity.Volume // nominal size of the vessel the ratio was proven in
	// Chargers is so many chargers for a vessel of the size in Proven.
	Chargers    int
	Swirl       time.Duration // after each charger
	Rest        Span
	Settle      time.Duration
	StrainFirst bool          // strain at once after the vent, settle off the solids
	Contact     time.Duration // cap on liquid on solids, filling to straining
	Clear       time.Duration // standing to clear after straining; 0 = none
	JudgeAfter  time.Duration // from the vent until it can be judged
	Gentle      bool          // swirl, never shake: dairy and soft fruit
	Vent        Vent          // empty = fast
	// Product is what is kept, empty = the liquid. Where it is the solid, the
	// yield is what it weighs drained, and it is drained and not strained.
	Product   Product
	Storage   string // "fridge", "shelf"
	Allergens []string
	// Hold is the recipe's own limit on keeping; it only shortens. 0 = none.
	Hold int // days, the first one counted
	// Override is a named person's decision, resting on a document, that the
	// recipe keeps longer than the table says; no days = none.
	Override Override
	// ClearWith is what it is cleared or washed with ("milk", "egg"): it goes
	// onto the label, and its allergens stand in Allergens from the reading on.
	// Empty = nothing that does.
	ClearWith string
	Serve     quantity.Volume // a portion; 0 = the house's
	// Cycles is how often it may be charged, vented empty and charged again;
	// 0 counts as 1. A second load of gas without a vent never happens.
	Cycles int
	// From says for each figure above where it comes from.
	From     Provenance
	FileLine int // where the recipe starts in its file
}

// Override lets a recipe keep longer: for so many days, the first one counted,
// because somebody named decided so by a document (a laboratory's report, an
// inspector's letter). All three are given or none.
type Override struct {
	Days     int
	By       string
	Document string
}

// Span is a span with its limits.
type Span struct{ Min, Target, Max time.Duration }

// TempRange is a temperature with its limits.
type TempRange struct{ Min, Target, Max quantity.Temperature }

// Vessel is one whipping vessel as its manual and its stamp describe it.
type Vessel struct {
	Tag     string // "A"
	Nominal quantity.Volume
	Line    quantity.Volume // the fill mark: liquid never above it
	Brim    quantity.Volume // weighed full of water, head on; 0 = not measured
	// Limit is the manual's charger limit; 0 = not entered, counts as 1.
	Limit int
	// StampedBar is the pressure stamped on the vessel in bar; 0 = not entered.
	StampedBar int
	// LineHoldsSolids says that the manual counts solids into the line.
	LineHoldsSolids bool
	Insulated       bool
	Material        string // of the body: "steel", "aluminium"; empty = not entered
	// Head is what the head is of: "steel", "aluminium" or PlasticHead, which may
	// not be charged; empty = not entered.
	Head string
	// CheckEvery is how often gasket and valve are looked at, in days; 0 = not
	// entered, and then the kitchen's own rhythm counts.
	CheckEvery int
	NutFree    bool // kept free of nuts and sesame
	From       Provenance
	FileLine   int // where the vessel starts in its file
}

// PlasticHead is a head that may not be charged: the accidents that led to recalls
// of more than 200 000 of these vessels were mostly with plastic heads on
// aluminium bodies, some after ten years of use (published: French consumer
// authority DGCCRF, notes on kitchen siphons since 2010).
const PlasticHead = "plastic"

// ChargerLimit gives the charger limit that counts: 1 when none is entered.
func (v Vessel) ChargerLimit() int { return max(v.Limit, 1) }

// Class holds the defaults of one kind of botanical in one family of liquid;
// from it a plan is made for what is not a house recipe.
type Class struct {
	Name        string // "spirit + produce"
	Family      Family
	Kind        Kind
	Product     Product // empty = the liquid; a default for what nobody wrote down keeps the liquid
	Ratio       quantity.Ratio
	RatioMin    quantity.Ratio
	RatioMax    quantity.Ratio
	Temp        TempRange
	Proven      quantity.Volume
	Chargers    int
	Swirl       time.Duration
	Rest        Span
	Settle      time.Duration
	StrainFirst bool
	Contact     time.Duration
	Clear       time.Duration
	JudgeAfter  time.Duration
	Gentle      bool
	Storage     string
	From        Provenance
	FileLine    int // where the class starts in its file
}

// Liquid is one base liquid the house knows.
type Liquid struct {
	Name     string // "gin"
	Aliases  []string
	Family   Family
	Strength quantity.Strength
	// Allergens stay in whatever is made with the liquid.
	Allergens []string
	// Acidity is the acid of a vinegar in tenths of a percent; 0 = not told.
	Acidity int
	// Brix is the sugar of a syrup in tenths of a percent by mass, Sugar the
	// same in tenths of a gram per 100 ml, Fat the fat of a dairy liquid in
	// tenths of a percent by volume; 0 = none or not told. Where Brix alone is
	// told, Sugar follows from it.
	Brix  int
	Sugar int
	Fat   int
	Foams bool           // cream, egg, syrup: comes out of the vessel as foam
	Price quantity.Money // a litre; 0 = not entered
	From  Provenance
	// FileLine is where the liquid starts in its file.
	FileLine int
}

// Botanical is one solid the house knows.
type Botanical struct {
	Name      string // "rhubarb"
	Aliases   []string
	Kind      Kind
	Allergens []string
	// VolumePerGram turns grams into the true volume of the solid with its pores
	// flooded, in microlitres per gram.
	VolumePerGram quantity.Volume
	// Water is the water in 100 g, in tenths of a gram: what it may give to the
	// liquid. Dry says that it is dry to the touch.
	Water int
	Dry   bool
	// Retention is what a gram of it keeps of the liquid after straining, in
	// microlitres.
	Retention quantity.Volume
	// Allium, Mushroom and DriedVegetable keep badly, dried too.
	Allium         bool
	Mushroom       bool
	DriedVegetable bool
	Powder         bool           // clogs the valve
	Irritant       bool           // its spray hurts eyes: chile, mustard, horseradish
	Price          quantity.Money // a kilogram; 0 = not entered
	// Refused says why the botanical is never infused here; empty = allowed.
	Refused string
	// SignOff says why a manager has to answer for it each time; empty = nobody
	// has to.
	SignOff  string
	From     Provenance
	FileLine int // where the botanical starts in its file
}

// Provenance says for each figure, by the name of its key in the file, where
// it comes from.
type Provenance map[string]Source

// Source is where a figure comes from: CommonPractice, Estimate, Demo or what
// Published gives.
type Source string

// The sources that are no publication.
const (
	CommonPractice Source = "common practice" // the trade does so; no source
	Estimate       Source = "estimate"        // our own; let the house overwrite it
	Demo           Source = "demo"            // made up for the sample
)

// Published is the source of a figure that stands in the named publication.
func Published(publication string) Source { return Source("published: " + publication) }
