package kitchen_test

import (
	"fmt"
	"maps"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
)

// rank orders how far a batch has come.
func rank(b *kitchen.Batch) int {
	if b.Phase == kitchen.Settling && b.Strained != nil {
		return 6 // off its solids
	}
	return map[kitchen.Phase]int{
		kitchen.Loading: 0, kitchen.Charging: 1, kitchen.Resting: 2, kitchen.Venting: 3, kitchen.Settling: 4,
		kitchen.Straining: 5, kitchen.Clearing: 7, kitchen.Labelling: 8, kitchen.Stored: 9, kitchen.Scrapped: 10,
	}[b.Phase]
}

// lines that a crew may type, right or wrong, at any time.
var lines = []string{
	"start rhubarb gin 400ml", "start thyme oil 400ml", "start smoky tea rum 200ml", "start toasted barley whisky 400ml",
	"start rhubarb gin 300ml x2", "start rhubarb gin 700ml split",
	"charged", "charged", "charged", "set down", "vented", "vented", "strained", "strained 300ml", "cleared", "labelled",
	"washed", "no gas", "gas in", "take", "scrap", "undo", "undo", "+15 s", "vented 30s ago", "charged 20s ago",
	"overcharged", "put 1 chargers by mistake in", "put 2 chargers by mistake in", "put 3 chargers in all in", "rest 60s", "rest 4min",
	"pause", "hand over", "blocked", "leaking", "still hissing", "won't open", "foamed over", "forgot it", "burned", "in the eye", "on fire", "fainted",
	"who has", "how long on", "safe to open", "overnight", "label of", "use by of", "allergens", "done", "ok", "again in", "on", "off", "closing",
	"withdraw", "checked", "freed", "deep washed",
}

// A whole evening of random words, taps and time keeps every safety rule.
func TestAnyEveningKeepsTheSafetyRules(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(quiet{t, rt})
		w.team.Fallback = rapid.Bool().Draw(rt, "fallback")
		people := rapid.SampledFrom([]kitchen.Person{bar1, bar2, larder})
		tags := rapid.SampledFrom([]string{"A", "B", "C", "D"})
		line := rapid.SampledFrom(lines)
		var choices []kitchen.Choice
		var old []kitchen.Tap
		check := func(what string, act func() kitchen.Answer) {
			before := w.kitchen()
			a := act()
			checkStep(rt, what, before, w.kitchen())
			if a.Choices != nil {
				choices = a.Choices
			}
		}
		rt.Repeat(map[string]func(*rapid.T){
			"say": func(rt *rapid.T) {
				what := line.Draw(rt, "line") + " " + tags.Draw(rt, "tag")
				by := people.Draw(rt, "who")
				check(what, func() kitchen.Answer { return w.say(by, what) })
			},
			"twice": func(rt *rapid.T) {
				verb := rapid.SampledFrom([]string{"vented", "strained", "cleared", "labelled", "washed", "set down"}).Draw(rt, "verb")
				what := verb + " " + tags.Draw(rt, "tag")
				by := people.Draw(rt, "who")
				check(what, func() kitchen.Answer { return w.say(by, what) })
				once := maps.Clone(w.fields)
				check(what, func() kitchen.Answer { return w.say(by, what) })
				if verb != "vented" && verb != "washed" { // the tag may mean another batch by then
					return
				}
				if diff := cmp.Diff(once, w.fields); diff != "" {
					rt.Fatalf("%s twice is not once:\n%s", what, diff)
				}
			},
			"choose": func(rt *rapid.T) {
				if len(choices) == 0 {
					rt.Skip()
				}
				tap := rapid.SampledFrom(choices).Draw(rt, "choice").Tap
				old = append(old, tap)
				check(tap.Line, func() kitchen.Answer { return w.tap(people.Draw(rt, "who"), tap) })
			},
			"old button": func(rt *rapid.T) {
				if len(old) == 0 {
					rt.Skip()
				}
				tap := rapid.SampledFrom(old).Draw(rt, "tap")
				check(tap.Line, func() kitchen.Answer { return w.tap(people.Draw(rt, "who"), tap) })
			},
			"late": func(rt *rapid.T) {
				what := line.Draw(rt, "line") + " " + tags.Draw(rt, "tag")
				at := w.now.Add(-time.Duration(rapid.IntRange(0, 120).Draw(rt, "minutes")) * time.Minute)
				before, by := w.kitchen(), people.Draw(rt, "who")
				a := w.hear(by, what, at)
				checkLate(rt, what, at, a, before, w.kitchen())
			},
			"form": func(rt *rapid.T) {
				fields := map[string]string{
					"recipe": rapid.SampledFrom([]string{"rhubarb gin", "thyme oil", "gin", "vented", ""}).Draw(rt, "recipe"),
					"volume": rapid.SampledFrom([]string{"400ml", "3 l", "0", ""}).Draw(rt, "volume"),
					"vessel": rapid.SampledFrom([]string{"A", "B", "Q", ""}).Draw(rt, "vessel"),
					"more":   rapid.SampledFrom([]string{"x2", "60 g", "rest 90", "undo A", ""}).Draw(rt, "more"),
				}
				check("form", func() kitchen.Answer { return w.fill(people.Draw(rt, "who"), kitchen.FormStart, "", fields) })
			},
			"correct": func(rt *rapid.T) {
				carry := fmt.Sprintf("%d.%d", rapid.IntRange(1, 6).Draw(rt, "batch"), rapid.IntRange(1, 3).Draw(rt, "turn"))
				what := line.Draw(rt, "line")
				before, by := w.kitchen(), people.Draw(rt, "who")
				a := w.fill(by, kitchen.FormReading, carry, map[string]string{"line": what})
				checkStep(rt, "correct", before, w.kitchen())
				if a.Replaced != 0 && (before.Batches[a.Replaced].Phase != kitchen.Loading || before.Batches[a.Replaced].Gas() > 0) {
					rt.Fatalf("%q replaced a batch that was %s", what, before.Batches[a.Replaced].Phase)
				}
			},
			"trouble": func(rt *rapid.T) {
				before := w.kitchen()
				w.trouble(
					rapid.SampledFrom([]string{"C1", "@U9", "@U1"}).Draw(rt, "lane"),
					rapid.SampledFrom([]string{"", "channel archived", "not in channel"}).Draw(rt, "reason"),
				)
				if diff := cmp.Diff(before.Batches, w.kitchen().Batches); diff != "" {
					rt.Fatalf("trouble changed a batch:\n%s", diff)
				}
			},
			"wait": func(rt *rapid.T) {
				before := w.kitchen()
				w.pass(time.Duration(rapid.IntRange(0, 300).Draw(rt, "seconds")) * time.Second)
				checkStep(rt, "time", before, w.kitchen())
			},
			"stand still": func(rt *rapid.T) {
				before := w.kitchen()
				w.now = w.now.Add(time.Duration(rapid.IntRange(0, 40).Draw(rt, "minutes")) * time.Minute)
				w.ring()
				checkStep(rt, "time", before, w.kitchen())
			},
			"": func(rt *rapid.T) { checkKitchen(rt, w) },
		})
	})
}

// checkStep compares a kitchen before and after one thing happened.
func checkStep(rt *rapid.T, what string, before, after *kitchen.Kitchen) {
	gasWord := strings.HasPrefix(what, "no gas")
	gasAgain := strings.HasPrefix(what, "gas in") || strings.HasPrefix(what, "overcharged") || strings.HasPrefix(what, "put ")
	for id, was := range before.Batches {
		is, ok := after.Batches[id]
		if !ok {
			if was.Gas() > 0 {
				rt.Fatalf("%s: batch %d left while it held gas", what, id)
			}
			continue
		}
		if is.Gas() < was.Gas() && !gasWord && is.Emptied == nil {
			rt.Fatalf("%s: gas in %s fell from %d to %d", what, is.Vessel, was.Gas(), is.Gas())
		}
		if rank(is) < rank(was) && !strings.HasPrefix(what, "undo") && !gasWord && !gasAgain {
			rt.Fatalf("%s: %s went back from %s to %s", what, is.Vessel, was.Phase, is.Phase)
		}
		if is.Turn < was.Turn {
			rt.Fatalf("%s: the turn of %s went back", what, is.Vessel)
		}
	}
}

// checkLate wants that what reached us late starts nothing, loses no gas that
// went in after it was said, and leaves what came after it alone.
func checkLate(rt *rapid.T, what string, at time.Time, a kitchen.Answer, before, after *kitchen.Kitchen) {
	late := at.Before(after.Head.Last.Time().Add(-10 * time.Minute))
	if strings.HasPrefix(what, "charged") {
		what = "gas in: " + what // told of a vessel that was emptied, it goes back to its vent
	}
	checkStep(rt, what, before, after)
	if strings.HasPrefix(what, "start") && late && after.Head.Next != before.Head.Next {
		rt.Fatalf("%s, said at %v, started something", what, at)
	}
	for id, was := range before.Batches {
		is := after.Batches[id]
		if is == nil || strings.Contains(what, "ago") || !late {
			continue
		}
		gas := kitchen.Moment(0)
		if was.Doubt != nil {
			gas = was.Doubt.SaidAt()
		}
		for _, c := range was.Charges {
			gas = max(gas, c.SaidAt())
		}
		if is.Gas() < was.Gas() && gas > kitchen.At(at.Add(time.Second)) {
			rt.Fatalf("%s, said at %v: gas in %s fell from %d to %d, answer %+v", what, at, is.Vessel, was.Gas(), is.Gas(), a)
		}
	}
}

// checkFallback wants the platform to be told to call by itself whenever a
// vessel rests or is to be vented, after the host's own next call; and only then.
func checkFallback(rt *rapid.T, k *kitchen.Kitchen, id uint32) {
	b, at := k.Batches[id], k.FallbackAt(id)
	next := b.CallAt
	switch {
	case !k.Head.Team.Fallback, b.Gas() == 0:
		if at != 0 {
			rt.Fatalf("the platform calls for %s at %v, which is %s with gas %d", b.Vessel, at.Time(), b.Phase, b.Gas())
		}
		return
	case b.Phase == kitchen.Resting:
		next = b.VentAt
	case b.Phase != kitchen.Venting && b.Phase != kitchen.Scrapped:
		return
	}
	if at < next.Add(2*time.Minute) {
		rt.Fatalf("%s is called at %v, and the platform calls at %v", b.Vessel, next.Time(), at.Time())
	}
}

// checkKitchen wants the rules that hold at any time.
func checkKitchen(rt *rapid.T, w *world) {
	k := w.kitchen()
	holders := map[string]uint32{}
	for id, b := range k.Batches {
		state, holder := k.Look(b.Vessel)
		if b.Gas() > 0 {
			blocked := state == kitchen.VesselBlocked && k.Vessels[b.Vessel].Blocked != nil
			if state != kitchen.VesselPressurised && !blocked || holder != b {
				rt.Fatalf("%s holds gas of batch %d and is %s", b.Vessel, id, state)
			}
			if b.Owner.ID == "" {
				rt.Fatalf("%s is pressurised without an owner", b.Vessel)
			}
			if other, taken := holders[b.Vessel]; taken {
				rt.Fatalf("batches %d and %d are both in %s", other, id, b.Vessel)
			}
			holders[b.Vessel] = id
		}
		if b.Strained != nil && (b.Emptied == nil || b.Gas() > 0) {
			rt.Fatalf("%s was strained before it was vented: %+v", b.Vessel, b.Moving)
		}
		if b.Labelled != nil && b.Strained == nil {
			rt.Fatalf("%s was labelled before it was strained", b.Vessel)
		}
		if single := (&kitchen.Kitchen{Batches: map[uint32]*kitchen.Batch{id: b}}); single.Next() == 0 {
			rt.Fatalf("batch %d in phase %s waits for nothing", id, b.Phase)
		}
		checkFallback(rt, k, id)
	}
	again, err := kitchen.Decode(k.ID, k.Encode())
	if err != nil {
		rt.Fatal(err)
	}
	if diff := cmp.Diff(k, again, cmpopts.IgnoreUnexported(kitchen.Kitchen{}), cmpopts.EquateEmpty()); diff != "" {
		rt.Fatalf("decode(encode(k)) is not k:\n%s", diff)
	}
}

// quiet lets the world fail through rapid, so that it can shrink.
type quiet struct {
	testing.TB
	rt *rapid.T
}

func (q quiet) Helper()                      {}
func (q quiet) Fatal(args ...any)            { q.rt.Fatal(args...) }
func (q quiet) Fatalf(f string, args ...any) { q.rt.Fatalf(f, args...) }
