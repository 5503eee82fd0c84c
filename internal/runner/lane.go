package runner

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"sync"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

// lane is one leased lane at work. At most one message is posted or edited
// before the lane is given back: so a process that dies repeats at most one,
// every message is worded from a fresh state, and what is urgent gets in
// between.
type lane struct {
	*Runner
	*kitchen.Parcel
	kitchen.Delivery
	state kitchen.State
	end   time.Time // of the lease, by the runner's clock
	next  time.Time // when something that is left may go; zero if nothing is known
	over  bool      // nothing more goes in this lease
}

// work delivers what may go now.
func (l *lane) work(ctx context.Context) {
	state, err := l.Ledger.Peek(ctx, l.Kitchen)
	if err != nil {
		if ctx.Err() == nil {
			l.Log.Error("kitchen not read", "kitchen", l.Kitchen, "lane", l.Lane, "err", err)
		}
		l.Again = l.ledgerTime.Now().Add(blind)
		return
	}
	if state.Sent == nil {
		state.Sent = map[string]kitchen.Sent{}
	}
	l.memory.recall(l.Kitchen, state.Sent)
	l.state = state
	for _, e := range inOrder(l.Entries) {
		if l.over || ctx.Err() != nil || l.Clock.Now().Add(l.callTime()).After(l.callEnd()) {
			return
		}
		l.bring(ctx, e)
	}
	if !l.over {
		l.Again = l.next
	}
}

// callTime is how long one call to the platform may take: two and the record
// of them fit into a lease.
func (l *lane) callTime() time.Duration { return l.Lease * 2 / 5 }

// callEnd is when the last call must be over.
func (l *lane) callEnd() time.Time { return l.end.Add(-l.Lease / 10) }

// bring delivers one entry, or finds that it can't be or needn't be.
func (l *lane) bring(ctx context.Context, e queued) {
	now := l.ledgerTime.Now()
	if until := l.readyAt(e); now.Before(until) {
		l.later(earlier(until, now.Add(blind)))
		return
	}
	stands, known := l.state.Sent[e.Key]
	if e.Edit && !known {
		l.drop(e, "never sent")
		return
	}
	m, reason, err := l.Word(l.state, e.Entry, now)
	switch {
	case err != nil:
		l.failed(e, &Refusal{Reason: "not worded", Retry: true, Err: err})
	case reason != "":
		l.drop(e, reason)
	case known:
		l.update(ctx, e, stands, m)
	default:
		l.post(ctx, e, m)
	}
}

// readyAt is when an entry that has failed may be tried again. One that was
// lifted goes along as soon as its lifter does.
func (l *lane) readyAt(e queued) time.Time {
	until := l.memory.until(key{l.Kitchen, e.Key})
	if e.lifter != "" {
		until = earlier(until, l.memory.until(key{l.Kitchen, e.lifter}))
	}
	return until
}

// later notes when an entry that stays may go.
func (l *lane) later(at time.Time) {
	if l.next.IsZero() || at.Before(l.next) {
		l.next = at
	}
}

func (l *lane) post(ctx context.Context, e queued, m voice.Message) {
	now := l.ledgerTime.Now()
	if at := l.postAt(e.first, now); at.After(now) {
		l.later(earlier(at, now.Add(glance)))
		return
	}
	var at Posted
	err := l.call(ctx, func(ctx context.Context) (err error) {
		at, err = l.Poster.Post(ctx, Posting{Lane: l.Lane, Message: m})
		return err
	})
	if err != nil {
		l.failed(e, err)
		return
	}
	now = l.ledgerTime.Now()
	late := max(0, now.Sub(e.Due))
	l.Observe.Late(e.Kind, late)
	l.delivered(e, Delivered, kitchen.Sent{Channel: at.Channel, TS: at.TS, At: now, Digest: digest(m)})
	if l.direct() {
		// Direct messages come singly; the ledger keeps the lane this long
		// from every runner.
		l.Again = now.Add(postEvery)
	}
	l.about(e).Info("message posted", "lag", late)
}

func (l *lane) update(ctx context.Context, e queued, stands kitchen.Sent, m voice.Message) {
	words := digest(m)
	if words == stands.Digest {
		l.note(e, stands) // nothing to show, so what is next may go too
		return
	}
	now := l.ledgerTime.Now()
	if at := l.editAt(e.first, now); at.After(now) {
		l.later(earlier(at, now.Add(glance)))
		return
	}
	l.memory.editPace(key{l.Kitchen, l.Lane}, now).ReserveN(now, 1)
	err := l.call(ctx, func(ctx context.Context) error {
		return l.Poster.Update(ctx, stands.Channel, stands.TS, m)
	})
	switch {
	case err == nil:
		stands.Digest = words
		l.delivered(e, Edited, stands)
		l.about(e).Info("message edited")
	case refusal(err).Gone && e.Edit:
		l.drop(e, "vanished")
	case refusal(err).Gone:
		delete(l.state.Sent, e.Key)
		l.bring(ctx, e) // worded and posted anew
	case refusal(err).Reason == rateLimited:
		l.holdEdits(e, refusal(err))
	default:
		l.failed(e, err)
	}
}

// call makes one call to the platform. A stop doesn't cut it off, since what
// the platform has taken must be recorded; the end of its time does.
func (l *lane) call(ctx context.Context, f func(context.Context) error) error {
	ctx, cancel := context.WithCancel(context.WithoutCancel(ctx))
	end := earlier(l.Clock.Now().Add(l.callTime()), l.callEnd())
	var alarm sync.WaitGroup
	alarm.Go(func() {
		if l.Clock.Wait(ctx, end, nil) == nil {
			cancel()
		}
	})
	defer alarm.Wait()
	defer cancel()
	return f(ctx)
}

// delivered notes what an entry brought about, and that this was all for this
// lease.
func (l *lane) delivered(e queued, outcome string, s kitchen.Sent) {
	l.note(e, s)
	l.Observe.Carried(e.Kind, outcome)
	l.over = true
}

// note records what stands there after an entry.
func (l *lane) note(e queued, s kitchen.Sent) {
	s.Key, s.Seq = e.Key, e.Seq
	l.Sent = append(l.Sent, s)
	l.memory.settled(key{l.Kitchen, e.Key})
}

// drop gives up an entry that no longer applies.
func (l *lane) drop(e queued, reason string) {
	l.gone(e, Dropped, reason)
	l.about(e).Debug("message dropped", "reason", reason)
}

func (l *lane) gone(e queued, outcome, reason string) {
	l.Gone = append(l.Gone, kitchen.Gone{Key: e.Key, Seq: e.Seq, Reason: reason})
	l.Observe.Carried(e.Kind, outcome)
	l.memory.settled(key{l.Kitchen, e.Key})
}

// digest tells one message from another, words and buttons, in 16 characters.
func digest(m voice.Message) string {
	body, err := json.Marshal(m)
	if err != nil {
		panic(fmt.Sprintf("digest message: %v", err)) // plain values always marshal
	}
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:8])
}
