package runner

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"golang.org/x/time/rate"

	"ventbell/internal/kitchen"
)

// Slack takes one new message a second in a channel and allows short bursts
// (docs.slack.dev/apis/web-api/rate-limits). How long a burst may be it doesn't
// say: three is our own choice, and so is keeping the last of them for what is
// urgent. Edits it counts apart, at some 50 a minute for the whole workspace
// (from memory); one lane takes at most half of that, and one message at most
// one edit in three seconds (our own choice): who reads it could follow no more.
const (
	postEvery = time.Second
	postBurst = 3
	editEvery = 2 * time.Second
	editBurst = 5
	editGap   = 3 * time.Second
)

// glance is the longest that a lane is given back for when only its own pace
// holds it: something urgent may come, and need not wait.
const glance = 250 * time.Millisecond

// postAt is when the lane may have its next new message. The bucket is filled
// anew from the kitchen's record of what was posted and when, so that the pace
// is one pace over all replicas and over a restart.
func (l *lane) postAt(urgent bool, now time.Time) time.Time {
	if l.direct() {
		return now // see delivered
	}
	var posted []time.Time
	for _, s := range l.state.Sent {
		if s.Channel == l.Lane { // a fallback's At is zero, long ago
			posted = append(posted, s.At)
		}
	}
	slices.SortFunc(posted, time.Time.Compare)
	bucket := rate.NewLimiter(rate.Every(postEvery), postBurst)
	for _, at := range posted {
		bucket.ReserveN(at, 1)
	}
	need := 2.0
	if urgent {
		need = 1
	}
	return refilled(bucket, need, postEvery, now)
}

// editAt is when the lane may have its next edit. What is urgent waits only
// when the platform said so.
func (l *lane) editAt(urgent bool, now time.Time) time.Time {
	if held := l.memory.editsHeld(); held.After(now) {
		return held
	}
	if urgent {
		return now
	}
	return refilled(l.memory.editPace(key{l.Kitchen, l.Lane}, now), 1, editEvery, now)
}

// refilled is when a bucket will hold need tokens, at one token every so often.
func refilled(bucket *rate.Limiter, need float64, every time.Duration, now time.Time) time.Time {
	missing := time.Duration((need - bucket.TokensAt(now)) * float64(every))
	if missing < time.Millisecond { // the bucket counts in fractions
		return now
	}
	return now.Add(missing)
}

// direct says that the lane is a person's direct message. The platform names
// its channel only when something was posted, so the record can't be searched
// for it.
func (l *lane) direct() bool { return strings.HasPrefix(l.Lane, "@") }

// queued is an entry in the order in which the lane takes it.
type queued struct {
	kitchen.Entry
	first bool // urgent, or lifted by something urgent
	// lifter is the urgent entry that it must not hold up; empty if none.
	lifter string
}

// lifts says that what is urgent lifts an entry of its batch: one that people
// must see before it.
func lifts(e kitchen.Entry) bool {
	return e.Kind != kitchen.FallbackCall && e.Kind != kitchen.HistoryNote
}

// inOrder gives the entries of a lane in the order in which they are to be
// delivered: urgent ones first, each with the older entries of its own batch
// before it, then the others, histories last; by Seq among themselves.
func inOrder(entries []kitchen.Entry) []queued {
	last := map[uint32]kitchen.Entry{} // of a batch's urgent entries
	for _, e := range entries {
		if e.Urgent && e.Seq >= last[e.Batch].Seq {
			last[e.Batch] = e
		}
	}
	order := make([]queued, 0, len(entries))
	for _, e := range entries {
		q := queued{Entry: e, first: e.Urgent}
		if u, ok := last[e.Batch]; ok && e.Batch != 0 && e.Seq < u.Seq && lifts(e) {
			q.first, q.lifter = true, u.Key
		}
		order = append(order, q)
	}
	slices.SortStableFunc(order, func(a, b queued) int {
		return cmp.Or(cmp.Compare(a.class(), b.class()), cmp.Compare(a.Seq, b.Seq))
	})
	return order
}

// class is 0 for what goes first, 1 for most, 2 for what goes last.
func (q queued) class() int {
	switch {
	case q.first:
		return 0
	case q.Kind == kitchen.HistoryNote:
		return 2
	}
	return 1
}
