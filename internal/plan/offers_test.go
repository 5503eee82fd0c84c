package plan_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

func TestOffersNearestFirst(t *testing.T) {
	t.Parallel()
	offer := func(line string, v quantity.Volume, vessels ...string) plan.Offer {
		return plan.Offer{Line: line, Runs: len(vessels), Vessel: vessels, Volume: v}
	}
	for _, tc := range []struct {
		name string
		r    request.Request
		free []string
		want []plan.Offer
	}{
		{
			"a litre: two runs, or the most that fits C",
			start("pepper tequila", volume(1000*ml)),
			[]string{"A", "B", "C", "D"},
			[]plan.Offer{
				offer("start pepper tequila 500ml x2", 500*ml, "A", "B"),
				offer("start pepper tequila 900ml in C", 900*ml, "C"),
			},
		},
		{
			"three parts are rounded down to ten millilitres",
			start("pepper tequila", volume(1400*ml)),
			[]string{"A", "B", "C"},
			[]plan.Offer{
				offer("start pepper tequila 460ml x3", 460*ml, "A", "B", "C"),
				offer("start pepper tequila 500ml x2", 500*ml, "A", "B"),
				offer("start pepper tequila 900ml in C", 900*ml, "C"),
			},
		},
		{
			"solids said are offered in proportion",
			start("pepper tequila", volume(1000*ml), solids(95*g)),
			[]string{"A", "B"},
			[]plan.Offer{
				offer("start pepper tequila 500ml x2 47g", 500*ml, "A", "B"),
				offer("start pepper tequila 500ml in A 47g", 500*ml, "A"),
			},
		},
		{
			"too much for the vessel named: another one, or less in it",
			start("pepper tequila", volume(400*ml), vessel("D")),
			[]string{"A", "D"},
			[]plan.Offer{
				offer("start pepper tequila 400ml", 400*ml, "A"),
				offer("start pepper tequila 250ml in D", 250*ml, "D"),
			},
		},
		{
			"too few vessels: all of it, as many of the same size, or one",
			start("pepper tequila", volume(300*ml), count(3)),
			[]string{"A", "B"},
			[]plan.Offer{
				offer("start pepper tequila 450ml x2", 450*ml, "A", "B"),
				offer("start pepper tequila 300ml x2", 300*ml, "A", "B"),
				offer("start pepper tequila 500ml in A", 500*ml, "A"),
			},
		},
		{
			"too little: the least that is worth a charge",
			start("pepper tequila", volume(100*ml)),
			[]string{"A", "C"},
			[]plan.Offer{offer("start pepper tequila 130ml in A", 130*ml, "A")},
		},
		{
			"between two sizes: the nearest below and above",
			start("pepper tequila", volume(249*ml), solids(49*g)),
			[]string{"C", "D"},
			[]plan.Offer{
				offer("start pepper tequila 250ml in C 49g", 250*ml, "C"),
				offer("start pepper tequila 240ml in D 47g", 240*ml, "D"),
			},
		},
		{
			"what lies outside the limits is put right as well",
			start("pepper tequila", volume(1000*ml), solids(900*g), rest(time.Second), temp(60*c)),
			[]string{"A", "B"},
			[]plan.Offer{
				offer("start pepper tequila 460ml x2 92g rest 45s 25°C", 460*ml, "A", "B"),
				offer("start pepper tequila 470ml in A 94g rest 45s 25°C", 470*ml, "A"),
			},
		},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			b := house()
			_, problem := plan.Make(b, tc.r, free(b, tc.free...), plan.Input{})
			if problem == nil {
				t.Fatal("no problem")
			}
			if diff := cmp.Diff(tc.want, problem.Offers); diff != "" {
				t.Errorf("offers (-want +got):\n%s", diff)
			}
		})
	}
}
