package voice

import (
	"strings"
	"testing"
	"unicode/utf8"

	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// planned makes the plan of a line over all vessels of the sample book.
func planned(t testing.TB, in plan.Input, r request.Request) plan.Plan {
	t.Helper()
	r.Verb = request.Start
	p, problem := plan.Make(reviewBook(), r, reviewBook().Vessels, in)
	if problem != nil {
		t.Fatalf("%v: %+v", r, problem)
	}
	return p
}

// whySaid gives the lines of Why as plain text.
func (v Voice) whySaid(p plan.Plan) []string {
	var lines []string
	for _, l := range v.Why(p) {
		lines = append(lines, l.Plain())
	}
	return lines
}

// fits wants at most twelve lines of at most 110 characters.
func fits(t testing.TB, title string, lines []string) {
	t.Helper()
	if len(lines) > whyLines {
		t.Errorf("%s: %d lines", title, len(lines))
	}
	for _, l := range lines {
		if n := utf8.RuneCountInString(l); n == 0 || n > whyLength {
			t.Errorf("%s: a line of %d characters: %s", title, n, l)
		}
	}
}

func TestWhyFitsAPhoneForEveryRecipe(t *testing.T) {
	t.Parallel()
	w := newEvening(t, &record{})
	for _, r := range reviewBook().Recipes {
		for _, n := range []int{1, 2} {
			p := planned(t, plan.Input{Now: w.now}, request.Request{Recipe: r.Name, Volume: 200 * quantity.Millilitre, Count: n})
			fits(t, p.Title, w.voice.whySaid(p))
		}
	}
}

// Source: worked example A of the mass balance, as it is to be told: 28 at the
// second charger, 17 at rest, likely 14 to 21.
func TestWhyTellsPressuresToTheWholeBar(t *testing.T) {
	t.Parallel()
	w := newEvening(t, &record{})
	step := func(unswirled, swirled float64) plan.ChargeFigures {
		return plan.ChargeFigures{Unswirled: plan.Band{Central: unswirled}, Swirled: plan.Band{Central: swirled}}
	}
	p := plan.Plan{Runs: []plan.Run{{Vessel: "A", Chargers: 2, Figures: plan.RunFigures{
		Known: true, Peak: plan.Band{Central: 28.2}, Unswirled: plan.Band{Central: 36.6},
		Rest:  plan.Band{Low: 14.4, Central: 17.42, High: 20.8},
		Steps: []plan.ChargeFigures{step(21.3, 8.5), step(28.2, 17.42)},
	}}}}
	want := "A: about 28 bar at the second charger, 17 at rest, likely 14 to 21."
	if got := w.voice.whySaid(p)[0]; got != want {
		t.Errorf("said %q, want %q", got, want)
	}
}

func TestWhyTellsTheFiguresOfAPlan(t *testing.T) {
	t.Parallel()
	w := newEvening(t, &record{})
	p := planned(t, plan.Input{Now: w.now}, request.Request{Recipe: "pepper tequila"})
	all := strings.Join(w.voice.whySaid(p), "\n")
	for _, want := range []string{
		"stamped 35 bar", "never permit", "Lemmon and Span", "OIML R 22", "from about 26 C", "use by Mon 30 Nov", "rule S7",
		"9 serves of 50 ml", "EUR each", "Far higher at the jug", "NIOSH REL 25 (gone over)",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("nothing of %q in:\n%s", want, all)
		}
	}
}

func TestWhyShowsTheHighestRunsWhereThereAreMany(t *testing.T) {
	t.Parallel()
	w := newEvening(t, &record{})
	p := planned(t, plan.Input{Now: w.now}, request.Request{Recipe: "pepper tequila", Volume: 250 * quantity.Millilitre, Count: 3})
	for range 3 {
		p.Runs = append(p.Runs, p.Runs...)
	}
	p.Runs[len(p.Runs)-1].Vessel = "Z"
	p.Runs[len(p.Runs)-1].Figures.Peak.Central = 34
	lines := w.voice.whySaid(p)
	fits(t, "24 runs", lines)
	if !strings.HasPrefix(lines[0], "Z: about 34 bar") {
		t.Errorf("first %q, want the highest", lines[0])
	}
	if last := lines[len(lines)-1]; !strings.HasPrefix(last, "Limits") {
		t.Errorf("last %q: the air was pushed out", last)
	}
}

func TestTwoDigits(t *testing.T) {
	t.Parallel()
	for f, want := range map[float64]string{
		0: "0", -1: "0", 0.0123: "0.012", 1: "1", 2.94: "2.9", 9.96: "10", 36.2: "36", 188.9: "190", 1003.6: "1000",
	} {
		if got := twoDigits(f); got != want {
			t.Errorf("%v is %q, want %q", f, got, want)
		}
	}
}

// whys shows what lies behind plans, and figures that no recipe of the sample has.
func (w *evening) whys() {
	w.title("why: pepper tequila")
	r := request.Request{Recipe: "pepper tequila"}
	w.why("by the book", planned(w.t, plan.Input{Now: w.now}, r))
	weighed := plan.Weighing{In: quantity.Litre, Out: 900 * quantity.Millilitre}
	w.why("no time, weighed", planned(w.t, plan.Input{Weighed: []plan.Weighing{weighed, weighed, weighed}}, r))
	p := planned(w.t, plan.Input{Now: w.now}, r)
	f := &p.Runs[0].Figures
	f.Liquid, f.Colder = true, 0.2
	for n := 1; n <= 8; n++ {
		f.Steps = make([]plan.ChargeFigures, n)
		f.Steps[n-1].Unswirled = f.Peak
		w.show("why, so many chargers", w.kitchen(), message(w.voice.Why(p)[0]))
	}
	w.why("liquid gas, hardly colder", p)
	f.Known = false
	w.why("no brim, no size", p)
	_, problem := plan.Make(reviewBook(), r, nil, plan.Input{Brim: 1})
	if problem == nil || problem.Code != plan.BadFigure {
		w.t.Fatalf("a brim of a microlitre: %+v", problem)
	}
	w.show("a figure that cannot be", w.kitchen(), w.voice.PlanProblem(*problem))
}

func (w *evening) why(where string, p plan.Plan) {
	lines := w.voice.Why(p)
	fits(w.t, where, w.voice.whySaid(p))
	for i := 0; i < len(lines); i += 6 { // a message has six lines at most
		w.show("why, "+where, w.kitchen(), message(lines[i:min(i+6, len(lines))]...))
	}
}
