package gas

import (
	"math"

	"ventbell/internal/quantity"
)

// maxSaturation is where saturation ends for this package, in K. In the last
// hundredth of a degree below the critical point the two densities run
// together and cannot be told apart in float64.
const maxSaturation = CriticalKelvin - 0.01

// Saturated is liquid and vapour at rest with each other.
type Saturated struct {
	Kelvin float64
	Pascal float64
	Liquid float64 // density, mol/m³
	Vapour float64 // density, mol/m³
}

// Saturation gives the saturated state at a temperature in K, from 182.33 to
// 309.51: both phases at one pressure and one Gibbs energy (Maxwell). Pressure
// and densities are solved to 1e-11 of themselves below 308 K; nearer to the
// critical point the densities lose digits (1e-7 at 309.5 K). The equation
// itself is good to about 0.25 % in vapour pressure.
func Saturation(kelvin float64) (Saturated, error) {
	if err := quantity.Within("temperature", kelvin, MinKelvin, maxSaturation, "K"); err != nil {
		return Saturated{}, err
	}
	line := newIsotherm(kelvin)
	return line.saturation(), nil
}

// saturation solves both densities at once by Newton's method in δ(1+δαr_δ),
// which is the pressure, and ln δ + αr + δαr_δ, which is the Gibbs energy.
func (s *isotherm) saturation() Saturated {
	liquid, vapour := guess(s.kelvin)
	for range maxSteps {
		al, al1, al2 := s.residual(liquid)
		av, av1, av2 := s.residual(vapour)
		pl, pv := liquid*(1+al1), vapour*(1+av1)
		sl, sv := 1+2*al1+al2, 1+2*av1+av2 // slopes of the pressure
		// The Gibbs energy's slope is the pressure's over the density.
		dp := pv - pl
		dg := av + av1 - al - al1 + math.Log(vapour/liquid)
		gap := 1/liquid - 1/vapour
		stepLiquid := (dg - dp/vapour) / (sl * gap)
		stepVapour := (dg - dp/liquid) / (sv * gap)
		liquid += stepLiquid
		vapour += stepVapour
		if math.Abs(stepLiquid) <= closeEnough*liquid && math.Abs(stepVapour) <= closeEnough*vapour {
			break
		}
	}
	_, a1, _ := s.residual(vapour)
	return Saturated{Kelvin: s.kelvin, Pascal: vapour * s.rt * (1 + a1), Liquid: liquid, Vapour: vapour}
}

// guess gives the two densities in mol/m³ to about 1 %, to start Newton's
// method from: our own fits, in powers of the root of 1-T/Tc, to the solutions
// that it then finds.
func guess(kelvin float64) (liquid, vapour float64) {
	x := math.Sqrt(1 - kelvin/CriticalKelvin)
	l := 1.0182622 + x*(5.2104627+x*(-17.477214+x*(50.517454+x*(-68.848272+x*35.877129))))
	v := -0.0054499 + x*(-5.998012+x*(18.155601+x*(-75.215425+x*(125.2363-x*93.243951))))
	return criticalDensity * l, criticalDensity * math.Exp(v)
}
