package runner_test

import (
	"context"
	"fmt"
	"log/slog"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/clock"
	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
)

// house is a runner over an outbox in memory, inside a bubble.
type house struct {
	*office
	wall  *wall
	log   page
	tally *tally
}

// bubble runs test inside a synctest bubble, with the ledger's clock behind the
// runner's.
func bubble(t *testing.T, test func(t *testing.T, h *house)) {
	t.Helper()
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Wall()
		test(t, &house{newOffice(c, -behind), newWall(c), newPage(t), newTally()})
	})
}

// run starts a runner and gives what stops it and waits for it.
func (h *house) run(t *testing.T, p runner.Poster, change ...func(*runner.Config)) (stop func()) {
	t.Helper()
	return h.runIn(t.Context(), t, p, change...)
}

func (h *house) runIn(ctx context.Context, t *testing.T, p runner.Poster, change ...func(*runner.Config)) (stop func()) {
	t.Helper()
	cfg := runner.Config{
		Ledger: h.office, Poster: p, Word: words, Clock: h.clock,
		Log: slog.New(h.log), Observe: h.tally, Holder: "one",
	}
	for _, f := range change {
		f(&cfg)
	}
	ctx, cancel := context.WithCancel(ctx)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		if err := runner.New(cfg).Run(ctx); err != nil {
			t.Errorf("Run() = %v", err)
		}
	}()
	stop = func() { cancel(); <-ended }
	t.Cleanup(stop)
	return stop
}

// pass lets d go by and everything settle.
func pass(d time.Duration) {
	time.Sleep(d)
	synctest.Wait()
}

// entry is an entry of batch 1 that says its key.
func entry(seq uint64, key string) kitchen.Entry {
	return kitchen.Entry{Key: key, Lane: "C1", Kind: kitchen.StrainCall, Batch: 1, Seq: seq}
}

func urgent(e kitchen.Entry) kitchen.Entry {
	e.Urgent, e.Kind = true, kitchen.VentCall
	return e
}

func edit(e kitchen.Entry) kitchen.Entry {
	e.Edit = true
	return e
}

func batch(n uint32, e kitchen.Entry) kitchen.Entry {
	e.Batch = n
	return e
}

func inLane(lane string, e kitchen.Entry) kitchen.Entry {
	e.Lane = lane
	return e
}

// wantShown fails unless the wall shows just this, in this order.
func wantShown(t *testing.T, w *wall, want ...shown) {
	t.Helper()
	if diff := cmp.Diff(want, w.all()); diff != "" {
		t.Errorf("shown (-want +got):\n%s", diff)
	}
}

func TestAMessageIsPostedOnceAndRecorded(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, h.wall)
		pass(time.Minute)
		e := entry(7, "1/strain.2")
		e.Due = h.now().Add(-3 * time.Second)
		h.put("k", e)
		pass(time.Minute)
		wantShown(t, h.wall, shown{At: time.Minute, Lane: "C1", Text: "1/strain.2"})
		got := h.record("k", "1/strain.2")
		if got.Digest == "" {
			t.Error("no digest was recorded")
		}
		want := kitchen.Sent{
			Key: "1/strain.2", Channel: "C1", TS: "ts1", Seq: 7, Digest: got.Digest,
			At: h.now().Add(-time.Minute),
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("recorded (-want +got):\n%s", diff)
		}
		if diff := cmp.Diff(map[kitchen.EntryKind][]time.Duration{"strain": {3 * time.Second}}, h.tally.late); diff != "" {
			t.Errorf("lateness observed (-want +got):\n%s", diff)
		}
		if diff := cmp.Diff(map[string]int{"strain delivered": 1}, h.tally.counts()); diff != "" {
			t.Errorf("counted (-want +got):\n%s", diff)
		}
	})
}

func TestWhatStandsIsEditedAndOnlyWhenItsWordsChange(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, h.wall)
		h.put("k", entry(1, "1/slip"))
		pass(time.Second)
		h.put("k", entry(2, "1/slip"))
		pass(time.Second)
		h.say("k", "1/slip", "swirl")
		h.put("k", entry(3, "1/slip"))
		pass(time.Second)
		wantShown(t, h.wall,
			shown{At: 0, Lane: "C1", Text: "1/slip"},
			shown{At: 2 * time.Second, Lane: "C1", Text: "swirl", Edit: true})
		if s := h.record("k", "1/slip"); s.Seq != 3 || s.TS != "ts1" || h.now().Sub(s.At) != 3*time.Second {
			t.Errorf("recorded %+v, want Seq 3 of ts1, posted 3 s ago", s)
		}
		if h.left("k") != 0 {
			t.Error("an entry whose words had not changed stays in the outbox")
		}
	})
}

func TestTheNewestWinsWhileAnOlderIsBeingPosted(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, slow{h.wall, 2 * time.Second})
		h.put("k", entry(1, "1/slip"))
		pass(time.Second)
		h.say("k", "1/slip", "newer")
		h.put("k", entry(2, "1/slip"))
		pass(5 * time.Second)
		wantShown(t, h.wall,
			shown{At: 2 * time.Second, Lane: "C1", Text: "1/slip"},
			shown{At: 2 * time.Second, Lane: "C1", Text: "newer", Edit: true})
	})
}

func TestWhatNoLongerAppliesIsDroppedWithAReason(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", entry(1, "1/vent.1"), edit(entry(2, "1/strain.1")), entry(3, "1/slip"))
		h.say("k", "1/vent.1", "")
		h.run(t, h.wall)
		pass(time.Second)
		wantShown(t, h.wall, shown{Lane: "C1", Text: "1/slip"})
		want := map[string]string{"1/vent.1": "over", "1/strain.1": "never sent"}
		if diff := cmp.Diff(want, h.reasons()); diff != "" {
			t.Errorf("gone (-want +got):\n%s", diff)
		}
		if n := h.tally.counts()["strain dropped"]; n != 2 {
			t.Errorf("%d dropped, want 2", n)
		}
	})
}

func TestABurstGoesOutAtOnceAndThenOneASecond(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		for i := range 6 {
			h.put("k", entry(uint64(i+1), fmt.Sprintf("1/m%d", i)))
		}
		h.run(t, h.wall)
		pass(time.Minute)
		var at []time.Duration
		for _, s := range h.wall.all() {
			at = append(at, s.At.Round(10*time.Millisecond))
		}
		// Of the three in the bucket the last is kept for what is urgent.
		want := []time.Duration{0, 0, 1e9, 2e9, 3e9, 4e9}
		if diff := cmp.Diff(want, at); diff != "" {
			t.Errorf("posted at (-want +got):\n%s", diff)
		}
		if want := []string{"1/m0", "1/m1", "1/m2", "1/m3", "1/m4", "1/m5"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("posted %v, want %v", h.wall.texts(), want)
		}
	})
}

func TestAnUrgentMessageGetsBetweenABacklog(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		for i := range 20 {
			h.put("k", entry(uint64(i+1), fmt.Sprintf("1/m%d", i)))
		}
		h.run(t, h.wall)
		pass(2500 * time.Millisecond)
		h.put("k", urgent(batch(2, entry(21, "2/vent.1"))))
		pass(time.Minute)
		all := h.wall.all()
		i := slices.IndexFunc(all, func(s shown) bool { return s.Text == "2/vent.1" })
		if i < 0 {
			t.Fatal("the vent call was not posted")
		}
		if late := all[i].At - 2500*time.Millisecond; late > 250*time.Millisecond {
			t.Errorf("the vent call waited %v behind a backlog, want at most 250 ms", late)
		}
	})
}

func TestAnUrgentMessageLiftsItsOwnBatch(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", batch(1, entry(1, "1/slip")), batch(2, entry(2, "2/slip")),
			batch(3, entry(3, "3/slip")), urgent(batch(2, entry(4, "2/vent.1"))), batch(1, entry(5, "1/strain.1")))
		h.run(t, h.wall)
		pass(time.Minute)
		want := []string{"2/slip", "2/vent.1", "1/slip", "3/slip", "1/strain.1"}
		if diff := cmp.Diff(want, h.wall.texts()); diff != "" {
			t.Errorf("order (-want +got):\n%s", diff)
		}
	})
}

func TestAMessageIsEditedAtMostOnceInThreeSeconds(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		for _, name := range []string{"one", "two"} { // one pace over all replicas
			h.run(t, h.wall, func(c *runner.Config) { c.Holder = name })
		}
		h.put("k", entry(1, "1/slip"))
		pass(10 * time.Second)
		for i := range 100 { // a change every 100 ms, and only the newest counts
			h.say("k", "1/slip", fmt.Sprint("edit ", i))
			h.put("k", entry(uint64(i+2), "1/slip"))
			pass(100 * time.Millisecond)
		}
		pass(time.Minute)
		var edits []string
		for _, s := range h.wall.all()[1:] {
			edits = append(edits, fmt.Sprintf("%v %s", s.At.Round(100*time.Millisecond), s.Text))
		}
		want := []string{"10s edit 0", "13s edit 29", "16s edit 59", "19s edit 89", "22s edit 99"}
		if diff := cmp.Diff(want, edits); diff != "" {
			t.Errorf("edits (-want +got):\n%s", diff)
		}
	})
}

// slips queues a slip for each of n batches, and an edit of each ten seconds
// after they were posted.
func slips(h *house, n uint32) {
	for b := range n {
		h.put("k", batch(b+1, entry(uint64(b+1), fmt.Sprintf("%d/slip", b+1))))
	}
	pass(20 * time.Second)
	for b := range n {
		slip := fmt.Sprintf("%d/slip", b+1)
		h.say("k", slip, "edit of "+slip)
		h.put("k", batch(b+1, entry(uint64(b+100), slip)))
	}
}

func TestEditsHaveTheirOwnPace(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, h.wall)
		slips(h, 7)
		pass(time.Minute)
		// Five at once; then a token every 2 s.
		var edits []string
		for _, s := range h.wall.all()[7:] {
			edits = append(edits, fmt.Sprintf("%v %s", s.At.Round(100*time.Millisecond), s.Text))
		}
		want := []string{
			"20s edit of 1/slip", "20s edit of 2/slip", "20s edit of 3/slip", "20s edit of 4/slip", "20s edit of 5/slip",
			"22s edit of 6/slip", "24s edit of 7/slip",
		}
		if diff := cmp.Diff(want, edits); diff != "" {
			t.Errorf("edits (-want +got):\n%s", diff)
		}
	})
}

func TestWhatAnUrgentMessageLiftsDoesNotWaitForTheLanesPaceOfEdits(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, h.wall)
		slips(h, 5) // spends the edits' bucket
		h.put("k", batch(6, entry(200, "6/slip")))
		pass(10 * time.Millisecond)
		h.say("k", "6/slip", "vent now")
		h.put("k", batch(6, entry(201, "6/slip")), urgent(batch(6, entry(202, "6/vent.1"))))
		pass(0)
		texts := h.wall.texts()
		if want := []string{"vent now", "6/vent.1"}; !slices.Equal(texts[len(texts)-2:], want) {
			t.Errorf("the last two are %v, want %v at once", texts[len(texts)-2:], want)
		}
	})
}

func TestAnEditThatCameTooSoonAfterAnotherHoldsNoCall(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, h.wall)
		h.put("k", entry(1, "1/slip"))
		pass(10 * time.Second)
		h.say("k", "1/slip", "rest")
		h.put("k", entry(2, "1/slip"))
		pass(time.Second)
		h.say("k", "1/slip", "vent")
		h.put("k", entry(3, "1/slip"), urgent(entry(4, "1/vent.1")))
		pass(time.Minute)
		wantShown(t, h.wall,
			shown{Lane: "C1", Text: "1/slip"},
			shown{At: 10 * time.Second, Lane: "C1", Text: "rest", Edit: true},
			shown{At: 11 * time.Second, Lane: "C1", Text: "1/vent.1"},
			shown{At: 13 * time.Second, Lane: "C1", Text: "vent", Edit: true})
	})
}

func TestDirectMessagesComeSingly(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		for i := range 3 {
			h.put("k", inLane("@U1", entry(uint64(i+1), fmt.Sprintf("%d/heads-up", i))))
		}
		h.run(t, h.wall)
		pass(time.Minute)
		wantShown(t, h.wall,
			shown{At: 0, Lane: "@U1", Text: "0/heads-up"},
			shown{At: time.Second, Lane: "@U1", Text: "1/heads-up"},
			shown{At: 2 * time.Second, Lane: "@U1", Text: "2/heads-up"})
		if s := h.record("k", "0/heads-up"); s.Channel != "direct-U1" {
			t.Errorf("recorded in channel %q, want direct-U1", s.Channel)
		}
	})
}

func TestTheRunnerIsWokenAndSleepsAtMostASecondWithoutIt(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, h.wall)
		pass(time.Minute + 300*time.Millisecond)
		h.put("k", entry(1, "woken"))
		pass(0)
		h.set(func() { h.deaf = true })
		h.put("k2", entry(1, "unheard"))
		pass(time.Second)
		got := h.wall.all()
		if len(got) != 2 || got[0].At != time.Minute+300*time.Millisecond || got[1].At-got[0].At > time.Second {
			t.Errorf("shown %v, want the first at once and the second within a second", got)
		}
		before := h.takeCount()
		pass(time.Minute)
		if n := h.takeCount() - before; n > 61 {
			t.Errorf("%d looks in an idle minute, want at most 61", n)
		}
	})
}

func TestTwoRunnersNeverPostTwice(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := slow{h.wall, 30 * time.Millisecond}
		for _, name := range []string{"one", "two"} {
			h.run(t, p, func(c *runner.Config) { c.Holder = name; c.Workers = 8 })
		}
		for i := range 100 {
			name := fmt.Sprintf("k%02d", i)
			h.put(name, inLane("C"+name, entry(1, name+"/a")), inLane("C"+name, entry(2, name+"/b")))
		}
		pass(time.Minute)
		texts := h.wall.texts()
		slices.Sort(texts)
		if len(texts) != 200 || len(slices.Compact(texts)) != 200 {
			t.Errorf("%d messages, %d of them different; want 200 and 200", len(texts), len(slices.Compact(texts)))
		}
	})
}

func TestTwoRunnersKeepOnePace(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		for i := range 12 {
			h.put("k", entry(uint64(i+1), fmt.Sprintf("1/m%d", i)))
		}
		for _, name := range []string{"one", "two"} {
			h.run(t, h.wall, func(c *runner.Config) { c.Holder = name })
		}
		pass(time.Minute)
		all := h.wall.all()
		if len(all) != 12 {
			t.Fatalf("%d posted, want 12", len(all))
		}
		for i := 2; i < len(all); i++ {
			if gap := all[i].At - all[i-1].At; gap < 990*time.Millisecond {
				t.Errorf("message %d came %v after the one before it, want a second", i, gap)
			}
		}
	})
}

func TestAStuckLaneHoldsNoOther(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &stalling{wall: h.wall, lane: "C-stuck"}
		h.put("k", inLane("C-stuck", entry(1, "1/slip")))
		h.run(t, p, func(c *runner.Config) { c.Workers = 2 })
		pass(time.Second)
		for i := range 5 {
			h.put(fmt.Sprint("k", i), inLane(fmt.Sprint("C", i), entry(1, "fine")))
		}
		pass(0)
		if n := len(h.wall.all()); n != 5 {
			t.Errorf("%d messages of other lanes were posted at once, want 5", n)
		}
		pass(20 * time.Second)
		waits, _ := p.calls()
		if len(waits) < 2 {
			t.Fatalf("the stuck lane was tried %d times in 21 s, want again after being cut off", len(waits))
		}
		for _, w := range waits {
			if w != 4*time.Second {
				t.Errorf("a call was cut off after %v, want 4s: two fifths of the lease", w)
			}
		}
	})
}

func TestNoCallOutlivesItsLease(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		p := &stalling{wall: h.wall, lane: "C1"}
		for i := range 5 {
			h.put("k", entry(uint64(i+1), fmt.Sprintf("1/m%d", i)))
		}
		for _, name := range []string{"one", "two"} {
			h.run(t, p, func(c *runner.Config) { c.Holder = name })
		}
		pass(time.Minute)
		if waits, most := p.calls(); len(waits) < 5 || most != 1 {
			t.Errorf("%d calls, %d at once in one lane; want at least 5, one at a time", len(waits), most)
		}
	})
}

func TestAnotherRunnerTakesOverWhenALeaseRunsOut(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", entry(1, "1/slip"))
		if p, _, err := h.Take(t.Context(), "dead", 10*time.Second); p == nil || err != nil {
			t.Fatalf("Take() = %v, %v", p, err)
		}
		h.run(t, h.wall)
		pass(time.Minute)
		wantShown(t, h.wall, shown{At: 10 * time.Second, Lane: "C1", Text: "1/slip"})
	})
}

func TestAQuickClockKeepsThePace(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Starting(time.Now(), 100)
		h := &house{newOffice(c, 0), newWall(c), newPage(t), newTally()}
		for i := range 4 {
			h.put("k", entry(uint64(i+1), fmt.Sprintf("1/m%d", i)))
		}
		h.run(t, h.wall)
		pass(time.Second)
		var at []time.Duration
		for _, s := range h.wall.all() {
			at = append(at, s.At.Round(10*time.Millisecond))
		}
		if diff := cmp.Diff([]time.Duration{0, 0, 1e9, 2e9}, at); diff != "" {
			t.Errorf("posted at (-want +got):\n%s", diff)
		}
	})
}
