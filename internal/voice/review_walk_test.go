package voice

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
)

// walks are the parts of the walk, and the names of their golden files.
var walks = []struct {
	name string
	walk func(*testing.T, *record)
}{
	{"messages", walk},
	{"asks", asksWalk},
	{"drained", drainedWalk},
	{"register", registerWalk},
	{"roles", rolesWalk},
	{"crew", crewWalk},
	{"stock", stockWalk},
	{"closing", closingWalk},
	{"label", labelWalk},
	{"trace", traceWalk},
}

// Every message of every kind of batch, through every phase, call and mishap,
// is fit to go out in every language; the golden files are there to be read by
// people. No language leaves a safety note out.
func TestEveryMessageReadsWell(t *testing.T) {
	t.Parallel()
	records, judge := map[string]*record{}, listening(t)
	for _, language := range Languages() {
		records[language] = &record{language: language, aloud: judge}
	}
	t.Run("languages", func(t *testing.T) {
		for language, r := range records {
			t.Run(language, func(t *testing.T) {
				t.Parallel()
				for _, part := range walks {
					r.paper = newPaper()
					part.walk(t, r)
					compare(t, golden(part.name, language), strings.TrimLeft(r.paper.String(), "\n"))
				}
				phrases := speaking(t, language).phrases
				for _, name := range unsaid(phrases, r.said) {
					t.Errorf("the walk never says %q: %s", name, phrases[name])
				}
			})
		}
	})
	for language, r := range records {
		if diff := cmp.Diff(records["en"].notes, r.notes); diff != "" {
			t.Errorf("%s does not hold the safety notes of English:\n%s", language, diff)
		}
	}
}

// walk goes through everything that can happen.
func walk(t *testing.T, r *record) {
	at := func(format string, args ...any) *evening {
		w := newEvening(t, r)
		w.title(format, args...)
		return w
	}
	for _, recipe := range read {
		at("calm: %s", recipe).calm("start " + recipe)
	}
	at("calm: by the class default").calm("start cinnamon rum 500ml as class")
	at("calm: in two vessels").calm("start ginger gin 400ml x2")
	for _, line := range []string{
		"start rhubarb gin 400ml in A", "start smoky tea rum 200ml in D", "start toasted barley whisky 400ml in B",
		"start thyme oil 600ml in C", "start coffee cream in B", "start cinnamon rum 500ml as class",
	} {
		at("nobody answers: %s", line).nobody(line)
		at("only one charger: %s", line).stalled(line)
		at("each step undone: %s", line).undone(line)
	}
	for phase := range 7 {
		at("scrapped, after %d steps", phase).scrapped("start toasted barley whisky 400ml in B", phase)
	}
	at("expired").expired()
	at("a charger too many").doubts()
	at("the service was down").down()
	at("asked and answered").asked()
	at("asked back about a start").askedBack()
	at("refused").refused()
	at("done before").already()
	at("one vessel, two batches").reused()
	at("more rest").more()
	at("looking").looks()
	at("forms").forms()
	at("said late").late()
	at("own pages").pages()
	at("the platform calls by itself").fallbacks()
	at("a lane takes no messages").troubles()
	at("messages could not go out").outage()
	at("histories").histories()
	at("not understood").codes()
	at("plans").plans()
	at("why").whys()
	at("the book").amended()
	at("how it came out").tasted()
	for _, recipe := range reviewBook().Recipes { // last, so that none of them speaks for one that is read
		w := newEvening(t, r)
		w.unread = true
		w.calm("start " + recipe.Name)
	}
}

// Whatever a crew says and taps, in whatever order, is answered in good words.
func TestAnyEveningIsAnsweredInGoodWords(t *testing.T) {
	t.Parallel()
	lines := []string{
		"start rhubarb gin 400ml", "start smoky tea rum 200ml", "start toasted barley whisky 400ml", "start ginger gin 200ml x2",
		"charged", "charged", "charged", "set down", "vented", "vented", "strained", "strained 300ml", "cleared", "labelled",
		"washed", "no gas", "gas in", "take", "scrap", "undo", "+15 s", "+10 min", "vented 30s ago", "charged 2 min ago", "help",
		"start gin-soaked melon 250ml", "drained 220g", "drained 220g 180ml",
	}
	rapid.Check(t, func(rt *rapid.T) {
		w := newEvening(rapidly{t, rt}, &record{language: rapid.SampledFrom(Languages()).Draw(rt, "language")})
		var asked kitchen.Answer
		for range rapid.IntRange(5, 40).Draw(rt, "steps") {
			by := rapid.SampledFrom([]kitchen.Person{bar1, bar1, bar2}).Draw(rt, "by")
			switch rapid.IntRange(0, 9).Draw(rt, "what") {
			case 0, 1:
				w.pass(time.Duration(rapid.IntRange(0, 400).Draw(rt, "seconds")) * time.Second)
			case 2:
				w.now = w.now.Add(time.Duration(rapid.IntRange(0, 30).Draw(rt, "minutes")) * time.Minute)
				w.ring()
			case 3:
				w.says(by, "resting")
			case 4:
				if n := len(asked.Choices); n > 0 {
					w.taps(by, asked, rapid.IntRange(0, n-1).Draw(rt, "choice"))
				}
			default:
				line := rapid.SampledFrom(lines).Draw(rt, "line") + " " + rapid.SampledFrom([]string{"A", "B", "D"}).Draw(rt, "vessel")
				if a := w.says(by, line); a.Choices != nil {
					asked = a
				}
			}
		}
	})
}

// rapidly lets an evening fail through rapid, so that it can shrink.
type rapidly struct {
	testing.TB
	rt *rapid.T
}

func (q rapidly) Helper()                      {}
func (q rapidly) Fatal(args ...any)            { q.rt.Fatal(args...) }
func (q rapidly) Fatalf(f string, args ...any) { q.rt.Fatalf(f, args...) }
func (q rapidly) Errorf(f string, args ...any) { q.rt.Errorf(f, args...) }

// step says a verb of the latest batch.
func (w *evening) step(verb string) kitchen.Answer {
	w.t.Helper()
	head, tail, _ := strings.Cut(verb, "|") // "strained|345ml"
	return w.says(bar1, strings.TrimSpace(head+" "+w.last().Vessel+" "+tail))
}

// fill starts a batch and puts its chargers in.
func (w *evening) fill(line string) {
	w.t.Helper()
	w.says(bar1, line)
	w.pass(90 * time.Second)
	for n := range w.last().Chargers {
		w.hear(kitchen.Command{By: bar1, Tap: &kitchen.Tap{
			Line: "charged " + w.last().Vessel, Batch: w.last().ID, Turn: w.last().Turn, N: n + 1,
		}})
		w.pass(w.last().Swirl)
	}
}

// called passes time until the batch is called in a phase, and a little more.
func (w *evening) called(p kitchen.Phase) {
	w.t.Helper()
	for range 200 {
		if w.last().Phase == p {
			w.pass(15 * time.Second)
			return
		}
		w.pass(15 * time.Second)
	}
	w.t.Fatalf("the batch is %s and never %s", w.last().Phase, p)
}

func (w *evening) calm(line string) {
	w.fill(line)
	w.called(kitchen.Venting)
	w.step("vented")
	w.called(kitchen.Straining)
	if w.last().KeepsSolid() {
		w.step("drained|220g")
	} else {
		w.step("strained|345ml")
	}
	if b := w.last(); b.Clear > 0 {
		w.pass(b.Clear + time.Minute)
		w.step("cleared")
	}
	w.called(kitchen.Labelling)
	w.step("labelled")
	w.pass(11 * time.Minute)
}

func (w *evening) nobody(line string) {
	w.fill(line)
	w.called(kitchen.Venting)
	w.pass(w.last().Contact + 12*time.Minute)
	w.step("vented")
	w.pass(w.last().Settle + 13*time.Minute)
	w.step("strained")
	if b := w.last(); b.Clear > 0 {
		w.pass(b.Clear + 40*time.Minute)
		w.step("cleared")
	}
	w.pass(90 * time.Minute)
	w.step("strained|310ml")
	w.step("labelled")
}

func (w *evening) stalled(line string) {
	w.says(bar1, line)
	w.step("charged")
	if w.last().Full() {
		w.step("no gas")
		w.pass(11 * time.Minute)
		return
	}
	w.pass(13 * time.Minute)
	w.step("no gas")
	w.step("charged")
	w.step("charged")
	w.step("no gas")
	w.pass(w.last().Contact)
	w.step("vented")
}

func (w *evening) undone(line string) {
	w.fill(line)
	w.step("set down")
	w.step("undo")
	w.called(kitchen.Venting)
	for _, verb := range []string{"vented", "strained|300ml", "cleared", "labelled"} {
		if verb == "cleared" && w.last().Clear == 0 {
			continue
		}
		w.pass(w.last().Settle + w.last().Clear)
		w.step(verb)
		w.pass(30 * time.Second)
		w.step("undo")
		w.pass(time.Second)
		w.step(verb)
	}
}

// scrapped gives a batch up after some of its steps, and empties its vessel.
func (w *evening) scrapped(line string, steps int) {
	w.says(bar1, line)
	for _, verb := range []string{"charged", "charged", "vented", "strained", "cleared", "labelled"}[:min(steps, 6)] {
		w.pass(2 * time.Minute)
		w.step(verb)
	}
	a := w.step("scrap")
	if len(a.Choices) > 0 {
		w.taps(bar1, a, 0)
	}
	w.step("undo")
	if a = w.step("scrap"); len(a.Choices) > 0 {
		w.taps(bar1, a, 0)
	}
	if w.last().Gas() > 0 {
		w.pass(4 * time.Minute)
		w.says(bar2, "charged B")
		w.step("no gas")
		w.step("vented")
	}
	w.pass(11 * time.Minute)
}

func (w *evening) expired() {
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.pass(10*time.Minute + 5*time.Second)
	w.hear(kitchen.Command{By: bar1, Tap: &kitchen.Tap{Line: "scrap A", Batch: 1, Turn: 1}})
	w.says(bar2, "charged A")
	w.says(bar1, "charged A")
}

func (w *evening) doubts() {
	w.fill("start rhubarb gin 400ml in A")
	a := w.says(bar2, "charged A")
	w.says(bar1, "resting")
	w.says(bar1, "help A")
	w.taps(bar2, a, 1)
	w.says(bar2, "charged A")
	w.says(lead, "charged A")
	w.pass(21 * time.Second)
	w.taps(bar2, a, 1)
	w.taps(bar2, a, 0)
	w.says(bar1, "no gas A")
	w.says(bar1, "+15s A")
	w.says(bar2, "charged A")
	w.pass(time.Minute)
	w.says(bar1, "vented A")
	w.taps(bar2, w.says(bar2, "charged A"), 0)
	w.pass(time.Minute)
	w.says(bar1, "vented A")
	w.title("a charger told of a scrapped vessel")
	w.says(bar1, "start rhubarb gin 400ml in C")
	w.says(bar1, "charged C")
	w.taps(bar1, w.says(bar1, "scrap C"), 0)
	w.says(bar2, "charged C")
	w.pass(time.Minute)
	w.says(bar1, "vented C")
}

func (w *evening) down() {
	w.fill("start rhubarb gin 400ml in A")
	w.now = w.now.Add(12 * time.Minute)
	w.ring()
	w.step("vented")
	w.now = w.now.Add(40 * time.Minute)
	w.ring()
	w.step("strained")
	w.now = w.now.Add(40 * time.Minute)
	w.ring()
}

func (w *evening) asked() {
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.taps(bar2, w.says(bar2, "charged A"), 0)
	w.says(bar1, "take A")
	old := kitchen.Tap{Line: "charged A", Batch: 1, Turn: 1, N: 1}
	w.pass(20 * time.Second)
	w.hear(kitchen.Command{By: bar1, Tap: &old})
	w.taps(bar1, w.says(bar1, "strained A 300ml"), 0)
	w.says(bar1, "start toasted barley whisky 400ml in B")
	w.taps(bar1, w.says(bar1, "vented B"), 0)
	w.says(bar2, "charged B")
	strain := w.says(bar1, "labelled B")
	w.taps(bar1, w.taps(bar1, strain, 0), 0)
	w.says(bar1, "start smoky tea rum 200ml in D")
	w.taps(bar1, w.says(bar1, "vented D"), 0)
	w.says(bar1, "vented")
	w.says(bar1, "start pepper gin")
	w.says(bar1, "start cinnamon rum")
	w.says(bar1, "is A vented?")
}

func (w *evening) refused() {
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.says(bar2, "start ginger gin 400ml in A")
	w.says(bar1, "strained A")
	w.says(bar1, "set down A")
	w.says(bar1, "washed A")
	w.says(bar1, "gas in A")
	w.says(bar1, "no gas A")
	w.says(bar1, "charged A")
	w.says(bar1, "charged A")
	w.says(bar1, "undo A")
	w.says(bar1, "washed A")
	w.says(bar1, "labelled A")
	w.says(bar1, "+10 min A")
	w.says(bar1, "vented A 10 min ago")
	w.hear(kitchen.Command{By: bar2, Tap: &kitchen.Tap{Line: "vented A", Batch: 77, Turn: 1}})
	w.hear(kitchen.Command{By: bar2, Tap: &kitchen.Tap{Line: "charged A", Batch: 77, Turn: 1, N: 1}})
	w.called(kitchen.Venting)
	w.says(bar1, "+5 min A")
	w.says(bar1, "vented A")
	w.says(bar1, "washed A")
	w.says(bar1, "strained A 300ml")
	w.says(bar1, "start ginger gin 400ml in A")
	w.says(bar1, "washed A")
	w.says(bar1, "undo A")
	w.pass(11 * time.Minute)
	w.says(bar1, "undo A")
	w.says(bar1, "vented D")
	w.says(bar1, "charged D")
	w.says(bar1, "vented")
	w.says(bar1, "start hazelnut brandy in D")
	w.says(bar1, "start pepper tequila 1l")
	w.says(bar1, "start pepper tequila 500ml rest 9min")
	w.says(bar1, "start rhubarb gin 400ml 300g")
	w.says(bar1, "start rhubarb gin 400ml x4")
}

func (w *evening) already() {
	w.fill("start rhubarb gin 400ml in A")
	w.says(bar1, "take A")
	w.says(bar2, "take A")
	w.hear(kitchen.Command{By: bar1, Tap: &kitchen.Tap{Line: "charged A", Batch: 1, Turn: 1, N: 2}})
	for _, verb := range []string{"set down", "vented", "strained", "labelled", "washed"} {
		w.pass(3 * time.Minute)
		w.step(verb)
		w.says(bar2, verb+" A")
	}
	w.says(bar1, "scrap A")
}

func (w *evening) reused() {
	w.fill("start rhubarb gin 400ml in A")
	for _, verb := range []string{"vented", "strained", "washed"} {
		w.step(verb)
	}
	w.says(bar2, "start ginger gin 400ml in A")
	w.says(bar1, "resting")
	w.says(bar1, "help A")
	w.pass(11 * time.Minute)
	w.says(bar1, "labelled A")
	w.says(bar1, "resting")
}

func (w *evening) more() {
	w.fill("start rhubarb gin 400ml in A")
	w.says(bar1, "+15s A")
	w.called(kitchen.Venting)
	w.says(bar1, "+15s A")
	w.pass(2 * time.Minute)
	w.says(bar1, "vented A")
}

func (w *evening) looks() {
	w.says(bar1, "help")
	w.says(bar1, "resting")
	for _, line := range []string{
		"start rhubarb gin 400ml in A", "start toasted barley whisky 400ml in B", "start thyme oil 600ml in C", "start smoky tea rum 200ml in D",
	} {
		w.says(bar1, line)
		w.says(bar1, "help "+w.last().Vessel)
		w.step("charged")
		w.says(bar1, "help "+w.last().Vessel)
		w.says(bar1, "resting")
	}
	w.says(bar1, "charged B")
	w.pass(3 * time.Minute)
	w.says(bar1, "resting")
	for _, verb := range []string{"vented", "strained", "labelled"} {
		for _, vessel := range []string{"B", "D"} {
			if a := w.says(bar1, verb+" "+vessel); len(a.Choices) > 0 {
				w.taps(bar1, a, 0)
			}
			w.says(bar1, "help "+vessel)
		}
		w.says(bar1, "resting")
	}
	w.says(bar1, "washed D")
}
