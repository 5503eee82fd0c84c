package ledger

import (
	"sync"
	"time"
)

// steady keeps the ledger's time from going back. Where the ledger's clock
// steps back, time goes on from the last reading by this process's monotonic
// clock, until the ledger's clock has caught up or the process starts anew.
type steady struct {
	mu    sync.Mutex
	last  time.Time // the time last given
	here  time.Time // this process's own time then
	ahead time.Duration
}

// read takes a reading of the ledger's clock and gives the ledger's time.
func (s *steady) read(t time.Time) time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	t, here := moment(t.UnixMicro()), time.Now()
	now := t
	if now.Before(s.last) {
		now = s.last.Add(here.Sub(s.here)).Truncate(time.Microsecond)
	}
	s.last, s.here, s.ahead = now, here, now.Sub(t)
	return now
}

// guess gives the ledger's time without a reading.
func (s *steady) guess() time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.last.Add(time.Since(s.here))
}

// lead says how far the ledger's time was ahead of its clock at the last
// reading: nothing, but after a step back.
func (s *steady) lead() time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.ahead
}
