package glass

import "ventbell/internal/quantity"

// What English-speaking bars type. Common practice, no source.

// methodWords say how a drink is made.
var methodWords = map[string]Method{
	"built": Built, "build": Built, "rocks": Built, iced: Built,
	"stirred": Stirred, "stir": Stirred,
	"shaken": Shaken, "shake": Shaken,
	"blended": Blended, "blend": Blended,
	"neat": AsPoured, "undiluted": AsPoured,
}

// iced by itself means built; beside another method it means nothing.
const iced = "ice"

// dilutionWords stand before or after a figure of it.
var dilutionWords = map[string]bool{"dilution": true, "diluted": true}

// asides mean nothing in a part.
var asides = map[string]bool{
	"of": true, "the": true, "some": true, "fresh": true, "freshly": true, "squeezed": true, "cold": true, "chilled": true,
	"our": true, "house": true, "with": true, "then": true, "top": true, "on": true, "over": true, "hard": true,
	"please": true, "pls": true, "a": true, "an": true,
}

// counts are numbers in words. "A" counts only before a unit.
var counts = map[string]float64{
	"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "half": 0.5, "quarter": 0.25,
}

// units are in millilitres; 0 is an ounce, which the house's country decides.
// A dash and a bar spoon are what bars mostly pour, from memory.
var units = map[string]float64{
	"ml": 1, "mls": 1, "cc": 1, "cl": 10, "dl": 100, "l": 1000, "litre": 1000, "litres": 1000,
	"liter": 1000, "liters": 1000, //nolint:misspell // both are typed
	"oz": ounces, "ounce": ounces, "ounces": ounces, "floz": ounces,
	"dash": 0.9, "dashes": 0.9, "barspoon": 5, "barspoons": 5, "bsp": 5,
}

const ounces = 0.0

// ounceIn gives the fluid ounce of a country in millilitres.
func ounceIn(country string) float64 {
	if country == "GB" {
		return quantity.UKFluidOunce.Millilitres()
	}
	return quantity.USFluidOunce.Millilitres()
}

// whiteOfAnEgg is what a large egg gives, in millilitres: common practice, no
// source.
const whiteOfAnEgg = 30.0

// The volumes that one part can mean: our own limits, above them something was
// mistyped.
const (
	leastPart = quantity.Millilitre / 10
	mostPart  = 20 * quantity.Litre
)

// smallBare is below which a number without a unit cannot be millilitres in a
// house that pours ounces, if all of the line are below it.
const smallBare = 10.0
