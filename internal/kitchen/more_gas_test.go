package kitchen_test

import (
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

func TestChargersPutInByMistakeAreCountedAndVentedAtOnce(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.want(w.say(bar2, "I put two more in A by mistake"), kitchen.Done)
	if b := w.wantPhase("A", kitchen.Venting); b.Gas() != 4 || b.Owner != bar1 {
		t.Errorf("gas %d, owner %s", b.Gas(), b.Owner.Name)
	}
	if len(w.calls(kitchen.VentCall)) != 1 {
		t.Errorf("vent calls %v", w.calls(kitchen.VentCall))
	}
	a := w.say(bar1, "used 3 not 2 on A")
	w.wantCode(a, kitchen.Refuse, kitchen.RefuseCounted)
	if w.in("A").Gas() != 4 {
		t.Errorf("the count fell to %d", w.in("A").Gas())
	}
	w.want(w.say(bar1, "put 5 chargers in all in A"), kitchen.Done)
	if w.in("A").Gas() != 5 {
		t.Errorf("in all 5 counts %d", w.in("A").Gas())
	}
	w.wantCode(w.say(bar1, "undo A"), kitchen.Refuse, kitchen.RefuseUndoGas)
}

func TestAnUnknownNumberOfChargersIsAskedAndCountsAsOneMeanwhile(t *testing.T) {
	t.Parallel()
	w := charged(t)
	a := w.wantCode(w.say(bar1, "overcharged A"), kitchen.Ask, kitchen.AskHowMany)
	if len(a.Choices) != 3 || w.in("A").Gas() != 3 {
		t.Fatalf("%d buttons, gas %d", len(a.Choices), w.in("A").Gas())
	}
	w.pass(21 * time.Second) // nobody says
	if b := w.wantPhase("A", kitchen.Venting); b.Gas() != 3 {
		t.Errorf("gas %d", b.Gas())
	}
	w.want(w.tap(bar1, a.Choices[1].Tap), kitchen.Done)
	if b := w.in("A"); b.Gas() != 4 {
		t.Errorf("two more make %d", b.Gas())
	}
	w.wantCode(w.tap(bar2, a.Choices[0].Tap), kitchen.Refuse, kitchen.RefuseCounted)
}

func TestForgottenTapsOfThePlanAreCountedAndMoreIsAsked(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	a := w.want(w.say(bar1, "put 2 chargers in A by mistake"), kitchen.Done)
	if b := w.wantPhase("A", kitchen.Charging); b.Gas() != 2 || !b.Full() {
		t.Fatalf("gas %d", b.Gas())
	}
	w.want(w.choose(bar1, a), kitchen.Done) // 4 in all
	if b := w.wantPhase("A", kitchen.Venting); b.Gas() != 4 {
		t.Errorf("gas %d", b.Gas())
	}
}

func TestGasToldOfAnEmptiedVesselIsAskedAndThenCalled(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(3 * time.Minute)
	w.say(bar1, "vented A")
	w.pass(time.Second)
	a := w.wantCode(w.say(bar1, "I put 2 more in A by mistake"), kitchen.Ask, kitchen.AskGasAgain)
	w.want(w.choose(bar1, a), kitchen.Done)
	if b := w.wantPhase("A", kitchen.Venting); b.Gas() != 2 {
		t.Errorf("gas %d", b.Gas())
	}
}

func TestARestIsSetInsideItsLimits(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(40 * time.Second)
	from := w.in("A").RestFrom
	w.want(w.say(bar1, "rest 4 min"), kitchen.Done)
	if b := w.in("A"); b.VentAt != from.Add(4*time.Minute) {
		t.Errorf("vent %v after the swirl", b.VentAt.Sub(from))
	}
	a := w.want(w.say(bar1, "rest 1 min"), kitchen.Done)
	if b := w.in("A"); b.VentAt != from.Add(time.Minute) || a.Short != (time.Minute < b.Rest.Min) {
		t.Errorf("vent %v after the swirl, short %v", b.VentAt.Sub(from), a.Short)
	}
	w.wantCode(w.say(bar1, "rest 30 min"), kitchen.Refuse, kitchen.RefuseTooLong)
	w.wantCode(w.say(bar1, "+30 min on the gin"), kitchen.Refuse, kitchen.RefuseTooLong)
	w.pass(10 * time.Second)
	w.want(w.say(bar1, "rest 4 min"), kitchen.Done)
	w.pass(90 * time.Second)
	w.want(w.say(bar1, "rest 1 min"), kitchen.Done) // over by now: at once, never before
	if b := w.in("A"); b.VentAt != kitchen.At(w.now) {
		t.Errorf("vent at %v, now %v", b.VentAt.Time(), w.now)
	}
	w.pass(time.Second)
	w.wantPhase("A", kitchen.Venting)
	w.wantCode(w.say(bar1, "rest 4 min A"), kitchen.Refuse, kitchen.RefuseCalled)
}

func TestARestSetBeforeTheChargersCountsFromTheLastSwirl(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.want(w.say(bar1, "rest 3 min A"), kitchen.Done)
	w.say(bar1, "charged A")
	w.say(bar1, "charged A")
	if b := w.in("A"); b.VentAt != b.RestFrom.Add(3*time.Minute) {
		t.Errorf("vent %v after the swirl", b.VentAt.Sub(b.RestFrom))
	}
}

func TestNothingIsPaused(t *testing.T) {
	t.Parallel()
	w := charged(t)
	vent := w.in("A").VentAt
	a := w.wantCode(w.say(bar1, "pause"), kitchen.Refuse, kitchen.RefusePause)
	if w.in("A").VentAt != vent || len(a.Choices) != 1 {
		t.Fatalf("vent moved, or no way out: %+v", a)
	}
	if got := w.choose(bar1, a); got.Kind != kitchen.Done || got.Verb != request.Offer {
		t.Errorf("handing over gives %+v", got)
	}
}
