package book

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"ventbell/internal/quantity"
)

// The most that a figure of a book can mean; above it something was mistyped.
const (
	mostCount    = 10 // chargers, hands, cycles
	mostBar      = 100
	mostAir      = 1000 // air changes, in tenths an hour
	mostAcidity  = 300  // tenths of a percent
	mostBrix     = 850  // tenths: thick honey
	mostSugar    = 1300 // tenths of a gram in 100 ml
	mostPrice    = 1_000_000_00
	mostRetained = 10 * quantity.Millilitre // in a gram
)

// above wraps parse to refuse a figure of nothing.
func above[T ~int | ~int64](parse func(string) (T, error)) func(string) (T, error) {
	return func(s string) (T, error) {
		v, err := parse(s)
		if err == nil && v == 0 {
			err = errors.New("it must be more than nothing")
		}
		return v, err
	}
}

var (
	aVolume       = above(quantity.ParseVolume)
	aRatio        = above(quantity.ParseRatio)
	aRoom         = above(quantity.ParseRoom)
	aChargerPrice = above(quantity.ParseMoney)
	aSpan         = above[time.Duration](quantity.ParseSpan)

	airChanges = above(tenths("8.0/h", mostAir))
	anAcidity  = above(tenths("5 %", mostAcidity))
	aBrix      = above(tenths("50 Brix", mostBrix))
	aSugar     = above(tenths("61.5 g/100ml", mostSugar))

	aPriceALitre    = price(quantity.ParseVolume, quantity.Litre, "24.00/l")
	aPriceAKilogram = price(quantity.ParseMass, quantity.Kilogram, "8.50/kg")
)

// tenths gives the reading of a figure kept in tenths.
func tenths(like string, most int) func(string) (int, error) {
	return func(s string) (int, error) { return quantity.ParseTenths(s, like, most) }
}

// price gives the reading of a price for a litre or a kilogram. Other packs
// count too: "16.80/70 cl" is rounded to the hundredth a litre.
func price[T ~int64](parse func(string) (T, error), whole T, like string) func(string) (quantity.Money, error) {
	return func(s string) (quantity.Money, error) {
		amount, pack, found := strings.Cut(s, "/")
		if !found {
			return 0, fmt.Errorf("%q does not say for how much, write it like %q", s, like)
		}
		money, err := quantity.ParseMoney(amount)
		if err != nil {
			return 0, err
		}
		if pack = strings.TrimSpace(pack); !strings.ContainsAny(pack, "0123456789") {
			pack = "1 " + pack
		}
		size, err := above(parse)(pack)
		if err != nil {
			return 0, err
		}
		each := (int64(money)*int64(whole) + int64(size)/2) / int64(size)
		if each < 1 || each > mostPrice {
			return 0, fmt.Errorf("%q is no price that can be meant", s)
		}
		return quantity.Money(each), nil
	}
}

// aRetention reads what a gram of solids keeps: "0.5 ml/g".
func aRetention(s string) (quantity.Volume, error) {
	kept, found := strings.CutSuffix(s, "/g")
	if !found {
		return 0, fmt.Errorf(`%q is no volume in a gram, write it like "0.5 ml/g"`, s)
	}
	v, err := aVolume(kept)
	if err == nil && v > mostRetained {
		err = errors.New("too much to be meant")
	}
	return v, err
}

// aHold reads a whole number of days: "7 days".
func aHold(s string) (int, error) {
	const day = 24 * time.Hour
	d, err := aSpan(s)
	if err == nil && d%day != 0 {
		err = fmt.Errorf(`%q is no whole number of days, write it like "7 days"`, s)
	}
	return int(d / day), err
}

// aCount reads a whole number, of chargers for instance.
func aCount(s string) (int, error) {
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 || n > mostCount {
		return 0, fmt.Errorf("%q is no whole number from 1 to %d", s, mostCount)
	}
	return n, nil
}

// aPressure reads a pressure in whole bar: "25 bar".
func aPressure(s string) (int, error) {
	number, found := strings.CutSuffix(s, "bar")
	n, err := strconv.Atoi(strings.TrimSpace(number))
	if !found || err != nil || n < 1 || n > mostBar {
		return 0, fmt.Errorf(`%q is no pressure from 1 to %d bar, write it like "25 bar"`, s, mostBar)
	}
	return n, nil
}
