package gas

import (
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/integrate/quad"

	"ventbell/internal/quantity"
)

// No general library in Go's registry implements this equation of state, so
// the figures are checked against stored points elsewhere. What a general
// library can check is the calculus: gonum integrates by Gauss-Legendre what
// this room solves or sums in closed form.

// Maxwell's rule by area: between the two saturated volumes the isotherm's
// area is that of the saturation pressure.
func TestSaturationKeepsMaxwellsEqualAreas(t *testing.T) {
	t.Parallel()
	for _, kelvin := range []float64{250, 273.15, 283.15, 293.15, 300} {
		s, err := Saturation(kelvin)
		if err != nil {
			t.Fatal(err)
		}
		line := newIsotherm(kelvin)
		area := quad.Fixed(func(density float64) float64 {
			pascal, _ := line.pressure(density)
			return pascal / (density * density) // p dv, with v = 1/density
		}, s.Vapour, s.Liquid, 400, nil, 0)
		want := s.Pascal * (1/s.Vapour - 1/s.Liquid)
		if math.Abs(area/want-1) > 1e-7 {
			t.Errorf("%v K: area %v J/mol under the isotherm, %v under the saturation pressure", kelvin, area, want)
		}
	}
}

// The eight-hour mean is the integral of what is in the air.
func TestTheMeanOfTheAirIsItsIntegral(t *testing.T) {
	t.Parallel()
	room := Room{Volume: 60 * cubicMetre, AirChanges: 6, Mixing: WellMixed}
	releases := every(10*time.Minute, 12, 16*quantity.Gram)
	end := opening.Add(8 * time.Hour)
	air, err := room.Air(releases, opening, end)
	if err != nil {
		t.Fatal(err)
	}
	step, err := room.Step(16 * quantity.Gram)
	if err != nil {
		t.Fatal(err)
	}
	level := func(hours float64) (ppm float64) {
		for _, r := range releases {
			if since := hours - r.At.Sub(opening).Hours(); since >= 0 {
				ppm += step * math.Exp(-room.AirChanges*since)
			}
		}
		return ppm
	}
	area := quad.Fixed(level, 2, 8, 60, nil, 0)
	for i := range 12 { // smooth between two vents
		area += quad.Fixed(level, float64(i)/6, float64(i+1)/6, 20, nil, 0)
	}
	if want := area / 8; math.Abs(air.Shift/want-1) > 1e-6 {
		t.Errorf("mean %v ppm over eight hours, %v by quadrature", air.Shift, want)
	}
}
