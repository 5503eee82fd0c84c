package plan

import (
	"time"

	"ventbell/internal/quantity"
)

// Input is everything a plan is made from.
type Input struct {
	// Now is when the plan is made, in the house's zone; the zero time leaves
	// out what depends on it (use-by, room air).
	Now time.Time
	// Opens is the hour at which the house's business day begins: a batch made
	// after midnight and before it belongs to the day before.
	Opens int
	// Vented is the gas let go in the room in the last eight hours.
	Vented []Release
	// Weighed are the yields that the house weighed of this recipe, latest
	// last: from three on, their mean beats the table.
	Weighed []Weighing
	// Results are what became of the last batches of this recipe, latest last.
	Results []Result
	// SignedOff says that a manager asks, or answers for what needs one.
	SignedOff bool
	// What is put in place of the book's figures, for trying; zero = by the book.
	Charge quantity.Mass         // of gas, in one charger; 0 = GasPerCharger
	Brim   quantity.Volume       // of every vessel; counts as guessed, not weighed
	ABV    quantity.Strength     // of the liquid
	Temp   *quantity.Temperature // of the liquid
}

// Release is gas let go at a moment.
type Release struct {
	At  time.Time
	Gas quantity.Mass
}

// Weighing is what one batch gave: the liquid and the solids that went in, the
// liquid that came out, or what the solids weighed drained.
type Weighing struct {
	In      quantity.Volume
	Solids  quantity.Mass
	Out     quantity.Volume
	Drained quantity.Mass
}

// Band is a figure with its honest low and high end.
type Band struct{ Low, Central, High float64 }

// RunFigures are the figures behind one vessel's run. Pressures are gauge bar.
type RunFigures struct {
	Peak      Band // the highest point along the plan's own steps
	Unswirled Band // all chargers put in at once, unswirled: never done, for comparison
	Rest      Band // swirled, at rest
	StampBar  int  // the vessel's stamped limit; 0 = not entered
	Liquid    bool // liquid nitrous oxide may be present at the peak
	Known     bool // false: no brim volume and no guess of it, so no figure of the gas
	// Steps are the pressures after each charger, unswirled then swirled.
	Steps     []ChargeFigures
	Dissolved Band            // g per litre, at rest
	VentGas   Band            // litres let go: Low at the vent itself, High all in the end
	Headspace quantity.Volume // over the liquid, at rest
	Jug       quantity.Volume // the vent jug should hold at least this
	Colder    float64         // K, all in all
	Yield     quantity.Volume // what comes out after straining and decanting; 0 = the solid is kept
	Drained   quantity.Mass   // what the solid weighs drained, where it is kept
	Weighed   bool            // Yield or Drained by the house's own weighings
	StartAt   time.Duration   // when its first charger goes in, after the first run's
	Round     int             // 1, or the round in which the vessel is used again
}

// ChargeFigures are the pressures around one charger.
type ChargeFigures struct{ Unswirled, Swirled Band }

// Figures are the figures behind a whole plan.
type Figures struct {
	// ABVLow and ABVHigh are of the liquid in percent by volume, after the produce
	// gave its water; 0, 0 = no spirit. Pieces that are kept hold no more.
	ABVLow, ABVHigh float64
	FlashPoint      float64         // °C, a caution figure, never a safe-below line; 0 = none
	Yield           quantity.Volume // of all runs; 0 = the solid is kept
	Drained         quantity.Mass   // of all runs, where the solid is kept
	Weighed         bool            // Yield or Drained by the house's own weighings
	Kept            Band            // ml that a gram of solids keeps, by the house's own weighings; zero = by the book
	Serve           quantity.Volume // 0 = not entered
	Serves          int             // whole ones in Yield
	Cost            quantity.Money  // of the whole plan; 0 = not all prices are entered
	CostPerServe    quantity.Money
	Currency        string
	Keep            Keep
	Air             *Air // nil when the room is not entered
}

// Keep is how long what comes out keeps, and where.
type Keep struct {
	Rule      string // of the decision table
	Class     string // the finished class, by its figures and not its name
	Storage   string
	Days      int // the first one counted
	UseBy     time.Time
	Allergens []string
	Override  string   // who let it keep longer than the table, and by what document
	Reasons   []string // short sources
	Ask       []string // what a person should measure or answer, by the codes of the room keeping
}

// Air is what the vents of this plan do to the room's air: room averages in
// parts per million. At the jug it is far higher.
type Air struct {
	Step, Peak, Mean8h float64
	Limits             []AirLimit
}

// AirLimit is a published limit on nitrous oxide in air.
type AirLimit struct {
	Name string
	PPM  float64
	Over bool // the plan's air goes over it
}
