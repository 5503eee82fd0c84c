package keeping

import (
	"time"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// Liquid is what kind of liquid the finished product counts as.
type Liquid string

// The liquids. Honey and egg are not families of the book: a syrup or a dairy
// base that is one is told by its name.
const (
	Spirit  Liquid = "spirit"
	Wine    Liquid = "wine" // wine, vermouth and other low strength
	Oil     Liquid = "oil"
	Vinegar Liquid = "vinegar"
	Syrup   Liquid = "syrup"
	Dairy   Liquid = "dairy" // milk, cream, plant drinks
	Egg     Liquid = "egg"   // mixes that hold egg
	Water   Liquid = "water" // water, tea, coffee, stock, juice
	Honey   Liquid = "honey" // honey and agave, undiluted
)

// Storage is where a product is kept. The shelf is cool, dark and 25 °C at
// most, the fridge 5 °C at most, the freezer -18 °C.
type Storage string

// The places.
const (
	Shelf   Storage = "shelf"
	Fridge  Storage = "fridge"
	Freezer Storage = "freezer"
)

// Reading is one measured figure; the zero Reading was not measured, which
// counts as the strictest.
type Reading struct {
	Value float64
	Known bool
}

// Measured is a reading of v.
func Measured(v float64) Reading { return Reading{Value: v, Known: true} }

// Strength is a finished strength with its two ends, in percent by volume at
// 20 °C. The low end counts for keeping, the high end for fire. The zero
// Strength is not known.
type Strength struct {
	Low, High float64
	Known     bool
}

// Between is a strength with a low and a high end.
func Between(low, high float64) Strength { return Strength{Low: low, High: high, Known: true} }

func (s Strength) check() error {
	if !s.Known {
		return nil
	}
	if err := quantity.Within("strength", s.Low, 0, 100, "% vol"); err != nil {
		return err
	}
	return quantity.Within("high end of the strength", s.High, s.Low, 100, "% vol")
}

// Answer is what a house said when it was asked.
type Answer string

// The answers; the empty one was never given.
const (
	Yes     Answer = "yes"
	No      Answer = "no"
	Unknown Answer = "unknown" // asked, and nobody there knows
)

// Deviation is something that went wrong with a product.
type Deviation string

// The deviations. Each holds the product until somebody has decided.
const (
	WarmFridge   Deviation = "warm fridge"   // the fridge stood above 5 °C for over four hours
	FailedStrain Deviation = "failed strain" // pieces of plant stayed in
	NoLabel      Deviation = "no label"
	CloudyOil    Deviation = "cloudy oil" // cloud, or water under it
	Bubbles      Deviation = "bubbles"
	Mould        Deviation = "mould"
)

// Ingredient is one thing that went in and its dates, as far as known.
type Ingredient struct {
	Name   string
	Opened Date // counts as day one when TCS
	UseBy  Date // the maker's date; nothing that holds it outlives it
	TCS    bool // spoils: needs time and temperature control for safety
}

// Override is a named person's decision, resting on a document (a laboratory's
// report, an inspector's letter), that a product keeps longer than the table says.
type Override struct {
	By       string
	Document string
	Days     int // 0 = there is no override
}

// Case is one finished product and everything that bears on how long it keeps.
type Case struct {
	Liquid Liquid
	// Strength after the produce gave its water; spirit and wine are classed by
	// it and not by their name.
	Strength    Strength
	Acidity     Reading // of the vinegar as bought, in percent
	PH          Reading // of the strained product
	Brix        Reading // of the strained product, in percent by mass
	WineVinegar bool    // vinegar of wine or rice
	Juice       bool    // the water is juice or coconut water
	Wet         bool    // water got into the oil, or a dry plant was not dry to the touch
	Solids      []Solid // at least one, or an agent that washes
	Drained     bool    // the solids are what is kept, drained of the liquid
	Agents      []Agent // what it was washed or cleared with
	CurdLeft    bool    // curd or solid fat stayed in after washing
	// PasteurisedEgg says that any egg in it is pasteurised; not said, it is raw.
	PasteurisedEgg bool
	// Acidified says that its garlic, basil, oregano or rosemary was acidified
	// by the tested method; Approval names the approval on file for it.
	Acidified bool
	Approval  string

	Storage   Storage       // asked for; empty = fridge
	Made      time.Time     // in the house's zone
	DayStarts time.Duration // when the house's business day begins, after midnight
	Parts     []Ingredient
	HoldDays  int // the recipe's own; it may only shorten; 0 = none
	Freezes   []Freeze

	Where    string // "US-IL", "BE"; empty = never said
	Licensed Answer // house infusions of alcohol are licensed there

	// UnlabelledAt is the business day at whose close it stood without a label.
	UnlabelledAt Date
	Deviations   []Deviation
	OutOfChill   time.Duration // above 5 °C in all
	Override     Override
}

// alcoholic reports whether the laws on alcohol bear on the product.
func (c *Case) alcoholic() bool {
	return c.Liquid == Spirit || c.Liquid == Wine || c.Strength.Known && c.Strength.High > 0
}

// made gives the day that counts as day one of the batch itself.
func (c *Case) made() Date { return BusinessDate(c.Made, c.DayStarts) }

// For begins the case of a liquid with solids out of the book. The sugar of a
// base counts for the product only where no solid brings water: else it is
// measured after straining.
func For(liquid book.Liquid, solids ...book.Botanical) Case {
	c := Case{Liquid: liquids[liquid.Family]}
	names := plain(append([]string{liquid.Name}, liquid.Aliases...))
	switch {
	case c.Liquid == Vinegar:
		c.WineVinegar = holdsAny(names, "wine", "rice", "sherry", "balsamic")
	case c.Liquid == Water:
		c.Juice = holdsAny(names, "juice", "coconut water")
	case c.Liquid == Syrup && holdsAny(names, "honey", "agave"):
		c.Liquid = Honey
	}
	if (c.Liquid == Dairy || c.Liquid == Water) && holdsAny(names, "egg", "eggnog") {
		c.Liquid = Egg
	}
	wet := false
	for _, b := range solids {
		s := SolidOf(b)
		wet = wet || s.Class != Dry
		c.Solids = append(c.Solids, s)
	}
	if liquid.Acidity > 0 {
		c.Acidity = Measured(float64(liquid.Acidity) / 10)
	}
	if liquid.Brix > 0 && !wet {
		c.Brix = Measured(float64(liquid.Brix) / 10)
	}
	return c
}

var liquids = map[book.Family]Liquid{
	book.Spirit: Spirit, book.Wine: Wine, book.Oil: Oil, book.Vinegar: Vinegar,
	book.Syrup: Syrup, book.Dairy: Dairy, book.Water: Water,
}

// The most that can be meant; above it something was mistyped.
const (
	mostDays  = 400
	mostHours = 24 * mostDays
)

// check refuses figures that mean nothing.
func (c *Case) check() error {
	for _, r := range []struct {
		what    string
		reading Reading
		high    float64
		unit    string
	}{
		{"acidity", c.Acidity, 100, "%"},
		{"pH", c.PH, 14, ""},
		{"sugar", c.Brix, 100, "Brix"},
	} {
		if !r.reading.Known {
			continue
		}
		if err := quantity.Within(r.what, r.reading.Value, 0, r.high, r.unit); err != nil {
			return err
		}
	}
	if err := c.Strength.check(); err != nil {
		return err
	}
	if err := quantity.Within("solids and washes", float64(len(c.counted())), 1, 100, ""); err != nil {
		return err
	}
	if err := quantity.Within("start of the business day", c.DayStarts.Hours(), 0, 12, "h"); err != nil {
		return err
	}
	if err := quantity.Within("time out of chill", c.OutOfChill.Hours(), 0, mostHours, "h"); err != nil {
		return err
	}
	if err := quantity.Within("recipe's hold", float64(c.HoldDays), 0, mostDays, "days"); err != nil {
		return err
	}
	if err := quantity.Within("days of the override", float64(c.Override.Days), 0, mostDays, "days"); err != nil {
		return err
	}
	return c.checkDates()
}

func (c *Case) checkDates() error {
	if err := quantity.Within("year made", float64(c.Made.Year()), firstYear, lastYear, ""); err != nil {
		return err
	}
	if err := checkDate("the close", c.UnlabelledAt); err != nil {
		return err
	}
	for _, p := range c.Parts {
		if err := checkDate("opening", p.Opened); err != nil {
			return err
		}
		if err := checkDate("the maker's date", p.UseBy); err != nil {
			return err
		}
	}
	last := c.made()
	for _, f := range c.Freezes {
		if err := checkDate("freezing", f.In); err != nil {
			return err
		}
		if err := checkDate("thawing", f.Out); err != nil {
			return err
		}
		if err := quantity.Within("days from one step of freezing to the next", float64(f.In.Since(last)), 0, 10*mostDays, ""); err != nil {
			return err
		}
		if f.Out.IsZero() {
			last = Date{lastYear + 10*mostDays, 1, 1} // nothing can follow what is still frozen
			continue
		}
		if err := quantity.Within("days frozen", float64(f.Out.Since(f.In)), 0, 10*mostDays, ""); err != nil {
			return err
		}
		last = f.Out
	}
	return nil
}
