package spirit

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"ventbell/internal/quantity"
)

const (
	ml      = quantity.Millilitre
	gram    = quantity.Gram
	percent = quantity.Percent
)

// Source: worked mixtures at 20 °C by the OIML densities, done apart from this
// code: volume, contraction and strength to the last printed digit.
func TestMixingContracts(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		ethanol, water                quantity.Volume
		volume, contraction, strength float64
	}{
		{500, 500, 964.63, 3.54, 51.83},
		{400, 600, 967.01, 3.30, 41.36},
	} {
		e, water := blend(t, w.ethanol*ml, 100*percent), blend(t, w.water*ml, 0)
		both := e.Plus(water)
		near(t, "volume", both.Millilitres(), w.volume, 0.006)
		near(t, "contraction", 100*Contraction(e, water), w.contraction, 0.006)
		near(t, "strength", both.Percent(), w.strength, 0.006)
	}
}

// Source: worked dilutions of 500 ml by the water of produce, with the water
// content of USDA's National Nutrient Database: green chile 0.917, cucumber
// 0.952. The shares that trade are from memory.
func TestProduceWaterLowersTheStrength(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		strength             quantity.Strength
		water                float64
		none, few, half, all float64
	}{
		{40, 60 * 0.917, 40.0, 38.74, 37.94, 36.07},
		{40, 100 * 0.952, 40.0, 37.86, 36.55, 33.64},
		{60, 60 * 0.917, 60.0, 58.16, 56.99, 54.25},
	} {
		b := blend(t, 500*ml, w.strength*percent)
		for share, want := range map[float64]float64{0: w.none, 0.3: w.few, 0.5: w.half, 1: w.all} {
			near(t, "strength", b.exchanged(share, w.water), want, 0.006)
		}
		mass := quantity.Mass(w.water * float64(gram))
		r, err := AfterProduce(500*ml, w.strength*percent, mass)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "low", r.Low, w.all, 0.006)
		near(t, "high", r.High, b.exchanged(0.2, w.water), 1e-3)
	}
	water, err := OfWater(60 * gram)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "60 g of water", blend(t, 500*ml, 40*percent).Plus(water).Percent(), 35.748, 6e-4)
}

func TestStrengthNeverRisesByAddingProduce(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		volume := quantity.Volume(rapid.IntRange(50, 2000).Draw(t, "ml")) * ml
		strength := quantity.Strength(rapid.IntRange(0, 1000).Draw(t, "strength"))
		water := quantity.Mass(rapid.IntRange(0, 500_000).Draw(t, "mg"))
		less, err := AfterProduce(volume, strength, water)
		if err != nil {
			t.Fatal(err)
		}
		more, err := AfterProduce(volume, strength, water+1000)
		if err != nil {
			t.Fatal(err)
		}
		before := float64(strength)/10 + 1e-9
		if !(less.Low <= less.High && less.High <= before && more.Low <= less.Low && more.High <= less.High) {
			t.Fatalf("%d tenths: %+v with %d mg, %+v with a gram more", strength, less, water, more)
		}
	})
}

func TestDilutingReachesTheTarget(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		from := quantity.Strength(rapid.IntRange(50, 1000).Draw(t, "from"))
		to := quantity.Strength(rapid.IntRange(20, int(from)).Draw(t, "to"))
		d, err := Dilute(700*ml, from, to)
		if err != nil {
			t.Fatal(err)
		}
		b := of(700, float64(from)/10)
		got := b.Plus(Blend{water: d.Water})
		if math.Abs(got.Percent()-float64(to)/10) > 1e-6 || d.Water < 0 || math.Abs(got.Millilitres()-d.Volume) > 1e-9 {
			t.Fatalf("%d to %d tenths: %+v gives %v %% vol", from, to, d, got.Percent())
		}
		if math.Abs(got.Grams()-b.Grams()-d.Water) > 1e-9*got.Grams() || got.Ethanol() != b.Ethanol() {
			t.Fatalf("mass is not kept: %+v and %v g give %+v", b, d.Water, got)
		}
	})
}

func TestBadMixturesAreRefused(t *testing.T) {
	t.Parallel()
	var out *quantity.RangeError
	for _, in := range []struct {
		volume   quantity.Volume
		strength quantity.Strength
	}{{0, 400}, {-ml, 400}, {500 * ml, -1}, {500 * ml, 1001}, {11000 * quantity.Litre, 400}} {
		if b, err := Of(in.volume, in.strength); !errors.As(err, &out) || b != (Blend{}) {
			t.Errorf("Of(%d, %d) = %+v, %v", in.volume, in.strength, b, err)
		}
		if r, err := AfterProduce(in.volume, in.strength, gram); !errors.As(err, &out) || r != (Range{}) {
			t.Errorf("AfterProduce(%d, %d) = %+v, %v", in.volume, in.strength, r, err)
		}
	}
	if r, err := AfterProduce(500*ml, 400, -1); !errors.As(err, &out) {
		t.Errorf("produce that takes water: %+v, %v", r, err)
	}
	if b, err := OfWater(-1); !errors.As(err, &out) {
		t.Errorf("less than no water: %+v, %v", b, err)
	}
	for _, to := range []quantity.Strength{0, -1, 401} {
		if d, err := Dilute(500*ml, 400, to); !errors.As(err, &out) || d != (Dilution{}) {
			t.Errorf("down from 40 to %d tenths: %+v, %v", to, d, err)
		}
	}
	if c := Contraction(Blend{}, Blend{}); c != 0 {
		t.Errorf("nothing contracts by %v", c)
	}
}

func blend(t *testing.T, volume quantity.Volume, strength quantity.Strength) Blend {
	t.Helper()
	b, err := Of(volume, strength)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func BenchmarkAfterProduce(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := AfterProduce(500*ml, 400, 55*gram); err != nil {
			b.Fatal(err)
		}
	}
}
