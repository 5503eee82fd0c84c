package kitchen_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
)

// blockedA is a kitchen whose vent of A was called, and A does not vent.
func blockedA(t testing.TB) *world {
	w := charged(t)
	w.pass(3 * time.Minute)
	w.wantPhase("A", kitchen.Venting)
	w.want(w.say(bar2, "A is blocked"), kitchen.Safety)
	return w
}

// block gives what is known of a vessel that does not vent.
func (w *world) block(tag string) *kitchen.Block {
	w.t.Helper()
	x := w.kitchen().Vessels[tag].Blocked
	if x == nil {
		w.t.Fatalf("%s is not blocked", tag)
	}
	return x
}

// step taps a step of the procedure.
func (w *world) step(p kitchen.Person, tag, with string) kitchen.Answer {
	w.t.Helper()
	return w.want(w.tap(p, kitchen.Tap{Line: "blocked " + tag, With: with}), kitchen.Safety)
}

func TestABlockedVesselIsTriedColdAndThenFencedOff(t *testing.T) {
	t.Parallel()
	w := blockedA(t)
	if state, b := w.kitchen().Look("A"); state != kitchen.VesselBlocked || b == nil || b.Gas() != 2 || b.Blocked == nil {
		t.Fatalf("A is %s, %+v", state, b)
	}
	x := w.block("A")
	if x.Since.By != bar2 || x.Batch != w.in("A").ID {
		t.Errorf("the block is %+v", x)
	}
	w.step(bar1, "A", kitchen.TapCold)
	if got := w.kitchen().Next(); got != kitchen.At(w.now.Add(kitchen.ColdFor)) {
		t.Errorf("it is tried again at %v", got.Time())
	}
	calls := len(w.calls(kitchen.VentCall))
	w.pass(kitchen.ColdFor)
	if len(w.calls(kitchen.VentCall)) == calls {
		t.Error("the next try was not called")
	}
	w.want(w.say(bar1, "blocked A"), kitchen.Safety) // said again after the wait: tried in vain
	if x := w.block("A"); x.Tries != 1 || x.Cold != nil {
		t.Errorf("after a try in vain the block is %+v", x)
	}
	w.wantCode(w.say(bar1, "fenced A"), kitchen.Refuse, kitchen.RefuseManager)
	ask := w.wantCode(w.say(lead, "fenced A"), kitchen.Ask, kitchen.AskFenced)
	w.want(w.choose(lead, ask), kitchen.Done)
	w.want(w.say(lead, "fenced A"), kitchen.Already)
	if list := w.kitchen().Blockages(); len(list) != 1 || list[0].Fenced == nil || list[0].Vessel != "A" {
		t.Errorf("the blockages are %+v", list)
	}
	calls = len(w.calls(kitchen.VentCall)) + len(w.calls(kitchen.ContactCall))
	w.pass(14 * time.Hour)
	if n := len(w.calls(kitchen.VentCall)) + len(w.calls(kitchen.ContactCall)) - calls; n > 1 {
		t.Errorf("%d calls through the night, want at most the contact's that stood", n)
	}
	w.pass(2 * time.Hour) // over nine in the morning
	if n := len(w.calls(kitchen.VentCall)) + len(w.calls(kitchen.ContactCall)) - calls; n == 0 {
		t.Error("nothing was called in the morning")
	}
	if b := w.in("A"); b.Gas() != 2 {
		t.Errorf("%d chargers of gas are left", b.Gas())
	}
}

func TestOnlyAManagerClearsABlockedVessel(t *testing.T) {
	t.Parallel()
	w := blockedA(t)
	for _, line := range []string{"vented A", "strained A 300ml", "labelled A", "freed A"} {
		a := w.say(bar1, line)
		w.wantCode(a, kitchen.Refuse, kitchen.RefuseClaim)
		if b := w.in("A"); b.Gas() != 2 {
			t.Fatalf("%q took the gas away", line)
		}
	}
	if n := len(w.calls(kitchen.BlockCall)); n != 1 {
		t.Errorf("the manager was called %d times", n)
	}
	if x := w.block("A"); x.Claimed == nil || x.Claimed.By != bar1 {
		t.Errorf("the block is %+v", x)
	}
	ask := w.wantCode(w.say(lead, "vented A"), kitchen.Ask, kitchen.AskFreed)
	w.want(w.tap(lead, ask.Choices[1].Tap), kitchen.Safety) // no
	if b := w.in("A"); b.Gas() != 2 {
		t.Fatal("a no took the gas away")
	}
	w.wantCode(w.tap(bar1, ask.Choices[0].Tap), kitchen.Refuse, kitchen.RefuseClaim)
	w.want(w.choose(lead, ask), kitchen.Done)
	b := w.wantPhase("A", kitchen.Settling)
	if b.Gas() != 0 || b.Blocked != nil || b.Emptied == nil || b.Emptied.By != lead {
		t.Errorf("after it was freed the batch is %+v", b.Moving)
	}
	w.wantCode(w.say(lead, "undo A"), kitchen.Refuse, kitchen.RefuseUndoGas)
	w.wantCode(w.choose(lead, ask), kitchen.Refuse, kitchen.RefuseNotBlocked)
}

func TestAnOldConfirmationClearsNoLaterBlock(t *testing.T) {
	t.Parallel()
	w := blockedA(t)
	ask := w.say(lead, "freed A")
	w.want(w.choose(lead, ask), kitchen.Done)
	w.want(w.say(bar1, "A is blocked"), kitchen.Safety)
	w.wantCode(w.choose(lead, ask), kitchen.Ask, kitchen.AskFreed)
	w.block("A")
}

func TestABlockedVesselWithoutABatchIsCalledAndNeverFree(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "blocked C"), kitchen.Safety)
	if state, b := w.kitchen().Look("C"); state != kitchen.VesselBlocked || b != nil {
		t.Fatalf("C is %s", state)
	}
	w.wantCode(w.say(bar1, "start rhubarb gin 900ml in C"), kitchen.Refuse, kitchen.RefuseBlocked)
	w.wantCode(w.say(bar1, "washed C"), kitchen.Refuse, kitchen.RefuseBlocked)
	w.wantCode(w.say(bar1, "checked C"), kitchen.Refuse, kitchen.RefuseBlocked)
	w.pass(time.Hour)
	if n := len(w.calls(kitchen.BlockCall)); n < 4 {
		t.Errorf("%d calls in an hour", n)
	}
	w.want(w.choose(lead, w.say(lead, "fenced C")), kitchen.Done)
	before := len(w.calls(kitchen.BlockCall))
	w.pass(12 * time.Hour)
	if n := len(w.calls(kitchen.BlockCall)) - before; n != 0 {
		t.Errorf("%d calls through the night", n)
	}
	w.pass(48 * time.Hour)
	if n := len(w.calls(kitchen.BlockCall)) - before; n != 2 {
		t.Errorf("%d calls on two mornings", n)
	}
	w.want(w.choose(lead, w.say(lead, "freed C")), kitchen.Done)
	if state, _ := w.kitchen().Look("C"); state != kitchen.VesselFree {
		t.Errorf("C is %s", state)
	}
}

func TestCallsForABlockedVesselNeverEnd(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "blocked C"), kitchen.Safety)
	w.pass(3 * 24 * time.Hour)
	before := len(w.calls(kitchen.BlockCall))
	w.pass(time.Hour)
	if n := len(w.calls(kitchen.BlockCall)) - before; n == 0 {
		t.Error("after three days nothing is called any more")
	}
}

func TestAChargerInABlockedVesselIsStopped(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	w.want(w.say(bar2, "blocked A"), kitchen.Safety)
	w.wantPhase("A", kitchen.Venting)
	w.want(w.say(bar1, "charged A"), kitchen.Stop)
	if b := w.in("A"); b.Gas() != 2 {
		t.Errorf("%d chargers of gas count", b.Gas())
	}
}

// Whatever is said and tapped, a blocked vessel is never free, never planned and
// never silent, it is cleared by nobody but a manager, and no word about a vessel
// itself takes gas away.
func TestABlockedVesselStaysBlockedUntilAManagerHeardIt(t *testing.T) {
	t.Parallel()
	lines := []string{
		"start rhubarb gin 200ml in", "start hazelnut brandy 200ml in", "start rhubarb gin 300ml", "charged", "charged", "vented", "strained 200ml", "labelled",
		"washed", "deep washed", "blocked", "blocked", "freed", "fenced", "checked", "withdraw", "return", "no gas", "gas in", "scrap", "undo", "take",
		"leaking", "+15 s", "rest 60s", "done", "vessel",
	}
	own := []string{"blocked", "fenced", "checked", "withdraw", "return", "washed", "deep washed", "vessel"}
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(quiet{t, rt})
		var choices []kitchen.Choice
		gas := func(tag string) int {
			n := 0
			for _, b := range w.kitchen().Batches {
				if b.Vessel == tag {
					n += b.Gas()
				}
			}
			return n
		}
		look := func(what string, by kitchen.Person, before *kitchen.Kitchen) {
			k := w.kitchen()
			for _, x := range before.Blockages() {
				if k.Vessels[x.Vessel].Blocked == nil && by != lead {
					rt.Fatalf("%q of %s cleared %s", what, by.Name, x.Vessel)
				}
			}
			for _, x := range k.Blockages() {
				if state, _ := k.Look(x.Vessel); state != kitchen.VesselBlocked {
					rt.Fatalf("after %q blocked %s is %s", what, x.Vessel, state)
				}
				if k.Next() == 0 {
					rt.Fatalf("after %q blocked %s has no due moment", what, x.Vessel)
				}
				for id, b := range k.Batches {
					if b.Vessel == x.Vessel && before.Batches[id] == nil && before.Vessels[x.Vessel].Blocked != nil {
						rt.Fatalf("%q started a batch in blocked %s", what, x.Vessel)
					}
				}
			}
			for id, b := range k.Batches {
				if before.Batches[id] == nil && before.Vessels[b.Vessel].Withdrawn != nil && b.Gas() == 0 {
					rt.Fatalf("%q planned withdrawn %s", what, b.Vessel)
				}
			}
		}
		for range rapid.IntRange(5, 40).Draw(rt, "steps") {
			before := w.kitchen()
			by := rapid.SampledFrom([]kitchen.Person{bar1, bar2, lead}).Draw(rt, "by")
			switch n := rapid.IntRange(0, 9).Draw(rt, "what"); {
			case n == 0:
				w.pass(time.Duration(rapid.IntRange(0, 3000).Draw(rt, "seconds")) * time.Second)
				look("time", bar1, before)
			case n <= 2 && len(choices) > 0:
				tap := rapid.SampledFrom(choices).Draw(rt, "choice").Tap
				w.tap(by, tap)
				look(tap.Line+" "+tap.With, by, before)
			case n == 3:
				tag := rapid.SampledFrom([]string{"A", "B"}).Draw(rt, "tag")
				with := rapid.SampledFrom([]string{kitchen.TapCold, kitchen.TapStill}).Draw(rt, "with")
				w.tap(by, kitchen.Tap{Line: "blocked " + tag, With: with})
				look(with, by, before)
			default:
				line := rapid.SampledFrom(lines).Draw(rt, "line")
				tag := rapid.SampledFrom([]string{"A", "B", "A"}).Draw(rt, "tag")
				had := gas(tag)
				if a := w.say(by, line+" "+tag); a.Choices != nil {
					choices = a.Choices
				}
				if slices.Contains(own, line) && gas(tag) < had {
					rt.Fatalf("%q took gas out of %s", line, tag)
				}
				look(line+" "+tag, by, before)
			}
		}
	})
}
