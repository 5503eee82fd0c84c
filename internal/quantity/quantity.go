// Package quantity holds the kitchen's measures: volumes, masses, strengths,
// temperatures, spans of time and money, as exact integers with one way to read
// and one way to print each. It knows no recipe and no vessel.
package quantity

// Volume is a volume in microlitres.
type Volume int64

// Units of volume. The US and UK measures are exact by law: the US gallon is
// 231 cubic inches and the UK gallon 4.54609 litres (NIST Handbook 44,
// appendix C), rounded here to the microlitre.
const (
	Microlitre   Volume = 1
	Millilitre   Volume = 1000 * Microlitre
	Centilitre   Volume = 10 * Millilitre
	Decilitre    Volume = 100 * Millilitre
	Litre        Volume = 1000 * Millilitre
	CubicMetre   Volume = 1000 * Litre
	USFluidOunce Volume = 29574
	UKFluidOunce Volume = 28413
)

// Millilitres gives v in millilitres.
func (v Volume) Millilitres() float64 { return float64(v) / float64(Millilitre) }

// Mass is a mass in milligrams.
type Mass int64

// Units of mass. The avoirdupois ounce is 28.349523125 g by definition.
const (
	Milligram Mass = 1
	Gram      Mass = 1000 * Milligram
	Kilogram  Mass = 1000 * Gram
	Ounce     Mass = 28350 * Milligram
)

// Grams gives m in grams.
func (m Mass) Grams() float64 { return float64(m) / float64(Gram) }

// Ratio is a mass of solids per 100 ml of liquid, in milligrams.
type Ratio int64

// GramsPer100 is one gram of solids per 100 ml of liquid.
const GramsPer100 Ratio = 1000

// Of gives the mass of solids for v of liquid, to the milligram.
func (r Ratio) Of(v Volume) Mass {
	return Mass((int64(r)*int64(v) + int64(50*Millilitre)) / int64(100*Millilitre))
}

// Strength is a strength in tenths of a percent by volume (ABV) at 20 °C.
type Strength int

// Percent is one percent by volume.
const Percent Strength = 10

// Temperature is a temperature in tenths of a degree Celsius.
type Temperature int

// Celsius is one degree Celsius above zero.
const Celsius Temperature = 10

// Degrees gives t in degrees Celsius.
func (t Temperature) Degrees() float64 { return float64(t) / float64(Celsius) }

// Money is an amount in hundredths of a house's currency.
type Money int64
