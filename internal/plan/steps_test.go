package plan_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/plan"
)

// kinds gives what the steps ask to do, in order.
func kinds(p plan.Plan) []plan.StepKind {
	var out []plan.StepKind
	for _, s := range p.Steps {
		out = append(out, s.Do)
	}
	return out
}

func TestStrainFirstSettlesOffTheSolids(t *testing.T) {
	t.Parallel()
	p := made(t, house(), start("smoky tea rum"))
	want := []plan.StepKind{
		plan.Weigh, plan.Fill, plan.Charge, plan.Swirl, plan.Charge, plan.Swirl, plan.Rest,
		plan.Vent, plan.Strain, plan.Settle, plan.Label, plan.Store,
	}
	if diff := cmp.Diff(want, kinds(p)); diff != "" {
		t.Errorf("steps (-want +got):\n%s", diff)
	}
	if _, ok := note(p, plan.NoteStrainFirst); !ok {
		t.Error("no note that it is strained first")
	}
}

func TestStandingToClearComesAfterTheStrain(t *testing.T) {
	t.Parallel()
	p := made(t, house(), start("hazelnut brandy"))
	standing := step(t, p, plan.Label, 1).At - step(t, p, plan.Clear, 1).At
	if standing != 25*time.Minute {
		t.Errorf("stands %v before the label, want 25 min", standing)
	}
	if n, ok := note(p, plan.NoteStandClear); !ok || n.Span != 25*time.Minute {
		t.Errorf("note: %v %+v", ok, n)
	}
}

func TestEveryStepFromFillingOnHasItsSafetyNote(t *testing.T) {
	t.Parallel()
	for _, r := range house().Recipes {
		for _, s := range made(t, house(), start(r.Name)).Steps {
			want := plan.NoteCode("safe " + s.Do)
			if s.Do == plan.Weigh {
				want = ""
			}
			if s.Note != want {
				t.Errorf("%s, %s: note %q, want %q", r.Name, s.Do, s.Note, want)
			}
		}
	}
}

func TestShortContactIsNotedOnlyWhenTheStepsBreakIt(t *testing.T) {
	t.Parallel()
	b := house()
	strain := step(t, made(t, b, start("pepper tequila")), plan.Strain, 1).At
	b.Recipes[0].Contact = strain
	if n, ok := note(made(t, b, start("pepper tequila")), plan.NoteShortContact); ok {
		t.Errorf("strained at the cap, yet %+v", n)
	}
	b.Recipes[0].Contact = strain - time.Second
	n, ok := note(made(t, b, start("pepper tequila")), plan.NoteShortContact)
	if !ok || n.Span != strain-time.Second {
		t.Errorf("strained a second past the cap: %v %+v", ok, n)
	}
}

func TestStepsFollowTheRunWithTheMostChargers(t *testing.T) {
	t.Parallel()
	b := house()
	p, problem := plan.Make(b, start("pepper tequila", volume(200*ml), count(2)), free(b, "A", "D"), plan.Input{})
	if problem != nil {
		t.Fatal(problem)
	}
	charges := slices.DeleteFunc(kinds(p), func(k plan.StepKind) bool { return k != plan.Charge })
	if p.Runs[0].Chargers+p.Runs[1].Chargers != 3 || len(charges) != 2 {
		t.Errorf("runs %+v, %d charges", p.Runs, len(charges))
	}
}

func TestNotesPutWhatCanHurtFirst(t *testing.T) {
	t.Parallel()
	b := house()
	r := &b.Recipes[1] // hazelnut brandy
	r.Gentle, r.StrainFirst, r.Contact = true, true, time.Minute
	unknown := book.Vessel{Tag: "X", Nominal: 1000 * ml, Line: 1000 * ml}
	p, problem := plan.Make(b, start(r.Name), []book.Vessel{unknown}, plan.Input{})
	if problem != nil {
		t.Fatal(problem)
	}
	want := []plan.Note{
		{Code: plan.NoteStrong},
		{Code: plan.NoteWarm},
		{Code: plan.NoteAllergen, Name: "nuts"},
		{Code: plan.NoteHouseBatch, Volume: 400 * ml},
		{Code: plan.NoteNoBrim, Vessel: "X", Volume: 1150 * ml},
		{Code: plan.NoteNoLimit, Vessel: "X", Count: 1},
		{Code: plan.NoteWeaker, Vessel: "X", Count: 1, Volume: 1000 * ml},
		{Code: plan.NoteGentle},
		{Code: plan.NoteShortContact, Span: time.Minute},
		{Code: plan.NoteStrainFirst},
		{Code: plan.NoteStandClear, Span: 25 * time.Minute},
		{Code: plan.NoteGasLeaves, Span: 30 * time.Minute},
	}
	if diff := cmp.Diff(want, p.Notes); diff != "" {
		t.Errorf("notes (-want +got):\n%s", diff)
	}
}
