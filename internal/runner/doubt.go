package runner

import (
	"context"
	"errors"
	"time"

	"ventbell/internal/kitchen"
)

// Whether the platform took a message nobody knows when its answer was lost, or
// when the runner died before the answer was recorded. Such a doubt stands in
// the kitchen's record, where every runner sees it, and is settled before the
// message is posted again: the platform is asked. Where it can't be asked, a
// call is repeated and says so; what rings nobody waits a while for an answer.
const (
	// lookFor is how long a slip waits for somebody to look before it is
	// repeated like a call.
	lookFor = time.Minute
	// lookEvery is how far apart the looks are meanwhile.
	lookEvery = 10 * time.Second
	// repeatEvery is before a second repeat, when the first one was no surer.
	// It comes sooner if the lane has taken another message since: then the
	// platform answers again.
	repeatEvery = 10 * time.Minute
	// leeway is how long before its moment a message may have been posted.
	leeway = time.Minute
)

var errNobodyLooks = errors.New("nobody can look")

// sift takes apart what stands, what may stand, and what is known not to.
func (l *lane) sift() {
	l.doubts = map[string]kitchen.Sent{}
	for k, s := range l.state.Sent {
		if s.TS != "" {
			continue
		}
		delete(l.state.Sent, k)
		if s.Mark != "" {
			l.doubts[k] = s
		}
	}
	for _, e := range l.Entries {
		l.suspect(e)
	}
}

// suspect doubts a message of a lost lane: the runner that had the lane may
// have posted it. A fallback is left out, since it can't be looked up, and one
// too many is better than none.
func (l *lane) suspect(e kitchen.Entry) {
	_, known := l.state.Sent[e.Key]
	_, doubtful := l.doubts[e.Key]
	if !l.Lost || known || doubtful || e.Kind == kitchen.FallbackCall {
		return
	}
	l.doubts[e.Key] = kitchen.Sent{
		Key: e.Key, Channel: l.Lane, At: earlier(e.Due, l.Now).Add(-leeway), Seq: staying(e), Mark: l.mark(e.Key),
	}
}

// leaveDoubts records what was suspected and not settled in this lease. Its
// words are not known.
func (l *lane) leaveDoubts() {
	for _, d := range l.doubts {
		if l.Lost && d.Digest == "" {
			l.Sent = append(l.Sent, d)
		}
	}
}

// staying gives the Seq for a record that leaves its entry in the outbox.
func staying(e kitchen.Entry) uint64 { return max(e.Seq, 1) - 1 }

// mark gives what a message is found by. It is the message's and not the
// entry's: a newer entry of the same key looks for the same message.
func (l *lane) mark(k string) string {
	if d, ok := l.doubts[k]; ok {
		return d.Mark
	}
	return l.markAnew(k)
}

func (l *lane) markAnew(k string) string { return short([]string{l.Kitchen, k, l.apart[k]}) }

// doubt records that nobody knows whether a message was taken.
func (l *lane) doubt(e queued, s kitchen.Sent, repeat bool) {
	s.Key, s.Channel, s.Seq = e.Key, l.Lane, staying(e.Entry)
	if d, ok := l.doubts[e.Key]; ok {
		s.At, s.Seq = earlier(s.At, d.At), d.Seq
		if s.Digest != d.Digest {
			s.Digest = "" // whichever of the two may be found
		}
	}
	l.doubts[e.Key] = s
	l.Sent = append(l.Sent, s)
	if repeat {
		l.memory.repeated(key{l.Kitchen, e.Key}, l.ledgerTime.Now())
	}
}

// settle finds out about a message that may stand already. If it stands, it is
// known from now on. repeat says that nobody knows, and that it is to be posted
// all the same; wait, that this is not yet the time.
func (l *lane) settle(ctx context.Context, e queued) (repeat, wait bool) {
	d, doubtful := l.doubts[e.Key]
	if !doubtful {
		return false, false
	}
	if !e.Edit && !l.mayPost(e) {
		return false, true
	}
	if _, err := l.look(ctx, e, d); err == nil {
		return false, false
	}
	now, k := l.ledgerTime.Now(), key{l.Kitchen, e.Key}
	if l.mayHope(e, now) || !l.memory.mayRepeat(k, key{l.Kitchen, l.Lane}, now) {
		l.memory.wait(k, now.Add(lookEvery))
		l.later(now.Add(blind))
		return false, true
	}
	return true, false
}

// mayHope says that what rings nobody waits for somebody to look.
func (l *lane) mayHope(e queued, now time.Time) bool {
	return !rings(e.Entry) && l.Finder != nil && now.Before(l.memory.blindSince(key{l.Kitchen, e.Key}, now).Add(lookFor))
}

// look asks the platform for a message that may stand there. With an error
// nothing is known, and nothing more is asked in this lease.
func (l *lane) look(ctx context.Context, e queued, d kitchen.Sent) (found bool, err error) {
	if l.Finder == nil {
		return false, errNobodyLooks
	}
	if l.blind != nil {
		return false, l.blind
	}
	var at Posted
	err = l.call(ctx, func(ctx context.Context) (err error) {
		at, found, err = l.Finder.Find(ctx, l.Lane, d.Mark, d.At)
		return err
	})
	if err != nil {
		l.blind = err
		l.about(e).Warn("message not looked up", "err", err)
		return false, err
	}
	delete(l.doubts, e.Key)
	s := kitchen.Sent{Key: e.Key, Seq: staying(e.Entry)}
	if found {
		s.Channel, s.TS, s.At, s.Digest = at.Channel, at.TS, d.At, d.Digest
		l.state.Sent[e.Key] = s
		l.Observe.Carried(e.Kind, Found)
	}
	l.Sent = append(l.Sent, s)
	l.about(e).Info("message looked up", "found", found)
	return found, nil
}

// rings says that an entry is a call: it comes as a new message and is worth
// one too many.
func rings(e kitchen.Entry) bool {
	switch e.Kind {
	case kitchen.Slip, kitchen.HistoryNote, kitchen.FallbackCall:
		return false
	}
	return !e.Edit
}
