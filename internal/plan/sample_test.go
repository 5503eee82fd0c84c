package plan_test

import (
	"testing"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

func TestTheSampleGivesNothingToMend(t *testing.T) {
	t.Parallel()
	for _, f := range plan.CheckBook(book.Sample()) {
		t.Errorf("line %d: %s: %s", f.Line, f.Code, f)
	}
}

func TestEveryRecipeOfTheSampleIsPlannedAtItsHouseBatchUnderTheLine(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, r := range b.Recipes {
		p := made(t, b, start(r.Name))
		run := p.Runs[0]
		v, _ := b.Vessel(run.Vessel)
		solid, _ := b.Botanical(r.Solid)
		if len(p.Runs) != 1 || run.Liquid != r.Batch || run.Liquid > v.Line || !r.Fits(v, run.Liquid, solid.TrueVolume(run.Solids[0].Mass)) {
			t.Errorf("%s: %+v", r.Name, p.Runs)
		}
		if kept := r.Product == book.SolidKept; kept != (p.Figures.Drained > 0) || kept == (p.Figures.Yield > 0) {
			t.Errorf("%s yields %v or %v", r.Name, p.Figures.Yield, p.Figures.Drained)
		}
		if p.Figures.Cost == 0 || p.Figures.Keep.Days == 0 || p.Figures.Keep.Storage != r.Storage {
			t.Errorf("%s: costs %s, %+v", r.Name, p.Figures.Cost, p.Figures.Keep)
		}
		if r.Hold > 0 && p.Figures.Keep.Days > r.Hold {
			t.Errorf("%s is held for %d days and keeps %d", r.Name, r.Hold, p.Figures.Keep.Days)
		}
	}
}

// What is lost of the liquid, in percent. The high end is what the trade reckons
// with, an estimate, pooled; the low end is what the vent sprays and a film on
// the pieces, from memory.
func TestYieldsAreWhatTheTradeSays(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, c := range []struct {
		recipe    string
		low, high float64
	}{
		{"pepper tequila", 2, 10}, {"lemon peel vodka", 2, 5}, {"grapefruit peel gin", 2, 5}, {"clove rum", 2, 6}, {"vanilla brandy", 2, 4},
		{"pineapple rum", 13, 25}, {"black tea vodka", 5, 10}, {"green tea gin", 5, 8}, {"hibiscus tequila", 5, 8}, {"basil gin", 4, 10},
		{"sage brandy", 2, 6}, {"lavender gin", 2, 6}, {"basil oil", 12, 20}, {"cumin oil", 8, 14}, {"raspberry vinegar", 12, 18},
		{"tarragon vinegar", 4, 8}, {"coffee vodka", 15, 30}, {"dried orange bitters", 18, 30}, {"dandelion bitters", 18, 30},
	} {
		p := made(t, b, start(c.recipe))
		lost := 100 * (1 - p.Figures.Yield.Millilitres()/p.Volume.Millilitres())
		if lost < c.low || lost > c.high {
			t.Errorf("%s loses %.1f %%, want %.0f to %.0f", c.recipe, lost, c.low, c.high)
		}
	}
}

func TestEveryRecipeReadsBackByEachOfItsNamesInThreeLanguages(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	reader := request.NewReader(b)
	for _, r := range b.Recipes {
		languages := map[string]bool{}
		for _, name := range append([]string{r.Name}, r.Aliases...) {
			for _, line := range []string{"start " + name, name + " 300ml"} {
				got := reader.Read(line, request.Context{Book: b, Now: evening})
				if got.Request == nil || got.Request.Recipe != r.Name {
					t.Errorf("%q reads %+v, %+v, %+v", line, got.Request, got.Question, got.Problem)
					continue
				}
				languages[got.Language] = true
				if v := got.Request.Volume; v != 0 && v != 300*quantity.Millilitre {
					t.Errorf("%q reads %v", line, v)
				}
			}
		}
		for _, l := range []string{"en", "es", "fr"} {
			if !languages[l] {
				t.Errorf("%s has no name in %s: %v", r.Name, l, r.Aliases)
			}
		}
	}
}
