// Package gas gives the figures for nitrous oxide in a charged vessel and in
// the room around it: its state as a real gas, how much dissolves, the
// pressure along the real sequence of charging and swirling, the gas let go
// and what that does to the air. Everything is an estimate for planning and
// for warning; the vessel's marking and manual always win, and no figure of
// this package can allow what they forbid. It knows no recipe and no clock.
package gas

import (
	"math"

	"ventbell/internal/quantity"
)

// Constants of nitrous oxide and of its equation of state: E. W. Lemmon,
// R. Span, "Short Fundamental Equations of State for 20 Industrial Fluids",
// J. Chem. Eng. Data 51 (2006) 785-850, with the coefficients as the CoolProp
// project's fluid file for nitrous oxide carries them.
const (
	MolarMass        = 44.0128  // g/mol
	CriticalKelvin   = 309.52   // K
	CriticalPascal   = 7.245e6  // Pa
	criticalDensity  = 10270.0  // mol/m³
	gasConstant      = 8.314472 // J/(mol K), the value that belongs to these coefficients
	MinKelvin        = 182.33   // K, the triple point, where the equation begins
	MaxKelvin        = 525.0    // K
	MaxPascal        = 50e6     // Pa
	maxDensity       = 30000.0  // mol/m³, above the densest liquid within MaxPascal
	zeroCelsius      = 273.15   // K
	atmosphere       = 101325.0 // Pa
	pascalPerBar     = 1e5
	gramsPerKilogram = 1000.0
)

// terms are the terms n δ^d τ^t exp(-δ^l) of the residual Helmholtz energy,
// without the exponential where l is 0; τ = Tc/T and δ = ρ/ρc.
var terms = [12]struct {
	n, t float64
	d, l int
}{
	{0.88045, 0.25, 1, 0},
	{-2.4235, 1.25, 1, 0},
	{0.38237, 1.5, 1, 0},
	{0.068917, 0.25, 3, 0},
	{0.00020367, 0.875, 7, 0},
	{0.13122, 2.375, 1, 1},
	{0.46032, 2, 2, 1},
	{-0.0036985, 2.125, 5, 1},
	{-0.23263, 3.5, 1, 2},
	{-0.00042859, 6.5, 1, 2},
	{-0.04281, 4.75, 4, 2},
	{-0.023038, 12.5, 2, 3},
}

// The ideal gas: 2.5 ln τ, a straight line in τ and three vibrations.
const idealSlope = 4.3120475243

var vibrations = [3]struct{ weight, theta float64 }{
	{2.1769, 879 / CriticalKelvin},
	{1.6145, 2372 / CriticalKelvin},
	{0.48393, 5447 / CriticalKelvin},
}

// Phase is which phase nitrous oxide is in.
type Phase string

// The phases. Mixed is liquid and vapour side by side; Dense is above the
// critical temperature, where the two are not told apart.
const (
	Vapour Phase = "vapour"
	Liquid Phase = "liquid"
	Mixed  Phase = "mixed"
	Dense  Phase = "dense"
)

// State is one state of pure nitrous oxide. Energies are zero as in the
// equation's own reference state.
type State struct {
	Kelvin       float64
	Density      float64 // mol/m³
	Pascal       float64
	Fugacity     float64 // fugacity coefficient: fugacity over pressure
	Energy       float64 // J/mol
	Enthalpy     float64 // J/mol
	HeatCapacity float64 // at constant pressure, J/(mol K); 0 where Mixed, where there is none
	Phase        Phase
}

// LiquidMayBePresent says that the state lies at saturation: some of the
// nitrous oxide may be liquid.
func (s State) LiquidMayBePresent() bool { return s.Phase == Mixed || s.Phase == Liquid }

// At gives the state at a temperature in K and a density in mol/m³. Between
// the saturated vapour and the saturated liquid it is Mixed, with the
// saturation pressure and energies by the lever rule. Outside 182.33-525 K and
// 50 MPa it is a *quantity.RangeError.
func At(kelvin, density float64) (State, error) {
	if err := checkKelvin(kelvin); err != nil {
		return State{}, err
	}
	if err := quantity.Within("density", density, math.SmallestNonzeroFloat64, maxDensity, "mol/m³"); err != nil {
		return State{}, err
	}
	line := newIsotherm(kelvin)
	if kelvin > maxSaturation {
		return line.within(density, Dense)
	}
	dome := line.saturation()
	switch {
	case density <= dome.Vapour:
		return line.within(density, Vapour)
	case density >= dome.Liquid:
		return line.within(density, Liquid)
	}
	vapour, liquid := line.state(dome.Vapour), line.state(dome.Liquid)
	// Volumes mix by the share of moles, densities do not.
	share := (1/density - 1/dome.Liquid) / (1/dome.Vapour - 1/dome.Liquid)
	return State{
		Kelvin:   kelvin,
		Density:  density,
		Pascal:   dome.Pascal,
		Fugacity: vapour.Fugacity,
		Energy:   liquid.Energy + share*(vapour.Energy-liquid.Energy),
		Enthalpy: liquid.Enthalpy + share*(vapour.Enthalpy-liquid.Enthalpy),
		Phase:    Mixed,
	}, nil
}

// Pressure gives the pressure in Pa at a temperature in K and a density in
// mol/m³; between the saturated densities it is the saturation pressure.
func Pressure(kelvin, density float64) (float64, error) {
	s, err := At(kelvin, density)
	return s.Pascal, err
}

// Density gives the state at a temperature in K and a pressure in Pa: vapour
// up to the saturation pressure, liquid above it.
func Density(kelvin, pascal float64) (State, error) {
	if err := checkKelvin(kelvin); err != nil {
		return State{}, err
	}
	if err := quantity.Within("pressure", pascal, math.SmallestNonzeroFloat64, MaxPascal, "Pa"); err != nil {
		return State{}, err
	}
	line := newIsotherm(kelvin)
	low, high, phase := 0.0, maxDensity, Dense
	if kelvin <= maxSaturation {
		dome := line.saturation()
		if pascal <= dome.Pascal {
			high, phase = dome.Vapour, Vapour
		} else {
			low, phase = dome.Liquid, Liquid
		}
	}
	s := line.state(line.density(pascal, low, high))
	s.Pascal, s.Phase = pascal, phase
	return s, nil
}

// SecondVirial gives the second virial coefficient B in m³/mol at a
// temperature in K: the limit of (Z-1)/ρ at zero density.
func SecondVirial(kelvin float64) (float64, error) {
	if err := checkKelvin(kelvin); err != nil {
		return 0, err
	}
	line := newIsotherm(kelvin)
	b := 0.0
	for i, t := range &terms {
		if t.d == 1 { // exp(-δ^l) is 1 there, and higher powers vanish
			b += line.n[i]
		}
	}
	return b / criticalDensity, nil
}

func checkKelvin(kelvin float64) error {
	return quantity.Within("temperature", kelvin, MinKelvin, MaxKelvin, "K")
}

// isotherm is the equation at one temperature, with all that depends on the
// temperature alone worked out once.
type isotherm struct {
	kelvin, rt, tau float64
	n               [len(terms)]float64 // n τ^t
}

func newIsotherm(kelvin float64) isotherm {
	s := isotherm{kelvin: kelvin, rt: gasConstant * kelvin, tau: CriticalKelvin / kelvin}
	log := math.Log(s.tau)
	for i, t := range &terms {
		s.n[i] = t.n * math.Exp(t.t*log)
	}
	return s
}

// powers holds what the terms need of one δ: its powers, and δ^l and exp(-δ^l).
type powers struct {
	d      [8]float64
	dl, el [4]float64
}

func powersOf(delta float64) powers {
	p := powers{el: [4]float64{1}}
	p.d[0] = 1
	for i := 1; i < len(p.d); i++ {
		p.d[i] = p.d[i-1] * delta
	}
	for l := 1; l < len(p.dl); l++ {
		p.dl[l], p.el[l] = p.d[l], math.Exp(-p.d[l])
	}
	return p
}

// residual gives the residual Helmholtz energy αr over RT at a density, with
// δ ∂αr/∂δ and δ² ∂²αr/∂δ².
func (s *isotherm) residual(density float64) (a, a1, a2 float64) {
	p := powersOf(density / criticalDensity)
	for i := range terms {
		t := &terms[i]
		l := float64(t.l)
		b := s.n[i] * p.d[t.d] * p.el[t.l]
		x := float64(t.d) - l*p.dl[t.l]
		a += b
		a1 += b * x
		a2 += b * (x*(x-1) - l*l*p.dl[t.l])
	}
	return a, a1, a2
}

// pressure gives the pressure in Pa and its slope in density.
func (s *isotherm) pressure(density float64) (pascal, slope float64) {
	_, a1, a2 := s.residual(density)
	return density * s.rt * (1 + a1), s.rt * (1 + 2*a1 + a2)
}

// density finds the density between low and high at which the pressure is
// reached, by Newton's method kept inside a shrinking bracket.
func (s *isotherm) density(pascal, low, high float64) float64 {
	rho := min(max(pascal/s.rt, low), high)
	for range maxSteps {
		p, slope := s.pressure(rho)
		if p > pascal {
			high = rho
		} else {
			low = rho
		}
		next := rho + (pascal-p)/slope
		if !(next >= low && next <= high) {
			next = (low + high) / 2
		}
		if math.Abs(next-rho) <= closeEnough*rho {
			return next
		}
		rho = next
	}
	return rho
}

// Newton's method ends at this relative step, or at maxSteps, which leaves
// room for bisection alone to come as close.
const (
	closeEnough = 1e-13
	maxSteps    = 100
)

// within is the state of one phase, refused above MaxPascal.
func (s *isotherm) within(density float64, phase Phase) (State, error) {
	st := s.state(density)
	st.Phase = phase
	if err := quantity.Within("pressure", st.Pascal, 0, MaxPascal, "Pa"); err != nil {
		return State{}, err
	}
	return st, nil
}

// state works out every property of one phase at a density.
func (s *isotherm) state(density float64) State {
	tau := s.tau
	p := powersOf(density / criticalDensity)
	var a, a1, a2, at, att, a1t float64 // τ∂/∂τ, τ²∂²/∂τ² and δτ∂²/∂δ∂τ of αr
	for i := range terms {
		t := &terms[i]
		l := float64(t.l)
		b := s.n[i] * p.d[t.d] * p.el[t.l]
		x := float64(t.d) - l*p.dl[t.l]
		a += b
		a1 += b * x
		a2 += b * (x*(x-1) - l*l*p.dl[t.l])
		at += b * t.t
		att += b * t.t * (t.t - 1)
		a1t += b * t.t * x
	}
	it, itt := 2.5+idealSlope*tau, -2.5 // the same of the ideal part
	for _, v := range &vibrations {
		x := v.theta * tau
		e := math.Exp(x) - 1
		it += v.weight * x / e
		itt -= v.weight * x * x * (e + 1) / (e * e)
	}
	z := 1 + a1
	cv := -(itt + att)
	slope := 1 + 2*a1 + a2
	return State{
		Kelvin:       s.kelvin,
		Density:      density,
		Pascal:       density * s.rt * z,
		Fugacity:     math.Exp(a+a1) / z,
		Energy:       s.rt * (it + at),
		Enthalpy:     s.rt * (it + at + z),
		HeatCapacity: gasConstant * (cv + (z-a1t)*(z-a1t)/slope),
	}
}
