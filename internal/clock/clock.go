// Package clock tells the time and waits for a moment, at the world's pace or
// at another one: the demo plays a whole shift in seconds. Rooms that decide
// anything don't use it; they are told the time.
package clock

import (
	"context"
	"math"
	"sync"
	"time"
)

// Clock is a clock that may run at another pace than the world's. It is safe
// for use by several goroutines.
type Clock struct {
	mu      sync.Mutex
	here    time.Time // the world's time when the pace was last set
	there   time.Time // this clock's time at that instant
	speed   float64
	changed chan struct{} // closed when the pace is set anew
}

// Wall is a clock at the world's time and pace.
func Wall() *Clock {
	now := time.Now()
	return &Clock{here: now, there: now, speed: 1, changed: make(chan struct{})}
}

// Starting is a clock that starts at the given time and runs at speed times
// the world's pace.
func Starting(at time.Time, speed float64) *Clock {
	return &Clock{here: time.Now(), there: at, speed: speed, changed: make(chan struct{})}
}

// Now gives the clock's time.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now()
}

func (c *Clock) now() time.Time {
	return c.there.Add(time.Duration(float64(time.Since(c.here)) * c.speed))
}

// Speed gives how many times faster than the world the clock runs.
func (c *Clock) Speed() float64 {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.speed
}

// Pace sets the clock's speed from now on.
func (c *Clock) Pace(speed float64) {
	c.set(func() { c.speed = speed })
}

// Forward moves the clock forward to at; a clock is never moved back.
func (c *Clock) Forward(at time.Time) {
	c.set(func() {
		if at.After(c.there) {
			c.there = at
		}
	})
}

func (c *Clock) set(change func()) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.there, c.here = c.now(), time.Now()
	change()
	close(c.changed)
	c.changed = make(chan struct{})
}

// left gives the world's span until the clock shows at, rounded up and never
// longer than a Duration can be, and the channel that tells that this span no
// longer holds.
func (c *Clock) left(at time.Time) (time.Duration, <-chan struct{}) {
	c.mu.Lock()
	defer c.mu.Unlock()
	left := math.Ceil(float64(at.Sub(c.now())) / c.speed)
	if left >= math.MaxInt64 {
		return math.MaxInt64, c.changed
	}
	return time.Duration(left), c.changed
}

// Wait waits until the clock shows at, or wake gives, and then gives nil; or
// until ctx ends, and then gives its error. A zero at never comes.
func (c *Clock) Wait(ctx context.Context, at time.Time, wake <-chan struct{}) error {
	for {
		left, changed := c.left(at)
		var due <-chan time.Time
		if !at.IsZero() {
			if left <= 0 {
				return ctx.Err()
			}
			due = time.After(left)
		}
		select {
		case <-due: // and looked at once more: a quick clock may be a hair short
		case <-wake:
			return nil
		case <-changed:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}
