package keeping

import "slices"

// Row is one row of the decision table. Within a liquid the first row whose
// test holds and that lists the solid decides; a later row has an easier test,
// so it also takes what a better one does not list.
type Row struct {
	ID       string
	Liquids  []Liquid
	Test     Test
	Solids   []Class // empty = every known one
	Drained  bool    // for solids that are kept, drained
	Shelf    int     // days at most; 0 = not there
	Fridge   int     // days at most
	Freezer  int     // days until quality goes; 0 = nobody has said
	As       []Liquid
	Most     int     // the most days that an override can give; 0 = no bound but the law
	StopAt   []Class // asked for on the shelf it is refused, not moved to the fridge
	TCS      bool    // needs time and temperature control for safety
	Finished Finished
	Notes    []Note
	Sources  []Source
}

// Test is what must hold for a row; a zero field asks nothing. What was not
// measured does not hold.
type Test struct {
	MinABV, BelowABV float64 // low end of the strength, percent by volume
	MinAcidity       float64 // percent
	BelowPH, MostPH  float64
	MinBrix          float64
	NoWater          bool // the plant dry to the touch, no water in the oil
	Acidified        bool // by the tested method, approval on file, pH held
	NotWine          bool // no vinegar of wine or rice
	NotJuice         bool
}

// Finished is what a product counts as once it is made.
type Finished string

// The classes of finished products.
const (
	StrongSpirit  Finished = "strong spirit" // 40 % and up
	PlainSpirit   Finished = "spirit"        // 20 to 40 %
	LowStrength   Finished = "low strength"  // 8 to 20 %
	NextToNone    Finished = "next to none"  // under 8 %: alcohol does not count
	DryOil        Finished = "dry oil"
	FreshOil      Finished = "fresh oil"
	AcidifiedOil  Finished = "acidified oil"
	FatOil        Finished = "fat oil"
	SharpVinegar  Finished = "sharp vinegar"
	WeakVinegar   Finished = "weak vinegar"
	ThickSyrup    Finished = "thick syrup"  // 65 Brix and up
	MiddleSyrup   Finished = "middle syrup" // 60 to 65
	ThinSyrup     Finished = "thin syrup"
	DairyMix      Finished = "dairy"
	EggMix        Finished = "egg mix"
	Watery        Finished = "watery"
	ThickHoney    Finished = "honey"
	MoistHoney    Finished = "moist honey"
	Pickle        Finished = "pickle"
	SoakedFruit   Finished = "soaked fruit"
	NothingListed Finished = "not listed"
)

// Note is something to do or to watch that goes with a row.
type Note string

// The notes of the rows.
const (
	NoteStrainClear    Note = "strain clear"
	NoteQualityOnly    Note = "quality only"
	NoteSolidsOut      Note = "solids out"
	NoteColourDrifts   Note = "colour drifts"
	NoteSmell          Note = "smell"
	NoteMeasureABV     Note = "measure strength"
	NoteAllergenStays  Note = "allergen stays"
	NotePasteurised    Note = "pasteurised egg only"
	NoteYeastsGrow     Note = "yeasts grow"
	NoteAlcoholIgnored Note = "alcohol ignored"
	NoteRancid         Note = "bin rancid or cloudy"
	NoteDryToTouch     Note = "dry to the touch"
	NoteMayFreeze      Note = "may freeze"
	NoteDriedCounts    Note = "dried counts"
	NoteStrainedCounts Note = "strained counts"
	NoteLogPH          Note = "log pH"
	NoteSanitiseHerb   Note = "sanitise herb"
	NoteMouldWatch     Note = "watch for mould"
	NoteWhipTwoDays    Note = "charged 48 h at most"
	NoteBoiledBase     Note = "boiled base"
	NoteNoInfants      Note = "no infants under one"
	NoteWaterLifts     Note = "plant water lifts activity"
	NoteSameShift      Note = "best the same shift"
	NoteNoPreserve     Note = "no preserve above pH 4.6 in the piece"
	NoteHoldsAlcohol   Note = "holds alcohol"
	NoteManager        Note = "manager looks"
)

var (
	strengths = []Liquid{Spirit, Wine}
	moist     = []Class{Herb, Fruit}
	rooted    = []Class{Veg, Allium}
)

// table holds the whole of it, in the order in which it is read.
var table = []Row{
	{
		ID: "S1", Liquids: strengths, Test: Test{MinABV: 40}, Solids: []Class{Dry}, Shelf: 180, Fridge: 180,
		Finished: StrongSpirit, Notes: []Note{NoteStrainClear, NoteQualityOnly}, Sources: []Source{practice},
	},
	{
		ID: "S2", Liquids: strengths, Test: Test{MinABV: 40}, Solids: moist, Fridge: 21,
		Finished: StrongSpirit, Notes: []Note{NoteSolidsOut}, Sources: []Source{practice},
	},
	{
		ID: "S3", Liquids: strengths, Test: Test{MinABV: 40}, Solids: []Class{Veg}, Fridge: 14,
		Finished: StrongSpirit, Notes: []Note{NoteColourDrifts}, Sources: []Source{practice},
	},
	{
		ID: "S4", Liquids: strengths, Test: Test{MinABV: 40}, Solids: []Class{Allium}, Fridge: 7,
		Finished: StrongSpirit, Notes: []Note{NoteSmell}, Sources: []Source{practice},
	},
	{
		ID: "S5", Liquids: strengths, Test: Test{MinABV: 20, BelowABV: 40}, Solids: []Class{Dry}, Shelf: 90, Fridge: 90,
		Finished: PlainSpirit, Sources: []Source{practice, botulismSpirit, bacteriaSpirit, yeastSpirit},
	},
	{
		ID: "S6", Liquids: strengths, Test: Test{MinABV: 20, BelowABV: 40}, Solids: moist, Fridge: 14,
		Finished: PlainSpirit, Notes: []Note{NoteMeasureABV}, Sources: []Source{practice, botulismSpirit, bacteriaSpirit},
	},
	{
		ID: "S7", Liquids: strengths, Test: Test{MinABV: 20, BelowABV: 40}, Solids: rooted, Fridge: 7,
		Finished: PlainSpirit, Sources: []Source{practice},
	},
	{
		ID: "S8", Liquids: strengths, Test: Test{MinABV: 20}, Solids: []Class{Fat}, Fridge: 14,
		Finished: PlainSpirit, Notes: []Note{NoteAllergenStays, NotePasteurised}, Sources: []Source{practice},
	},
	{
		ID: "W1", Liquids: strengths, Test: Test{MinABV: 8, BelowABV: 20}, Solids: []Class{Dry, Herb, Fruit}, Fridge: 7, TCS: true,
		Finished: LowStrength, Notes: []Note{NoteYeastsGrow}, Sources: []Source{bacteriaSpirit, practice},
	},
	{
		ID: "W2", Liquids: strengths, Test: Test{MinABV: 8, BelowABV: 20}, Solids: []Class{Veg, Allium, Fat}, Fridge: 4, TCS: true,
		Finished: LowStrength, Sources: []Source{practice},
	},
	{
		// The rows of what it is without its alcohol; never longer than W1 and W2.
		ID: "W3", Liquids: strengths, Test: Test{BelowABV: 8}, As: []Liquid{Water, Dairy}, TCS: true,
		Finished: NextToNone, Notes: []Note{NoteAlcoholIgnored}, Sources: []Source{botulismSpirit},
	},
	{
		ID: "O1", Liquids: []Liquid{Oil}, Test: Test{NoWater: true}, Solids: []Class{Dry}, Shelf: 30, Fridge: 90,
		Finished: DryOil, Notes: []Note{NoteDryToTouch, NoteRancid}, Sources: []Source{oilCounty, oilDried, practice},
	},
	{
		// Read before O2 and O3, which take what it does not.
		ID: "O4", Liquids: []Liquid{Oil}, Test: Test{Acidified: true}, Solids: []Class{Allium, Herb}, Fridge: 30,
		StopAt: []Class{Allium, Herb}, Finished: AcidifiedOil, Notes: []Note{NoteLogPH}, Sources: []Source{acidifiedTest, variance},
	},
	{
		ID: "O2", Liquids: []Liquid{Oil}, Solids: []Class{Herb, Fruit, Veg, Dry}, Fridge: 4, Freezer: 90, Most: 7, TCS: true,
		StopAt: []Class{Herb, Fruit, Veg, Dry}, Finished: FreshOil, Notes: []Note{NoteMayFreeze}, Sources: []Source{oilFourDays, oilIdaho},
	},
	{
		ID: "O3", Liquids: []Liquid{Oil}, Solids: []Class{Allium}, Fridge: 4, Most: 7, TCS: true, StopAt: []Class{Allium},
		Finished: FreshOil, Notes: []Note{NoteDriedCounts, NoteStrainedCounts}, Sources: []Source{oilFourDays, oilIdaho, oilCounty},
	},
	{
		ID: "O5", Liquids: []Liquid{Oil}, Solids: []Class{Fat}, Fridge: 7, TCS: true, StopAt: []Class{Fat},
		Finished: FatOil, Notes: []Note{NoteAllergenStays}, Sources: []Source{dateMarking},
	},
	{
		ID: "V1", Liquids: []Liquid{Vinegar}, Test: Test{MinAcidity: 5, BelowPH: 4.2, NotWine: true}, Solids: []Class{Dry},
		Shelf: 180, Fridge: 180, Finished: SharpVinegar, Sources: []Source{vinegarMonths},
	},
	{
		ID: "V2", Liquids: []Liquid{Vinegar}, Test: Test{MinAcidity: 5, BelowPH: 4.2, NotWine: true}, Solids: moist,
		Shelf: 90, Fridge: 180, Finished: SharpVinegar, Notes: []Note{NoteSolidsOut, NoteSanitiseHerb}, Sources: []Source{vinegarHerbs, vinegarMonths},
	},
	{
		ID: "V3", Liquids: []Liquid{Vinegar}, Test: Test{MinAcidity: 5, BelowPH: 4.2, NotWine: true}, Solids: rooted,
		Fridge: 30, Finished: SharpVinegar, Notes: []Note{NoteSolidsOut}, Sources: []Source{vinegarMonths, practice},
	},
	{
		ID: "V4", Liquids: []Liquid{Vinegar}, Fridge: 7, TCS: true,
		Finished: WeakVinegar, Sources: []Source{vinegarWeak, interaction},
	},
	{
		ID: "Y1", Liquids: []Liquid{Syrup}, Test: Test{MinBrix: 65}, Solids: []Class{Dry, Herb, Fruit}, Fridge: 30,
		Finished: ThickSyrup, Notes: []Note{NoteMouldWatch}, Sources: []Source{syrupActivity, interaction, practice},
	},
	{
		ID: "Y2", Liquids: []Liquid{Syrup}, Test: Test{MinBrix: 60, MostPH: 5.0}, Solids: []Class{Dry, Herb, Fruit}, Fridge: 14,
		Finished: MiddleSyrup, Notes: []Note{NoteLogPH}, Sources: []Source{syrupActivity, interaction},
	},
	{
		ID: "Y3", Liquids: []Liquid{Syrup}, Solids: []Class{Dry, Herb, Fruit, Fat}, Fridge: 7, TCS: true,
		Finished: ThinSyrup, Sources: []Source{dateMarking, interaction},
	},
	{
		ID: "Y4a", Liquids: []Liquid{Syrup}, Test: Test{MinBrix: 60}, Solids: rooted, Fridge: 7, TCS: true,
		Finished: MiddleSyrup, Sources: []Source{dateMarking, practice},
	},
	{
		ID: "Y4b", Liquids: []Liquid{Syrup}, Solids: rooted, Fridge: 4, TCS: true,
		Finished: ThinSyrup, Sources: []Source{practice},
	},
	{
		ID: "D1", Liquids: []Liquid{Dairy}, Solids: []Class{Dry, Fruit, Herb, Fat}, Fridge: 7, TCS: true,
		Finished: DairyMix, Notes: []Note{NoteWhipTwoDays}, Sources: []Source{dateMarking, reducedOxygen},
	},
	{
		ID: "D2", Liquids: []Liquid{Dairy}, Solids: rooted, Fridge: 4, TCS: true,
		Finished: DairyMix, Notes: []Note{NoteWhipTwoDays}, Sources: []Source{practice},
	},
	{
		ID: "E1", Liquids: []Liquid{Egg}, Fridge: 3, TCS: true,
		Finished: EggMix, Notes: []Note{NotePasteurised}, Sources: []Source{rawEggDrinks, practice},
	},
	{
		ID: "Q1", Liquids: []Liquid{Water}, Test: Test{NotJuice: true}, Solids: []Class{Dry}, Fridge: 7, TCS: true,
		Finished: Watery, Notes: []Note{NoteBoiledBase}, Sources: []Source{dateMarking, teaAndCoffee},
	},
	{
		ID: "Q2", Liquids: []Liquid{Water}, Solids: []Class{Herb, Fruit, Dry}, Fridge: 3, TCS: true,
		Finished: Watery, Sources: []Source{practice},
	},
	{
		ID: "Q3", Liquids: []Liquid{Water}, Solids: rooted, Fridge: 3, TCS: true,
		Finished: Watery, Sources: []Source{practice},
	},
	{
		ID: "H1", Liquids: []Liquid{Honey}, Test: Test{MinBrix: 75}, Solids: []Class{Dry}, Shelf: 90, Fridge: 90,
		Finished: ThickHoney, Notes: []Note{NoteNoInfants}, Sources: []Source{practice},
	},
	{
		ID: "H2", Liquids: []Liquid{Honey}, Solids: []Class{Herb, Fruit, Veg, Allium, Dry}, Fridge: 7, TCS: true,
		StopAt: []Class{Allium}, Finished: MoistHoney, Notes: []Note{NoteWaterLifts, NoteNoInfants}, Sources: []Source{practice},
	},
	{
		// Pressed in brine for minutes, a piece is not yet as acid as its brine.
		ID: "P1", Liquids: []Liquid{Vinegar, Water}, Drained: true, Fridge: 3, TCS: true,
		Finished: Pickle, Notes: []Note{NoteSameShift, NoteNoPreserve}, Sources: []Source{pressedPickle, interaction},
	},
	{
		// Whatever the strength: how much of it a piece took up is not known.
		ID: "P2", Liquids: strengths, Drained: true, Fridge: 1, TCS: true,
		Finished: SoakedFruit, Notes: []Note{NoteSameShift, NoteHoldsAlcohol}, Sources: []Source{soakedFruit},
	},
	{
		ID: "P3", Liquids: []Liquid{Oil, Syrup, Dairy, Egg, Honey}, Drained: true, Fridge: 3, TCS: true,
		StopAt: []Class{Dry, Herb, Fruit, Veg, Allium, Fat}, Finished: NothingListed, Notes: []Note{NoteManager}, Sources: []Source{practice},
	},
	notListed,
}

// notListed takes what no other row takes, and every solid that is not known.
var notListed = Row{
	ID: "Z", Fridge: 3, TCS: true, Finished: NothingListed, Notes: []Note{NoteManager}, Sources: []Source{practice},
}

// Rows gives the decision table in the order in which it is read.
func Rows() []Row { return slices.Clone(table) }

// rowFor finds the row that decides on one solid.
func (c *Case) rowFor(s Solid) Row {
	for _, r := range table {
		if r.Drained != c.Drained || !slices.Contains(r.Liquids, c.Liquid) || !r.takes(s.Class) || !r.Test.holds(c, s) {
			continue
		}
		if len(r.As) > 0 {
			return c.withoutAlcohol(r, s)
		}
		return r
	}
	return notListed
}

func (r *Row) takes(k Class) bool {
	return k != "" && (len(r.Solids) == 0 || slices.Contains(r.Solids, k))
}

// withoutAlcohol fills row r, which sends elsewhere, with the days of the row
// it is sent to, or of the row for a little more strength when that is shorter.
func (c *Case) withoutAlcohol(r Row, s Solid) Row {
	stronger := *c
	stronger.Strength = Between(lowStrength, lowStrength)
	most := stronger.rowFor(s)
	for _, liquid := range r.As {
		plain := *c
		plain.Liquid = liquid
		if found := plain.rowFor(s); found.ID != notListed.ID {
			r.Fridge = min(found.Fridge, most.Fridge)
			r.Notes = slices.Concat(r.Notes, found.Notes)
			r.Sources = slices.Concat(r.Sources, found.Sources)
			return r
		}
	}
	return notListed
}

// lowStrength is where the rows for low strength begin, percent by volume.
const lowStrength = 8.0

// noise is what a computed strength may be off by without meaning anything,
// percent by volume: gin of 40 % is 40 % after a conversion and back.
const noise = 1e-6

// holds reports whether the test is met; what was not measured never meets one.
func (t Test) holds(c *Case, s Solid) bool {
	abv := 0.0
	if c.Strength.Known {
		abv = c.Strength.Low + noise
	}
	switch {
	case abv < t.MinABV, t.BelowABV > 0 && abv >= t.BelowABV:
	case t.MinAcidity > 0 && !(c.Acidity.Known && c.Acidity.Value >= t.MinAcidity):
	case t.BelowPH > 0 && !(c.PH.Known && c.PH.Value < t.BelowPH):
	case t.MostPH > 0 && !(c.PH.Known && c.PH.Value <= t.MostPH):
	case t.MinBrix > 0 && !(c.Brix.Known && c.Brix.Value >= t.MinBrix):
	case t.NoWater && c.Wet, t.NotWine && c.WineVinegar, t.NotJuice && c.Juice:
	case t.Acidified && !c.acidified(s):
	default:
		return true
	}
	return false
}

// acidified reports whether s was acidified by the tested method, with the
// approval on file and the pH held.
func (c *Case) acidified(s Solid) bool {
	limit, tested := s.acidLimit()
	return tested && c.Acidified && c.Approval != "" && c.PH.Known && c.PH.Value <= limit
}
