package gas

import (
	"math"

	"ventbell/internal/quantity"
)

// Band is an estimate with its low and its high end.
type Band struct{ Low, Central, High float64 }

// Family is the kind of liquid, as far as gas dissolving in it goes.
type Family string

// The families. Spirit is ethanol and water at any strength, wine and vermouth
// with it; Syrup is sugar and water; Dairy is fat in water.
const (
	Water   Family = "water"
	Spirit  Family = "spirit"
	Oil     Family = "oil"
	Dairy   Family = "dairy"
	Syrup   Family = "syrup"
	Vinegar Family = "vinegar"
)

// Solvent is what the gas dissolves in.
type Solvent struct {
	Family   Family
	Strength quantity.Strength // of a spirit
	// Fat is the share of fat in dairy by volume, 0 to 1: about 0.40 in heavy
	// cream of 37 % fat by weight, 0.035 in whole milk.
	Fat float64
	// Sugar is in g per 100 ml, in a syrup, a liqueur or a sweet wine.
	Sugar float64
}

// The temperatures for which Solubility gives figures. Weiss and Price
// measured to 40 °C; the last ten degrees carry their formula on.
const (
	MinSolvent = 0 * quantity.Celsius
	MaxSolvent = 50 * quantity.Celsius
)

// Half widths of the bands, in ln L.
const (
	waterWidth   = 0.03        // spread of Sander's 2023 list for water
	ethanolWidth = 0.25 / 3.25 // from memory, with the formula
	oilWidth     = 0.10        // our estimate
	vinegarWidth = 0.08        // our estimate: acid and solutes pull both ways
	sugarWidth   = 0.15        // our estimate, with the rule from memory
	dairyWidth   = 0.15        // our estimate: fat that is solid in the cold dissolves less
	mixing       = 2.4         // k of the mixing rule, see spiritLog
	mixingWidth  = 0.8         // k runs from 1.6 to 3.2
)

// Solubility gives the Ostwald coefficient L of nitrous oxide at low pressure:
// its concentration in the liquid over that in the gas.
func (s Solvent) Solubility(t quantity.Temperature) (Band, error) {
	if err := s.check(); err != nil {
		return Band{}, err
	}
	if err := checkSolvent(t); err != nil {
		return Band{}, err
	}
	central, band := s.ostwald(kelvin(t)), s.band()
	return Band{Low: central / band, Central: central, High: central * band}, nil
}

// HeatOfSolution gives the heat let go when the gas dissolves, in J/mol, from
// the slope of the solubility with temperature.
func (s Solvent) HeatOfSolution(t quantity.Temperature) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if err := checkSolvent(t); err != nil {
		return 0, err
	}
	return s.heat(kelvin(t)), nil
}

func (s Solvent) heat(kelvin float64) float64 {
	const step = 0.1 // K; Henry's constant is L/RT, its slope in 1/T is -T² d/dT
	up, down := s.ostwald(kelvin+step)/(kelvin+step), s.ostwald(kelvin-step)/(kelvin-step)
	return -gasConstant * kelvin * kelvin * math.Log(up/down) / (2 * step)
}

func checkSolvent(t quantity.Temperature) error {
	return quantity.Within("liquid temperature", t.Degrees(), MinSolvent.Degrees(), MaxSolvent.Degrees(), "°C")
}

func kelvin(t quantity.Temperature) float64 { return zeroCelsius + t.Degrees() }

func (s Solvent) check() error {
	switch s.Family {
	case Water, Spirit, Oil, Dairy, Syrup, Vinegar:
	default:
		return &UnknownFamilyError{Family: s.Family}
	}
	if err := quantity.Within("strength", float64(s.Strength)/float64(quantity.Percent), 0, 100, "% vol"); err != nil {
		return err
	}
	if err := quantity.Within("fat", s.Fat, 0, 1, ""); err != nil {
		return err
	}
	return quantity.Within("sugar", s.Sugar, 0, 100, "g/100 ml")
}

// UnknownFamilyError says that no solubility is known for a liquid.
type UnknownFamilyError struct{ Family Family }

// Error names the family.
func (e *UnknownFamilyError) Error() string { return "no solubility for liquid " + string(e.Family) }

// ostwald is the central L at a temperature in K.
func (s Solvent) ostwald(kelvin float64) float64 {
	l := 0.0
	switch s.Family {
	case Oil:
		return oilOstwald(kelvin)
	case Dairy:
		// Fat and serum are separate phases, so they add. That milk fat dissolves
		// as oil does and serum 0.95 of water is from memory.
		l = s.Fat*oilOstwald(kelvin) + (1-s.Fat)*0.95*waterOstwald(kelvin)
	case Spirit:
		l = math.Exp(spiritLog(s.share(), kelvin))
	default:
		l = waterOstwald(kelvin)
	}
	// Sugar salts the gas out: a rough rule from memory.
	return l * (1 - 0.008*s.Sugar)
}

// band is the factor from the central L to its high end, and from its low end
// to the central L.
func (s Solvent) band() float64 { return math.Exp(s.width()) }

// width is the half width of the band in ln L.
func (s Solvent) width() float64 {
	w := waterWidth
	switch s.Family {
	case Oil:
		return oilWidth
	case Dairy:
		w = dairyWidth
	case Vinegar:
		w = vinegarWidth
	case Spirit:
		q := s.share()
		w = max(mixingWidth*q*(1-q), (1-q)*waterWidth+q*ethanolWidth)
	}
	if s.Sugar > 0 {
		w = math.Hypot(w, sugarWidth)
	}
	return w
}

// share is the volume fraction of ethanol.
func (s Solvent) share() float64 { return float64(s.Strength) / float64(100*quantity.Percent) }

// waterOstwald is L in fresh water: R. F. Weiss, B. A. Price, "Nitrous oxide
// solubility in water and seawater", Marine Chemistry 8 (1980) 347-359, whose
// K0 is in mol per litre and atmosphere of fugacity.
func waterOstwald(kelvin float64) float64 {
	return weissPrice(kelvin) * 1000 / atmosphere * gasConstant * kelvin
}

func weissPrice(kelvin float64) float64 {
	return math.Exp(-62.7062 + 97.3066*(100/kelvin) + 24.1406*math.Log(kelvin/100))
}

// ethanolOstwald is L in ethanol: a fit to Carius' Bunsen coefficients of
// 1855, both from memory.
func ethanolOstwald(kelvin float64) float64 {
	bunsen := 3.028 * math.Exp(1292*(1/kelvin-1/293.15))
	return bunsen * kelvin / zeroCelsius
}

// oilOstwald is L in olive or other vegetable oil: 1.40 at 37 °C, the oil:gas
// partition coefficient of the anaesthetics tables, carried over temperature
// with a Bunsen slope of 900 K from memory.
func oilOstwald(kelvin float64) float64 {
	const body = 310.15
	return 1.40 * kelvin / body * math.Exp(900*(1/kelvin-1/body))
}

// spiritLog is ln L in ethanol and water with a volume fraction q of ethanol.
// No measured table for nitrous oxide was found. The rule is bounded by the
// two pure liquids and bent by k q(1-q): carbon dioxide in aqueous ethanol
// shows the minimum (Postigo and Katz, J. Solution Chem. 16 (1987) 1015) and
// one excess curve serves different gases (J. Chem. Eng. Data 39 (1994) 544).
// k = 2.4 follows points for carbon dioxide of 1889 that are from memory; its
// band of 1.6 to 3.2 covers the carry-over.
func spiritLog(q, kelvin float64) float64 {
	return (1-q)*math.Log(waterOstwald(kelvin)) + q*math.Log(ethanolOstwald(kelvin)) - mixing*q*(1-q)
}
