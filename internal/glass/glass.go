// Package glass works out what is in a glass: it reads a drink from one line of
// parts and a method, and sums its volume, strength, alcohol, sugar, acid and
// cost, each with its honest band. It plans no batch, keeps nothing and words
// nothing; a strength is never worked out by adding volumes alone.
package glass

import (
	"strings"

	"ventbell/internal/quantity"
	"ventbell/internal/spirit"
)

// Band is a figure with its low and high end.
type Band struct {
	Low     float64 `cbor:"l"`
	Central float64 `cbor:"c"`
	High    float64 `cbor:"h"`
}

// exactly is a band without width.
func exactly(v float64) Band { return Band{v, v, v} }

// Method is how a drink is made cold, which says how much water the ice gives.
type Method string

// The methods.
const (
	AsPoured Method = ""      // none was said: no water from ice
	Built    Method = "built" // in the glass, on ice
	Stirred  Method = "stirred"
	Shaken   Method = "shaken"
	Blended  Method = "blended" // with crushed ice, drunk with it
	ByFigure Method = "figure"  // the line says the dilution itself
)

// dilutions are the water that each method gives, in percent of what was
// poured. Common practice, no source; the middles are the middles of the usual
// span, and a long stir reaches the high end. A heat balance agrees with
// stirred and shaken: see the tests.
var dilutions = map[Method]Band{
	AsPoured: {},
	Built:    {Low: 10, Central: 12.5, High: 15},
	Stirred:  {Low: 20, Central: 22.5, High: 30},
	Shaken:   {Low: 25, Central: 30, High: 35},
	Blended:  {Low: 40, Central: 60, High: 80},
}

// Drink is one line understood. Only Read makes one, so its figures are within
// their ranges.
type Drink struct {
	parts    []part
	method   Method
	dilution Band            // percent of what was poured
	ice      [3]spirit.Blend // the water for it: low, central, high
	currency string
}

// part is one part of a drink.
type part struct {
	pour
	// mixed is what it holds of ethanol and water: low, central and high.
	mixed  [3]spirit.Blend
	sugar  float64 // g
	acid   float64 // g
	untold []Untold
	// cost is in hundredths of the currency. What is of the book and not priced
	// has none, and then the drink has none; our own ingredients are left out.
	cost     float64
	priced   bool
	own      bool // of our own table
	free     bool // water
	serves   int  // of one house batch; 0 = not known
	use      string
	contains []string
}

// pour is what was poured for one part.
type pour struct {
	name     string
	volume   quantity.Volume
	strength Band // percent by volume
	stated   bool // the strength is as said in the line
	infusion bool
	source   string
}

// line writes what was poured as it can be typed.
func (p pour) line() string {
	text := p.volume.String() + " " + p.name
	if p.stated {
		text += " " + plain(p.strength.Central) + "%"
	}
	return text
}

// Parts gives how many parts the drink has.
func (d Drink) Parts() int { return len(d.parts) }

// String writes the drink as a line that reads back to it, to a tenth of a
// millilitre.
func (d Drink) String() string {
	words := make([]string, 0, len(d.parts)+1)
	for _, p := range d.parts {
		words = append(words, p.line())
	}
	switch d.method {
	case AsPoured:
	case ByFigure:
		words = append(words, "dilution "+plain(d.dilution.Central)+"%")
	default:
		words = append(words, string(d.method))
	}
	return strings.Join(words, ", ")
}
