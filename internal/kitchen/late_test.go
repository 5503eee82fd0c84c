package kitchen_test

import (
	"maps"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
)

func TestAStartThatReachesUsLateAsksFirst(t *testing.T) {
	t.Parallel()
	start := map[string]string{"recipe": "rhubarb gin", "volume": "400ml", "vessel": "A"}
	for name, cmd := range map[string]kitchen.Command{
		"typed":    {Text: "start rhubarb gin 400ml in A"},
		"tapped":   {Tap: &kitchen.Tap{Line: "start rhubarb gin 400ml in A"}},
		"a form":   {Form: &kitchen.Filled{Name: "start", Fields: start}},
		"no verb":  {Text: "rhubarb gin 400ml in A"},
		"shortcut": {Form: &kitchen.Filled{Name: "reading", Fields: map[string]string{"line": "start rhubarb gin 400ml in A"}}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.now = six.Add(10*time.Minute + time.Second)
			cmd.By, cmd.At = bar1, six
			a := w.wantCode(w.reach(cmd), kitchen.Ask, kitchen.AskStillOn)
			if a.At != kitchen.At(six) || a.Title != "rhubarb gin" || a.Vessel != "A" || a.Field != "" {
				t.Errorf("asked with %+v", a)
			}
			if len(w.fields) != 0 {
				t.Error("something was written")
			}
			if len(a.Choices) != 1 || a.Choices[0].Code != kitchen.ChooseNow {
				t.Fatalf("buttons %+v", a.Choices)
			}
			w.pass(3 * time.Minute)
			if name == "a form" { // a clock that is wrong must not ask for ever
				w.want(w.reach(kitchen.Command{Tap: &a.Choices[0].Tap, By: bar1, At: w.now.Add(-time.Hour)}), kitchen.Done)
				return
			}
			w.want(w.choose(bar1, a), kitchen.Done)
			if b := w.in("A"); b.Started.Done != kitchen.At(w.now) {
				t.Errorf("it started at %v, want now", b.Started.Done.Time())
			}
		})
	}
}

func TestAStartOfTenMinutesAgoStarts(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.now = six.Add(10 * time.Minute)
	w.want(w.hear(bar1, "start rhubarb gin 400ml in A", six), kitchen.Done)
	if b := w.in("A"); b.Started.Done != kitchen.At(six) {
		t.Errorf("it started at %v, want when it was said", b.Started.Done.Time())
	}
}

func TestALateStartThatDoesNotWorkNowSaysWhy(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(20 * time.Minute)
	w.wantCode(w.hear(bar2, "start ginger gin 400ml in A", six), kitchen.Refuse, kitchen.RefuseOccupied)
	w.want(w.hear(bar2, "start rhubarb gin 4l", six), kitchen.Impossible)
}

func TestALateCorrectionAsksAndItsYesCorrects(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.pass(9 * time.Minute)
	w.say(bar2, "take A") // it is held for ten minutes more
	w.pass(9 * time.Minute)
	a := w.wantCode(w.reach(kitchen.Command{By: bar1, At: six.Add(time.Minute), Form: &kitchen.Filled{
		Name: "reading", Carry: "1.1", Fields: map[string]string{"line": "start ginger gin 400ml in A"},
	}}), kitchen.Ask, kitchen.AskStillOn)
	w.wantPhase("A", kitchen.Loading)
	w.want(w.choose(bar1, a), kitchen.Done)
	if b := w.kitchen().Batches[1]; b.Phase != kitchen.Scrapped || b.Replaced != 2 {
		t.Errorf("the old batch is %s, replaced by %d", b.Phase, b.Replaced)
	}
}

// A charger that somebody said went in is gas, whenever the word of it comes.
func TestAChargerToldAnHourLateIsNeverLost(t *testing.T) {
	t.Parallel()
	at := six.Add(3 * time.Minute) // it went in then
	late := six.Add(time.Hour + 3*time.Minute)
	for _, test := range []struct {
		name string
		make func(*world)
		gas  int
	}{
		{"the reservation stands: nothing rang meanwhile", func(w *world) { w.now = late }, 1},
		{"the reservation ran out just now", func(w *world) { w.now = late.Add(-5 * time.Minute); w.ring(); w.now = late }, 1},
		{"the reservation ran out and left", func(w *world) { w.pass(late.Sub(w.now)) }, 1},
		{"one of two is in", func(w *world) { w.say(bar1, "charged A"); w.pass(late.Sub(w.now)) }, 2},
		{"it is full", func(w *world) { w.say(bar1, "charged A"); w.say(bar1, "charged A"); w.pass(late.Sub(w.now)) }, 3},
		{"vented before it was said", func(w *world) {
			w.say(bar1, "charged A")
			w.say(bar1, "charged A")
			w.pass(170 * time.Second)
			w.want(w.say(bar1, "vented A"), kitchen.Done)
			w.pass(late.Sub(w.now))
		}, 1},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
			test.make(w)
			a := w.hear(bar1, "charged A", at)
			state, b := w.kitchen().Look("A")
			if state != kitchen.VesselPressurised || b.Gas() != test.gas || b.Owner.ID == "" {
				t.Fatalf("A is %s; answer %+v", state, a)
			}
			if a.Kind == kitchen.Done && a.Said != kitchen.At(at) {
				t.Errorf("the answer says that it was said at %v", a.Said.Time())
			}
			w.pass(20 * time.Minute)
			if len(w.calls(kitchen.ChargeCall))+len(w.calls(kitchen.VentCall)) == 0 {
				t.Error("nobody is called about it")
			}
		})
	}
}

func TestAChargerToldLateAndVentedSinceIsCountedAndNoMore(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A") // the second one's word is under way for an hour
	w.pass(4 * time.Minute)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.pass(time.Hour)
	at := six.Add(time.Minute)
	w.want(w.hear(bar1, "charged A", at), kitchen.Done)
	b := w.wantPhase("A", kitchen.Straining)
	if len(b.Charges) != 2 || b.Charges[1].Done != kitchen.At(at) || b.Gas() != 0 {
		t.Errorf("charges %+v", b.Charges)
	}
	if n := w.kitchen().ChargersUsed(w.now); n != 2 {
		t.Errorf("%d chargers used, want 2", n)
	}
	if g := w.kitchen().History.Vented; len(g) != 1 || g[0].Gas.Grams() != 16 {
		t.Errorf("let go %+v, want 16 g once", g)
	}
	w.want(w.hear(bar1, "charged A", at.Add(10*time.Second)), kitchen.Already) // told twice meanwhile
	if n := len(w.in("A").Charges); n != 2 {
		t.Errorf("%d chargers of 2", n)
	}
}

func TestAChargerToldLateTakesThePlaceOfOneThatWasAssumed(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.pass(6 * time.Minute)
	w.choose(bar1, w.say(bar1, "vented A"))
	w.pass(time.Hour)
	w.want(w.hear(bar1, "charged A", six.Add(time.Minute)), kitchen.Done)
	w.want(w.hear(bar1, "charged A", six.Add(2*time.Minute)), kitchen.Done)
	b := w.in("A")
	if len(b.Charges) != 2 || b.Charges[0].Assumed || b.Charges[1].Assumed || b.Charges[0].Done != kitchen.At(six.Add(time.Minute)) {
		t.Errorf("charges %+v, want the two that were told", b.Charges)
	}
}

func TestALateChargerOfAnotherDaysReservationIsNoGas(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct {
		between func(*world)
		at      time.Duration
	}{
		"before it":            {func(*world) {}, -time.Minute},
		"long after it":        {func(*world) {}, 25 * time.Minute},
		"the vessel was since": {func(w *world) { w.brew("345ml") }, 3 * time.Minute},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.say(bar1, "start rhubarb gin 400ml in A")
			w.pass(30 * time.Minute)
			test.between(w)
			w.pass(time.Hour)
			w.wantCode(w.hear(bar1, "charged A", six.Add(test.at)), kitchen.Refuse, kitchen.RefuseNothing)
		})
	}
}

func TestAVentToldAnHourLateEmptiesOnlyWhatItCanMean(t *testing.T) {
	t.Parallel()
	t.Run("nothing went in since", func(t *testing.T) {
		t.Parallel()
		w := charged(t)
		at := six.Add(4 * time.Minute)
		w.pass(at.Add(time.Hour).Sub(w.now))
		a := w.want(w.hear(bar1, "vented A", at), kitchen.Done)
		counts := kitchen.At(w.now.Add(-10 * time.Minute))
		if a.Said != kitchen.At(at) || a.At != counts || a.Quiet || w.in("A").Emptied.Done != counts {
			t.Errorf("said %v, counts from %v: %+v", a.Said.Time(), a.At.Time(), a)
		}
		if state, _ := w.kitchen().Look("A"); state != kitchen.VesselOpen {
			t.Errorf("A is %s, want open", state)
		}
	})
	for _, test := range []struct {
		name string
		make func(*world)
		line string
		code kitchen.Code
	}{
		{"gas went in since", func(w *world) {
			w.say(bar1, "charged A")
			w.pass(55 * time.Minute)
			w.say(bar1, "charged A")
		}, "vented A", kitchen.RefuseTooEarly},
		{"a doubtful charger since", func(w *world) {
			w.say(bar1, "charged A")
			w.say(bar1, "charged A")
			w.pass(58 * time.Minute)
			w.say(larder, "charged A")
		}, "vented A", kitchen.RefuseTooEarly},
		{"another batch since", func(w *world) {
			w.pass(30 * time.Minute)
			w.say(bar2, "start ginger gin 400ml in A")
			w.say(bar2, "charged A")
		}, "vented A", kitchen.RefuseTooEarly},
		{"another batch since, not charged yet", func(w *world) {
			w.pass(58 * time.Minute)
			w.say(bar2, "start ginger gin 400ml in A")
		}, "vented A", kitchen.RefuseTooEarly},
		{"a time told in it, before the last charger", func(w *world) {
			w.say(bar1, "charged A")
			w.pass(55 * time.Minute)
			w.say(bar1, "charged A")
		}, "vented A 2 min ago", kitchen.RefuseTooEarly},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.say(bar1, "start rhubarb gin 400ml in A")
			test.make(w)
			w.now = six.Add(time.Hour + 4*time.Minute)
			before := maps.Clone(w.fields)
			w.wantCode(w.hear(bar1, test.line, six.Add(4*time.Minute)), kitchen.Refuse, test.code)
			if diff := cmp.Diff(before, w.fields); diff != "" {
				t.Errorf("something was written:\n%s", diff)
			}
		})
	}
}

func TestATimeInALateLineCountsFromWhenItWasSaid(t *testing.T) {
	t.Parallel()
	w := charged(t)
	at := six.Add(10 * time.Minute)
	w.pass(at.Add(time.Hour).Sub(w.now))
	a := w.want(w.hear(bar1, "vented A 2 min ago", at), kitchen.Done)
	if want := kitchen.At(six.Add(8 * time.Minute)); a.At != want || a.Said != 0 {
		t.Errorf("it counts from %v, want %v", a.At.Time(), want.Time())
	}
}

func TestOtherLateWordsMeanNothingThatCameAfterThem(t *testing.T) {
	t.Parallel()
	said := six.Add(2 * time.Minute)
	for _, test := range []struct {
		name string
		make func(*world)
		line string
		code kitchen.Code
	}{
		{"no gas, of a charger that was told after it", func(w *world) {
			w.say(bar1, "charged A")
			w.pass(50 * time.Minute)
			w.say(bar1, "charged A")
		}, "no gas A", kitchen.RefuseTooEarly},
		{"undo, of a thing done after it", func(w *world) {
			w.say(bar1, "charged A")
			w.say(bar1, "charged A")
			w.pass(55 * time.Minute)
			w.say(bar1, "vented A")
		}, "undo A", kitchen.RefuseUndoLate},
		{"scrap, of a batch that was started after it", func(w *world) {
			w.pass(55 * time.Minute)
			w.say(bar2, "start ginger gin 400ml in A")
		}, "scrap A", kitchen.RefuseTooEarly},
		{"strained, before the vent", func(w *world) {
			w.say(bar1, "charged A")
			w.say(bar1, "charged A")
			w.pass(55 * time.Minute)
			w.say(bar1, "vented A")
		}, "strained A", kitchen.RefuseTooEarly},
		{"washed, before it was dirty", func(w *world) {
			w.say(bar1, "charged A")
			w.say(bar1, "charged A")
			w.pass(5 * time.Minute)
			w.say(bar1, "vented A")
			w.say(bar1, "strained A")
		}, "washed A", kitchen.RefuseTooEarly},
		{"take, of a batch that was started after it", func(w *world) {
			w.pass(55 * time.Minute)
			w.say(bar2, "start ginger gin 400ml in A")
		}, "take A", kitchen.RefuseTooEarly},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.say(bar1, "start rhubarb gin 400ml in A")
			test.make(w)
			w.now = said.Add(time.Hour)
			before := maps.Clone(w.fields)
			w.wantCode(w.hear(bar1, test.line, said), kitchen.Refuse, test.code)
			if diff := cmp.Diff(before, w.fields); diff != "" {
				t.Errorf("something was written:\n%s", diff)
			}
		})
	}
}

// After an outage a whole batch can reach us at once. It counts in the order in
// which it was said, and in no other.
func TestWhatReachesUsLateAllAtOnceKeepsItsOrder(t *testing.T) {
	t.Parallel()
	said := func(minutes int) time.Time { return six.Add(time.Duration(minutes) * time.Minute) }
	arrive := func(t *testing.T) *world {
		w := newWorld(t)
		w.say(bar1, "start rhubarb gin 400ml in A")
		w.pass(time.Hour)
		return w
	}
	t.Run("in order", func(t *testing.T) {
		t.Parallel()
		w := arrive(t)
		for i, line := range []string{"charged A", "charged A", "vented A", "strained A 345ml", "labelled A"} {
			w.want(w.hear(bar1, line, said(3+2*i)), kitchen.Done)
			w.pass(time.Second)
		}
		var b *kitchen.Batch
		for _, open := range w.kitchen().Open() {
			if open.Labelled != nil {
				b = open
			}
		}
		if b == nil || b.Charges[1].SaidAt() != kitchen.At(said(5)) || b.Emptied.SaidAt() != kitchen.At(said(7)) {
			t.Fatalf("%+v", b)
		}
		if b.Emptied.Done < b.LastGas() || b.Strained.Done < b.Emptied.Done || b.Labelled.Done < b.Strained.Done {
			t.Errorf("clocks run backwards: %+v", b.Moving)
		}
	})
	t.Run("a charger said after the vent is gas", func(t *testing.T) {
		t.Parallel()
		w := arrive(t)
		for _, word := range []struct {
			line string
			at   int
		}{{"charged A", 3}, {"charged A", 4}, {"vented A", 7}, {"charged A", 9}} {
			w.want(w.hear(bar1, word.line, said(word.at)), kitchen.Done)
			w.pass(time.Second)
		}
		if _, b := w.kitchen().Look("A"); b == nil || b.Gas() != 1 || b.Phase != kitchen.Venting {
			t.Errorf("in A: %+v", b)
		}
		w.wantCode(w.hear(bar1, "vented A", said(8)), kitchen.Refuse, kitchen.RefuseTooEarly)
		w.want(w.hear(bar1, "vented A", said(10)), kitchen.Done)
	})
	t.Run("out of order", func(t *testing.T) {
		t.Parallel()
		w := arrive(t)
		w.want(w.hear(bar1, "charged A", said(9)), kitchen.Done)
		w.pass(time.Second)
		w.want(w.hear(bar1, "charged A", said(3)), kitchen.Done)
		w.pass(time.Second)
		w.wantCode(w.hear(bar1, "vented A", said(6)), kitchen.Refuse, kitchen.RefuseTooEarly)
		w.want(w.hear(bar1, "vented A", said(12)), kitchen.Done)
	})
	t.Run("a time told afterwards", func(t *testing.T) {
		t.Parallel()
		w := arrive(t)
		w.want(w.hear(bar1, "charged A", said(3)), kitchen.Done)
		w.pass(2 * time.Minute)
		w.wantCode(w.say(bar1, "vented A at 18:02"), kitchen.Refuse, kitchen.RefuseTooEarly)
		w.want(w.say(bar1, "vented A at 18:06"), kitchen.Done)
		if b := w.in("A"); b.Emptied.Done < b.LastGas() {
			t.Errorf("emptied %v, before gas went in", b.Emptied.Done.Time())
		}
	})
}
