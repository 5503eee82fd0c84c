package plan_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// results gives batches of 500 ml that were made as the recipe says and tasted
// so, the oldest first.
func results(tastes ...request.Verdict) []plan.Result {
	var all []plan.Result
	for _, taste := range tastes {
		all = append(all, plan.Result{
			In: 500 * ml, Solids: 60 * g, Out: 480 * ml, Meant: time.Minute, Rest: 70 * time.Second, Contact: 3 * time.Minute, Taste: taste,
		})
	}
	return all
}

// with changes the results.
func with(all []plan.Result, change func(*plan.Result)) []plan.Result {
	for i := range all {
		change(&all[i])
	}
	return all
}

// All steps are estimates of ours: 15 % of the rest, 10 % of the ratio.
func TestTheLastResultsSpeakForAChange(t *testing.T) {
	t.Parallel()
	const weak, right, strong = request.Weak, request.Right, request.Strong
	long := func(b *book.Book) { b.Recipes[0].Rest.Target = 90 * time.Second }
	tight := func(b *book.Book) { // the solids come out when they have to
		for _, s := range made(t, b, start("pepper tequila", volume(500*ml))).Steps {
			if s.Do == plan.Strain {
				b.Recipes[0].Contact = s.At
			}
		}
	}
	lean := func(b *book.Book) {
		long(b)
		b.Classes[0].RatioMax = 12 * quantity.GramsPer100
	}
	least := func(b *book.Book) { b.Classes[0].RatioMin = 12 * quantity.GramsPer100 }
	hot := func(b *book.Book) { b.Botanicals[0].Irritant = true }
	pepper := func(b *book.Book) { b.Botanicals[0].Kind, b.Classes[0].Kind = book.HotPepper, book.HotPepper }
	for _, tc := range []struct {
		name    string
		change  func(*book.Book)
		results []plan.Result
		figure  plan.Figure // empty = nothing is proposed
		rest    time.Duration
		solids  quantity.Mass
	}{
		{name: "none"},
		{name: "one alone", results: results(strong)},
		{name: "two of two", results: results(strong, strong), figure: plan.OfRatio, solids: 54 * g},
		{name: "two of three", results: results(weak, strong, right, strong), figure: plan.OfRatio, solids: 54 * g},
		{name: "an opposite one", results: results(strong, weak, strong)},
		{name: "all were right", results: results(right, right, right)},
		{name: "only the last three count", results: results(strong, strong, right, right, right)},
		{name: "weak: more time first", results: results(weak, weak), figure: plan.OfRest, rest: 70 * time.Second},
		{name: "weak at the longest rest: more solids", change: long, results: results(weak, weak), figure: plan.OfRatio, solids: 66 * g},
		{name: "weak and no time left: more solids", change: tight, results: results(weak, weak), figure: plan.OfRatio, solids: 66 * g},
		{name: "weak at all limits", change: lean, results: results(weak, weak)},
		{name: "strong at the least ratio: less time", change: least, results: results(strong, strong), figure: plan.OfRest, rest: 50 * time.Second},
		{name: "strong and hot: less time first", change: hot, results: results(strong, strong), figure: plan.OfRest, rest: 50 * time.Second},
		{name: "strong and a pepper", change: pepper, results: results(strong, strong), figure: plan.OfRest, rest: 50 * time.Second},
		{
			name: "strong and rested too long", figure: plan.OfTime,
			results: with(results(strong, strong), func(r *plan.Result) { r.Rest = 4 * time.Minute }),
		},
		{
			name: "strong and strained too late", figure: plan.OfTime,
			results: with(results(strong, strong), func(r *plan.Result) { r.Contact = 12 * time.Minute }),
		},
		{
			name: "weak and vented too soon", figure: plan.OfTime,
			results: with(results(weak, weak), func(r *plan.Result) { r.Rest = 20 * time.Second }),
		},
		{name: "nobody knows how long it rested", results: with(results(weak, weak), func(r *plan.Result) { r.Rest = 0 })},
		{name: "spilt", results: with(results(weak, weak), func(r *plan.Result) { r.Out = 250 * ml })},
		{name: "never measured", results: with(results(strong, strong), func(r *plan.Result) { r.Out = 0 }), figure: plan.OfRatio, solids: 54 * g},
		{name: "weak, with less in it", results: with(results(weak, weak), func(r *plan.Result) { r.Solids = 50 * g })},
		{name: "strong, with more in it", results: with(results(strong, strong), func(r *plan.Result) { r.Solids = 70 * g })},
		{name: "strong, meant to rest longer", results: with(results(strong, strong), func(r *plan.Result) { r.Meant = 80 * time.Second })},
	} {
		b := house()
		if tc.change != nil {
			tc.change(b)
		}
		if b.Recipes[0].Rest.Target != time.Minute {
			tc.results = with(tc.results, func(r *plan.Result) { r.Meant, r.Rest = 0, 90*time.Second })
		}
		p := tried(t, b, start("pepper tequila", volume(500*ml)), plan.Input{Results: tc.results})
		if len(p.Last) != min(len(tc.results), 3) {
			t.Errorf("%s: %d results shown", tc.name, len(p.Last))
		}
		switch got := p.Proposal; {
		case got == nil && tc.figure == "":
		case got == nil || got.Figure != tc.figure || got.Solids != tc.solids || tc.rest > 0 && got.ToRest != tc.rest:
			t.Errorf("%s: proposed %+v", tc.name, got)
		case (got.Line == "") != (tc.figure == plan.OfTime):
			t.Errorf("%s: to type %q", tc.name, got.Line)
		}
		if p.Rest.Target != b.Recipes[0].Rest.Target || p.Runs[0].Solids[0].Mass != 60*g {
			t.Errorf("%s: the plan itself was changed", tc.name)
		}
	}
}

// Of pieces that are kept a result speaks by what they weighed drained: what
// weighed much more or less than expected was not as usual.
func TestWeighedPiecesSpeakByTheirGrams(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for drained, speaks := range map[quantity.Mass]bool{0: true, 240 * g: true, 220 * g: true, 190 * g: false, 290 * g: false} {
		all := results(request.Weak, request.Weak)
		for i := range all {
			all[i].In, all[i].Solids, all[i].Out, all[i].Drained = 250*ml, 200*g, 0, drained
			all[i].Meant, all[i].Rest = 15*time.Minute, 15*time.Minute
		}
		p := tried(t, b, start("gin-soaked melon", volume(250*ml)), plan.Input{Results: all})
		if got := p.Proposal; (got != nil) != speaks || got != nil && got.Figure != plan.OfRest {
			t.Errorf("%v drained: proposed %+v", drained, got)
		}
	}
}

func TestTheLatestResultComesFirst(t *testing.T) {
	t.Parallel()
	all := results(request.Weak, request.Right, request.Strong, "")
	all[3].Solid = request.Spent
	p := tried(t, house(), start("pepper tequila"), plan.Input{Results: all})
	if len(p.Last) != 3 || p.Last[0].Solid != request.Spent || p.Last[2].Taste != request.Right {
		t.Errorf("%+v", p.Last)
	}
}

// A proposal stays within the class's limits of the ratio and the recipe's own
// of the rest, goes the right way, and its line is planned as it was proposed.
func TestAProposalStaysWithinAllLimits(t *testing.T) {
	t.Parallel()
	sample := book.Sample()
	proposed := map[plan.Figure]int{}
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom(sample.Recipes).Draw(t, "recipe")
		req := request.Request{Verb: request.Start, Recipe: r.Name, Volume: quantity.Volume(rapid.IntRange(8, 100).Draw(t, "centilitres")) * quantity.Centilitre}
		if rapid.Bool().Draw(t, "rest said") {
			span := int((r.Rest.Max - r.Rest.Min) / time.Second)
			req.Rest = r.Rest.Min + time.Duration(rapid.IntRange(0, span).Draw(t, "rest"))*time.Second
		}
		in := plan.Input{SignedOff: true}
		taste := rapid.SampledFrom([]request.Verdict{request.Weak, request.Strong}).Draw(t, "taste")
		for range 3 {
			in.Results = append(in.Results, plan.Result{
				In: 300 * ml, Solids: r.Ratio.Of(300 * ml), Rest: r.Rest.Target, Contact: time.Second,
				Taste: rapid.SampledFrom([]request.Verdict{taste, taste, taste, request.Right}).Draw(t, "said"),
			})
		}
		p, problem := plan.Make(sample, req, sample.Vessels, in)
		if problem != nil || p.Proposal == nil {
			return
		}
		got := p.Proposal
		proposed[got.Figure]++
		if got.Why != taste || got.N < 2 || got.N > got.Of || got.Of > 3 {
			t.Fatalf("%+v", got)
		}
		if got.Figure == plan.OfTime {
			return
		}
		again := request.Read(got.Line, request.Context{Book: sample}).Request
		if again == nil {
			t.Fatalf("%q is not read", got.Line)
		}
		q, problem := plan.Make(sample, *again, sample.Vessels, plan.Input{SignedOff: true})
		if problem != nil {
			t.Fatalf("%q is not planned: %+v", got.Line, *problem)
		}
		up := taste == request.Weak
		switch got.Figure {
		case plan.OfRest:
			if got.ToRest < r.Rest.Min || got.ToRest > r.Rest.Max || got.ToRest > got.FromRest != up || q.Rest.Target != got.ToRest {
				t.Fatalf("%+v", got)
			}
		case plan.OfRatio:
			class, _ := sample.ClassOf(r)
			if got.ToRatio < class.RatioMin || got.ToRatio > class.RatioMax || got.ToRatio > got.FromRatio != up ||
				q.Runs[0].Solids[0].Mass != got.Solids {
				t.Fatalf("%+v, class %v to %v", got, class.RatioMin, class.RatioMax)
			}
		}
	})
	if proposed[plan.OfRest] == 0 || proposed[plan.OfRatio] == 0 {
		t.Errorf("proposed: %v, want both figures", proposed)
	}
}

// 500 ml on 60 g that give 400 ml keep (490 - 400) / 60 = 1.5 ml a gram, 2 %
// being lost in the vent; 30 g then keep half of it.
func TestTheHousesOwnRetentionFollowsTheSolids(t *testing.T) {
	t.Parallel()
	in := plan.Input{Weighed: append(weighings(2, 400), weighings(1, 406)...)}
	p := tried(t, house(), start("pepper tequila", volume(500*ml)), in)
	near(t, "yield", p.Figures.Yield.Millilitres(), 402, 0.01)
	near(t, "kept at least", p.Figures.Kept.Low, 1.4, 1e-9)
	near(t, "kept at most", p.Figures.Kept.High, 1.5, 1e-9)
	half := tried(t, house(), start("pepper tequila", volume(500*ml), solids(30*g)), in)
	near(t, "yield of half the solids", half.Figures.Yield.Millilitres(), 490-30*p.Figures.Kept.Central, 0.01)
	if two := tried(t, house(), start("pepper tequila", volume(500*ml)), plan.Input{Weighed: weighings(2, 400)}); two.Figures.Kept.High != 0 {
		t.Errorf("after two weighings %+v", two.Figures.Kept)
	}
}
