package main_test

import (
	"net/http"
	"strings"
	"sync"
	"testing"

	"ventbell/internal/kitchen"
)

// crewed is how many kitchens are at work when Redis is killed.
const crewed = 24

func TestRedisKilledInMidBatchLosesNothingConfirmed(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "http", 1+crewed)
	b := h.run(0)
	// One batch whose vent falls due soon after the outage ...
	resting := h.rests(0, 12)
	h.quiet()
	// ... and as many kitchens as can be, busy in the very moment of it.
	confirmed := h.busyUntil(crewed*3/2, h.redis.kill)

	eventually(t, "the bot says that it is not ready", func() bool { return b.status("/readyz") == http.StatusServiceUnavailable })
	if got := h.says("bar-1", 0, "take A"); !strings.HasPrefix(got, "That may not have gone through") &&
		!strings.HasPrefix(got, "Not saved yet.") {
		t.Errorf("without Redis the answer is %q", got)
	}
	h.redis.start()
	eventually(t, "the bot is ready again by itself", func() bool { return b.status("/readyz") == http.StatusOK })

	for i, want := range confirmed {
		if got := h.confirmedIn(i); got < want {
			t.Errorf("%s: %d things were confirmed, %d are kept", h.kitchen(i), want, got)
		}
	}
	kept := h.batch(0, "A")
	if len(kept.Charges) != 2 || kept.VentAt != resting.VentAt {
		t.Errorf("kept of the resting batch: %d chargers, vent %s, want 2 and %s",
			len(kept.Charges), kept.VentAt.Time(), resting.VentAt.Time())
	}
	if vent := h.sees(0, "Vent #"); vent.At.Before(resting.VentAt.Time()) {
		t.Errorf("called at %s, due only at %s", vent.At, resting.VentAt.Time())
	}
	h.goesOn(t)
}

// busyUntil has every kitchen but the first start a batch and tap its two
// chargers in, several kitchens at once, and does something as soon as that
// much was confirmed. It gives how much was confirmed in each kitchen in all.
func (h *house) busyUntil(enough int, then func()) map[int]int {
	h.t.Helper()
	var mu sync.Mutex
	confirmed, done := map[int]int{}, 0
	var hands sync.WaitGroup
	work := make(chan int, crewed)
	for i := range crewed {
		work <- 1 + i
	}
	close(work)
	for range 8 {
		hands.Go(func() {
			for i := range work {
				for _, line := range []string{"start pepper tequila 500ml rest 5 min", "charged A", "charged A"} {
					answer, err := h.room.Command(h.soon(), h.crew["bar-2"], h.channels[i], "/bell", line)
					if err != nil || answer.Message == nil || !yes(h.room.Plain(answer.Message.Text)) {
						break // the outage: nothing was confirmed
					}
					mu.Lock()
					confirmed[i]++
					done++
					now := done == enough
					mu.Unlock()
					if now {
						then()
					}
				}
			}
		})
	}
	hands.Wait()
	return confirmed
}

// yes says that an answer confirms something.
func yes(answer string) bool {
	return strings.HasPrefix(answer, "Read as: ") || strings.HasPrefix(answer, "Counted: ")
}

// confirmedIn gives how many of the three things of busyUntil are kept.
func (h *house) confirmedIn(i int) int {
	h.t.Helper()
	state, err := h.ledger.Peek(h.soon(), h.kitchen(i))
	if err != nil {
		h.t.Fatal(err)
	}
	k, err := kitchen.Decode(h.kitchen(i), state.Fields)
	if err != nil {
		h.t.Fatal(err)
	}
	n := 0
	for _, b := range k.Batches {
		n += 1 + len(b.Charges)
	}
	return n
}
