package runner_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"ventbell/internal/runner"
)

func TestAStopInMidPostRecordsWhatWasPosted(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", entry(1, "1/slip"), entry(2, "1/strain.1"))
		stop := h.run(t, slow{h.wall, 3 * time.Second})
		pass(time.Second)
		stop()
		if took := h.clock.Now().Sub(h.wall.began); took != 3*time.Second {
			t.Errorf("Run returned after %v, want 3s: when the post was through", took)
		}
		h.run(t, h.wall, func(c *runner.Config) { c.Holder = "two" })
		pass(0)
		if want := []string{"1/slip", "1/strain.1"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v: nothing twice, and the rest at once", h.wall.texts(), want)
		}
	})
}

func TestAStopIsBoundedWhenThePlatformStalls(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", entry(1, "1/slip"), entry(2, "1/strain.1"))
		stop := h.run(t, &stalling{wall: h.wall, lane: "C1"})
		pass(time.Second)
		stop()
		if took := h.clock.Now().Sub(h.wall.began); took > 5*time.Second {
			t.Errorf("Run returned after %v, want within 5s", took)
		}
	})
}

func TestAStopIsBoundedWhenTheLedgerIsDown(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", entry(1, "1/slip"))
		stop := h.run(t, slow{h.wall, time.Second})
		pass(500 * time.Millisecond)
		h.set(func() { h.down = true })
		stop()
		if took := h.clock.Now().Sub(h.wall.began); took > 7*time.Second {
			t.Errorf("Run returned after %v, want within 7s", took)
		}
	})
}

func TestWhatWasPostedIsRecordedSoonAfterTheLedgerIsBack(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", entry(1, "1/slip"))
		h.set(func() { h.doneDown = true })
		stop := h.run(t, h.wall)
		pass(2 * time.Second)
		h.set(func() { h.doneDown = false })
		pass(2 * time.Second) // long before the lease ends
		stop()
		h.run(t, h.wall, func(c *runner.Config) { c.Holder = "two" })
		pass(time.Minute)
		if want := []string{"1/slip"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
	})
}

func TestWhatCouldNotBeRecordedIsRememberedBeyondTheLease(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", entry(1, "1/slip"))
		h.set(func() { h.doneDown = true })
		h.run(t, h.wall)
		pass(time.Minute)
		h.set(func() { h.doneDown = false })
		pass(time.Minute)
		if want := []string{"1/slip"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
		if s := h.record("k", "1/slip"); h.left("k") != 0 || s.TS != "ts1" {
			t.Errorf("%d left and %+v recorded, want none and ts1", h.left("k"), s)
		}
	})
}

func TestAnOutageOfTheLedgerIsLoggedOnceAndOutlived(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.run(t, h.wall)
		h.set(func() { h.down = true })
		pass(30 * time.Second)
		h.put("k", entry(1, "1/slip"))
		pass(30 * time.Second)
		h.set(func() { h.down = false })
		pass(time.Second)
		if want := []string{"1/slip"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
		if n := h.log.count("ERROR lanes not read"); n != 1 {
			t.Errorf("the outage is in the log %d times, want once", n)
		}
	})
}

func TestAKitchenThatCannotBeReadIsTriedAgain(t *testing.T) {
	bubble(t, func(t *testing.T, h *house) {
		h.put("k", entry(1, "1/slip"))
		h.set(func() { h.peekErr = errors.New("broken field") })
		h.run(t, h.wall)
		pass(10 * time.Second)
		h.set(func() { h.peekErr = nil })
		pass(time.Second)
		if want := []string{"1/slip"}; !slices.Equal(h.wall.texts(), want) {
			t.Errorf("shown %v, want %v", h.wall.texts(), want)
		}
	})
}
