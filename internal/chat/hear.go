package chat

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

// heardLimit is how long a command may take in all: a ledger can be started
// again in that time, and the outcome still reaches somebody who waits.
const heardLimit = 2 * time.Minute

// hearing is an ask on its way. What became of it may be read once done is
// closed.
type hearing struct {
	done    chan struct{}
	message voice.Message
	// shown says that the team sees the outcome anyway, on the slip: nothing
	// need be said to the one who tapped.
	shown bool
}

// hear hands an ask on, behind whatever its kitchen was asked before, and does
// not wait. It says whether the same ask came before: that one is answered
// where it came first.
func (c *Chat) hear(a ask) (h *hearing, repeat bool) {
	h = &hearing{done: make(chan struct{})}
	if a.kind != slash && a.kind != tap {
		// A mention can arrive as a mention and as a message, and both again
		// when Slack saw no acknowledgement.
		if h, repeat = c.once.claim(a.id, h); repeat {
			c.cfg.Metrics.Heard(a.kind, "repeat")
			return h, true
		}
	}
	where, ok := c.kitchenOf(a)
	if !ok {
		c.cfg.Metrics.Heard(a.kind, "no kitchen")
		h.message = c.cfg.Voice.NoKitchen()
		close(h.done)
		return h, false
	}
	if !c.queues[where].put(func() { c.carryOut(where, a, h) }, c.later) {
		c.broken(where, a, h, errTooMany)
		close(h.done)
	}
	return h, false
}

// kitchenOf gives the kitchen that an ask is for: its channel's, and in a
// direct message the only one there is.
func (c *Chat) kitchenOf(a ask) (string, bool) {
	if where, ok := c.cfg.Kitchens[a.channel]; ok {
		return where, true
	}
	if a.private && c.only != "" {
		return c.only, true
	}
	return "", false
}

// carryOut has the desk carry out an ask.
func (c *Chat) carryOut(where string, a ask, h *hearing) {
	defer close(h.done)
	// One line that trips over a mistake of ours must not end the process: it
	// would come again, and the calls of everybody else would be late.
	defer func() {
		if trip := recover(); trip != nil {
			c.broken(where, a, h, fmt.Errorf("panic: %v\n%s", trip, debug.Stack()))
		}
	}()
	ctx, cancel := context.WithTimeout(c.life, heardLimit)
	defer cancel()
	reply, err := c.cfg.Desk.Heard(ctx, where, kitchen.Command{
		ID: a.id, Text: a.text, Tap: a.tap, At: a.at,
		By: kitchen.Person{ID: a.user, Name: c.name(ctx, a)},
	})
	if err != nil {
		c.broken(where, a, h, err)
		return
	}
	c.cfg.Metrics.Heard(a.kind, "ok")
	h.message = c.cfg.Voice.Answer(reply.State, reply.Answer)
	h.shown = a.kind == tap && !reply.Answer.Private
}

// broken notes that an ask could not be carried out. The same may then be
// asked again.
func (c *Chat) broken(where string, a ask, h *hearing, err error) {
	c.once.forget(a.id)
	c.cfg.Metrics.Heard(a.kind, "broken")
	c.cfg.Log.Error("a command was not carried out", "kitchen", where, "kind", a.kind, "err", err)
	h.message = c.cfg.Voice.Broken()
}

var errTooMany = errors.New("too many wait")

// decodeCallback gives an event as an ask; nil if it is nothing for us.
func (c *Chat) decodeCallback(cb callback) (*ask, error) {
	if cb.Type != "event_callback" {
		c.cfg.Metrics.Heard("event", "ignored")
		return nil, nil
	}
	a, err := decodeEvent(cb, c.self(), c.cfg.Now())
	if a == nil && err == nil {
		c.cfg.Metrics.Heard("event", "ignored")
	}
	return a, err
}

// spoiled notes what Slack sent and we cannot read. It is acknowledged all the
// same: sent again it would read no better. Who tapped is told.
func (c *Chat) spoiled(kind string, a *ask, err error) {
	c.cfg.Metrics.Heard(kind, "unreadable")
	c.cfg.Log.Warn("something from Slack was not understood", "kind", kind, "err", err)
	if a != nil {
		c.later(func() { c.say(*a, c.cfg.Voice.Broken()) })
	}
}

// queueLimit is how many asks of one kitchen may wait. A crew types and taps a
// few a minute; more means that nothing is being carried out.
const queueLimit = 256

// queue carries out one kitchen's asks one after the other, in the order in
// which they came, whatever channel they came from.
type queue struct {
	mu   sync.Mutex
	jobs []func()
	busy bool
}

// put appends a job; start runs the queue when it stood still. It is false
// when too many wait.
func (q *queue) put(job func(), start func(func())) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	if len(q.jobs) >= queueLimit {
		return false
	}
	q.jobs = append(q.jobs, job)
	if !q.busy {
		q.busy = true
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
		q.jobs = q.jobs[1:]
		q.mu.Unlock()
		job()
	}
}

// onceLimit is how many messages one of the two generations of once holds:
// hours of a busy crew's talk. What comes again later than that is still
// harmless: the ledger knows the request.
const onceLimit = 2048

// once remembers which messages were heard lately, in two generations so that
// it neither grows nor needs a clock.
type once struct {
	mu         sync.Mutex
	young, old map[string]*hearing
}

func newOnce() *once { return &once{young: map[string]*hearing{}} }

// claim gives the hearing that already stands under id; else it puts h there.
func (o *once) claim(id string, h *hearing) (_ *hearing, repeat bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	for _, known := range []map[string]*hearing{o.young, o.old} {
		if earlier, ok := known[id]; ok {
			return earlier, true
		}
	}
	if len(o.young) >= onceLimit {
		o.young, o.old = map[string]*hearing{}, o.young
	}
	o.young[id] = h
	return h, false
}

// forget lets the message with this id be heard anew.
func (o *once) forget(id string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	delete(o.young, id)
	delete(o.old, id)
}
