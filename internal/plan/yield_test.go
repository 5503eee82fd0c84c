package plan_test

import (
	"strings"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// weighings gives n weighings of 500 ml that came out as so many millilitres.
func weighings(n int, out quantity.Volume) []plan.Weighing {
	all := make([]plan.Weighing, n)
	for i := range all {
		all[i] = plan.Weighing{In: 500 * ml, Solids: 60 * g, Out: out * ml}
	}
	return all
}

// What is lost is from memory: 2 % sprayed in the vent, a film of 0.1 ml on a
// gram of fresh pieces, 0.5 ml in a gram of roasted ones, 3 ml in one of tea,
// and 5 % left with what sinks.
func TestYieldTakesOffWhatTheSolidsKeep(t *testing.T) {
	t.Parallel()
	told := house()
	told.Botanicals[0].Retention = 500 // microlitres a gram
	for _, tc := range []struct {
		book   *book.Book
		recipe string
		liquid quantity.Volume
		want   float64
	}{
		{house(), "pepper tequila", 500 * ml, 500*0.98 - 60*0.1},
		{told, "pepper tequila", 500 * ml, 500*0.98 - 60*0.5},
		{house(), "hazelnut brandy", 400 * ml, 400*0.93 - 72*0.5},
		{house(), "smoky tea rum", 400 * ml, 400*0.98 - 6*3},
	} {
		p := made(t, tc.book, start(tc.recipe, volume(tc.liquid)))
		near(t, tc.recipe, p.Figures.Yield.Millilitres(), tc.want, 0.01)
		if p.Figures.Weighed || p.Runs[0].Figures.Yield != p.Figures.Yield {
			t.Errorf("%s: %+v, run %v", tc.recipe, p.Figures, p.Runs[0].Figures.Yield)
		}
	}
}

func TestThreeWeighingsOfTheHouseBeatTheTable(t *testing.T) {
	t.Parallel()
	nonsense := plan.Weighing{In: 500 * ml, Out: 5 * quantity.Litre}
	for _, tc := range []struct {
		name    string
		weighed []plan.Weighing
		want    float64
		own     bool
	}{
		{"two", weighings(2, 400), 484, false},
		{"three", weighings(3, 400), 400, true},
		{"two and one that cannot be", append(weighings(2, 400), nonsense, plan.Weighing{}), 484, false},
		{"the latest five of them", append(weighings(9, 100), weighings(5, 450)...), 450, true},
		{"their mean", append(weighings(2, 400), weighings(1, 460)...), 420, true},
	} {
		p := tried(t, house(), start("pepper tequila", volume(500*ml)), plan.Input{Weighed: tc.weighed})
		near(t, tc.name, p.Figures.Yield.Millilitres(), tc.want, 0.01)
		if p.Figures.Weighed != tc.own {
			t.Errorf("%s: by the house's own %v, want %v", tc.name, p.Figures.Weighed, tc.own)
		}
	}
}

// Source: worked drink sums of the trade: 500 ml of a spirit at 24.00 for 700 ml
// is 17.14, 60 g of pepper 0.36, two chargers 1.40; 460 ml come out, so a serve
// of 50 ml costs 2.05 and there are 9 of them. The price of a litre is cut to
// the cent here.
func TestCostPerServe(t *testing.T) {
	t.Parallel()
	b := house()
	b.House.Serve, b.House.Currency, b.House.ChargerPrice = 50*ml, "EUR", 70
	b.Liquids[0].Price, b.Botanicals[0].Price = 3428, 600
	in := plan.Input{Weighed: weighings(3, 460)}
	f := tried(t, b, start("pepper tequila", volume(500*ml)), in).Figures
	if f.Cost != 1890 || f.CostPerServe != 205 || f.Serves != 9 || f.Serve != 50*ml || f.Currency != "EUR" {
		t.Errorf("%+v", f)
	}
	b.Recipes[0].Serve = 46 * ml
	if f := tried(t, b, start("pepper tequila", volume(500*ml)), in).Figures; f.Serves != 10 || f.CostPerServe != 189 {
		t.Errorf("by the recipe's own serve: %+v", f)
	}
	for _, unknown := range []func(){
		func() { b.Liquids[0].Price = 0 },
		func() { b.Liquids[0].Price, b.Botanicals[0].Price = 3428, 0 },
		func() { b.Botanicals[0].Price, b.House.ChargerPrice = 600, 0 },
	} {
		unknown()
		if f := tried(t, b, start("pepper tequila", volume(500*ml)), in).Figures; f.Cost != 0 || f.CostPerServe != 0 {
			t.Errorf("a price is missing: %+v", f)
		}
	}
}

// Source: worked drink sums of the trade: 40 serves of 50 ml, 5 % to spare, over
// a yield of 92 % take 2283 ml.
func TestServesAreTurnedIntoLiquid(t *testing.T) {
	t.Parallel()
	serves := func(n int, each quantity.Volume) func(*request.Request) {
		return func(r *request.Request) { r.Serves, r.Serve = n, each }
	}
	in := plan.Input{Weighed: weighings(3, 460)}
	b := house()
	_, problem := plan.Make(b, start("pepper tequila", serves(40, 50*ml)), free(b, "A"), in)
	if problem == nil || problem.Code != plan.TooMuch || problem.Volume != 2290*ml {
		t.Errorf("40 serves: %+v", problem)
	}
	p := tried(t, b, start("pepper tequila", serves(8, 50*ml)), in)
	if p.Volume != 460*ml || p.Figures.Serves < 8 || p.Figures.Serve != 50*ml {
		t.Errorf("8 serves: %v of liquid, %+v", p.Volume, p.Figures)
	}
	two := tried(t, b, start("pepper tequila", serves(16, 50*ml), count(2)), in)
	if len(two.Runs) != 2 || two.Runs[0].Liquid != 460*ml || two.Figures.Serves < 16 {
		t.Errorf("16 serves in two runs: %+v", two.Runs)
	}
	if _, problem := plan.Make(b, start("pepper tequila", serves(8, 0)), b.Vessels, in); problem == nil ||
		problem.Code != plan.NoServe || problem.Count != 8 {
		t.Errorf("no serve entered: %+v", problem)
	}
	b.House.Serve = 40 * ml
	if p := tried(t, b, start("pepper tequila", serves(8, 0)), in); p.Volume != 370*ml {
		t.Errorf("8 serves of the house's 40 ml: %v of liquid", p.Volume)
	}
	if _, problem := plan.Make(b, start("pepper tequila", serves(1_000_000, 50*ml)), b.Vessels, in); problem == nil || problem.Code != plan.BadFigure {
		t.Errorf("a million serves: %+v", problem)
	}
}

// room is house with a room of so many cubic metres and air changes an hour.
func room(cubic quantity.Volume, changes int) *book.Book {
	b := house()
	b.House.RoomVolume, b.House.AirChanges = cubic*1000*quantity.Litre, changes*10
	return b
}

// Source: worked box models, twelve vents of 16 g in two hours, one every ten
// minutes, in 60 m³ at 6 changes an hour and in 30 m³ at 2; limits of NIOSH (25
// ppm over the exposure), ACGIH (50 over 8 h) and UK EH40 (100 over 8 h).
func TestRoomAirAfterTheLastOfManyVents(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		book             *book.Book
		step, peak, mean float64
		over             [3]bool
	}{
		{room(60, 6), 144.9, 229.2, 36.2, [3]bool{true, false, false}},
		{room(30, 2), 289.8, 1003.6, 217.4, [3]bool{true, true, true}},
	} {
		vent := step(t, made(t, tc.book, start("pepper tequila")), plan.Vent, 1).At
		in := plan.Input{Now: evening}
		for n := range 11 {
			in.Vented = append(in.Vented, plan.Release{
				At: evening.Add(vent - time.Duration(11-n)*10*time.Minute), Gas: 16 * g,
			})
		}
		long := plan.Release{At: evening.Add(-9 * time.Hour), Gas: 16 * g} // it counts no more
		in.Vented = append(in.Vented, long)
		a := tried(t, tc.book, start("pepper tequila"), in).Figures.Air
		if a == nil {
			t.Fatal("no air")
		}
		near(t, "step", a.Step, tc.step, 0.06)
		near(t, "peak", a.Peak, tc.peak, 0.06)
		near(t, "mean over 8 h", a.Mean8h, tc.mean, 0.06)
		for i, l := range a.Limits {
			if l.Over != tc.over[i] || l.Name == "" || l.PPM == 0 {
				t.Errorf("limit %+v, want over %v", l, tc.over[i])
			}
		}
	}
}

func TestNoAirWithoutARoomOrATime(t *testing.T) {
	t.Parallel()
	if a := tried(t, house(), start("pepper tequila"), plan.Input{Now: evening}).Figures.Air; a != nil {
		t.Errorf("no room: %+v", a)
	}
	if a := made(t, room(60, 6), start("pepper tequila")).Figures.Air; a != nil {
		t.Errorf("no time: %+v", a)
	}
	b := room(60, 6)
	b.House.RoomVolume = 1 // microlitre
	if _, problem := plan.Make(b, start("pepper tequila"), b.Vessels, plan.Input{Now: evening}); problem == nil || problem.Code != plan.BadFigure ||
		!strings.Contains(problem.Name, "room") {
		t.Errorf("a room of nothing: %+v", problem)
	}
}
