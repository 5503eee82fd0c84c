package kitchen_test

import (
	"testing"
	"time"

	"ventbell/internal/kitchen"
)

// guarded is a kitchen like charged whose team has the platform call by itself
// should the host die.
func guarded(t *testing.T) *world {
	w := newWorld(t)
	w.team.Fallback = true
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.pass(40 * time.Second)
	w.say(bar1, "charged A")
	return w
}

// fallback wants what the platform was told to be kept, and gives when it calls
// and how often it was told.
func (w *world) fallback() (at time.Time, told int) {
	w.t.Helper()
	k, e := w.kitchen(), w.out["1/fallback"]
	if due := k.FallbackAt(1); due != 0 && (!e.Due.Equal(due.Time()) || e.Lane != "C1" || e.Urgent || e.Edit) {
		w.t.Errorf("queued %+v, kept %v", e, due.Time())
	}
	return k.FallbackAt(1).Time(), w.sent["1/fallback"]
}

func TestThePlatformIsToldToCallByItselfAndMovedAsTheVentMoves(t *testing.T) {
	t.Parallel()
	w := guarded(t)
	if _, told := w.fallback(); told != 0 {
		t.Fatalf("told %d times before the rest began, want not by a charge tap", told)
	}
	w.pass(30 * time.Second)
	w.wantPhase("A", kitchen.Resting)
	want := func(after time.Duration, told int) {
		t.Helper()
		at, n := w.fallback()
		if vent := w.in("A").VentAt.Time(); !at.Equal(vent.Add(after)) || n != told {
			t.Errorf("it calls %v after the vent, told %d times; want %v and %d", at.Sub(vent), n, after, told)
		}
	}
	want(2*time.Minute, 1)
	w.pass(10 * time.Second)
	w.say(bar1, "set down A")
	want(2*time.Minute, 2)
	w.say(bar1, "+15 s A")
	want(2*time.Minute, 3)
	w.say(bar1, "undo A")
	want(2*time.Minute, 4)
	w.say(bar2, "take A") // moves nothing
	want(2*time.Minute, 4)

	w.say(bar1, "no gas A") // one is in; charging goes on
	if at, told := w.fallback(); at.Before(w.now.Add(2*time.Minute)) || told != 4 && told != 5 {
		t.Errorf("with one charger in it calls at %v, told %d times", at, told)
	}
	_, before := w.fallback()
	w.say(bar1, "charged A")
	w.pass(30 * time.Second)
	want(2*time.Minute, before+1)
	w.say(bar1, "no gas A")
	w.say(bar1, "no gas A")
	if at, _ := w.fallback(); !at.IsZero() || w.in("A").Gas() != 0 {
		t.Errorf("no gas is in, and it calls at %v", at)
	}
}

// A host that lives moves it ahead of itself, and in time to take it back.
func TestThePlatformNeverCallsWhileTheHostLives(t *testing.T) {
	t.Parallel()
	w := guarded(t)
	calls := 0
	for began := w.now; w.now.Before(began.Add(3 * time.Hour)); {
		next := w.kitchen().Next().Time()
		w.now = next
		before, _ := w.fallback()
		if !before.IsZero() && next.After(before.Add(-time.Minute)) {
			t.Fatalf("the platform calls at %v, and the host moves it only at %v", before, next)
		}
		w.ring()
	}
	calls = len(w.calls(kitchen.VentCall))
	if _, told := w.fallback(); told >= calls || told < calls/3 {
		t.Errorf("%d calls moved it %d times", calls, told)
	}
	w.say(bar1, "vented A")
	if at, _ := w.fallback(); !at.IsZero() || w.out["1/fallback"].Due.After(w.now) {
		t.Errorf("A is empty, and the platform calls at %v", at)
	}
	_, told := w.fallback()
	w.say(bar1, "strained A")
	w.say(bar1, "labelled A")
	if _, again := w.fallback(); again != told {
		t.Errorf("told %d times more after the vent", again-told)
	}
	w.pass(time.Hour)
	if b := w.kitchen().Head.Beside; len(b) != 0 {
		t.Errorf("kept for a batch that left: %v", b)
	}
}

func TestAnUndoneVentHasThePlatformCallAgain(t *testing.T) {
	t.Parallel()
	w := guarded(t)
	w.pass(3 * time.Minute)
	w.say(bar1, "vented A")
	w.say(larder, "undo A")
	w.pass(0)
	if at, _ := w.fallback(); !at.After(w.now) {
		t.Errorf("A is under pressure again, and the platform calls at %v", at)
	}
	ask := w.say(bar1, "scrap A")
	w.choose(bar1, ask)
	if at, _ := w.fallback(); !at.After(w.now) {
		t.Errorf("scrapped under pressure, and the platform calls at %v", at)
	}
}

func TestAGuardThatIsSwitchedOffIsTakenBack(t *testing.T) {
	t.Parallel()
	w := guarded(t)
	w.pass(time.Minute)
	w.team.Fallback = false
	w.say(bar2, "take A")
	if at, told := w.fallback(); !at.IsZero() || told != 2 {
		t.Errorf("the platform calls at %v, told %d times", at, told)
	}
	w = charged(t)
	w.pass(time.Hour)
	if w.sent["1/fallback"] != 0 {
		t.Error("a team that did not ask for it has the platform call by itself")
	}
}

func TestTheHistoryFollowsTheBatch(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	last := func(p kitchen.Person, line string) kitchen.Entry {
		t.Helper()
		w.n++
		cmd := kitchen.Command{ID: line, Text: line, By: p, At: w.now}
		ch, _ := w.kitchen().Handle(reader(), sample(), w.team, cmd, w.now)
		w.apply(ch)
		for i, e := range ch.Outbox {
			if e.Kind != kitchen.HistoryNote {
				continue
			}
			if e.Key != "2/history" || e.Urgent || i != len(ch.Outbox)-1 {
				t.Errorf("%s: entry %d of %d is %+v", line, i+1, len(ch.Outbox), e)
			}
			return e
		}
		return kitchen.Entry{}
	}
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "scrap A")
	w.say(bar2, "start toasted barley whisky 400ml in B")
	for _, line := range []string{"charged B", "charged B", "no gas B", "charged B", "take B"} {
		if e := last(bar2, line); e.Key != "" {
			t.Errorf("%s queued %+v", line, e)
		}
	}
	w.pass(3 * time.Minute)
	if e := last(bar2, "vented B"); e.Key == "" || e.Edit {
		t.Errorf("the vent queued %+v", e)
	}
	if e := last(bar2, "undo B"); !e.Edit {
		t.Errorf("the undo of the vent queued %+v, want a correction only", e)
	}
	for _, line := range []string{"vented B", "strained B", "strained B 330ml", "undo B", "strained B 330ml", "cleared B", "labelled B", "undo B", "labelled B"} {
		if e := last(bar2, line); e.Key == "" || e.Edit {
			t.Errorf("%s queued %+v", line, e)
		}
	}
	if len(w.keys("1/history")) != 0 {
		t.Error("a reservation has a history")
	}
	notes := 0
	for _, key := range w.posted {
		if key == "2/history" {
			notes++
		}
	}
	if notes != 1 {
		t.Errorf("posted %d times, want once and edited", notes)
	}
}
