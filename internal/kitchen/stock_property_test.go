package kitchen_test

import (
	"fmt"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
)

// stockLines are lines that change what is in the box, right or wrong, at any time.
var stockLines = []string{
	"start rhubarb gin 400ml in A", "start thyme oil 400ml in B", "start rhubarb gin 400ml in B", "start coffee cream 200ml in D",
	"charged A", "charged A", "charged B", "charged D", "vented A", "vented B", "vented D", "strained A", "strained B 300ml", "labelled A", "labelled B",
	"washed A", "washed B", "washed D", "no gas A", "no gas B", "no gas D", "gas in A", "undo A", "undo B", "undo D", "scrap A", "scrap B", "take A",
	"overcharged A", "put 1 chargers by mistake in A", "put 3 chargers in all in A", "put 2 chargers by mistake in B",
	"got 24 chargers", "2 chargers for foam", "counted 30 chargers", "counted 7 chargers", "counted 5 shells", "cream D 1 chargers coffee cream",
	"cream A 2 chargers", "cream B 3 chargers", "cream emptied D", "cream emptied A", "rhubarb gin 400ml for 23:00", "stock", "done",
}

// purse is the test's own book: what went in and out, told apart from how the kitchen counts.
type purse struct {
	base  int // full ones at the last count, with all that was spent before it
	known bool
	got   int
	lines int // of the log that were read
	duds  int // of batches
	left  int // by the last line of a movement
}

// spent gives what left the box, by what the batches and the days say: the days hold
// what no open batch counts, with foam and cream in it.
func (p *purse) spent(k *kitchen.Kitchen) int {
	n := p.duds
	for _, day := range k.Diary.Used {
		n += day.Chargers
	}
	for _, b := range k.Batches {
		n += len(b.Charges)
	}
	return n
}

// read takes the log's new lines in.
func (p *purse) read(t *rapid.T, w *world) {
	for _, l := range w.log[p.lines:] {
		switch {
		case l.Event == "no gas" && l.Batch != 0 && l.Details["charger"] != "":
			p.duds++
		case l.Event == "chargers" && l.Details["what"] == string(kitchen.TookDud) && l.Details["n"] == "1":
			p.duds--
		}
		if left := l.Details["left"]; l.Event == "chargers" && left != "" {
			is, _ := strconv.Atoi(left)
			n, _ := strconv.Atoi(l.Details["n"])
			if p.known && p.left+n != is {
				t.Fatalf("the log has %d left, then %s %d, then %d left", p.left, l.Details["what"], n, is)
			}
			p.left, p.known = is, true
		}
		if l.Event == "chargers" && l.By.ID == "" && l.Details["what"] != string(kitchen.TookBatch) {
			t.Fatalf("nobody stands behind %v", l)
		}
	}
	p.lines = len(w.log)
}

// The count balances to the last shell, whatever is undone, corrected or scrapped:
// what was there and came in is what is in the box and what was spent.
func TestTheChargerCountBalancesToTheLastShell(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(quiet{t, rt})
		start := rapid.IntRange(0, 40).Draw(rt, "start")
		w.say(lead, fmt.Sprint("counted ", start, " chargers"))
		p := &purse{base: start}
		people := rapid.SampledFrom([]kitchen.Person{bar1, bar2, larder})
		line := rapid.SampledFrom(stockLines)
		var choices []kitchen.Choice
		act := func(what string, do func() kitchen.Answer) {
			a := do()
			if a.Choices != nil {
				choices = a.Choices
			}
			p.read(rt, w)
			k := w.kitchen()
			if a.Kind == kitchen.Done {
				switch what {
				case "got 24 chargers":
					p.got += 24
				case "counted 30 chargers":
					p.base, p.got = 30+p.spent(k), 0
				case "counted 7 chargers":
					p.base, p.got = 7+p.spent(k), 0
				}
			}
			if full := p.base + p.got - p.spent(k); full != k.Stock.Full() {
				rt.Fatalf("after %q %d are in the box, the count says %d: %+v", what, full, k.Stock.Full(), k.Stock)
			}
			if s := k.Stock; s.Start+s.Got+s.Found != s.Full()+s.Spent.Sum() || s.Spent.Sum() != p.spent(k) || s.Spent.Duds < 0 {
				rt.Fatalf("after %q %d are spent, the count says %+v", what, p.spent(k), s)
			}
			for _, c := range k.Creams() {
				if state, b := k.Look(c.Vessel); state != kitchen.VesselPressurised || b != nil {
					rt.Fatalf("after %q the cream of %s is %s, with %v", what, c.Vessel, state, b)
				}
				if c.CallAt == 0 || k.Next() == 0 || k.Next() > c.CallAt {
					rt.Fatalf("after %q the cream of %s has no due moment", what, c.Vessel)
				}
			}
		}
		rt.Repeat(map[string]func(*rapid.T){
			"say": func(rt *rapid.T) {
				what, by := line.Draw(rt, "line"), people.Draw(rt, "who")
				act(what, func() kitchen.Answer { return w.say(by, what) })
			},
			"choose": func(rt *rapid.T) {
				if len(choices) == 0 {
					rt.Skip()
				}
				tap, by := rapid.SampledFrom(choices).Draw(rt, "choice").Tap, people.Draw(rt, "who")
				act("", func() kitchen.Answer { return w.tap(by, tap) })
			},
			"late": func(rt *rapid.T) {
				what, by := line.Draw(rt, "line"), people.Draw(rt, "who")
				at := w.now.Add(-time.Duration(rapid.IntRange(0, 90).Draw(rt, "minutes")) * time.Minute)
				act(what, func() kitchen.Answer { return w.hear(by, what, at) })
			},
			"pass": func(rt *rapid.T) {
				w.pass(time.Duration(rapid.IntRange(1, 1200).Draw(rt, "seconds")) * time.Second)
				act("time", func() kitchen.Answer { return kitchen.Answer{} })
			},
		})
	})
}
