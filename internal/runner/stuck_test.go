package runner_test

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
)

// told keeps what somebody is told of stuck lanes.
type told struct {
	h  *house
	mu sync.Mutex
	at []string
}

func (o *told) tell(_ context.Context, kitchen, lane, reason string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.at = append(o.at, fmt.Sprintf("%v %s %s %q", o.h.clock.Now().Sub(o.h.wall.began).Round(10*time.Second), kitchen, lane, reason))
	// Whoever is told may put something into an outbox, this lane's included.
	o.h.put(kitchen, inLane("@manager", kindOf(uint64(1000+len(o.at)), kitchen, reason)))
}

func kindOf(seq uint64, _, reason string) kitchen.Entry {
	return kind(kitchen.TroubleCall, batch(0, entry(seq, "0/trouble "+reason)))
}

func (o *told) all() []string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return slices.Clone(o.at)
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
		got := o.all()
		if len(got) != 3 || got[0] != `0s k C1 "channel archived"` || got[1][len(got[1])-len(`"not in channel"`):] != `"not in channel"` ||
			got[2][len(got[2])-2:] != `""` {
			t.Errorf("told %v, want of both reasons once and of the recovery", got)
		}
		want := []string{"0/trouble channel archived", "0/trouble not in channel", "1/slip", "0/trouble ", "1/vent.1"}
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
		if n := len(o.all()); n != 4 {
			t.Errorf("told %v, want four times in 35 minutes", o.all())
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
