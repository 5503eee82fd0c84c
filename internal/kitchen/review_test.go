package kitchen_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
)

// outbox carries out a line and gives the messages that it queues, by key.
func (w *world) outbox(p kitchen.Person, line string) map[string]kitchen.Entry {
	w.t.Helper()
	w.n++
	cmd := kitchen.Command{ID: line, Text: line, By: p, At: w.now}
	ch, _ := w.kitchen().Handle(reader(), sample(), team, cmd, w.now)
	w.apply(ch)
	return byKey(ch)
}

func byKey(ch kitchen.Change) map[string]kitchen.Entry {
	entries := map[string]kitchen.Entry{}
	for _, e := range ch.Outbox {
		entries[e.Key] = e
	}
	return entries
}

// labelPending is a kitchen where a batch out of A waits for its label and A
// is washed.
func labelPending(t *testing.T) *world {
	w := charged(t)
	w.pass(3 * time.Minute)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.want(w.say(bar1, "strained A 345ml"), kitchen.Done)
	w.want(w.say(bar1, "washed A"), kitchen.Done)
	return w
}

func TestAChargerIsCountedIntoTheVesselNotIntoWhatWasStrainedOutOfIt(t *testing.T) {
	t.Parallel()
	w := labelPending(t)
	w.pass(11 * time.Minute) // the label is called: that batch comes first now
	w.want(w.say(bar2, "start thyme oil 400ml in A"), kitchen.Done)
	w.want(w.say(bar2, "charged A"), kitchen.Done)
	w.pass(time.Minute)
	w.want(w.say(bar2, "charged A"), kitchen.Done)
	w.pass(time.Minute)
	w.want(w.say(larder, "charged A"), kitchen.Stop)
	if _, b := w.kitchen().Look("A"); b.Gas() != 3 {
		t.Errorf("gas %d in A, want 3", b.Gas())
	}
}

func TestUndoMeansTheLastThingDoneInItsVessel(t *testing.T) {
	t.Parallel()
	w := labelPending(t)
	w.want(w.say(bar2, "start ginger gin 400ml in A"), kitchen.Done)
	w.want(w.say(bar2, "undo A"), kitchen.Done)
	if b := w.kitchen().Batches[2]; b.Phase != kitchen.Scrapped {
		t.Errorf("the start told last is %s, want taken back", b.Phase)
	}
	if b := w.kitchen().Batches[1]; b.Phase != kitchen.Labelling {
		t.Errorf("the batch before it is %s, want untouched", b.Phase)
	}
}

func TestUndoPutsNothingBackIntoAVesselThatAnotherBatchWentThrough(t *testing.T) {
	t.Parallel()
	w := labelPending(t)
	w.want(w.say(bar2, "start smoky tea rum 200ml in A"), kitchen.Done)
	w.want(w.say(bar2, "charged A"), kitchen.Done)
	w.pass(2 * time.Minute)
	w.want(w.say(bar2, "vented A"), kitchen.Done)
	w.want(w.say(bar2, "strained A"), kitchen.Done)
	w.wantCode(w.tap(bar1, kitchen.Tap{Line: "undo A", Batch: 1}), kitchen.Refuse, kitchen.RefuseUndoUsed)
}

func TestOneNotMineTakesBackOneDoubt(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.want(w.say(larder, "charged A"), kitchen.Stop)
	stop := w.want(w.say(bar2, "charged A"), kitchen.Stop)
	notMine := stop.Choices[1].Tap
	w.want(w.tap(bar2, notMine), kitchen.Done)
	if gas := w.in("A").Gas(); gas != 3 {
		t.Errorf("gas %d after one of two doubts was taken back, want 3", gas)
	}
	w.want(w.tap(bar2, notMine), kitchen.Already) // the same press twice
	if gas := w.in("A").Gas(); gas != 3 {
		t.Errorf("gas %d after a double press, want 3", gas)
	}
	w.pass(21 * time.Second)
	if b := w.wantPhase("A", kitchen.Venting); b.Gas() != 3 {
		t.Errorf("gas %d, want the doubt nobody answered to count", b.Gas())
	}
}

func TestAVentBeforeTheDoubtfulChargerDoesNotEmptyTheVessel(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(2 * time.Minute)
	w.want(w.say(larder, "charged A"), kitchen.Stop)
	w.pass(5 * time.Second)
	w.wantCode(w.say(bar1, "vented A 1 min ago"), kitchen.Refuse, kitchen.RefuseTooEarly)
	w.wantCode(w.tap(bar1, kitchen.Tap{Line: "strained A 60s ago", Batch: 1, Turn: 1, N: 3, With: "vented"}),
		kitchen.Refuse, kitchen.RefuseTooEarly)
	if gas := w.in("A").Gas(); gas != 3 {
		t.Errorf("gas %d, want 3", gas)
	}
}

func TestStepsSaidAtOnceKeepTheirOrder(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(time.Minute)
	// the last charger went in a minute ago
	ask := w.say(bar1, "strained A 3 min ago")
	if ask.Kind == kitchen.Ask {
		ask = w.choose(bar1, ask)
	}
	w.wantCode(ask, kitchen.Refuse, kitchen.RefuseTooEarly)

	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.pass(time.Minute)
	ask = w.say(bar1, "labelled A 2 min ago")
	if ask.Kind == kitchen.Ask {
		ask = w.choose(bar1, ask)
	}
	w.wantCode(ask, kitchen.Refuse, kitchen.RefuseTooEarly)
}

func TestATimeToldToTheMinuteMeansAnyMomentOfIt(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(2*time.Minute + 35*time.Second)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	clock := w.now.Format("15:04")
	w.pass(50 * time.Second)
	w.want(w.say(bar1, "strained A at "+clock), kitchen.Done)
	if b := w.in("A"); b.Strained.Done < b.Emptied.Done {
		t.Error("it was strained before it was vented")
	}
}

func TestAChargerToldLateAndOutOfOrderStillCounts(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.pass(3 * time.Minute)
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	w.pass(20 * time.Second)
	w.want(w.say(bar1, "charged A 2 min ago"), kitchen.Done)
	b := w.in("A")
	if b.Gas() != 2 || !b.Full() {
		t.Fatalf("gas %d, want both chargers", b.Gas())
	}
	last := kitchen.At(six.Add(3 * time.Minute))
	if want := last.Add(b.Swirl + b.Rest.Target); b.VentAt != want {
		t.Errorf("vent at %v, want %v, from the charger that went in last", b.VentAt.Time(), want.Time())
	}
	if want := kitchen.At(w.now.Add(-2 * time.Minute)); b.ContactFrom != want {
		t.Errorf("contact from %v, want %v, from the charger that went in first", b.ContactFrom.Time(), want.Time())
	}
}

func TestTheSecondStrainCallsOfAStrainFirstBatchCountFromItsVent(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start smoky tea rum 200ml in D")
	w.say(bar1, "charged D")
	w.pass(2 * time.Minute)
	w.say(bar1, "vented D")
	vented := w.now
	for _, want := range []time.Duration{15 * time.Second, 45 * time.Second, 90 * time.Second} {
		if got := w.in("D").CallAt.Time().Sub(vented); got != want {
			t.Errorf("the next strain call comes %v after the vent, want %v", got, want)
		}
		w.pass(vented.Add(want).Sub(w.now))
	}
}

func TestUndoOfAVentCorrectsItsSecondCallsToo(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(5 * time.Minute) // the vent call and two second calls
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.pass(10 * time.Second)
	entries := w.outbox(larder, "undo A")
	for _, key := range []string{"1/vent.1", "1/vent.1.1", "1/vent.1.2"} {
		if e, ok := entries[key]; !ok || !e.Edit {
			t.Errorf("%s, which says that A is empty, is not corrected", key)
		}
	}
}

func TestTheLatestSecondCallIsCorrectedHoweverManyThereWere(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(time.Hour)
	calls := w.calls(kitchen.VentCall)
	entries := w.outbox(bar1, "vented A")
	for _, key := range calls[len(calls)-3:] {
		if e, ok := entries[key]; !ok || !e.Edit {
			t.Errorf("%s still asks to vent", key)
		}
	}
}

func TestAVesselForgottenForDaysGoesOnRingingAndNothingRunsAway(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name string
		make func(*testing.T) *world
		kind kitchen.EntryKind
	}{
		{"under pressure", func(t *testing.T) *world { return charged(t) }, kitchen.VentCall},
		{"open, on its solids", func(t *testing.T) *world {
			w := charged(t)
			w.pass(3 * time.Minute)
			w.say(bar1, "vented A")
			return w
		}, kitchen.ContactCall},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			w := test.make(t)
			for day := range 2 {
				before := len(w.calls(test.kind))
				w.pass(24 * time.Hour) // fails when it rings without end
				made := len(w.calls(test.kind)) - before
				if made < 48 || made > 1000 {
					t.Errorf("day %d: %d new calls, want a steady few an hour", day+1, made)
				}
			}
		})
		t.Run(test.name+", the service down for two days", func(t *testing.T) {
			t.Parallel()
			w := test.make(t)
			w.now = w.now.Add(48 * time.Hour)
			w.ring()
			posted := len(w.posted)
			w.pass(time.Hour)
			if made := len(w.posted) - posted; made > 60 {
				t.Errorf("%d messages in the hour after", made)
			}
			if next := w.kitchen().Next(); !next.Time().After(w.now) {
				t.Errorf("next moment %v, want one after %v", next.Time(), w.now)
			}
		})
	}
}

func TestAnEditOfACallKeepsTheMomentItIsAbout(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(2*time.Minute + 30*time.Second)
	due := w.in("A").VentAt.Time()
	w.pass(40 * time.Second)
	entries := w.outbox(bar1, "+15s A")
	for key, want := range map[string]time.Time{"1/vent.1": due, "1/vent.1.1": due.Add(30 * time.Second)} {
		if got := entries[key].Due; !got.Equal(want) {
			t.Errorf("%s is about %v, want %v", key, got, want)
		}
	}
}

func TestNoGasInAScrappedVesselCorrectsItsCall(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.choose(bar1, w.say(bar1, "scrap A"))
	b := w.in("A")
	entries := w.outbox(bar1, "no gas A")
	if e, ok := entries[kitchen.Key(b.ID, kitchen.VentCall, b.Turn, 0)]; !ok || !e.Edit {
		t.Errorf("the vent call still stands: %v", entries)
	}
}

func TestNothingIsCalledToBeStrainedBeforeItIsCharged(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start smoky tea rum 200ml in D")
	w.say(bar1, "charged D")
	w.say(bar1, "no gas D")
	w.pass(6 * time.Minute) // over its contact cap, had the charger been good
	if calls := w.calls(kitchen.ContactCall); len(calls) != 0 {
		t.Errorf("called %v in loading, where strained is refused", calls)
	}
	w.say(bar1, "charged D") // the liquid has been on the solids all the time
	w.pass(0)
	if calls := w.calls(kitchen.ContactCall); len(calls) != 1 {
		t.Errorf("contact calls %v, want one as soon as it is charged", calls)
	}
}

func TestAChargerIntoAnExpiredReservationIsCounted(t *testing.T) {
	t.Parallel()
	for name, say := range map[string]func(*world) kitchen.Answer{
		"typed": func(w *world) kitchen.Answer { return w.say(bar1, "charged A") },
		"tapped on the old slip": func(w *world) kitchen.Answer {
			return w.tap(bar1, kitchen.Tap{Line: "charged A", Batch: 1, Turn: 1, N: 1})
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.say(bar1, "start rhubarb gin 400ml in A")
			w.pass(10*time.Minute + time.Second)
			w.want(say(w), kitchen.Done)
			state, b := w.kitchen().Look("A")
			if state != kitchen.VesselPressurised || b.Gas() != 1 || b.Owner != bar1 || b.Title != "rhubarb gin" {
				t.Errorf("A is %s with %+v", state, b)
			}
			w.want(w.say(bar1, "charged A"), kitchen.Done)
			w.pass(3 * time.Minute)
			w.wantPhase("A", kitchen.Venting)
		})
	}
}

func TestAnExpiredReservationDoesNotTakeBackAVesselInUse(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.pass(10*time.Minute + time.Second)
	w.want(w.say(bar2, "start ginger gin 400ml in A"), kitchen.Done)
	w.wantCode(w.tap(bar1, kitchen.Tap{Line: "charged A", Batch: 1, Turn: 1, N: 1}), kitchen.Refuse, kitchen.RefuseOldButton)
	w.wantCode(w.say(bar1, "charged A"), kitchen.Ask, kitchen.AskTakeOver)
}

func TestEachRunHoldsOnlyWhatConcernsIt(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a := w.want(w.say(bar1, "start blackcurrant vinegar 300ml x2"), kitchen.Done)
	k := w.kitchen()
	for _, id := range a.Batches {
		b := k.Batches[id]
		for _, n := range b.Notes {
			if n.Vessel != "" && n.Vessel != b.Vessel {
				t.Errorf("the batch in %s notes %q about %s", b.Vessel, n.Code, n.Vessel)
			}
		}
		if strings.Contains(b.Line, "x2") || !strings.Contains(b.Line, "in "+b.Vessel) {
			t.Errorf("the batch in %s would be started again by %q", b.Vessel, b.Line)
		}
	}
	if !slices.ContainsFunc(k.Batches[a.Batches[0]].Notes, func(n plan.Note) bool { return n.Vessel == "" }) {
		t.Error("the notes about no vessel are gone")
	}
}

func TestTheVolumeCanBeToldAfterTheTap(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(3 * time.Minute)
	w.say(bar1, "vented A")
	w.pass(4 * time.Minute)
	w.want(w.tap(bar1, kitchen.Tap{Line: "strained A", Batch: 1, Turn: 1}), kitchen.Done)
	strained := w.in("A").Strained.Done
	w.pass(20 * time.Second)
	w.want(w.say(bar1, "strained A 345ml"), kitchen.Done)
	if b := w.in("A"); b.Yield.Millilitres() != 345 || b.Strained.Done != strained {
		t.Errorf("yield %v, strained %v; want 345 ml and the time of the tap", b.Yield, b.Strained.Done.Time())
	}
	w.want(w.say(bar1, "strained A 345ml"), kitchen.Already)
}

func TestAStopMessageIsCorrectedOnceItsGasCounts(t *testing.T) {
	t.Parallel()
	for name, answer := range map[string]func(*world) map[string]kitchen.Entry{
		"somebody says so": func(w *world) map[string]kitchen.Entry { return w.outbox(larder, "gas in A") },
		"nobody answers": func(w *world) map[string]kitchen.Entry {
			w.now = w.now.Add(25 * time.Second)
			ch := w.kitchen().Ring(w.now)
			w.apply(ch)
			return byKey(ch)
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			w := charged(t)
			w.say(larder, "charged A")
			if e, ok := answer(w)[kitchen.Key(1, kitchen.StopCall, 0, 1)]; !ok || !e.Edit {
				t.Error("the stop message still asks whether gas went in")
			}
		})
	}
}

func TestAStandingVentCallHearsOfAChargerTooMany(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(2*time.Minute + 35*time.Second)
	w.wantPhase("A", kitchen.Venting)
	if e, ok := w.outbox(larder, "charged A")["1/vent.1"]; !ok || !e.Edit {
		t.Error("the vent call still says full lever")
	}
}

func TestTheLabelIsAskedForOnOneMessage(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name, line string
		ring       bool
		want       kitchen.EntryKind
	}{
		{"drawn off at the call", "cleared B", true, kitchen.ClearCall},
		{"drawn off before it, told after it", "cleared B 5 min ago", true, kitchen.ClearCall},
		{"told before it rang, the service being late", "cleared B", false, kitchen.ClearCall},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.say(bar2, "start toasted barley whisky 400ml in B")
			w.say(bar2, "charged B")
			w.say(bar2, "charged B")
			w.pass(3 * time.Minute)
			w.say(bar2, "vented B")
			w.pass(3 * time.Minute)
			w.say(bar2, "strained B 330ml")
			w.now = w.in("B").ClearAt().Time().Add(time.Minute)
			if test.ring {
				w.ring()
			}
			b := w.in("B")
			entries := w.outbox(bar2, test.line)
			if _, ok := entries[kitchen.Key(b.ID, test.want, b.Turn, 0)]; !ok {
				t.Errorf("no %s message carries the request for the label: %v", test.want, entries)
			}
			if got := w.in("B").LabelOnClear(); got != (test.want == kitchen.ClearCall) {
				t.Errorf("the label is asked for on the clear call: %v", got)
			}
		})
	}
}

func TestAYesIsAskedAgainWhenGasWentInSince(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.pass(40 * time.Second)
	yes := w.wantCode(w.say(larder, "strained A"), kitchen.Ask, kitchen.AskEmptied).Choices[0].Tap
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	w.pass(10 * time.Second)
	w.wantCode(w.tap(larder, yes), kitchen.Ask, kitchen.AskEmptied)
	if w.in("A").Gas() != 2 {
		t.Error("a yes about one charger emptied a vessel of two")
	}
}

func TestAVesselIsHeldAsLongAsItSays(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.pass(8 * time.Minute)
	w.want(w.say(bar2, "take A"), kitchen.Done)
	held := w.in("A").HeldUntil()
	if want := kitchen.At(w.now.Add(10 * time.Minute)); held != want {
		t.Errorf("held until %v, want %v", held.Time(), want.Time())
	}
	w.pass(held.Time().Sub(w.now) - time.Second)
	w.wantPhase("A", kitchen.Loading)
	w.pass(time.Second)
	w.wantPhase("A", kitchen.Scrapped)
}

func TestTheContactOfAForgottenCountStartsBeforeItsVent(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.pass(8 * time.Minute)
	w.choose(bar1, w.say(bar1, "vented A"))
	b := w.in("A")
	// two swirls of 30 s and a rest of 2 min went before the vent at least
	if want := b.Emptied.Done.Add(-3 * time.Minute); b.ContactFrom != want {
		t.Errorf("contact from %v, want %v", b.ContactFrom.Time(), want.Time())
	}
}

func TestSetDownKeepsTheRestInsideItsLimits(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start pepper tequila 500ml in A"), kitchen.Done)
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	w.pass(20 * time.Second)
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	b := w.in("A")
	w.pass(b.VentAt.Time().Sub(w.now) - 5*time.Second)
	w.want(w.say(bar1, "set down A"), kitchen.Done)
	if rest := w.in("A").VentAt.Sub(b.RestFrom); rest > b.Rest.Max {
		t.Errorf("it rests %v from the end of the swirl, the recipe takes %v at most", rest, b.Rest.Max)
	}
}
