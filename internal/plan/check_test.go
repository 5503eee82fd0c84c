package plan_test

import (
	"fmt"
	"strings"
	"testing"

	"ventbell/internal/book"
	"ventbell/internal/plan"
)

// spoiled gives the sample with one entry's text changed.
func spoiled(t *testing.T, part book.Part, name string, changes ...string) *book.Book {
	t.Helper()
	text := book.SampleYAML()
	before := book.EntryText(text, part, name)
	after := strings.NewReplacer(changes...).Replace(before)
	if after == before {
		t.Fatalf("%s has none of %q:\n%s", name, changes, before)
	}
	text, err := book.Amend(text, book.Edit{Part: part, Name: name, YAML: after})
	if err != nil {
		t.Fatal(err)
	}
	b, err := book.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Each row spoils one entry of the sample; the cure says what to write.
func TestCheckBookFindsContradictionsAndTheirCure(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		part    book.Part
		name    string
		changes []string
		code    book.FindingCode
		says    string
	}{
		{book.PartRecipes, "basil gin", []string{"hold: 3 days", "hold: 30 days"}, book.HoldTooLong, "row S6 of the keeping table gives 14: set hold to 14 days"},
		{book.PartRecipes, "basil oil", []string{"clear: 30 min", "clear: 30 min\nhold: 7 days", "clear, judge_after]", "clear, judge_after, hold]"}, book.HoldTooLong, "row O2 of the keeping table gives 4"},
		{book.PartRecipes, "cumin oil", []string{"hold: 28 days", "hold: 60 days", "storage: fridge", "storage: shelf"}, book.WrongStorage, "set storage to fridge"},
		{book.PartRecipes, "quick onion pickle", []string{"storage: fridge", "storage: fridge\nhold: 9 days", "contact]", "contact, hold]"}, book.HoldTooLong, "row P1 of the keeping table gives 3"},
		{book.PartRecipes, "quick onion pickle", []string{"vent: slow\n", ""}, book.BlownOut, "set vent to slow"},
		{book.PartRecipes, "gin-soaked melon", []string{"batch: 250 ml", "batch: 400 ml", "ratio: 80", "ratio: 95"}, "", ""}, // fits the litre
		{book.PartRecipes, "gin-soaked melon", []string{"batch: 250 ml", "batch: 600 ml"}, book.FitsNoVessel, "make the batch smaller"},
		{book.PartRecipes, "sage brandy", []string{"max: 4 min", "max: 20 min"}, book.RestTooLong, "set rest.max to no more than that"},
		{book.PartRecipes, "sesame whisky", []string{"allergens:\n", "", "- sesame\n", "", "  - sesame\n", "", "allergens: [sesame]\n", ""}, book.LacksAllergen, "add it to the recipe's allergens"},
		{book.PartRecipes, "clove rum", []string{"chargers: 2", "chargers: 4"}, book.TooManyCharges, "prove the ratio with fewer"},
		{book.PartRecipes, "clove rum", []string{"proven: 0.5 l", "proven: 0.75 l"}, book.UnknownSize, "set proven to the nominal"},
		{book.PartRecipes, "clove rum", []string{"ratio: 1.5 g", "ratio: 15 g"}, book.OddRatio, "weigh again"},
		{book.PartRecipes, "cardamom cream", []string{"solid: cardamom", "solid: hibiscus"}, book.SourDairy, "take another base"},
		{book.PartBotanicals, "hazelnut", []string{"allergens: [nuts]\n", ""}, book.UntoldAllergen, "write allergens: [nuts]"},
		{book.PartBotanicals, "nutmeg", []string{"sign_off:", "# "}, book.NeedsSignOff, "write sign_off"},
		{book.PartBotanicals, "allspice", []string{"aliases: [", "aliases: [tobacco leaf, "}, book.NeverMade, "write refused"},
		{book.PartBotanicals, "allspice", []string{"aliases: [", "aliases: [cumin, "}, book.AliasTwice, "keep it in one place"},
		{book.PartLiquids, "milk", []string{"allergens: [milk]\n", ""}, book.UntoldAllergen, "write allergens: [milk]"},
		{book.PartVessels, "A", []string{"stamped_pressure: 35 bar", "stamped_pressure: 5 bar"}, "", ""}, // others bear it
	} {
		b := spoiled(t, c.part, c.name, c.changes...)
		found := plan.CheckBook(b)
		if c.code == "" {
			if len(found) != 0 {
				t.Errorf("%s %q: %v", c.name, c.changes, found)
			}
			continue
		}
		told := false
		for _, f := range found {
			told = told || f.Code == c.code && strings.Contains(f.Said, c.says)
			if lines := strings.Split(string(b.Text), "\n"); f.Line < 1 || f.Line > len(lines) || f.What == "" {
				t.Errorf("%s: in line %d: %+v", c.name, f.Line, f)
			}
		}
		if !told {
			t.Errorf("%s %q: found %v, want %q that says %q", c.name, c.changes, found, c.code, c.says)
		}
	}
}

func TestCheckBookTellsAnEstimateOverEveryStamp(t *testing.T) {
	t.Parallel()
	b := *book.Sample()
	b.Vessels = nil
	for i, v := range book.Sample().Vessels {
		v.StampedBar, v.Tag = 5, fmt.Sprintf("V%c", 'A'+i)
		b.Vessels = append(b.Vessels, v)
	}
	over := 0
	for _, f := range plan.CheckBook(&b) {
		if f.Code == book.OverPressure && strings.Contains(f.Said, "is stamped 5: prove it with fewer chargers") {
			over++
		}
	}
	if over < 40 {
		t.Errorf("%d recipes are over a stamp of 5 bar", over)
	}
}

func TestCheckBookDoesNotTellThePlaceForEachRecipe(t *testing.T) {
	t.Parallel()
	b := *book.Sample()
	b.House.Licensed = "no"
	if found := plan.CheckBook(&b); len(found) != 0 {
		t.Errorf("%v", found)
	}
}
