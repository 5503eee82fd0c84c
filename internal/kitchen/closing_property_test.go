package kitchen_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
)

// endings are lines of the end of a day, beside those of an evening.
var endings = []string{
	"closing", "sign", "sign because we are late", "hand over the shift", "hand over to @U2", "counted 20 full chargers", "counted 2 shells",
	"fridge 4C", "fridge 9C", "cooled A 20C", "cooled A 60C", "binned past date",
}

// Whatever is said and tapped in whatever order, no day is signed while a vessel is
// under pressure that is not fenced off.
func TestNoDayIsSignedWithAVesselUnderPressure(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(quiet{t, rt})
		people := rapid.SampledFrom([]kitchen.Person{bar1, bar2, larder, lead})
		tags := rapid.SampledFrom([]string{"A", "B", "C"})
		work := rapid.SampledFrom([]string{
			"start rhubarb gin 300ml in", "start thyme oil 400ml in", "charged", "charged", "vented", "strained", "labelled", "washed", "blocked", "fenced", "freed",
			"scrap", "undo", "no gas", "gas in", "cream 1 charger", "cream emptied", "overcharged", "take", "withdraw",
		})
		var choices []kitchen.Choice
		var carry string
		act := func(do func() kitchen.Answer) {
			before := w.kitchen()
			a := do()
			after := w.kitchen()
			checkSigned(rt, before, after, w.now)
			if a.Choices != nil {
				choices = a.Choices
			}
			if a.Form == kitchen.FormSign {
				carry = a.Line
			}
		}
		rt.Repeat(map[string]func(*rapid.T){
			"work": func(rt *rapid.T) {
				line := work.Draw(rt, "work") + " " + tags.Draw(rt, "tag")
				act(func() kitchen.Answer { return w.say(people.Draw(rt, "who"), line) })
			},
			"end": func(rt *rapid.T) {
				line := rapid.SampledFrom(endings).Draw(rt, "ending")
				act(func() kitchen.Answer { return w.say(people.Draw(rt, "who"), line) })
			},
			"choose": func(rt *rapid.T) {
				if len(choices) == 0 {
					rt.Skip()
				}
				tap := rapid.SampledFrom(choices).Draw(rt, "choice").Tap
				act(func() kitchen.Answer { return w.tap(people.Draw(rt, "who"), tap) })
			},
			"sign button": func(rt *rapid.T) {
				tap := kitchen.Tap{Line: "sign", N: rapid.IntRange(1, 5).Draw(rt, "list"), With: rapid.SampledFrom([]string{"", kitchen.TakesShift}).Draw(rt, "with")}
				act(func() kitchen.Answer { return w.tap(people.Draw(rt, "who"), tap) })
			},
			"form": func(rt *rapid.T) {
				act(func() kitchen.Answer {
					return w.fill(people.Draw(rt, "who"), kitchen.FormSign, carry, map[string]string{"reason": "late"})
				})
			},
			"wait": func(*rapid.T) { w.pass(time.Duration(rapid.IntRange(0, 200).Draw(rt, "minutes")) * time.Minute) },
		})
	})
}

// checkSigned looks at what stood open when a list was signed.
func checkSigned(rt *rapid.T, before, after *kitchen.Kitchen, now time.Time) {
	was, is := before.Closing.Last, after.Closing.Last
	if is == nil || was != nil && was.Record == is.Record || is.Shift {
		return
	}
	fenced := map[string]bool{}
	for _, x := range before.Blockages() {
		if fenced[x.Vessel] = x.Fenced != nil; x.Fenced == nil {
			rt.Fatalf("signed with %s blocked and not fenced off", x.Vessel)
		}
	}
	for _, b := range before.Batches {
		if b.Gas() > 0 && !fenced[b.Vessel] {
			rt.Fatalf("signed with %d chargers in %s", b.Gas(), b.Vessel)
		}
	}
	for _, c := range before.Creams() {
		if !fenced[c.Vessel] {
			rt.Fatalf("signed with cream under pressure in %s", c.Vessel)
		}
	}
	if len(is.Left)+is.More > 0 && is.Reason == "" {
		rt.Fatalf("signed at %v with %+v left and no reason", now, is.Left)
	}
}
