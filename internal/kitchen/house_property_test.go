package kitchen_test

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
)

// houseLines are lines of the whole house beside those of an evening, of the end of a
// day and of the charger count, right or wrong, at any time.
var houseLines = []string{
	"lot 7 gin", "lot 8 gin", "recall lot 7: glass", "where did lot 7 go", "trained @U2", "not trained @U2", "start ginger syrup 400ml at 38C in A", "start hazelnut brandy 400ml in A",
	"start rhubarb gin 300ml in A", "start rhubarb gin 300ml in A", "start thyme oil 400ml in B", "charged A", "charged A", "charged A", "charged B", "charged B",
	"vented A", "strained A 300ml", "labelled A", "washed A", "can't vent A", "can't vent B", "fenced A", "freed A", "hand over A", "take A", "take B", "return A", "vessels", "who is on",
}

// tally is the charger count told by the log alone.
type tally struct {
	lines  int // of the log that were read
	full   int
	shells int // spent since they were last counted out
	known  bool
}

// read takes the log's new lines in and wants each to go on where the last ended.
func (c *tally) read(rt *rapid.T, w *world) {
	for _, l := range w.log[c.lines:] {
		if l.Event == "shells" {
			c.shells = 0
		}
		if l.Event != "chargers" {
			continue
		}
		n, err := strconv.Atoi(l.Details["n"])
		if err != nil {
			rt.Fatalf("a movement of %q chargers", l.Details["n"])
		}
		if what := kitchen.Taking(l.Details["what"]); what != kitchen.CameIn && what != kitchen.CountedBox {
			c.shells -= n
		}
		left, err := strconv.Atoi(l.Details["left"])
		if err != nil {
			continue // nothing was counted yet
		}
		if c.known && c.full+n != left {
			rt.Fatalf("the log has %d in the box, then %s %d, then %d", c.full, l.Details["what"], n, left)
		}
		c.full, c.known = left, true
	}
	c.lines = len(w.log)
	if page := w.kitchen().StockNow(w.now); page.Full != c.full || page.Shells != c.shells {
		rt.Fatalf("by the log %d are in the box and %d are spent, by the kitchen %d and %d", c.full, c.shells, page.Full, page.Shells)
	}
}

// Whoever does whatever at whatever time in one house, everything at once: no vessel
// has two batches, the charger count balances to the last shell, no day is signed
// over an unfenced vessel under pressure, what nobody confirms keeps calling a
// circle that grows, and nobody off shift is reached but a manager.
func TestAWholeHouseKeepsItsWord(t *testing.T) {
	t.Parallel()
	all := slices.Concat(houseLines, stockLines, endings)
	for _, line := range lines {
		all = append(all, line+" A", line+" B", line+" C")
	}
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(quiet{t, rt})
		w.team.Fallback = rapid.Bool().Draw(rt, "fallback")
		w.team.Viewers = []string{floor.ID}
		w.say(lead, fmt.Sprint("counted ", rapid.IntRange(0, 40).Draw(rt, "box"), " chargers"))
		people := rapid.SampledFrom([]kitchen.Person{bar1, bar2, larder, lead, floor})
		line := rapid.SampledFrom(all)
		crew := crewModel{off: map[string]bool{}, on: map[string]time.Time{}}
		crew.watch(rt, w)
		calls := w.each
		w.each = func(ch kitchen.Change) {
			calls(ch)
			for _, e := range ch.Outbox {
				checkMentioned(rt, crew, w.now, w.kitchen(), e)
			}
		}
		count := &tally{}
		var choices []kitchen.Choice
		var carry string
		act := func(what string, do func() kitchen.Answer) {
			before := w.kitchen()
			a := do()
			after := w.kitchen()
			checkStep(rt, what, before, after)
			checkSigned(rt, before, after, w.now)
			checkAlone(rt, what, after)
			checkCalled(rt, what, after, w.now)
			count.read(rt, w)
			if a.Choices != nil {
				choices = a.Choices
			}
			if a.Form == kitchen.FormSign {
				carry = a.Line
			}
		}
		rt.Repeat(map[string]func(*rapid.T){
			"say": func(rt *rapid.T) {
				what, by := line.Draw(rt, "line"), people.Draw(rt, "who")
				act(what, func() kitchen.Answer { return w.say(by, what) })
			},
			"on": func(rt *rapid.T) {
				by := people.Draw(rt, "who")
				if by != floor { // a viewer is never on shift
					delete(crew.off, by.ID)
					crew.on[by.ID] = w.now
				}
				act("on", func() kitchen.Answer { return w.say(by, "on") })
			},
			"off": func(rt *rapid.T) {
				by := people.Draw(rt, "who")
				act("off", func() kitchen.Answer {
					a := w.say(by, "off")
					if a.Kind == kitchen.Done {
						crew.off[by.ID] = true
						delete(crew.on, by.ID)
					}
					return a
				})
			},
			"choose": func(rt *rapid.T) {
				if len(choices) == 0 {
					rt.Skip()
				}
				tap, by := rapid.SampledFrom(choices).Draw(rt, "choice").Tap, people.Draw(rt, "who")
				act(tap.Line, func() kitchen.Answer { return w.tap(by, tap) })
			},
			"sign": func(rt *rapid.T) {
				by := people.Draw(rt, "who")
				tap := kitchen.Tap{Line: "sign", N: int(w.kitchen().Closing.N), With: rapid.SampledFrom([]string{"", kitchen.TakesShift}).Draw(rt, "with")}
				act(tap.Line, func() kitchen.Answer { return w.tap(by, tap) })
				act("sign", func() kitchen.Answer { return w.fill(by, kitchen.FormSign, carry, map[string]string{"reason": "late"}) })
			},
			"late": func(rt *rapid.T) {
				what, by := line.Draw(rt, "line"), people.Draw(rt, "who")
				at := w.now.Add(-time.Duration(rapid.IntRange(0, 90).Draw(rt, "minutes")) * time.Minute)
				before := w.kitchen()
				var a kitchen.Answer
				step := what
				if strings.HasPrefix(what, "charged") { // told of a vessel that was emptied, it goes back to its vent
					step = "gas in: " + what
				}
				act(step, func() kitchen.Answer { a = w.hear(by, what, at); return a })
				checkLate(rt, what, at, a, before, w.kitchen())
			},
			"wait": func(rt *rapid.T) {
				d := time.Duration(rapid.IntRange(0, 600).Draw(rt, "seconds")) * time.Second
				act("time", func() kitchen.Answer { w.pass(d); return kitchen.Answer{} })
			},
			"stand still": func(rt *rapid.T) { // nobody rang, and what was missed becomes one call
				w.now = w.now.Add(time.Duration(rapid.IntRange(1, 900).Draw(rt, "minutes")) * time.Minute)
				act("time", func() kitchen.Answer { w.ring(); return kitchen.Answer{} })
			},
			"": func(rt *rapid.T) { checkKitchen(rt, w) },
		})
	})
}

// checkAlone wants each vessel to hold one batch at most, and no cream besides.
func checkAlone(rt *rapid.T, what string, k *kitchen.Kitchen) {
	holds := map[string]string{}
	hold := func(vessel, by string) {
		if other, taken := holds[vessel]; taken {
			rt.Fatalf("after %q %s is held by %s and by %s", what, vessel, other, by)
		}
		holds[vessel] = by
	}
	for id, b := range k.Batches {
		switch {
		case b.Strained != nil, b.Phase == kitchen.Stored, b.Phase == kitchen.Scrapped && b.Gas() == 0:
			continue
		}
		hold(b.Vessel, fmt.Sprint("batch ", id))
	}
	for _, c := range k.Creams() {
		hold(c.Vessel, "cream")
	}
}

// checkCalled wants what nobody confirmed to be called again, and soon: by the
// ladders, an unvented vessel within 3 min, solids within 10, each a little more for
// who asked for longer. One that does not vent is called when it stood cold, and every
// morning once it is fenced off.
func checkCalled(rt *rapid.T, what string, k *kitchen.Kitchen, now time.Time) {
	for id, b := range k.Batches {
		within := map[kitchen.Phase]time.Duration{kitchen.Venting: 5 * time.Minute, kitchen.Straining: 12 * time.Minute}[b.Phase]
		if b.Phase == kitchen.Scrapped && b.Gas() > 0 {
			within = 5 * time.Minute
		}
		if x := k.Vessels[b.Vessel].Blocked; x != nil && b.Gas() > 0 {
			within = kitchen.ColdFor + 5*time.Minute
			if x.Fenced != nil {
				within = 24*time.Hour + time.Minute // every morning
			}
		}
		if within == 0 {
			continue
		}
		if next := b.CallAt.Time(); b.CallAt == 0 || next.Before(now) || next.Sub(now) > within {
			rt.Fatalf("after %q batch %d is %s at %v and called at %v", what, id, b.Phase, now, next)
		}
	}
}

// checkMentioned wants that a message with a circle of its own names nobody who is
// off shift but a manager.
func checkMentioned(rt *rapid.T, crew crewModel, now time.Time, k *kitchen.Kitchen, e kitchen.Entry) {
	if e.Edit {
		return
	}
	var named []kitchen.Person
	b := k.Batches[e.Batch]
	switch e.Kind {
	case kitchen.CoolingCall:
		if c := k.CoolingByNumber(e.Turn); c != nil {
			named = k.CoolingCircle(c, e.Rung)
		}
	case kitchen.CreamCall:
		if c := k.CreamOf(e.Batch); c != nil {
			named = k.CreamCircle(c, e.Rung)
		}
	case kitchen.RecallCall:
		if r, known := k.RecallOf(e.Turn); known {
			named = k.RecallCircle(r, e.Rung, now)
		}
	case kitchen.AlarmCall:
		if i := slices.IndexFunc(k.Head.Alarms, func(x kitchen.Alarm) bool { return x.N == e.Turn }); i >= 0 {
			named = k.Called(k.Head.Alarms[i])
		}
	case kitchen.OfferCall:
		if b != nil {
			named = k.StandIns(b, now)
		}
	case kitchen.ChargeCall, kitchen.StopCall, kitchen.ClearCall, kitchen.LabelCall, kitchen.ClaimCall:
		if b != nil {
			named = k.Circle(b, max(e.Rung, 1))
		}
	}
	for _, p := range named {
		if crew.away(p, now) {
			rt.Fatalf("%s %s mentions %s, who is off shift", e.Kind, e.Key, p.Name)
		}
	}
}
