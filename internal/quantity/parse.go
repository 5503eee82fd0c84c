package quantity

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
	"time"
)

// The most that a figure in a kitchen's book can mean; above it something was
// mistyped.
const (
	mostVolume   = 1000 * Litre
	mostRoom     = 100_000 * CubicMetre
	mostMass     = 1000 * Kilogram
	mostRatio    = 200 * GramsPer100
	mostStrength = 100 * Percent
	coldest      = -80 * Celsius
	hottest      = 250 * Celsius
	mostSpan     = 400 * 24 * time.Hour
	mostDigits   = 9 // on either side of the point
)

// ParseVolume reads a volume with its unit: "500 ml", "0.5 l", "70 cl",
// "16 US fl oz". An ounce must say whose it is.
func ParseVolume(s string) (Volume, error) {
	n, err := parse(s, "500 ml", volumeUnits, int64(mostVolume))
	return Volume(n), wrap("volume", s, err)
}

// ParseRoom reads the volume of a room: "46 m3".
func ParseRoom(s string) (Volume, error) {
	n, err := parse(s, "46 m3", roomUnits, int64(mostRoom))
	return Volume(n), wrap("room", s, err)
}

// ParseMass reads a mass with its unit: "80 g", "1.25 kg", "2 oz".
func ParseMass(s string) (Mass, error) {
	n, err := parse(s, "80 g", massUnits, int64(mostMass))
	return Mass(n), wrap("mass", s, err)
}

// ParseRatio reads a mass of solids per 100 ml of liquid: "20 g/100ml".
func ParseRatio(s string) (Ratio, error) {
	n, err := parse(s, "20 g/100ml", ratioUnits, int64(mostRatio))
	return Ratio(n), wrap("ratio", s, err)
}

// ParseStrength reads a strength by volume: "40 %".
func ParseStrength(s string) (Strength, error) {
	n, err := parse(s, "40 %", strengthUnits, int64(mostStrength))
	return Strength(n), wrap("strength", s, err)
}

// ParseTenths reads a figure that has one unit only, in tenths and up to so
// many of them: "66.7 Brix" is 667. like shows how such a figure is written.
func ParseTenths(s, like string, most int) (int, error) {
	_, unit, err := split(like)
	if err != nil {
		return 0, err
	}
	n, err := parse(s, like, map[string]*big.Rat{strings.ToLower(unit): big.NewRat(10, 1)}, int64(most))
	return int(n), wrap("figure", s, err)
}

// ParseTemperature reads a temperature with its unit: "20 C", "-18 C", "68 F".
func ParseTemperature(s string) (Temperature, error) {
	t, err := parseTemperature(s)
	return t, wrap("temperature", s, err)
}

func parseTemperature(s string) (Temperature, error) {
	number, below := strings.CutPrefix(strings.TrimSpace(s), "-")
	value, unit, err := split(number)
	if err != nil {
		return 0, err
	}
	if below {
		value.Neg(value)
	}
	switch strings.ToLower(strings.TrimPrefix(unit, "°")) {
	case "c":
	case "f":
		value.Mul(value.Sub(value, big.NewRat(32, 1)), big.NewRat(5, 9))
	case "":
		return 0, errors.New(`say the unit, like "20 C"`)
	default:
		return 0, fmt.Errorf(`unknown unit %q, write it like "20 C"`, unit)
	}
	t := Temperature(round(value.Mul(value, big.NewRat(int64(Celsius), 1))))
	if t < coldest || t > hottest {
		return 0, fmt.Errorf("outside %s to %s", coldest, hottest)
	}
	return t, nil
}

// ParseSpan reads a span of time with its units: "90 s", "2 min",
// "1 h 20 min", "14 days".
func ParseSpan(s string) (time.Duration, error) {
	d, err := parseSpan(s)
	return d, wrap("span", s, err)
}

func parseSpan(s string) (time.Duration, error) {
	var sum time.Duration
	last := mostSpan + 1
	rest := strings.TrimSpace(s)
	for first := true; first || rest != ""; first = false {
		part := rest[:endOfPart(rest)]
		n, err := parse(part, "90 s", spanUnits, int64(mostSpan))
		if err != nil {
			return 0, err
		}
		if time.Duration(n) >= last {
			return 0, errors.New("write the bigger part first")
		}
		last = time.Duration(n)
		sum += last
		rest = strings.TrimSpace(rest[len(part):])
	}
	if sum > mostSpan {
		return 0, errors.New("too much to be meant")
	}
	return sum, nil
}

// endOfPart finds where the first number with its unit ends.
func endOfPart(s string) int {
	unit := strings.IndexFunc(s, isUnitLetter)
	if unit < 0 {
		return len(s)
	}
	return len(s) - len(strings.TrimLeftFunc(s[unit:], isUnitLetter))
}

func isUnitLetter(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' }

// The units, each as so many of the unit that the type counts in. The legal
// definitions are exact: a US gallon is 231 cubic inches of 16.387064 ml and a
// UK gallon 4.54609 litres, the ounce is 28.349523125 g (NIST Handbook 44,
// appendix C). A sum is rounded once, at the end.
var (
	volumeUnits = map[string]*big.Rat{
		"µl": big.NewRat(1, 1), "ul": big.NewRat(1, 1),
		"ml": big.NewRat(1e3, 1), "cl": big.NewRat(1e4, 1), "dl": big.NewRat(1e5, 1), "l": big.NewRat(1e6, 1),
		"us fl oz": big.NewRat(3785411784, 128*1000), "uk fl oz": big.NewRat(4546090, 160),
	}
	roomUnits = map[string]*big.Rat{"m3": big.NewRat(1e9, 1), "m³": big.NewRat(1e9, 1)}
	massUnits = map[string]*big.Rat{
		"mg": big.NewRat(1, 1), "g": big.NewRat(1e3, 1), "kg": big.NewRat(1e6, 1),
		"oz": big.NewRat(28349523125, 1e6), "lb": big.NewRat(45359237, 100),
	}
	ratioUnits = map[string]*big.Rat{
		"g/100ml": big.NewRat(1e3, 1), "g/100 ml": big.NewRat(1e3, 1), "g/l": big.NewRat(100, 1),
	}
	strengthUnits = map[string]*big.Rat{"%": big.NewRat(int64(Percent), 1)}
	spanUnits     = map[string]*big.Rat{
		"s": ratOf(time.Second), "sec": ratOf(time.Second), "second": ratOf(time.Second), "seconds": ratOf(time.Second),
		"min": ratOf(time.Minute), "minute": ratOf(time.Minute), "minutes": ratOf(time.Minute),
		"h": ratOf(time.Hour), "hour": ratOf(time.Hour), "hours": ratOf(time.Hour),
		"d": ratOf(24 * time.Hour), "day": ratOf(24 * time.Hour), "days": ratOf(24 * time.Hour),
	}
)

func ratOf(d time.Duration) *big.Rat { return big.NewRat(int64(d), 1) }

// parse reads one number with one of the units, exactly, and rounds it to what
// the type counts in. like is how such a figure is written.
func parse(s, like string, units map[string]*big.Rat, most int64) (int64, error) {
	value, unit, err := split(s)
	if err != nil {
		return 0, err
	}
	size, known := units[strings.ToLower(unit)]
	switch {
	case known:
	case unit == "":
		return 0, fmt.Errorf("say the unit, like %q", like)
	case strings.EqualFold(unit, "fl oz"):
		return 0, errors.New(`say "US fl oz" or "UK fl oz"`)
	default:
		return 0, fmt.Errorf("unknown unit %q, write it like %q", unit, like)
	}
	positive := value.Sign() > 0
	value.Mul(value, size)
	if value.Cmp(big.NewRat(most, 1)) > 0 {
		return 0, errors.New("too much to be meant")
	}
	n := round(value)
	if positive && n == 0 {
		return 0, errors.New("too little to measure")
	}
	return n, nil
}

// split cuts a figure into its number, plain decimal digits with at most one
// point, and its unit.
func split(s string) (*big.Rat, string, error) {
	s = strings.TrimSpace(s)
	end := 0
	for end < len(s) && (s[end] >= '0' && s[end] <= '9' || s[end] == '.') {
		end++
	}
	number, unit := s[:end], strings.Join(strings.Fields(s[end:]), " ")
	whole, part, point := strings.Cut(number, ".")
	switch {
	case strings.HasPrefix(unit, ",") && number != "":
		return nil, "", errors.New("write a decimal with a point and a thousand without a mark")
	case strings.HasPrefix(s, "-"):
		return nil, "", errors.New("below nothing")
	case whole == "", point && part == "", strings.Contains(part, "."):
		return nil, "", errors.New("no number")
	case len(whole) > mostDigits || len(part) > mostDigits:
		return nil, "", errors.New("too many digits")
	}
	value, ok := new(big.Rat).SetString(number)
	if !ok {
		return nil, "", errors.New("no number")
	}
	return value, unit, nil
}

// round gives v as the nearest integer, a half away from zero.
func round(v *big.Rat) int64 {
	twice := new(big.Int).Lsh(new(big.Int).Abs(v.Num()), 1)
	twice.Add(twice, v.Denom())
	n := twice.Quo(twice, new(big.Int).Lsh(v.Denom(), 1)).Int64()
	if v.Sign() < 0 {
		return -n
	}
	return n
}

func wrap(what, s string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("read %s %q: %w", what, s, err)
}
