package keeping_test

import (
	"slices"
	"testing"
	"time"

	"ventbell/internal/keeping"
)

// made is a Tuesday afternoon in Brussels.
var made = time.Date(2026, time.November, 24, 15, 0, 0, 0, time.UTC)

// base is a case with its questions answered: licensed, in a place without a cap.
func base(l keeping.Liquid, classes ...keeping.Class) keeping.Case {
	c := keeping.Case{Liquid: l, Made: made, Where: "BE", Licensed: keeping.Yes, PasteurisedEgg: true}
	for _, k := range classes {
		c.Solids = append(c.Solids, keeping.Solid{Name: "test " + string(k), Class: k})
	}
	return c
}

func decide(t *testing.T, c keeping.Case) (keeping.Keep, []keeping.Finding) {
	t.Helper()
	k, found, err := keeping.Decide(c)
	if err != nil {
		t.Fatal(err)
	}
	return k, found
}

func has(found []keeping.Finding, act keeping.Act, code keeping.Code) bool {
	return slices.ContainsFunc(found, func(f keeping.Finding) bool { return f.Act == act && f.Code == code })
}

// with changes a copy of a case.
func with(c keeping.Case, change func(*keeping.Case)) keeping.Case {
	c.Solids = slices.Clone(c.Solids)
	change(&c)
	return c
}

func strong(c keeping.Case, abv float64) keeping.Case {
	c.Strength = keeping.Between(abv, abv)
	return c
}

func sharp(c keeping.Case, acidity, ph float64) keeping.Case {
	c.Acidity, c.PH = keeping.Measured(acidity), keeping.Measured(ph)
	return c
}

func sweet(c keeping.Case, brix float64) keeping.Case {
	c.Brix = keeping.Measured(brix)
	return c
}

// The figures are the house's decision table: most are common practice, no
// source. Published ones: oil with fresh plants, two to four days (PNW 664,
// Pacific Northwest Extension 2014; University of Idaho Extension 2013); TCS
// food, seven days (Food Code 3-501.17); vinegar, three months cool and six to
// eight chilled (US Cooperative Extension, question 469319).
func TestEveryRowOfTheTable(t *testing.T) {
	t.Parallel()
	const dry, herb, fruit, veg, allium, fat = keeping.Dry, keeping.Herb, keeping.Fruit, keeping.Veg, keeping.Allium, keeping.Fat
	spirit := func(abv float64, k keeping.Class) keeping.Case { return strong(base(keeping.Spirit, k), abv) }
	wine := func(abv float64, k keeping.Class) keeping.Case { return strong(base(keeping.Wine, k), abv) }
	oil := func(k keeping.Class) keeping.Case { return base(keeping.Oil, k) }
	vinegar := func(k keeping.Class) keeping.Case { return sharp(base(keeping.Vinegar, k), 5, 3) }
	syrup := func(brix float64, k keeping.Class) keeping.Case { return sweet(base(keeping.Syrup, k), brix) }
	plant := func(name string, k keeping.Class, ph float64) keeping.Case {
		return with(oil(k), func(c *keeping.Case) {
			c.Solids[0].Name, c.Acidified, c.Approval, c.PH = name, true, "letter 12", keeping.Measured(ph)
		})
	}
	for _, w := range []struct {
		name          string
		c             keeping.Case
		rule          string
		shelf, fridge int
		tcs           bool
	}{
		{"strong, dry", spirit(40, dry), "S1", 180, 180, false},
		{"strong, herb", spirit(45, herb), "S2", 0, 21, false},
		{"strong, fruit", spirit(40, fruit), "S2", 0, 21, false},
		{"strong, vegetable", spirit(40, veg), "S3", 0, 14, false},
		{"strong, allium", spirit(40, allium), "S4", 0, 7, false},
		{"spirit, dry", spirit(39.9, dry), "S5", 90, 90, false},
		{"spirit, fruit", spirit(20, fruit), "S6", 0, 14, false},
		{"spirit, herb", spirit(39.9, herb), "S6", 0, 14, false},
		{"spirit, vegetable", spirit(37, veg), "S7", 0, 7, false},
		{"spirit, allium", spirit(20, allium), "S7", 0, 7, false},
		{"spirit, fat", spirit(20, fat), "S8", 0, 14, false},
		{"strong, fat", spirit(50, fat), "S8", 0, 14, false},
		{"a wine as strong as spirit", wine(22, fruit), "S6", 0, 14, false},
		{"wine, dry", wine(18, dry), "W1", 0, 7, true},
		{"wine, herb", wine(8, herb), "W1", 0, 7, true},
		{"a spirit thinned to wine", spirit(19.9, fruit), "W1", 0, 7, true},
		{"wine, vegetable", wine(12, veg), "W2", 0, 4, true},
		{"wine, allium", wine(12, allium), "W2", 0, 4, true},
		{"wine, fat", wine(12, fat), "W2", 0, 4, true},
		{"under 8, dry, as Q1", wine(7.9, dry), "W3", 0, 7, true},
		{"under 8, herb, as Q2", wine(7.9, herb), "W3", 0, 3, true},
		{"under 8, allium, as Q3", wine(0, allium), "W3", 0, 3, true},
		{"under 8, fat, as D1 and no longer than W2", wine(5, fat), "W3", 0, 4, true},
		{"oil, dry", oil(dry), "O1", 30, 90, false},
		{"oil, herb", oil(herb), "O2", 0, 4, true},
		{"oil, fruit", oil(fruit), "O2", 0, 4, true},
		{"oil, vegetable", oil(veg), "O2", 0, 4, true},
		{"oil, dry plant that got wet", with(oil(dry), func(c *keeping.Case) { c.Wet = true }), "O2", 0, 4, true},
		{"oil, allium", oil(allium), "O3", 0, 4, true},
		{"oil, acidified garlic", plant("Garlic", allium, 3.7), "O4", 0, 30, false},
		{"oil, acidified basil", plant("basil", herb, 4.2), "O4", 0, 30, false},
		{"oil, acidified rosemary", plant("rosemary", herb, 3.5), "O4", 0, 30, false},
		{"oil, acidified oregano", plant("oregano", herb, 4.0), "O4", 0, 30, false},
		{"oil, garlic not acid enough", plant("garlic", allium, 3.8), "O3", 0, 4, true},
		{"oil, basil not acid enough", plant("basil", herb, 4.3), "O2", 0, 4, true},
		{"oil, acidified but never tested", plant("shallot", allium, 3), "O3", 0, 4, true},
		{"oil, acidified thyme, never tested", plant("thyme", herb, 3), "O2", 0, 4, true},
		{"oil, fat", oil(fat), "O5", 0, 7, true},
		{"vinegar, dry", vinegar(dry), "V1", 180, 180, false},
		{"vinegar, herb", vinegar(herb), "V2", 90, 180, false},
		{"vinegar, fruit", vinegar(fruit), "V2", 90, 180, false},
		{"vinegar, vegetable", vinegar(veg), "V3", 0, 30, false},
		{"vinegar, allium", vinegar(allium), "V3", 0, 30, false},
		{"vinegar, weak", sharp(base(keeping.Vinegar, dry), 4.9, 3), "V4", 0, 7, true},
		{"vinegar, pH 4.2", sharp(base(keeping.Vinegar, fruit), 5, 4.2), "V4", 0, 7, true},
		{"vinegar of wine", with(vinegar(herb), func(c *keeping.Case) { c.WineVinegar = true }), "V4", 0, 7, true},
		{"vinegar, not measured", base(keeping.Vinegar, fruit), "V4", 0, 7, true},
		{"vinegar, fat", vinegar(fat), "V4", 0, 7, true},
		{"syrup 65", syrup(65, fruit), "Y1", 0, 30, false},
		{"syrup 60, pH 5", with(syrup(60, herb), func(c *keeping.Case) { c.PH = keeping.Measured(5) }), "Y2", 0, 14, false},
		{"syrup 64.9, pH 5.1", with(syrup(64.9, herb), func(c *keeping.Case) { c.PH = keeping.Measured(5.1) }), "Y3", 0, 7, true},
		{"syrup 60, pH not measured", syrup(60, dry), "Y3", 0, 7, true},
		{"syrup 59.9", with(syrup(59.9, dry), func(c *keeping.Case) { c.PH = keeping.Measured(3) }), "Y3", 0, 7, true},
		{"syrup not measured", base(keeping.Syrup, fruit), "Y3", 0, 7, true},
		{"syrup, fat", syrup(50, fat), "Y3", 0, 7, true},
		{"thick syrup, fat", syrup(66, fat), "Y3", 0, 7, true},
		{"syrup 60, vegetable", syrup(60, veg), "Y4a", 0, 7, true},
		{"syrup 66, allium", syrup(66, allium), "Y4a", 0, 7, true},
		{"syrup 50, vegetable", syrup(50, veg), "Y4b", 0, 4, true},
		{"syrup not measured, allium", base(keeping.Syrup, allium), "Y4b", 0, 4, true},
		{"dairy, dry", base(keeping.Dairy, dry), "D1", 0, 7, true},
		{"dairy, fruit", base(keeping.Dairy, fruit), "D1", 0, 7, true},
		{"dairy, fat", base(keeping.Dairy, fat), "D1", 0, 7, true},
		{"dairy, vegetable", base(keeping.Dairy, veg), "D2", 0, 4, true},
		{"dairy, allium", base(keeping.Dairy, allium), "D2", 0, 4, true},
		{"egg, dry", base(keeping.Egg, dry), "E1", 0, 3, true},
		{"egg, allium", base(keeping.Egg, allium), "E1", 0, 3, true},
		{"water, dry", base(keeping.Water, dry), "Q1", 0, 7, true},
		{"juice, dry", with(base(keeping.Water, dry), func(c *keeping.Case) { c.Juice = true }), "Q2", 0, 3, true},
		{"water, herb", base(keeping.Water, herb), "Q2", 0, 3, true},
		{"water, vegetable", base(keeping.Water, veg), "Q3", 0, 3, true},
		{"water, allium", base(keeping.Water, allium), "Q3", 0, 3, true},
		{"honey, dry", sweet(base(keeping.Honey, dry), 75), "H1", 90, 90, false},
		{"honey thinned, dry", sweet(base(keeping.Honey, dry), 74), "H2", 0, 7, true},
		{"honey, fruit", sweet(base(keeping.Honey, fruit), 80), "H2", 0, 7, true},
		{"honey, allium", sweet(base(keeping.Honey, allium), 80), "H2", 0, 7, true},
		{"honey, fat: not listed", sweet(base(keeping.Honey, fat), 80), "Z", 0, 3, true},
		{"water, fat: not listed", base(keeping.Water, fat), "Z", 0, 3, true},
		{"a liquid that is not known", base("paint", dry), "Z", 0, 3, true},
		{"a solid that is not known", spirit(50, ""), "Z", 0, 3, true},
	} {
		k, _ := decide(t, w.c)
		if k.Rule != w.rule || k.KeepDays != w.fridge || k.Storage != keeping.Fridge || k.TCS != w.tcs || k.Standing != keeping.Kept {
			t.Errorf("%s: %s, %d days in the %s, TCS %v, %s; want %s, %d", w.name, k.Rule, k.KeepDays, k.Storage, k.TCS, k.Standing, w.rule, w.fridge)
		}
		if want := keeping.DateOf(made).Plus(w.fridge - 1); k.UseBy != want {
			t.Errorf("%s: use by %s, want %s", w.name, k.UseBy, want)
		}
		k, _ = decide(t, with(w.c, func(c *keeping.Case) { c.Storage = keeping.Shelf }))
		switch {
		case w.shelf > 0 && (k.Storage != keeping.Shelf || k.KeepDays != w.shelf):
			t.Errorf("%s: on the shelf %d days in the %s, want %d", w.name, k.KeepDays, k.Storage, w.shelf)
		case w.shelf == 0 && k.Storage == keeping.Shelf:
			t.Errorf("%s: kept on the shelf for %d days", w.name, k.KeepDays)
		}
	}
}

func TestAFigureThatNobodyMeasuredDoesNotCount(t *testing.T) {
	t.Parallel()
	guess := func(v float64) keeping.Reading { return keeping.Reading{Value: v} }
	vinegar := sharp(base(keeping.Vinegar, keeping.Fruit), 5, 3)
	oil := base(keeping.Oil, keeping.Allium)
	oil.Solids[0].Name, oil.Acidified, oil.Approval = "garlic", true, "letter 12"
	for _, w := range []struct {
		c    keeping.Case
		rule string
	}{
		{with(base(keeping.Syrup, keeping.Fruit), func(c *keeping.Case) { c.Brix = guess(70) }), "Y3"},
		{with(sweet(base(keeping.Syrup, keeping.Fruit), 62), func(c *keeping.Case) { c.PH = guess(3) }), "Y3"},
		{with(base(keeping.Honey, keeping.Dry), func(c *keeping.Case) { c.Brix = guess(80) }), "H2"},
		{with(vinegar, func(c *keeping.Case) { c.PH = guess(3) }), "V4"},
		{with(vinegar, func(c *keeping.Case) { c.Acidity = guess(5) }), "V4"},
		{with(oil, func(c *keeping.Case) { c.PH = guess(3) }), "O3"},
		{with(base(keeping.Spirit, keeping.Fruit), func(c *keeping.Case) { c.Strength = keeping.Strength{Low: 40, High: 40} }), "W3"},
	} {
		if k, _ := decide(t, w.c); k.Rule != w.rule {
			t.Errorf("%s: %s, want %s", w.c.Liquid, k.Rule, w.rule)
		}
	}
}

// Our own estimates: crisp for the shift and three days at most in brine, a day
// in spirit. That an acid brine does not make a piece acid at once rests on the
// pH of 4.6 in the Food Code's tables (1-201.10).
func TestPiecesThatAreKeptKeepForDaysOnly(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		name   string
		c      keeping.Case
		rule   string
		days   int
		class  keeping.Finished
		notes  []keeping.Note
		manage bool
	}{
		{"cucumber in brine", sharp(base(keeping.Vinegar, keeping.Veg), 4, 3), "P1", 3, keeping.Pickle, []keeping.Note{keeping.NoteSameShift, keeping.NoteNoPreserve}, false},
		{"onion in sharp vinegar", sharp(base(keeping.Vinegar, keeping.Allium), 6, 3), "P1", 3, keeping.Pickle, []keeping.Note{keeping.NoteSameShift, keeping.NoteNoPreserve}, false},
		{"melon in gin", strong(base(keeping.Spirit, keeping.Fruit), 35), "P2", 1, keeping.SoakedFruit, []keeping.Note{keeping.NoteSameShift, keeping.NoteHoldsAlcohol}, false},
		{"apple in strong spirit", strong(base(keeping.Spirit, keeping.Fruit), 60), "P2", 1, keeping.SoakedFruit, []keeping.Note{keeping.NoteSameShift, keeping.NoteHoldsAlcohol}, false},
		{"pear in wine", strong(base(keeping.Wine, keeping.Fruit), 10), "P2", 1, keeping.SoakedFruit, []keeping.Note{keeping.NoteSameShift, keeping.NoteHoldsAlcohol}, false},
		{"garlic in oil", base(keeping.Oil, keeping.Allium), "P3", 3, keeping.NothingListed, []keeping.Note{keeping.NoteManager}, true},
		{"peel in syrup", sweet(base(keeping.Syrup, keeping.Fruit), 66), "P3", 3, keeping.NothingListed, []keeping.Note{keeping.NoteManager}, true},
	} {
		w.c.Drained = true
		k, found := decide(t, w.c)
		if k.Rule != w.rule || k.KeepDays != w.days || k.Finished != w.class || !slices.Equal(k.Notes, w.notes) || !k.TCS || k.Storage != keeping.Fridge {
			t.Errorf("%s: %+v", w.name, k)
		}
		if asked := has(found, keeping.Ask, keeping.AskManager); asked != w.manage {
			t.Errorf("%s: the manager is asked %v", w.name, asked)
		}
		w.c.Storage = keeping.Shelf
		if k, _ := decide(t, w.c); k.Standing == keeping.Kept && k.Storage == keeping.Shelf {
			t.Errorf("%s is kept on the shelf", w.name)
		}
	}
}

func TestTheTableIsWhole(t *testing.T) {
	t.Parallel()
	want := []string{
		"D1", "D2", "E1", "H1", "H2", "O1", "O2", "O3", "O4", "O5", "P1", "P2", "P3", "Q1", "Q2", "Q3", "S1", "S2", "S3", "S4", "S5", "S6", "S7", "S8",
		"V1", "V2", "V3", "V4", "W1", "W2", "W3", "Y1", "Y2", "Y3", "Y4a", "Y4b", "Z",
	}
	var got []string
	for _, r := range keeping.Rows() {
		got = append(got, r.ID)
		if len(r.Sources) == 0 || r.Finished == "" {
			t.Errorf("row %s has no source or no class", r.ID)
		}
		for _, s := range r.Sources {
			if s.Text == "" || s.Tag == "" {
				t.Errorf("row %s has a source without words or tag", r.ID)
			}
		}
		if r.Shelf > r.Fridge {
			t.Errorf("row %s keeps longer on the shelf than in the fridge", r.ID)
		}
	}
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("rows %v, want %v", got, want)
	}
}

func TestTheLowEndOfTheStrengthCounts(t *testing.T) {
	t.Parallel()
	c := base(keeping.Spirit, keeping.Fruit)
	c.Strength = keeping.Between(19, 31)
	if k, _ := decide(t, c); k.Rule != "W1" || k.Finished != keeping.LowStrength {
		t.Errorf("19 to 31 %% counts as %s, %s", k.Rule, k.Finished)
	}
	// What only the noise of a conversion took off is still 40 %.
	c.Strength = keeping.Between(40-1e-9, 40)
	if k, _ := decide(t, c); k.Rule != "S2" {
		t.Errorf("40 %% less a billionth counts as %s", k.Rule)
	}
	c.Strength = keeping.Strength{}
	if k, found := decide(t, c); k.Rule != "W3" || !has(found, keeping.Ask, keeping.MeasureStrength) {
		t.Errorf("a spirit of unknown strength counts as %s", k.Rule)
	}
	washed := strong(base(keeping.Spirit, keeping.Fat), 41)
	if k, _ := decide(t, washed); k.Finished != keeping.StrongSpirit {
		t.Errorf("a washed spirit of 41 %% counts as %s", k.Finished)
	}
}

func TestTheShortestRowOfAllSolidsDecides(t *testing.T) {
	t.Parallel()
	c := strong(base(keeping.Spirit, keeping.Dry, keeping.Veg, keeping.Herb), 40)
	k, _ := decide(t, c)
	if k.Rule != "S3" || k.KeepDays != 14 {
		t.Errorf("dry, vegetable and herb keep by %s, %d days", k.Rule, k.KeepDays)
	}
	c.Storage = keeping.Shelf
	if k, found := decide(t, c); k.Storage != keeping.Fridge || !has(found, keeping.Warn, keeping.MovedToFridge) {
		t.Errorf("asked for the shelf it is kept in the %s", k.Storage)
	}
	vinegar := sharp(base(keeping.Vinegar, keeping.Dry, keeping.Fruit), 5, 3)
	vinegar.Storage = keeping.Shelf
	if k, _ = decide(t, vinegar); k.Storage != keeping.Shelf || k.KeepDays != 90 {
		t.Errorf("dry and fruit in vinegar: %d days on the %s, want 90 on the shelf", k.KeepDays, k.Storage)
	}
}

func TestOilWithAnythingMoistIsNeverKeptOnTheShelf(t *testing.T) {
	t.Parallel()
	for _, k := range []keeping.Class{keeping.Herb, keeping.Fruit, keeping.Veg, keeping.Allium, keeping.Fat} {
		c := base(keeping.Oil, k, keeping.Dry)
		c.Storage = keeping.Shelf
		got, found := decide(t, c)
		if got.Standing != keeping.Refused || !got.UseBy.IsZero() || !has(found, keeping.Refuse, keeping.OilOnShelf) {
			t.Errorf("oil with %s on the shelf: %s until %s", k, got.Standing, got.UseBy)
		}
	}
	honey := sweet(base(keeping.Honey, keeping.Allium), 80)
	honey.Storage = keeping.Shelf
	if got, found := decide(t, honey); got.Standing != keeping.Refused || !has(found, keeping.Refuse, keeping.HoneyOnShelf) {
		t.Errorf("garlic honey on the shelf: %s", got.Standing)
	}
}
