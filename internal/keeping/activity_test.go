package keeping_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"ventbell/internal/keeping"
)

// Source: FDA Food Code, definition of TCS food in 1-201.10, table A, as in
// Texas 25 TAC 228.2. Each cell by its corners.
func TestTableA(t *testing.T) {
	t.Parallel()
	const non, assess = keeping.NonTCS, keeping.Assess
	for _, w := range []struct {
		activity float64
		want     [3]keeping.Growth // pH to 4.6, to 5.6, above
	}{
		{0, [3]keeping.Growth{non, non, non}},
		{0.92, [3]keeping.Growth{non, non, non}},
		{0.9201, [3]keeping.Growth{non, non, assess}},
		{0.95, [3]keeping.Growth{non, non, assess}},
		{0.9501, [3]keeping.Growth{non, assess, assess}},
		{1, [3]keeping.Growth{non, assess, assess}},
	} {
		for i, corners := range [3][2]float64{{0, 4.6}, {4.61, 5.6}, {5.61, 14}} {
			for _, ph := range corners {
				if got, err := keeping.TableA(ph, w.activity); err != nil || got != w.want[i] {
					t.Errorf("pH %v, activity %v: %s, %v; want %s", ph, w.activity, got, err, w.want[i])
				}
			}
		}
	}
}

// Source: the same, table B.
func TestTableB(t *testing.T) {
	t.Parallel()
	const non, assess = keeping.NonTCS, keeping.Assess
	for _, w := range []struct {
		activity float64
		want     [4]keeping.Growth // pH below 4.2, to 4.6, to 5.0, above
	}{
		{0, [4]keeping.Growth{non, non, non, non}},
		{0.8799, [4]keeping.Growth{non, non, non, non}},
		{0.88, [4]keeping.Growth{non, non, non, assess}},
		{0.90, [4]keeping.Growth{non, non, non, assess}},
		{0.9001, [4]keeping.Growth{non, non, assess, assess}},
		{0.92, [4]keeping.Growth{non, non, assess, assess}},
		{0.9201, [4]keeping.Growth{non, assess, assess, assess}},
		{1, [4]keeping.Growth{non, assess, assess, assess}},
	} {
		for i, corners := range [4][2]float64{{0, 4.19}, {4.2, 4.6}, {4.61, 5.0}, {5.01, 14}} {
			for _, ph := range corners {
				if got, err := keeping.TableB(ph, w.activity); err != nil || got != w.want[i] {
					t.Errorf("pH %v, activity %v: %s, %v; want %s", ph, w.activity, got, err, w.want[i])
				}
			}
		}
	}
}

// The figures were worked out apart from this code with the same constant, 6.47
// from memory; the third decimal is the tolerance.
func TestSyrupActivityByBrix(t *testing.T) {
	t.Parallel()
	for brix, want := range map[float64]float64{50: 0.935, 55: 0.918, 60: 0.895, 62: 0.884, 65: 0.865, 66.7: 0.853, 0: 1} {
		if got, err := keeping.SyrupActivity(brix); err != nil || math.Abs(got-want) > 0.0006 {
			t.Errorf("%v Brix: %.4f, %v; want %.3f", brix, got, err, want)
		}
	}
}

// Source: osmotic coefficients of sucrose at 25 °C, Robinson and Stokes,
// "Electrolyte Solutions", from memory: 1.088, 1.189, 1.288, 1.375 and 1.450
// at 1 to 5 mol/kg. Activity is exp(-0.018015 m φ). Tolerance 0.002: the
// equation has one constant.
func TestSyrupActivityAgainstOsmoticCoefficients(t *testing.T) {
	t.Parallel()
	for i, coefficient := range []float64{1.088, 1.189, 1.288, 1.375, 1.450} {
		molal := float64(i + 1)
		grams := molal * 342.3
		want := math.Exp(-0.018015 * molal * coefficient)
		if got, err := keeping.SyrupActivity(100 * grams / (1000 + grams)); err != nil || math.Abs(got-want) > 0.002 {
			t.Errorf("%v mol/kg: %.4f, %v; want %.4f", molal, got, err, want)
		}
	}
}

// The rows for syrup rest on table B: 65 Brix asks no pH, 60 asks pH 5.0 at
// most, and 1:1 is only safe below pH 4.2.
func TestSyrupRowsAgreeWithTableB(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		brix, ph float64
		want     keeping.Growth
	}{
		{65, 7, keeping.NonTCS},
		{60, 5, keeping.NonTCS},
		{60, 5.1, keeping.Assess},
		{55, 4.6, keeping.NonTCS},
		{50, 4.6, keeping.Assess},
		{50, 4.1, keeping.NonTCS},
	} {
		activity, err := keeping.SyrupActivity(w.brix)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := keeping.TableB(w.ph, activity); err != nil || got != w.want {
			t.Errorf("%v Brix at pH %v: %s, %v; want %s", w.brix, w.ph, got, err, w.want)
		}
	}
}

func TestMoreSugarAndMoreAcidNeverHelpGrowth(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		thin := rapid.Float64Range(0, 67).Draw(t, "thin")
		thick := rapid.Float64Range(thin, 67).Draw(t, "thick")
		a, err := keeping.SyrupActivity(thin)
		if err != nil {
			t.Fatal(err)
		}
		b, err := keeping.SyrupActivity(thick)
		if err != nil || b > a {
			t.Fatalf("%v Brix %v, %v Brix %v, %v", thin, a, thick, b, err)
		}
		sour := rapid.Float64Range(0, 14).Draw(t, "sour")
		mild := rapid.Float64Range(sour, 14).Draw(t, "mild")
		for _, table := range []func(_, _ float64) (keeping.Growth, error){keeping.TableA, keeping.TableB} {
			worse, err := table(mild, a)
			if err != nil {
				t.Fatal(err)
			}
			if better, err := table(sour, b); err != nil || worse == keeping.NonTCS && better != keeping.NonTCS {
				t.Fatalf("more sugar and acid made it worse: %s, %v", better, err)
			}
		}
	})
}
