package runner_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
)

// fallback is a batch's fallback, for so long from now.
func (h *house) fallback(seq uint64, ahead time.Duration) kitchen.Entry {
	return h.due(-ahead, kind(kitchen.FallbackCall, entry(seq, "1/fallback")))
}

// at gives the clock time of a moment so long from now, by the ledger.
func (h *house) at(ahead time.Duration) string {
	return h.now().Add(ahead).UTC().Format(time.TimeOnly)
}

func wantLies(t *testing.T, s *shelf, lies map[string]string, did ...string) {
	t.Helper()
	gotLies, gotDid := s.all()
	if diff := cmp.Diff(lies, gotLies); diff != "" {
		t.Errorf("lies ready (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(did, gotDid); diff != "" {
		t.Errorf("asked for (-want +got):\n%s", diff)
	}
}

func TestAFallbackIsScheduledMovedAndTakenBack(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		s := newShelf(h.clock)
		h.run(t, h.wall, func(c *runner.Config) { c.Scheduler = s })
		h.say("k", "1/fallback", "vent A")
		first := h.at(2 * time.Minute)
		h.put("k", h.fallback(1, 2*time.Minute))
		pass(time.Second)
		wantLies(t, s, map[string]string{"Q1": "vent A " + first}, "schedule vent A")
		got := h.record("k", "1/fallback")
		if want := (kitchen.Sent{Key: "1/fallback", Channel: "C1", TS: "Q1", Seq: 1, Digest: got.Digest}); got != want || got.Digest == "" {
			t.Errorf("recorded %+v, want %+v", got, want)
		}

		h.put("k", h.fallback(2, 2*time.Minute-time.Second)) // the same moment and words
		pass(time.Second)
		wantLies(t, s, map[string]string{"Q1": "vent A " + first}, "schedule vent A")

		moved := h.at(3 * time.Minute)
		h.put("k", h.fallback(3, 3*time.Minute))
		pass(time.Second)
		did := []string{"schedule vent A", "unschedule C1 Q1", "schedule vent A"}
		wantLies(t, s, map[string]string{"Q2": "vent A " + moved}, did...)

		h.say("k", "1/fallback", "vent B")
		h.put("k", h.fallback(4, 3*time.Minute-time.Second))
		pass(time.Second)
		did = append(did, "unschedule C1 Q2", "schedule vent B")
		wantLies(t, s, map[string]string{"Q3": "vent B " + moved}, did...)

		h.say("k", "1/fallback", "")
		for seq := range uint64(2) { // the second time there is nothing to take back
			h.put("k", h.fallback(5+seq, 0))
			pass(time.Second)
		}
		wantLies(t, s, map[string]string{}, append(did, "unschedule C1 Q3")...)
		if got := h.reasons()["1/fallback"]; got != "over" || h.left("k") != 0 {
			t.Errorf("gone for %q with %d left, want over and none", got, h.left("k"))
		}
		wantShown(t, h.wall)
		counts := map[string]int{"fallback scheduled": 3, "fallback taken_back": 1, "fallback dropped": 1}
		if diff := cmp.Diff(counts, h.tally.counts()); diff != "" {
			t.Errorf("counted (-want +got):\n%s", diff)
		}
	})
}

func TestAFallbackThatIsTooNearIsDroppedAndNoneIsLeftAtAWrongMoment(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		s := newShelf(h.clock)
		h.run(t, h.wall, func(c *runner.Config) { c.Scheduler = s })
		h.put("k", h.fallback(1, 29*time.Second))
		pass(time.Second)
		wantLies(t, s, map[string]string{})
		h.put("k", h.fallback(2, time.Minute))
		pass(time.Second)
		h.put("k", h.fallback(3, 20*time.Second))
		pass(time.Second)
		wantLies(t, s, map[string]string{}, "schedule 1/fallback", "unschedule C1 Q1")
		if got := h.reasons()["1/fallback"]; got != "too near" {
			t.Errorf("gone for %q, want too near", got)
		}
	})
}

func TestWithoutASchedulerThereIsNoFallback(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, h.wall)
		h.put("k", h.fallback(1, time.Minute))
		pass(time.Second)
		wantShown(t, h.wall)
		if got := h.reasons()["1/fallback"]; got != "no scheduler" {
			t.Errorf("gone for %q, want no scheduler", got)
		}
	})
}

func TestAFallbackThatFailsHoldsNoCall(t *testing.T) {
	for name, r := range map[string]*runner.Refusal{
		"slow down":   {Reason: "ratelimited", Retry: true, After: 30 * time.Second},
		"stuck":       {Reason: "scope missing", After: 30 * time.Second, Stuck: true},
		"unreachable": {Reason: "unreachable", Retry: true},
	} {
		t.Run(name, func(t *testing.T) {
			bubble(t, func(t *testing.T, h *house) {
				s := newShelf(h.clock)
				s.errs = []error{r, r}
				o := &told{h: h}
				h.run(t, h.wall, func(c *runner.Config) { c.Scheduler, c.Stuck = s, o.tell })
				ready := h.at(5 * time.Minute)
				h.put("k", h.fallback(1, 5*time.Minute))
				pass(time.Second)
				h.put("k", urgent(entry(2, "1/vent.1")))
				pass(time.Second)
				if all := h.wall.all(); len(all) != 1 || all[0].At > 2*time.Second {
					t.Errorf("shown %v, want the vent call within a second", all)
				}
				pass(2 * time.Minute)
				lies, _ := s.all()
				if diff := cmp.Diff(map[string]string{"Q1": "1/fallback " + ready}, lies); diff != "" {
					t.Errorf("lies ready (-want +got):\n%s", diff)
				}
				if said := o.of("C1"); len(said) != 1 || said[0] != `""` {
					t.Errorf("told %v of a lane that takes messages", said)
				}
			})
		})
	}
}

func TestAFallbackOfWhichNobodyKnowsIsTriedTwice(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		s := newShelf(h.clock)
		s.errs = []error{reset(), reset(), reset()}
		h.run(t, h.wall, func(c *runner.Config) { c.Scheduler = s })
		h.put("k", h.fallback(1, 5*time.Minute))
		pass(3 * time.Minute)
		wantLies(t, s, map[string]string{}, "schedule 1/fallback", "schedule 1/fallback")
		if got := h.reasons()["1/fallback"]; got != "reset" {
			t.Errorf("gone for %q, want reset", got)
		}
	})
}

func TestAFallbackThatMustGoIsTakenBackHoweverOftenThatFails(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		s := newShelf(h.clock)
		h.run(t, h.wall, func(c *runner.Config) { c.Scheduler = s })
		h.put("k", h.fallback(1, time.Hour))
		pass(time.Second)
		s.mu.Lock()
		for range 20 {
			s.errs = append(s.errs, reset())
		}
		s.mu.Unlock()
		h.say("k", "1/fallback", "")
		h.put("k", h.fallback(2, 0))
		pass(15 * time.Minute)
		if lies, did := s.all(); len(lies) != 0 || len(did) != 22 {
			t.Errorf("%v lies ready after %d calls, want nothing after 22", lies, len(did))
		}
	})
}

func TestAFallbackWhoseOldOneWentBeforeTheNewOneFailedIsScheduledAnew(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		s := newShelf(h.clock)
		stop := h.run(t, h.wall, func(c *runner.Config) { c.Scheduler = s })
		h.put("k", h.fallback(1, time.Hour))
		pass(time.Second)
		s.mu.Lock()
		s.errs = []error{nil, &runner.Refusal{Reason: "unreachable", Retry: true}}
		s.mu.Unlock()
		moved := h.at(2 * time.Hour)
		h.put("k", h.fallback(2, 2*time.Hour))
		pass(100 * time.Millisecond)
		stop()
		h.run(t, h.wall, func(c *runner.Config) { c.Scheduler, c.Holder = s, "two" })
		pass(time.Minute)
		wantLies(t, s, map[string]string{"Q2": "1/fallback " + moved},
			"schedule 1/fallback", "unschedule C1 Q1", "schedule 1/fallback", "schedule 1/fallback")
	})
}

func TestAFallbackIsNotScheduledAtTheVeryEndOfALease(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		s := newShelf(h.clock)
		p := &stalling{wall: h.wall, lane: "C1"}
		h.run(t, p, func(c *runner.Config) { c.Scheduler = s })
		h.put("k", h.fallback(1, time.Hour))
		pass(time.Second)
		s.mu.Lock()
		s.takes = 3900 * time.Millisecond
		s.mu.Unlock()
		moved := h.at(2 * time.Hour)
		h.put("k", urgent(entry(2, "1/vent.1")), h.fallback(3, 2*time.Hour)) // the call stalls for 4 s
		pass(time.Minute)
		wantLies(t, s, map[string]string{"Q2": "1/fallback " + moved},
			"schedule 1/fallback", "unschedule C1 Q1", "schedule 1/fallback")
	})
}

func TestAFallbackDoesNotUseThePaceOfNewMessages(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		s := newShelf(h.clock)
		h.run(t, h.wall, func(c *runner.Config) { c.Scheduler = s })
		for b := range uint32(5) {
			e := h.fallback(uint64(b+1), time.Hour)
			e.Key, e.Batch = e.Key+string('a'+rune(b)), b
			h.put("k", e)
		}
		pass(0)
		if lies, _ := s.all(); len(lies) != 5 {
			t.Errorf("%d lie ready at once, want 5", len(lies))
		}
		h.put("k", entry(11, "1/a"), entry(12, "1/b"))
		pass(0)
		if want := []string{"1/a", "1/b"}; len(h.wall.all()) != 2 {
			t.Errorf("shown %v at once, want %v", h.wall.texts(), want)
		}
	})
}
