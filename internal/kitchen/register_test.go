package kitchen_test

import (
	"slices"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// look gives what the register tells of one vessel.
func (w *world) look(tag string) kitchen.RegisterLine {
	w.t.Helper()
	a := w.want(w.say(bar2, "vessel "+tag), kitchen.Registered)
	if a.Register == nil || len(a.Register.Vessels) != 1 || !a.Register.Whole {
		w.t.Fatalf("the page of %s is %+v", tag, a.Register)
	}
	return a.Register.Vessels[0]
}

func TestTheRegisterShowsEveryVessel(t *testing.T) {
	t.Parallel()
	w := charged(t)
	a := w.want(w.say(bar2, "vessels"), kitchen.Registered)
	var states []kitchen.VesselState
	for _, r := range a.Register.Vessels {
		states = append(states, r.State)
	}
	want := []kitchen.VesselState{kitchen.VesselPressurised, kitchen.VesselFree, kitchen.VesselFree, kitchen.VesselFree}
	if !slices.Equal(states, want) {
		t.Errorf("states are %v, want %v", states, want)
	}
	r := w.look("A")
	if r.Batch != w.in("A").ID || r.Vessel.Head != "steel" || r.Vessel.CheckEvery != 7 {
		t.Errorf("the page of A is %+v", r)
	}
	if m := w.in("A").GasSince(); m.By != bar1 || m.Done != kitchen.At(six) {
		t.Errorf("A is under pressure since %v, by %v", m.Done.Time(), m.By)
	}
	if before := w.kitchen(); len(before.Vessels) > 1 || before.Vessels["A"].Since == 0 {
		t.Errorf("only the use of A is noted: %+v", before.Vessels)
	}
}

func TestAWithdrawnVesselIsNeverPlanned(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a := w.want(w.say(bar1, "withdraw A: gasket torn"), kitchen.Done)
	if a.Line != "gasket torn" {
		t.Errorf("the reason is %q", a.Line)
	}
	if a := w.wantCode(w.say(bar2, "start rhubarb gin 400ml in A"), kitchen.Refuse, kitchen.RefuseWithdrawn); a.Who != bar1 || a.Line != "gasket torn" || a.At != kitchen.At(six) {
		t.Errorf("the refusal is %+v", a)
	}
	if a := w.want(w.say(bar2, "start rhubarb gin 400ml"), kitchen.Done); a.Vessel == "A" {
		t.Error("a withdrawn vessel was planned")
	}
	w.want(w.say(bar2, "withdraw A"), kitchen.Already)
	w.want(w.say(bar2, "withdraw A: thread bent too"), kitchen.Done)
	if r := w.look("A").Record.Withdrawn; r == nil || r.Why != "thread bent too" || r.By != bar2 {
		t.Errorf("the register holds %+v", r)
	}
	w.wantCode(w.say(bar1, "return A: new gasket"), kitchen.Refuse, kitchen.RefuseManager)
	w.want(w.say(lead, "return A: new gasket"), kitchen.Done)
	w.wantCode(w.say(lead, "return A"), kitchen.Refuse, kitchen.RefuseNotWithdrawn)
	w.want(w.say(bar2, "start rhubarb gin 400ml in A"), kitchen.Done)
}

func TestAVesselUnderGasKeepsItsCallsWhenWithdrawn(t *testing.T) {
	t.Parallel()
	w := charged(t)
	next := w.kitchen().Next()
	w.want(w.say(bar2, "withdraw A: gasket torn"), kitchen.Done)
	if got := w.kitchen().Next(); got != next {
		t.Errorf("the next moment is %v, want %v", got.Time(), next.Time())
	}
	if state, _ := w.kitchen().Look("A"); state != kitchen.VesselPressurised {
		t.Errorf("A is %s", state)
	}
	w.pass(5 * time.Minute)
	if len(w.calls(kitchen.VentCall)) == 0 {
		t.Error("no vent was called")
	}
	w.want(w.say(bar2, "vented A"), kitchen.Done)
	w.pass(5 * time.Minute)
	w.want(w.say(bar2, "strained A"), kitchen.Done)
	w.want(w.say(bar2, "washed A"), kitchen.Done)
	if state, _ := w.kitchen().Look("A"); state != kitchen.VesselWithdrawn {
		t.Errorf("A is %s, want withdrawn", state)
	}
}

func TestAChargerInAWithdrawnVesselIsStoppedAndCounted(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	w.want(w.say(bar2, "withdraw A: thread bent"), kitchen.Done)
	w.want(w.say(bar1, "charged A"), kitchen.Stop)
	if b := w.in("A"); b.Gas() != 1 {
		t.Fatalf("%d chargers of gas count", b.Gas())
	}
	w.pass(time.Minute)
	w.wantPhase("A", kitchen.Venting)
}

func TestChecksFallDueThenShutTheVessel(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "checked A"), kitchen.Done)
	if r := w.look("A").Record.Checked; r == nil || r.By != bar1 {
		t.Fatalf("the check is %+v", r)
	}
	w.now = six.AddDate(0, 0, 6)
	if a := w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done); a.Register != nil {
		t.Errorf("a warning before its time: %+v", a.Register)
	}
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	w.now = six.AddDate(0, 0, 7)
	w.ring()
	a := w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	if a.Register == nil || a.Register.Vessels[0].Vessel.Tag != "A" {
		t.Errorf("no warning: %+v", a.Register)
	}
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	w.now = six.AddDate(0, 0, 14)
	w.ring()
	w.wantCode(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Refuse, kitchen.RefuseUnchecked)
	if a := w.want(w.say(bar1, "start rhubarb gin 400ml"), kitchen.Done); a.Vessel == "A" {
		t.Error("a vessel that was not looked at was planned")
	}
	w.want(w.say(larder, "checked A"), kitchen.Done)
	w.want(w.say(bar2, "start rhubarb gin 400ml in A"), kitchen.Done)
}

func TestAVesselUnderPressureCannotBeChecked(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.wantCode(w.say(bar2, "checked A"), kitchen.Refuse, kitchen.RefusePressured)
}

func TestAVesselThatWasNeverCheckedCountsFromItsFirstUse(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	w.now = six.AddDate(0, 0, 14).Add(-time.Minute)
	w.ring()
	if a := w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done); a.Register == nil {
		t.Error("no warning")
	}
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	w.now = six.AddDate(0, 0, 14)
	w.ring()
	w.wantCode(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Refuse, kitchen.RefuseUnchecked)
	w.want(w.say(bar1, "start rhubarb gin 400ml in B"), kitchen.Done) // never used
}

func TestAPlasticHeadIsNeverCharged(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	b := *sample()
	b.Vessels = slices.Clone(b.Vessels)
	b.Vessels[0].Head = book.PlasticHead
	w.base = &b
	w.wantCode(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Refuse, kitchen.RefusePlastic)
	if a := w.want(w.say(bar1, "start rhubarb gin 400ml"), kitchen.Done); a.Vessel == "A" {
		t.Error("a vessel with a plastic head was planned")
	}
	if found := book.Check(&b); !slices.ContainsFunc(found, func(f book.Finding) bool { return f.Code == book.HeadOfPlastic && f.What == "A" }) {
		t.Error("the check of the book does not say so")
	}
}

func TestAskingForTheBrimChangesNothing(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a := w.want(w.say(bar1, "how do I measure the brim of C?"), kitchen.Told)
	if a.Topic != request.HowBrim || a.Vessel != "C" || len(w.log) > 0 {
		t.Errorf("the answer is %+v, the log %v", a, w.log)
	}
}

// hazelnut makes hazelnut brandy in A and leaves it dirty.
func hazelnut(t testing.TB) *world {
	w := newWorld(t)
	w.want(w.say(bar1, "start hazelnut brandy 300ml in A"), kitchen.Done)
	for range w.in("A").Chargers {
		w.want(w.say(bar1, "charged A"), kitchen.Done)
		w.pass(40 * time.Second)
	}
	w.pass(3 * time.Minute)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.pass(3 * time.Minute)
	w.want(w.say(bar1, "strained A 250ml"), kitchen.Done)
	return w
}

func TestAnAllergenStaysInAVesselUntilItsDeepWash(t *testing.T) {
	t.Parallel()
	w := hazelnut(t)
	a := w.wantCode(w.say(bar1, "washed A"), kitchen.Ask, kitchen.AskDeep)
	if !slices.Contains(a.Allergens, "nuts") || a.Title != "hazelnut brandy" || len(a.Choices) != 2 {
		t.Fatalf("the question is %+v", a)
	}
	if a := w.want(w.tap(bar1, a.Choices[1].Tap), kitchen.Done); !slices.Contains(a.Allergens, "nuts") {
		t.Errorf("a plain wash took the allergen: %+v", a)
	}
	if state, _ := w.kitchen().Look("A"); state != kitchen.VesselFree {
		t.Errorf("A is %s", state)
	}
	ask := w.wantCode(w.say(bar2, "start rhubarb gin 400ml in A"), kitchen.Ask, kitchen.AskTraces)
	if len(ask.Choices) != 2 || ask.Who != bar1 || !ask.Washed {
		t.Fatalf("the question is %+v", ask)
	}
	if a := w.want(w.say(bar2, "start rhubarb gin 400ml"), kitchen.Done); a.Vessel == "A" {
		t.Error("a vessel with traces was taken although others are clean")
	}
	w.want(w.say(bar2, "undo B"), kitchen.Done)
	other := w.want(w.tap(larder, ask.Choices[1].Tap), kitchen.Done)
	if other.Vessel == "A" {
		t.Error("the other vessel is the same")
	}
	w.want(w.choose(larder, ask), kitchen.Done)
	if r := w.kitchen().Vessels["A"]; len(r.Traces) > 0 {
		t.Errorf("the deep wash left %v", r.Traces)
	}
	if !slices.ContainsFunc(w.log, func(l kitchen.Line) bool { return l.Event == "deep washed" && l.By == larder }) {
		t.Error("the deep wash is not in the log")
	}
}

func TestTheSameAllergenAgainNeedsNoDeepWash(t *testing.T) {
	t.Parallel()
	w := hazelnut(t)
	w.want(w.tap(bar1, w.say(bar1, "washed A").Choices[1].Tap), kitchen.Done)
	w.want(w.say(bar1, "start hazelnut brandy 300ml in A"), kitchen.Done)
}

func TestADeepWashInOneWordFreesTheVessel(t *testing.T) {
	t.Parallel()
	w := hazelnut(t)
	w.want(w.say(bar1, "deep washed A"), kitchen.Done)
	w.want(w.say(bar1, "deep washed A"), kitchen.Already)
	w.want(w.say(bar2, "start rhubarb gin 400ml in A"), kitchen.Done)
}

const fixtureRegister = "testdata/kitchen.v1.register.json"

// What was stored of vessels themselves is read for ever.
func TestTheStoredFormOfTheRegisterIsRead(t *testing.T) {
	t.Parallel()
	if *fixtures {
		w := hazelnut(t)
		w.say(bar1, "withdraw A: gasket torn")
		w.say(bar2, "checked B")
		w.say(bar1, "start rhubarb gin 300ml in B")
		w.say(bar1, "charged B")
		w.say(bar1, "blocked B")
		w.step(bar2, "B", kitchen.TapCold)
		w.say(bar2, "vented B")
		w.choose(lead, w.say(lead, "fenced B"))
		writeFixture(t, fixtureRegister, w.fields)
	}
	k, err := kitchen.Decode("main", readFixture(t, fixtureRegister))
	if err != nil {
		t.Fatal(err)
	}
	a, b := k.Vessels["A"], k.Vessels["B"]
	if a.Withdrawn == nil || a.Withdrawn.Why != "gasket torn" || !slices.Contains(a.Traces, "nuts") || a.Left != "hazelnut brandy" || a.Dirty == 0 {
		t.Errorf("A reads as %+v", a)
	}
	x := b.Blocked
	if b.Checked == nil || x == nil || x.Since.By != bar1 || x.Cold == nil || x.Claimed == nil || x.Fenced == nil || x.Fenced.By != lead || x.CallAt == 0 {
		t.Errorf("B reads as %+v", b)
	}
	if y := k.Batches[2].Blocked; y == nil || y.N != x.N {
		t.Errorf("its batch reads as %+v", k.Batches[2])
	}
}
