package runner_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// summary words what was held up by keys.
func summary(_ kitchen.State, held []kitchen.Entry, _ time.Time) (voice.Message, bool) {
	var keys []string
	for _, e := range held {
		keys = append(keys, e.Key)
	}
	return voice.Message{Lines: []voice.Line{{{Text: "was due: " + strings.Join(keys, ", ")}}}}, true
}

func collapsing(c *runner.Config) { c.Collapse = summary }

// due makes an entry be about a moment that long ago.
func (h *house) due(ago time.Duration, e kitchen.Entry) kitchen.Entry {
	e.Due = h.now().Add(-ago)
	return e
}

func TestTwoHoursOfOutageWithSixCallsAreOneMessage(t *testing.T) {
	for name, refusal := range map[string]*runner.Refusal{
		"unreachable":     {Reason: "unreachable", Retry: true},
		"it never knows":  reset(),
		"asked to slow":   {Reason: "ratelimited", Retry: true, After: 30 * time.Second},
		"the lane sticks": {Reason: "channel archived", Retry: true, Stuck: true, After: 30 * time.Second},
	} {
		t.Run(name, func(t *testing.T) {
			bubble(t, func(t *testing.T, h *house) {
				p := &refusing{wall: h.wall, refuse: map[string][]error{"": often(100000, refusal)}}
				h.run(t, p, finding(&finder{wall: h.wall}), collapsing)
				for i := range 6 {
					e := h.due(0, batch(uint32(i+1), entry(uint64(i+1), fmt.Sprintf("%d/call", i+1))))
					if i%2 == 0 {
						e = urgent(e)
					}
					h.put("k", e)
					pass(20 * time.Minute)
				}
				p.mu.Lock()
				clear(p.refuse)
				p.mu.Unlock()
				pass(time.Minute)
				want := []string{"was due: 1/call, 3/call, 5/call, 2/call, 4/call, 6/call"}
				if diff := cmp.Diff(want, h.wall.texts()); diff != "" {
					t.Errorf("shown (-want +got):\n%s", diff)
				}
				for key, reason := range h.reasons() {
					if reason != "collapsed" {
						t.Errorf("%s is gone for %q, want collapsed", key, reason)
					}
				}
				if n := len(h.reasons()); n != 6 || h.left("k") != 0 {
					t.Errorf("%d gone and %d left, want 6 and none", n, h.left("k"))
				}
				counts := h.tally.counts()
				if counts["vent collapsed"] != 3 || counts["strain collapsed"] != 3 || counts["vent delivered"] != 1 {
					t.Errorf("counted %v, want three of each collapsed and one message", counts)
				}
				if n := len(p.refusals()); n > 400 {
					t.Errorf("tried %d times in two hours, want about every 30 s", n)
				}
				if n := len(h.tally.late["vent"]) + len(h.tally.late["strain"]); n != 6 {
					t.Errorf("%d latenesses observed, want one for each call", n)
				}
			})
		})
	}
}

func TestOnlyCallsLateByMoreThanAMinuteAreCollapsed(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", h.due(2*time.Hour, slip(1)),
			h.due(61*time.Second, entry(2, "1/strain.1")),
			h.due(2*time.Hour, edit(entry(3, "1/vent.1"))),
			h.due(2*time.Hour, kind(kitchen.TroubleCall, entry(4, "1/trouble"))),
			h.due(59*time.Second, urgent(entry(5, "1/vent.2"))),
			h.due(3*time.Minute, batch(2, entry(6, "2/strain.1"))),
			h.due(2*time.Hour, kind(kitchen.HistoryNote, entry(7, "1/history"))),
		)
		h.run(t, h.wall, collapsing)
		pass(time.Minute)
		want := []string{"was due: 1/strain.1, 2/strain.1", "1/slip", "1/trouble", "1/vent.2", "1/history"}
		got := h.wall.texts()
		slices.Sort(want[1:])
		if len(got) > 0 {
			slices.Sort(got[1:])
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("shown (-want +got):\n%s", diff)
		}
		if s := h.record("k", "0/outage.2"); s.TS != "ts1" || s.Seq != 6 {
			t.Errorf("recorded %+v, want Seq 6 of ts1", s)
		}
	})
}

func TestOneLateCallGoesByItself(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", h.due(2*time.Hour, entry(1, "1/strain.1")), h.due(0, entry(2, "1/clear.1")))
		h.run(t, h.wall, collapsing)
		pass(time.Minute)
		if want := []string{"1/strain.1", "1/clear.1"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
	})
}

func TestWhatCantBeCollapsedGoesOneByOne(t *testing.T) {
	for name, change := range map[string]func(*runner.Config){
		"it says no": func(c *runner.Config) {
			c.Collapse = func(kitchen.State, []kitchen.Entry, time.Time) (voice.Message, bool) {
				return voice.Message{}, false
			}
		},
		"nobody can":             func(*runner.Config) {},
		"the platform says no":   collapsing,
		"one of them only stays": collapsing,
	} {
		t.Run(name, func(t *testing.T) {
			bubble(t, func(t *testing.T, h *house) {
				p := &refusing{wall: h.wall, refuse: map[string][]error{
					"was due": often(5, &runner.Refusal{Reason: "bad message"}),
				}}
				h.put("k", h.due(time.Hour, entry(1, "1/strain.1")), h.due(time.Hour, entry(2, "1/clear.1")))
				if name == "one of them only stays" {
					h.say("k", "1/strain.1", "")
				}
				h.run(t, p, change)
				pass(time.Minute)
				want := []string{"1/strain.1", "1/clear.1"}
				if name == "one of them only stays" {
					want = want[1:]
					if n := h.tally.counts()["strain dropped"]; n != 1 {
						t.Errorf("%d dropped, want 1", n)
					}
				}
				if diff := cmp.Diff(want, h.wall.texts()); diff != "" || h.left("k") != 0 {
					t.Errorf("%d left, shown (-want +got):\n%s", h.left("k"), diff)
				}
			})
		})
	}
}

func TestTheEditOfACollapsedCallIsDroppedAndItsNextRungRings(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", h.due(time.Hour, entry(1, "1/vent.1")), h.due(time.Hour, entry(2, "1/contact.1")))
		h.run(t, h.wall, collapsing)
		pass(time.Second)
		h.put("k", edit(entry(3, "1/vent.1")), h.due(0, urgent(entry(4, "1/vent.1.1"))))
		pass(time.Minute)
		if want := []string{"was due: 1/vent.1, 1/contact.1", "1/vent.1.1"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
		if got := h.reasons()["1/vent.1"]; got != "never sent" {
			t.Errorf("the edit is gone for %q, want never sent", got)
		}
	})
}

func TestACollapsedMessageThatWasTakenAfterAllIsNotRepeated(t *testing.T) {
	for _, tt := range []struct {
		name string
		in   func(h *house) // meanwhile
		want []string
	}{
		{"the same calls", func(*house) {}, []string{"was due: 1/a, 1/b"}},
		{"one more", func(h *house) {
			h.put("k", h.due(time.Hour, entry(3, "1/c")))
		}, []string{"was due: 1/a, 1/b", "1/c"}},
		{"two more", func(h *house) {
			h.put("k", h.due(time.Hour, entry(3, "1/c")), h.due(time.Hour, entry(4, "1/d")))
		}, []string{"was due: 1/a, 1/b", "was due: 1/c, 1/d"}},
		{"the first less", func(h *house) { h.say("k", "1/a", "") }, []string{"was due: 1/a, 1/b"}},
		{"the last less", func(h *house) { h.say("k", "1/b", "") }, []string{"was due: 1/a, 1/b"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bubble(t, func(t *testing.T, h *house) {
				h.put("k", h.due(time.Hour, entry(1, "1/a")), h.due(time.Hour, entry(2, "1/b")))
				h.run(t, &lossy{wall: h.wall, lose: []error{reset()}}, collapsing, finding(&finder{wall: h.wall}))
				pass(time.Second)
				tt.in(h)
				pass(time.Minute)
				if diff := cmp.Diff(tt.want, h.wall.texts()); diff != "" || h.left("k") != 0 {
					t.Errorf("%d left, shown (-want +got):\n%s", h.left("k"), diff)
				}
				if got := h.record("k", "0/outage.1"); got.TS != "ts1" || got.Mark != "" {
					t.Errorf("recorded %+v, want ts1 and no doubt", got)
				}
			})
		})
	}
}

func TestEachLaneHasAnOutageOfItsOwn(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", h.due(time.Hour, entry(3, "1/c")), h.due(time.Hour, entry(4, "1/d")))
		other := kitchen.Sent{Key: "0/outage.1", Channel: "C2", At: h.now(), Seq: 1, Digest: "1 2", Mark: "m"}
		h.set(func() { h.sent["k"]["0/outage.1"] = other })
		h.run(t, h.wall, collapsing, finding(&finder{wall: h.wall}))
		pass(time.Minute)
		if want := []string{"was due: 1/c, 1/d"}; !slices.Equal(h.wall.texts(), want) || h.record("k", "0/outage.3").TS != "ts1" {
			t.Errorf("shown %v, recorded %+v, want %v as ts1", h.wall.texts(), h.record("k", "0/outage.3"), want)
		}
		if got := h.record("k", "0/outage.1"); got != other {
			t.Errorf("of the other lane's %+v is left %+v", other, got)
		}
	})
}

func TestALookThatTakesTooLongHoldsNoCall(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		stop := h.run(t, &refusing{wall: h.wall, refuse: map[string][]error{"1/": often(4, reset())}}, finding(nil))
		for i := range 4 {
			h.put("k", h.due(time.Hour, entry(uint64(i+1), fmt.Sprint("1/", i))))
		}
		pass(time.Second)
		stop()
		h.run(t, h.wall, collapsing, finding(hanging{}))
		pass(20 * time.Second)
		want := []string{"was due: 1/0, 1/1, 1/2, 1/3"}
		if diff := cmp.Diff(want, h.wall.texts()); diff != "" {
			t.Errorf("shown (-want +got):\n%s", diff)
		}
	})
}

// hanging is a finder that never answers.
type hanging struct{}

func (hanging) Find(ctx context.Context, _, _ string, _ time.Time) (runner.Posted, bool, error) {
	<-ctx.Done()
	return runner.Posted{}, false, ctx.Err()
}

func TestACallThatBecameLateMeanwhileIsNotTakenForSaid(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", h.due(time.Hour, entry(1, "1/a")), h.due(59*time.Second, entry(2, "1/b")), h.due(time.Hour, entry(3, "1/c")))
		p := &refusing{wall: h.wall, refuse: map[string][]error{"1/b": often(3, &runner.Refusal{Reason: "server error", Retry: true})}}
		h.run(t, losing{p, "was due", new(atomic.Int32)}, collapsing, finding(&finder{wall: h.wall}))
		pass(time.Minute)
		if want := []string{"was due: 1/a, 1/c", "1/b"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
	})
}

// losing loses the answer to the first message whose text begins so.
type losing struct {
	*refusing
	prefix string
	lost   *atomic.Int32
}

func (l losing) Post(ctx context.Context, p runner.Posting) (runner.Posted, error) {
	at, err := l.refusing.Post(ctx, p)
	if err == nil && strings.HasPrefix(p.Message.Plain(), l.prefix) && l.lost.Add(1) == 1 {
		return runner.Posted{}, reset()
	}
	return at, err
}

func TestWhatAKilledRunnerSaidOfAnOutageIsFound(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", h.due(time.Hour, entry(1, "1/a")), h.due(time.Hour, entry(2, "1/b")))
		h.killed(t, collapsing)
		h.run(t, h.wall, collapsing, finding(&finder{wall: h.wall}))
		pass(time.Minute)
		if want := []string{"was due: 1/a, 1/b"}; !slices.Equal(h.wall.texts(), want) || h.left("k") != 0 {
			t.Errorf("shown %v with %d left, want %v and none", h.wall.texts(), h.left("k"), want)
		}
	})
}

func TestCallsThatStandAlreadyAreNotCollapsed(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &lossy{wall: h.wall, lose: []error{reset()}}
		f := &finder{wall: h.wall}
		stop := h.run(t, p, collapsing, finding(f))
		h.put("k", h.due(0, entry(1, "1/a")))
		pass(time.Second)
		stop()
		pass(time.Hour)
		h.put("k", h.due(time.Hour, entry(2, "1/b")), h.due(time.Hour, entry(3, "1/c")))
		h.run(t, p, collapsing, finding(f))
		pass(time.Minute)
		if want := []string{"1/a", "was due: 1/b, 1/c"}; !slices.Equal(h.wall.texts(), want) || h.left("k") != 0 {
			t.Errorf("shown %v with %d left, want %v and none", h.wall.texts(), h.left("k"), want)
		}
	})
}

func TestACollapsedMessageNobodyCanLookUpIsRepeatedAndSaysSo(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", h.due(time.Hour, entry(1, "1/a")), h.due(time.Hour, entry(2, "1/b")))
		h.run(t, &lossy{wall: h.wall, lose: []error{reset()}}, collapsing, finding(&finder{wall: h.wall, err: errScope}))
		pass(time.Hour)
		want := []string{"was due: 1/a, 1/b", "was due: 1/a, 1/b\n(repeat)"}
		if diff := cmp.Diff(want, h.wall.texts()); diff != "" || h.left("k") != 0 {
			t.Errorf("%d left, shown (-want +got):\n%s", h.left("k"), diff)
		}
	})
}

func TestWhatCantBeWordedIsNotCollapsed(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", h.due(time.Hour, entry(1, "1/a")), h.due(time.Hour, entry(2, "1/b")), h.due(time.Hour, entry(3, "1/c")))
		h.run(t, h.wall, collapsing, func(c *runner.Config) {
			c.Word = func(s kitchen.State, e kitchen.Entry, now time.Time) (voice.Message, string, error) {
				if e.Key == "1/b" {
					return voice.Message{}, "", errors.New("broken")
				}
				return words(s, e, now)
			}
		})
		pass(10 * time.Minute)
		if want := []string{"was due: 1/a, 1/c"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
		if got := h.reasons()["1/b"]; got != "not worded" {
			t.Errorf("gone for %q, want not worded", got)
		}
	})
}
