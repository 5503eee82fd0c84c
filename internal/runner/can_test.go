package runner_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// note is batch 1's history.
func note(seq uint64) kitchen.Entry { return kind(kitchen.HistoryNote, entry(seq, "1/history")) }

func TestAHistoryHangsBelowItsSlipAndIsEditedThere(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, h.wall)
		h.put("k", note(1), slip(2), batch(2, kind(kitchen.Slip, entry(3, "2/slip"))))
		pass(10 * time.Second)
		h.say("k", "1/history", "charged, vented")
		h.put("k", note(4))
		pass(10 * time.Second)
		wantShown(t, h.wall,
			shown{Lane: "C1", Text: "1/slip"},
			shown{Lane: "C1", Text: "2/slip"},
			shown{At: time.Second, Lane: "C1", Text: "1/history", Thread: "ts1"},
			shown{At: 10 * time.Second, Lane: "C1", Text: "charged, vented", Edit: true})
	})
}

func TestAHistoryWaitsForItsSlip(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/slip": often(5, &runner.Refusal{Reason: "unreachable", Retry: true}),
		}}
		h.put("k", slip(1), note(2))
		h.run(t, p)
		pass(time.Minute)
		if want := []string{"1/slip", "1/history"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
	})
}

func TestAHistoryWithoutItsSlipIsDropped(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", note(1))
		h.run(t, h.wall)
		pass(time.Second)
		wantShown(t, h.wall)
		if got := h.reasons()["1/history"]; got != "no slip" {
			t.Errorf("gone for %q, want no slip", got)
		}
	})
}

func TestAHistoryWhoseSlipVanishedIsRecordedWhereItStands(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, h.wall)
		h.put("k", slip(1))
		pass(10 * time.Second)
		h.wall.tearDown("ts1")
		h.put("k", note(2))
		pass(10 * time.Second)
		if got := h.record("k", "1/history"); got.TS != "ts2" || h.left("k") != 0 {
			t.Errorf("recorded %+v with %d left, want ts2 and none", got, h.left("k"))
		}
	})
}

func TestAPlatformIsAskedOnlyForWhatItCan(t *testing.T) {
	for _, tt := range []struct {
		name  string
		can   voice.Can
		want  []string
		notes string // why the history is gone
	}{
		{"everything", voice.Can{Edit: true, Thread: true}, []string{"1/slip", "1/history", "rest", "1/vent.1", "vented"}, ""},
		{"no threads", voice.Can{Edit: true}, []string{"1/slip", "rest", "1/vent.1", "vented"}, "no threads"},
		{"no edits", voice.Can{Thread: true}, []string{"1/slip", "1/vent.1"}, "no threads"},
		{"neither", voice.Can{}, []string{"1/slip", "1/vent.1"}, "no threads"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bubble(t, func(t *testing.T, h *house) {
				h.wall.can = tt.can
				h.run(t, h.wall)
				h.put("k", slip(1), note(2))
				pass(10 * time.Second)
				h.say("k", "1/slip", "rest")
				h.put("k", slip(3))
				pass(10 * time.Second)
				h.put("k", urgent(entry(4, "1/vent.1")))
				pass(10 * time.Second)
				h.say("k", "1/vent.1", "vented")
				h.put("k", edit(entry(5, "1/vent.1")))
				pass(10 * time.Second)
				if diff := cmp.Diff(tt.want, h.wall.texts()); diff != "" || h.left("k") != 0 {
					t.Errorf("%d left, shown (-want +got):\n%s", h.left("k"), diff)
				}
				if got := h.reasons()["1/history"]; got != tt.notes {
					t.Errorf("the history is gone for %q, want %q", got, tt.notes)
				}
			})
		})
	}
}

func TestAQuestionIsNotPostedWhereItCannotBeWordedAnew(t *testing.T) {
	for name, can := range map[string]bool{"edits": true, "no edits": false} {
		t.Run(name, func(t *testing.T) {
			bubble(t, func(t *testing.T, h *house) {
				h.wall.can = voice.Can{Edit: can}
				h.put("k", kind(kitchen.QuestionNote, entry(1, "9/question.1")))
				h.run(t, h.wall)
				pass(time.Second)
				if got := h.reasons()["9/question.1"]; (got == "no edits") == can || (len(h.wall.texts()) == 1) != can {
					t.Errorf("shown %v, gone for %q", h.wall.texts(), got)
				}
			})
		})
	}
}
