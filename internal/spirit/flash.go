package spirit

import (
	"math"

	"ventbell/internal/quantity"
)

const zeroCelsius = 273.15

// pureFlash is the closed-cup flash point of ethanol in °C: 12 by IEC
// 60079-20-1 (2010), 13 by NFPA 497. The lower one is the careful one.
const pureFlash = 12.0

// LeastFlash is the lowest strength in percent by volume for which a flash
// point is given: about 5 % by mass, where the published table begins.
const LeastFlash = 6.2

// FlashPoint gives the closed-cup flash point in °C of a strength in percent by
// volume, good to about 2 K from 25 to 70 % vol and low of the table outside:
// at it and above, the vapour over the liquid can be lit.
//
// It is a caution line and never a line to stay below and be safe: a mist
// burns below its flash point, and nitrous oxide feeds fire. No flame, spark
// or hot plate belongs near any spirit that is vented, whatever its
// temperature. For fire the high end of an estimated strength counts.
//
// The way is Liaw's (H.-J. Liaw, Y.-Y. Chiu, J. Hazard. Mater. 101 (2003) 83,
// from memory; the same equation in Vidal and others, Trans. IChemE B 84
// (2006) 1): water does not burn, so the mixture flashes where ethanol's
// partial pressure is that of pure ethanol at its own flash point.
func FlashPoint(percent float64) (float64, error) {
	if err := quantity.Within("strength", percent, LeastFlash, 100, "% vol"); err != nil {
		return 0, err
	}
	return flash(byMass(percent), pureFlash), nil
}

// Caution gives the lowest figure in °C that anything here supports for the
// flash point of a strength in percent by volume: the lower of FlashPoint and
// of the published table read as percent by volume. It too is no line to stay
// below and be safe.
func Caution(percent float64) (float64, error) {
	computed, err := FlashPoint(percent)
	if err != nil {
		return 0, err
	}
	return min(computed, interpolate(flashTable[:], percent)), nil
}

// flashTable is "Flash Points of Ethanol based Water Solutions" of a published
// engineering reference, in °C by percent of weight. The same numbers go about
// labelled percent by volume; the calculation fits the label by weight, and
// reading them by volume is 2 to 3 K lower, so on the careful side.
var flashTable = [11]point{
	{5, 62}, {10, 49}, {20, 36}, {30, 29}, {40, 26}, {50, 24}, {60, 22}, {70, 21}, {80, 20}, {90, 17}, {96, 17},
}

// flash solves for the temperature by bisection: the partial pressure rises
// with it.
func flash(fraction, pure float64) float64 {
	want := ethanolVapour(pure + zeroCelsius)
	low, high := pure+zeroCelsius, pure+zeroCelsius+85
	for high-low > 1e-9 {
		t := (low + high) / 2
		if partial(fraction, t) > want {
			high = t
		} else {
			low = t
		}
	}
	return (low+high)/2 - zeroCelsius
}

// EthanolPressure gives the vapour pressure of pure ethanol in Pa, 3.4 to 96 °C.
func EthanolPressure(celsius float64) (float64, error) {
	if err := quantity.Within("temperature", celsius, 276.5-zeroCelsius, 369.5-zeroCelsius, "°C"); err != nil {
		return 0, err
	}
	return ethanolVapour(celsius + zeroCelsius), nil
}

// WaterPressure gives the vapour pressure of pure water in Pa, 0 to 199 °C.
func WaterPressure(celsius float64) (float64, error) {
	if err := quantity.Within("temperature", celsius, 0, 473-zeroCelsius, "°C"); err != nil {
		return 0, err
	}
	return waterVapour(celsius + zeroCelsius), nil
}

// PartialPressure gives ethanol's pressure in Pa in the vapour over a strength
// in percent by volume at a temperature in °C, 3.4 to 96.
func PartialPressure(percent, celsius float64) (float64, error) {
	if err := quantity.Within("strength", percent, 0, 100, "% vol"); err != nil {
		return 0, err
	}
	if _, err := EthanolPressure(celsius); err != nil {
		return 0, err
	}
	return partial(byMass(percent), celsius+zeroCelsius), nil
}

// Antoine's equation with the constants of Poling and others' table, in Pa and
// K: ethanol from 276.5 to 369.5 K, water from 273 to 473 K.
func ethanolVapour(kelvin float64) float64 { return math.Pow(10, 10.33675-1648.22/(kelvin-42.232)) }

func waterVapour(kelvin float64) float64 { return math.Pow(10, 10.11564-1687.537/(kelvin-42.98)) }

func partial(fraction, kelvin float64) float64 {
	x := moleFraction(fraction)
	return x * activity(x, kelvin) * ethanolVapour(kelvin)
}

// moleFraction is ethanol's, of a mass fraction.
func moleFraction(fraction float64) float64 {
	const ethanol, water = 46.06844, 18.01528 // g/mol
	return fraction / ethanol / (fraction/ethanol + (1-fraction)/water)
}

// activity is ethanol's activity coefficient in water by van Laar's equation.
// The water side is the textbook set for one atmosphere, from memory. The
// ethanol side runs straight in 1/T through two coefficients at infinite
// dilution, 3.76 at 298.15 K (Sander's compilation) and 5.364 at 361 K (that
// textbook set): the sets fitted to boiling mixtures alone are twice too high
// in the cold and put the flash point of weak spirit 3 to 10 K too low.
func activity(x, kelvin float64) float64 {
	const water = 0.9227
	ethanol := 1.3244 + 608.6*(1/298.15-1/kelvin)
	share := water * (1 - x) / (ethanol*x + water*(1-x))
	return math.Exp(ethanol * share * share)
}
