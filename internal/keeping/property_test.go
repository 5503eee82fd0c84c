package keeping_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"ventbell/internal/keeping"
)

var (
	allLiquids = []keeping.Liquid{
		keeping.Spirit, keeping.Wine, keeping.Oil, keeping.Vinegar, keeping.Syrup, keeping.Dairy, keeping.Egg, keeping.Water, keeping.Honey, "paint",
	}
	allClasses = []keeping.Class{keeping.Dry, keeping.Herb, keeping.Fruit, keeping.Veg, keeping.Allium, keeping.Fat, ""}
	allNames   = []string{"garlic", "basil", "rosemary", "ginger", "dried mushroom", "hazelnut", "plum", "clove", "tonka bean", "nutmeg"}
	allPlaces  = []string{"BE", "GB", "US-IL", "US-AL", "US-NY", "US", ""}
	allAgents  = []keeping.Agent{"milk", "agar", "bacon fat", "egg white", "unheard of"}
)

func aReading(t *rapid.T, what string, low, high float64) keeping.Reading {
	if !rapid.Bool().Draw(t, what+" known") {
		return keeping.Reading{}
	}
	return keeping.Measured(rapid.Float64Range(low, high).Draw(t, what))
}

func aSolid(t *rapid.T) keeping.Solid {
	return keeping.Solid{Name: rapid.SampledFrom(allNames).Draw(t, "name"), Class: rapid.SampledFrom(allClasses).Draw(t, "class")}
}

// aDay is somewhere around the day made.
func aDay(t *rapid.T, what string, from, to int) keeping.Date {
	if !rapid.Bool().Draw(t, what+" known") {
		return keeping.Date{}
	}
	return today.Plus(rapid.IntRange(from, to).Draw(t, what))
}

// aCase is any case that holds some alcohol and no override.
func aCase(t *rapid.T) keeping.Case {
	low := rapid.Float64Range(0.5, 70).Draw(t, "low")
	c := keeping.Case{
		Liquid:         rapid.SampledFrom(allLiquids).Draw(t, "liquid"),
		Strength:       keeping.Between(low, rapid.Float64Range(low, 75).Draw(t, "high")),
		Acidity:        aReading(t, "acidity", 3, 7),
		PH:             aReading(t, "pH", 2, 7),
		Brix:           aReading(t, "Brix", 40, 85),
		WineVinegar:    rapid.Bool().Draw(t, "wine vinegar"),
		Juice:          rapid.Bool().Draw(t, "juice"),
		Wet:            rapid.Bool().Draw(t, "wet"),
		Solids:         rapid.SliceOfN(rapid.Custom(aSolid), 1, 3).Draw(t, "solids"),
		Agents:         rapid.SliceOfN(rapid.SampledFrom(allAgents), 0, 2).Draw(t, "agents"),
		CurdLeft:       rapid.Bool().Draw(t, "curd"),
		Drained:        rapid.IntRange(0, 3).Draw(t, "drained") == 0,
		PasteurisedEgg: rapid.Bool().Draw(t, "pasteurised"),
		Acidified:      rapid.Bool().Draw(t, "acidified"),
		Approval:       rapid.SampledFrom([]string{"", "letter 12"}).Draw(t, "approval"),
		Storage:        rapid.SampledFrom([]keeping.Storage{"", keeping.Shelf, keeping.Fridge}).Draw(t, "storage"),
		Made:           made.Add(time.Duration(rapid.IntRange(-12, 12).Draw(t, "hours")) * time.Hour),
		DayStarts:      time.Duration(rapid.IntRange(0, 8).Draw(t, "day starts")) * time.Hour,
		HoldDays:       rapid.SampledFrom([]int{0, 0, 2, 10, 100}).Draw(t, "hold"),
		Where:          rapid.SampledFrom(allPlaces).Draw(t, "where"),
		Licensed:       rapid.SampledFrom([]keeping.Answer{keeping.Yes, keeping.Unknown, ""}).Draw(t, "licensed"),
		UnlabelledAt:   aDay(t, "unlabelled", 0, 9),
	}
	if rapid.Bool().Draw(t, "part") {
		c.Parts = []keeping.Ingredient{{Name: "part", Opened: aDay(t, "opened", -9, 0), UseBy: aDay(t, "use by", -1, 30), TCS: rapid.Bool().Draw(t, "TCS")}}
	}
	if rapid.Bool().Draw(t, "frozen") {
		in := rapid.IntRange(1, 10).Draw(t, "in") // from the day after today, so never before it was made
		c.Freezes = []keeping.Freeze{{In: today.Plus(in), Out: today.Plus(in + rapid.IntRange(0, 40).Draw(t, "out"))}}
	}
	return c
}

// lasts is how many days a product keeps, none when it is not kept.
func lasts(t *rapid.T, c keeping.Case) int {
	k, _, err := keeping.Decide(c)
	if err != nil {
		t.Fatal(err)
	}
	if k.Standing != keeping.Kept {
		return 0
	}
	if k.UseBy.IsZero() || k.KeepDays < 1 || k.UseBy.Before(keeping.DateOf(c.Made).Plus(-1)) {
		t.Fatalf("kept %d days until %s", k.KeepDays, k.UseBy)
	}
	return k.UseBy.Since(today) + 10
}

// neverLonger checks that a change of the case never makes it keep longer.
func neverLonger(t *testing.T, change func(*rapid.T, *keeping.Case)) {
	t.Helper()
	rapid.Check(t, func(t *rapid.T) {
		c := aCase(t)
		changed := c
		changed.Solids, changed.Parts, changed.Agents = slices.Clone(c.Solids), slices.Clone(c.Parts), slices.Clone(c.Agents)
		change(t, &changed)
		if before, after := lasts(t, c), lasts(t, changed); after > before {
			t.Fatalf("it keeps %d days longer", after-before)
		}
	})
}

func TestAddingASolidNeverLengthens(t *testing.T) {
	t.Parallel()
	neverLonger(t, func(t *rapid.T, c *keeping.Case) { c.Solids = append(c.Solids, aSolid(t)) })
}

func TestKeepingThePiecesNeverLengthens(t *testing.T) {
	t.Parallel()
	neverLonger(t, func(_ *rapid.T, c *keeping.Case) { c.Drained = true })
}

func TestAddingAnAgentNeverLengthens(t *testing.T) {
	t.Parallel()
	neverLonger(t, func(t *rapid.T, c *keeping.Case) {
		c.Agents = append(c.Agents, rapid.SampledFrom(allAgents).Draw(t, "agent"))
	})
}

func TestLessStrengthNeverLengthens(t *testing.T) {
	t.Parallel()
	neverLonger(t, func(t *rapid.T, c *keeping.Case) {
		if rapid.Bool().Draw(t, "unknown") && (c.Liquid == keeping.Spirit || c.Liquid == keeping.Wine) {
			c.Strength = keeping.Strength{}
			return
		}
		c.Strength.Low = rapid.Float64Range(0, c.Strength.Low).Draw(t, "lower")
	})
}

func TestLessSugarOrNoneMeasuredNeverLengthens(t *testing.T) {
	t.Parallel()
	neverLonger(t, func(t *rapid.T, c *keeping.Case) {
		c.Brix.Value = rapid.Float64Range(0, max(c.Brix.Value, 1)).Draw(t, "less")
		c.Brix.Known = c.Brix.Known && rapid.Bool().Draw(t, "still known")
	})
}

func TestLessAcidOrNoneMeasuredNeverLengthens(t *testing.T) {
	t.Parallel()
	neverLonger(t, func(t *rapid.T, c *keeping.Case) {
		c.PH.Value = rapid.Float64Range(c.PH.Value, 14).Draw(t, "milder")
		c.PH.Known = c.PH.Known && rapid.Bool().Draw(t, "still known")
		c.Acidity.Known = c.Acidity.Known && rapid.Bool().Draw(t, "acidity still known")
	})
}

func TestWhatOnlyShortensNeverLengthens(t *testing.T) {
	t.Parallel()
	neverLonger(t, func(t *rapid.T, c *keeping.Case) {
		switch rapid.IntRange(0, 9).Draw(t, "which") {
		case 0:
			if hold := rapid.IntRange(1, 400).Draw(t, "hold"); c.HoldDays == 0 || hold < c.HoldDays {
				c.HoldDays = hold
			}
		case 1:
			c.Parts = append(c.Parts, keeping.Ingredient{Name: "another", Opened: aDay(t, "opened", -9, 0), UseBy: aDay(t, "use by", -1, 30), TCS: true})
		case 2:
			if c.UnlabelledAt.IsZero() {
				c.UnlabelledAt = today.Plus(rapid.IntRange(0, 30).Draw(t, "unlabelled"))
			}
		case 3:
			c.Deviations = append(c.Deviations, keeping.Mould)
		case 4:
			c.OutOfChill = time.Duration(rapid.IntRange(0, 48).Draw(t, "out")) * time.Hour
		case 5:
			c.Wet = true
		case 6:
			c.WineVinegar, c.Juice = true, true
		case 7:
			c.CurdLeft, c.PasteurisedEgg = true, false
		case 8:
			c.Acidified, c.Approval = false, ""
		case 9:
			c.Override = keeping.Override{Days: 300} // nobody's
		}
	})
}

func TestALawsCapNeverLengthens(t *testing.T) {
	t.Parallel()
	neverLonger(t, func(t *rapid.T, c *keeping.Case) {
		if c.Where == "BE" || c.Where == "GB" || c.Where == "US-NY" {
			c.Where = rapid.SampledFrom([]string{"US-IL", "US-OK", "US-AL", "US", ""}).Draw(t, "cap")
		}
	})
}

// The shelf may move to the fridge, and the freezer may pause; but for one and
// the same case the shelf never lasts longer than the fridge.
func TestTheShelfNeverBeatsTheFridge(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := aCase(t)
		c.Storage = keeping.Fridge
		fridge := lasts(t, c)
		c.Storage = keeping.Shelf
		if shelf := lasts(t, c); shelf > fridge {
			t.Fatalf("%d days longer on the shelf", shelf-fridge)
		}
	})
}

func TestNoCaseOutlastsTheLongestRowOfItsLiquid(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := aCase(t)
		longest := 3
		for _, r := range keeping.Rows() {
			if slices.Contains(r.Liquids, c.Liquid) {
				longest = max(longest, r.Fridge, 7)
			}
		}
		k, _, err := keeping.Decide(c)
		if err != nil {
			t.Fatal(err)
		}
		if k.KeepDays > longest || k.Overridden {
			t.Fatalf("%s keeps %d days, the longest row has %d", c.Liquid, k.KeepDays, longest)
		}
	})
}

func TestACaseIsNotChangedByDeciding(t *testing.T) {
	t.Parallel()
	c := strong(base(keeping.Spirit, keeping.Dry), 40)
	c.Solids[0].Name = "dried garlic"
	c.Agents = []keeping.Agent{"milk"}
	c.Storage = keeping.Freezer
	first, _ := decide(t, c)
	again, _ := decide(t, c)
	if diff := cmp.Diff(first, again); diff != "" {
		t.Errorf("decided twice: %s", diff)
	}
	if c.Solids[0].Class != keeping.Dry || len(c.Solids) != 1 || c.Freezes != nil {
		t.Error("deciding changed the case")
	}
}
