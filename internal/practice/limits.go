package practice

import (
	"math"
	"time"
)

// How often the service may call, by the room's clock. Source: docs.slack.dev,
// Web API rate limits, and each method's page for its tier. How many calls
// Slack lets through at once is not published: our figures are strict.
const (
	postBurst = 3  // messages at once in a channel; then one a second
	tier2     = 20 // calls a minute of one method
	tier3     = 50
	tier4     = 100 // calls a minute of one method
)

// bucket fills steadily and is emptied by calls.
type bucket struct {
	missing float64 // calls until it is full again
	at      time.Time
}

// take takes one call out of a bucket that holds burst calls and gets one back
// each every. When there is none it gives how long until there is.
func (b *bucket) take(now time.Time, every time.Duration, burst int) time.Duration {
	missing := b.missing
	if !b.at.IsZero() {
		missing = max(0, missing-now.Sub(b.at).Seconds()/every.Seconds())
	}
	over := missing + 1 - float64(burst)
	if over > 1e-9 {
		return time.Duration(over * float64(every))
	}
	b.missing, b.at = missing+1, now
	return 0
}

// tooSoon refuses a call that comes too early, with Slack's Retry-After in
// whole seconds.
func tooSoon(wait time.Duration) *refusal {
	if wait <= 0 {
		return nil
	}
	seconds := math.Ceil(wait.Seconds())
	return &refusal{code: "ratelimited", after: time.Duration(seconds) * time.Second}
}

// paced holds one channel to one message a second, in short bursts; r.mu is held.
func (r *Room) paced(ch *channel) *refusal {
	return tooSoon(ch.pace.take(r.cfg.Clock.Now(), time.Second, postBurst))
}

// pacedMethod holds a method to its tier.
func (r *Room) pacedMethod(name string, perMinute int) *refusal {
	if perMinute == 0 {
		return nil
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	b := r.pace[name]
	if b == nil {
		b = &bucket{}
		r.pace[name] = b
	}
	return tooSoon(b.take(r.cfg.Clock.Now(), time.Minute/time.Duration(perMinute), perMinute))
}
