package runner

import (
	"context"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

const (
	// nearest is how far ahead a fallback must lie: nearer, this host will
	// make the call itself, or the platform could not give it back in time.
	nearest = 30 * time.Second
	// mostUnsure is how often a fallback is left with the platform when nobody
	// knows whether it was taken: it can't be looked up, and one too many is
	// better than none.
	mostUnsure = 2
)

// bringFallback keeps the message that lies ready at the platform as it should
// be. It rings nobody now, so nothing that becomes of it holds the lane, and
// the pace of new messages is not its own.
func (l *lane) bringFallback(ctx context.Context, e queued) {
	lies, known := l.state.Sent[e.Key]
	now := l.ledgerTime.Now()
	m, reason, err := l.Word(l.state, e.Entry, now)
	words := short([]any{m, e.Due.UnixMicro()})
	switch {
	case err != nil:
		l.failed(e, &Refusal{Reason: notWorded, Retry: true, Err: err})
		return
	case l.Scheduler == nil:
		l.drop(e, "no scheduler")
		return
	case e.Edit && !known:
		l.drop(e, "never sent")
		return
	case reason == "" && known && words == lies.Digest:
		l.note(e, lies)
		return
	case reason == "" && e.Due.Sub(now) < nearest:
		reason = "too near"
	}
	if known && !l.takeBack(ctx, e, lies) {
		return
	}
	switch {
	case reason == "":
		l.schedule(ctx, e, m, words)
	case known:
		l.gone(e, TakenBack, reason)
	default:
		l.drop(e, reason)
	}
}

// takeBack takes a message back from the platform, and says whether it is.
func (l *lane) takeBack(ctx context.Context, e queued, lies kitchen.Sent) bool {
	err := l.call(ctx, func(ctx context.Context) error {
		return l.Scheduler.Unschedule(ctx, Posted{Channel: lies.Channel, TS: lies.TS})
	})
	if err != nil {
		l.putOff(e, err, 0)
		return false
	}
	delete(l.state.Sent, e.Key)
	l.Sent = append(l.Sent, kitchen.Sent{Key: e.Key, Seq: staying(e.Entry)})
	l.about(e).Info("fallback taken back")
	return true
}

// schedule leaves a message with the platform.
func (l *lane) schedule(ctx context.Context, e queued, m voice.Message, words string) {
	if !l.hasTime() {
		l.over = true
		return
	}
	var at Posted
	err := l.call(ctx, func(ctx context.Context) (err error) {
		at, err = l.Scheduler.Schedule(ctx, Posting{Kitchen: l.Kitchen, Lane: l.Lane, Message: m}, e.Due)
		return err
	})
	if err != nil {
		l.putOff(e, err, mostUnsure)
		return
	}
	l.note(e, kitchen.Sent{Channel: at.Channel, TS: at.TS, Digest: words})
	l.Observe.Carried(e.Kind, Scheduled)
	l.over = true
	l.about(e).Info("fallback scheduled", "due", e.Due)
}

// putOff leaves a fallback for another time; or gives it up when that can't
// help, or after so many tries of which nobody knows what came; 0 = never.
func (l *lane) putOff(e queued, err error, unsure int) {
	r := refusal(err)
	now, k := l.ledgerTime.Now(), key{l.Kitchen, e.Key}
	n, _ := l.memory.failed(k, key{l.Kitchen, l.Lane}, now)
	if !r.Retry && !r.Unsure && !r.Stuck || r.Unsure && unsure > 0 && n >= unsure {
		l.giveUp(e, r, n)
		return
	}
	wait := max(backOff(n), r.After)
	l.memory.wait(k, now.Add(wait))
	l.later(earlier(now.Add(wait), now.Add(blind)))
	l.Observe.Carried(e.Kind, Retried)
	l.about(e).Warn("fallback not changed, trying again", "attempt", n, "reason", r.Reason, "err", r)
}
