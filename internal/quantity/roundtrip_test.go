package quantity_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/quantity"
)

func TestWhatIsPrintedReadsBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		v := quantity.Volume(rapid.Int64Range(0, int64(999*quantity.Litre)).Draw(t, "µl"))
		back, err := quantity.ParseVolume(v.String())
		if err != nil {
			t.Fatalf("%q: %v", v, err)
		}
		if off := max(v-back, back-v); off > quantity.Millilitre/2 || v%quantity.Millilitre == 0 && off != 0 {
			t.Fatalf("%d µl printed as %q reads back as %d", int64(v), v, int64(back))
		}
		if back.String() != v.String() {
			t.Fatalf("%q prints as %q the second time", v, back)
		}
		m := quantity.Mass(rapid.Int64Range(0, int64(999*quantity.Kilogram)).Draw(t, "mg"))
		weighed, err := quantity.ParseMass(m.String())
		if off := max(m-weighed, weighed-m); err != nil || off > quantity.Gram/2 || m%quantity.Gram == 0 && off != 0 {
			t.Fatalf("%d mg printed as %q reads back as %d, %v", int64(m), m, int64(weighed), err)
		}
	})
}

func TestExactFiguresReadBackExactly(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := quantity.Ratio(rapid.Int64Range(0, 200_000).Draw(t, "ratio"))
		if back, err := quantity.ParseRatio(r.String()); err != nil || back != r {
			t.Fatalf("%q reads back as %q, %v", r, back, err)
		}
		s := quantity.Strength(rapid.IntRange(0, 1000).Draw(t, "strength"))
		if back, err := quantity.ParseStrength(s.String()); err != nil || back != s {
			t.Fatalf("%q reads back as %q, %v", s, back, err)
		}
		c := quantity.Temperature(rapid.IntRange(-800, 2500).Draw(t, "temperature"))
		if back, err := quantity.ParseTemperature(c.String()); err != nil || back != c {
			t.Fatalf("%q reads back as %q, %v", c, back, err)
		}
		d := time.Duration(rapid.Int64Range(0, 400*24*3600).Draw(t, "seconds")) * time.Second
		if back, err := quantity.ParseSpan(quantity.Words(d)); err != nil || back != d {
			t.Fatalf("%q reads back as %v, %v", quantity.Words(d), back, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"500 ml", "1.25 kg", "20 g/100ml", "-18 C", "1 h 20 min", "40 %", "16 US fl oz", "24.00", "0,5 l", "", "µ", "9.9.9"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if v, err := quantity.ParseVolume(s); err == nil && (v < 0 || v > 1000*quantity.Litre) {
			t.Errorf("ParseVolume(%q) = %d", s, v)
		}
		if m, err := quantity.ParseMass(s); err == nil && (m < 0 || m > 1000*quantity.Kilogram) {
			t.Errorf("ParseMass(%q) = %d", s, m)
		}
		if r, err := quantity.ParseRatio(s); err == nil && (r < 0 || r > 200*quantity.GramsPer100) {
			t.Errorf("ParseRatio(%q) = %d", s, r)
		}
		if c, err := quantity.ParseTemperature(s); err == nil && (c < -80*quantity.Celsius || c > 250*quantity.Celsius) {
			t.Errorf("ParseTemperature(%q) = %d", s, c)
		}
		if p, err := quantity.ParseStrength(s); err == nil && (p < 0 || p > 100*quantity.Percent) {
			t.Errorf("ParseStrength(%q) = %d", s, p)
		}
		if m, err := quantity.ParseMoney(s); err == nil && (m < 0 || m > 1_000_000_00) {
			t.Errorf("ParseMoney(%q) = %d", s, int64(m))
		}
		if d, err := quantity.ParseSpan(s); err == nil && (d < 0 || d > 400*24*time.Hour) {
			t.Errorf("ParseSpan(%q) = %v", s, d)
		}
	})
}
