package plan_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

func TestFillRuleAtItsEdges(t *testing.T) {
	t.Parallel()
	// 12 g/100 ml at 970 ul/g: each millilitre of liquid brings 0.1164 ml of
	// solids, so 500 ml come to 558.2 ml and 400 ml to 446.56 ml.
	for _, tc := range []struct {
		name   string
		vessel book.Vessel
		liquid quantity.Volume
		fits   bool
	}{
		{"liquid at the line", book.Vessel{Line: 500 * ml, Brim: 710 * ml}, 500 * ml, true},
		{"liquid above the line", book.Vessel{Line: 500 * ml, Brim: 1000 * ml}, 501 * ml, false},
		{"exactly four fifths of the brim", book.Vessel{Line: 500 * ml, Brim: 697750}, 500 * ml, true},
		{"a microlitre above four fifths", book.Vessel{Line: 500 * ml, Brim: 697749}, 500 * ml, false},
		{"solids within a line that counts them", book.Vessel{Line: 447 * ml, Brim: 710 * ml, LineHoldsSolids: true}, 400 * ml, true},
		{"solids above a line that counts them", book.Vessel{Line: 446 * ml, Brim: 710 * ml, LineHoldsSolids: true}, 400 * ml, false},
		{"solids within the line, no brim", book.Vessel{Line: 447 * ml}, 400 * ml, true},
		{"solids above the line, no brim", book.Vessel{Line: 500 * ml}, 500 * ml, false},
		{"a brim too low for a line that counts solids", book.Vessel{Line: 500 * ml, Brim: 500 * ml, LineHoldsSolids: true}, 400 * ml, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			v := tc.vessel
			v.Tag, v.Nominal, v.Limit = "X", 500*ml, 2
			_, problem := plan.Make(house(), start("pepper tequila", volume(tc.liquid)), []book.Vessel{v}, plan.Input{})
			if fits := problem == nil; fits != tc.fits {
				t.Errorf("fits = %v, want %v (%+v)", fits, tc.fits, problem)
			}
			if problem != nil && problem.Code != plan.TooMuch {
				t.Errorf("problem %q, want %q", problem.Code, plan.TooMuch)
			}
		})
	}
}

func TestVesselChoice(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name string
		r    request.Request
		free []string
		want []string
	}{
		{"the size it was proven in, though a smaller one fits", start("pepper tequila", volume(200*ml)), []string{"A", "B", "C", "E"}, []string{"A"}},
		{"the smallest when the proven size is not free", start("pepper tequila", volume(250*ml)), []string{"C", "E"}, []string{"E"}},
		{"the nut-free vessel last", start("pepper tequila", volume(250*ml)), []string{"C", "D"}, []string{"C"}},
		{"the nut-free vessel when it is the only one", start("pepper tequila", volume(200*ml)), []string{"D"}, []string{"D"}},
		{"the nut-free vessel when it is the only one not too big", start("pepper tequila", volume(100*ml)), []string{"A", "C", "D"}, []string{"D"}},
		{"the nut-free vessel when it is named", start("pepper tequila", volume(200*ml), vessel("D")), []string{"A", "D"}, []string{"D"}},
		{"the named vessel", start("pepper tequila", volume(400*ml), vessel("C")), []string{"A", "B", "C"}, []string{"C"}},
		{"the named vessel and one more", start("pepper tequila", volume(400*ml), vessel("C"), count(2)), []string{"A", "B", "C"}, []string{"C", "A"}},
		{"the bigger one when the solids need it", start("hazelnut brandy", volume(490*ml)), []string{"A", "B", "C"}, []string{"C"}},
		{"the plain one of two alike at room temperature", start("pepper tequila", volume(400*ml)), []string{"B", "A"}, []string{"A"}},
		{"the insulated one of two alike for a cold load", start("coffee cream", volume(300*ml)), []string{"A", "B"}, []string{"B"}},
		{"two of the proven size before a bigger one", start("pepper tequila", volume(400*ml), count(2)), []string{"A", "B", "C"}, []string{"A", "B"}},
		{"never the nut-free vessel for nuts", start("hazelnut brandy", volume(240*ml)), []string{"C", "D"}, nil},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			b := house()
			p, _ := plan.Make(b, tc.r, free(b, tc.free...), plan.Input{})
			if diff := cmp.Diff(tc.want, tags(p)); diff != "" {
				t.Errorf("vessels (-want +got):\n%s", diff)
			}
		})
	}
}

func TestChargersByVessel(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name    string
		proven  int // chargers in half a litre
		vessel  book.Vessel
		want    int
		limited bool // the limit cut it
		weaker  bool
		unknown bool // no limit entered
	}{
		{"the proven size", 2, book.Vessel{Nominal: 500 * ml, Limit: 2}, 2, false, false, false},
		{"half the size, half the count", 2, book.Vessel{Nominal: 250 * ml, Limit: 1}, 1, false, false, false},
		{"half of an odd count, rounded down", 3, book.Vessel{Nominal: 250 * ml, Limit: 3}, 1, false, false, false},
		{"never none", 1, book.Vessel{Nominal: 250 * ml, Limit: 1}, 1, false, false, false},
		{"twice the size, the same count", 2, book.Vessel{Nominal: 1000 * ml, Limit: 4}, 2, false, true, false},
		{"cut by the manual's limit", 3, book.Vessel{Nominal: 500 * ml, Limit: 2}, 2, true, false, false},
		{"one where no limit is entered", 2, book.Vessel{Nominal: 500 * ml}, 1, false, false, true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			b := house()
			b.Recipes[0].Chargers = tc.proven
			v := tc.vessel
			v.Tag, v.Line, v.Brim = "X", v.Nominal, 2*v.Nominal
			p, problem := plan.Make(b, start("pepper tequila", volume(250*ml)), []book.Vessel{v}, plan.Input{})
			if problem != nil {
				t.Fatalf("problem %+v", problem)
			}
			run := p.Runs[0]
			if run.Chargers != tc.want || run.Charge != quantity.Mass(tc.want)*plan.GasPerCharger {
				t.Errorf("%d chargers, %v of gas; want %d", run.Chargers, run.Charge, tc.want)
			}
			for code, want := range map[plan.NoteCode]bool{
				plan.NoteFewerCharges: tc.limited, plan.NoteWeaker: tc.weaker, plan.NoteNoLimit: tc.unknown,
			} {
				if n, got := note(p, code); got != want || got && (n.Vessel != "X" || n.Count != tc.want) {
					t.Errorf("note %q: %v %+v, want %v", code, got, n, want)
				}
			}
		})
	}
}

func TestUnmeasuredBrimIsNoted(t *testing.T) {
	t.Parallel()
	b := house()
	b.Vessels[0].Brim = 0
	p := made(t, b, start("pepper tequila", volume(400*ml), vessel("A")))
	if n, ok := note(p, plan.NoteNoBrim); !ok || n.Vessel != "A" {
		t.Errorf("note: %v %+v", ok, n)
	}
}

func TestNutFreeVesselIsShutToNutsPeanutsAndSesameOnly(t *testing.T) {
	t.Parallel()
	for allergen, shut := range map[string]bool{"nuts": true, "peanuts": true, "sesame": true, "milk": false, "celery": false} {
		b := house()
		b.Recipes[0].Allergens = []string{allergen}
		_, problem := plan.Make(b, start("pepper tequila", volume(200*ml), vessel("D")), b.Vessels, plan.Input{})
		if got := problem != nil && problem.Code == plan.NutFreeOnly && problem.Name == allergen; got != shut {
			t.Errorf("%s: shut = %v, want %v (%+v)", allergen, got, shut, problem)
		}
	}
}
