package gas

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"ventbell/internal/quantity"
)

// drawLoad gives any sensible vessel with room over the liquid.
func drawLoad(t *rapid.T) Load {
	brim := rapid.IntRange(300, 1500).Draw(t, "brim ml")
	return Load{
		Brim:        quantity.Volume(brim) * ml,
		Measured:    rapid.Bool().Draw(t, "measured"),
		Solvent:     drawSolvent(t),
		Liquid:      quantity.Volume(brim*rapid.IntRange(20, 75).Draw(t, "liquid %")/100) * ml,
		Solids:      quantity.Volume(brim*rapid.IntRange(0, 10).Draw(t, "solids %")/100) * ml,
		Temperature: quantity.Temperature(rapid.IntRange(0, 490).Draw(t, "tenths")),
		LiquidHeat:  1500,
	}
}

// work runs a sequence that must work.
func work(t *rapid.T, l Load, n int, each quantity.Mass) Sequence {
	s, err := l.Sequence(n, each)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// notBelow fails when a figure that must not fall has fallen. Where liquid is
// present a pressure stands still, so it need not rise.
func notBelow(t *rapid.T, what string, after, before float64) {
	if after < before*(1-1e-10) {
		t.Fatalf("%s fell from %.12g to %.12g", what, before, after)
	}
}

func TestMassIsConserved(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l, n := drawLoad(t), rapid.IntRange(1, 3).Draw(t, "n")
		each := quantity.Mass(rapid.IntRange(7000, 8500).Draw(t, "mg"))
		s := work(t, l, n, each)
		charge := each.Grams() * float64(n)
		if sum := s.Dissolved + s.Gas + s.Surplus; math.Abs(sum-charge) > 1e-9*charge {
			t.Fatalf("%v g in, %v g found: %+v", charge, sum, s)
		}
		if s.Vent.Prompt > s.Vent.All || s.Dissolved < 0 || s.Gas < 0 || s.Surplus < 0 {
			t.Fatalf("%+v", s)
		}
	})
}

func TestPressureRisesWithCharge(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l, n := drawLoad(t), rapid.IntRange(1, 3).Draw(t, "n")
		mg := rapid.IntRange(7000, 8500).Draw(t, "mg")
		less, more := work(t, l, n, quantity.Mass(mg)), work(t, l, n, quantity.Mass(mg+10))
		notBelow(t, "rest", more.Rest.Central, less.Rest.Central)
		notBelow(t, "at once", more.AtOnce.Central, less.AtOnce.Central)
		notBelow(t, "peak", more.Peak.Central, less.Peak.Central)
		if less.Surplus == 0 && more.Rest.Central <= less.Rest.Central {
			t.Fatalf("rest stood still: %v", less.Rest)
		}
		another := work(t, l, n+1, quantity.Mass(mg))
		notBelow(t, "rest with a charger more", another.Rest.Central, less.Rest.Central)
	})
}

func TestPressureRisesWithTemperature(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l, n := drawLoad(t), rapid.IntRange(1, 3).Draw(t, "n")
		cold := work(t, l, n, 8*gram)
		l.Temperature += quantity.Temperature(rapid.IntRange(1, 10).Draw(t, "warmer"))
		warm := work(t, l, n, 8*gram)
		if warm.Rest.Central <= cold.Rest.Central || warm.AtOnce.Central <= cold.AtOnce.Central || warm.Peak.Central <= cold.Peak.Central {
			t.Fatalf("rest %v to %v, at once %v to %v", cold.Rest, warm.Rest, cold.AtOnce, warm.AtOnce)
		}
	})
}

func TestPressureBeforeSwirlingRisesWithFill(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := drawLoad(t)
		less := work(t, l, 2, 8*gram)
		if rapid.Bool().Draw(t, "solids") {
			l.Solids += ml
		} else {
			l.Liquid += ml
		}
		more := work(t, l, 2, 8*gram)
		notBelow(t, "at once", more.AtOnce.Central, less.AtOnce.Central)
		notBelow(t, "first charger", more.Steps[0].Unswirled.Central, less.Steps[0].Unswirled.Central)
	})
}

func TestMoreSolubilityNeverRaisesThePressure(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := drawLoad(t)
		line := newCeiling(kelvin(l.Temperature))
		v := l.vessel(&line)
		n := rapid.Float64Range(4, 26).Draw(t, "g") / MolarMass
		less := v.swirled(n)
		w := v.times(rapid.Float64Range(1, 1.5).Draw(t, "factor"))
		more := w.swirled(n)
		if !less.full && !more.full && more.pascal > less.pascal*(1+1e-10) {
			t.Fatalf("partial pressure rose from %v to %v Pa", less.pascal, more.pascal)
		}
	})
}

func TestBandsHoldTheirMiddleAndSwirlingNeverRaises(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := drawLoad(t)
		s := work(t, l, rapid.IntRange(1, MaxChargers).Draw(t, "n"), 8*gram)
		for _, step := range s.Steps {
			for _, b := range []Band{step.Unswirled, step.Swirled, step.PerLitre} {
				if !(0 <= b.Low && b.Low < b.Central && b.Central < b.High) || math.IsInf(b.High, 1) {
					t.Fatalf("band %+v of %+v", b, step)
				}
			}
			if step.Swirled.Central > s.Peak.Central || step.Unswirled.Central > s.Peak.Central {
				t.Fatalf("%+v is above the peak %+v", step, s.Peak)
			}
		}
		// Swelling squeezes the trapped air, so only the gas itself must fall.
		line := newCeiling(kelvin(l.Temperature))
		v := l.vessel(&line)
		n := 16 / MolarMass
		if rest, once := v.swirled(n), v.unswirled(n, v.still()); rest.pascal > once.pascal*(1+1e-12) {
			t.Fatalf("swirling raised the gas from %v to %v Pa", once.pascal, rest.pascal)
		}
	})
}
