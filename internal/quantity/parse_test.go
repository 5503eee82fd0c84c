package quantity_test

import (
	"math/big"
	"strings"
	"testing"
	"time"

	"ventbell/internal/quantity"
)

func TestFiguresAreReadWithTheirUnits(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]quantity.Volume{
		"500 ml": 500 * quantity.Millilitre, "500ml": 500 * quantity.Millilitre, " 0.5 L ": 500 * quantity.Millilitre,
		"70 cl": 700 * quantity.Millilitre, "2 dl": 200 * quantity.Millilitre, "0 ml": 0, "0.001 ml": 1,
	} {
		if got, err := quantity.ParseVolume(text); err != nil || got != want {
			t.Errorf("ParseVolume(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
	for text, want := range map[string]quantity.Mass{
		"80 g": 80 * quantity.Gram, "1.25 kg": 1250 * quantity.Gram, "93.61 g": 93_610, "250 mg": 250,
	} {
		if got, err := quantity.ParseMass(text); err != nil || got != want {
			t.Errorf("ParseMass(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
	for text, want := range map[string]quantity.Ratio{
		"20 g/100ml": 20_000, "1.5 g/100 ml": 1500, "200 g/l": 20_000,
	} {
		if got, err := quantity.ParseRatio(text); err != nil || got != want {
			t.Errorf("ParseRatio(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
	for text, want := range map[string]quantity.Temperature{
		"20 C": 200, "20°C": 200, "-18 C": -180, "68 F": 200, "-4 F": -200, "4.5 c": 45,
	} {
		if got, err := quantity.ParseTemperature(text); err != nil || got != want {
			t.Errorf("ParseTemperature(%q) = %d, %v; want %d", text, got, err, want)
		}
	}
	for text, want := range map[string]time.Duration{
		"90 s": 90 * time.Second, "2 min": 2 * time.Minute, "1.5 min": 90 * time.Second, "1 h 20 min": 80 * time.Minute,
		"2min30s": 150 * time.Second, "14 days": 14 * 24 * time.Hour, "0 s": 0,
	} {
		if got, err := quantity.ParseSpan(text); err != nil || got != want {
			t.Errorf("ParseSpan(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	if got, err := quantity.ParseStrength("37.5 %"); err != nil || got != 375 {
		t.Errorf("ParseStrength = %d, %v; want 375", got, err)
	}
}

func TestFiguresThatMeanNothingAreRefusedWithTheReason(t *testing.T) {
	t.Parallel()
	volume := func(s string) error { _, err := quantity.ParseVolume(s); return err }
	temperature := func(s string) error { _, err := quantity.ParseTemperature(s); return err }
	span := func(s string) error { _, err := quantity.ParseSpan(s); return err }
	for _, c := range []struct {
		parse      func(string) error
		text, want string
	}{
		{volume, "", "no number"},
		{volume, "ml", "no number"},
		{volume, ".5 l", "no number"},
		{volume, "1.2.3 l", "no number"},
		{volume, "NaN ml", "no number"},
		{volume, "Inf ml", "no number"},
		{volume, "1e3 ml", "unknown unit"},
		{volume, "500", `say the unit, like "500 ml"`},
		{volume, "500 g", "unknown unit"},
		{volume, "-5 ml", "below nothing"},
		{volume, "0,5 l", "with a point"},
		{volume, "1,000 ml", "with a point"},
		{volume, "16 fl oz", "US fl oz"},
		{volume, "5000 l", "too much"},
		{volume, "0.0001 ml", "too little"},
		{volume, strings.Repeat("9", 400) + " ml", "too many digits"},
		{temperature, "20", "say the unit"},
		{temperature, "20 K", "unknown unit"},
		{temperature, "400 C", "outside"},
		{temperature, "-400 F", "outside"},
		{temperature, "--5 C", "below nothing"},
		{span, "", "no number"},
		{span, "2:00", "unknown unit"},
		{span, "90", "say the unit"},
		{span, "20 min 1 h", "bigger part first"},
		{span, "5 min 5 min", "bigger part first"},
		{span, "90 s soon", "no number"},
		{span, "1000 days", "too much"},
	} {
		err := c.parse(c.text)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: error %v, want one that says %q", c.text, err, c.want)
		}
	}
}

// The definitions are published in NIST Handbook 44, appendix C: the US gallon
// is 231 cubic inches and holds 128 fluid ounces, the UK gallon is 4.54609
// litres and holds 160; the avoirdupois pound is 453.59237 g. The inch is
// 2.54 cm, so a cubic inch is 16.387064 ml.
func TestLegalUnitsAreExact(t *testing.T) {
	t.Parallel()
	inch := big.NewRat(254, 100)
	cubic := new(big.Rat).Mul(inch, new(big.Rat).Mul(inch, inch))
	gallon, _ := new(big.Rat).Mul(cubic, big.NewRat(231*1000, 1)).Float64() // µl
	for text, want := range map[string]float64{
		"128 US fl oz": gallon, "1 US fl oz": gallon / 128, "16 us fl oz": gallon / 8,
		"160 UK fl oz": 4_546_090, "1 UK fl oz": 4_546_090 / 160.0,
	} {
		got, err := quantity.ParseVolume(text)
		if off := float64(got) - want; err != nil || off > 0.5 || off < -0.5 {
			t.Errorf("%s = %d µl, %v; want %.3f rounded once", text, got, err, want)
		}
	}
	for text, want := range map[string]quantity.Mass{"1 lb": 453_592, "100 lb": 45_359_237, "16 oz": 453_592} {
		if got, err := quantity.ParseMass(text); err != nil || got != want {
			t.Errorf("%s = %d mg, %v; want %d", text, got, err, want)
		}
	}
	if quantity.USFluidOunce != 29574 || quantity.UKFluidOunce != 28413 || quantity.Ounce != 28350 {
		t.Error("an ounce constant is not its definition, rounded")
	}
}
