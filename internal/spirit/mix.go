package spirit

import "ventbell/internal/quantity"

// Blend is ethanol and water by mass. Blends mix by adding their masses; the
// volume of a mixture is less than the sum of its parts, and follows.
type Blend struct{ ethanol, water float64 } // g

// maxLitres is the most that one blend may hold.
const maxLitres = 10_000

// Of gives what a volume at 20 °C of a strength holds.
func Of(volume quantity.Volume, strength quantity.Strength) (Blend, error) {
	percent := float64(strength) / float64(quantity.Percent)
	if err := quantity.Within("strength", percent, 0, 100, "% vol"); err != nil {
		return Blend{}, err
	}
	if err := quantity.Within("volume", volume.Millilitres(), 0.001, maxLitres*1000, "ml"); err != nil {
		return Blend{}, err
	}
	return of(volume.Millilitres(), percent), nil
}

// OfWater gives a mass of water.
func OfWater(mass quantity.Mass) (Blend, error) {
	if err := quantity.Within("water", mass.Grams(), 0, maxLitres*1000, "g"); err != nil {
		return Blend{}, err
	}
	return Blend{water: mass.Grams()}, nil
}

func of(millilitres, percent float64) Blend {
	fraction := byMass(percent)
	grams := millilitres * density(fraction, Reference) / 1000
	return Blend{ethanol: fraction * grams, water: (1 - fraction) * grams}
}

// Plus is both blends together.
func (b Blend) Plus(other Blend) Blend {
	return Blend{ethanol: b.ethanol + other.ethanol, water: b.water + other.water}
}

// Ethanol is the mass of the ethanol in g.
func (b Blend) Ethanol() float64 { return b.ethanol }

// Grams is the whole mass.
func (b Blend) Grams() float64 { return b.ethanol + b.water }

// Fraction is the mass fraction of ethanol; 0 for an empty blend.
func (b Blend) Fraction() float64 {
	if b.ethanol == 0 {
		return 0
	}
	return b.ethanol / b.Grams()
}

// Percent is the strength in percent by volume at 20 °C.
func (b Blend) Percent() float64 { return byVolume(b.Fraction()) }

// Millilitres is the volume at 20 °C.
func (b Blend) Millilitres() float64 { return b.Grams() / density(b.Fraction(), Reference) * 1000 }

// Contraction gives by what share a mixture is smaller than its two parts at
// 20 °C; 0 when both are empty.
func Contraction(a, b Blend) float64 {
	parts := a.Millilitres() + b.Millilitres()
	if parts == 0 {
		return 0
	}
	return 1 - a.Plus(b).Millilitres()/parts
}

// Range is a low and a high end.
type Range struct{ Low, High float64 }

// The share of its water that fresh produce trades with the liquid: some of it
// within minutes in thin slices, all of it after hours. From memory, and the
// least known figure of a finished strength.
const (
	leastExchange = 0.2
	mostExchange  = 1.0
)

// AfterProduce gives the strength, in percent by volume, of a liquid after
// produce that holds a mass of water has stood in it: the low end with all its
// water traded, the high end with a fifth. Liquid that the solids keep back
// changes the yield, not the strength. For keeping the low end counts, for
// fire the high end. A liquid with sugar counts as if its water alone were
// there, which moves the result by less than the range.
func AfterProduce(volume quantity.Volume, strength quantity.Strength, water quantity.Mass) (Range, error) {
	b, err := Of(volume, strength)
	if err != nil {
		return Range{}, err
	}
	if err := quantity.Within("water in the produce", water.Grams(), 0, maxLitres*1000, "g"); err != nil {
		return Range{}, err
	}
	return Range{
		Low:  b.exchanged(mostExchange, water.Grams()),
		High: b.exchanged(leastExchange, water.Grams()),
	}, nil
}

func (b Blend) exchanged(share, water float64) float64 {
	return b.Plus(Blend{water: share * water}).Percent()
}

// Dilution is water to add, and what comes of it at 20 °C.
type Dilution struct {
	Water  float64 // g
	Volume float64 // ml
}

// Dilute gives how much water brings a volume of one strength down to another.
// The target is above zero and no more than the strength itself.
func Dilute(volume quantity.Volume, from, to quantity.Strength) (Dilution, error) {
	b, err := Of(volume, from)
	if err != nil {
		return Dilution{}, err
	}
	top := float64(from) / float64(quantity.Percent)
	target := float64(to) / float64(quantity.Percent)
	if err := quantity.Within("target strength", target, 0.1, top, "% vol"); err != nil {
		return Dilution{}, err
	}
	water := max(b.ethanol/byMass(target)-b.Grams(), 0)
	if err := quantity.Within("diluted liquid", (b.Grams()+water)/1000, 0, maxLitres, "kg"); err != nil {
		return Dilution{}, err
	}
	return Dilution{Water: water, Volume: b.Plus(Blend{water: water}).Millilitres()}, nil
}
