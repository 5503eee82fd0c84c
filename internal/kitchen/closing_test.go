package kitchen_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// list gives the closing list as it stands now.
func (w *world) list() kitchen.ClosingPage {
	w.t.Helper()
	return w.kitchen().ClosingList(w.now)
}

// codes gives what is open on a list, by code and vessel.
func codes(p kitchen.ClosingPage) []string {
	var list []string
	for _, x := range p.Items {
		list = append(list, strings.TrimRight(string(x.Code)+" "+x.Vessel, " "))
	}
	return list
}

func (w *world) wantItems(want ...string) {
	w.t.Helper()
	if got := codes(w.list()); !slices.Equal(got, want) {
		w.t.Fatalf("the list holds %q, want %q", got, want)
	}
}

// counts enters all that is counted at close.
func (w *world) counts() {
	w.t.Helper()
	w.want(w.say(bar1, "counted 20 full chargers"), kitchen.Done)
	w.want(w.say(bar1, "counted 2 shells"), kitchen.Done)
	w.want(w.say(bar1, "fridge 4C"), kitchen.Done)
}

// finished is a kitchen whose one batch is labelled and whose vessel is washed.
func finished(t testing.TB) *world {
	w := charged(t)
	w.pass(5 * time.Minute)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.pass(4 * time.Minute)
	w.want(w.say(bar1, "strained A 345ml"), kitchen.Done)
	w.want(w.say(bar1, "labelled A"), kitchen.Done)
	w.want(w.say(bar1, "washed A"), kitchen.Done)
	return w
}

// The list goes from what is under pressure to what is only to be entered, and each
// thing leaves it when it is done.
func TestTheListHoldsWhatIsOpenAndIsEditedInPlace(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.want(w.say(bar2, "closing"), kitchen.Done)
	w.wantItems("gas A", "chargers", "shells", "fridge")
	key := w.calls(kitchen.ClosingSlip)
	if len(key) != 1 || w.lanes["C1"] == 0 {
		t.Fatalf("posted as %q", key)
	}
	edits := w.sent[key[0]]
	w.pass(5 * time.Minute)
	w.say(bar1, "vented A")
	w.wantItems("unstrained A", "chargers", "shells", "fridge")
	w.pass(4 * time.Minute)
	w.say(bar1, "strained A 345ml")
	w.wantItems("unlabelled A", "dirty A", "chargers", "shells", "fridge")
	w.say(bar1, "labelled A")
	w.say(bar1, "washed A")
	w.counts()
	w.wantItems()
	if w.sent[key[0]] < edits+7 || len(w.calls(kitchen.ClosingSlip)) != 1 {
		t.Errorf("the list was edited %d times and posted as %q", w.sent[key[0]]-edits, w.calls(kitchen.ClosingSlip))
	}
	a := w.say(bar2, "closing")
	if w.want(a, kitchen.Done); len(w.calls(kitchen.ClosingSlip)) != 1 {
		t.Error("asked for again soon, the list is posted anew")
	}
}

// Each reading, count and jar of this business day counts for its list.
func TestAWarmFridgeStaysOnTheList(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.counts()
	a := w.say(bar1, "fridge 9C")
	w.wantItems("fridge")
	// FDA Food Code 3-501.16: cold at 5 °C (41 °F) or below.
	if a.Closing.Most != 5*quantity.Celsius || a.Closing.Fridge.Temp != 9*quantity.Celsius {
		t.Errorf("the answer holds %+v", a.Closing)
	}
	w.say(bar1, "fridge 4C")
	w.wantItems()
	w.pass(24 * time.Hour)
	w.wantItems("chargers", "shells", "fridge")
}

// While gas is in nothing is signed, whoever asks and whatever reason they give.
func TestNothingIsSignedUnderPressure(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.say(lead, "closing")
	for _, line := range []string{"sign", "sign because we are late"} {
		a := w.wantCode(w.say(lead, line), kitchen.Refuse, kitchen.RefuseSignGas)
		if len(a.Closing.Items) != 1 || a.Closing.Items[0].Vessel != "A" {
			t.Errorf("%q is refused for %+v", line, a.Closing.Items)
		}
	}
	w.pass(5 * time.Minute)
	w.say(bar1, "vented A")
	w.say(bar1, "cream D 1 charger")
	w.wantCode(w.say(lead, "sign because we are late"), kitchen.Refuse, kitchen.RefuseSignGas)
}

// What is left takes a reason, which goes to the managers; the day is frozen and
// summed up.
func TestWhatIsLeftTakesAReason(t *testing.T) {
	t.Parallel()
	w := finished(t)
	w.say(bar1, "closing")
	a := w.want(w.say(bar1, "sign"), kitchen.OpenForm)
	if a.Form != kitchen.FormSign || len(a.Closing.Items) != 3 {
		t.Fatalf("the form is %+v", a)
	}
	if bad := w.fill(bar1, kitchen.FormSign, a.Line, map[string]string{"reason": "  "}); bad.Field != "reason" {
		t.Errorf("an empty reason answers %+v", bad)
	}
	w.say(bar2, "fridge 4C")
	w.wantCode(w.fill(bar1, kitchen.FormSign, a.Line, map[string]string{"reason": "thermometer broken"}), kitchen.Refuse, kitchen.RefuseListGone)
	a = w.want(w.say(bar1, "sign"), kitchen.OpenForm)
	done := w.want(w.fill(bar1, kitchen.FormSign, a.Line, map[string]string{"reason": "box is  locked away"}), kitchen.Done)
	last := done.Closing.Last
	if last.Reason != "box is locked away" || len(last.Left) != 2 || last.Signed.By != bar1 {
		t.Errorf("signed as %+v", last)
	}
	if last.Batches != 1 || last.Used != 2 || len(last.Made) != 1 || last.Made[0].Yield != 345*quantity.Millilitre {
		t.Errorf("the day is summed up as %+v", last)
	}
	if n := len(w.calls(kitchen.SummaryNote)); n != 1 {
		t.Errorf("%d summaries", n)
	}
	var left []string
	for _, e := range w.out {
		if e.Kind == kitchen.LeftNote {
			left = append(left, e.Lane)
		}
	}
	if !slices.Equal(left, []string{"@U9"}) {
		t.Errorf("what was left is told to %q, want the manager", left)
	}
}

// The record stays as it was signed; what is told later of that day is marked.
func TestWhatIsToldAfterSigningChangesNoSignedNumber(t *testing.T) {
	t.Parallel()
	w := finished(t)
	w.counts()
	w.say(bar1, "closing")
	w.want(w.say(bar1, "sign"), kitchen.Done)
	before, ok := kitchen.DecodeClosed(w.stored[len(w.stored)-1].Body)
	if !ok || w.stored[len(w.stored)-1].Day != "2026-11-24" {
		t.Fatalf("the last record is %+v", w.stored[len(w.stored)-1])
	}
	if _, err := kitchen.DecodeBatch(w.stored[len(w.stored)-1].Body); err == nil {
		t.Error("a signed list passes for a batch")
	}
	w.pass(2 * time.Minute)
	w.want(w.say(bar1, "2 chargers for foam"), kitchen.Done)
	if after := w.kitchen().Closing.Last; after.Used != before.Used {
		t.Errorf("the signed day counts %d chargers, want %d", after.Used, before.Used)
	}
	i := slices.IndexFunc(w.log, func(l kitchen.Line) bool { return l.Event == "chargers" && l.Details["what"] == "foam" })
	if w.log[i].Details["after signing"] != "2026-11-24" {
		t.Errorf("the log says %+v", w.log[i])
	}
	w.wantItems()
	w.want(w.say(bar2, "closing"), kitchen.Already)
}

// Two people sign in the same millisecond: one does, the other hears who did.
func TestOneOfTwoSigns(t *testing.T) {
	t.Parallel()
	w := finished(t)
	w.counts()
	w.say(bar1, "closing")
	tap := kitchen.Tap{Line: "sign", N: int(w.kitchen().Closing.N)}
	w.want(w.tap(bar1, tap), kitchen.Done)
	a := w.want(w.tap(bar2, tap), kitchen.Already)
	if a.Who != bar1 || a.Verb != request.Sign || len(w.calls(kitchen.SummaryNote)) != 1 {
		t.Errorf("the second hears %+v", a)
	}
}

// A vessel that does not vent is signed only once a manager fenced it off, and is
// then the first line of the morning.
func TestABlockedVesselIsSignedOnlyFencedOff(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.counts()
	w.pass(5 * time.Minute)
	w.say(bar1, "A is blocked")
	w.say(bar1, "closing")
	w.wantItems("blocked A")
	w.wantCode(w.say(lead, "sign because late"), kitchen.Refuse, kitchen.RefuseSignGas)
	w.want(w.say(bar1, "fenced A"), kitchen.Refuse)
	w.want(w.choose(lead, w.say(lead, "fenced A")), kitchen.Done)
	w.want(w.say(bar1, "sign"), kitchen.Done)
	w.pass(18 * time.Hour)
	p := w.kitchen().Morning(time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC))
	if len(p.Blocked) != 1 || p.Blocked[0].Fenced == nil || p.Last == nil || len(p.Last.Fenced) != 1 {
		t.Errorf("the morning says %+v", p)
	}
	if n := len(w.calls(kitchen.MorningNote)); n != 1 {
		t.Errorf("%d morning notes, want one", n)
	}
}

// Who goes signs, and who takes over takes every vessel, under pressure or not, in
// one tap. Until then they stay where they are.
func TestAShiftIsHandedOverToAPersonByName(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.want(w.say(bar1, "hand over to @U2"), kitchen.Done)
	n := int(w.kitchen().Closing.N)
	sign, take := kitchen.Tap{Line: "sign", N: n}, kitchen.Tap{Line: "sign", N: n, With: kitchen.TakesShift}
	w.want(w.tap(bar2, take), kitchen.Refuse)
	w.want(w.tap(bar1, sign), kitchen.Done)
	if w.in("A").Owner != bar1 {
		t.Fatal("the vessel changed hands before anybody took it")
	}
	w.wantCode(w.tap(bar1, take), kitchen.Refuse, kitchen.RefuseNobodyElse)
	w.wantCode(w.tap(larder, take), kitchen.Refuse, kitchen.RefuseNotNamed)
	w.wantCode(w.tap(bar2, sign), kitchen.Ask, kitchen.AskTakeShift)
	w.want(w.tap(bar2, take), kitchen.Done)
	if b := w.in("A"); b.Owner.ID != bar2.ID || b.Gas() != 2 {
		t.Errorf("A is %s's with %d chargers", b.Owner.Name, b.Gas())
	}
	w.want(w.tap(larder, take), kitchen.Already)
	w.pass(5 * time.Minute)
	if w.in("A").Rung == 0 {
		t.Error("the vent was not called")
	}
}

// The managers and who asked for the list hear of a day that ends unsigned, once.
func TestADayThatEndsUnsignedIsTold(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.say(bar2, "closing")
	w.pass(12 * time.Hour)
	var lanes []string
	for _, e := range w.out {
		if e.Kind == kitchen.LateCall {
			lanes = append(lanes, e.Lane)
		}
	}
	slices.Sort(lanes)
	if len(lanes) == 0 || lanes[len(lanes)-1] != "@U9" {
		t.Errorf("told to %q", lanes)
	}
	if got := w.kitchen().Closing.Before; got != "2026-11-24" {
		t.Errorf("it is about %q", got)
	}
}

// A morning with nothing to say says nothing.
func TestAMorningWithNothingToSayIsSilent(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.counts()
	w.say(bar1, "closing")
	w.want(w.say(bar1, "sign"), kitchen.Done)
	w.pass(48 * time.Hour)
	if n := w.calls(kitchen.MorningNote); len(n) > 0 {
		t.Errorf("posted %q", n)
	}
	if next := w.kitchen().Closing.Morning; next != 0 {
		t.Errorf("the kitchen still waits for %v", next.Time())
	}
}

// What is past its last day is on the list until it is in the bin.
func TestWhatIsPastItsDayIsBinned(t *testing.T) {
	t.Parallel()
	w := finished(t)
	last := w.in("A").UseBy.Time()
	w.pass(last.Sub(w.now) + 36*time.Hour)
	w.counts()
	w.wantItems("past")
	if a := w.want(w.say(bar1, "binned past date"), kitchen.Done); a.N != 1 {
		t.Errorf("binned %d", a.N)
	}
	w.wantItems()
}

// A batch started before midnight and the day it belongs to are one business day,
// also in the night in which the clocks go back: Europe/Brussels, last Sunday of
// October (Directive 2000/84/EC, article 3).
func TestANightWithAClockChangeIsOneBusinessDay(t *testing.T) {
	t.Parallel()
	brussels, err := time.LoadLocation("Europe/Brussels")
	if err != nil {
		t.Skip("no zone data here")
	}
	w := newWorld(t)
	w.now = time.Date(2026, 10, 24, 23, 50, 0, 0, brussels)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.say(bar1, "charged A")
	w.pass(5 * time.Minute)
	w.say(bar1, "vented A")
	w.pass(2 * time.Hour) // 01:55 summer time
	w.say(bar1, "strained A 340ml")
	w.say(bar1, "labelled A")
	w.say(bar1, "washed A")
	w.counts()
	w.now = w.now.Add(90 * time.Minute).In(brussels) // past the hour that comes twice
	w.ring()
	w.say(bar1, "closing")
	a := w.want(w.say(bar1, "sign"), kitchen.Done)
	if last := a.Closing.Last; last.Day != "2026-10-24" || last.Batches != 1 || len(last.Overruns) != 1 {
		t.Errorf("signed as %+v", last)
	}
	want := time.Date(2026, 10, 25, 9, 0, 0, 0, brussels)
	if got := w.kitchen().Closing.Morning.Time(); !got.Equal(want) {
		t.Errorf("the morning note comes at %v, want %v", got.In(brussels), want)
	}
	if p := w.kitchen().Morning(want); p.Last == nil {
		t.Error("the morning says nothing of the day before")
	}
}

// fixtureClosing is what version 1 stored of the end of a day.
const fixtureClosing = "testdata/kitchen.v1.closing.json"

// What version 1 stored of a signed day, an open list and a cooling log is read for
// ever.
func TestTheStoredFormOfAClosingIsRead(t *testing.T) {
	t.Parallel()
	if *fixtures {
		w := warmed(t)
		w.say(bar1, "closing")
		w.want(w.say(bar1, "sign because the thermometer is broken"), kitchen.Done)
		w.say(bar1, "cooled A 20C")
		w.say(bar1, "fridge 4C")
		w.say(bar1, "hand over to @U2")
		w.say(bar1, "sign")
		writeFixture(t, fixtureClosing, w.fields)
	}
	k, err := kitchen.Decode("main", readFixture(t, fixtureClosing))
	if err != nil {
		t.Fatal(err)
	}
	c := k.Closing
	if c.Last == nil || c.Last.Day != "2026-11-24" || c.Last.Reason != "the thermometer is broken" || len(c.Last.Left) == 0 {
		t.Errorf("signed: %+v", c.Last)
	}
	if c.List == nil || !c.List.Shift || c.List.To.ID != "U2" || c.List.Gone == nil {
		t.Errorf("the open list: %+v", c.List)
	}
	if len(c.Hot) != 1 || c.Hot[0].First == nil || c.Fridge == nil || c.Fridge.Temp != 4*quantity.Celsius || c.Morning == 0 {
		t.Errorf("temperatures: %+v %+v", c.Hot, c.Fridge)
	}
}

// Two replicas hear two signatures at once: the second to commit decides again, and
// hears who signed.
func TestTwoReplicasSignOnce(t *testing.T) {
	t.Parallel()
	w := finished(t)
	w.counts()
	w.say(bar1, "closing")
	tap := kitchen.Tap{Line: "sign", N: int(w.kitchen().Closing.N)}
	one, two := w.kitchen(), w.kitchen()
	sign := func(k *kitchen.Kitchen, p kitchen.Person, id string) (kitchen.Change, kitchen.Answer) {
		return k.Handle(reader(), w.book(), w.team, kitchen.Command{ID: id, Tap: &tap, By: p, At: w.now}, w.now)
	}
	ch, _ := sign(one, bar1, "one")
	if _, a := sign(two, bar2, "two"); a.Kind != kitchen.Done {
		t.Fatalf("alone, the second would have signed: %+v", a)
	}
	w.apply(ch) // the second's revision is stale now
	if ch, a := sign(w.kitchen(), bar2, "two"); a.Kind != kitchen.Already || a.Who != bar1 || len(ch.Archive) != 0 {
		t.Errorf("decided again the second hears %+v", a)
	}
}
