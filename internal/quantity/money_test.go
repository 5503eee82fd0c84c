package quantity_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ventbell/internal/quantity"
)

func TestMoneyPrintsWithTwoDecimals(t *testing.T) {
	t.Parallel()
	for want, m := range map[string]quantity.Money{
		"0.00": 0, "0.05": 5, "0.70": 70, "24.00": 2400, "1000000.00": 1_000_000_00, "-0.05": -5, "-12.30": -1230,
		"-92233720368547758.08": math.MinInt64,
	} {
		if got := m.String(); got != want {
			t.Errorf("%d prints as %q, want %q", int64(m), got, want)
		}
	}
}

func TestMoneyIsReadToTheHundredth(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]quantity.Money{
		"24.00": 2400, "24": 2400, "0.7": 70, " 0.70 ": 70, "0.01": 1, "0": 0, "24.000": 2400, "1000000": 1_000_000_00,
	} {
		if got, err := quantity.ParseMoney(text); err != nil || got != want {
			t.Errorf("ParseMoney(%q) = %d, %v; want %d", text, int64(got), err, want)
		}
	}
	for text, want := range map[string]string{
		"": "no number", "EUR": "no number", ".70": "no number", "0.705": "at most two decimals", "0,70": "with a point",
		"1,000": "with a point", "-1": "below nothing", "24.00 EUR": "bare amount", "€24": "no number", "1e3": "bare amount",
		"NaN": "no number", "1000000.01": "too much", "99999999999": "too many digits",
	} {
		if got, err := quantity.ParseMoney(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("ParseMoney(%q) = %d, %v; want an error that says %q", text, int64(got), err, want)
		}
	}
}

func TestPrintedMoneyReadsBackExactly(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := quantity.Money(rapid.Int64Range(0, 1_000_000_00).Draw(t, "hundredths"))
		if back, err := quantity.ParseMoney(m.String()); err != nil || back != m {
			t.Fatalf("%d printed as %q reads back as %d, %v", int64(m), m, int64(back), err)
		}
	})
}

func TestARoomIsReadInCubicMetres(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]quantity.Volume{
		"46 m3": 46 * quantity.CubicMetre, "46m³": 46_000 * quantity.Litre, "30.5 M3": 30_500 * quantity.Litre,
	} {
		if got, err := quantity.ParseRoom(text); err != nil || got != want {
			t.Errorf("ParseRoom(%q) = %d, %v; want %d", text, int64(got), err, int64(want))
		}
	}
	for text, want := range map[string]string{
		"46": `like "46 m3"`, "46000 l": "unknown unit", "1000000 m3": "too much", "-1 m3": "below nothing",
	} {
		if got, err := quantity.ParseRoom(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("ParseRoom(%q) = %d, %v; want an error that says %q", text, int64(got), err, want)
		}
	}
}

func TestAFigureOfOneUnitIsReadInTenths(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text, like string
		want       int
	}{
		{"66.7 Brix", "50 Brix", 667},
		{"50brix", "50 Brix", 500},
		{"8.0/h", "8.0/h", 80},
		{"12 /h", "8.0/h", 120},
		{"6 %", "5 %", 60},
		{"88.7 g/100ml", "61.5 g/100ml", 887},
		{"6.25 %", "5 %", 63},
	} {
		if got, err := quantity.ParseTenths(c.text, c.like, 1000); err != nil || got != c.want {
			t.Errorf("ParseTenths(%q) = %d, %v; want %d", c.text, got, err, c.want)
		}
	}
	for text, want := range map[string]string{
		"8": `say the unit, like "8.0/h"`, "8 %": "unknown unit", "101/h": "too much", "0.01/h": "too little", "/h": "no number",
	} {
		if got, err := quantity.ParseTenths(text, "8.0/h", 1000); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("ParseTenths(%q) = %d, %v; want an error that says %q", text, got, err, want)
		}
	}
}
