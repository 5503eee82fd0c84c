package chat

import (
	"sync"
	"time"
)

const (
	// queueLimit is how many asks of one kitchen may wait when the one under
	// way takes longer than Slack's patience: then nothing moves, and more
	// would only grow stale. A crew types and taps a few a minute.
	queueLimit = 256
	// burstLimit is how many may wait in any case: a burst that is being
	// worked off is nothing to refuse.
	burstLimit = 4096
)

// queue carries out one kitchen's asks one after the other, in the order in
// which they came, whatever channel or connection they came from.
type queue struct {
	mu    sync.Mutex
	jobs  []func()
	busy  bool
	began time.Time // the one under way
}

// put appends a job; start runs the queue when it stood still. It is false
// when too many wait.
func (q *queue) put(job func(), start func(func())) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	n := len(q.jobs)
	if n >= burstLimit || n >= queueLimit && time.Since(q.began) > patience {
		return false
	}
	q.jobs = append(q.jobs, job)
	if !q.busy {
		q.busy, q.began = true, time.Now()
		start(q.run)
	}
	return true
}

func (q *queue) run() {
	for {
		q.mu.Lock()
		if len(q.jobs) == 0 {
			q.busy = false
			q.mu.Unlock()
			return
		}
		job := q.jobs[0]
		q.jobs, q.began = q.jobs[1:], time.Now()
		q.mu.Unlock()
		job()
	}
}

// onceLimit is how many ids one of the two generations of once holds: hours of
// a busy crew's talk. What comes again later than that is still harmless: the
// ledger knows the request.
const onceLimit = 4096

// once remembers what was heard lately, in two generations so that it neither
// grows nor needs a clock.
type once struct {
	mu         sync.Mutex
	young, old map[string]*hearing
}

func newOnce() *once { return &once{young: map[string]*hearing{}} }

// claim gives the hearing that already stands under one of the ids; else it
// puts h there. Empty ids do not count.
func (o *once) claim(h *hearing, ids ...string) (_ *hearing, repeat bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, id := range ids {
		for _, known := range []map[string]*hearing{o.young, o.old} {
			if earlier, ok := known[id]; ok {
				return earlier, true
			}
		}
	}
	if len(o.young) >= onceLimit {
		o.young, o.old = map[string]*hearing{}, o.young
	}
	for _, id := range ids {
		if id != "" {
			o.young[id] = h
		}
	}
	return h, false
}

// forget lets what has one of these ids be heard anew.
func (o *once) forget(ids ...string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, id := range ids {
		delete(o.young, id)
		delete(o.old, id)
	}
}
