package runner

import (
	"errors"
	"log/slog"
	"math/rand/v2"
	"time"

	"ventbell/internal/kitchen"
)

const (
	firstWait   = 500 * time.Millisecond // before an entry that failed is tried again; doubles
	longestWait = 30 * time.Second
	// unsureWait is before an entry is tried again that the platform may
	// have taken, so that it can be seen there if it has.
	unsureWait = 2 * time.Second
	// stuckWait is how often a lane is tried that waiting does not mend.
	stuckWait = 30 * time.Second
	// mostTries is when a message that isn't urgent is given up: after so many
	// failures between which its lane took others. In an outage nothing is
	// given up, and an urgent one never is: the vessel holds gas whatever the
	// platform says.
	mostTries = 8
	// rateLimited is the reason of a Refusal that asks to slow down.
	rateLimited = "ratelimited"
	// notWorded is the reason of what fails before it comes to the platform.
	notWorded = "not worded"
)

// refusal gives err as a Refusal. Of an error that is none nothing is known,
// not even that the message wasn't taken.
func refusal(err error) *Refusal {
	if r, ok := errors.AsType[*Refusal](err); ok {
		return r
	}
	return &Refusal{Reason: "unknown", Retry: true, Unsure: true, Err: err}
}

// failed decides what becomes of an entry that wasn't delivered.
func (l *lane) failed(e queued, err error) {
	r := refusal(err)
	switch {
	case r.Stuck:
		l.stick(e, r)
		return
	case r.Reason == rateLimited:
		// Certainly not taken and nothing wrong with it: it doesn't count.
		l.retry(e, r, 0, max(r.After, postEvery))
		return
	case !r.Retry && !r.Unsure:
		l.giveUp(e, r, 1)
		return
	}
	n, own := l.memory.failed(key{l.Kitchen, e.Key}, key{l.Kitchen, l.Lane}, l.ledgerTime.Now())
	if r.Reason == notWorded {
		own = n
	}
	// What a newer program wrote, one of the other replicas may be able to read.
	if own >= mostTries && !e.Urgent && !errors.Is(err, kitchen.ErrNewer) {
		l.giveUp(e, r, n)
		return
	}
	wait := backOff(n)
	if r.Unsure {
		wait = max(wait, unsureWait)
	}
	l.retry(e, r, n, max(wait, r.After))
}

// retry leaves an entry for another time. Where the platform named the time, or
// the lane is stuck, the whole lane waits, since the next message would fare no
// better, and a little longer, lest all lanes come back at once.
func (l *lane) retry(e queued, r *Refusal, n int, wait time.Duration) {
	now := l.ledgerTime.Now()
	if r.After > 0 || r.Reason == rateLimited || r.Stuck {
		wait += rand.N(wait / 10)
		l.Again, l.over = now.Add(wait), true
	} else {
		l.later(earlier(now.Add(wait), now.Add(blind)))
	}
	if n > 0 {
		l.memory.wait(key{l.Kitchen, e.Key}, now.Add(wait))
	}
	l.Observe.Carried(e.Kind, Retried)
	log := l.about(e).With("attempt", n, "reason", r.Reason, "err", r)
	if n >= mostTries && e.Urgent {
		log.Error("urgent message still not delivered")
	} else {
		log.Warn("message not delivered, trying again")
	}
}

// holdEdits leaves an edit for when the platform takes edits again. New
// messages, and with them every call, are counted apart and go on.
func (l *lane) holdEdits(e queued, r *Refusal) {
	now := l.ledgerTime.Now()
	wait := max(r.After, postEvery)
	l.memory.holdEdits(now.Add(wait + rand.N(wait/10)))
	l.later(now.Add(glance))
	l.Observe.Carried(e.Kind, Retried)
	l.about(e).Warn("edit not taken, trying again", "reason", r.Reason, "err", r)
}

// giveUp ends an entry that can't be delivered, loudly.
func (l *lane) giveUp(e queued, r *Refusal, n int) {
	l.gone(e, GivenUp, r.Reason)
	l.about(e).Error("message given up", "attempt", n, "reason", r.Reason, "err", r)
}

// about gives a log that says which entry a line is about.
func (l *lane) about(e queued) *slog.Logger {
	return l.Log.With("kitchen", l.Kitchen, "batch", e.Batch, "kind", e.Kind, "lane", l.Lane, "key", e.Key)
}

// backOff is how long an entry waits after n failures in a row.
func backOff(n int) time.Duration {
	return min(firstWait<<min(n-1, 10), longestWait)
}
