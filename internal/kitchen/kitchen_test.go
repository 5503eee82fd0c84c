package kitchen_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
)

func TestACalmBatchTakesThreeChannelMessagesAndSixTaps(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	w.want(w.say(bar1, "charged A"), kitchen.Done) // 1
	w.pass(40 * time.Second)
	w.want(w.say(bar1, "charged A"), kitchen.Done) // 2
	vent := w.now.Add(30*time.Second + 2*time.Minute)
	w.wantPhase("A", kitchen.Charging)

	w.pass(30 * time.Second)
	w.wantPhase("A", kitchen.Resting)
	w.pass(2 * time.Minute)
	b := w.wantPhase("A", kitchen.Venting)
	if got := b.VentAt.Time(); !got.Equal(vent) {
		t.Errorf("vent at %v, want %v", got, vent)
	}
	w.pass(20 * time.Second)
	w.want(w.say(bar1, "vented A"), kitchen.Done) // 3
	w.wantPhase("A", kitchen.Settling)
	w.pass(b.Settle)
	w.wantPhase("A", kitchen.Straining)
	w.pass(30 * time.Second)
	w.want(w.say(bar1, "strained A 345 ok"), kitchen.Done) // 4
	if b := w.wantPhase("A", kitchen.Labelling); b.Yield.Millilitres() != 345 {
		t.Errorf("yield %v, want 345 ml", b.Yield)
	}
	w.want(w.say(bar1, "washed A"), kitchen.Done) // 5
	w.pass(2 * time.Minute)
	w.want(w.say(bar1, "labelled A"), kitchen.Done) // 6
	w.pass(15 * time.Minute)

	want := []string{"1/slip", "1/heads-up.1", "1/vent.1", "1/history", "1/strain.1"}
	if diff := cmp.Diff(want, w.posted); diff != "" {
		t.Errorf("messages posted (-want +got):\n%s", diff)
	}
	if w.lanes["C1"] != 3 || w.lanes["@U1"] != 1 {
		t.Errorf("new messages per lane: %v, want 3 to the channel and 1 to the owner", w.lanes)
	}
	if len(w.stored) != 1 || w.stored[0].Day != "2026-11-24" {
		t.Errorf("records %+v, want one of 2026-11-24", w.stored)
	}
	stored, err := kitchen.DecodeBatch(w.stored[0].Body)
	if err != nil {
		t.Fatal(err)
	}
	if stored.Title != "rhubarb gin" || stored.Labelled == nil || stored.Phase != kitchen.Stored {
		t.Errorf("the record holds %+v", stored)
	}
	if len(w.kitchen().Batches) != 0 || w.kitchen().Next() != 0 {
		t.Error("the kitchen still holds something")
	}
}

func TestABatchMadeAfterMidnightBelongsToTheShiftsOwnDay(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.now = time.Date(2026, 11, 25, 1, 30, 0, 0, time.UTC)
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	useBy := w.in("A").UseBy.Time().Format(time.DateOnly)
	w.pass(30 * time.Minute) // it expires and leaves
	if len(w.stored) != 1 || w.stored[0].Day != "2026-11-24" {
		t.Errorf("records %+v, want one of 24 November", w.stored)
	}
	if useBy != "2026-12-07" { // fourteen days, the 24th counted: rule S6 of the keeping table
		t.Errorf("use by %s, want 2026-12-07", useBy)
	}
}

func TestTheRestCountsFromTheEndOfTheLastSwirl(t *testing.T) {
	t.Parallel()
	w := charged(t)
	last := w.now
	b := w.in("A")
	if want := kitchen.At(last.Add(b.Swirl + b.Rest.Target)); b.VentAt != want || !b.RestAssumed {
		t.Errorf("vent at %v, assumed %v; want %v, assumed", b.VentAt.Time(), b.RestAssumed, want.Time())
	}
	w.pass(20 * time.Second)
	w.want(w.say(bar1, "set down A"), kitchen.Done)
	b = w.wantPhase("A", kitchen.Resting)
	if want := kitchen.At(w.now.Add(b.Rest.Target)); b.VentAt != want || b.RestAssumed {
		t.Errorf("after set down vent at %v, want %v", b.VentAt.Time(), want.Time())
	}
	w.want(w.say(bar1, "set down A"), kitchen.Already)
}

func TestLateEntriesMoveTheClocksAndKeepBothTimes(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.pass(2 * time.Minute)
	w.want(w.say(bar1, "charged A 40s ago"), kitchen.Done)
	b := w.in("A")
	said := w.now.Add(-40 * time.Second)
	if want := kitchen.At(said.Add(b.Swirl + b.Rest.Target)); b.VentAt != want {
		t.Errorf("vent at %v, want %v", b.VentAt.Time(), want.Time())
	}
	line := w.log[len(w.log)-1]
	if !line.Done.Equal(said) || !line.Entered.Equal(w.now) {
		t.Errorf("log has done %v entered %v, want %v and %v", line.Done, line.Entered, said, w.now)
	}
	w.pass(b.VentAt.Time().Sub(w.now) + time.Minute)
	w.wantCode(w.say(bar1, "vented A 5 min ago"), kitchen.Refuse, kitchen.RefuseTooEarly)
	w.want(w.say(bar1, "vented A at 19:30"), kitchen.Unread) // still to come
}

func TestAChargerAboveTheCountStopsAndAsks(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name  string
		line  string
		wait  time.Duration
		gas   int
		phase kitchen.Phase
	}{
		{"gas went in: vent now", "gas in A", 0, 3, kitchen.Venting},
		{"none did: the rest goes on", "no gas A", 0, 2, kitchen.Charging},
		{"no answer: it counts as gas, vent now", "", 21 * time.Second, 3, kitchen.Venting},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			w := charged(t)
			stop := w.want(w.say(larder, "charged A"), kitchen.Stop)
			if len(stop.Choices) != 2 || stop.Who != bar1 {
				t.Errorf("stop answer %+v, want two buttons and bar-1", stop)
			}
			if gas := w.in("A").Gas(); gas != 3 {
				t.Errorf("gas %d while unanswered, want 3", gas)
			}
			if len(w.calls(kitchen.StopCall)) != 1 {
				t.Errorf("the channel did not hear of it: %v", w.posted)
			}
			w.pass(test.wait)
			if test.line != "" {
				w.want(w.say(larder, test.line), kitchen.Done)
			}
			if b := w.wantPhase("A", test.phase); b.Gas() != test.gas {
				t.Errorf("gas %d, want %d", b.Gas(), test.gas)
			}
		})
	}
}

func TestSomebodyElsesChargerAsksToTakeOverFirst(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	ask := w.wantCode(w.say(larder, "charged A"), kitchen.Ask, kitchen.AskTakeOver)
	if w.in("A").Gas() != 0 {
		t.Error("it was counted before the answer")
	}
	w.want(w.choose(larder, ask), kitchen.Done)
	if b := w.in("A"); b.Owner != larder || b.Gas() != 1 || b.Charges[0].By != larder {
		t.Errorf("after the take-over: owner %v, charges %v", b.Owner, b.Charges)
	}
}

func TestAChargerThatNobodyTookOverIsCountedAllTheSame(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.pass(time.Minute)
	told := kitchen.At(w.now)
	w.wantCode(w.say(larder, "charged A"), kitchen.Ask, kitchen.AskTakeOver)
	w.pass(25 * time.Second) // no answer
	b := w.wantPhase("A", kitchen.Charging)
	if b.Gas() != 1 || b.Owner != bar1 || b.Charges[0].Done != told || b.Charges[0].By != larder {
		t.Errorf("unanswered: gas %d, owner %v, charges %+v", b.Gas(), b.Owner, b.Charges)
	}
	w.pass(15 * time.Minute)
	if len(w.calls(kitchen.ChargeCall)) == 0 {
		t.Error("nobody was called about it")
	}

	w = newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	ask := w.say(larder, "charged A")
	w.want(w.tap(larder, ask.Choices[1].Tap), kitchen.Done) // not mine
	w.pass(time.Minute)
	if b := w.wantPhase("A", kitchen.Loading); b.Gas() != 0 {
		t.Errorf("taken back, and still gas %d", b.Gas())
	}
}

func TestAVesselIsTakenOnlyOnce(t *testing.T) {
	t.Parallel()
	w := charged(t)
	refused := w.wantCode(w.say(bar2, "start ginger gin 400ml in A"), kitchen.Refuse, kitchen.RefuseOccupied)
	if refused.Who != bar1 || refused.At != kitchen.At(six) {
		t.Errorf("refused with %v since %v, want bar-1 since %v", refused.Who, refused.At.Time(), six)
	}
	w.want(w.say(bar2, "start ginger gin 400ml"), kitchen.Done)
	if len(w.kitchen().Batches) != 2 {
		t.Error("the second start found no other vessel")
	}
	if state, b := w.kitchen().Look("A"); state != kitchen.VesselPressurised || b == nil {
		t.Errorf("A is %s, want pressurised", state)
	}
}

func TestASkippedTapIsAskedOnce(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(time.Minute)
	ask := w.wantCode(w.say(bar1, "strained A 340"), kitchen.Ask, kitchen.AskEmptied)
	if w.in("A").Strained != nil {
		t.Error("strained was guessed")
	}
	w.want(w.choose(bar1, ask), kitchen.Done)
	b := w.wantPhase("A", kitchen.Labelling)
	if b.Emptied == nil || b.Strained == nil || b.Yield.Millilitres() != 340 {
		t.Errorf("after yes: %+v", b.Moving)
	}
}

func TestVentedWithoutACountAsksAndThenCounts(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	ask := w.wantCode(w.say(bar1, "vented A"), kitchen.Ask, kitchen.AskNoCount)
	w.want(w.choose(bar1, ask), kitchen.Done)
	b := w.wantPhase("A", kitchen.Settling)
	if len(b.Charges) != 2 || !b.Charges[0].Assumed {
		t.Errorf("charges %+v, want two, assumed", b.Charges)
	}
}

func TestAReservationExpiresAndTellsItsOwnerOnce(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.pass(10 * time.Minute)
	w.wantPhase("A", kitchen.Scrapped)
	if state, _ := w.kitchen().Look("A"); state != kitchen.VesselFree {
		t.Errorf("A is %s, want free", state)
	}
	w.pass(30 * time.Minute)
	if w.lanes["@U1"] != 1 {
		t.Errorf("the owner heard %d times, want once", w.lanes["@U1"])
	}
}

func TestAForgottenChargeIsCalled(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.pass(5 * time.Minute)
	if len(w.calls(kitchen.ChargeCall)) == 0 {
		t.Errorf("one charger in and nobody was called: %v", w.posted)
	}
	w.pass(20 * time.Minute)
	if len(w.calls(kitchen.ContactCall)) == 0 {
		t.Errorf("the contact cap was not called: %v", w.posted)
	}
}

func TestSecondCallsGoToAGrowingCircle(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.say(bar2, "start ginger gin 400ml in B")
	w.pass(2*time.Minute + 30*time.Second)
	w.pass(4 * time.Minute)
	calls := w.calls(kitchen.VentCall)
	want := []string{"1/vent.1", "1/vent.1.1", "1/vent.1.2", "1/vent.1.3"}
	if diff := cmp.Diff(want, calls); diff != "" {
		t.Errorf("vent calls (-want +got):\n%s", diff)
	}
	k := w.kitchen()
	b := w.in("A")
	circles := [][]kitchen.Person{k.Circle(b, 0), k.Circle(b, 1), k.Circle(b, 2)}
	wantCircles := [][]kitchen.Person{{bar1}, {bar1, bar2}, {bar1, bar2, lead}}
	if diff := cmp.Diff(wantCircles, circles); diff != "" {
		t.Errorf("circles (-want +got):\n%s", diff)
	}
}

func TestCallsMissedMeanwhileBecomeOne(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.now = w.now.Add(12 * time.Minute) // nobody rang
	w.ring()
	if calls := w.calls(kitchen.VentCall); len(calls) != 1 {
		t.Errorf("vent calls %v, want one", calls)
	}
	w.wantPhase("A", kitchen.Venting)
}

func TestScrappingNeverSilencesAPressurisedVessel(t *testing.T) {
	t.Parallel()
	w := charged(t)
	ask := w.wantCode(w.say(bar1, "scrap A"), kitchen.Ask, kitchen.AskReallyGone)
	w.want(w.choose(bar1, ask), kitchen.Done)
	b := w.wantPhase("A", kitchen.Scrapped)
	if state, _ := w.kitchen().Look("A"); state != kitchen.VesselPressurised || b.Owner.ID == "" {
		t.Errorf("A is %s, owner %v", state, b.Owner)
	}
	w.pass(10 * time.Minute)
	if calls := w.calls(kitchen.VentCall); len(calls) < 4 {
		t.Errorf("vent calls %v, want it to go on", calls)
	}
	w.want(w.say(larder, "vented A"), kitchen.Done)
	if state, _ := w.kitchen().Look("A"); state != kitchen.VesselDirty {
		t.Errorf("A is %s, want dirty", state)
	}
	w.pass(11 * time.Minute)
	if len(w.kitchen().Batches) != 0 {
		t.Error("the scrapped batch never left")
	}
}

func TestUndoTakesBackTheLastChange(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(2*time.Minute + 30*time.Second)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.pass(3 * time.Minute) // the strain call comes
	if len(w.calls(kitchen.StrainCall)) != 1 {
		t.Fatalf("posted %v, want a strain call", w.posted)
	}
	w.want(w.say(larder, "undo A"), kitchen.Done)
	b := w.wantPhase("A", kitchen.Venting)
	if b.Gas() != 2 || b.Undone.By != larder || b.Turn != 2 {
		t.Errorf("after undo: gas %d, undone %+v, turn %d", b.Gas(), b.Undone, b.Turn)
	}
	if edits := w.sent["1/strain.1"]; edits != 2 {
		t.Errorf("the strain call was touched %d times, want posted and edited", edits)
	}
	w.pass(0) // the vent moment has passed: it rings at once
	if calls := w.calls(kitchen.VentCall); !slices.ContainsFunc(calls, func(k string) bool { return k[:8] == "1/vent.2" }) {
		t.Errorf("vent calls %v, want a new one", calls)
	}
	w.wantCode(w.say(larder, "undo A"), kitchen.Refuse, kitchen.RefuseUndoGas) // before it came the charge
}

func TestUndoHasItsLimits(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.wantCode(w.say(bar1, "undo A"), kitchen.Refuse, kitchen.RefuseUndoGas)
	w.pass(2*time.Minute + 30*time.Second)
	w.say(bar1, "vented A")
	w.say(bar1, "strained A")
	w.say(bar1, "washed A")
	w.wantCode(w.say(bar1, "undo A"), kitchen.Refuse, kitchen.RefuseUndoUsed)
	w.say(bar1, "labelled A")
	w.want(w.say(bar2, "undo A"), kitchen.Done)
	w.wantPhase("A", kitchen.Labelling)
	w.say(bar1, "labelled A")
	w.now = w.now.Add(10*time.Minute + time.Second)
	w.wantCode(w.say(bar2, "undo A"), kitchen.Refuse, kitchen.RefuseUndoLate)
}

func TestOldButtonsChangeNothing(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	first := kitchen.Tap{Line: "charged A", Batch: 1, Turn: 1, N: 1}
	w.want(w.tap(bar1, first), kitchen.Done)
	w.want(w.tap(bar1, first), kitchen.Already) // the same press twice
	w.pass(20 * time.Second)
	ask := w.wantCode(w.tap(bar1, first), kitchen.Ask, kitchen.AskOneMore)
	if w.in("A").Gas() != 1 {
		t.Error("an old button counted a charger")
	}
	w.want(w.choose(bar1, ask), kitchen.Done)
	w.pass(20 * time.Minute)
	w.say(bar1, "vented A")
	w.want(w.tap(bar2, kitchen.Tap{Line: "vented A", Batch: 1, Turn: 1}), kitchen.Already)
	w.wantCode(w.tap(bar2, kitchen.Tap{Line: "vented A", Batch: 77}), kitchen.Refuse, kitchen.RefuseOldButton)
}

func TestNoGasWentInTakesAChargerOffTheCount(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.want(w.say(bar1, "no gas A"), kitchen.Done)
	b := w.wantPhase("A", kitchen.Charging)
	if b.Gas() != 1 || b.VentAt != 0 {
		t.Errorf("gas %d, vent %v; want 1 and none", b.Gas(), b.VentAt)
	}
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	if b := w.in("A"); !b.Full() || b.VentAt == 0 {
		t.Error("the charger after it set no clock")
	}
}

func TestMoreRestStaysInsideTheLimits(t *testing.T) {
	t.Parallel()
	w := charged(t)
	before := w.in("A").VentAt
	w.want(w.say(bar1, "+15s A"), kitchen.Done)
	if got := w.in("A").VentAt.Sub(before); got != 15*time.Second {
		t.Errorf("vent moved by %v, want 15 s", got)
	}
	for range 40 {
		if a := w.say(bar1, "+15s A"); a.Kind == kitchen.Refuse {
			if got := w.in("A"); got.VentAt.Sub(got.RestFrom) > got.Rest.Max {
				t.Errorf("rest %v is over %v", got.VentAt.Sub(got.RestFrom), got.Rest.Max)
			}
			return
		}
	}
	t.Error("the rest was lengthened without end")
}

func TestABatchThatClearsIsCalledToBeDrawnOff(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar2, "start toasted barley whisky 400ml in B"), kitchen.Done)
	w.say(bar2, "charged B")
	w.pass(30 * time.Second)
	w.say(bar2, "charged B")
	w.pass(10 * time.Minute)
	w.say(bar2, "vented B")
	w.say(bar2, "strained B 330")
	b := w.wantPhase("B", kitchen.Clearing)
	w.say(bar2, "washed B")
	w.pass(b.Clear)
	if calls := w.calls(kitchen.ClearCall); len(calls) != 1 {
		t.Fatalf("posted %v, want one clear call", w.posted)
	}
	w.want(w.say(bar2, "cleared B"), kitchen.Done)
	w.wantPhase("B", kitchen.Labelling)
	w.pass(11 * time.Minute)
	if calls := w.calls(kitchen.LabelCall); len(calls) != 1 {
		t.Errorf("posted %v, want one label call", w.posted)
	}
}

func TestStrainFirstSettlesOffTheSolids(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start smoky tea rum 200ml in D"), kitchen.Done)
	w.say(bar1, "charged D")
	w.pass(5 * time.Minute)
	w.say(bar1, "vented D")
	w.wantPhase("D", kitchen.Straining)
	if calls := w.calls(kitchen.StrainCall); len(calls) != 1 {
		t.Fatalf("posted %v, want the strain call at once", w.posted)
	}
	w.say(bar1, "strained D 190")
	b := w.wantPhase("D", kitchen.Settling)
	w.pass(b.Settle)
	w.wantPhase("D", kitchen.Labelling)
}

// fourOpen opens four batches and leaves them alone until all are called.
func (w *world) fourOpen() {
	w.t.Helper()
	for _, line := range []string{
		"start rhubarb gin 400ml in A", "start toasted barley whisky 400ml in B",
		"start thyme oil 600ml in C", "start smoky tea rum 200ml in D",
	} {
		w.want(w.say(bar1, line), kitchen.Done)
	}
	for _, tag := range []string{"A", "B", "C", "D"} {
		w.say(bar1, "charged "+tag)
		w.say(bar1, "charged "+tag)
	}
	w.pass(30 * time.Minute)
}

func TestFourOpenBatchesStayUnderEightKilobytes(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.fourOpen()
	size := 0
	for name, body := range w.fields {
		size += len(name) + len(body)
	}
	if size > 8<<10 {
		t.Errorf("four open batches take %d bytes, want under 8 KB", size)
	}
	t.Logf("four open batches take %d bytes", size)
}
