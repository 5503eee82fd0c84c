package plan_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

func split(r *request.Request) { r.Split = true }

// spread gives the runs of a plan as text: vessel, round, volume.
func spread(p plan.Plan) string {
	var out []string
	for _, run := range p.Runs {
		text := fmt.Sprintf("%s %v", run.Vessel, run.Liquid)
		if run.Figures.Round > 1 {
			text += fmt.Sprintf(" round %d", run.Figures.Round)
		}
		out = append(out, text)
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}

func TestSplitTakesTheFewestRunsAsEqualAsTheirVesselsAllow(t *testing.T) {
	t.Parallel()
	// By hand. In this house 500 ml of pepper tequila fit A and B, 900 ml fit C, 250 ml
	// fit D and E (house_test.go). Nothing is known of what they bear.
	for _, tc := range []struct {
		name string
		r    request.Request
		free []string
		want string
	}{
		{"what fits one vessel is not split", start("pepper tequila", volume(500*ml), split), []string{"A", "B"}, "A 500 ml"},
		{"two alike", start("pepper tequila", volume(1000*ml), split), []string{"A", "B", "C"}, "A 500 ml, B 500 ml"},
		{"what ten millilitres do not divide", start("pepper tequila", volume(930*ml), split), []string{"A", "B"}, "A 470 ml, B 460 ml"},
		{"less than ten millilitres over", start("pepper tequila", volume(993*ml), split), []string{"A", "B"}, "A 500 ml, B 493 ml"},
		{"the big one has to help", start("pepper tequila", volume(1200*ml), split), []string{"A", "B", "C"}, "A 500 ml, C 700 ml"},
		{"the better vessels of those as equal", start("pepper tequila", volume(480*ml), split), []string{"D", "E"}, "D 240 ml, E 240 ml"},
		{"all that are free before a second round", start("pepper tequila", volume(2000*ml), split), []string{"A", "B", "C", "D"}, "A 500 ml, B 500 ml, C 750 ml, D 250 ml"},
		{"a second round", start("pepper tequila", volume(1000*ml), split), []string{"A"}, "A 500 ml, A 500 ml round 2"},
		{"a second round of one", start("pepper tequila", volume(1200*ml), split), []string{"A", "B"}, "A 400 ml, A 400 ml round 2, B 400 ml"},
		{
			"what is used least goes again", start("pepper tequila", volume(4000*ml), split),
			[]string{"A", "B", "C"},
			"A 500 ml, A 500 ml round 2, B 500 ml, C 830 ml round 2, C 830 ml round 3, C 840 ml",
		},
		{"the named vessel only", start("pepper tequila", volume(700*ml), vessel("B"), split), []string{"A", "B", "C"}, "B 350 ml, B 350 ml round 2"},
		{"never the nut-free vessel for nuts", start("hazelnut brandy", volume(480*ml), split), []string{"D", "E"}, "E 240 ml, E 240 ml round 2"},
		{"a count too many", start("pepper tequila", volume(300*ml), count(3), split), []string{"A", "B"}, "A 450 ml, B 450 ml"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			b := house()
			p, problem := plan.Make(b, tc.r, free(b, tc.free...), plan.Input{})
			if problem != nil {
				t.Fatalf("problem %+v", *problem)
			}
			if got := spread(p); got != tc.want {
				t.Errorf("runs %q, want %q", got, tc.want)
			}
		})
	}
}

func TestSplitSharesOutTheSolidsThatWereSaid(t *testing.T) {
	t.Parallel()
	b := house()
	p, problem := plan.Make(b, start("pepper tequila", volume(1400*ml), solids(140*g), split), free(b, "A", "C"), plan.Input{})
	if problem != nil {
		t.Fatal(problem)
	}
	for _, run := range p.Runs { // 10 g in 100 ml
		if got, want := run.Solids[0].Mass.Grams(), run.Liquid.Millilitres()/10; got != want {
			t.Errorf("%g g in %v of %s, want %g", got, run.Liquid, run.Vessel, want)
		}
	}
}

func TestMoreThanSixRunsAreAProblem(t *testing.T) {
	t.Parallel()
	b := house()
	r := start("pepper tequila", volume(3000*ml), split)
	if p, problem := plan.Make(b, r, free(b, "A"), plan.Input{}); problem != nil || len(p.Runs) != 6 {
		t.Errorf("3 l in A: %d runs, %+v", len(p.Runs), problem)
	}
	r.Volume += 10 * ml
	_, problem := plan.Make(b, r, free(b, "A"), plan.Input{})
	if problem == nil || problem.Code != plan.TooMuch || len(problem.Offers) == 0 {
		t.Errorf("3010 ml in A: %+v", problem)
	}
}

func TestNothingIsSplitThatNobodyAskedToSplit(t *testing.T) {
	t.Parallel()
	b := house()
	_, problem := plan.Make(b, start("pepper tequila", volume(2000*ml)), free(b, "A", "B", "C", "D"), plan.Input{})
	if problem == nil || problem.Code != plan.TooMuch {
		t.Fatalf("2 l: %+v", problem)
	}
	want := plan.Offer{
		Line: "start pepper tequila 2000ml split", Runs: 4, Volume: 2000 * ml, Split: true,
		Vessel: []string{"D", "A", "B", "C"}, // in the order in which they start
	}
	if diff := cmp.Diff(want, problem.Offers[0]); diff != "" {
		t.Errorf("first offer (-want +got):\n%s", diff)
	}
}

func TestSplitIsOfferedInOneRoundOnly(t *testing.T) {
	t.Parallel()
	b := house()
	_, problem := plan.Make(b, start("pepper tequila", volume(9000*ml)), free(b, "A", "B", "C", "D"), plan.Input{})
	if problem == nil {
		t.Fatal("9 l: no problem")
	}
	if got := problem.Offers[0]; !got.Split || got.Volume != 2150*ml || got.Runs != 4 {
		t.Errorf("first offer %+v, want all that A, B, C and D hold", got)
	}
}

func TestRunsStartForTheHandsThatTheHouseHas(t *testing.T) {
	t.Parallel()
	// Two chargers, each screwed home and swirled in a minute; a minute of rest;
	// vent, settle and strain in 1, 1 and 2 minutes. By hand: with one pair of
	// hands the second can only charge when the first is strained.
	for hands, want := range map[int]time.Duration{0: 7 * time.Minute, 1: 7 * time.Minute, 2: 75 * time.Second} {
		b := house()
		b.House.Hands = hands
		p := made(t, b, start("pepper tequila", volume(500*ml), count(2)))
		if got := p.Runs[1].Figures.StartAt; p.Runs[0].Figures.StartAt != 0 || got != want {
			t.Errorf("%d pairs of hands: the second run starts at %v, want %v", hands, got, want)
		}
	}
}

func TestSecondRoundWaitsForItsVessel(t *testing.T) {
	t.Parallel()
	b := house()
	p, problem := plan.Make(b, start("pepper tequila", volume(1000*ml), vessel("A"), split), b.Vessels, plan.Input{})
	if problem != nil {
		t.Fatal(problem)
	}
	// Strained after 7 minutes, washed and filled again in 5.
	if got := p.Runs[1].Figures.StartAt; got != 12*time.Minute {
		t.Errorf("the second round starts at %v, want 12 min", got)
	}
}

func TestFurtherCycleIsVentedAndConfirmedEmptyFirst(t *testing.T) {
	t.Parallel()
	b := house()
	b.Recipes[0].Cycles = 2
	p := made(t, b, start("pepper tequila", volume(500*ml), count(2)))
	cycle := []plan.StepKind{plan.Charge, plan.Swirl, plan.Charge, plan.Swirl, plan.Rest, plan.Vent}
	want := slices.Concat([]plan.StepKind{plan.Weigh, plan.Fill}, cycle, []plan.StepKind{plan.Empty}, cycle,
		[]plan.StepKind{plan.Settle, plan.Strain, plan.Label, plan.Store})
	if diff := cmp.Diff(want, kinds(p)); diff != "" {
		t.Errorf("steps (-want +got):\n%s", diff)
	}
	if got := step(t, p, plan.Charge, 3).At - step(t, p, plan.Vent, 1).At; got != time.Minute {
		t.Errorf("charged again %v after the vent, want 1 min", got)
	}
	if n, ok := note(p, plan.NoteCycles); !ok || n.Count != 2 {
		t.Errorf("note of the cycles: %v %+v", ok, n)
	}
	// 2 min of charging, 1 of rest and 1 of venting, twice; 1 of settling, 2 of straining.
	if got := p.Runs[1].Figures.StartAt; got != 11*time.Minute {
		t.Errorf("the second run starts at %v, want when the first is strained, 11 min", got)
	}
}

func TestSplitKeepsTheRules(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b, free := anyKitchen(t)
		house := *b
		house.House.Hands = rapid.IntRange(0, 3).Draw(t, "hands")
		r := anyRequest(t, &house)
		r.Split = true
		if r.Volume != 0 {
			r.Volume *= quantity.Volume(rapid.IntRange(1, 6).Draw(t, "times"))
		}
		p, problem := plan.Make(&house, r, free, plan.Input{})
		if problem != nil {
			return
		}
		checkPlan(t, &house, r, free, p)
		var least, most quantity.Volume
		for _, run := range p.Runs {
			least, most = least+run.Liquid, max(most, run.Liquid)
		}
		if least != p.Volume || most > p.Volume {
			t.Fatalf("%v in all: %s", p.Volume, spread(p))
		}
	})
}

// stretch is a time in which a hand is busy.
type stretch struct {
	what     string
	from, to time.Duration
}

// checkStarts fails t where two vents of p fall together, more is to be done at
// once than the house has hands, or a vessel is used before it is washed. Figures
// as in TestRunsStartForTheHandsThatTheHouseHas and TestSecondRoundWaitsForItsVessel.
func checkStarts(t *rapid.T, b *book.Book, p plan.Plan) {
	var busy, vents []stretch
	free := map[string]time.Duration{}
	for i, run := range p.Runs {
		at := run.Figures.StartAt
		if i == 0 && at != 0 || i > 0 && at < p.Runs[i-1].Figures.StartAt || at < free[run.Vessel] {
			t.Fatalf("run %d in %s starts at %v, its vessel is free at %v", i+1, run.Vessel, at, free[run.Vessel])
		}
		charged := at + time.Duration(run.Chargers)*(30*time.Second+p.Swirl)
		vent := charged + p.Rest.Target
		emptying := time.Minute
		if p.Vent == book.SlowVent {
			emptying = 3 * time.Minute
		}
		strain := vent + emptying
		if !p.StrainFirst {
			strain += p.Settle
		}
		free[run.Vessel] = strain + 7*time.Minute
		vents = append(vents, stretch{"vent " + run.Vessel, vent, vent + emptying + 15*time.Second})
		busy = append(busy, stretch{"charge " + run.Vessel, at, charged},
			stretch{"vent " + run.Vessel, vent, vent + emptying},
			stretch{"strain " + run.Vessel, strain, strain + 2*time.Minute})
	}
	if s := together(vents); len(s) > 1 {
		t.Fatalf("two vents at once: %v", s)
	}
	if s := together(busy); len(s) > max(b.House.Hands, 1) {
		t.Fatalf("%d pairs of hands, at once: %v", b.House.Hands, s)
	}
}

// together gives the most stretches that fall together.
func together(all []stretch) []stretch {
	var most []stretch
	for _, s := range all {
		var now []stretch
		for _, other := range all {
			if other.from <= s.from && s.from < other.to {
				now = append(now, other)
			}
		}
		if len(now) > len(most) {
			most = now
		}
	}
	return most
}

func BenchmarkMakeSplit(b *testing.B) {
	h := book.Sample()
	r := start("pepper tequila", volume(4000*ml), split)
	b.ReportAllocs()
	for b.Loop() {
		plan.Make(h, r, h.Vessels, plan.Input{})
	}
}
