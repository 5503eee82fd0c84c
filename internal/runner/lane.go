package runner

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

// lane is one leased lane at work. At most one message is posted or edited
// before the lane is given back: so a process that dies leaves at most one
// that nobody knows of, every message is worded from a fresh state, and what is
// urgent gets in between.
type lane struct {
	*Runner
	*kitchen.Parcel
	kitchen.Delivery
	state  kitchen.State           // its Sent holds what stands, and nothing else
	doubts map[string]kitchen.Sent // by key, what may stand: see doubt.go
	apart  map[string]string       // by key, what tells a message from an earlier one of its key
	read   bool                    // the kitchen was read
	blind  error                   // why nothing can be looked up in this lease
	news   *news                   // for whoever is told that the lane is stuck
	end    time.Time               // of the lease, by the runner's clock
	next   time.Time               // when something that is left may go; zero if nothing is known
	over   bool                    // nothing more goes in this lease
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
	l.state, l.read = state, true
	l.apart = map[string]string{}
	l.sift()
	defer l.leaveDoubts()
	for _, e := range l.collapse(ctx, inOrder(l.Entries)) {
		if l.over || ctx.Err() != nil || !l.hasTime() {
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

// hasTime says that one more call fits into the lease.
func (l *lane) hasTime() bool { return !l.Clock.Now().Add(l.callTime()).After(l.callEnd()) }

// bring delivers one entry, or finds that it can't be or needn't be.
func (l *lane) bring(ctx context.Context, e queued) {
	if !l.ready(e) {
		return
	}
	if e.Kind == kitchen.QuestionNote && !l.Poster.Can().Edit {
		// It could not be worded anew: the answer to the line has the question.
		l.drop(e, "no edits")
		return
	}
	if e.Kind == kitchen.FallbackCall {
		l.bringFallback(ctx, e)
		return
	}
	repeat, wait := l.settle(ctx, e)
	if wait {
		return
	}
	stands, known := l.state.Sent[e.Key]
	if e.Edit && !known {
		l.drop(e, "never sent")
		return
	}
	m, reason, err := l.Word(l.state, e.Entry, l.ledgerTime.Now())
	switch {
	case err != nil:
		l.failed(e, &Refusal{Reason: notWorded, Retry: true, Err: err})
	case reason != "":
		l.drop(e, reason)
	case known:
		l.update(ctx, e, stands, m)
	default:
		l.post(ctx, e, m, repeat)
	}
}

// ready says whether an entry may be tried, and notes when it may if not. One
// that was lifted goes along as soon as its lifter does.
func (l *lane) ready(e queued) bool {
	until := l.memory.until(key{l.Kitchen, e.Key})
	if e.lifter != "" {
		until = earlier(until, l.memory.until(key{l.Kitchen, e.lifter}))
	}
	now := l.ledgerTime.Now()
	if now.Before(until) {
		l.later(earlier(until, now.Add(blind)))
		return false
	}
	return true
}

// later notes when an entry that stays may go.
func (l *lane) later(at time.Time) {
	if l.next.IsZero() || at.Before(l.next) {
		l.next = at
	}
}

// mayPost says whether the lane may have a new message now.
func (l *lane) mayPost(e queued) bool {
	now := l.ledgerTime.Now()
	if at := l.postAt(e.first, now); at.After(now) {
		l.later(earlier(at, now.Add(glance)))
		return false
	}
	if !l.hasTime() {
		l.over = true // and the lane is taken again at once
		return false
	}
	return true
}

// post shows a message that doesn't stand yet, and says whether it was taken.
func (l *lane) post(ctx context.Context, e queued, m voice.Message, repeat bool) bool {
	if !l.mayPost(e) {
		return false
	}
	p, wait := l.posting(e, m, repeat)
	if wait {
		return false
	}
	began := l.ledgerTime.Now()
	var at Posted
	err := l.call(ctx, func(ctx context.Context) (err error) {
		at, err = l.Poster.Post(ctx, p)
		return err
	})
	if err != nil {
		if refusal(err).Unsure {
			l.doubt(e, kitchen.Sent{At: began, Mark: p.Mark, Digest: l.told(e, m)}, repeat)
		}
		l.failed(e, err)
		return false
	}
	if at.TS == "" {
		at.TS = p.Mark // a platform that names no place; something stands all the same
	}
	l.posted(e, kitchen.Sent{Channel: at.Channel, TS: at.TS, Digest: l.told(e, m)}, repeat)
	if at.Loose {
		l.about(e).Warn("message stands in the open, what it was to hang below is gone")
	}
	return true
}

// posting makes a message ready to go; or says that it must wait.
func (l *lane) posting(e queued, m voice.Message, repeat bool) (p Posting, wait bool) {
	p = Posting{Kitchen: l.Kitchen, Lane: l.Lane, Mark: l.mark(e.Key), Message: m}
	if e.Kind == kitchen.HistoryNote {
		p.Thread, wait = l.thread(e)
	}
	if repeat && l.Repeat != nil {
		p.Message = l.Repeat(m)
	}
	return p, wait
}

// told gives what is to be remembered of a message: its words, without the mark
// of a repeat, since no edit is worth taking that away; of an outage's message,
// which is never edited, the calls that it told.
func (l *lane) told(e queued, m voice.Message) string {
	if strings.HasPrefix(e.Key, outage) {
		return l.apart[e.Key]
	}
	return digest(m)
}

// posted notes that a message was posted.
func (l *lane) posted(e queued, s kitchen.Sent, repeat bool) {
	s.At = l.ledgerTime.Now()
	late := max(0, s.At.Sub(e.Due))
	l.Observe.Late(e.Kind, late)
	outcome := Delivered
	if repeat {
		outcome = Repeated
	}
	l.delivered(e, outcome, s)
	l.memory.took(key{l.Kitchen, l.Lane}, s.At)
	if l.direct() {
		// Direct messages come singly; the ledger keeps the lane this long
		// from every runner.
		l.Again = s.At.Add(postEvery)
	}
	l.about(e).Info("message posted", "lag", late, "outcome", outcome)
}

// thread gives the message that a history note hangs below: its batch's slip.
// It waits while the slip is still to come.
func (l *lane) thread(e queued) (ts string, wait bool) {
	slip := kitchen.Key(e.Batch, kitchen.Slip, 0, 0)
	if can := l.Poster.Can(); !can.Thread || !can.Edit {
		// A history that can't grow tells nothing.
		l.drop(e, "no threads")
		return "", true
	}
	if s, ok := l.state.Sent[slip]; ok {
		return s.TS, false
	}
	if slices.ContainsFunc(l.Entries, func(other kitchen.Entry) bool { return other.Key == slip }) {
		l.later(l.ledgerTime.Now().Add(blind))
	} else {
		l.drop(e, "no slip")
	}
	return "", true
}

func (l *lane) update(ctx context.Context, e queued, stands kitchen.Sent, m voice.Message) {
	words := digest(m)
	now := l.ledgerTime.Now()
	at := later(l.editAt(e.first, now), stands.Edited.Add(editGap))
	switch {
	case words == stands.Digest:
		l.note(e, stands) // nothing to show, so what is next may go too
		return
	case !l.Poster.Can().Edit:
		// What was posted stays as it is: the answers tell the rest, and what
		// rings comes as a new message anyway.
		l.drop(e, "no edits")
		return
	case at.After(now):
		l.later(earlier(at, now.Add(glance)))
		return
	case !l.hasTime():
		l.over = true
		return
	}
	l.memory.editPace(key{l.Kitchen, l.Lane}, now).ReserveN(now, 1)
	err := l.call(ctx, func(ctx context.Context) error {
		return l.Poster.Update(ctx, stands.Channel, stands.TS, m)
	})
	switch {
	case err == nil:
		stands.Digest, stands.Edited = words, l.ledgerTime.Now()
		l.delivered(e, Edited, stands)
		l.about(e).Info("message edited")
	case refusal(err).Gone && e.Edit:
		l.drop(e, "vanished")
	case refusal(err).Gone:
		delete(l.state.Sent, e.Key)
		l.apart[e.Key] = stands.TS
		l.suspect(e.Entry)
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
	l.free()
}

// note records what stands there after an entry.
func (l *lane) note(e queued, s kitchen.Sent) {
	s.Key, s.Seq = e.Key, e.Seq
	l.Sent = append(l.Sent, s)
	l.state.Sent[e.Key] = s
	delete(l.doubts, e.Key)
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

// digest tells one message from another, words and buttons.
func digest(m voice.Message) string { return short(m) }

// short gives 16 characters that stand for a value.
func short(v any) string {
	body, err := json.Marshal(v)
	if err != nil {
		panic(fmt.Sprintf("shorten: %v", err)) // plain values always marshal
	}
	sum := sha256.Sum256(body)
	return hex.EncodeToString(sum[:8])
}
