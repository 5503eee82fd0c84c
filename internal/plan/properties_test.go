package plan_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// anyVessels draws up to six free vessels of all sizes and states of knowledge.
func anyVessels(t *rapid.T) []book.Vessel {
	var out []book.Vessel
	for i := range rapid.IntRange(0, 6).Draw(t, "vessels") {
		nominal := rapid.SampledFrom([]quantity.Volume{250 * ml, 500 * ml, 1000 * ml}).Draw(t, "nominal")
		v := book.Vessel{
			Tag:             string(rune('A' + i)),
			Nominal:         nominal,
			Line:            nominal - quantity.Volume(rapid.IntRange(0, 40).Draw(t, "below"))*ml,
			Limit:           rapid.IntRange(0, 3).Draw(t, "limit"),
			LineHoldsSolids: rapid.Bool().Draw(t, "line holds solids"),
			Insulated:       rapid.Bool().Draw(t, "insulated"),
			NutFree:         rapid.IntRange(0, 3).Draw(t, "nut-free") == 0,
		}
		if rapid.IntRange(0, 3).Draw(t, "brim known") > 0 {
			v.Brim = nominal * quantity.Volume(rapid.IntRange(115, 150).Draw(t, "brim")) / 100
		}
		out = append(out, v)
	}
	return out
}

// anyRequest draws a start over b: a recipe or a class default, with or
// without each thing that can be said.
func anyRequest(t *rapid.T, b *book.Book) request.Request {
	r := request.Request{Verb: request.Start}
	if i := rapid.IntRange(0, len(b.Recipes)).Draw(t, "recipe"); i < len(b.Recipes) {
		r.Recipe = b.Recipes[i].Name
	} else {
		r = byClass("celery", "gin", rapid.Bool().Draw(t, "sure"))
	}
	maybe := func(what string) bool { return rapid.IntRange(0, 5).Draw(t, what) == 5 }
	if !maybe("house batch") {
		r.Volume = quantity.Volume(rapid.IntRange(2, 150).Draw(t, "centilitres")) * quantity.Centilitre
		if maybe("odd volume") {
			r.Volume += quantity.Volume(rapid.IntRange(0, 9999).Draw(t, "microlitres"))
		}
	}
	if maybe("count said") {
		r.Count = rapid.IntRange(1, 5).Draw(t, "count")
	}
	r.Split = maybe("split")
	if maybe("vessel said") && len(b.Vessels) > 0 {
		r.Vessel = rapid.SampledFrom(b.Vessels).Draw(t, "vessel").Tag
	}
	if maybe("solids said") {
		r.Solids = quantity.Mass(rapid.IntRange(1, 250_000).Draw(t, "milligrams"))
	}
	if maybe("rest said") {
		r.Rest = time.Duration(rapid.IntRange(1, 900).Draw(t, "rest")) * time.Second
	}
	if maybe("temperature said") {
		at := quantity.Temperature(rapid.IntRange(-50, 600).Draw(t, "temperature"))
		r.Temp = &at
	}
	return r
}

// anyKitchen draws a book with vessels of its own, of which some are free.
func anyKitchen(t *rapid.T) (*book.Book, []book.Vessel) {
	b := house()
	if rapid.Bool().Draw(t, "sample book") {
		sample := *book.Sample() // shared, so only the copy gets other vessels
		b = &sample
	}
	b.Vessels = anyVessels(t)
	taken := rapid.SliceOfNDistinct(rapid.IntRange(0, 5), 0, 2, rapid.ID).Draw(t, "taken")
	var free []book.Vessel
	for i, v := range b.Vessels {
		if !slices.Contains(taken, i) {
			free = append(free, v)
		}
	}
	return b, free
}

func TestMakeKeepsTheRules(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b, free := anyKitchen(t)
		r := anyRequest(t, b)
		p, problem := plan.Make(b, r, free, plan.Input{})
		if problem != nil {
			if len(p.Runs) > 0 || problem.Code == "" {
				t.Fatalf("a problem and a plan: %+v, %+v", *problem, p)
			}
			return
		}
		checkPlan(t, b, r, free, p)
	})
}

func TestEveryOfferCanBePlannedAsItReads(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b, free := anyKitchen(t)
		_, problem := plan.Make(b, anyRequest(t, b), free, plan.Input{})
		if problem == nil {
			return
		}
		if len(problem.Offers) > 3 {
			t.Fatalf("%d offers", len(problem.Offers))
		}
		// Every vessel drawn here takes something between a quarter of its
		// line and its fill, so that a wrong volume can always be put right.
		volume := []plan.ProblemCode{plan.TooMuch, plan.TooLittle, plan.TooFew}
		if len(problem.Offers) == 0 && slices.Contains(volume, problem.Code) {
			t.Fatalf("no offer for %+v", *problem)
		}
		for _, o := range problem.Offers {
			checkOffer(t, b, free, o)
		}
	})
}

// checkOffer reads an offer's line and plans it over the same vessels.
func checkOffer(t *rapid.T, b *book.Book, free []book.Vessel, o plan.Offer) {
	reading := request.Read(o.Line, request.Context{Book: b})
	if reading.Request == nil {
		t.Fatalf("offer %q is not read as a request: %+v", o.Line, reading)
	}
	p, problem := plan.Make(b, *reading.Request, free, plan.Input{})
	if problem != nil {
		t.Fatalf("offer %q is refused in turn: %+v", o.Line, *problem)
	}
	checkPlan(t, b, *reading.Request, free, p)
	volume := p.Runs[0].Liquid
	if o.Split {
		volume = p.Volume
	}
	if len(p.Runs) != o.Runs || volume != o.Volume || !slices.Equal(tags(p), o.Vessel) {
		t.Fatalf("offer %+v is planned as %+v", o, p.Runs)
	}
}

// checkPlan fails t where p breaks a rule that holds for every plan.
func checkPlan(t *rapid.T, b *book.Book, r request.Request, free []book.Vessel, p plan.Plan) {
	count := max(r.Count, 1)
	if len(p.Runs) != count && !r.Split || len(p.Runs) > max(count, 6) {
		t.Fatalf("%d runs, asked for %d, split %v", len(p.Runs), count, r.Split)
	}
	if r.Vessel != "" && !slices.Contains(tags(p), r.Vessel) {
		t.Fatalf("runs in %v, asked for %s", tags(p), r.Vessel)
	}
	var sum quantity.Volume
	rounds := map[string]int{}
	for _, run := range p.Runs {
		i := slices.IndexFunc(free, func(v book.Vessel) bool { return v.Tag == run.Vessel })
		rounds[run.Vessel]++
		if i < 0 || run.Figures.Round != rounds[run.Vessel] || run.Figures.Round > 1 && !r.Split {
			t.Fatalf("vessel %s is not free, or in round %d: %v", run.Vessel, run.Figures.Round, tags(p))
		}
		sum += run.Liquid
		if err := overfull(b, free[i], run, p.Product); err != nil {
			t.Fatal(err)
		}
		if run.Chargers < 1 || run.Chargers > free[i].ChargerLimit() {
			t.Fatalf("%d chargers in %s, limit %d", run.Chargers, run.Vessel, free[i].ChargerLimit())
		}
		if free[i].NutFree && slices.Contains(p.Allergens, "nuts") {
			t.Fatalf("nuts in the nut-free vessel %s", run.Vessel)
		}
	}
	if sum != p.Volume || r.Volume != 0 && sum != r.Volume*quantity.Volume(count) {
		t.Fatalf("runs hold %v, asked for %v each, plan says %v", sum, r.Volume, p.Volume)
	}
	checkSteps(t, p)
	checkStarts(t, b, p)
}

// overfull says where a run breaks the fill rule.
func overfull(b *book.Book, v book.Vessel, run plan.Run, kept book.Product) error {
	solid, _ := b.Botanical(run.Solids[0].Name)
	// In thousandths of a microlitre, so that nothing is rounded.
	all := int64(run.Liquid)*1000 + int64(run.Solids[0].Mass)*int64(solid.VolumePerGram)
	switch {
	case run.Liquid > v.Line:
		return fmt.Errorf("liquid %d above the line %d of %s", run.Liquid, v.Line, v.Tag)
	case run.Liquid*4 < v.Line:
		return fmt.Errorf("liquid %d under a quarter of the line %d of %s", run.Liquid, v.Line, v.Tag)
	case v.Brim > 0 && all*5 > int64(v.Brim)*1000*4:
		return fmt.Errorf("contents %d/1000 above 80 %% of the brim %d of %s", all, v.Brim, v.Tag)
	case (v.Brim == 0 || v.LineHoldsSolids || kept == book.SolidKept) && all > int64(v.Line)*1000:
		return fmt.Errorf("contents %d/1000 above the line %d of %s", all, v.Line, v.Tag)
	}
	return nil
}

// checkSteps fails t where the steps are out of order or one is missing.
func checkSteps(t *rapid.T, p plan.Plan) {
	letters := map[plan.StepKind]string{
		plan.Weigh: "w", plan.Fill: "f", plan.Charge: "c", plan.Swirl: "s", plan.Rest: "r", plan.Vent: "v",
		plan.Settle: "t", plan.Strain: "n", plan.Drain: "d", plan.Clear: "k", plan.Label: "l", plan.Store: "o",
	}
	var got strings.Builder
	var before time.Duration
	for _, s := range p.Steps {
		if s.At < before {
			t.Fatalf("%s at %v comes after %v", s.Do, s.At, before)
		}
		before = s.At
		got.WriteString(letters[s.Do])
	}
	most := slices.MaxFunc(p.Runs, func(a, b plan.Run) int { return a.Chargers - b.Chargers }).Chargers
	want := "wf" + strings.Repeat("cs", most) + "rv"
	switch {
	case p.Product == book.SolidKept:
		want += "td"
	case p.StrainFirst:
		want += "nt"
	default:
		want += "tn"
	}
	if p.Clear > 0 {
		want += "k"
	}
	want += "lo"
	if got.String() != want {
		t.Fatalf("steps %q, want %q", got.String(), want)
	}
}
