package spirit

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"ventbell/internal/quantity"
)

// near fails unless got lies within tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.10g, want %.10g within %.3g", what, got, want, tolerance)
	}
}

// must gives the figure of a call that has to work.
func must(t *testing.T, figure float64, err error) float64 {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return figure
}

// Source: the general formula of OIML R 22, worked out apart from this code
// from the same published coefficients, density in kg/m³ at 20, 10, 30, 0 and
// 40 °C (0 = not printed); the last printed digit is the tolerance.
func TestDensityMatchesOIML(t *testing.T) {
	t.Parallel()
	for _, w := range []struct{ percent, mass, at20, at10, at30, at0, at40 float64 }{
		{0, 0, 998.2012, 0, 0, 0, 0},
		{10, 8.01494, 984.7104, 986.562, 981.795, 987.117, 978.008},
		{20, 16.21351, 973.5573, 976.677, 969.538, 978.754, 964.769},
		{30, 24.60706, 962.2105, 967.117, 956.669, 971.378, 950.530},
		{37.5, 31.09081, 951.9363, 958.070, 945.366, 963.789, 938.372},
		{40, 33.29964, 948.0452, 954.517, 941.190, 960.629, 933.970},
		{43, 35.98648, 943.0565, 949.880, 935.904, 956.391, 928.447},
		{50, 42.42574, 930.1419, 937.563, 922.465, 944.729, 914.572},
		{57, 49.12817, 915.6993, 923.483, 907.676, 931.029, 899.443},
		{60, 52.08843, 909.1146, 917.011, 900.978, 924.675, 892.618},
		{75, 67.82015, 872.7927, 881.126, 864.245, 889.253, 855.476},
		{96, 93.83839, 807.4196, 816.020, 798.722, 824.489, 789.931},
		{100, 100, 789.2391, 797.755, 780.648, 806.215, 771.932},
	} {
		p, err := ByMass(w.percent)
		near(t, "mass fraction", must(t, p, err)*100, w.mass, 6e-6)
		for celsius, want := range map[float64]float64{20: w.at20, 10: w.at10, 30: w.at30, 0: w.at0, 40: w.at40} {
			if want == 0 {
				continue
			}
			rho, err := Density(p, celsius)
			digit := 6e-4
			if celsius == 20 {
				digit = 6e-5
			}
			near(t, "density", must(t, rho, err), want, digit)
		}
	}
	near(t, "ethanol at 20 °C", horner(massTerms[:], 1), ethanolDensity, 1e-7)
	rho, err := Density(0.20, 20)
	near(t, "20 % by mass", must(t, rho, err), 968.6069, 6e-5)
	q, err := ByVolume(0.20)
	near(t, "20 % by mass, by volume", must(t, q, err), 24.5453, 6e-5)
}

// Source: alcoholometric table of the United States Pharmacopeia, from the
// Bulletin of the National Bureau of Standards 9, 424-425: specific gravity in
// air at 15.56/15.56 and 25/25 °C. In air each weighing loses the air that it
// pushes aside, 1.2 kg/m³. The table's last digit is the tolerance.
func TestDensityMatchesUSPSpecificGravities(t *testing.T) {
	t.Parallel()
	const air = 1.2
	gravity := func(fraction, celsius float64) float64 {
		return (density(fraction, celsius) - air) / (density(0, celsius) - air)
	}
	for _, w := range []struct{ mass, cool, warm float64 }{
		{0.10, 0.9839, 0.9833}, {0.20, 0.9714, 0.9692}, {0.30, 0.9574, 0.9534},
	} {
		near(t, "15.56/15.56", gravity(w.mass, 15.56), w.cool, 6e-5)
		near(t, "25/25", gravity(w.mass, 25), w.warm, 6e-5)
	}
	// Lange's handbook by way of a public library's tests: 40 % by mass at 25 °C
	// has 0.9315; the last digit is the tolerance.
	near(t, "Lange", density(0.40, 25)/1000, 0.9315, 1e-4)
}

func TestStrengthByVolumeAndByMassUndoEachOther(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		percent := rapid.Float64Range(0, 100).Draw(t, "% vol")
		p, err := ByMass(percent)
		if err != nil {
			t.Fatal(err)
		}
		back, err := ByVolume(p)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(back-percent) > 1e-9 {
			t.Fatalf("%v %% vol came back as %v", percent, back)
		}
	})
}

func TestStrengthRisesAndDensityFallsWithEthanolAndWarmth(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(0, 0.99).Draw(t, "p")
		if byVolume(p+0.01) <= byVolume(p) {
			t.Fatalf("strength at %v: %v, then %v", p, byVolume(p), byVolume(p+0.01))
		}
		c := rapid.Float64Range(5, 39).Draw(t, "°C") // water is densest at 4 °C
		if density(p+0.01, c) >= density(p, c) || density(p, c+1) >= density(p, c) {
			t.Fatalf("density at %v and %v °C: %v, more ethanol %v, warmer %v", p, c, density(p, c), density(p+0.01, c), density(p, c+1))
		}
	})
}

func TestDensityOutsideItsRangeIsRefused(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	for _, in := range [][2]float64{{-0.01, 20}, {1.01, 20}, {nan, 20}, {0.4, -20.1}, {0.4, 40.1}, {0.4, nan}, {0.4, inf}} {
		got, err := Density(in[0], in[1])
		refused(t, "Density", got, err)
	}
	for _, in := range []float64{-1, 100.1, nan, inf} {
		got, err := ByMass(in)
		refused(t, "ByMass", got, err)
		got, err = ByVolume(in)
		refused(t, "ByVolume", got, err)
	}
}

func refused(t *testing.T, what string, got float64, err error) {
	t.Helper()
	var out *quantity.RangeError
	if !errors.As(err, &out) || got != 0 {
		t.Errorf("%s = %v, %v, want no figure and a range error", what, got, err)
	}
}
