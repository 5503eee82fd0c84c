package chat

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"runtime/debug"
	"slices"
	"time"

	"github.com/slack-go/slack"

	"ventbell/internal/desk"
	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

// heardLimit is how long a command may take in all, the wait for its turn
// included: a ledger can be started again in that time, and the outcome still
// reaches somebody who waits.
const heardLimit = 2 * time.Minute

// hearing is an ask on its way. What became of it may be read once done is
// closed.
type hearing struct {
	since   time.Time
	done    chan struct{}
	message voice.Message
	// shown says that the team sees the outcome anyway, on the slip: nothing
	// need be said to the one who tapped.
	shown bool
	// opens is a form to open; then message is empty.
	opens *slack.ModalViewRequest
	// field is the field of a filled form that message is about; the form
	// stays open.
	field string
}

// hear hands an ask on, behind whatever its kitchen was asked before, and does
// not wait. It says whether the same ask came before: that one is answered
// where it came first. The same can come as a mention and as a message, and
// all of it again when Slack saw no acknowledgement, hours later even; what
// comes after we forgot it is still harmless, since the ledger knows its id.
func (c *Chat) hear(a ask) (h *hearing, repeat bool) {
	h = &hearing{since: time.Now(), done: make(chan struct{})}
	if h, repeat = c.once.claim(h, a.id, a.event); repeat {
		c.cfg.Metrics.Heard(a.kind, "repeat")
		return h, true
	}
	if a.stranger {
		c.cfg.Log.Debug("somebody of another team speaks", "kind", a.kind)
	}
	if a.kind == edit { // it was carried out as it was said first
		c.cfg.Metrics.Heard(a.kind, "ok")
		h.message = c.cfg.Voice.Edited()
		close(h.done)
		return h, false
	}
	where, ok := c.kitchenOf(a)
	if !ok {
		c.cfg.Metrics.Heard(a.kind, "no kitchen")
		if a.kind != home {
			h.message = c.cfg.Voice.NoKitchen()
		}
		close(h.done)
		return h, false
	}
	if a.kind == home {
		c.cfg.Metrics.Heard(a.kind, "ok")
		c.lookAt(a, where)
		close(h.done)
		return h, false
	}
	c.lately.Store(a.user, where)
	if !c.queues[where].put(func() { c.atWork(where, a, h) }, c.later) {
		c.broken(where, a, h, errTooMany)
		close(h.done)
	}
	return h, false
}

// kitchenOf gives the kitchen that an ask is for: the one that a view of ours
// was drawn for, else its channel's. Where there is no channel of a team's, it
// is the one of the person.
func (c *Chat) kitchenOf(a ask) (string, bool) {
	for _, where := range []string{a.kitchen, c.cfg.Kitchens[a.channel]} {
		if c.queues[where] != nil {
			return where, true
		}
	}
	if !a.private || len(c.queues) == 0 {
		return "", false
	}
	return c.kitchenFor(a.user), true
}

// kitchenFor gives the kitchen of a person who is in no team's channel just
// now, in a direct message, on their own page, with a shortcut: the only one
// there is; else the one in which they last did something, as far as this
// process saw; else the first by name.
func (c *Chat) kitchenFor(user string) string {
	if where, ok := c.lately.Load(user); ok {
		return where.(string)
	}
	return slices.Min(slices.Collect(maps.Keys(c.queues)))
}

// atWork carries out an ask as soon as a hand is free for its kitchen.
func (c *Chat) atWork(where string, a ask, h *hearing) {
	c.hands <- struct{}{}
	defer func() { <-c.hands }()
	c.carryOut(where, a, h)
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
	ctx, cancel := context.WithDeadline(c.life, h.since.Add(heardLimit))
	defer cancel()
	reply, err := c.cfg.Desk.Heard(ctx, where, kitchen.Command{
		ID: a.id, Text: a.text, Tap: a.tap, Form: a.form, Open: a.open, At: a.at, Direct: a.private && a.channel != "",
		By: c.person(ctx, a), Message: a.message,
	})
	if err != nil {
		c.broken(where, a, h, err)
		return
	}
	c.word(where, a, h, reply)
	c.cfg.Metrics.Heard(a.kind, "ok")
	c.homes.changed(where)
}

// word puts what came of an ask into the hearing.
func (c *Chat) word(where string, a ask, h *hearing, reply desk.Reply) {
	answer := reply.Answer
	if answer.Kind == kitchen.OpenForm && a.trigger != "" {
		view := c.formView(where, a, reply)
		h.opens = &view
		return
	}
	if answer.Asked != 0 { // it is asked where it can be worded anew
		return
	}
	h.message = c.cfg.Voice.Answer(reply.State, answer)
	h.shown = a.kind == tap && !answer.Private
	if a.kind == form && answer.Kind != kitchen.Done && slices.Contains(a.fields, answer.Field) {
		h.field = answer.Field
	}
}

// broken notes that an ask could not be carried out. The same may then be
// asked again.
func (c *Chat) broken(where string, a ask, h *hearing, err error) {
	c.once.forget(a.id, a.event)
	c.cfg.Metrics.Heard(a.kind, "broken")
	c.cfg.Log.Error("a command was not carried out", "kitchen", where, "kind", a.kind, "err", err)
	h.message, h.shown = c.cfg.Voice.Broken(), false
}

var errTooMany = errors.New("too many wait")

// decodeCallback gives an event as an ask; nil if it is nothing for us.
func (c *Chat) decodeCallback(cb callback) (*ask, error) {
	if cb.Type != "event_callback" {
		c.cfg.Metrics.Heard("event", "ignored")
		return nil, nil
	}
	if c.regrouped(cb) {
		c.cfg.Metrics.Heard("event", "ok")
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
