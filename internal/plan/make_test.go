package plan_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

func TestMakeLaysOutPepperTequila(t *testing.T) {
	t.Parallel()
	got := made(t, house(), start("pepper tequila", volume(500*ml)))
	got.Figures, got.Runs[0].Figures = plan.Figures{}, plan.RunFigures{} // they have tests of their own
	want := plan.Plan{
		Title: "pepper tequila", House: true, Class: "spirit + produce", Solid: "hot pepper", Base: "tequila",
		Family: book.Spirit, Volume: 500 * ml, VolumeSaid: true,
		Runs: []plan.Run{{
			Vessel: "A", Liquid: 500 * ml, Chargers: 2, Charge: 16 * g,
			Solids: []plan.Solid{{Name: "hot pepper", Mass: 60 * g, Prep: "2 mm rings"}},
		}},
		Prep: "2 mm rings", Choose: "firm, even skin",
		Temp:  book.TempRange{Min: 15 * c, Target: 20 * c, Max: 25 * c},
		Swirl: 30 * time.Second, Rest: book.Span{Min: 45 * time.Second, Target: time.Minute, Max: 90 * time.Second},
		Settle: time.Minute, Contact: 6 * time.Minute, JudgeAfter: 10 * time.Minute, Storage: "fridge",
		Steps: []plan.Step{
			{Do: plan.Weigh},
			{Do: plan.Fill, Note: plan.SafeFill},
			{Do: plan.Charge, Note: plan.SafeCharge, N: 1},
			{Do: plan.Swirl, Note: plan.SafeSwirl},
			{At: 30 * time.Second, Do: plan.Charge, Note: plan.SafeCharge, N: 2},
			{At: 30 * time.Second, Do: plan.Swirl, Note: plan.SafeSwirl},
			{At: time.Minute, Do: plan.Rest, Note: plan.SafeRest},
			{At: 2 * time.Minute, Do: plan.Vent, Note: plan.SafeVent},
			{At: 3 * time.Minute, Do: plan.Settle, Note: plan.SafeSettle},
			{At: 4 * time.Minute, Do: plan.Strain, Note: plan.SafeStrain},
			{At: 6 * time.Minute, Do: plan.Label, Note: plan.SafeLabel},
			{At: 6 * time.Minute, Do: plan.Store, Note: plan.SafeStore},
		},
		Notes: []plan.Note{
			{Code: plan.NoteIrritant, Name: "hot pepper"},
			{Code: plan.NoteNearlyFull, Vessel: "A"},
			{Code: plan.NoteGasLeaves, Span: 10 * time.Minute},
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("plan (-want +got):\n%s", diff)
	}
}

func TestMakeTakesTheHouseBatchAndSaysSo(t *testing.T) {
	t.Parallel()
	p := made(t, house(), start("smoky tea rum", count(2)))
	if p.VolumeSaid || p.Volume != 800*ml || p.Runs[1].Liquid != 400*ml {
		t.Errorf("two house batches: said %v, volume %v, runs %+v", p.VolumeSaid, p.Volume, p.Runs)
	}
	if n, ok := note(p, plan.NoteHouseBatch); !ok || n.Volume != 400*ml {
		t.Errorf("note of the house batch: %v, %+v", ok, n)
	}
}

func TestMakeWeighsWhatWasSaid(t *testing.T) {
	t.Parallel()
	p := made(t, house(), start("pepper tequila", volume(400*ml), solids(70*g)))
	if got := p.Runs[0].Solids[0].Mass; got != 70*g {
		t.Errorf("solids = %v, want the 70 g said", got)
	}
}

func TestMakeTakesWhatWasSaidWithinTheLimits(t *testing.T) {
	t.Parallel()
	p := made(t, house(), start("pepper tequila", rest(90*time.Second), temp(22*c)))
	wantRest := book.Span{Min: 45 * time.Second, Target: 90 * time.Second, Max: 90 * time.Second}
	if p.Rest != wantRest || p.Temp.Target != 22*c {
		t.Errorf("rest %v, temperature %v", p.Rest, p.Temp)
	}
	if at := step(t, p, plan.Vent, 1).At - step(t, p, plan.Rest, 1).At; at != 90*time.Second {
		t.Errorf("the vent comes %v after the rest began, want 90 s", at)
	}
}

func TestMakeRefuses(t *testing.T) {
	t.Parallel()
	half := 500 * ml
	for _, tc := range []struct {
		name string
		r    request.Request
		free []string
		want plan.Problem
		line string // of the first offer; empty = no offer
	}{
		{
			"a rest too long", start("pepper tequila", rest(2*time.Minute)),
			[]string{"A"},
			plan.Problem{
				Code: plan.RestOutside, Name: "pepper tequila",
				Rest: book.Span{Min: 45 * time.Second, Target: time.Minute, Max: 90 * time.Second},
			},
			"start pepper tequila rest 90s",
		},
		{
			"a rest too short", start("pepper tequila", rest(44*time.Second)),
			[]string{"A"},
			plan.Problem{
				Code: plan.RestOutside, Name: "pepper tequila",
				Rest: book.Span{Min: 45 * time.Second, Target: time.Minute, Max: 90 * time.Second},
			},
			"start pepper tequila rest 45s",
		},
		{
			"a liquid too cold", start("pepper tequila", temp(4*c)),
			[]string{"A"},
			plan.Problem{
				Code: plan.TempOutside, Name: "pepper tequila",
				Temp: book.TempRange{Min: 15 * c, Target: 20 * c, Max: 25 * c},
			},
			"start pepper tequila 15°C",
		},
		{
			"a liquid too warm", start("pepper tequila", volume(half), temp(31*c)),
			[]string{"A"},
			plan.Problem{
				Code: plan.TempOutside, Name: "pepper tequila",
				Temp: book.TempRange{Min: 15 * c, Target: 20 * c, Max: 25 * c},
			},
			"start pepper tequila 500ml 25°C",
		},
		{
			"more solids than the class takes", start("pepper tequila", volume(333*ml), solids(67*g)),
			[]string{"A"},
			plan.Problem{Code: plan.TooStrong, Name: "hot pepper", Volume: 333 * ml, Count: 20},
			"start pepper tequila 333ml 66g",
		},
		{
			"a vessel that is taken", start("pepper tequila", volume(half), vessel("A")),
			[]string{"B", "C"},
			plan.Problem{Code: plan.VesselShut, Vessel: "A"},
			"start pepper tequila 500ml",
		},
		{
			"nuts in the nut-free vessel", start("hazelnut brandy", volume(200*ml), vessel("D")),
			[]string{"A", "D"},
			plan.Problem{Code: plan.NutFreeOnly, Vessel: "D", Name: "nuts"},
			"start hazelnut brandy 200ml",
		},
		{
			"nuts when only the nut-free vessel is free", start("hazelnut brandy", volume(200*ml)),
			[]string{"D"},
			plan.Problem{Code: plan.NoVessel, Volume: 200 * ml},
			"",
		},
		{
			"no free vessel", start("pepper tequila", volume(half)), nil,
			plan.Problem{Code: plan.NoVessel, Volume: half},
			"",
		},
		{
			"more vessels than are free", start("pepper tequila", volume(half), count(3)),
			[]string{"A", "B"},
			plan.Problem{Code: plan.TooFew, Volume: half, Count: 3},
			"start pepper tequila 500ml x2",
		},
		{
			"less than a quarter of the smallest line", start("pepper tequila", volume(60*ml)),
			[]string{"A", "C", "D"},
			plan.Problem{Code: plan.TooLittle, Vessel: "D", Volume: 60 * ml},
			"start pepper tequila 70ml in D",
		},
		{
			"less than a quarter of the named vessel's line", start("pepper tequila", volume(200*ml), vessel("C")),
			[]string{"A", "C"},
			plan.Problem{Code: plan.TooLittle, Vessel: "C", Volume: 200 * ml},
			"start pepper tequila 200ml",
		},
		{
			"too much for the named vessel", start("pepper tequila", volume(400*ml), vessel("D")),
			[]string{"A", "D"},
			plan.Problem{Code: plan.TooMuch, Vessel: "D", Volume: 400 * ml},
			"start pepper tequila 400ml",
		},
		{
			"a class default without the one tap", byClass("celery", "gin", false),
			[]string{"A"},
			plan.Problem{Code: plan.NotHouseRule, Name: "celery gin"},
			"start celery gin as class",
		},
		{
			"oil by a class default", byClass("coffee", "sunflower oil", true),
			[]string{"A"},
			plan.Problem{Code: plan.NotHouseRule, Name: "coffee sunflower oil"},
			"",
		},
		{
			"dairy by a class default", byClass("hazelnut", "cream", true),
			[]string{"A"},
			plan.Problem{Code: plan.NotHouseRule, Name: "hazelnut cream"},
			"",
		},
		{
			"a refused botanical", byClass("bitter kernel", "gin", true),
			[]string{"A"},
			plan.Problem{Code: plan.NotHouseRule, Name: "bitter kernel gin"},
			"",
		},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			b := house()
			_, problem := plan.Make(b, tc.r, free(b, tc.free...), plan.Input{})
			if problem == nil {
				t.Fatal("no problem")
			}
			line := ""
			if len(problem.Offers) > 0 {
				line = problem.Offers[0].Line
			}
			got := *problem
			got.Offers = nil
			if diff := cmp.Diff(tc.want, got); diff != "" {
				t.Errorf("problem (-want +got):\n%s", diff)
			}
			if line != tc.line {
				t.Errorf("first offer %q, want %q (all: %+v)", line, tc.line, problem.Offers)
			}
		})
	}
}

func TestMakeGoesByTheClassAfterTheOneTap(t *testing.T) {
	t.Parallel()
	p := made(t, house(), byClass("celery", "gin", true))
	if p.House || p.Title != "celery gin" || p.Class != "spirit + produce" || p.Volume != 400*ml {
		t.Errorf("house %v, title %q, class %q, volume %v", p.House, p.Title, p.Class, p.Volume)
	}
	if got := p.Runs[0].Solids[0].Mass; got != 40*g {
		t.Errorf("solids = %v, want 40 g by the class's ratio", got)
	}
	want := []plan.Note{
		{Code: plan.NoteNotHouse, Name: "spirit + produce"},
		{Code: plan.NoteAllergen, Name: "celery"},
		{Code: plan.NoteHouseBatch, Volume: 400 * ml},
		{Code: plan.NoteGasLeaves, Span: 10 * time.Minute},
	}
	if diff := cmp.Diff(want, p.Notes); diff != "" {
		t.Errorf("notes (-want +got):\n%s", diff)
	}
}

func TestStrongSpiritIsNeverWarmedByAClassDefault(t *testing.T) {
	t.Parallel()
	b := house()
	b.Classes[1].Temp = book.TempRange{Min: 30 * c, Target: 35 * c, Max: 40 * c} // spirit + roast
	b.Liquids[1].Strength = 61 * quantity.Percent                                // gin
	want := book.TempRange{Min: 25 * c, Target: 25 * c, Max: 25 * c}
	if got := made(t, b, byClass("coffee", "gin", true)).Temp; got != want {
		t.Errorf("temperature %v, want %v", got, want)
	}
	if got := made(t, b, byClass("coffee", "rum", true)).Temp; got != b.Classes[1].Temp {
		t.Errorf("temperature of a 40 %% spirit %v, want the class's", got)
	}
}

func TestMakeLeavesTheBookAsItWas(t *testing.T) {
	t.Parallel()
	b := house()
	made(t, b, start("hazelnut brandy", temp(30*c)))
	if _, problem := plan.Make(b, start("pepper tequila", volume(1000*ml)), b.Vessels, plan.Input{}); problem == nil {
		t.Fatal("a litre of pepper tequila fits")
	}
	if diff := cmp.Diff(house(), b); diff != "" {
		t.Errorf("book changed (-before +after):\n%s", diff)
	}

	spare := []string{"milk", "not the book's"}
	b.Recipes[1].Allergens = spare[:1] // hazelnut brandy: its solid brings nuts
	made(t, b, start("hazelnut brandy"))
	if spare[1] != "not the book's" {
		t.Errorf("wrote %q behind the recipe's allergens", spare[1])
	}
}

// BenchmarkMake makes plans with all figures: gas, strength, keeping, yield,
// cost, and a room in which ten vents came before.
func BenchmarkMake(b *testing.B) {
	h := book.Sample()
	in := plan.Input{Now: evening, Weighed: weighings(5, 460)}
	for n := range 10 {
		in.Vented = append(in.Vented, plan.Release{At: evening.Add(time.Duration(-n) * 20 * time.Minute), Gas: 16 * g})
	}
	for _, bc := range []struct {
		name   string
		volume quantity.Volume
	}{{"plan", 500 * ml}, {"offers", 1000 * ml}} {
		r := start("pepper tequila", volume(bc.volume))
		b.Run(bc.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				plan.Make(h, r, h.Vessels, in)
			}
		})
	}
}
