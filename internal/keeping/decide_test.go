package keeping_test

import (
	"errors"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/keeping"
	"ventbell/internal/quantity"
)

var today = keeping.DateOf(made)

func TestTheEarliestIngredientDateWins(t *testing.T) {
	t.Parallel()
	c := base(keeping.Dairy, keeping.Dry)
	for _, w := range []struct {
		name  string
		parts []keeping.Ingredient
		useBy keeping.Date
		by    keeping.Code
	}{
		{"maker's date after ours", []keeping.Ingredient{{Name: "cream", UseBy: today.Plus(10), TCS: true}}, today.Plus(6), keeping.ByTable},
		{"maker's date before ours", []keeping.Ingredient{{Name: "cream", UseBy: today.Plus(2), TCS: true}}, today.Plus(2), keeping.ByIngredient},
		{"opened three days ago", []keeping.Ingredient{{Name: "cream", Opened: today.Plus(-3), TCS: true}}, today.Plus(3), keeping.ByTable},
		{"what does not spoil may be open for long", []keeping.Ingredient{{Name: "gin", Opened: today.Plus(-90)}}, today.Plus(6), keeping.ByTable},
		{
			"the earliest of three",
			[]keeping.Ingredient{
				{Name: "cream", Opened: today.Plus(-1), UseBy: today.Plus(9), TCS: true},
				{Name: "milk", Opened: today.Plus(-2), UseBy: today.Plus(1), TCS: true},
				{Name: "coffee", UseBy: today.Plus(60)},
			},
			today.Plus(1), keeping.ByIngredient,
		},
	} {
		c.Parts = w.parts
		k, _ := decide(t, c)
		if k.UseBy != w.useBy || k.By != w.by || k.KeepDays != k.UseBy.Since(k.Start)+1 {
			t.Errorf("%s: use by %s, by %s, %d days from %s; want %s", w.name, k.UseBy, k.By, k.KeepDays, k.Start, w.useBy)
		}
	}
	for _, past := range []keeping.Ingredient{
		{Name: "cream", Opened: today.Plus(-7), TCS: true},
		{Name: "cream", UseBy: today.Plus(-1), TCS: true},
	} {
		c.Parts = []keeping.Ingredient{past}
		if k, found := decide(t, c); k.Standing != keeping.Refused || !has(found, keeping.Refuse, keeping.PastAtStart) {
			t.Errorf("with %+v: %s until %s", past, k.Standing, k.UseBy)
		}
	}
}

func TestARecipesHoldOnlyShortens(t *testing.T) {
	t.Parallel()
	c := strong(base(keeping.Spirit, keeping.Fruit), 40)
	for hold, want := range map[int]int{0: 21, 1: 1, 5: 5, 21: 21, 22: 21, 400: 21} {
		c.HoldDays = hold
		if k, _ := decide(t, c); k.KeepDays != want || k.UseBy != today.Plus(want-1) || (k.By == keeping.ByRecipe) != (want < 21) {
			t.Errorf("hold %d: %d days until %s, by %s", hold, k.KeepDays, k.UseBy, k.By)
		}
	}
}

// The caps are Alabama Code 28-3A-20.3 (22 days), 235 ILCS 5/6-22.5 and
// Oklahoma 37A s.5-133 (21 days after ageing ends, which we read as straining).
func TestTheLawsCapBindsInfusionsOfAlcohol(t *testing.T) {
	t.Parallel()
	gin := strong(base(keeping.Spirit, keeping.Dry), 40)
	for where, want := range map[string]int{
		"US-IL": 21, "us-ok": 21, "US-AL": 22, "US-NY": 180, "US-CA": 180, "BE": 180, "GB": 180, "IL": 180, "JP": 180,
		"US": 21, "": 21, "US-ZZ": 21, "nowhere": 21,
	} {
		gin.Where = where
		if k, _ := decide(t, gin); k.KeepDays != want || (k.By == keeping.ByLaw) != (want < 180) {
			t.Errorf("%q: %d days, by %s; want %d", where, k.KeepDays, k.By, want)
		}
	}
	honey := sweet(base(keeping.Honey, keeping.Dry), 80)
	honey.Where = "US-IL"
	if k, _ := decide(t, honey); k.KeepDays != 90 {
		t.Errorf("honey without alcohol: %d days", k.KeepDays)
	}
	honey.Strength = keeping.Between(0, 18)
	if k, _ := decide(t, honey); k.KeepDays != 21 {
		t.Errorf("honey with spirit in it: %d days", k.KeepDays)
	}
}

func TestUnlabelledAtCloseEndsTheNextBusinessDay(t *testing.T) {
	t.Parallel()
	c := strong(base(keeping.Spirit, keeping.Dry), 40)
	c.UnlabelledAt = today
	if k, _ := decide(t, c); k.UseBy != today.Plus(1) || k.By != keeping.ByNoLabel || k.KeepDays != 2 {
		t.Errorf("use by %s, by %s", k.UseBy, k.By)
	}
	egg := base(keeping.Egg, keeping.Dry)
	egg.UnlabelledAt = today.Plus(5)
	if k, _ := decide(t, egg); k.UseBy != today.Plus(2) {
		t.Errorf("without a label it kept until %s", k.UseBy)
	}
}

func TestADeviationHoldsAndTooLongOutDiscards(t *testing.T) {
	t.Parallel()
	gin, cream := strong(base(keeping.Spirit, keeping.Dry), 40), base(keeping.Dairy, keeping.Dry)
	for _, d := range []keeping.Deviation{keeping.WarmFridge, keeping.FailedStrain, keeping.NoLabel, keeping.CloudyOil, keeping.Bubbles, keeping.Mould} {
		c := with(cream, func(c *keeping.Case) { c.Deviations = []keeping.Deviation{d} })
		if k, found := decide(t, c); k.Standing != keeping.Held || !has(found, keeping.Ask, keeping.HeldByDeviation) {
			t.Errorf("%s: %s", d, k.Standing)
		}
	}
	// Four hours is the limit of Food Code 3-501.19, and it still holds at four.
	for _, w := range []struct {
		c    keeping.Case
		out  time.Duration
		want keeping.Standing
	}{
		{cream, 4 * time.Hour, keeping.Kept},
		{cream, 4*time.Hour + time.Second, keeping.Discarded},
		{gin, 4*time.Hour + time.Second, keeping.Held},
	} {
		w.c.OutOfChill = w.out
		if k, _ := decide(t, w.c); k.Standing != w.want {
			t.Errorf("%s out of chill for %s: %s, want %s", w.c.Liquid, w.out, k.Standing, w.want)
		}
	}
}

func TestAnOverrideOnlyLengthensWithAPersonAndADocument(t *testing.T) {
	t.Parallel()
	cream := base(keeping.Dairy, keeping.Dry)
	whole := keeping.Override{By: "prep-lead", Document: "lab report 7", Days: 12}
	cream.Override = whole
	k, found := decide(t, cream)
	if k.KeepDays != 12 || !k.Overridden || k.Override != whole || k.By != keeping.ByOverride || !has(found, keeping.Reason, keeping.ByOverride) {
		t.Errorf("%d days, by %s, marked %v", k.KeepDays, k.By, k.Overridden)
	}
	for _, bare := range []keeping.Override{{Document: "lab report 7", Days: 12}, {By: "prep-lead", Days: 12}} {
		cream.Override = bare
		if k, found := decide(t, cream); k.KeepDays != 7 || k.Overridden || !has(found, keeping.Ask, keeping.OverrideBare) {
			t.Errorf("%+v: %d days, marked %v", bare, k.KeepDays, k.Overridden)
		}
	}
	cream.Override = keeping.Override{By: "prep-lead", Document: "lab report 7", Days: 3}
	if k, _ := decide(t, cream); k.KeepDays != 7 || k.Overridden {
		t.Errorf("a shorter override: %d days, marked %v", k.KeepDays, k.Overridden)
	}
	cream.Override = whole
	cream.HoldDays = 5
	if k, _ := decide(t, cream); k.KeepDays != 5 {
		t.Errorf("over the recipe's own hold: %d days", k.KeepDays)
	}
	cream.HoldDays, cream.Parts = 0, []keeping.Ingredient{{Name: "cream", UseBy: today.Plus(8), TCS: true}}
	if k, _ := decide(t, cream); k.UseBy != today.Plus(8) {
		t.Errorf("over the maker's date: use by %s", k.UseBy)
	}
	gin := strong(base(keeping.Spirit, keeping.Fruit), 40)
	gin.Where, gin.Override = "US-IL", keeping.Override{By: "prep-lead", Document: "lab report 7", Days: 100}
	if k, _ := decide(t, gin); k.KeepDays != 21 {
		t.Errorf("over the law's cap: %d days", k.KeepDays)
	}
}

// Seven days for fresh plants in oil are the most that any published page
// allows (National Center for Home Food Preservation, garlic in oil, 2002
// study), and only where the inspector agrees in writing.
func TestOilIsNeverOverriddenBeyondSevenDays(t *testing.T) {
	t.Parallel()
	for _, k := range []keeping.Class{keeping.Herb, keeping.Allium} {
		oil := base(keeping.Oil, k)
		oil.Override = keeping.Override{By: "prep-lead", Document: "inspector's letter", Days: 30}
		got, found := decide(t, oil)
		if got.KeepDays != 7 || !got.Overridden || !has(found, keeping.Warn, keeping.OverrideTooFar) {
			t.Errorf("oil with %s: %d days, marked %v", k, got.KeepDays, got.Overridden)
		}
		oil.Storage = keeping.Shelf
		if got, _ := decide(t, oil); got.Standing != keeping.Refused {
			t.Errorf("oil with %s was overridden onto the shelf", k)
		}
	}
}

func TestAcidifiedOilNeedsApprovalAndPH(t *testing.T) {
	t.Parallel()
	oil := base(keeping.Oil, keeping.Allium)
	oil.Solids[0].Name = "garlic"
	oil.Acidified, oil.Approval, oil.PH = true, "letter 12", keeping.Measured(3.6)
	if k, _ := decide(t, oil); k.KeepDays != 30 {
		t.Fatalf("acidified with all of it: %d days", k.KeepDays)
	}
	for name, change := range map[string]func(*keeping.Case){
		"no approval":     func(c *keeping.Case) { c.Approval = "" },
		"no pH":           func(c *keeping.Case) { c.PH = keeping.Reading{} },
		"pH too high":     func(c *keeping.Case) { c.PH = keeping.Measured(3.71) },
		"not acidified":   func(c *keeping.Case) { c.Acidified = false },
		"dried garlic":    func(c *keeping.Case) { c.Solids[0].Name = "dried garlic" },
		"another allium":  func(c *keeping.Case) { c.Solids[0].Name = "leek" },
		"a herb with it":  func(c *keeping.Case) { c.Solids = append(c.Solids, keeping.Solid{Name: "mint", Class: keeping.Herb}) },
		"a root with it":  func(c *keeping.Case) { c.Solids = append(c.Solids, keeping.Solid{Name: "ginger", Class: keeping.Veg}) },
		"nobody knows it": func(c *keeping.Case) { c.Solids[0].Class = "" },
	} {
		if k, _ := decide(t, with(oil, change)); k.KeepDays > 4 {
			t.Errorf("%s: %d days", name, k.KeepDays)
		}
	}
	bare := with(oil, func(c *keeping.Case) { c.Approval = "" })
	if _, found := decide(t, bare); !has(found, keeping.Ask, keeping.AcidifiedBare) {
		t.Error("acidified without approval asks nobody")
	}
}

func TestWashingCountsAsFatAndEggMustBePasteurised(t *testing.T) {
	t.Parallel()
	c := strong(base(keeping.Spirit, keeping.Dry), 40)
	for _, w := range []struct {
		agents []keeping.Agent
		curd   bool
		rule   string
		days   int
	}{
		{nil, false, "S1", 180},
		{[]keeping.Agent{"paper filter", "agar"}, false, "S1", 180},
		{[]keeping.Agent{"milk"}, false, "S8", 14},
		{[]keeping.Agent{"Brown Butter"}, false, "S8", 14},
		{[]keeping.Agent{"milk"}, true, "S8", 7},
		{[]keeping.Agent{"bacon fat"}, false, "S8", 7},
		{[]keeping.Agent{"egg white"}, false, "S8", 14},
		{[]keeping.Agent{"something new"}, false, "Z", 3},
	} {
		c.Agents, c.CurdLeft = w.agents, w.curd
		if k, _ := decide(t, c); k.Rule != w.rule || k.KeepDays != w.days {
			t.Errorf("%v: %s, %d days; want %s, %d", w.agents, k.Rule, k.KeepDays, w.rule, w.days)
		}
	}
	c.PasteurisedEgg, c.CurdLeft = false, false
	for _, a := range []keeping.Agent{"egg white", "whole eggs", "duck egg froth"} {
		c.Agents = []keeping.Agent{a}
		if k, found := decide(t, c); k.Standing != keeping.Refused || !has(found, keeping.Refuse, keeping.RawEgg) {
			t.Errorf("%s that nobody called pasteurised: %s", a, k.Standing)
		}
	}
	mix := base(keeping.Egg, keeping.Dry)
	mix.PasteurisedEgg = false
	if k, _ := decide(t, mix); k.Standing != keeping.Refused {
		t.Errorf("an egg mix that nobody called pasteurised: %s", k.Standing)
	}
}

func TestWhatIsRefusedHasNoDate(t *testing.T) {
	t.Parallel()
	c := strong(base(keeping.Spirit, keeping.Dry), 40)
	c.Solids[0].Name = "Tonka beans"
	c.Where = "US-NY"
	k, found := decide(t, c)
	if k.Standing != keeping.Refused || !k.UseBy.IsZero() || k.KeepDays != 0 || found[0].Code != keeping.RefusedSolid {
		t.Errorf("tonka: %s until %s, first %v", k.Standing, k.UseBy, found[0])
	}
	c = strong(base(keeping.Spirit, keeping.Dry), 40)
	c.Licensed = keeping.No
	if k, found = decide(t, c); k.Standing != keeping.Refused || !has(found, keeping.Refuse, keeping.NotLicensed) {
		t.Errorf("where infusions are not licensed: %s", k.Standing)
	}
	oil := base(keeping.Oil, keeping.Dry)
	oil.Licensed = keeping.No
	if k, _ = decide(t, oil); k.Standing != keeping.Kept {
		t.Errorf("oil needs a licence: %s", k.Standing)
	}
}

func TestWhatWasNotMeasuredIsAskedFor(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		c    keeping.Case
		want keeping.Code
	}{
		{base(keeping.Spirit, keeping.Dry), keeping.MeasureStrength},
		{base(keeping.Vinegar, keeping.Dry), keeping.MeasureAcidity},
		{base(keeping.Vinegar, keeping.Dry), keeping.MeasurePH},
		{base(keeping.Syrup, keeping.Dry), keeping.MeasureBrix},
		{sweet(base(keeping.Syrup, keeping.Dry), 62), keeping.MeasurePH},
		{base(keeping.Water, ""), keeping.AskSolid},
		{base(keeping.Water, keeping.Fat), keeping.AskManager},
		{with(base(keeping.Oil, keeping.Dry), func(c *keeping.Case) { c.Where = "" }), keeping.AskPlace},
		{with(base(keeping.Wine, keeping.Dry), func(c *keeping.Case) { c.Licensed = "" }), keeping.AskLicence},
		{with(base(keeping.Wine, keeping.Dry), func(c *keeping.Case) { c.Where = "US-NC" }), keeping.ApprovalNeeded},
	} {
		if _, found := decide(t, w.c); !has(found, keeping.Ask, w.want) {
			t.Errorf("%s: nobody is asked to %s", w.c.Liquid, w.want)
		}
	}
	if _, found := decide(t, sweet(base(keeping.Syrup, keeping.Dry), 66)); has(found, keeping.Ask, keeping.MeasurePH) {
		t.Error("a thick syrup is asked for its pH")
	}
}

func TestEveryFindingOfTheTableNamesItsSource(t *testing.T) {
	t.Parallel()
	_, found := decide(t, strong(base(keeping.Spirit, keeping.Dry, keeping.Herb), 30))
	rows := 0
	for _, f := range found {
		if f.Code == keeping.ByTable {
			rows++
			if f.Rule == "" || f.Name == "" || f.Days == 0 || len(f.Sources) == 0 {
				t.Errorf("%+v leaves something out", f)
			}
		}
	}
	if rows != 2 {
		t.Errorf("%d reasons for two solids", rows)
	}
}

func TestFiguresThatMeanNothingAreRefused(t *testing.T) {
	t.Parallel()
	good := strong(base(keeping.Spirit, keeping.Dry), 40)
	for name, change := range map[string]func(*keeping.Case){
		"strength NaN":           func(c *keeping.Case) { c.Strength.Low = math.NaN() },
		"high strength NaN":      func(c *keeping.Case) { c.Strength.High = math.NaN() },
		"strength below nothing": func(c *keeping.Case) { c.Strength = keeping.Between(-1, 40) },
		"strength above all":     func(c *keeping.Case) { c.Strength = keeping.Between(40, 101) },
		"strength turned round":  func(c *keeping.Case) { c.Strength = keeping.Between(41, 40) },
		"strength infinite":      func(c *keeping.Case) { c.Strength = keeping.Between(1, math.Inf(1)) },
		"pH NaN":                 func(c *keeping.Case) { c.PH = keeping.Measured(math.NaN()) },
		"pH 15":                  func(c *keeping.Case) { c.PH = keeping.Measured(15) },
		"acidity below nothing":  func(c *keeping.Case) { c.Acidity = keeping.Measured(-5) },
		"Brix 120":               func(c *keeping.Case) { c.Brix = keeping.Measured(120) },
		"no solids":              func(c *keeping.Case) { c.Solids = nil },
		"nothing infused":        func(c *keeping.Case) { c.Solids, c.Agents = nil, []keeping.Agent{"agar"} },
		"hold below nothing":     func(c *keeping.Case) { c.HoldDays = -1 },
		"hold of years":          func(c *keeping.Case) { c.HoldDays = 5000 },
		"override below nothing": func(c *keeping.Case) { c.Override.Days = -2 },
		"override of years":      func(c *keeping.Case) { c.Override.Days = 5000 },
		"never made":             func(c *keeping.Case) { c.Made = time.Time{} },
		"made in no such year":   func(c *keeping.Case) { c.Made = c.Made.AddDate(900, 0, 0) },
		"day starts at night":    func(c *keeping.Case) { c.DayStarts = 20 * time.Hour },
		"day starts backwards":   func(c *keeping.Case) { c.DayStarts = -time.Hour },
		"out for less than none": func(c *keeping.Case) { c.OutOfChill = -time.Minute },
		"opened on no day":       func(c *keeping.Case) { c.Parts = []keeping.Ingredient{{Opened: on(2026, 2, 29), TCS: true}} },
		"maker's date long ago":  func(c *keeping.Case) { c.Parts = []keeping.Ingredient{{UseBy: on(26, 2, 20)}} },
		"unlabelled on no day":   func(c *keeping.Case) { c.UnlabelledAt = on(2026, 13, 1) },
		"frozen before made":     func(c *keeping.Case) { c.Freezes = []keeping.Freeze{{In: today.Plus(-1)}} },
		"thawed before frozen":   func(c *keeping.Case) { c.Freezes = []keeping.Freeze{{In: today.Plus(2), Out: today.Plus(1)}} },
		"frozen while frozen":    func(c *keeping.Case) { c.Freezes = []keeping.Freeze{{In: today}, {In: today.Plus(3)}} },
		"frozen on no day":       func(c *keeping.Case) { c.Freezes = []keeping.Freeze{{}} },
	} {
		k, found, err := keeping.Decide(with(good, change))
		var bounds *quantity.RangeError
		if !errors.As(err, &bounds) {
			t.Errorf("%s: %+v, error %v", name, k, err)
		}
		if diff := cmp.Diff(keeping.Keep{}, k); diff != "" || found != nil {
			t.Errorf("%s still has a figure: %s", name, diff)
		}
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), -0.1, 67.1} {
		var bounds *quantity.RangeError
		if _, err := keeping.SyrupActivity(bad); !errors.As(err, &bounds) {
			t.Errorf("%v Brix: %v", bad, err)
		}
		if _, err := keeping.TableA(bad, 0.9); bad != 67.1 && !errors.As(err, &bounds) {
			t.Errorf("table A at pH %v: %v", bad, err)
		}
		if _, err := keeping.TableB(4, bad); !errors.As(err, &bounds) {
			t.Errorf("table B at activity %v: %v", bad, err)
		}
	}
}

func TestACaseBeginsFromTheBook(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		liquid book.Liquid
		want   keeping.Case
	}{
		{book.Liquid{Name: "gin", Family: book.Spirit}, keeping.Case{Liquid: keeping.Spirit}},
		{book.Liquid{Name: "white vinegar", Family: book.Vinegar, Acidity: 55}, keeping.Case{Liquid: keeping.Vinegar, Acidity: keeping.Measured(5.5)}},
		{book.Liquid{Name: "red wine vinegar", Family: book.Vinegar}, keeping.Case{Liquid: keeping.Vinegar, WineVinegar: true}},
		{book.Liquid{Name: "Rice Vinegar", Family: book.Vinegar}, keeping.Case{Liquid: keeping.Vinegar, WineVinegar: true}},
		{book.Liquid{Name: "apple juice", Family: book.Water}, keeping.Case{Liquid: keeping.Water, Juice: true}},
		{book.Liquid{Name: "coconut water", Family: book.Water}, keeping.Case{Liquid: keeping.Water, Juice: true}},
		{book.Liquid{Name: "agave syrup", Family: book.Syrup, Brix: 760}, keeping.Case{Liquid: keeping.Honey, Brix: keeping.Measured(76)}},
		{book.Liquid{Name: "sugar syrup", Family: book.Syrup}, keeping.Case{Liquid: keeping.Syrup}},
		{book.Liquid{Name: "agave spirit", Family: book.Spirit}, keeping.Case{Liquid: keeping.Spirit}},
		{book.Liquid{Name: "egg cream", Family: book.Dairy}, keeping.Case{Liquid: keeping.Egg}},
	} {
		if diff := cmp.Diff(w.want, keeping.For(w.liquid)); diff != "" {
			t.Errorf("%s: %s", w.liquid.Name, diff)
		}
	}
	// Fruit water pulls the sugar down, so a base's own figure does not count.
	fruit := keeping.For(book.Liquid{Name: "syrup", Family: book.Syrup, Brix: 660}, book.Botanical{Name: "plum", Kind: book.Fruit})
	if fruit.Brix.Known {
		t.Error("the sugar of the base counts after fruit")
	}
}

func BenchmarkDecide(b *testing.B) {
	sample := book.Sample()
	gin, _ := sample.Liquid("gin")
	rhubarb, _ := sample.Botanical("rhubarb")
	b.ReportAllocs()
	for b.Loop() {
		c := keeping.For(gin, rhubarb)
		c.Made, c.Where, c.Licensed, c.Strength = made, "BE", keeping.Yes, keeping.Between(34, 39)
		if _, _, err := keeping.Decide(c); err != nil {
			b.Fatal(err)
		}
	}
}
