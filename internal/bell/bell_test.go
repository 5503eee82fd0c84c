package bell_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/bell"
	"ventbell/internal/clock"
	"ventbell/internal/kitchen"
)

// house is a bell over an index in memory, inside a bubble.
type house struct {
	*moments
	ledger bell.Ledger // the moments, unless a test says otherwise
	log    page
	tally  *tally
	stop   context.CancelFunc
	ended  chan struct{}
}

// bubble runs test inside a synctest bubble, with the ledger's clock ten
// minutes ahead of the bell's.
func bubble(t *testing.T, test func(t *testing.T, h *house)) {
	t.Helper()
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		m := newMoments(clock.Wall(), 10*time.Minute)
		test(t, &house{moments: m, ledger: m, log: newPage(t), tally: &tally{}})
	})
}

func (h *house) run(t *testing.T, desk bell.Desk, stagger time.Duration) {
	t.Helper()
	b := bell.New(bell.Config{
		Ledger: h.ledger, Desk: desk, Clock: h.clock,
		Log: slog.New(h.log), Observe: h.tally, Stagger: stagger,
	})
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		if err := b.Run(ctx); err != nil {
			t.Errorf("Run() = %v", err)
		}
	}()
	h.stop, h.ended = stop, ended
	t.Cleanup(func() { stop(); <-ended })
}

// pass lets d go by and everything settle.
func pass(d time.Duration) {
	time.Sleep(d)
	synctest.Wait()
}

// rangAt fails unless the kitchen was committed once, at its moment.
func rangAt(t *testing.T, p *prompt, name string, at time.Time) {
	t.Helper()
	got := p.of(name)
	if len(got) != 1 || !got[0].done.Equal(at) {
		t.Errorf("kitchen %s rang %+v, want once at %v", name, got, at)
	}
}

func TestAKitchenIsRungAtItsMomentAndLoadedAhead(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := newPrompt(h.moments, 0)
		at := h.now().Add(90 * time.Second)
		h.set("k", at)
		h.run(t, desk, 0)
		pass(2 * time.Minute)
		rangAt(t, desk, "k", at)
		if early := at.Sub(desk.of("k")[0].told); early != 150*time.Millisecond {
			t.Errorf("handed over %v ahead, want 150ms", early)
		}
	})
}

func TestTheBellLooksFourTimesASecondAtMostWhenNothingIsDue(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.set("k", h.now().Add(time.Hour))
		h.run(t, newPrompt(h.moments, 0), 0)
		pass(time.Minute)
		if n, most := h.lookCount(), 4*60+2; n > most { // one at the start, one for the wake-up
			t.Errorf("%d looks in an idle minute, want at most %d", n, most)
		}
	})
}

func TestAnEarlierMomentWakesTheBell(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := newPrompt(h.moments, 0)
		h.set("later", h.now().Add(time.Hour))
		h.run(t, desk, 0)
		pass(10*time.Second + 3*time.Millisecond)
		at := h.now()
		h.set("now", at)
		pass(0)
		rangAt(t, desk, "now", at)
	})
}

func TestALostWakeUpCostsAtMostTheBlindSleep(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := newPrompt(h.moments, 0)
		h.deaf = true
		h.run(t, desk, 0)
		pass(10*time.Second + 3*time.Millisecond)
		at := h.now()
		h.set("k", at)
		pass(250 * time.Millisecond)
		got := desk.of("k")
		if len(got) != 1 || got[0].done.Sub(at) > 250*time.Millisecond {
			t.Errorf("kitchen rang %+v, want once within 250 ms of %v", got, at)
		}
	})
}

func TestTheNextMomentOfAKitchenIsRungToo(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := newPrompt(h.moments, 0)
		first := h.now().Add(time.Second)
		second := first.Add(40 * time.Millisecond) // sooner than a kitchen is loaded ahead
		desk.then = func(string) time.Time {
			if h.now().Before(second) {
				return second
			}
			return time.Time{}
		}
		h.set("k", first)
		h.run(t, desk, 0)
		pass(5 * time.Second)
		got := desk.of("k")
		if len(got) != 2 || !got[0].done.Equal(first) || !got[1].done.Equal(second) {
			t.Errorf("rang %+v, want at %v and %v", got, first, second)
		}
	})
}

func TestAThousandDueAtOnceAreAllRungOnce(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		const takes = time.Millisecond
		desk := newPrompt(h.moments, takes)
		at := h.now().Add(time.Minute)
		for i := range 1000 {
			h.set(fmt.Sprintf("k%03d", i), at)
		}
		h.run(t, desk, 0)
		pass(2 * time.Minute)
		var last time.Time
		for i := range 1000 {
			got := desk.of(fmt.Sprintf("k%03d", i))
			if len(got) != 1 || got[0].done.Before(at) {
				t.Fatalf("kitchen %d rang %+v, want once, not before %v", i, got, at)
			}
			if got[0].done.After(last) {
				last = got[0].done
			}
		}
		if desk.most != 32 {
			t.Errorf("%d kitchens at once, want 32", desk.most)
		}
		if rounds := 1000/32 + 1; last.Sub(at) != time.Duration(rounds)*takes {
			t.Errorf("the last came %v late, want %v: no hand idle", last.Sub(at), time.Duration(rounds)*takes)
		}
	})
}

func TestAKitchenBeingRungIsNotRungAgain(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := newPrompt(h.moments, 3*time.Second) // a dozen looks long
		at := h.now().Add(time.Second)
		h.set("slow", at)
		h.run(t, desk, 0)
		for range 10 {
			h.set("other", h.now().Add(-time.Second)) // wakes the bell
			pass(300 * time.Millisecond)
		}
		pass(5 * time.Second)
		rangAt(t, desk, "slow", at.Add(3*time.Second))
		if len(desk.doubled) > 0 {
			t.Errorf("rung while being rung: %v", desk.doubled)
		}
	})
}

func TestAKitchenListedTwiceIsRungOnce(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := newPrompt(h.moments, time.Millisecond)
		h.ledger = shifting{h.moments}
		at := h.now().Add(time.Second)
		h.set("k", at)
		h.run(t, desk, 0)
		pass(2 * time.Second)
		rangAt(t, desk, "k", at.Add(time.Millisecond))
	})
}

func TestFailingKitchensHoldNobodyElse(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := &failing{prompt: newPrompt(h.moments, 0), broken: map[string]error{}}
		long := h.now().Add(-time.Hour)
		for i := range 500 { // more than fill several pages at the head of the index
			name := fmt.Sprintf("broken%03d", i)
			desk.broken[name] = errors.New("decode field: cut short")
			h.set(name, long)
		}
		at := h.now().Add(time.Minute)
		h.set("well", at)
		h.run(t, desk, 0)
		pass(2 * time.Minute)
		rangAt(t, desk.prompt, "well", at)
	})
}

func TestAStuckKitchenHoldsNobodyElseAndIsLetGo(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := stuck{newPrompt(h.moments, 0), "stuck"}
		h.set("stuck", h.now())
		at := h.now().Add(2 * time.Second)
		h.set("well", at)
		h.run(t, desk, 0)
		pass(4 * time.Second)
		rangAt(t, desk.prompt, "well", at)
		if n := len(desk.of("stuck")); n != 1 {
			t.Errorf("the stuck kitchen was rung %d times within its patience, want once", n)
		}
		pass(2 * time.Second)
		if n := len(desk.of("stuck")); n != 2 {
			t.Errorf("the stuck kitchen was rung %d times after 6 s, want twice", n)
		}
	})
}

func TestBackOffDoublesUntilTheKitchenIsSetAside(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := &failing{prompt: newPrompt(h.moments, 0), broken: map[string]error{"k": errors.New("out of memory")}}
		at := h.now()
		h.set("k", at)
		h.run(t, desk, 0)
		pass(125 * time.Second)

		var gaps []time.Duration
		for i, a := range desk.of("k")[1:] {
			gaps = append(gaps, a.told.Sub(desk.of("k")[i].told))
		}
		ms := func(n int) time.Duration { return time.Duration(n) * time.Millisecond }
		want := []time.Duration{ms(250), ms(500), ms(1000), ms(2000), ms(4000), ms(8000), ms(16000), ms(30000), ms(30000), ms(30000)}
		if diff := cmp.Diff(want, gaps); diff != "" {
			t.Errorf("waits between attempts (-want +got):\n%s", diff)
		}
		if n := h.log.count("ERROR kitchen set aside: it can't be rung"); n != 4 {
			t.Errorf("the log was loud %d times, want 4: at each attempt from the eighth on", n)
		}

		desk.mend("k")
		pass(31 * time.Second)
		if _, due := h.due("k"); due {
			t.Error("a kitchen that is well again was not rung")
		}
		if diff := cmp.Diff([]int{1, 0}, h.tally.aside); diff != "" {
			t.Errorf("kitchens set aside (-want +got):\n%s", diff)
		}
	})
}

func TestANewMomentOfAFailingKitchenIsTriedAtOnce(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := &failing{prompt: newPrompt(h.moments, 0), broken: map[string]error{"k": errors.New("no")}}
		h.set("k", h.now())
		h.run(t, desk, 0)
		pass(100 * time.Second) // in the middle of a wait of 30 s
		desk.mend("k")
		at := h.now()
		h.set("k", at)
		pass(0)
		got := desk.of("k")
		if last := got[len(got)-1]; !last.done.Equal(at) {
			t.Errorf("the new moment of %v was committed at %v", at, last.done)
		}
	})
}

func TestAMomentLeftDueDoesNotSpinTheBell(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := idle{newPrompt(h.moments, 0)}
		h.set("k", h.now())
		h.run(t, desk, 0)
		pass(time.Minute)
		if n := len(desk.of("k")); n < 3 || n > 10 {
			t.Errorf("rung %d times in a minute, want 3 to 10", n)
		}
	})
}

func TestBeingOvertakenIsTriedAgainAtOnce(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := &failing{prompt: newPrompt(h.moments, 0), broken: map[string]error{
			"k": fmt.Errorf("commit: %w", kitchen.ErrStale),
		}}
		at := h.now().Add(time.Second)
		h.set("k", at)
		h.run(t, desk, 0)
		pass(851 * time.Millisecond) // handed over, overtaken
		desk.mend("k")
		pass(time.Second)
		got := desk.of("k")
		if len(got) < 2 || !got[len(got)-1].done.Equal(at) {
			t.Errorf("rang %+v, want it committed at %v all the same", got, at)
		}
		if n := h.log.count("WARN kitchen not rung, trying again"); n != 0 {
			t.Errorf("the log complains %d times, want none", n)
		}
	})
}

func TestTheFirstReplicaRingsAlone(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		first, other := newPrompt(h.moments, time.Millisecond), newPrompt(h.moments, time.Millisecond)
		h.run(t, first, 0)
		h.run(t, other, 25*time.Millisecond)
		at := h.now().Add(time.Minute)
		h.set("k", at)
		pass(2 * time.Minute)
		rangAt(t, first, "k", at.Add(time.Millisecond))
		if got := other.of("k"); len(got) > 0 {
			t.Errorf("the other replica rang too: %+v", got)
		}
	})
}

func TestAnotherReplicaRingsWhatTheFirstLeaves(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := newPrompt(h.moments, 0)
		h.run(t, desk, 25*time.Millisecond)
		at := h.now().Add(time.Minute)
		h.set("k", at)
		pass(2 * time.Minute)
		rangAt(t, desk, "k", at.Add(25*time.Millisecond))
	})
}

func TestTheStaggerHoldsAfterAWakeUpToo(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := newPrompt(h.moments, 0)
		h.run(t, desk, 25*time.Millisecond)
		pass(10*time.Second + 3*time.Millisecond)
		at := h.now()
		h.set("k", at.Add(-time.Minute)) // due long since, as after an undo
		pass(time.Second)
		got := desk.of("k")
		if len(got) != 1 || got[0].told.Before(at.Add(25*time.Millisecond)) {
			t.Errorf("told %+v, want once and not before %v", got, at.Add(25*time.Millisecond))
		}
	})
}

func TestAStopWaitsForTheKitchensBeingRung(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := newPrompt(h.moments, 2*time.Second)
		at := h.now()
		h.set("k", at)
		h.run(t, desk, 0)
		pass(time.Second)
		h.stop()
		pass(0)
		select {
		case <-h.ended:
			t.Fatal("Run returned while a kitchen was being rung")
		default:
		}
		pass(time.Second)
		<-h.ended
		rangAt(t, desk, "k", at.Add(2*time.Second))
	})
}

func TestAnOutageOfTheLedgerIsLoggedOnceAndOutlived(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := newPrompt(h.moments, 0)
		at := h.now().Add(30 * time.Second)
		h.set("k", at)
		h.run(t, desk, 0)
		pass(10 * time.Second)
		h.setDown(true)
		pass(30 * time.Second)
		h.setDown(false)
		back := h.now()
		pass(time.Second)
		got := desk.of("k")
		if len(got) != 1 || got[0].done.Sub(back) > 250*time.Millisecond {
			t.Errorf("rang %+v, want once within 250 ms of %v", got, back)
		}
		if n := h.log.count("ERROR due moments not read"); n != 1 {
			t.Errorf("the outage is in the log %d times, want once", n)
		}
	})
}

func TestAJumpOfTheLedgersClockIsFollowed(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		desk := newPrompt(h.moments, 0)
		h.run(t, desk, 0)
		pass(time.Second)
		h.mu.Lock()
		h.offset += time.Hour
		h.mu.Unlock()
		pass(time.Second)
		at := h.now().Add(10 * time.Second)
		h.set("k", at)
		pass(20 * time.Second)
		rangAt(t, desk, "k", at)
		if n := h.log.count("WARN ledger's clock jumped"); n != 1 {
			t.Errorf("the jump is in the log %d times, want once", n)
		}
	})
}

func TestAQuickClockRingsInOrder(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		m := newMoments(clock.Starting(time.Now(), 120), 0)
		h := &house{moments: m, ledger: m, log: newPage(t), tally: &tally{}}
		desk := newPrompt(h.moments, 0)
		var order []string
		desk.then = func(name string) time.Time { order = append(order, name); return time.Time{} }
		for i, name := range []string{"c", "a", "b"} {
			h.set(name, h.now().Add(time.Duration(i+1)*10*time.Minute))
		}
		h.run(t, desk, 0)
		pass(16 * time.Second) // 32 minutes
		if want := []string{"c", "a", "b"}; !slices.Equal(order, want) {
			t.Errorf("rang %v, want %v", order, want)
		}
		for _, name := range order {
			for _, a := range desk.of(name) {
				if late := a.done.Sub(a.at); late < 0 || late > time.Millisecond {
					t.Errorf("kitchen %s rang %v late, want within a millisecond", name, late)
				}
			}
		}
	})
}
