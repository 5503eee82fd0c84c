package quantity

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// String gives v as a kitchen writes it: millilitres below a litre ("500 ml"),
// with one decimal only under 100 ml ("22.5 ml"); litres from there ("1.5 l").
func (v Volume) String() string {
	return measure(int64(v), "ml", "l", 100)
}

// String gives m as a kitchen scale shows it: grams below a kilogram ("80 g"),
// with one decimal only under 10 g ("2.5 g"); kilograms from there ("1.25 kg").
func (m Mass) String() string {
	return measure(int64(m), "g", "kg", 10)
}

// measure writes a figure kept in thousandths of small, as small or, from a
// thousand of them up, as large. Under fine of small it keeps a tenth.
func measure(n int64, small, large string, fine int64) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	if tenths := divRound(n, 100); tenths < fine*10 {
		return sign + decimal(tenths, 1) + " " + small
	}
	whole := divRound(n, 1000)
	if whole < 1000 {
		return sign + strconv.FormatInt(whole, 10) + " " + small
	}
	return sign + decimal(whole, 3) + " " + large
}

// String gives r as the book writes it: "20 g/100ml".
func (r Ratio) String() string { return decimal(int64(r), 3) + " g/100ml" }

// String gives s as a label writes it: "40 %".
func (s Strength) String() string { return decimal(int64(s), 1) + " %" }

// String gives t in degrees Celsius: "20 C".
func (t Temperature) String() string { return decimal(int64(t), 1) + " C" }

// Clock gives d as a countdown shows it, to the second: "2:00", "0:45",
// "1:20:00".
func Clock(d time.Duration) string {
	sign, s := seconds(d)
	if s >= 3600 {
		return fmt.Sprintf("%s%d:%02d:%02d", sign, s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%s%d:%02d", sign, s/60, s%60)
}

// Words gives d as a cook says it, to the second: "90 s" (everything under two
// minutes), "2 min", "1 h 20 min".
func Words(d time.Duration) string {
	sign, s := seconds(d)
	if s < 120 {
		return fmt.Sprintf("%s%d s", sign, s)
	}
	var parts []string
	for _, u := range []struct {
		n    int64
		unit string
	}{{s / 3600, "h"}, {s / 60 % 60, "min"}, {s % 60, "s"}} {
		if u.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", u.n, u.unit))
		}
	}
	return sign + strings.Join(parts, " ")
}

// seconds splits d into its sign and its whole seconds, rounded.
func seconds(d time.Duration) (sign string, s int64) {
	s = int64(d.Round(time.Second) / time.Second)
	if s < 0 {
		return "-", -s
	}
	return "", s
}

// decimal writes n, which counts units of 10^-places, without idle zeros.
func decimal(n int64, places int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	digits := strconv.FormatInt(n, 10)
	if short := places + 1 - len(digits); short > 0 {
		digits = strings.Repeat("0", short) + digits
	}
	whole, part := digits[:len(digits)-places], strings.TrimRight(digits[len(digits)-places:], "0")
	if part == "" {
		return sign + whole
	}
	return sign + whole + "." + part
}

// divRound divides n, which is not negative, by d and rounds a half up.
func divRound(n, d int64) int64 { return (n + d/2) / d }
