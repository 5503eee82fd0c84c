package runner_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
)

// told keeps what somebody is told of stuck lanes.
type told struct {
	h    *house
	mu   sync.Mutex
	said []string
}

func (o *told) tell(_ context.Context, name, lane, reason string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.said = append(o.said, fmt.Sprintf("%s %s %q", name, lane, reason))
	if reason != "" { // whoever is told has a manager told
		e := kind(kitchen.TroubleCall, batch(0, entry(uint64(1000+len(o.said)), "0/trouble "+reason)))
		o.h.put(name, inLane("@manager", e))
	}
}

// of gives what was told of a lane.
func (o *told) of(lane string) (said []string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, s := range o.said {
		if strings.HasPrefix(s, "k "+lane+" ") {
			said = append(said, strings.TrimPrefix(s, "k "+lane+" "))
		}
	}
	return said
}

// stuckFor is a refusal that waiting does not mend.
func stuckFor(reason string) *runner.Refusal { return &runner.Refusal{Reason: reason, Stuck: true} }

func TestAStuckLaneIsToldOfOnceAndWhenItRecovers(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{
			"1/": append(often(4, stuckFor("channel archived")), often(3, stuckFor("not in channel"))...),
		}}
		o := &told{h: h}
		h.put("k", slip(1), urgent(entry(2, "1/vent.1")))
		h.run(t, p, func(c *runner.Config) { c.Stuck = o.tell })
		pass(10 * time.Minute)
		want := []string{`"channel archived"`, `"not in channel"`, `""`}
		if diff := cmp.Diff(want, o.of("C1")); diff != "" {
			t.Errorf("told (-want +got):\n%s", diff)
		}
		want = []string{"0/trouble channel archived", "0/trouble not in channel", "1/slip", "1/vent.1"}
		shown := h.wall.texts()
		slices.Sort(want)
		slices.Sort(shown)
		if diff := cmp.Diff(want, shown); diff != "" {
			t.Errorf("shown (-want +got):\n%s", diff)
		}
		for _, w := range waits(p.refusals()) {
			if w < 30*time.Second || w > 34*time.Second {
				t.Errorf("tried again after %v, want 30 s and a little", w)
			}
		}
		if len(h.reasons()) > 0 {
			t.Errorf("gone: %v, want nothing", h.reasons())
		}
	})
}

func TestALaneThatStaysStuckIsToldOfEveryTenMinutes(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{"1/": often(1000, stuckFor("token refused"))}}
		o := &told{h: h}
		h.put("k", slip(1), entry(2, "1/strain.1"))
		h.run(t, p, func(c *runner.Config) { c.Stuck = o.tell })
		pass(35 * time.Minute)
		if said := o.of("C1"); len(said) != 4 {
			t.Errorf("told %v, want four times in 35 minutes", said)
		}
		if len(h.reasons()) > 0 || h.left("k") != 2 {
			t.Errorf("gone %v with %d left, want nothing and both", h.reasons(), h.left("k"))
		}
		h.say("k", "1/slip", "") // what no longer applies goes all the same
		pass(time.Minute)
		if got := h.reasons()["1/slip"]; got != "over" {
			t.Errorf("the slip is gone for %q, want over", got)
		}
	})
}

func TestTheFirstMessageInALaneSaysThatItIsNotStuck(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		o := &told{h: h}
		h.put("k", slip(1))
		h.run(t, h.wall, func(c *runner.Config) { c.Stuck = o.tell })
		pass(time.Minute)
		h.put("k", entry(2, "1/strain.1"))
		pass(time.Minute)
		if diff := cmp.Diff([]string{`""`}, o.of("C1")); diff != "" {
			t.Errorf("told (-want +got):\n%s", diff)
		}
	})
}

func TestAStuckLaneHoldsNoOtherAndNobodyNeedBeTold(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &refusing{wall: h.wall, refuse: map[string][]error{"1/": often(3, stuckFor("channel archived"))}}
		h.put("k", slip(1), inLane("C2", batch(2, entry(2, "2/vent.1"))))
		h.run(t, p)
		pass(5 * time.Minute)
		all := h.wall.all()
		if len(all) != 2 || all[0].Text != "2/vent.1" || all[0].At != 0 || all[1].Text != "1/slip" {
			t.Errorf("shown %v, want the other lane at once and then the slip", all)
		}
	})
}
