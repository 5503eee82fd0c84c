package keeping_test

import (
	"testing"
	"time"
	_ "time/tzdata"

	"pgregory.net/rapid"

	"ventbell/internal/keeping"
)

func on(y int, m time.Month, d int) keeping.Date { return keeping.Date{Year: y, Month: m, Day: d} }

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// Source: Southern Nevada Health District, questions and answers on date
// marking (Food Code 3-501.17): made on 1 April, used or discarded by the end
// of 7 April, the day of preparation being day one.
func TestFoodCodeDateMarkingExample(t *testing.T) {
	t.Parallel()
	c := base(keeping.Dairy, keeping.Dry)
	c.Made = time.Date(2026, time.April, 1, 9, 0, 0, 0, time.UTC)
	if k, _ := decide(t, c); k.UseBy != on(2026, time.April, 7) || k.KeepDays != 7 || k.Start != on(2026, time.April, 1) {
		t.Errorf("made 1 April, use by %s, %d days from %s", k.UseBy, k.KeepDays, k.Start)
	}
}

// Source: Conference for Food Protection 2016, issue I-034: inspectors read the
// seventh day by the calendar or by the hour; the calendar is the earlier.
func TestTheHourOfPreparationBuysNothing(t *testing.T) {
	t.Parallel()
	c := base(keeping.Dairy, keeping.Dry)
	c.Made = time.Date(2026, time.April, 1, 23, 0, 0, 0, time.UTC)
	if k, _ := decide(t, c); k.UseBy != on(2026, time.April, 7) {
		t.Errorf("made at 23:00 on 1 April, use by %s", k.UseBy)
	}
}

// Common practice, no source.
func TestAfterMidnightCountsFromTheShiftsDay(t *testing.T) {
	t.Parallel()
	c := base(keeping.Dairy, keeping.Dry)
	c.DayStarts = 5 * time.Hour
	for _, w := range []struct {
		h, m int
		want keeping.Date
	}{
		{1, 30, on(2026, time.April, 7)},
		{4, 59, on(2026, time.April, 7)},
		{5, 0, on(2026, time.April, 8)},
		{23, 59, on(2026, time.April, 8)},
	} {
		c.Made = time.Date(2026, time.April, 2, w.h, w.m, 0, 0, time.UTC)
		k, found := decide(t, c)
		if k.UseBy != w.want || has(found, keeping.Reason, keeping.ByBusiness) != (w.h < 5) {
			t.Errorf("made at %02d:%02d on 2 April, use by %s, want %s", w.h, w.m, k.UseBy, w.want)
		}
	}
}

// The zones changed their clocks on these days by Directive 2000/84/EC and the
// US Energy Policy Act of 2005: one of the days has 23 hours, the other 25.
func TestADayOfChangingClocksIsOneDay(t *testing.T) {
	t.Parallel()
	brussels, chicago := zone(t, "Europe/Brussels"), zone(t, "America/Chicago")
	for _, w := range []struct {
		made time.Time
		want keeping.Date
	}{
		{time.Date(2026, time.October, 24, 23, 30, 0, 0, brussels), on(2026, time.October, 30)},
		{time.Date(2026, time.October, 25, 0, 15, 0, 0, brussels), on(2026, time.October, 31)},
		{time.Date(2026, time.March, 28, 23, 45, 0, 0, brussels), on(2026, time.April, 3)},
		{time.Date(2026, time.March, 29, 3, 5, 0, 0, brussels), on(2026, time.April, 4)},
		{time.Date(2026, time.March, 7, 23, 59, 0, 0, chicago), on(2026, time.March, 13)},
		{time.Date(2026, time.November, 1, 1, 30, 0, 0, chicago), on(2026, time.November, 7)},
	} {
		c := base(keeping.Dairy, keeping.Dry)
		c.Made = w.made
		if k, _ := decide(t, c); k.UseBy != w.want {
			t.Errorf("made %s, use by %s, want %s", w.made, k.UseBy, w.want)
		}
	}
	// The night of the change still belongs to the shift before it, by the wall
	// clock: 04:30 is four and a half hours after midnight or three and a half.
	for _, day := range []int{25, 29} {
		month := time.October
		if day == 29 {
			month = time.March
		}
		night := time.Date(2026, month, day, 4, 30, 0, 0, brussels)
		if got := keeping.BusinessDate(night, 5*time.Hour); got != on(2026, month, day-1) {
			t.Errorf("%s belongs to %s", night, got)
		}
		if got := keeping.BusinessDate(night, 4*time.Hour); got != on(2026, month, day) {
			t.Errorf("%s belongs to %s when the day starts at four", night, got)
		}
	}
}

func TestDaysRunOverMonthsAndYears(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		from keeping.Date
		days int
		want keeping.Date
	}{
		{on(2026, time.December, 28), 6, on(2027, time.January, 3)},
		{on(2028, time.February, 26), 6, on(2028, time.March, 3)},
		{on(2027, time.February, 26), 6, on(2027, time.March, 4)},
		{on(2026, time.April, 30), 1, on(2026, time.May, 1)},
		{on(2027, time.January, 1), -1, on(2026, time.December, 31)},
	} {
		if got := w.from.Plus(w.days); got != w.want || got.Since(w.from) != w.days {
			t.Errorf("%s and %d days is %s, want %s", w.from, w.days, got, w.want)
		}
	}
	if d := on(2026, time.November, 24); d.Weekday() != time.Tuesday || d.String() != "2026-11-24" {
		t.Errorf("%s is a %s", d, d.Weekday())
	}
}

func TestTheMadeDayIsThatOfTheHousesZone(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, time.April, 1, 22, 30, 0, 0, time.UTC) // half past midnight in Brussels
	c := base(keeping.Dairy, keeping.Dry)
	c.Made = at.In(zone(t, "Europe/Brussels"))
	if k, _ := decide(t, c); k.Start != on(2026, time.April, 2) {
		t.Errorf("day one is %s", k.Start)
	}
}

// Source: Food Code 3-501.17 as a Tennessee inspection record works it: the
// freezer stops the count and the days left go on after thawing. That both the
// day of freezing and the day of thawing count is our careful reading.
func TestFreezingStopsTheCount(t *testing.T) {
	t.Parallel()
	first := on(2026, time.April, 1)
	freeze := func(in, out int) keeping.Freeze {
		return keeping.Freeze{In: first.Plus(in - 1), Out: first.Plus(out - 1)}
	}
	for _, w := range []struct {
		name    string
		freezes []keeping.Freeze
		useBy   keeping.Date
		days    int
	}{
		{"three days used, four after thawing", []keeping.Freeze{freeze(3, 20)}, first.Plus(22), 7},
		{"frozen on the day it was made", []keeping.Freeze{freeze(1, 11)}, first.Plus(15), 7},
		{"in and out on one day stops nothing", []keeping.Freeze{freeze(3, 3)}, first.Plus(6), 7},
		{"out the next day stops nothing", []keeping.Freeze{freeze(3, 4)}, first.Plus(6), 7},
		{"twice", []keeping.Freeze{freeze(2, 10), freeze(11, 20)}, first.Plus(6 + 7 + 8), 7},
	} {
		c := base(keeping.Dairy, keeping.Dry)
		c.Made, c.Freezes = time.Date(2026, time.April, 1, 9, 0, 0, 0, time.UTC), w.freezes
		if k, _ := decide(t, c); k.UseBy != w.useBy || k.KeepDays != w.days || k.Storage != keeping.Fridge || k.Standing != keeping.Kept {
			t.Errorf("%s: %s until %s, %d days; want %s", w.name, k.Standing, k.UseBy, k.KeepDays, w.useBy)
		}
	}
}

func TestWhileFrozenOnlyDaysAreLeft(t *testing.T) {
	t.Parallel()
	c := base(keeping.Oil, keeping.Herb)
	c.Made, c.Storage = time.Date(2026, time.April, 1, 9, 0, 0, 0, time.UTC), keeping.Freezer
	k, _ := decide(t, c)
	// Ninety days frozen, for quality: common practice, no source.
	if k.Storage != keeping.Freezer || k.AfterThaw != 3 || !k.UseBy.IsZero() || k.BestFrozen != on(2026, time.June, 29) {
		t.Errorf("frozen on day one of four: %d days left in the %s, use by %s, best by %s", k.AfterThaw, k.Storage, k.UseBy, k.BestFrozen)
	}
	for _, w := range []struct {
		in, out keeping.Date
		code    keeping.Code
	}{
		{on(2026, time.April, 4), keeping.Date{}, keeping.NoDaysLeft},
		{on(2026, time.April, 4), on(2026, time.May, 1), keeping.NoDaysLeft},
		{on(2026, time.April, 5), on(2026, time.May, 1), keeping.FrozenLate},
	} {
		c.Freezes = []keeping.Freeze{{In: w.in, Out: w.out}}
		if k, found := decide(t, c); k.Standing != keeping.Refused || !has(found, keeping.Refuse, w.code) {
			t.Errorf("frozen %s, thawed %s: %s, want %s", w.in, w.out, k.Standing, w.code)
		}
	}
}

// A law on alcohol and a maker's date do not stop for the freezer.
func TestTheFreezerMovesNoLawAndNoMakersDate(t *testing.T) {
	t.Parallel()
	c := strong(base(keeping.Spirit, keeping.Fruit), 40)
	c.Made, c.Where = time.Date(2026, time.April, 1, 9, 0, 0, 0, time.UTC), "US-OK"
	c.Freezes = []keeping.Freeze{{In: on(2026, time.April, 2), Out: on(2026, time.April, 15)}}
	if k, _ := decide(t, c); k.UseBy != on(2026, time.April, 21) || k.By != keeping.ByLaw || k.KeepDays != 9 {
		t.Errorf("use by %s, by %s, %d days", k.UseBy, k.By, k.KeepDays)
	}
	c.Freezes[0].Out = keeping.Date{}
	if k, _ := decide(t, c); k.UseBy != on(2026, time.April, 21) || k.AfterThaw != 19 || k.KeepDays != 21 {
		t.Errorf("while frozen: use by %s, %d days left of %d", k.UseBy, k.AfterThaw, k.KeepDays)
	}
	c.Where, c.Parts = "BE", []keeping.Ingredient{{Name: "cream", UseBy: on(2026, time.April, 9), TCS: true}}
	if k, _ := decide(t, c); k.UseBy != on(2026, time.April, 9) || k.By != keeping.ByIngredient {
		t.Errorf("with cream of 9 April: use by %s, by %s", k.UseBy, k.By)
	}
}

func TestPlusAndSinceUndoEachOther(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := on(2000, time.January, 1).Plus(rapid.IntRange(0, 70000).Draw(t, "day"))
		n := rapid.IntRange(-800, 800).Draw(t, "days")
		if got := d.Plus(n); got.Since(d) != n || got.Before(d) != (n < 0) || got.Plus(-n) != d {
			t.Fatalf("%s and %d days is %s", d, n, got)
		}
	})
}
