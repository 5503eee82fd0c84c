package plan

import (
	"errors"
	"slices"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// The most that can be meant of what is put in place of the book's figures;
// above it something was mistyped.
const (
	leastCharge = quantity.Gram
	mostCharge  = 20 * quantity.Gram
	leastBrim   = 50 * quantity.Millilitre
	mostBrim    = 20 * quantity.Litre
	mostABV     = 100 * quantity.Percent
	latestOpen  = 12 // o'clock
	firstYear   = 2000
	lastYear    = 2199
)

// check refuses what means nothing.
func (in Input) check() error {
	within := func(given bool, what string, value, low, high float64, unit string) error {
		if !given {
			return nil
		}
		return quantity.Within(what, value, low, high, unit)
	}
	return errors.Join(
		within(in.Charge != 0, "charge of one charger", in.Charge.Grams(), leastCharge.Grams(), mostCharge.Grams(), "g"),
		within(in.Brim != 0, "brim volume", in.Brim.Millilitres(), leastBrim.Millilitres(), mostBrim.Millilitres(), "ml"),
		within(in.ABV != 0, "strength", percent(in.ABV), percent(1), percent(mostABV), "% vol"),
		within(true, "hour at which the house opens", float64(in.Opens), 0, latestOpen, "h"),
		within(!in.Now.IsZero(), "year", float64(in.Now.Year()), firstYear, lastYear, ""),
	)
}

// percent gives a strength in percent by volume.
func percent(s quantity.Strength) float64 { return float64(s) / float64(quantity.Percent) }

// outOfRange makes a problem of an error of the rooms that work out figures.
func outOfRange(err error) *Problem {
	var out *quantity.RangeError
	if errors.As(err, &out) {
		return &Problem{Code: BadFigure, Name: out.What, Range: out}
	}
	return &Problem{Code: BadFigure, Name: err.Error()}
}

// vessels gives the vessels with the brim volume that is tried.
func (in Input) vessels(free []book.Vessel) []book.Vessel {
	if in.Brim == 0 {
		return free
	}
	free = slices.Clone(free)
	for i := range free {
		free[i].Brim = in.Brim
	}
	return free
}

// charge gives the gas of one charger.
func (in Input) charge() quantity.Mass {
	if in.Charge != 0 {
		return in.Charge
	}
	return GasPerCharger
}
