package plan

import (
	"math"

	"ventbell/internal/book"
	"ventbell/internal/gas"
	"ventbell/internal/quantity"
	"ventbell/internal/spirit"
)

// figuresOf works out what the gas does in v filled with so much liquid and its
// solids, and what comes out of it.
func (d draft) figuresOf(v book.Vessel, liquid quantity.Volume) (RunFigures, error) {
	f := RunFigures{StampBar: v.StampedBar, Jug: d.jug(liquid), Round: 1}
	if d.recipe.Product == book.SolidKept {
		f.Drained, f.Weighed = d.drained(liquid)
	} else {
		f.Yield, f.Weighed = d.yield(liquid)
	}
	load, known := d.load(v, liquid)
	if !known {
		return f, nil
	}
	s, err := load.Sequence(chargers(d.recipe, v), d.in.charge())
	if err != nil {
		return f, err
	}
	f.Known = true
	f.Peak, f.Unswirled, f.Rest = Band(s.Peak), Band(s.AtOnce), Band(s.Rest)
	for _, step := range s.Steps {
		f.Steps = append(f.Steps, ChargeFigures{Unswirled: Band(step.Unswirled), Swirled: Band(step.Swirled)})
		f.Liquid = f.Liquid || step.LiquidMayBePresent
	}
	f.Dissolved = Band(s.PerLitre)
	f.VentGas = Band{Low: s.Vent.Prompt, Central: (s.Vent.Prompt + s.Vent.All) / 2, High: s.Vent.All}
	f.Headspace = quantity.Volume(math.Floor(s.Headspace * float64(quantity.Millilitre)))
	f.Colder = s.Cooling.Swirled + s.Cooling.Vented
	return f, nil
}

// overStamp says that the estimate forbids the run: the highest point along its
// own steps, or the high end at rest, lies above what is stamped on the vessel.
// An estimate below the stamp permits nothing.
func (f RunFigures) overStamp() bool { return f.StampBar > 0 && f.worst() > float64(f.StampBar) }

// worst is the figure that is held against the stamp.
func (f RunFigures) worst() float64 { return max(f.Peak.Central, f.Rest.High) }

// bears says that the estimate does not forbid so much liquid in v.
func (d draft) bears(v book.Vessel, liquid quantity.Volume) bool {
	if v.StampedBar == 0 {
		return true
	}
	f, err := d.figuresOf(v, liquid)
	return err == nil && !f.overStamp()
}

// load is v filled and closed. It is not known without a brim volume and a size
// to guess one from.
func (d draft) load(v book.Vessel, liquid quantity.Volume) (gas.Load, bool) {
	brim, measured := d.brim(v)
	return gas.Load{
		Brim: brim, Measured: measured,
		Solvent: d.solvent(), Liquid: liquid, Solids: d.solid.TrueVolume(d.mass(liquid)),
		Temperature: d.temp, LiquidHeat: d.heat * liquid.Millilitres(),
	}, brim > 0
}

// brim gives the brim volume of v, and whether somebody weighed it. A figure
// that is tried, or that the book calls an estimate, counts as guessed.
func (d draft) brim(v book.Vessel) (quantity.Volume, bool) {
	if v.Brim == 0 {
		return guessBrim(v.Nominal), false
	}
	return v.Brim, d.in.Brim == 0 && v.From["brim"] != book.Estimate
}

// brims are the least brim volumes that vessels of a nominal size have, head on,
// from memory; no maker's figure was read. The low end is the careful one: less
// headspace is more pressure.
var brims = [3]struct{ nominal, brim quantity.Volume }{
	{250 * quantity.Millilitre, 330 * quantity.Millilitre},
	{500 * quantity.Millilitre, 650 * quantity.Millilitre},
	{1000 * quantity.Millilitre, 1150 * quantity.Millilitre},
}

// guessBrim goes straight between the sizes, in proportion below the smallest,
// and keeps above the biggest no more over the nominal size than that has.
func guessBrim(nominal quantity.Volume) quantity.Volume {
	first, last := brims[0], brims[len(brims)-1]
	switch {
	case nominal <= first.nominal:
		return nominal * first.brim / first.nominal
	case nominal >= last.nominal:
		return nominal + last.brim - last.nominal
	}
	i := 1
	for nominal > brims[i].nominal {
		i++
	}
	a, b := brims[i-1], brims[i]
	return a.brim + (nominal-a.nominal)*(b.brim-a.brim)/(b.nominal-a.nominal)
}

// sweetest is the sugar of a syrup of two parts sugar to one of water by weight,
// in g per 100 ml (a public table; handbooks agree). What nobody entered counts
// as this sweet: the less gas dissolves, the higher it stands.
const sweetest = 88.7

// solvent is the draft's liquid as the gas sees it. Fat that was not entered
// counts as none, for the same reason as sugar.
func (d draft) solvent() gas.Solvent {
	s := gas.Solvent{
		Family: gas.Family(d.family), Strength: d.strength,
		Sugar: float64(d.liquid.Sugar) / 10, Fat: float64(d.liquid.Fat) / 1000,
	}
	switch {
	case d.family == book.Wine:
		s.Family = gas.Spirit
	case d.family == book.Syrup && s.Sugar == 0:
		s.Sugar = sweetest
	}
	s.Sugar = min(s.Sugar, 100)
	return s
}

// heatOf gives the heat capacity of a millilitre of a liquid in J/K. Spirit is
// worked out; oil is 0.915 g/ml and 1.97 J/(g K), from memory; the rest counts
// as water, which is good enough for half a degree.
func heatOf(family book.Family, strength quantity.Strength) float64 {
	const water = 4.184 // at 20 °C, from Zabransky's splines
	switch {
	case family == book.Oil:
		return 0.915 * 1.97
	case strength == 0:
		return water
	}
	fraction, err := spirit.ByMass(percent(strength))
	if err != nil {
		return water
	}
	density, err := spirit.Density(fraction, spirit.Reference)
	if err != nil {
		return water
	}
	heat, err := spirit.HeatCapacity(percent(strength))
	if err != nil {
		return water
	}
	return density / 1000 * heat / 1000
}

// The vent jug holds at least so often the liquid (common practice).
const (
	jugOver      = 2
	jugOverFoams = 3
)

// jug gives what the vent jug should hold at least.
func (d draft) jug(liquid quantity.Volume) quantity.Volume {
	if d.foams() {
		return jugOverFoams * liquid
	}
	return jugOver * liquid
}

// foams says that the liquid comes out of the vessel as foam: cream, egg, syrup.
func (d draft) foams() bool {
	return d.liquid.Foams || d.family == book.Dairy || d.family == book.Syrup
}
