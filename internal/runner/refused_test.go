package runner_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// often gives n times the same refusal.
func often(n int, r *runner.Refusal) []error {
	return slices.Repeat([]error{r}, n)
}

// The three shapes in which Slack asks to slow down are told apart by the room
// that speaks to it; here they differ in the time they name.
func TestARequestToSlowDownStopsTheLaneForItsTime(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name  string
		after time.Duration
		want  time.Duration
	}{
		{"429 with Retry-After", 7 * time.Second, 7 * time.Second},
		{"429 without", 0, time.Second},
		{"ratelimited in a 200", 5 * time.Second, 5 * time.Second},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bubble(t, func(t *testing.T, h *house) {
				p := &refusing{wall: h.wall, refuse: map[string][]error{
					"1/slip": {&runner.Refusal{Reason: "ratelimited", Retry: true, After: tt.after}},
				}}
				h.put("k", entry(1, "1/slip"), entry(2, "1/strain.1"))
				h.put("k2", inLane("C2", entry(1, "other lane")))
				h.run(t, p)
				pass(time.Minute)
				all := h.wall.all()
				if len(all) != 3 || all[0].Text != "other lane" || all[0].At != 0 {
					t.Fatalf("shown %v, want the other lane at once, then both", all)
				}
				if all[1].Text != "1/slip" || all[1].At < tt.want || all[1].At > tt.want*11/10+10*time.Millisecond {
					t.Errorf("shown %v first, want 1/slip after %v and a little", all[1], tt.want)
				}
				if n := h.tally.counts()["strain retried"]; n != 1 {
					t.Errorf("%d retried, want 1", n)
				}
			})
		})
	}
}

func TestSlowingDownIsNeverGivenUp(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/slip": often(50, &runner.Refusal{Reason: "ratelimited", Retry: true, After: time.Second}),
		}}
		h.put("k", entry(1, "1/slip"))
		h.run(t, p)
		pass(2 * time.Minute)
		if want := []string{"1/slip"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
	})
}

// waits gives the time between refusals, to the tenth of a second.
func waits(asked []time.Duration) []time.Duration {
	var gaps []time.Duration
	for i := 1; i < len(asked); i++ {
		gaps = append(gaps, (asked[i] - asked[i-1]).Round(100*time.Millisecond))
	}
	return gaps
}

func TestAFailedMessageIsTriedEverMoreSlowlyAndGivenUpWhenItsLaneTakesOthers(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/slip": often(100, &runner.Refusal{Reason: "server error", Retry: true}),
		}}
		h.put("k", entry(1, "1/slip"))
		h.run(t, p)
		for i := range 60 {
			pass(5 * time.Second)
			h.put("k", batch(2, entry(uint64(i+2), fmt.Sprintf("2/m%d", i))))
		}
		want := []time.Duration{5e8, 1e9, 2e9, 4e9, 8e9, 16e9, 30e9}
		if diff := cmp.Diff(want, waits(p.refusals())[:7]); diff != "" {
			t.Errorf("waits (-want +got):\n%s", diff)
		}
		// The first, and from 7.5 s on seven before each of which others came.
		if n := len(p.refusals()); n != 11 {
			t.Errorf("it was tried %d times, want 11", n)
		}
		if got := h.reasons()["1/slip"]; got != "server error" {
			t.Errorf("gone for %q, want server error", got)
		}
		if n := h.log.count("ERROR message given up"); n != 1 {
			t.Errorf("the log says it was given up %d times, want once", n)
		}
		if n := h.tally.counts()["strain given_up"]; n != 1 {
			t.Errorf("%d counted as given up, want 1", n)
		}
	})
}

func TestInAnOutageNothingIsGivenUp(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/slip":   often(100, &runner.Refusal{Reason: "unreachable", Retry: true}),
			"1/strain": often(100, reset()),
		}}
		h.put("k", entry(1, "1/slip"), entry(2, "1/strain.1"))
		h.run(t, p)
		pass(2 * time.Hour)
		p.mu.Lock()
		clear(p.refuse)
		p.mu.Unlock()
		pass(11 * time.Minute)
		texts := h.wall.texts()
		slices.Sort(texts)
		if want := []string{"1/slip", "1/strain.1"}; !slices.Equal(texts, want) || len(h.reasons()) > 0 {
			t.Errorf("shown %v and gone %v, want %v and nothing", texts, h.reasons(), want)
		}
	})
}

func TestAnUrgentMessageIsNeverGivenUpWhileItMayHelp(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/vent": often(12, &runner.Refusal{Reason: "server error", Retry: true}),
		}}
		h.put("k", urgent(entry(1, "1/vent.1")))
		h.run(t, p)
		pass(10 * time.Minute)
		want := []time.Duration{5e8, 1e9, 2e9, 4e9, 8e9, 16e9, 30e9, 30e9, 30e9, 30e9, 30e9}
		if diff := cmp.Diff(want, waits(p.refusals())); diff != "" {
			t.Errorf("waits (-want +got):\n%s", diff)
		}
		if n := h.log.count("ERROR urgent message still not delivered"); n != 5 {
			t.Errorf("the log was loud %d times, want 5: at each refusal from the eighth on", n)
		}
		if want := []string{"1/vent.1"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
	})
}

func TestWhatIsRefusedForGoodIsGivenUpAtOnceAndOthersGoOn(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/slip": often(100, &runner.Refusal{Reason: "bad message", Err: errors.New("msg_too_long")}),
		}}
		h.put("k", entry(1, "1/slip"), entry(2, "1/strain.1"))
		h.run(t, p)
		pass(time.Minute)
		wantShown(t, h.wall, shown{Lane: "C1", Text: "1/strain.1"})
		if len(p.refusals()) != 1 || h.reasons()["1/slip"] != "bad message" {
			t.Errorf("asked %d times and gone for %q, want once and bad message", len(p.refusals()), h.reasons()["1/slip"])
		}
		if h.log.count("ERROR message given up") != 1 || h.tally.counts()["strain given_up"] != 1 {
			t.Error("a message was given up without a word")
		}
	})
}

func TestAFailingMessageHoldsNobodyInItsLane(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/": often(100, &runner.Refusal{Reason: "server error", Retry: true}),
		}}
		h.put("k", batch(1, entry(1, "1/slip")), urgent(batch(1, entry(2, "1/vent.1"))), batch(2, entry(3, "2/slip")))
		h.run(t, p)
		pass(time.Minute)
		h.put("k", urgent(batch(2, entry(4, "2/vent.1"))))
		pass(time.Second)
		wantShown(t, h.wall,
			shown{At: 0, Lane: "C1", Text: "2/slip"},
			shown{At: h.wall.all()[1].At, Lane: "C1", Text: "2/vent.1"})
		if late := h.wall.all()[1].At - time.Minute; late > time.Second {
			t.Errorf("a vent call waited %v behind a failing message, want at most a second", late)
		}
	})
}

func TestALiftedMessageThatFailsDoesNotHoldItsVentCall(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/slip": often(6, &runner.Refusal{Reason: "server error", Retry: true}),
		}}
		h.put("k", entry(1, "1/slip"))
		h.run(t, p)
		pass(5 * time.Second)
		asked := len(p.refusals())
		h.put("k", urgent(entry(2, "1/vent.1")))
		pass(time.Second)
		if len(p.refusals()) != asked+1 {
			t.Errorf("the older message was tried %d times with the vent call, want once", len(p.refusals())-asked)
		}
		if want := []string{"1/vent.1"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
	})
}

func TestAfterAnOutageTheOlderMessagesOfTheBatchComeBeforeItsVentCall(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/": often(5, &runner.Refusal{Reason: "unreachable", Retry: true}),
		}}
		h.put("k", entry(1, "1/slip"))
		h.run(t, p)
		pass(2 * time.Second) // three failures
		h.put("k", urgent(entry(2, "1/vent.1")))
		pass(time.Minute)
		if want := []string{"1/slip", "1/vent.1"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
	})
}

func TestWhereThePlatformNamesATimeTheWholeLaneWaits(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/slip": {&runner.Refusal{Reason: "not in channel", Retry: true, After: 30 * time.Second}},
		}}
		h.put("k", entry(1, "1/slip"), batch(2, entry(2, "2/slip")))
		h.run(t, p)
		pass(29 * time.Second)
		wantShown(t, h.wall)
		pass(5 * time.Second)
		if want := []string{"1/slip", "2/slip"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
	})
}

func TestWhatMayHaveBeenTakenIsTriedAgainAfterTwoSeconds(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/slip": {&runner.Refusal{Reason: "timeout", Retry: true, Unsure: true}},
			"2/slip": {errors.New("something nobody foresaw")},
		}}
		h.put("k", entry(1, "1/slip"))
		h.put("k2", inLane("C2", entry(1, "2/slip")))
		h.run(t, p)
		pass(time.Minute)
		all := h.wall.all()
		if len(all) != 2 {
			t.Fatalf("shown %v, want both", all)
		}
		for _, s := range all {
			if s.At < 2*time.Second || s.At > 2100*time.Millisecond {
				t.Errorf("%s came after %v, want 2s", s.Text, s.At)
			}
		}
	})
}

func TestAMessageThatVanishedIsPostedAnew(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, h.wall)
		h.put("k", entry(1, "1/slip"), entry(2, "1/vent.1"))
		pass(10 * time.Second)
		h.wall.tearDown("ts1")
		h.wall.tearDown("ts2")
		h.say("k", "1/slip", "strain")
		h.say("k", "1/vent.1", "undone")
		h.put("k", entry(3, "1/slip"), edit(entry(4, "1/vent.1")))
		pass(10 * time.Second)
		wantShown(t, h.wall,
			shown{Lane: "C1", Text: "1/slip"},
			shown{Lane: "C1", Text: "1/vent.1"},
			shown{At: 10 * time.Second, Lane: "C1", Text: "strain"})
		if got := h.reasons()["1/vent.1"]; got != "vanished" {
			t.Errorf("the correction of what vanished is gone for %q, want vanished", got)
		}
		if s := h.record("k", "1/slip"); s.TS != "ts3" || s.Seq != 3 {
			t.Errorf("recorded %+v, want Seq 3 of ts3", s)
		}
	})
}

func TestWhatCannotBeWordedIsRetriedAndGivenUpUnlessANewerProgramWroteIt(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", entry(1, "1/slip"), entry(2, "1/newer"), urgent(batch(2, entry(3, "2/vent.1"))))
		h.run(t, h.wall, func(c *runner.Config) {
			c.Word = func(s kitchen.State, e kitchen.Entry, now time.Time) (voice.Message, string, error) {
				switch e.Key {
				case "1/slip":
					return voice.Message{}, "", errors.New("decode kitchen: cut short")
				case "1/newer":
					return voice.Message{}, "", fmt.Errorf("decode kitchen: %w", kitchen.ErrNewer)
				}
				return words(s, e, now)
			}
		})
		pass(10 * time.Minute)
		wantShown(t, h.wall, shown{Lane: "C1", Text: "2/vent.1"})
		if diff := cmp.Diff(map[string]string{"1/slip": "not worded"}, h.reasons()); diff != "" {
			t.Errorf("gone (-want +got):\n%s", diff)
		}
	})
}

// Slack counts edits apart from new messages (docs.slack.dev rate limits are
// per method), so an edit that has to wait holds no call.
func TestAnEditThatHasToWaitHoldsNoCall(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"rest": {&runner.Refusal{Reason: "ratelimited", Retry: true, After: 20 * time.Second}},
		}}
		h.put("k", entry(1, "1/slip"))
		h.run(t, p)
		pass(10 * time.Second)
		h.say("k", "1/slip", "rest")
		h.put("k", entry(2, "1/slip"), urgent(entry(3, "1/vent.1")))
		pass(5 * time.Second)
		wantShown(t, h.wall,
			shown{Lane: "C1", Text: "1/slip"},
			shown{At: 10 * time.Second, Lane: "C1", Text: "1/vent.1"})
		if n := h.tally.counts()["strain retried"]; n != 1 {
			t.Errorf("the edit was tried again %d times while it was held, want once", n)
		}
	})
}
