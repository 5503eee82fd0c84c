package kitchen_test

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"ventbell/internal/kitchen"
)

var owner2 = kitchen.Person{ID: "U8", Name: "owner"} // a second manager

// two is a team of two managers.
var two = kitchen.Team{Channel: "C1", Managers: []kitchen.Person{lead, owner2}}

// keys gives the keys that were queued since the world last looked, with a
// word in them.
func (w *world) keys(word string) []string {
	keys := slices.Sorted(maps.Keys(w.out))
	return slices.DeleteFunc(keys, func(key string) bool { return !strings.Contains(key, word) })
}

func TestTroubleIsToldToWhomItConcerns(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name, lane string
		want       []string
	}{
		{"the channel: the managers, and who owns pressure", "C1", []string{"0/trouble.1@U1", "0/trouble.1@U8", "0/trouble.1@U9"}},
		{"a hand's own lane: the managers", "@U1", []string{"0/trouble.1@U8", "0/trouble.1@U9"}},
		{"a manager's own lane: the others", "@U9", []string{"0/trouble.1@U8"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			w := charged(t)
			w.team = two
			w.say(bar2, "start ginger gin 400ml in B") // no gas: not told
			w.trouble(test.lane, "channel archived")
			if diff := cmp.Diff(test.want, w.keys("trouble")); diff != "" {
				t.Errorf("told (-want +got):\n%s", diff)
			}
			for _, key := range test.want {
				if e := w.out[key]; !e.Urgent || e.Edit || e.Kind != kitchen.TroubleCall || e.Lane != "@"+key[len("0/trouble.1@"):] || e.Turn != 1 {
					t.Errorf("queued %+v", e)
				}
			}
			ts := w.kitchen().Head.Troubles
			if len(ts) != 1 || ts[0].Lane != test.lane || ts[0].Reason != "channel archived" || ts[0].Since != kitchen.At(w.now) {
				t.Errorf("the kitchen notes %+v", ts)
			}
		})
	}
}

func TestTheSameTroubleIsToldOnceAndItsEndOnlyCorrects(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.trouble("C1", "")
	w.trouble("C1", "not in channel")
	logged, written := len(w.log), maps.Clone(w.fields)
	w.pass(time.Minute)
	w.trouble("C1", "not in channel")
	if diff := cmp.Diff(written, w.fields); diff != "" || len(w.log) != logged || logged != 1 {
		t.Errorf("told again, %d lines:\n%s", len(w.log), diff)
	}
	w.trouble("C1", "channel archived")
	if got := w.keys("trouble"); !slices.Equal(got, []string{"0/trouble.1@U9", "0/trouble.2@U9"}) {
		t.Errorf("told %v, want the new reason too", got)
	}
	posted := len(w.posted)
	w.trouble("C1", "")
	if e := w.out["0/trouble.2@U9"]; !e.Edit || len(w.posted) != posted {
		t.Errorf("its end queued %+v and posted %v", e, w.posted[posted:])
	}
	if len(w.kitchen().Head.Troubles) != 0 || w.log[len(w.log)-1].Event != "lane takes messages again" {
		t.Errorf("the kitchen still notes %+v", w.kitchen().Head.Troubles)
	}
	k := w.kitchen()
	ch, _ := k.Handle(nil, nil, team, kitchen.Command{ID: "t", Trouble: &kitchen.Trouble{Lane: "C1", Reason: "token refused"}}, w.now)
	if !slices.Equal(ch.Forget, []uint32{0}) {
		t.Errorf("a new trouble forgets %v, want what was sent about those before", ch.Forget)
	}
	w.apply(ch)
	if got := w.keys("trouble.3"); len(got) != 1 {
		t.Errorf("a later trouble has the keys %v, want one of its own", got)
	}
}

func TestTroubleNeedsNoReaderAndChangesNoBatch(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(4 * time.Minute) // called twice
	before := w.kitchen()
	k := w.kitchen()
	due := k.Next()
	ch, a := k.Handle(nil, nil, team, kitchen.Command{ID: "t", Trouble: &kitchen.Trouble{Lane: "C1", Reason: "token refused"}}, w.now)
	if a.Kind != kitchen.Done || len(ch.Log) != 1 {
		t.Errorf("answer %+v, log %+v", a, ch.Log)
	}
	if diff := cmp.Diff(before.Batches, k.Batches, cmpopts.EquateEmpty()); diff != "" || ch.Due != due.Time() {
		t.Errorf("a batch changed:\n%s", diff)
	}
	if diff := cmp.Diff([]string{"h"}, slices.Collect(maps.Keys(ch.Set))); diff != "" {
		t.Errorf("fields written (-want +got):\n%s", diff)
	}
}

func TestWhatTheChannelSwallowedGoesToPeopleDirectly(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.team = two
	w.pass(170 * time.Second) // the vent call, and its second call after 30 s: nobody saw them
	w.wantPhase("A", kitchen.Venting)
	made := w.calls(kitchen.VentCall)
	w.trouble("C1", "channel archived")
	for _, who := range []string{"U1", "U8", "U9"} {
		key := made[len(made)-1] + "@" + who
		e, ok := w.out[key]
		if !ok || e.Lane != "@"+who || !e.Urgent || e.Edit || e.Batch != 1 || e.Kind != kitchen.VentCall {
			t.Errorf("%s: queued %+v", key, e)
		}
	}

	posted := len(w.posted)
	w.pass(2 * time.Minute)
	next := w.posted[posted:]
	if !slices.Contains(next, "1/vent.1.2") || !slices.Contains(next, "1/vent.1.2@U1") || !slices.Contains(next, "1/vent.1.2@U9") {
		t.Errorf("the next call went to %v, want the channel's lane and people", next)
	}
	w.say(larder, "charged A")
	if got := w.keys("/stop.0.1@"); len(got) != 3 {
		t.Errorf("the stop went directly to %v", got)
	}

	w.trouble("C1", "")
	posted = len(w.posted)
	w.pass(3 * time.Minute)
	for _, key := range w.posted[posted:] {
		if strings.Contains(key, "@") {
			t.Errorf("%s was posted though the channel takes messages again", key)
		}
	}
	w.say(bar1, "vented A")
	if e := w.out["1/vent.1.2@U1"]; !e.Edit {
		t.Errorf("what was said directly still asks to vent: %+v", e)
	}
	if e := w.out["1/vent.1@U1"]; e.Key != "" && !e.Edit {
		t.Errorf("posted anew: %+v", e)
	}
	w.say(bar1, "strained A")
	w.say(bar1, "labelled A")
	w.pass(20 * time.Minute)
	if b := w.kitchen().Head.Beside; len(b) != 0 {
		t.Errorf("the batch left, and its copies stay: %v", b)
	}
}

func TestEveryKindOfCallGoesDirectlyWhileTheChannelIsDown(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.trouble("C1", "not in channel")
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.pass(5 * time.Minute)  // charging stands still
	w.pass(30 * time.Minute) // over the contact cap
	w.say(bar1, "charged A")
	w.pass(3 * time.Minute)
	w.say(bar1, "vented A")
	w.pass(4 * time.Minute)
	for _, kind := range []kitchen.EntryKind{kitchen.ChargeCall, kitchen.ContactCall, kitchen.VentCall, kitchen.StrainCall} {
		channel, people := 0, 0
		for _, key := range w.calls(kind) {
			if strings.HasSuffix(key, "@U9") {
				people++
			} else if !strings.Contains(key, "@") {
				channel++
			}
		}
		if channel == 0 || people != channel {
			t.Errorf("%s: %d to the channel, %d to the manager: %v", kind, channel, people, w.calls(kind))
		}
	}
	if w.lanes["C1"] == 0 || len(w.keys("slip@")) != 0 {
		t.Errorf("entries for the channel: %v", w.lanes)
	}
}

// A ledger takes 500 values; half of them is enough, whatever the team looks like.
func TestTroubleNeverMakesAChangeTooBig(t *testing.T) {
	t.Parallel()
	w := charged(t)
	for _, id := range strings.Split("abcdefghijklmnopqrst", "") {
		w.team.Managers = append(w.team.Managers, kitchen.Person{ID: id})
	}
	for i, line := range []string{"start ginger gin 400ml in B", "start thyme oil 600ml in C", "start smoky tea rum 200ml in D"} {
		w.say(bar1, line)
		w.say(bar1, "charged "+"BCD"[i:i+1])
		w.say(bar1, "charged "+"BCD"[i:i+1])
	}
	size := func(ch kitchen.Change) int { return len(ch.Set) + len(ch.Outbox) + len(ch.Log) + len(ch.Archive) }
	w.trouble("C1", "token refused")
	w.now = w.now.Add(2 * time.Hour)
	ch := w.kitchen().Ring(w.now)
	if n := size(ch); n > 250 {
		t.Errorf("ringing four batches writes %d values", n)
	}
	w.apply(ch)
	w.pass(time.Hour)
	ask := w.say(bar1, "scrap A")
	ch, _ = w.kitchen().Handle(reader(), sample(), w.team, kitchen.Command{ID: "x", Tap: &ask.Choices[0].Tap, By: bar1, At: w.now}, w.now)
	if n := size(ch); n > 250 {
		t.Errorf("scrapping a batch writes %d values", n)
	}
}
