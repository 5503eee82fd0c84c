// Package spirit gives the figures for ethanol and water: density, strength by
// volume and by mass, mixing with its contraction, strength after produce has
// given off its water, flash point and heat capacity. Sugar, oils and extract
// are not in it. It knows no recipe and no clock.
package spirit

import "ventbell/internal/quantity"

// Temperatures, in °C, for which the density formula holds.
const (
	MinCelsius = -20.0
	MaxCelsius = 40.0
)

// Reference is the temperature in °C at which strengths by volume are defined.
const Reference = 20.0

// The general formula of OIML R 22, "International alcoholometric tables"
// (1975), also in the annex of Council Directive 76/766/EEC: density in kg/m³
// of a mass fraction p of ethanol at t °C, as a sum of powers of p, of t-20,
// and of both together.
var (
	massTerms = [12]float64{
		9.982012300e2, -1.929769495e2, 3.891238958e2, -1.668103923e3,
		1.352215441e4, -8.829278388e4, 3.062874042e5, -6.138381234e5,
		7.470172998e5, -5.478461354e5, 2.234460334e5, -3.903285426e4,
	}
	heatTerms = [6]float64{
		-2.0618513e-1, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.1693540e-9, -9.9739231e-11,
	}
	mixedTerms = [5][]float64{
		{
			1.693443461530087e-1, -1.046914743455169e1, 7.196353469546523e1, -7.047478054272792e2,
			3.924090430035045e3, -1.210164659068747e4, 2.248646550400788e4, -2.605562982188164e4,
			1.852373922069467e4, -7.420201433430137e3, 1.285617841998974e3,
		},
		{
			-1.193013005057010e-2, 2.517399633803461e-1, -2.170575700536993, 1.353034988843029e1,
			-5.029988758547014e1, 1.096355666577570e2, -1.422753946421155e2, 1.080435942856230e2,
			-4.414153236817392e1, 7.442971530188783,
		},
		{
			-6.802995733503803e-4, 1.876837790289664e-2, -2.002561813734156e-1, 1.022992966719220,
			-2.895696483903638, 4.810060584300675, -4.672147440794683, 2.458043105903461,
			-5.411227621436812e-1,
		},
		{4.075376675622027e-6, -8.763058573471110e-6, 6.515031360099368e-6, -1.515784836987210e-6},
		{-2.788074354782409e-8, 1.345612883493354e-8},
	}
)

// ethanolDensity is the formula's density of pure ethanol at 20 °C in kg/m³:
// the sum of its mass terms.
const ethanolDensity = 789.2391233

// Density gives the density in kg/m³ of a mass fraction of ethanol, 0 to 1, at
// a temperature from -20 to 40 °C.
func Density(fraction, celsius float64) (float64, error) {
	if err := checkFraction(fraction); err != nil {
		return 0, err
	}
	if err := quantity.Within("temperature", celsius, MinCelsius, MaxCelsius, "°C"); err != nil {
		return 0, err
	}
	return density(fraction, celsius), nil
}

// ByVolume gives the strength in percent by volume at 20 °C of a mass fraction
// of ethanol, 0 to 1.
func ByVolume(fraction float64) (float64, error) {
	if err := checkFraction(fraction); err != nil {
		return 0, err
	}
	return byVolume(fraction), nil
}

// ByMass gives the mass fraction of ethanol, 0 to 1, of a strength in percent
// by volume at 20 °C.
func ByMass(percent float64) (float64, error) {
	if err := quantity.Within("strength", percent, 0, 100, "% vol"); err != nil {
		return 0, err
	}
	return byMass(percent), nil
}

func checkFraction(fraction float64) error {
	return quantity.Within("mass fraction of ethanol", fraction, 0, 1, "")
}

func density(fraction, celsius float64) float64 {
	rho := horner(massTerms[:], fraction)
	dt := celsius - Reference
	if dt == 0 {
		return rho
	}
	power := dt
	for i, b := range heatTerms {
		rho += b * power
		if i < len(mixedTerms) {
			rho += fraction * horner(mixedTerms[i], fraction) * power
		}
		power *= dt
	}
	return rho
}

// horner gives terms[0] + terms[1] x + terms[2] x² and so on.
func horner(terms []float64, x float64) float64 {
	sum := 0.0
	for i := len(terms) - 1; i >= 0; i-- {
		sum = sum*x + terms[i]
	}
	return sum
}

func byVolume(fraction float64) float64 {
	return min(100*fraction*density(fraction, Reference)/ethanolDensity, 100)
}

// byMass turns byVolume round by bisection: it rises all the way.
func byMass(percent float64) float64 {
	switch percent {
	case 0:
		return 0
	case 100:
		return 1
	}
	low, high := 0.0, 1.0
	for high-low > 1e-15 {
		middle := (low + high) / 2
		if byVolume(middle) > percent {
			high = middle
		} else {
			low = middle
		}
	}
	return (low + high) / 2
}
