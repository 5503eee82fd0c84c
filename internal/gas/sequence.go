package gas

import "ventbell/internal/quantity"

// litresPerGram is the volume of the gas let go at 20 °C and one atmosphere,
// by the equation of state.
const litresPerGram = 0.54340

// Sequence is what charging and swirling, one charger after the other, does in
// one vessel. Pressures are bar on the gauge. A band's ends are the root of
// the sum of squares of what each input alone does at its own edge: brim
// volume, solubility, charge and temperature.
type Sequence struct {
	Steps []Step
	// Peak is the highest step, swirled or not.
	Peak Band
	// AtOnce is where the pressure would stand with every charger in and no
	// swirl between.
	AtOnce Band
	// Rest is the pressure after the last swirl.
	Rest Band
	// Absolute and Partial are the central resting pressure, absolute and of
	// the nitrous oxide alone, in bar.
	Absolute, Partial float64
	// The gas after the last swirl, in grams; the three add up to the charge.
	// Surplus is what neither liquid nor headspace holds: liquid nitrous
	// oxide, or gas that never left its charger.
	Dissolved, Gas, Surplus float64
	// PerLitre is the dissolved gas in g per litre of liquid.
	PerLitre Band
	// Headspace is what is left over the swollen liquid, in ml.
	Headspace float64
	Vent      Vent
	Cooling   Cooling
}

// Step is one charger.
type Step struct {
	Unswirled Band // bar on the gauge, this charger in and not yet swirled
	Swirled   Band // bar on the gauge, after its swirl
	PerLitre  Band // g of gas dissolved in a litre, after its swirl
	// Residual is what stays in the charger, in g: the low end when it is left
	// on through the swirl, the high end when it comes off before.
	Residual Residue
	// LiquidMayBePresent says that the gas may reach saturation, here or at the
	// edge of one of the inputs: liquid nitrous oxide may be in the vessel and
	// the pressure is then that of the saturated liquid.
	LiquidMayBePresent bool
}

// Residue is a low and a high end.
type Residue struct{ Low, High float64 }

// Vent is the gas let go, in litres at 20 °C and one atmosphere.
type Vent struct {
	All float64
	// Prompt leaves out what stays dissolved at one atmosphere of nitrous oxide
	// and what stays in the headspace; the rest leaves over minutes.
	Prompt float64
}

// Sequence works out n chargers of a mass each, swirled after each.
func (l Load) Sequence(n int, each quantity.Mass) (Sequence, error) {
	if err := l.check(); err != nil {
		return Sequence{}, err
	}
	if err := quantity.Within("number of chargers", float64(n), 1, MaxChargers, ""); err != nil {
		return Sequence{}, err
	}
	if err := quantity.Within("charge of one charger", each.Grams(), 1, 20, "g"); err != nil {
		return Sequence{}, err
	}
	t := kelvin(l.Temperature)
	cold, line, warm := newCeiling(t-heatError), newCeiling(t), newCeiling(t+heatError)
	v := l.vessel(&line)
	u := budget{n: n, mol: each.Grams() / MolarMass}
	v.sequence(n, u.mol, &u.central)
	if b := u.central.swirled[n-1]; b.full {
		return Sequence{}, quantity.Within("headspace of the swollen liquid",
			b.headspace*1e6, fullShare*v.headspace*1e6, v.headspace*1e6, "ml")
	}
	brim, width := l.brimError(), l.Solvent.band()
	u.widen(v.larger(-brim), v.larger(brim), 1, 1)
	u.widen(v.times(1/width), v.times(width), 1, 1)
	u.widen(v, v, 1-chargeError, 1+chargeError)
	u.widen(l.vessel(&cold), l.vessel(&warm), 1, 1)
	return l.report(&v, &u), nil
}

// report gathers what the runs gave.
func (l Load) report(v *vessel, u *budget) Sequence {
	s := Sequence{Steps: make([]Step, u.n), AtOnce: u.band(figures - 1)}
	for i := range s.Steps {
		s.Steps[i] = Step{
			Unswirled:          u.band(3 * i),
			Swirled:            u.band(3*i + 1),
			PerLitre:           u.band(3*i + 2),
			Residual:           Residue{Low: v.residual(u.central.swirled[i]), High: v.residual(u.central.unswirled[i])},
			LiquidMayBePresent: u.saturated[i],
		}
		for _, b := range [2]Band{s.Steps[i].Unswirled, s.Steps[i].Swirled} {
			if b.Central > s.Peak.Central {
				s.Peak = b
			}
		}
	}
	last := u.central.swirled[u.n-1]
	s.Rest, s.PerLitre = s.Steps[u.n-1].Swirled, s.Steps[u.n-1].PerLitre
	s.Absolute, s.Partial = v.absolute(last), last.pascal/pascalPerBar
	s.Dissolved, s.Gas, s.Surplus = grams(last.dissolved), grams(last.gas), grams(last.surplus)
	s.Headspace = last.headspace * 1e6

	charge := grams(u.mol * float64(u.n))
	air := v.line.density(atmosphere, 0, v.line.top) // of the gas at one atmosphere
	kept := grams(v.ostwald * v.liquid * air)
	s.Vent = Vent{
		All:    charge * litresPerGram,
		Prompt: max(charge-kept-grams(last.headspace*air), 0) * litresPerGram,
	}
	if l.LiquidHeat > 0 {
		s.Cooling = l.cooling(v.line, u.central.atOnce, last, kept)
	}
	return s
}
