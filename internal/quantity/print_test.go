package quantity_test

import (
	"testing"
	"time"

	"ventbell/internal/quantity"
)

func TestVolumePrintsAsTheKitchenWritesIt(t *testing.T) {
	t.Parallel()
	for want, v := range map[string]quantity.Volume{
		"0 ml":    0,
		"2.5 ml":  2500 * quantity.Microlitre,
		"22.5 ml": 22500 * quantity.Microlitre,
		"100 ml":  99_960 * quantity.Microlitre,
		"473 ml":  16 * quantity.USFluidOunce,
		"500 ml":  500 * quantity.Millilitre,
		"999 ml":  999_400 * quantity.Microlitre,
		"1 l":     999_600 * quantity.Microlitre,
		"1.5 l":   1500 * quantity.Millilitre,
		"1.283 l": 1283 * quantity.Millilitre,
		"-50 ml":  -50 * quantity.Millilitre,
	} {
		if got := v.String(); got != want {
			t.Errorf("%d µl prints as %q, want %q", int64(v), got, want)
		}
	}
}

func TestMassPrintsAsTheScaleShowsIt(t *testing.T) {
	t.Parallel()
	for want, m := range map[string]quantity.Mass{
		"0 g":     0,
		"0.8 g":   800 * quantity.Milligram,
		"2.5 g":   2500 * quantity.Milligram,
		"3 g":     3 * quantity.Gram,
		"10 g":    9960 * quantity.Milligram,
		"13 g":    12_600 * quantity.Milligram,
		"80 g":    80 * quantity.Gram,
		"1 kg":    999_900 * quantity.Milligram,
		"1.25 kg": 1250 * quantity.Gram,
	} {
		if got := m.String(); got != want {
			t.Errorf("%d mg prints as %q, want %q", int64(m), got, want)
		}
	}
}

func TestOtherQuantitiesPrintWithTheirUnit(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ got, want string }{
		{(20 * quantity.GramsPer100).String(), "20 g/100ml"},
		{(quantity.GramsPer100 * 3 / 2).String(), "1.5 g/100ml"},
		{(40 * quantity.Percent).String(), "40 %"},
		{quantity.Strength(375).String(), "37.5 %"},
		{(20 * quantity.Celsius).String(), "20 C"},
		{quantity.Temperature(-185).String(), "-18.5 C"},
		{quantity.Temperature(-5).String(), "-0.5 C"},
	} {
		if c.got != c.want {
			t.Errorf("prints as %q, want %q", c.got, c.want)
		}
	}
}

func TestSpansPrintAsClockAndAsWords(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		d            time.Duration
		clock, words string
	}{
		{0, "0:00", "0 s"},
		{45 * time.Second, "0:45", "45 s"},
		{60 * time.Second, "1:00", "60 s"},
		{90 * time.Second, "1:30", "90 s"},
		{2 * time.Minute, "2:00", "2 min"},
		{150 * time.Second, "2:30", "2 min 30 s"},
		{119600 * time.Millisecond, "2:00", "2 min"},
		{80 * time.Minute, "1:20:00", "1 h 20 min"},
		{2*time.Hour + 5*time.Second, "2:00:05", "2 h 5 s"},
		{-75 * time.Second, "-1:15", "-75 s"},
	} {
		if got := quantity.Clock(c.d); got != c.clock {
			t.Errorf("Clock(%v) = %q, want %q", c.d, got, c.clock)
		}
		if got := quantity.Words(c.d); got != c.words {
			t.Errorf("Words(%v) = %q, want %q", c.d, got, c.words)
		}
	}
}
