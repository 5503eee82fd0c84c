package gas

import "ventbell/internal/quantity"

// Cooling is by how many kelvin liquid and vessel end colder; below zero they
// end warmer. The charger's own steel takes part of the cold, so the liquid
// really cools less: half a degree is more than enough to say.
type Cooling struct {
	Flashed float64 // with every charger in, unswirled, all of it gas
	Swirled float64 // after the last swirl: evaporation less the heat of dissolving
	Vented  float64 // by the gas that leaves the liquid at the vent, on top of Swirled
}

// chargerEnergy is the energy of the liquid in a charger at 20 °C and 0.8 kg/l
// in J/g, by the equation of state.
const chargerEnergy = 204.7

// thin is a density in mol/m³ at which the gas is as good as ideal.
const thin = 1e-4

// bodyHeat is the heat capacity of a steel vessel in J/K. From memory: 0.55 kg
// for a brim of 0.70 l and 0.85 kg for 1.25 l, at 0.50 kJ/(kg K).
func bodyHeat(brim quantity.Volume) float64 {
	litres := brim.Millilitres() / 1000
	return (0.55 + (0.85-0.55)*(litres-0.70)/(1.25-0.70)) * 500
}

// cooling closes the energy balance of the shut vessel. kept is the gas in
// grams that stays dissolved after the vent.
func (l Load) cooling(line *ceiling, atOnce, rest balance, kept float64) Cooling {
	sink := l.LiquidHeat + bodyHeat(l.Brim)
	energy := func(density float64) float64 { return line.state(density).Energy / MolarMass }
	ideal := line.state(thin).Enthalpy / MolarMass
	heat := l.Solvent.heat(line.kelvin) / MolarMass

	all := grams(rest.gas + rest.dissolved + rest.surplus)
	gas, dissolved := grams(rest.gas), grams(rest.dissolved)
	return Cooling{
		Flashed: all * (energy(atOnce.density) - chargerEnergy) / sink,
		Swirled: (gas*(energy(rest.density)-chargerEnergy) + dissolved*(ideal-heat-chargerEnergy)) / sink,
		Vented:  max(dissolved-kept, 0) * heat / sink,
	}
}
