package plan_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
)

// Source: FDA Food Code 3-501.17, as Minnesota Rules 4626.0400 has it: what is
// made on 1 April and keeps seven days goes by 7 April, the day made being day
// one. Cream with coffee is such food.
func TestUseByCountsTheDayMadeAsDayOne(t *testing.T) {
	t.Parallel()
	april := func(day, hour int) time.Time { return time.Date(2026, time.April, day, hour, 30, 0, 0, time.UTC) }
	for name, in := range map[string]plan.Input{
		"in the evening":          {Now: april(1, 18), Opens: 5},
		"after midnight":          {Now: april(2, 1), Opens: 5},
		"the minute it is opened": {Now: april(1, 5), Opens: 5},
	} {
		k := tried(t, house(), start("coffee cream"), in).Figures.Keep
		if got := k.UseBy.Format(time.DateOnly); got != "2026-04-07" || k.Days != 7 || k.Storage != "fridge" || k.Rule != "D1" {
			t.Errorf("%s: use by %s, %+v", name, got, k)
		}
	}
}

func TestUseByIsADayOfTheHousesOwnZone(t *testing.T) {
	t.Parallel()
	zone := time.FixedZone("far", 13*3600)
	k := tried(t, house(), start("coffee cream"), plan.Input{Now: time.Date(2026, time.April, 1, 23, 0, 0, 0, zone)}).Figures.Keep
	if got := k.UseBy.Format("Mon 2 Jan -0700"); got != "Tue 7 Apr +1300" {
		t.Errorf("use by %s", got)
	}
}

func TestWithoutATimeThereIsNoDateButTheDays(t *testing.T) {
	t.Parallel()
	k := made(t, house(), start("coffee cream")).Figures.Keep
	if !k.UseBy.IsZero() || k.Days != 7 {
		t.Errorf("%+v", k)
	}
}

// The rows are those of the decision table in the room keeping; the plan has to
// pick them by the figures and not by the recipe's name.
func TestFinishedClassFollowsTheFigures(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name    string
		recipe  string
		change  func(*book.Book)
		abv     quantity.Strength
		rule    string
		storage string
		days    int
	}{
		{"strong enough after all its water is in", "pepper tequila", nil, 450, "S3", "fridge", 14},
		{"below 40 % by its water", "pepper tequila", func(b *book.Book) { b.Botanicals[0].Water = 917 }, 420, "S7", "fridge", 7},
		{"weak as wine", "pepper tequila", nil, 150, "W2", "fridge", 4},
		{"dry leaves in spirit on the shelf", "smoky tea rum", nil, 0, "S1", "shelf", 180},
		{"garlic in spirit", "pepper tequila", func(b *book.Book) { b.Botanicals[0].Allium = true }, 450, "S4", "fridge", 7},
		{"nuts in spirit", "hazelnut brandy", nil, 0, "S8", "fridge", 14},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			b := house()
			b.House.Country = "BE"
			if tc.change != nil {
				tc.change(b)
			}
			p := tried(t, b, start(tc.recipe), plan.Input{Now: evening, ABV: tc.abv})
			k := p.Figures.Keep
			if k.Rule != tc.rule || k.Storage != tc.storage || k.Days != tc.days || k.Class == "" || len(k.Reasons) == 0 {
				t.Errorf("%+v, want rule %s, %s, %d days", k, tc.rule, tc.storage, tc.days)
			}
			if p.Storage != k.Storage {
				t.Errorf("the plan says %q, its figures %q", p.Storage, k.Storage)
			}
		})
	}
}

func TestVinegarAndSyrupGoByTheirFigures(t *testing.T) {
	t.Parallel()
	b := house()
	b.Recipes[0].Class = "syrup + fruit"
	b.Botanicals[0].Kind = book.Fruit
	b.Liquids[0] = book.Liquid{Name: "tequila", Family: book.Syrup, Brix: 660, Sugar: 870}
	days := func(want string) int {
		k := tried(t, b, start("pepper tequila", volume(400*ml)), plan.Input{Now: evening}).Figures.Keep
		if k.Rule != want {
			t.Errorf("%+v, want rule %s", k, want)
		}
		return k.Days
	}
	thick := days("Y1")
	// 48 g of fruit with 90 % of water bring 66 Brix to 61, and its pH is not known.
	b.Botanicals[0].Water = 900
	if thin := days("Y3"); thin >= thick {
		t.Errorf("thinned %d days, thick %d", thin, thick)
	}
}

func TestHoldOfARecipeOnlyShortens(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := house()
		r := &b.Recipes[rapid.IntRange(0, len(b.Recipes)-1).Draw(t, "recipe")]
		by := func(hold int) plan.Keep {
			r.Hold = hold
			p, problem := plan.Make(b, start(r.Name), b.Vessels, plan.Input{Now: evening})
			if problem != nil {
				t.Fatal(problem)
			}
			return p.Figures.Keep
		}
		bare := by(0)
		hold := rapid.IntRange(1, 400).Draw(t, "hold")
		got := by(hold)
		if got.Days != min(bare.Days, hold) || got.UseBy.After(bare.UseBy) {
			t.Fatalf("%s with a hold of %d: %d days to %v, without %d to %v", r.Name, hold, got.Days, got.UseBy, bare.Days, bare.UseBy)
		}
	})
}

func TestWhatMayNotBeMadeIsRefused(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name   string
		change func(*book.Book)
		recipe string
		want   string
	}{
		{"a botanical on the list", func(b *book.Book) { b.Botanicals[0].Name, b.Recipes[0].Solid = "tonka bean", "tonka bean" }, "pepper tequila", "tonka bean"},
		{"raw egg", func(b *book.Book) { b.Recipes[0].ClearWith = "egg white" }, "pepper tequila", "raw egg"},
		{"no licence", func(b *book.Book) { b.House.Licensed = "no" }, "pepper tequila", "not licensed"},
		{"fresh plants in oil on the shelf", func(b *book.Book) {
			b.Recipes[0].Storage, b.Liquids[0].Family = "shelf", book.Oil
		}, "pepper tequila", "oil on the shelf"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			b := house()
			tc.change(b)
			p, problem := plan.Make(b, start(tc.recipe), b.Vessels, plan.Input{})
			if problem == nil || problem.Code != plan.Refused || problem.Name != tc.want || len(problem.Offers) > 0 {
				t.Errorf("problem %+v, want %q refused", problem, tc.want)
			}
			if p.Runs != nil {
				t.Errorf("planned all the same: %+v", p)
			}
		})
	}
}

func TestLicenceBearsOnAlcoholOnly(t *testing.T) {
	t.Parallel()
	b := house()
	b.House.Licensed = "no"
	made(t, b, start("coffee cream"))
}

func TestWhatClearsItGoesOntoTheLabel(t *testing.T) {
	t.Parallel()
	for agent, want := range map[string]string{"milk": "milk", "pasteurised egg white": "eggs", "isinglass": "fish"} {
		b := house()
		b.Recipes[0].ClearWith = agent
		p := made(t, b, start("pepper tequila"))
		if !slices.Contains(p.Allergens, want) || !slices.Contains(p.Figures.Keep.Allergens, want) {
			t.Errorf("cleared with %s: %v and %v, want %s in them", agent, p.Allergens, p.Figures.Keep.Allergens, want)
		}
		if n, ok := note(p, plan.NoteAllergen); !ok || n.Name != want {
			t.Errorf("cleared with %s: note %v %+v", agent, ok, n)
		}
	}
	b := house()
	b.Recipes[0].ClearWith = "hazelnut oil" // and so it stays out of the nut-free vessel
	if _, problem := plan.Make(b, start("pepper tequila", volume(200*ml), vessel("D")), b.Vessels, plan.Input{}); problem == nil || problem.Code != plan.NutFreeOnly {
		t.Errorf("nuts in D: %+v", problem)
	}
}

// Source: Illinois 235 ILCS 5/6-22.5: gone within 21 days after ageing ends.
func TestLawOfThePlaceShortens(t *testing.T) {
	t.Parallel()
	b := house()
	b.House.Country, b.House.State = "US", "IL"
	k := tried(t, b, start("smoky tea rum"), plan.Input{Now: evening}).Figures.Keep
	if got := k.UseBy.Format(time.DateOnly); k.Days != 21 || got != "2026-12-14" {
		t.Errorf("use by %s: %+v", got, k)
	}
}
