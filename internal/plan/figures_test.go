package plan_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// evening is six o'clock of an ordinary day.
var evening = time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC)

// near fails the test where got is not within tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %v, want %v within %v", what, got, want, tolerance)
	}
}

// worked is a house for the worked examples: gin of 40 % on solids of 1 ml a
// gram, 4 g in 100 ml, in a vessel whose brim of 700 ml nobody weighed.
func worked() *book.Book {
	b := house()
	r := b.Recipes[0]
	r.Name, r.Solid, r.Base, r.Ratio = "block gin", "block", "gin", 4*quantity.GramsPer100
	b.Recipes = append(b.Recipes, r)
	b.Botanicals = append(b.Botanicals, book.Botanical{Name: "block", Kind: book.Produce, VolumePerGram: 1000})
	b.Vessels = []book.Vessel{{
		Tag: "A", Nominal: 500 * ml, Line: 500 * ml, Brim: 700 * ml, Limit: 2,
		From: book.Provenance{"brim": book.Estimate},
	}}
	return b
}

// Source: worked example A of the solubility and mass balance, solved apart
// from this code in another language: 500 ml of 40 % in a brim of 700 ml guessed
// within 7 %, 20 ml of solids, two chargers of 8 g, 20 °C. The last printed digit
// is the tolerance; along the sequence it is printed to whole bar.
func TestWorkedExampleThroughThePlan(t *testing.T) {
	t.Parallel()
	small := worked()
	small.Vessels[0].Brim = 640 * ml
	for name, p := range map[string]plan.Plan{
		"by the book": made(t, worked(), start("block gin", volume(500*ml))),
		"brim tried":  tried(t, small, start("block gin", volume(500*ml)), plan.Input{Brim: 700 * ml}),
	} {
		f := p.Runs[0].Figures
		for i, want := range [2][2]float64{{21, 8}, {28, 17}} {
			near(t, name+": unswirled", f.Steps[i].Unswirled.Central, want[0], 0.7)
			near(t, name+": swirled", f.Steps[i].Swirled.Central, want[1], 0.7)
		}
		if f.Peak != f.Steps[1].Unswirled || f.Rest != f.Steps[1].Swirled || !f.Known {
			t.Errorf("%s: peak %v and rest %v are not the second charger's", name, f.Peak, f.Rest)
		}
		near(t, name+": all at once", f.Unswirled.Central, 36.643, 6e-4)
		near(t, name+": at rest", f.Rest.Central, 17.4239, 6e-5)
		near(t, name+": likely from", f.Rest.Low, 14, 0.5)
		near(t, name+": likely to", f.Rest.High, 21, 0.5)
		near(t, name+": dissolved", f.Dissolved.Central, 19.93, 6e-3)
		near(t, name+": headspace", f.Headspace.Millilitres(), 171.849, 2e-3)
		near(t, name+": let go at the vent", f.VentGas.Low, 8.16, 6e-3)
		near(t, name+": let go in the end", f.VentGas.High, 8.69, 6e-3)
		near(t, name+": colder", f.Colder, -0.1+1.7, 0.12)
		if f.Jug != 1000*ml {
			t.Errorf("%s: jug of %v, want twice the liquid", name, f.Jug)
		}
	}
}

// tried is made with an input.
func tried(t *testing.T, b *book.Book, r request.Request, in plan.Input) plan.Plan {
	t.Helper()
	p, problem := plan.Make(b, r, b.Vessels, in)
	if problem != nil {
		t.Fatalf("Make(%v, %+v): problem %+v", r, in, *problem)
	}
	return p
}

func TestWeighedBrimNarrowsTheBand(t *testing.T) {
	t.Parallel()
	b := worked()
	guessed := made(t, b, start("block gin", volume(500*ml))).Runs[0].Figures.Rest
	b.Vessels[0].From = nil
	weighed := made(t, b, start("block gin", volume(500*ml))).Runs[0].Figures.Rest
	if weighed.Central != guessed.Central || weighed.High >= guessed.High || weighed.Low <= guessed.Low {
		t.Errorf("weighed %+v, guessed %+v", weighed, guessed)
	}
}

// Sizes from memory, no maker's figure was read: 0.33 to 0.42 l for a quarter
// litre, 0.65 to 0.80 for half a litre, 1.15 to 1.35 for a litre. The low end
// is the careful one.
func TestUnknownBrimIsGuessedAtItsLowEnd(t *testing.T) {
	t.Parallel()
	for nominal, want := range map[quantity.Volume]quantity.Volume{
		250 * ml: 330 * ml, 500 * ml: 650 * ml, 1000 * ml: 1150 * ml,
		200 * ml: 264 * ml, 750 * ml: 900 * ml, 2000 * ml: 2150 * ml,
	} {
		b := worked()
		b.Vessels[0] = book.Vessel{Tag: "A", Nominal: nominal, Line: nominal, Limit: 1}
		p := made(t, b, start("block gin", volume(nominal/2)))
		n, ok := note(p, plan.NoteNoBrim)
		if !ok || n.Volume != want || !p.Runs[0].Figures.Known {
			t.Errorf("%v: note %v %+v, want a brim of %v", nominal, ok, n, want)
		}
	}
	b := worked()
	b.Vessels[0] = book.Vessel{Tag: "A", Line: 500 * ml, Limit: 1}
	f := made(t, b, start("block gin", volume(400*ml))).Runs[0].Figures
	if f.Known || f.Peak != (plan.Band{}) || f.Steps != nil {
		t.Errorf("no brim and no size, yet figures: %+v", f)
	}
}

func TestEstimateAboveTheStampRefusesAndOffersWhatStandsBelowIt(t *testing.T) {
	t.Parallel()
	b := house()
	for i := range b.Vessels {
		b.Vessels[i].StampedBar = 25
	}
	_, problem := plan.Make(b, start("pepper tequila", volume(500*ml)), free(b, "A", "C"), plan.Input{})
	if problem == nil || problem.Code != plan.OverStamp || problem.Vessel != "A" || problem.Stamp != 25 || problem.Bar != 32 {
		t.Fatalf("about 31 bar in a vessel stamped 25: %+v", problem)
	}
	want := []plan.Offer{
		{Line: "start pepper tequila 500ml in C", Runs: 1, Vessel: []string{"C"}, Volume: 500 * ml},
		{Line: "start pepper tequila 440ml in A", Runs: 1, Vessel: []string{"A"}, Volume: 440 * ml},
	}
	if diff := cmp.Diff(want, problem.Offers); diff != "" {
		t.Errorf("offers (-want +got):\n%s", diff)
	}
	for _, ok := range []int{32, 0} {
		b.Vessels[0].StampedBar = ok
		if p, problem := plan.Make(b, start("pepper tequila", volume(500*ml)), free(b, "A"), plan.Input{}); problem != nil {
			t.Errorf("stamped %d: %+v", ok, problem)
		} else if p.Runs[0].Figures.StampBar != ok {
			t.Errorf("stamp %d, want %d", p.Runs[0].Figures.StampBar, ok)
		}
	}
}

func TestNothingStandsAboveItsStampAndNothingElseIsRefusedForIt(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := worked()
		v := &b.Vessels[0]
		v.Brim = quantity.Volume(rapid.IntRange(640, 900).Draw(t, "brim")) * ml
		v.StampedBar = rapid.IntRange(5, 40).Draw(t, "stamp")
		b.Liquids[1].Family = rapid.SampledFrom([]book.Family{book.Spirit, book.Water, book.Oil, book.Dairy}).Draw(t, "family")
		r := start("block gin", volume(quantity.Volume(rapid.IntRange(13, 50).Draw(t, "cl"))*quantity.Centilitre))
		_, problem := plan.Make(b, r, b.Vessels, plan.Input{})
		stamp := v.StampedBar
		v.StampedBar = 0
		free, bare := plan.Make(b, r, b.Vessels, plan.Input{})
		if bare != nil {
			return // it does not fit in any case
		}
		f := free.Runs[0].Figures
		over := f.Peak.Central > float64(stamp) || f.Rest.High > float64(stamp)
		if refused := problem != nil && problem.Code == plan.OverStamp; refused != over {
			t.Fatalf("stamped %d, peak %+v, rest %+v: refused %v (%+v)", stamp, f.Peak, f.Rest, refused, problem)
		}
	})
}

func TestPressureRisesWithTheCharge(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := worked()
		r := start("block gin", volume(quantity.Volume(rapid.IntRange(13, 50).Draw(t, "cl"))*quantity.Centilitre))
		less := quantity.Mass(rapid.IntRange(1000, 15_000).Draw(t, "mg"))
		at := func(each quantity.Mass) plan.RunFigures {
			p, problem := plan.Make(b, r, b.Vessels, plan.Input{Charge: each})
			if problem != nil {
				t.Fatalf("%v a charger: %+v", each, problem)
			}
			return p.Runs[0].Figures
		}
		f, g := at(less), at(less+quantity.Mass(rapid.IntRange(100, 5000).Draw(t, "more")))
		// At saturation the peak stands still: what is more is liquid.
		if g.Rest.Central <= f.Rest.Central || g.Peak.Central < f.Peak.Central || g.VentGas.High <= f.VentGas.High {
			t.Fatalf("%v: %+v, more: %+v", less, f, g)
		}
	})
}

func TestFoamingLiquidTakesATallerJug(t *testing.T) {
	t.Parallel()
	b := house()
	p := made(t, b, start("coffee cream", volume(300*ml)))
	n, ok := note(p, plan.NoteFoams)
	if p.Runs[0].Figures.Jug != 900*ml || !ok || n.Volume != 900*ml {
		t.Errorf("cream: jug %v, note %v %+v, want 900 ml", p.Runs[0].Figures.Jug, ok, n)
	}
	b.Liquids[0].Foams = true // tequila, if it did
	if p := made(t, b, start("pepper tequila", volume(300*ml))); p.Runs[0].Figures.Jug != 900*ml {
		t.Errorf("told to foam: jug %v", p.Runs[0].Figures.Jug)
	}
}

func TestWarmLiquidIsRefusedByWhatItIs(t *testing.T) {
	t.Parallel()
	degrees := func(n quantity.Temperature) *quantity.Temperature { return &n }
	for _, tc := range []struct {
		name   string
		recipe string
		in     plan.Input
		most   quantity.Temperature // 0 = made
	}{
		{"spirit at 40", "pepper tequila", plan.Input{Temp: degrees(40 * c)}, 0},
		{"spirit above 40", "pepper tequila", plan.Input{Temp: degrees(40*c + 1)}, 40 * c},
		{"60 % at 40", "pepper tequila", plan.Input{Temp: degrees(40 * c), ABV: 60 * quantity.Percent}, 0},
		{"above 60 % at room temperature", "pepper tequila", plan.Input{Temp: degrees(25 * c), ABV: 60*quantity.Percent + 1}, 0},
		{"above 60 % warmed", "pepper tequila", plan.Input{Temp: degrees(26 * c), ABV: 60*quantity.Percent + 1}, 25 * c},
		{"cream at 50", "coffee cream", plan.Input{Temp: degrees(50 * c)}, 0},
		{"cream above 50", "coffee cream", plan.Input{Temp: degrees(50*c + 1)}, 50 * c},
		{"above 60 % in a recipe that warms", "hazelnut brandy", plan.Input{ABV: 65 * quantity.Percent}, 25 * c},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			b := house()
			p, problem := plan.Make(b, start(tc.recipe), b.Vessels, tc.in)
			switch {
			case tc.most == 0 && problem != nil:
				t.Errorf("refused: %+v", problem)
			case tc.most != 0 && (problem == nil || problem.Code != plan.TooHot || problem.Temp.Max != tc.most):
				t.Errorf("problem %+v, want too hot above %v", problem, tc.most)
			case problem == nil && p.Temp.Target > 25*c:
				if _, ok := note(p, plan.NoteWarm); !ok {
					t.Error("no note that it is warm")
				}
			}
		})
	}
	// Said in the line, an offer cools it.
	_, problem := plan.Make(house(), start("hazelnut brandy", temp(45*c)), house().Vessels, plan.Input{})
	if problem == nil || problem.Code != plan.TooHot || len(problem.Offers) != 1 || problem.Offers[0].Line != "start hazelnut brandy 40°C" {
		t.Errorf("45 °C said: %+v", problem)
	}
}

func TestTheSlipNeverAsksForMoreHeatThanTheLiquidMayHave(t *testing.T) {
	t.Parallel()
	b := house()
	b.Recipes[0].Temp = book.TempRange{Min: 15 * c, Target: 20 * c, Max: 48 * c}
	if got := made(t, b, start("pepper tequila")).Temp.Max; got != 40*c {
		t.Errorf("spirit up to %v, want 40 °C", got)
	}
	if got := tried(t, b, start("pepper tequila"), plan.Input{ABV: 70 * quantity.Percent}).Temp.Max; got != 25*c {
		t.Errorf("strong spirit up to %v, want 25 °C", got)
	}
}

func TestAcidKeepsOutOfAluminium(t *testing.T) {
	t.Parallel()
	b := house()
	b.Liquids[0].Family = book.Vinegar // tequila, if it were
	b.Recipes[0].Class = "vinegar + produce"
	r := start("pepper tequila", volume(400*ml))
	b.Vessels[0].Material, b.Vessels[1].Material = "aluminium", "steel"

	p := made(t, b, r)
	if got := tags(p); !slices.Equal(got, []string{"B"}) {
		t.Errorf("in %v, want the steel one", got)
	}
	if n, ok := note(p, plan.NoteAcid); ok {
		t.Errorf("steel, yet %+v", n)
	}
	if _, problem := plan.Make(b, start("pepper tequila", volume(400*ml), vessel("A")), b.Vessels, plan.Input{}); problem == nil ||
		problem.Code != plan.AcidMetal || problem.Vessel != "A" || len(problem.Offers) == 0 {
		t.Errorf("named: %+v", problem)
	}
	if _, problem := plan.Make(b, r, free(b, "A"), plan.Input{}); problem == nil || problem.Code != plan.AcidMetal {
		t.Errorf("nothing else free: %+v", problem)
	}
	b.Vessels[1].Material = ""
	if n, ok := note(made(t, b, start("pepper tequila", volume(400*ml), vessel("B"))), plan.NoteAcid); !ok || n.Vessel != "B" {
		t.Errorf("metal not entered: note %v %+v", ok, n)
	}
	// Citrus is as sour in a spirit; a spirit alone is not.
	b = house()
	b.Vessels[0].Material = "aluminium"
	made(t, b, start("pepper tequila", volume(400*ml), vessel("A")))
	b.Botanicals[0].Name, b.Recipes[0].Solid = "lemon peel", "lemon peel"
	if _, problem := plan.Make(b, r, free(b, "A"), plan.Input{}); problem == nil || problem.Code != plan.AcidMetal {
		t.Errorf("lemon in aluminium: %+v", problem)
	}
}

func TestNotesOfWhatCanHurt(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		name   string
		change func(*book.Book)
		in     plan.Input
		liquid quantity.Volume
		code   plan.NoteCode
		want   bool
	}{
		{"49.9 %", nil, plan.Input{ABV: 50*quantity.Percent - 1}, 400 * ml, plan.NoteStrong, false},
		{"50 %", nil, plan.Input{ABV: 50 * quantity.Percent}, 400 * ml, plan.NoteStrong, true},
		// 40 % has its caution line at 26 °C, the table read by volume.
		{"40 % just below its line", nil, plan.Input{ABV: 400, Temp: new(quantity.Temperature(259))}, 400 * ml, plan.NoteStrong, false},
		{"40 % at its line", nil, plan.Input{ABV: 400, Temp: new(quantity.Temperature(260))}, 400 * ml, plan.NoteStrong, true},
		{"a pepper", nil, plan.Input{}, 400 * ml, plan.NoteIrritant, true},
		{"something mild", func(b *book.Book) { b.Recipes[0].Solid = "celery" }, plan.Input{}, 400 * ml, plan.NoteIrritant, false},
		{
			"something told to sting", func(b *book.Book) { b.Recipes[0].Solid, b.Botanicals[1].Irritant = "celery", true },
			plan.Input{},
			400 * ml, plan.NoteIrritant, true,
		},
		{"powder", func(b *book.Book) { b.Botanicals[0].Powder = true }, plan.Input{}, 400 * ml, plan.NotePowder, true},
		{"no powder", nil, plan.Input{}, 400 * ml, plan.NotePowder, false},
		{"a botanical with a limit", func(b *book.Book) { b.Botanicals[0].Name, b.Recipes[0].Solid = "cassia", "cassia" }, plan.Input{}, 400 * ml, plan.NoteCaution, true},
		{"a nut", func(b *book.Book) { b.Recipes[0].Solid = "hazelnut" }, plan.Input{}, 400 * ml, plan.NoteCaution, false},
		{"nearly full", nil, plan.Input{}, 480 * ml, plan.NoteNearlyFull, true},
		{"room enough", nil, plan.Input{}, 470 * ml, plan.NoteNearlyFull, false},
		{"insulated", func(b *book.Book) { b.Vessels[0].Insulated = true }, plan.Input{}, 400 * ml, plan.NoteInsulated, true},
		{"not insulated", nil, plan.Input{}, 400 * ml, plan.NoteInsulated, false},
		{"the rest of the gas", nil, plan.Input{}, 400 * ml, plan.NoteGasLeaves, true},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			b := house()
			if tc.change != nil {
				tc.change(b)
			}
			p := tried(t, b, start("pepper tequila", volume(tc.liquid), vessel("A")), tc.in)
			if n, ok := note(p, tc.code); ok != tc.want {
				t.Errorf("note %q: %v %+v, want %v", tc.code, ok, n, tc.want)
			}
		})
	}
}

// Source: the published engineering table of flash points, 26 °C for 40 %, read
// by volume, which is the careful reading of its two labels.
func TestFlashPointIsTheCarefulFigure(t *testing.T) {
	t.Parallel()
	b := house()
	near(t, "40 %", tried(t, b, start("pepper tequila"), plan.Input{ABV: 400}).Figures.FlashPoint, 26, 1e-9)
	if f := made(t, b, start("coffee cream")).Figures; f.FlashPoint != 0 || f.ABVHigh != 0 {
		t.Errorf("cream: %+v", f)
	}
}

// Source: worked figures by mass with contraction: 60 g of pepper of 91.7 %
// water in 500 ml of 40 % end at 36.07 % with all of the water traded.
func TestStrengthFallsByTheWaterOfTheProduce(t *testing.T) {
	t.Parallel()
	b := house()
	b.Botanicals[0].Water = 917
	f := tried(t, b, start("pepper tequila", volume(500*ml)), plan.Input{ABV: 400}).Figures
	near(t, "all traded", f.ABVLow, 36.07, 6e-3)
	if !(f.ABVHigh > f.ABVLow && f.ABVHigh < 40) {
		t.Errorf("a fifth traded: %v to %v", f.ABVLow, f.ABVHigh)
	}
}

func TestStrengthNeverRisesByProduce(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := house()
		b.Botanicals[0].Water = rapid.IntRange(0, 1000).Draw(t, "water")
		abv := quantity.Strength(rapid.IntRange(1, 1000).Draw(t, "strength"))
		mass := quantity.Mass(rapid.IntRange(1, 40).Draw(t, "grams")) * g
		at := func(m quantity.Mass) plan.Figures {
			p, problem := plan.Make(b, start("pepper tequila", volume(400*ml), solids(m)), b.Vessels, plan.Input{ABV: abv, Temp: new(20 * c)})
			if problem != nil {
				t.Fatal(problem)
			}
			return p.Figures
		}
		less, more := at(mass), at(2*mass)
		const noise = 1e-9
		if top := float64(abv)/10 + noise; less.ABVLow > less.ABVHigh+noise || less.ABVHigh > top || more.ABVLow > less.ABVLow+noise {
			t.Fatalf("%v %%: %v to %v, with more produce %v to %v", float64(abv)/10, less.ABVLow, less.ABVHigh, more.ABVLow, more.ABVHigh)
		}
	})
}

func TestBadInputGivesAProblemAndNoFigure(t *testing.T) {
	t.Parallel()
	cold := -1 * c
	for name, in := range map[string]plan.Input{
		"negative charge":   {Charge: -8 * g},
		"a cylinder":        {Charge: 580 * g},
		"next to no charge": {Charge: 1},
		"negative brim":     {Brim: -700 * ml},
		"a thimble":         {Brim: 10 * ml},
		"a barrel":          {Brim: 100 * quantity.Litre},
		"negative strength": {ABV: -400},
		"120 %":             {ABV: 1200},
		"frozen":            {Temp: &cold},
		"opens at night":    {Opens: -1},
		"opens at 25":       {Opens: 25},
		"the year 1":        {Now: time.Date(1, 1, 1, 18, 0, 0, 0, time.UTC)},
	} {
		p, problem := plan.Make(worked(), start("block gin", volume(500*ml)), worked().Vessels, in)
		if problem == nil || problem.Code != plan.BadFigure || problem.Range == nil || problem.Name == "" || len(problem.Offers) > 0 {
			t.Errorf("%s: %+v", name, problem)
		}
		if p.Runs != nil || p.Figures.Yield != 0 {
			t.Errorf("%s: gave a plan: %+v", name, p)
		}
	}
	if _, problem := plan.Make(house(), start("coffee cream"), house().Vessels, plan.Input{ABV: 400}); problem == nil || problem.Code != plan.BadFigure {
		t.Errorf("cream of 40 %%: %+v", problem)
	}
	for name, r := range map[string]request.Request{
		"negative liquid": start("block gin", volume(-500*ml)),
		"negative solids": start("block gin", volume(500*ml), solids(-20*g)),
		"a year of rest":  start("block gin", rest(8760*time.Hour)),
		"negative serves": start("block gin", func(r *request.Request) { r.Serves = -1 }),
	} {
		if p, problem := plan.Make(worked(), r, worked().Vessels, plan.Input{}); problem == nil || p.Runs != nil {
			t.Errorf("%s: planned: %+v", name, p)
		}
	}
}
