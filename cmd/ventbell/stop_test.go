package main_test

import (
	"net/http"
	"syscall"
	"testing"
	"time"
)

// stopWithin is the bound on a shutdown, README's VENTBELL_STOP_AFTER.
const stopWithin = 10 * time.Second

func TestSIGTERMStopsInOrder(t *testing.T) {
	t.Parallel()
	for _, transport := range []string{"http", "socket"} {
		t.Run(transport, func(t *testing.T) {
			t.Parallel()
			h := openHouse(t, transport, 1)
			b := h.run(0)
			h.says("bar-1", 0, "start pepper tequila 500ml")
			h.sees(0, "Weigh 60 g for A")

			b.signal(syscall.SIGTERM)
			eventually(t, "the bot is no longer ready", func() bool { return b.status("/readyz") != http.StatusOK })
			if status := b.ended(stopWithin); status != 0 {
				t.Errorf("it ended with status %d", status)
			}
			if s := b.status("/healthz"); s != 0 {
				t.Errorf("the port still answers: status %d", s)
			}
			// What was under way is kept, for the next one to go on with.
			h.quiet()
			h.run(0)
			h.taps("bar-1", 0, "Weigh 60 g for A", "Charger in")
			h.sees(0, "Swirl 1 s, A. Charger 1 of 2")
		})
	}
}

func TestSIGTERMWithoutRedisStopsInBoundedTime(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "http", 1)
	b := h.run(0)
	h.rests(0, 60)
	h.redis.kill()
	b.signal(syscall.SIGTERM)
	if status := b.ended(stopWithin + 2*time.Second); status != 0 {
		t.Errorf("it ended with status %d", status)
	}
}
