package plan_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// The facts in this file are common practice of the trade, no source, held
// against the sample book that the program carries.

func TestHalfALitreTakesTwoChargersWithASwirlAfterEach(t *testing.T) {
	t.Parallel()
	p := made(t, book.Sample(), start("pepper tequila", volume(500*ml), vessel("A")))
	if got := p.Runs[0].Chargers; got != 2 {
		t.Errorf("%d chargers, want 2", got)
	}
	want := []plan.StepKind{plan.Charge, plan.Swirl, plan.Charge, plan.Swirl, plan.Rest}
	if diff := cmp.Diff(want, kinds(p)[2:7]); diff != "" {
		t.Errorf("steps after filling (-want +got):\n%s", diff)
	}
}

func TestSlicedHotFreshPepperRestsAboutOneMinute(t *testing.T) {
	t.Parallel()
	p := made(t, book.Sample(), start("pepper tequila", volume(500*ml)))
	about(t, "rest", step(t, p, plan.Vent, 1).At-step(t, p, plan.Rest, 1).At, 50*time.Second, 70*time.Second)
}

func TestRoastedCacaoGoesToTheVentAboutNinetySecondsAfterTheLastCharger(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, r := range []request.Request{
		byClass("cacao nibs", "rum", true), start("toasted barley whisky"), start("coffee rum"),
	} {
		p := made(t, b, r)
		last := step(t, p, plan.Charge, p.Runs[0].Chargers).At
		about(t, p.Title+": last charger to vent", step(t, p, plan.Vent, 1).At-last, 80*time.Second, 100*time.Second)
		about(t, p.Title+": swirl of it", p.Swirl, 25*time.Second, 35*time.Second)
	}
}

func TestSettlingTakesAboutAMinuteOrTwo(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, r := range []request.Request{
		start("pepper tequila"), start("smoky tea rum"), start("ginger gin"), byClass("cacao nibs", "rum", true),
	} {
		p := made(t, b, r)
		about(t, p.Title, p.Settle, time.Minute, 2*time.Minute)
	}
}

func TestCloudyBatchStandsTwentyToThirtyMinutes(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	cloudy := 0
	for _, r := range b.Recipes {
		p := made(t, b, start(r.Name))
		if !slices.Contains(kinds(p), plan.Clear) {
			continue
		}
		cloudy++
		about(t, p.Title, step(t, p, plan.Label, 1).At-step(t, p, plan.Clear, 1).At, 20*time.Minute, 30*time.Minute)
	}
	if cloudy == 0 {
		t.Error("no recipe of the sample book stands to clear")
	}
}

func TestHalfALitreOfPepperTequilaFitsAAndALitreDoesNotFitOneVessel(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	p := made(t, b, start("pepper tequila", volume(500*ml)))
	if got := tags(p); got[0] != "A" || p.Runs[0].Solids[0].Mass != 60*g {
		t.Errorf("500 ml in %v with %v", got, p.Runs[0].Solids)
	}
	_, problem := plan.Make(b, start("pepper tequila", volume(1000*ml)), b.Vessels, plan.Input{})
	if problem == nil || problem.Code != plan.TooMuch {
		t.Fatalf("a litre: %+v", problem)
	}
	want := []plan.Offer{
		{Line: "start pepper tequila 500ml x2", Runs: 2, Vessel: []string{"A", "B"}, Volume: 500 * ml},
		{Line: "start pepper tequila 900ml in C", Runs: 1, Vessel: []string{"C"}, Volume: 900 * ml},
	}
	if diff := cmp.Diff(want, problem.Offers); diff != "" {
		t.Errorf("offers (-want +got):\n%s", diff)
	}
}

func TestEveryRecipeOfTheSampleCanBeMadeWithoutAWarning(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, r := range b.Recipes {
		p := made(t, b, start(r.Name))
		for _, n := range p.Notes {
			switch n.Code {
			case plan.NoteNoBrim, plan.NoteNoLimit, plan.NoteFewerCharges, plan.NoteShortContact:
				t.Errorf("%s: note %+v", r.Name, n)
			}
		}
	}
}

// about fails the test where got is not between low and high.
func about(t *testing.T, what string, got, low, high time.Duration) {
	t.Helper()
	if got < low || got > high {
		t.Errorf("%s: %v, want %v to %v", what, got, low, high)
	}
}
