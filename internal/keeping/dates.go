package keeping

import (
	"fmt"
	"time"

	"ventbell/internal/quantity"
)

// Date is a day of the calendar without an hour or a zone. Days are counted on
// the calendar, so a day on which the clocks change is one day like any other.
// The zero Date is no date.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// DateOf gives the calendar day of a moment in the moment's own zone.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{y, m, d}
}

// BusinessDate gives the day that a shift calls its own: until the wall clock
// shows dayStarts, the night still belongs to the day before.
func BusinessDate(t time.Time, dayStarts time.Duration) Date {
	h, m, s := t.Clock()
	wall := time.Duration(h)*time.Hour + time.Duration(m)*time.Minute + time.Duration(s)*time.Second
	if wall < dayStarts {
		return DateOf(t).Plus(-1)
	}
	return DateOf(t)
}

// IsZero reports whether d is no date.
func (d Date) IsZero() bool { return d == Date{} }

// Plus gives the day that many days later.
func (d Date) Plus(days int) Date { return DateOf(d.noon().AddDate(0, 0, days)) }

// Since gives how many days d lies after other.
func (d Date) Since(other Date) int {
	// Both are noons of UTC, which knows no change of clocks.
	return int(d.noon().Sub(other.noon()) / (24 * time.Hour))
}

// Before reports whether d is an earlier day than other.
func (d Date) Before(other Date) bool { return d.noon().Before(other.noon()) }

// Weekday gives the day of the week.
func (d Date) Weekday() time.Weekday { return d.noon().Weekday() }

// String gives the day as ISO 8601 writes it.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day) }

func (d Date) noon() time.Time { return time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, time.UTC) }

// earlier gives the earlier of two days, where no date is later than any.
func earlier(a, b Date) Date {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}

// The years that a kitchen's dates can lie in; outside, something was mistyped.
const firstYear, lastYear = 2000, 2199

// checkDate refuses a day that is not on the calendar. No date passes.
func checkDate(what string, d Date) error {
	if d.IsZero() {
		return nil
	}
	if err := quantity.Within("year of "+what, float64(d.Year), firstYear, lastYear, ""); err != nil {
		return err
	}
	if err := quantity.Within("month of "+what, float64(d.Month), 1, 12, ""); err != nil {
		return err
	}
	last := time.Date(d.Year, d.Month+1, 0, 12, 0, 0, 0, time.UTC).Day()
	return quantity.Within("day of "+what, float64(d.Day), 1, float64(last), "")
}

// Freeze is one stay in the freezer. The day it goes in and the day it is
// thawed both count as used; the days between do not.
type Freeze struct {
	In  Date
	Out Date // zero = still frozen
}

// paused gives how many days do not count.
func (f Freeze) paused() int {
	if f.Out.IsZero() {
		return 0
	}
	return max(0, f.Out.Since(f.In)-1)
}
