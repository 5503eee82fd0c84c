package glass

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
	"ventbell/internal/spirit"
)

// The balance of heat, apart from this code: ice melts at 333.6 J/g (IAPWS), its
// water cools further with 4.19 J/(g K), a mixed drink takes 3.84 J/(g K) (an
// estimate: spirit and sugar). A drink at room temperature that is stirred or
// shaken ends between 0 and -5 °C (common practice, no source). The spans were
// worked out by others to a whole percent, with figures as good as these: 0.6.
func TestDilutionAgreesWithTheHeatOfTheIce(t *testing.T) {
	t.Parallel()
	melted := func(from, to float64) float64 { return 100 * 3.84 * (from - to) / (333.6 + 4.19*to) }
	for _, w := range []struct{ from, to, percent float64 }{
		{20, 0, 23}, {20, -3, 27}, {20, -5, 31}, {4, -3, 8},
	} {
		near(t, fmt.Sprintf("%v to %v °C", w.from, w.to), melted(w.from, w.to), w.percent, 0.6)
	}
	for method, ends := range map[Method][2]float64{Stirred: {0, -3}, Shaken: {-3, -5}} {
		band := dilutions[method]
		for _, to := range ends {
			if m := melted(20, to); m < band.Low || m > band.High {
				t.Errorf("%s: %.1f %% down to %v °C is outside %v", method, m, to, band)
			}
		}
	}
}

func TestTheShareOfWaterIsOfTheWholeGlass(t *testing.T) {
	t.Parallel()
	// 30 % dilution is 23 % of the glass; a litre bottled ready takes 167 ml of
	// water for 20 % and 200 ml for 25 %. Worked out to the last digit shown.
	near(t, "30 %", 100*WaterShare(30), 23, 0.5)
	near(t, "20 %, ml in a litre", 1000*WaterShare(20), 167, 0.5)
	near(t, "25 %, ml in a litre", 1000*WaterShare(25), 200, 0.5)
	near(t, "none", WaterShare(0), 0, 0)
}

// 50 ml at 40 % with 22 of lime and 22 of syrup, worked out apart from this code
// by adding volumes. Mixing makes the glass smaller by up to 4 %, so the
// strength lies above that figure by up to 4 % of itself and never below.
func TestStrengthOfASourLiesJustAboveTheSumOfVolumes(t *testing.T) {
	t.Parallel()
	for dilution, added := range map[string]float64{"15": 18.5, "25": 17.0, "30": 16.4, "35": 15.8} {
		s := summed(t, "50 tequila, 22 lime, 22 syrup 1:1, dilution "+dilution+"%")
		if s.ABV.Central < added-0.05 || s.ABV.Central > 1.04*added+0.05 {
			t.Errorf("dilution %s %%: %.2f %% vol, by volumes %.1f", dilution, s.ABV.Central, added)
		}
		// 20 ml of pure alcohol are 15.8 g: to the last digit shown.
		near(t, "alcohol", s.Alcohol.Central, 15.8, 0.05)
	}
}

// 500 ml of 40 % on 60 g of green pepper with 91.7 % of water: 36.07 % with all
// of it traded, 39.15 with a fifth (OIML R 22 and a balance of mass, worked out
// apart from this code). The strengths here go to a hundredth.
func TestAnInfusionIsWeakerByItsProduce(t *testing.T) {
	t.Parallel()
	s := summed(t, "50 pepper tequila")
	near(t, "low", s.Parts[0].Strength.Low, 36.07, 0.01)
	near(t, "high", s.Parts[0].Strength.High, 39.15, 0.01)
	near(t, "in the glass", s.ABV.Low, 36.07, 0.01)
	if !s.About() || summed(t, "50 tequila").About() {
		t.Error("an infusion is an estimate, a bottle is not")
	}
	if dry := summed(t, "50 hazelnut rum"); dry.ABV.Low < 56 || dry.ABV.High > 57 {
		t.Errorf("dry nuts leave the strength about the same, got %v", dry.ABV)
	}
	// Untold water of a fresh herb counts as all of it: the low end stays low.
	near(t, "basil", summed(t, "50 basil gin").ABV.Low, 37.9, 0.2)
	near(t, "said", summed(t, "50 pepper tequila 38%").ABV.Central, 38, 0.01)
}

// 22 ml of syrup 1:1 hold 13.5 g; a glass of 122 ml then has 11.1 g to 100 ml.
// The sum here also counts 0.4 g of the lime's own, and the glass is up to 1 %
// smaller: 0.5 g.
func TestSugarOfASour(t *testing.T) {
	t.Parallel()
	near(t, "syrup", summed(t, "22 syrup 1:1").Sugar, 13.5, 0.05)
	s := summed(t, "50 tequila, 22 lime, 22 syrup 1:1, dilution 30%")
	near(t, "to 100 ml", s.SugarPer100(), 11.1, 0.5)
	near(t, "to 100 ml", summed(t, "50 tequila, 22 water, 22 syrup 1:1, dilution 30%").SugarPer100(), 11.1, 0.15)
}

// 22 ml of lime of 6 % in 122 ml: 1.3 g and 1.08 %, both to the last digit; the
// glass is up to 1 % smaller.
func TestAcidOfASour(t *testing.T) {
	t.Parallel()
	s := summed(t, "50 tequila, 22 lime, 22 syrup 1:1, dilution 30%")
	near(t, "acid, g", s.Acid, 1.3, 0.05)
	near(t, "acid, %", s.AcidPercent(), 1.08, 0.015)
	near(t, "vinegar", summed(t, "20 white vinegar, 100 soda").Acid, 1.2, 1e-9)
	near(t, "infused vinegar", summed(t, "20 pepper vinegar").Acid, 1.2, 1e-9)
}

// Densities of sucrose in water at 20 °C, g/ml by percent of mass: the CRC
// Handbook's table, read on a public page. The room that a gram of sugar takes
// here, 0.625 ml, gives them within 0.2 %, and the two syrups to their last
// digit.
func TestTheRoomOfSugarGivesTheDensityOfSyrups(t *testing.T) {
	t.Parallel()
	density := func(percent float64) float64 {
		return 1 / (percent/100*sugarVolume + (1-percent/100)/0.9982)
	}
	for percent, want := range map[float64]float64{10: 1.0381, 20: 1.0810, 30: 1.1270, 40: 1.1764, 50: 1.2296} {
		near(t, fmt.Sprintf("%v %%", percent), density(percent), want, 0.002*want)
	}
	near(t, "syrup 1:1, g/ml of sugar", 0.5*density(50), 0.615, 0.0005)
	near(t, "syrup 2:1, g/ml of sugar", 2./3*density(200./3), 0.887, 0.0015)
	near(t, "syrup 1:1 poured", summed(t, "100 syrup 1:1").Sugar, 61.5, 0.001)
	near(t, "syrup 2:1 poured", summed(t, "100 syrup 2:1").Sugar, 88.7, 0.001)
	near(t, "what is poured stays as much", summed(t, "100 syrup 2:1").Volume.Central, 100, 0.01)
}

// 17.14 of spirit, 0.36 of pepper and two chargers at 0.70 make 18.90 and give
// 460 ml: 2.05 for 50 ml against 1.71 for the plain spirit, and nine serves. To
// the cent.
func TestCostAndServesOfAnInfusion(t *testing.T) {
	t.Parallel()
	infused, plain := summed(t, "50 pepper tequila"), summed(t, "50 tequila")
	if infused.Cost != 205 || plain.Cost != 171 || infused.Cost-plain.Cost != 34 {
		t.Errorf("cost %d infused, %d plain; want 205 and 171", infused.Cost, plain.Cost)
	}
	if infused.Serves != 9 || infused.ServesOf != "pepper tequila" || infused.Currency != "EUR" {
		t.Errorf("%d serves of %q in %q", infused.Serves, infused.ServesOf, infused.Currency)
	}
	both := summed(t, "50 pepper tequila, 20 lime, 10 water, stirred")
	if both.Cost != 205 || !cmp.Equal(both.Unpriced, []string{"lime juice"}) {
		t.Errorf("cost %d without %v: our own ingredients are left out and named, water is free", both.Cost, both.Unpriced)
	}
	for _, line := range []string{"50 pepper tequila, 20 gin", "20 lime", "50 rhubarb gin", "20 lime, 50 gin"} {
		if s := summed(t, line); s.Cost != 0 || s.Unpriced != nil {
			t.Errorf("%q costs %d without %v, but not all of it is priced", line, s.Cost, s.Unpriced)
		}
	}
	if s := summed(t, "50 hazelnut rum, 25 pepper tequila"); s.Serves != 18 {
		t.Errorf("%d serves; what the nuts keep is not told, so the tequila decides", s.Serves)
	}
	if s := summed(t, "60 rhubarb gin, 50 pepper tequila"); s.Serves != 6 || s.ServesOf != "rhubarb gin" {
		t.Errorf("%d serves of %s; the scarcer one decides", s.Serves, s.ServesOf)
	}
}

// Standing to clear takes 5 % more of 500 ml, washing 12 %: 435 and 400 ml are
// left of 460.
func TestClearingTakesItsShareOfTheServes(t *testing.T) {
	t.Parallel()
	for want, clears := range map[int]func(*book.Recipe){
		92: func(*book.Recipe) {},
		87: func(r *book.Recipe) { r.Clear = time.Minute },
		80: func(r *book.Recipe) { r.Clear, r.ClearWith = time.Minute, "milk" },
	} {
		b := bar()
		clears(&b.Recipes[0])
		d, p := Read("5 pepper tequila", b)
		if p != nil {
			t.Fatal(*p)
		}
		if s := Sum(d); s.Serves != want {
			t.Errorf("%d serves of 5 ml, want %d", s.Serves, want)
		}
	}
}

// A litre of 57 % comes down to 45 % with 267 ml of water by adding volumes;
// with the contraction it then stands up to 4 % of itself higher, and the
// water that the balance of mass asks for gives 45 to a hundredth.
func TestWaterBringsStrengthDown(t *testing.T) {
	t.Parallel()
	by := summed(t, "1 l strong rum, 267 water").ABV.Central
	if by < 45 || by > 45*1.04 {
		t.Errorf("by volumes %.2f %% vol, want 45 to %.1f", by, 45*1.04)
	}
	d, err := spirit.Dilute(quantity.Litre, 57*quantity.Percent, 45*quantity.Percent)
	if err != nil {
		t.Fatal(err)
	}
	s := summed(t, fmt.Sprintf("1 l strong rum, %.4f water", d.Water/waterDensity))
	near(t, "by mass", s.ABV.Central, 45, 0.01)
	near(t, "volume", s.Volume.Central, d.Volume, 0.01)
}

// 400 ml of pure ethanol and 600 ml of water give 967.0 ml of 41.36 % (OIML R
// 22); 500 and 500 give 964.6 ml of 51.83 %. To the last digit.
func TestTheGlassHoldsLessThanWasPoured(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		line        string
		volume, abv float64
	}{
		{"400 gin 100%, 600 water", 967.01, 41.36},
		{"500 gin 100%, 500 water", 964.63, 51.83},
	} {
		s := summed(t, w.line)
		near(t, w.line, s.Volume.Central, w.volume, 0.006)
		near(t, w.line, s.ABV.Central, w.abv, 0.006)
	}
}

func TestABandGoesWithTheWaterAndTheInfusion(t *testing.T) {
	t.Parallel()
	s := summed(t, "60 pepper tequila, 20 lime, shaken")
	for what, b := range map[string]Band{"volume": s.Volume, "strength": s.ABV, "alcohol": s.Alcohol} {
		if !(b.Low < b.Central && b.Central < b.High) {
			t.Errorf("%s: %v", what, b)
		}
	}
	near(t, "low volume", s.Volume.Low, 100, 1)
	near(t, "high volume", s.Volume.High, 108, 1)
	if plain := summed(t, "60 tequila, 20 lime"); plain.ABV.Low != plain.ABV.High || plain.Method != AsPoured {
		t.Errorf("as poured, from the bottle, there is no band: %v", plain.ABV)
	}
}

func TestWhatTheBookTellsBesideTheFigures(t *testing.T) {
	t.Parallel()
	s := summed(t, "30 hazelnut rum, 30 dry vermouth, 1 egg white, 30 pepper tequila, 10 house syrup, shaken")
	want := Sums{
		Contains: []string{"nuts", "sulphites", "eggs"},
		Untold:   []Untold{{"dry vermouth", "sugar"}},
		Uses:     []Use{{"pepper tequila", "short with lime"}},
	}
	got := Sums{Contains: s.Contains, Untold: s.Untold, Uses: s.Uses}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]Untold{{"rhubarb", "sugar and acid"}}, summed(t, "60 rhubarb gin, 20 rhubarb gin").Untold); diff != "" {
		t.Error(diff)
	}
	near(t, "sugar of the book's syrup", s.Sugar, 6.15, 1e-9)
}

func TestNothingSumsToNothing(t *testing.T) {
	t.Parallel()
	if diff := cmp.Diff(Sums{}, Sum(Drink{})); diff != "" {
		t.Error(diff)
	}
	if s := Sum(Drink{}); s.SugarPer100() != 0 || s.AcidPercent() != 0 {
		t.Error("an empty glass has no share of anything")
	}
}

func TestEveryIngredientHasItsSourceAndMixes(t *testing.T) {
	t.Parallel()
	for _, i := range ingredients {
		if i.source == "" {
			t.Errorf("%s has no source", i.name)
		}
		for _, name := range append([]string{i.name}, i.aliases...) {
			s := summed(t, "30 ml "+name)
			if s.Parts[0].Name != i.name {
				t.Errorf("%q reads as %q, want %q", name, s.Parts[0].Name, i.name)
			}
			near(t, name, s.Volume.Central, 30, 0.01)
			near(t, name, s.ABV.Central, i.strength, 0.01)
		}
	}
}
