package gas

import (
	"math"

	"ventbell/internal/quantity"
)

// Figures of the mass balance.
const (
	// molarVolume is the partial molar volume of dissolved nitrous oxide in
	// m³/mol: 36 ± 4 cm³/mol in water, from memory, taken for every liquid. It
	// swells the liquid and, by Poynting's correction, holds gas out of it.
	molarVolume = 36e-6
	// chargerFill is how densely a charger is filled, in mol/m³: 0.75 kg/l, from
	// memory. No gas in the vessel can stand under more pressure than that.
	chargerFill = 750 * gramsPerKilogram / MolarMass
	// chargerVolume is the inner volume of an 8 g charger in m³: about 10 ml by
	// encyclopedias, 10.6 ml by the fill above.
	chargerVolume = 10.6e-6
	// leastHeadspace is the share of the brim volume that must be left over the
	// liquid for a figure to mean anything; our estimate.
	leastHeadspace = 0.05
	// fullShare is the share of the headspace that swelling must leave.
	fullShare = 0.1
)

// MaxChargers is the most chargers that Sequence works out.
const MaxChargers = 8

// Load is one vessel filled and closed, before its first charger.
type Load struct {
	// Brim is the whole inner volume with the head on. Weighed full of water
	// (Measured) it counts as good to 1 %, else to 7 %.
	Brim     quantity.Volume
	Measured bool
	Solvent  Solvent
	Liquid   quantity.Volume
	// Solids is the true volume of the solids, their pores flooded.
	Solids      quantity.Volume
	Temperature quantity.Temperature // of the liquid, 0 to 50 °C
	// LiquidHeat is the heat capacity of all the liquid in J/K. 0 leaves the
	// cooling out.
	LiquidHeat float64
}

func (l Load) check() error {
	if err := l.Solvent.check(); err != nil {
		return err
	}
	if err := checkSolvent(l.Temperature); err != nil {
		return err
	}
	brim, liquid, solids := l.Brim.Millilitres(), l.Liquid.Millilitres(), l.Solids.Millilitres()
	if err := quantity.Within("brim volume", brim, 50, 20000, "ml"); err != nil {
		return err
	}
	if err := quantity.Within("liquid", liquid, 1, brim, "ml"); err != nil {
		return err
	}
	if err := quantity.Within("solids", solids, 0, brim, "ml"); err != nil {
		return err
	}
	if err := quantity.Within("heat capacity of the liquid", l.LiquidHeat, 0, 100_000, "J/K"); err != nil {
		return err
	}
	return quantity.Within("headspace", brim-liquid-solids, leastHeadspace*brim, brim, "ml")
}

// ceiling is one temperature and the most that gas can be pressed together at
// it: to the saturated vapour, above the critical point to a charger's fill.
type ceiling struct {
	isotherm
	top       float64 // mol/m³
	topPascal float64
}

func newCeiling(kelvin float64) ceiling {
	c := ceiling{isotherm: newIsotherm(kelvin), top: chargerFill}
	if kelvin <= maxSaturation {
		c.top = c.saturation().Vapour
	}
	c.topPascal, _ = c.pressure(c.top)
	return c
}

// vessel is a load in SI units at one set of inputs.
type vessel struct {
	line      *ceiling
	headspace float64 // before any gas, m³
	liquid    float64 // m³
	ostwald   float64
	// The partial molar volume, once for each of its two effects.
	poynting, swelling float64 // m³/mol
}

// balance is where the gas in a vessel is.
type balance struct {
	density   float64 // of the gas, mol/m³
	pascal    float64 // partial pressure of the nitrous oxide
	headspace float64 // m³
	gas       float64 // mol
	dissolved float64 // mol
	// surplus is what neither the headspace nor the liquid holds, mol: liquid
	// nitrous oxide, or gas that never left the charger.
	surplus float64
	full    bool // the liquid has swollen to fill the vessel
}

// atTop says that the gas is as dense as it can be.
func (b balance) atTop() bool { return b.surplus > 0 || b.full }

// held gives, for a gas density, the moles that the vessel holds, how they are
// shared, and the slope of their sum. The concentration in the liquid follows
// the fugacity, not the density: at 15 bar that is 14 % of the pressure.
func (v *vessel) held(density float64) (b balance, slope float64) {
	line := v.line
	a, a1, a2 := line.residual(density)
	z := 1 + a1
	b.density = density
	b.pascal = density * line.rt * z
	// Henry's constant is L/RT and the fugacity ρRT exp(αr + δαr_δ).
	b.dissolved = v.ostwald * v.liquid * density * math.Exp(a+a1-v.poynting*density*z)
	b.headspace = v.headspace - v.swelling*b.dissolved
	b.gas = density * b.headspace
	rise := 1 + 2*a1 + a2 // dp/dρ over RT; the fugacity's own slope is that over ρ
	slope = b.headspace + b.dissolved*(1-density*v.swelling)*(1/density-v.poynting)*rise
	return b, slope
}

// swirled shares n moles between headspace and liquid until they are at rest
// with each other. What is held only rises with the density, so Newton's
// method inside a shrinking bracket always ends.
func (v *vessel) swirled(n float64) balance {
	b, _ := v.held(v.line.top)
	if v.headspace <= 0 || v.tight(b.headspace) && b.gas+b.dissolved <= n {
		b.full = true
		b.dissolved, b.gas = min(b.dissolved, n), 0
		b.surplus = n - b.dissolved
		return b
	}
	if short := n - b.gas - b.dissolved; short >= 0 {
		b.surplus = short
		return b
	}
	low, high := 0.0, v.line.top
	density := min(n/(v.headspace+v.ostwald*v.liquid), high)
	for range maxSteps {
		var slope float64
		b, slope = v.held(density)
		over := b.gas + b.dissolved - n
		if over > 0 {
			high = density
		} else {
			low = density
		}
		if math.Abs(over) <= closeEnough*n {
			break
		}
		next := density - over/slope
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		density = next
	}
	if v.tight(b.headspace) {
		b.pascal, b.full = v.line.topPascal, true
	}
	return b
}

// unswirled adds gas on top of what a swirl has left, all of it into the
// headspace: the highest that the pressure can stand before the next swirl.
func (v *vessel) unswirled(n float64, before balance) balance {
	b := before
	b.density, b.gas, b.pascal, b.surplus = v.line.top, 0, v.line.topPascal, 0
	if before.full || v.tight(before.headspace) {
		b.full = true
		return b
	}
	b.gas = n - b.dissolved
	if most := v.line.top * b.headspace; b.gas > most {
		b.gas, b.surplus = most, b.gas-most
		return b
	}
	b.density = b.gas / b.headspace
	b.pascal, _ = v.line.pressure(b.density)
	return b
}

// still is the vessel before any gas.
func (v *vessel) still() balance { return balance{headspace: v.headspace} }

// tight says that no headspace worth the name is left.
func (v *vessel) tight(headspace float64) bool { return headspace <= fullShare*v.headspace }

// gauge is the pressure over the atmosphere in bar. The air shut in at the
// closing still presses, in what headspace the swollen liquid leaves it; so
// the gauge reads nearly the partial pressure of the nitrous oxide. What the
// two gases do to each other is below 0.3 % and left out.
func (v *vessel) gauge(b balance) float64 { return v.absolute(b) - atmosphere/pascalPerBar }

func (v *vessel) absolute(b balance) float64 {
	air := atmosphere
	if !b.full {
		air *= v.headspace / b.headspace
	}
	return (b.pascal + air) / pascalPerBar
}

// grams turns moles of nitrous oxide into grams.
func grams(mol float64) float64 { return mol * MolarMass }

// Residual gives the grams of gas that stay in a charger that has emptied down
// to a pressure, in bar absolute, at a temperature. They are not taken off the
// charge, which keeps the pressures on the high side.
func Residual(t quantity.Temperature, bar float64) (float64, error) {
	if err := checkSolvent(t); err != nil {
		return 0, err
	}
	if err := quantity.Within("pressure", bar, 0, MaxPascal/pascalPerBar, "bar"); err != nil {
		return 0, err
	}
	line := newCeiling(kelvin(t))
	return line.residualIn(bar * pascalPerBar), nil
}

// residualIn is what a charger holds as gas at a pressure in Pa.
func (c *ceiling) residualIn(pascal float64) float64 {
	density := c.top
	if pascal < c.topPascal {
		density = c.density(pascal, 0, c.top)
	}
	return grams(density * chargerVolume)
}
