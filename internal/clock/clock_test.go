package clock_test

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/clock"
)

var noon = time.Date(2026, time.November, 24, 12, 0, 0, 0, time.UTC)

func TestWallKeepsTheWorldsTime(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Wall()
		time.Sleep(90 * time.Second)
		if got, want := c.Now(), time.Now(); !got.Equal(want) {
			t.Errorf("after 90 s Now() = %v, want %v", got, want)
		}
	})
}

func TestAQuickClockRunsAtItsPace(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Starting(noon, 60)
		time.Sleep(time.Second)
		if got, want := c.Now(), noon.Add(time.Minute); !got.Equal(want) {
			t.Errorf("after 1 s at sixty times the pace Now() = %v, want %v", got, want)
		}
		c.Pace(2)
		time.Sleep(time.Second)
		if got, want := c.Now(), noon.Add(62*time.Second); !got.Equal(want) {
			t.Errorf("a second later at twice the pace Now() = %v, want %v", got, want)
		}
	})
}

func TestForwardNeverMovesBack(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Starting(noon, 1)
		c.Forward(noon.Add(time.Hour))
		c.Forward(noon)
		if got, want := c.Now(), noon.Add(time.Hour); !got.Equal(want) {
			t.Errorf("Now() = %v, want %v", got, want)
		}
	})
}

func TestSpeedIsWhatWasSet(t *testing.T) {
	t.Parallel()
	c := clock.Starting(noon, 60)
	if got := c.Speed(); got != 60 {
		t.Errorf("Speed() = %v, want 60", got)
	}
	c.Pace(2)
	if got := c.Speed(); got != 2 {
		t.Errorf("after Pace(2) Speed() = %v", got)
	}
}

func TestAnAlmostStillClockWaitsUntilItIsMoved(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Starting(noon, 1e-6) // four hours on it are more than a Duration holds
		ended := wait(t.Context(), c, noon.Add(4*time.Hour), nil)
		synctest.Wait()
		select {
		case err := <-ended:
			t.Fatalf("the wait ended at %v: %v", c.Now(), err)
		default:
		}
		c.Forward(noon.Add(4 * time.Hour))
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
}

// wait runs c.Wait beside the test and gives how it ended.
func wait(ctx context.Context, c *clock.Clock, at time.Time, wake <-chan struct{}) <-chan error {
	ended := make(chan error, 1)
	go func() { ended <- c.Wait(ctx, at, wake) }()
	return ended
}

func TestWaitEndsAtTheMoment(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Starting(noon, 60)
		began := time.Now()
		if err := c.Wait(t.Context(), noon.Add(2*time.Minute), nil); err != nil {
			t.Fatalf("Wait() = %v", err)
		}
		if took := time.Since(began); took != 2*time.Second {
			t.Errorf("two minutes at sixty times the pace took %v, want 2s", took)
		}
	})
}

func TestWaitForAPastMomentEndsAtOnce(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		if err := clock.Starting(noon, 1).Wait(t.Context(), noon.Add(-time.Second), nil); err != nil {
			t.Fatalf("Wait() = %v", err)
		}
		if took := time.Since(began); took != 0 {
			t.Errorf("waited %v for a moment that was past", took)
		}
	})
}

func TestWaitFollowsAChangeOfPaceAndAMoveForward(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Starting(noon, 1)
		began := time.Now()
		ended := wait(t.Context(), c, noon.Add(time.Hour), nil)
		time.Sleep(10 * time.Second)
		c.Pace(10) // 59:50 left, now in 5:59
		time.Sleep(time.Second)
		c.Forward(noon.Add(59 * time.Minute)) // 1:00 left, now in 6 s
		if err := <-ended; err != nil {
			t.Fatalf("Wait() = %v", err)
		}
		if took := time.Since(began); took != 17*time.Second {
			t.Errorf("the wait took %v, want 17s", took)
		}
	})
}

func TestWaitEndsWhenWokenOrStopped(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Starting(noon, 1)
		wake := make(chan struct{}, 1)
		ended := wait(t.Context(), c, noon.Add(time.Hour), wake)
		synctest.Wait()
		wake <- struct{}{}
		if err := <-ended; err != nil {
			t.Errorf("woken, Wait() = %v, want nil", err)
		}

		ctx, stop := context.WithCancel(t.Context())
		ended = wait(ctx, c, time.Time{}, wake) // no moment: only a wake or a stop ends it
		time.Sleep(1000 * time.Hour)
		select {
		case err := <-ended:
			t.Fatalf("a wait for no moment ended: %v", err)
		default:
		}
		stop()
		if err := <-ended; !errors.Is(err, context.Canceled) {
			t.Errorf("stopped, Wait() = %v, want %v", err, context.Canceled)
		}
	})
}

// A wait that ends a nanosecond early makes its caller find nothing due.
func TestWaitNeverEndsEarlyAtAnyPace(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		speed := rapid.Float64Range(0.1, 2000).Draw(rt, "speed")
		began := time.Duration(rapid.Int64Range(0, int64(time.Hour)).Draw(rt, "began"))
		span := time.Duration(rapid.Int64Range(1, int64(48*time.Hour)).Draw(rt, "span"))
		var shown, at time.Time
		synctest.Test(t, func(t *testing.T) {
			c := clock.Starting(noon, speed)
			time.Sleep(began)
			at = c.Now().Add(span)
			if err := c.Wait(t.Context(), at, nil); err != nil {
				t.Fatalf("Wait() = %v", err)
			}
			shown = c.Now()
		})
		if late := shown.Sub(at); late < 0 || late > time.Duration(speed)+2 {
			rt.Errorf("the wait ended %v after its moment", late)
		}
	})
}
