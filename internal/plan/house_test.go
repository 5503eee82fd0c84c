package plan_test

import (
	"slices"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

const (
	ml = quantity.Millilitre
	g  = quantity.Gram
	c  = quantity.Celsius
)

// house is a small book with one recipe for each thing the plan has to mind.
func house() *book.Book {
	room := book.TempRange{Min: 15 * c, Target: 20 * c, Max: 25 * c}
	fridge := book.TempRange{Min: 2 * c, Target: 4 * c, Max: 5 * c}
	minutes := func(n int) time.Duration { return time.Duration(n) * time.Minute }
	return &book.Book{
		Recipes: []book.Recipe{
			{
				Name: "pepper tequila", Solid: "hot pepper", Base: "tequila", Class: "spirit + produce",
				Batch: 500 * ml, Ratio: 12 * quantity.GramsPer100, Prep: "2 mm rings", Choose: "firm, even skin",
				Temp: room, Proven: 500 * ml, Chargers: 2, Swirl: 30 * time.Second,
				Rest:   book.Span{Min: 45 * time.Second, Target: time.Minute, Max: 90 * time.Second},
				Settle: time.Minute, Contact: minutes(6), JudgeAfter: minutes(10), Storage: "fridge",
			},
			{
				Name: "hazelnut brandy", Solid: "hazelnut", Base: "brandy", Class: "spirit + roast",
				Batch: 400 * ml, Ratio: 18 * quantity.GramsPer100, Temp: book.TempRange{Min: 15 * c, Target: 38 * c, Max: 40 * c},
				Proven: 500 * ml, Chargers: 2, Swirl: 30 * time.Second,
				Rest:   book.Span{Min: minutes(3), Target: minutes(5), Max: minutes(10)},
				Settle: minutes(5), Contact: minutes(20), Clear: minutes(25), JudgeAfter: minutes(30),
				Storage: "fridge", Allergens: []string{"nuts"},
			},
			{
				Name: "smoky tea rum", Solid: "smoked tea", Base: "rum", Class: "spirit + tea",
				Batch: 400 * ml, Ratio: 1500, Temp: room, Proven: 500 * ml, Chargers: 2, Swirl: 15 * time.Second,
				Rest:   book.Span{Min: 30 * time.Second, Target: 45 * time.Second, Max: 2 * time.Minute},
				Settle: minutes(1), StrainFirst: true, Contact: minutes(4), JudgeAfter: minutes(10), Storage: "shelf",
			},
			{
				Name: "coffee cream", Solid: "coffee", Base: "cream", Batch: 300 * ml, Ratio: 5 * quantity.GramsPer100,
				Temp: fridge, Proven: 500 * ml, Chargers: 2, Swirl: 15 * time.Second,
				Rest:   book.Span{Min: minutes(3), Target: minutes(5), Max: minutes(10)},
				Settle: minutes(5), Contact: minutes(30), JudgeAfter: minutes(10), Gentle: true, Storage: "fridge",
				Allergens: []string{"milk"},
			},
		},
		Vessels: []book.Vessel{
			{Tag: "A", Nominal: 500 * ml, Line: 500 * ml, Brim: 710 * ml, Limit: 2},
			{Tag: "B", Nominal: 500 * ml, Line: 500 * ml, Brim: 700 * ml, Limit: 2, Insulated: true},
			{Tag: "C", Nominal: 1000 * ml, Line: 1000 * ml, Brim: 1260 * ml, Limit: 2},
			{Tag: "D", Nominal: 250 * ml, Line: 250 * ml, Brim: 370 * ml, Limit: 1, NutFree: true},
			{Tag: "E", Nominal: 250 * ml, Line: 250 * ml, Brim: 370 * ml, Limit: 1},
		},
		Classes: []book.Class{
			{
				Name: "spirit + produce", Family: book.Spirit, Kind: book.Produce,
				Ratio: 10 * quantity.GramsPer100, RatioMin: 5 * quantity.GramsPer100, RatioMax: 20 * quantity.GramsPer100,
				Temp: room, Proven: 500 * ml, Chargers: 2, Swirl: 30 * time.Second,
				Rest:   book.Span{Min: time.Minute, Target: 90 * time.Second, Max: minutes(5)},
				Settle: minutes(2), Contact: minutes(10), JudgeAfter: minutes(10), Storage: "fridge",
			},
			{
				Name: "spirit + roast", Family: book.Spirit, Kind: book.Roast,
				Ratio: 15 * quantity.GramsPer100, RatioMin: 8 * quantity.GramsPer100, RatioMax: 25 * quantity.GramsPer100,
				Temp: room, Proven: 500 * ml, Chargers: 2, Swirl: 30 * time.Second,
				Rest:   book.Span{Min: time.Minute, Target: 2 * time.Minute, Max: minutes(10)},
				Settle: minutes(3), Contact: minutes(20), JudgeAfter: minutes(10), Storage: "shelf",
			},
			{
				Name: "oil + roast", Family: book.Oil, Kind: book.Roast, Ratio: 10 * quantity.GramsPer100,
				RatioMax: 15 * quantity.GramsPer100, Temp: room, Proven: 500 * ml, Chargers: 2,
			},
			{
				Name: "dairy + roast", Family: book.Dairy, Kind: book.Roast, Ratio: 5 * quantity.GramsPer100,
				RatioMax: 12 * quantity.GramsPer100, Temp: fridge, Proven: 500 * ml, Chargers: 1,
			},
		},
		Liquids: []book.Liquid{
			{Name: "tequila", Family: book.Spirit, Strength: 38 * quantity.Percent},
			{Name: "gin", Family: book.Spirit, Strength: 40 * quantity.Percent},
			{Name: "brandy", Family: book.Spirit, Strength: 40 * quantity.Percent},
			{Name: "rum", Family: book.Spirit, Strength: 40 * quantity.Percent},
			{Name: "cream", Family: book.Dairy},
			{Name: "sunflower oil", Family: book.Oil},
		},
		Botanicals: []book.Botanical{
			{Name: "hot pepper", Kind: book.Produce, VolumePerGram: 970},
			{Name: "celery", Kind: book.Produce, Allergens: []string{"celery"}, VolumePerGram: 985},
			{Name: "hazelnut", Kind: book.Roast, Allergens: []string{"nuts"}, VolumePerGram: 950},
			{Name: "coffee", Kind: book.Roast, VolumePerGram: 800},
			{Name: "smoked tea", Kind: book.Tea, VolumePerGram: 700},
			{Name: "bitter kernel", Kind: book.Roast, VolumePerGram: 900, Refused: "holds cyanide"},
		},
	}
}

// start gives a request to start a recipe, changed as asked.
func start(recipe string, change ...func(*request.Request)) request.Request {
	r := request.Request{Verb: request.Start, Recipe: recipe}
	for _, f := range change {
		f(&r)
	}
	return r
}

func volume(v quantity.Volume) func(*request.Request) {
	return func(r *request.Request) { r.Volume = v }
}

func vessel(tag string) func(*request.Request) { return func(r *request.Request) { r.Vessel = tag } }

func count(n int) func(*request.Request) { return func(r *request.Request) { r.Count = n } }

func solids(m quantity.Mass) func(*request.Request) {
	return func(r *request.Request) { r.Solids = m }
}

func rest(d time.Duration) func(*request.Request) { return func(r *request.Request) { r.Rest = d } }

func temp(t quantity.Temperature) func(*request.Request) {
	return func(r *request.Request) { r.Temp = &t }
}

// byClass gives a request for a known solid on a base that no recipe joins.
func byClass(solid, base string, sure bool) request.Request {
	return request.Request{Verb: request.Start, Solid: solid, Base: base, Sure: sure}
}

// free picks vessels of b by their tags.
func free(b *book.Book, tags ...string) []book.Vessel {
	return slices.DeleteFunc(slices.Clone(b.Vessels), func(v book.Vessel) bool { return !slices.Contains(tags, v.Tag) })
}

// made lays r out over all vessels of b and fails the test when that does not work.
func made(t *testing.T, b *book.Book, r request.Request) plan.Plan {
	t.Helper()
	p, problem := plan.Make(b, r, b.Vessels, plan.Input{})
	if problem != nil {
		t.Fatalf("Make(%v): problem %+v", r, *problem)
	}
	return p
}

// tags gives the vessels of the runs.
func tags(p plan.Plan) []string {
	var out []string
	for _, r := range p.Runs {
		out = append(out, r.Vessel)
	}
	return out
}

// note finds the first note with the code.
func note(p plan.Plan, code plan.NoteCode) (plan.Note, bool) {
	i := slices.IndexFunc(p.Notes, func(n plan.Note) bool { return n.Code == code })
	if i < 0 {
		return plan.Note{}, false
	}
	return p.Notes[i], true
}

// step gives the nth step of a kind, counted from 1.
func step(t *testing.T, p plan.Plan, do plan.StepKind, nth int) plan.Step {
	t.Helper()
	for _, s := range p.Steps {
		if s.Do == do {
			if nth--; nth == 0 {
				return s
			}
		}
	}
	t.Fatalf("no such step %q in %+v", do, p.Steps)
	return plan.Step{}
}
