// Package door holds what every door to the people does in the same way: it
// takes things in until it is closed, says what a call that got no answer
// means, and drops the characters that no platform is shown. It knows no
// platform, no protocol and no sentence.
package door

import (
	"context"
	"fmt"
	"sync"
	"sync/atomic"
	"time"
)

// Intake counts what was taken in and is not yet carried out and answered. Its
// zero value is open. It is safe for use by several goroutines.
type Intake struct {
	last atomic.Int64 // when something was last taken in, in microseconds

	mu     sync.Mutex
	closed bool
	work   sync.WaitGroup
}

// Begin notes at now that something was taken in; the caller calls Done when it
// is through with it. It is false once the door is closed.
func (i *Intake) Begin(now time.Time) bool {
	i.mu.Lock()
	defer i.mu.Unlock()
	if i.closed {
		return false
	}
	i.work.Add(1)
	i.last.Store(now.UnixMicro())
	return true
}

// Done notes that what was begun is through.
func (i *Intake) Done() { i.work.Done() }

// Go runs f beside its caller, who is between Begin and Done; Close waits for it.
func (i *Intake) Go(f func()) { i.work.Go(f) }

// LastHeard is when something was last taken in; zero if nothing was.
func (i *Intake) LastHeard() time.Time {
	if at := i.last.Load(); at != 0 {
		return time.UnixMicro(at)
	}
	return time.Time{}
}

// Shut takes nothing more in.
func (i *Intake) Shut() {
	i.mu.Lock()
	defer i.mu.Unlock()
	i.closed = true
}

// Drain waits until everything that was taken in is through, or until ctx ends.
func (i *Intake) Drain(ctx context.Context) error {
	idle := make(chan struct{})
	go func() {
		i.work.Wait()
		close(idle)
	}()
	select {
	case <-idle:
		return nil
	case <-ctx.Done():
		return fmt.Errorf("wait for what was taken in: %w", ctx.Err())
	}
}
