package bell

import (
	"context"
	"errors"
	"time"

	"ventbell/internal/kitchen"
)

// errLeft is what is wrong with a kitchen that was rung without an error and
// still has the same moment due.
var errLeft = errors.New("rung, but still due")

const (
	firstWait   = 250 * time.Millisecond // before a kitchen that failed is rung again; doubles
	longestWait = 30 * time.Second       // from here on the kitchen is set aside
)

// trouble is what a kitchen has done to the bell lately.
type trouble struct {
	at    time.Time // the moment that can't be rung
	until time.Time // not before this is it rung again
	times int       // how often it went wrong in a row
	aside bool      // it goes wrong so often that somebody has to look
	stuck bool      // the last look found the moment still due
}

// watch is the bell's own memory. Only the goroutine of Run touches it. All
// its times are the ledger's, but for lookAt.
type watch struct {
	*Bell
	lookAt  time.Time            // next look, by the bell's own clock
	looked  time.Time            // last look, by the bell's own clock
	down    bool                 // the last look failed
	waiting []kitchen.DueKitchen // due, but no hand was free; the earliest first
	more    bool                 // the last look left some out
	flying  map[string]bool      // being rung
	rung    map[string]time.Time // rung without an error since the last look
	trouble map[string]*trouble
}

func newWatch(b *Bell) *watch {
	return &watch{
		Bell:    b,
		flying:  map[string]bool{},
		rung:    map[string]time.Time{},
		trouble: map[string]*trouble{},
	}
}

// collect takes in what has happened during the sleep.
func (w *watch) collect() {
	select {
	case <-w.added:
		// Every replica is woken; the stagger lets the first one do it alone.
		w.lookBy(w.Clock.Now().Add(w.Stagger))
	default:
	}
	for {
		select {
		case r := <-w.done:
			w.finish(r)
		default:
			return
		}
	}
}

// finish notes how a kitchen's ringing ended. Its next moment may come before
// all others, so a look follows.
func (w *watch) finish(r ring) {
	delete(w.flying, r.Kitchen)
	if r.err != nil {
		w.fail(r.DueKitchen, r.err)
	} else {
		w.rung[r.Kitchen] = r.At
	}
	w.lookBy(w.looked.Add(gap))
}

// look reads the due index from its head on, past the kitchens that are being
// rung or are in trouble, until it knows enough to keep all hands busy or meets
// a moment that is still to come.
func (w *watch) look(ctx context.Context) {
	page := 2 * w.Hands
	w.waiting, w.more, w.looked = nil, false, w.Clock.Now()
	for _, t := range w.trouble {
		t.stuck = false
	}
	var next time.Time // when something will be ready that isn't yet
	for skip := 0; ; skip += page {
		due, err := w.due(ctx, skip, page)
		if err != nil {
			w.lost(ctx, err)
			return
		}
		w.found()
		now := w.ledgerTime.Now()
		for _, d := range due {
			if d.At.After(w.horizon(now)) {
				w.settle(earlier(next, now.Add(d.At.Sub(w.horizon(now)))))
				return
			}
			if ready := w.readyAt(d, now); !ready.After(now) {
				w.waiting = append(w.waiting, d)
			} else {
				next = earlier(next, ready)
			}
		}
		if len(due) < page {
			w.settle(next)
			return
		}
		if len(w.waiting) >= page {
			w.more = true
			w.sleepUntil(next)
			return
		}
	}
}

// horizon is the latest moment that this replica takes up at now.
func (w *watch) horizon(now time.Time) time.Time {
	if w.Stagger > 0 {
		return now.Add(-w.Stagger)
	}
	return now.Add(ahead)
}

// readyAt is when a kitchen that is due may be rung: now, or after its back-off.
// One that is being rung asks for a look itself when it is done.
func (w *watch) readyAt(d kitchen.DueKitchen, now time.Time) time.Time {
	if w.flying[d.Kitchen] {
		return now.Add(blind)
	}
	if at, ok := w.rung[d.Kitchen]; ok && at.Equal(d.At) {
		w.fail(d, errLeft)
	}
	t := w.trouble[d.Kitchen]
	if t == nil || !t.at.Equal(d.At) {
		return now // a new moment is tried at once
	}
	t.stuck = true
	return t.until
}

// fail notes that a kitchen couldn't be rung, and when it is tried again. Being
// overtaken by somebody else's commit is no fault: the next look decides, and
// only if that goes on is it trouble like any other.
func (w *watch) fail(d kitchen.DueKitchen, err error) {
	delete(w.rung, d.Kitchen)
	t := w.trouble[d.Kitchen]
	if t == nil {
		t = &trouble{}
		w.trouble[d.Kitchen] = t
	}
	t.times++
	wait := backOff(t.times)
	if errors.Is(err, errLeft) || errors.Is(err, kitchen.ErrStale) {
		wait = backOff(t.times - 1)
	}
	now := w.ledgerTime.Now()
	t.at, t.until = d.At, now.Add(wait)
	log := w.Log.With("kitchen", d.Kitchen, "due", d.At, "lag", now.Sub(d.At), "attempt", t.times, "err", err)
	switch {
	case wait == longestWait:
		log.Error("kitchen set aside: it can't be rung")
		if !t.aside {
			t.aside = true
			w.countAside()
		}
	case wait > 0:
		log.Warn("kitchen not rung, trying again")
	}
}

// backOff is how long a kitchen waits after it has gone wrong times in a row.
func backOff(times int) time.Duration {
	if times < 1 {
		return 0
	}
	return min(firstWait<<min(times-1, 10), longestWait)
}

// settle ends a look that saw all there is: kitchens in trouble that it didn't
// meet again are well, and next is when something will be ready.
func (w *watch) settle(next time.Time) {
	clear(w.rung)
	aside := false
	for name, t := range w.trouble {
		if t.stuck || w.flying[name] {
			continue
		}
		delete(w.trouble, name)
		if t.aside {
			aside = true
			w.Log.Info("kitchen no longer set aside", "kitchen", name, "attempt", t.times)
		}
	}
	if aside {
		w.countAside()
	}
	w.sleepUntil(next)
}

func (w *watch) countAside() {
	n := 0
	for _, t := range w.trouble {
		if t.aside {
			n++
		}
	}
	w.Observe.SetAside(n)
}

// lost is a look that failed; the log has it once for each outage.
func (w *watch) lost(ctx context.Context, err error) {
	if !w.down && ctx.Err() == nil {
		w.Log.Error("due moments not read", "err", err)
	}
	w.down = true
	w.sleepUntil(time.Time{})
}

func (w *watch) found() {
	if w.down {
		w.Log.Info("due moments are read again")
	}
	w.down = false
}

// next takes the kitchen to be rung next, if there is one and a hand is free.
func (w *watch) next() (kitchen.DueKitchen, bool) {
	for len(w.waiting) > 0 && len(w.flying) < w.Hands {
		d := w.waiting[0]
		w.waiting = w.waiting[1:]
		if !w.flying[d.Kitchen] { // two pages of a changing index may both list one
			w.flying[d.Kitchen] = true
			return d, true
		}
	}
	if len(w.waiting) == 0 && w.more {
		w.more = false
		w.lookBy(w.Clock.Now())
	}
	return kitchen.DueKitchen{}, false
}

// sleepUntil sets the next look to at, a time of the ledger's, but no further
// off than the longest blind sleep.
func (w *watch) sleepUntil(at time.Time) {
	w.lookAt = earlier(w.ledgerTime.Here(at), w.Clock.Now().Add(blind))
}

// lookBy brings the next look forward to at, by the bell's own clock.
func (w *watch) lookBy(at time.Time) {
	w.lookAt = earlier(w.lookAt, at)
}

// earlier is the earlier of two times; a zero time is no time.
func earlier(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}
