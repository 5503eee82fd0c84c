package clock_test

import (
	"testing"
	"testing/synctest"
	"time"

	"ventbell/internal/clock"
)

func TestReckoningAgreesUntilTold(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Starting(noon, 1)
		r := clock.Reckon(c)
		time.Sleep(time.Minute)
		if got := r.Now(); !got.Equal(c.Now()) {
			t.Errorf("untold, Now() = %v, want this clock's %v", got, c.Now())
		}
	})
}

func TestReckoningTakesTheMiddleOfTheRoundTrip(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Starting(noon, 1)
		r := clock.Reckon(c)
		other := noon.Add(time.Hour) // shown by the other clock somewhere in these 20 ms
		before := c.Now()
		time.Sleep(20 * time.Millisecond)
		if moved := r.Told(other, before, c.Now()); moved != 0 {
			t.Errorf("the first telling moved the reckoning by %v, want 0", moved)
		}
		if got, want := r.Now(), other.Add(10*time.Millisecond); !got.Equal(want) {
			t.Errorf("Now() = %v, want %v", got, want)
		}
		if got, want := r.Here(other), before.Add(10*time.Millisecond); !got.Equal(want) {
			t.Errorf("Here() = %v, want %v", got, want)
		}
		if got := r.Here(time.Time{}); !got.IsZero() {
			t.Errorf("Here(zero) = %v, want zero", got)
		}
	})
}

func TestReckoningIsNotShakenByASlowAnswer(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Starting(noon, 1)
		r := clock.Reckon(c)
		r.Told(c.Now().Add(time.Hour), c.Now(), c.Now())

		before := c.Now()
		told := before.Add(time.Hour) // read at once, brought back two seconds later
		time.Sleep(2 * time.Second)
		if moved := r.Told(told, before, c.Now()); moved != 0 {
			t.Errorf("a slow answer moved the reckoning by %v", moved)
		}
		if got, want := r.Now(), c.Now().Add(time.Hour); !got.Equal(want) {
			t.Errorf("Now() = %v, want %v", got, want)
		}
	})
}

func TestReckoningFollowsAStepBothWays(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		c := clock.Starting(noon, 1)
		r := clock.Reckon(c)
		r.Told(c.Now(), c.Now(), c.Now())
		for _, step := range []time.Duration{time.Minute, -time.Minute, -time.Hour} {
			told := r.Now().Add(step)
			if moved := r.Told(told, c.Now(), c.Now()); moved != step {
				t.Errorf("a step of %v moved the reckoning by %v", step, moved)
			}
			if got := r.Now(); !got.Equal(told) {
				t.Errorf("after a step of %v Now() = %v, want %v", step, got, told)
			}
		}
	})
}
