package spirit

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Source: "Flash Points of Ethanol based Water Solutions" of a published
// engineering reference, °C by percent of weight. The same numbers circulate
// labelled percent by volume: the two labels conflict, and the calculation
// fits the one by weight, so that is how it is tested. It agrees within 1 K
// from 20 to 60 % by weight and lies low, on the careful side, elsewhere: by
// up to 3.6 K above, up to 4.3 K below. The calculated columns, from flash
// points of 12 and 13 °C for pure ethanol, were worked out apart from this code.
func TestFlashPointMatchesPublishedTable(t *testing.T) {
	t.Parallel()
	for _, w := range []struct{ mass, table, from12, from13 float64 }{
		{5, 62, 57.8, 59.0},
		{10, 49, 45.7, 46.9},
		{20, 36, 35.2, 36.3},
		{30, 29, 29.8, 30.9},
		{40, 26, 26.4, 27.5},
		{50, 24, 23.8, 24.9},
		{60, 22, 21.8, 22.9},
		{70, 21, 19.9, 20.9},
		{80, 20, 17.8, 18.9},
		{90, 17, 15.4, 16.4},
		{96, 17, 13.5, 14.5},
	} {
		got := flash(w.mass/100, 12)
		near(t, "from 12 °C", got, w.from12, 0.06)
		near(t, "from 13 °C", flash(w.mass/100, 13), w.from13, 0.06)
		switch {
		case w.mass >= 20 && w.mass <= 60:
			near(t, "the table", got, w.table, 1)
		case got > w.table || got < w.table-4.3:
			t.Errorf("%v %% by weight: %.1f °C, want below the table's %v by 4.3 at most", w.mass, got, w.table)
		}
	}
}

// Source: the same calculation by strength, worked out apart from this code.
func TestFlashPointByStrength(t *testing.T) {
	t.Parallel()
	for percent, want := range map[float64]float64{
		10: 49.4, 15: 42.7, 20: 38.2, 25: 34.9, 30: 32.4, 35: 30.3, 37.5: 29.4, 40: 28.5, 43: 27.6, 45: 27.0,
		50: 25.7, 55: 24.5, 57: 24.0, 60: 23.4, 65: 22.3, 70: 21.3, 75: 20.3, 80: 19.2, 90: 16.5, 96: 14.2, 100: 12.0,
	} {
		got, err := FlashPoint(percent)
		near(t, "flash point", must(t, got, err), want, 0.06)
	}
	// The published table read the careful way gives 26 °C at 40 % vol.
	caution, err := Caution(40)
	near(t, "caution at 40 % vol", must(t, caution, err), 26, 1e-9)
}

func TestFlashPointFallsWithStrengthAndCautionIsNeverAboveIt(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		percent := rapid.Float64Range(LeastFlash, 99).Draw(t, "% vol")
		weak, err := FlashPoint(percent)
		if err != nil {
			t.Fatal(err)
		}
		strong, err := FlashPoint(percent + 1)
		if err != nil {
			t.Fatal(err)
		}
		caution, err := Caution(percent)
		if err != nil {
			t.Fatal(err)
		}
		if strong >= weak || caution > weak || caution < weak-8 {
			t.Fatalf("%v %% vol: %v, a percent more %v, caution %v", percent, weak, strong, caution)
		}
	})
}

// Source: Antoine constants of Poling and others give 7.876 kPa for ethanol
// and 3.179 kPa for water at 25 °C. The lower flammable limit, 3.1 % by IEC
// 60079-20-1 and 3.3 % by NFPA 497, is close to the saturated vapour at the
// flash points that they give, 12 and 13 °C.
func TestVapourPressures(t *testing.T) {
	t.Parallel()
	ethanol, err := EthanolPressure(25)
	near(t, "ethanol", must(t, ethanol, err), 7876, 0.6)
	water, err := WaterPressure(25)
	near(t, "water", must(t, water, err), 3179, 0.6)
	cold, err := EthanolPressure(12)
	near(t, "vapour at 12 °C, %", must(t, cold, err)/101325*100, 3.5, 0.06)
	warmer, err := EthanolPressure(13)
	near(t, "vapour at 13 °C, %", must(t, warmer, err)/101325*100, 3.7, 0.06)
	over, err := PartialPressure(40, 20)
	near(t, "over 40 % vol", must(t, over, err), 2120, 6)
	pure, err := PartialPressure(100, 25)
	near(t, "over ethanol", must(t, pure, err), ethanol, 1e-9)
	none, err := PartialPressure(0, 25)
	near(t, "over water", must(t, none, err), 0, 0)
}

// Source: infinite dilution of ethanol in water, 3.9 at 25 °C as the mean of
// Sander's compilation (3.7 at 20 °C and 4.5 at 40 °C by its slope); 8 % is how
// well the equation's straight line follows them.
func TestActivityAtInfiniteDilutionMatchesSander(t *testing.T) {
	t.Parallel()
	for celsius, want := range map[float64]float64{20: 3.7, 25: 3.9, 40: 4.5} {
		near(t, "activity coefficient", activity(0, celsius+zeroCelsius), want, 0.08*want)
	}
	near(t, "at 25 °C", activity(0, 298.15), 3.76, 0.006)
	near(t, "at 361 K", activity(0, 361), 5.364, 6e-3)
}

// Source: Melinder's data by strength, worked out apart from this code, in
// kJ/(kg K); the last printed digit is the tolerance.
func TestHeatCapacityMatchesMelinder(t *testing.T) {
	t.Parallel()
	for percent, want := range map[float64]float64{0: 4.184, 20: 4.35, 30: 4.30, 40: 4.15, 50: 3.94, 60: 3.70, 100: 2.39} {
		got, err := HeatCapacity(percent)
		near(t, "specific heat", must(t, got, err)/1000, want, 0.006)
	}
}

func TestBadStrengthsAndTemperaturesHaveNoFigure(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	for _, in := range []float64{-1, 0, 6, 100.1, nan, math.Inf(1)} {
		got, err := FlashPoint(in)
		refused(t, "FlashPoint", got, err)
		got, err = Caution(in)
		refused(t, "Caution", got, err)
	}
	for _, in := range []float64{-1, 100.1, nan} {
		got, err := HeatCapacity(in)
		refused(t, "HeatCapacity", got, err)
		got, err = PartialPressure(in, 20)
		refused(t, "PartialPressure", got, err)
	}
	for _, in := range []float64{-10, 300, nan} {
		got, err := EthanolPressure(in)
		refused(t, "EthanolPressure", got, err)
		got, err = WaterPressure(in)
		refused(t, "WaterPressure", got, err)
		got, err = PartialPressure(40, in)
		refused(t, "PartialPressure", got, err)
	}
}

func BenchmarkFlashPoint(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := FlashPoint(40); err != nil {
			b.Fatal(err)
		}
	}
}
