package clock

import (
	"sync"
	"time"
)

// Reckoning tells another clock's time, such as a ledger's, from this one and
// from what the other told last. It is safe for use by several goroutines.
type Reckoning struct {
	clock *Clock

	mu     sync.Mutex
	known  bool
	offset time.Duration // the other's time less this clock's
}

// Reckon starts a reckoning that takes the other clock to agree with c until
// it is told better.
func Reckon(c *Clock) *Reckoning {
	return &Reckoning{clock: c}
}

// Told notes that the other clock showed at some time between before and
// after, both by this clock, and gives by how much the reckoning was moved; the
// first time is no move. What was reckoned stays while it is still possible, so
// a slow answer doesn't shake it; else the middle of the two is taken.
func (r *Reckoning) Told(at, before, after time.Time) time.Duration {
	low, high := at.Sub(after), at.Sub(before)
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.known && low <= r.offset && r.offset <= high {
		return 0
	}
	was, first := r.offset, !r.known
	r.offset, r.known = low+(high-low)/2, true
	if first {
		return 0
	}
	return r.offset - was
}

// Now gives the other clock's time.
func (r *Reckoning) Now() time.Time {
	return r.clock.Now().Add(r.ahead())
}

// Here gives the time that this clock shows when the other shows at; a zero
// at stays zero.
func (r *Reckoning) Here(at time.Time) time.Time {
	if at.IsZero() {
		return at
	}
	return at.Add(-r.ahead())
}

func (r *Reckoning) ahead() time.Duration {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.offset
}
