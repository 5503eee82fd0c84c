package glass

import (
	"testing"

	"ventbell/internal/spirit"
)

// The authorities' own examples. US: National Institute on Alcohol Abuse and
// Alcoholism, 12 fl oz at 5 %, 5 fl oz at 12 % and 1.5 fl oz at 40 % are one
// drink each (0.6 fl oz of alcohol, told as about 14 g: within 2 %). UK: 25 ml
// of 40 % is one unit, 35 ml is 1.4. Australia, in drinks of 10 g: 30 ml of
// 40 % is 0.95. The last digit is the tolerance.
func TestStandardDrinksAreThoseOfTheAuthorities(t *testing.T) {
	t.Parallel()
	all := Standards()
	us, uk, ten := all[0], all[1], all[2]
	for _, line := range []string{"12 oz gin 5%", "5 oz gin 12%", "1.5 oz gin 40%"} {
		near(t, "US, "+line, us.Of(summed(t, line).Alcohol.Central), 1, 0.02)
	}
	near(t, "UK, 25 ml", uk.Of(summed(t, "25 ml gin 40%").Alcohol.Central), 1, 0.005)
	near(t, "UK, 35 ml", uk.Of(summed(t, "35 ml gin 40%").Alcohol.Central), 1.4, 0.005)
	near(t, "Australia, 30 ml", ten.Of(summed(t, "30 ml gin 40%").Alcohol.Central), 0.95, 0.005)
	// 20 ml of pure alcohol: 1.13 US drinks, 2.0 UK units, 1.6 drinks of 10 g.
	pure := summed(t, "20 ml gin 100%").Alcohol.Central
	near(t, "pure, g", pure, 15.8, 0.05)
	near(t, "pure, US", us.Of(pure), 1.13, 0.005)
	near(t, "pure, UK", uk.Of(pure), 2, 0.0005)
	near(t, "pure, 10 g", ten.Of(pure), 1.6, 0.05)
	for _, s := range all {
		if s.Source == "" || (s.Grams > 0) == (s.Millilitres > 0) {
			t.Errorf("%+v names no source, or is defined twice", s)
		}
	}
}

func TestEthanolAndWaterWeighWhatTheTableSays(t *testing.T) {
	t.Parallel()
	for fraction, want := range map[float64]float64{1: ethanolDensity, 0: waterDensity} {
		got, err := spirit.Density(fraction, spirit.Reference)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "density, g/ml", got/1000, want, 5e-6)
	}
}
