package glass

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ventbell/internal/book"
)

var (
	parts1 = []string{
		"pepper tequila", "rhubarb gin", "hazelnut rum", "tequila", "gin", "strong rum", "dry vermouth", "white vinegar",
		"house syrup", "lemon", "lime juice", "syrup 1:1", "syrup 2:1", "tonic", "water", "egg white", "bitters", "agave",
	}
	made = []string{"", "built", "stirred", "shaken", "blended", "dilution 25%"}
)

// anyParts draws the parts of a drink, in tenths of a millilitre.
func anyParts(t *rapid.T) []string {
	var parts []string
	for range rapid.IntRange(1, 6).Draw(t, "parts") {
		tenths := rapid.IntRange(100, 3000).Draw(t, "tenths of ml")
		name := rapid.SampledFrom(parts1).Draw(t, "name")
		parts = append(parts, fmt.Sprintf("%d.%d ml %s", tenths/10, tenths%10, name))
	}
	return parts
}

func sums(t *rapid.T, parts []string, method string) Sums {
	line := strings.TrimSuffix(strings.Join(parts, ", ")+", "+method, ", ")
	d, p := Read(line, bar())
	if p != nil {
		t.Fatalf("%q: %+v", line, *p)
	}
	return Sum(d)
}

// figures are all figures of a drink, by name.
func figures(s Sums) map[string]float64 {
	all := map[string]float64{"sugar": s.Sugar, "acid": s.Acid, "cost": float64(s.Cost), "serves": float64(s.Serves)}
	for name, b := range map[string]Band{"volume": s.Volume, "abv": s.ABV, "alcohol": s.Alcohol} {
		all[name+" low"], all[name+" central"], all[name+" high"] = b.Low, b.Central, b.High
	}
	return all
}

func TestMoreWaterNeverRaisesTheStrength(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		parts := anyParts(t)
		before := sums(t, parts, "stirred")
		after := sums(t, append(parts, fmt.Sprintf("%d water", rapid.IntRange(10, 500).Draw(t, "water"))), "stirred")
		if after.ABV.Low > before.ABV.Low || after.ABV.Central > before.ABV.Central || after.ABV.High > before.ABV.High {
			t.Fatalf("%v becomes %v", before.ABV, after.ABV)
		}
		low := rapid.Float64Range(0, 100).Draw(t, "dilution")
		less := sums(t, parts, fmt.Sprintf("dilution %.1f%%", low))
		more := sums(t, parts, fmt.Sprintf("dilution %.1f%%", low+rapid.Float64Range(0.1, 100).Draw(t, "more")))
		if more.ABV.Central > less.ABV.Central || more.Volume.Central < less.Volume.Central {
			t.Fatalf("%v becomes %v", less.ABV, more.ABV)
		}
	})
}

// Sums of floats in another order differ by rounding: a billionth.
func TestTheOrderOfThePartsDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		parts, method := anyParts(t), rapid.SampledFrom(made).Draw(t, "method")
		before := figures(sums(t, parts, method))
		shuffle := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		shuffle.Shuffle(len(parts), func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
		for name, v := range figures(sums(t, parts, method)) {
			if math.Abs(v-before[name]) > 1e-9*max(1, v) {
				t.Fatalf("%s: %v becomes %v", name, before[name], v)
			}
		}
	})
}

// Ten times the parts is ten times the drink, at the same strength. What a part
// holds is kept to the microlitre, so 10 ml of spirit are off by up to a part in
// a thousand.
func TestTheSumsScale(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		parts, method := anyParts(t), rapid.SampledFrom(made).Draw(t, "method")
		tenfold := make([]string, len(parts))
		for i, p := range parts {
			tenfold[i] = strings.Replace(p, " ml ", " cl ", 1)
		}
		one, ten := figures(sums(t, parts, method)), figures(sums(t, tenfold, method))
		for name, v := range one {
			want, slack := 10*v, 1e-3*max(1, 10*v)
			switch {
			case name == "serves":
				continue
			case name == "cost": // rounded to the cent, then tenfold
				slack = 6
			case strings.HasPrefix(name, "abv"):
				want = v
			}
			if math.Abs(ten[name]-want) > slack {
				t.Fatalf("%s: %v, and %v tenfold", name, v, ten[name])
			}
		}
	})
}

func TestTheGlassHoldsAboutWhatWasPoured(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := sums(t, anyParts(t), rapid.SampledFrom(made).Draw(t, "method"))
		poured := 0.0
		for _, p := range s.Parts {
			poured += p.Volume.Millilitres()
		}
		for _, w := range [][2]float64{
			{s.Volume.Low, s.Dilution.Low}, {s.Volume.Central, s.Dilution.Central}, {s.Volume.High, s.Dilution.High},
		} {
			// By OIML R 22 water and ethanol lose 3.6 % at most; what is weak swells by
			// up to 0.15 % with water.
			if all := poured * (1 + w[1]/100); w[0] > 1.002*all || w[0] < 0.963*all {
				t.Fatalf("%v ml of %v poured and molten", w[0], all)
			}
		}
		if s.ABV.Low > s.ABV.Central || s.ABV.Central > s.ABV.High || s.ABV.Low < 0 || s.ABV.High > 100 {
			t.Fatalf("strength %v", s.ABV)
		}
	})
}

// checkLine checks what holds for every line: a drink that reads back from its
// own line, or a problem whose example works; and no figure that is no number.
func checkLine(line string, b *book.Book) error {
	d, p := Read(line, b)
	if p != nil {
		if _, again := Read(p.Example, b); again != nil {
			return fmt.Errorf("%q: the example %q is a problem: %+v", line, p.Example, *again)
		}
		if !strings.Contains(line, p.Word) && p.Code != BadFigures && p.Code != TwoMethods {
			return fmt.Errorf("%q does not say %q", line, p.Word)
		}
		return nil
	}
	for name, v := range figures(Sum(d)) {
		if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
			return fmt.Errorf("%q: %s is %v", line, name, v)
		}
	}
	back, p := Read(d.String(), b)
	if p != nil {
		return fmt.Errorf("%q reads back from %q as %+v", line, d, *p)
	}
	if back.String() != d.String() {
		return fmt.Errorf("%q reads back from %q as %q", line, d, back)
	}
	return nil
}

func TestAnyLineIsADrinkOrAProblemWithAnExample(t *testing.T) {
	t.Parallel()
	pool := append([]string{
		"60", "0", "-5", "1/2", "½", "1 1/2", "1.000", "22,5", "1:1", "ml", "oz", "dash", "dashes", "a", "half", "of", "and", ",", "+",
		"stirred", "shaken", "ice", "neat", "dilution", "25%", "no", "%", "gin", "lemmon", "rhubrab", "dragonfruit", "fresh", "juice",
		"é", "🍋", "\xff", "99999999999999999999", "NaN", "l", "syrup", "2:1", "top", "fl",
	}, parts1...)
	for name, b := range map[string]*book.Book{"bar": bar(), "sample": book.Sample(), "empty": {}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) {
				line := strings.Join(rapid.SliceOfN(rapid.SampledFrom(pool), 0, 14).Draw(t, "line"), " ")
				if rapid.IntRange(0, 3).Draw(t, "any") == 0 {
					line = rapid.String().Draw(t, "text")
				}
				if err := checkLine(line, b); err != nil {
					t.Fatal(err)
				}
			})
		})
	}
}

func FuzzRead(f *testing.F) {
	f.Add("60 rhubarb gin, 10 syrup 1:1, 20 lemon, stirred")
	f.Add("1 1/2 oz gin 47%, half an ounce of lime, 2 dashes bitters and 1 egg white, dilution 25%")
	b := bar()
	f.Fuzz(func(t *testing.T, line string) {
		if err := checkLine(line, b); err != nil {
			t.Fatal(err)
		}
	})
}
