package main_test

import (
	"regexp"
	"testing"
	"time"

	"ventbell/internal/practice"
)

func TestKilledInMidRestAndBackInTimeTheVentCallComesOnce(t *testing.T) {
	t.Parallel()
	for _, transport := range []string{"http", "socket"} {
		t.Run(transport, func(t *testing.T) {
			t.Parallel()
			h := openHouse(t, transport, 1)
			b := h.run(0)
			batch := h.rests(0, 10)
			h.quiet()
			b.kill()
			if n := h.count(0, "Vent #"); n != 0 {
				t.Fatalf("%d vent calls before the kill", n)
			}

			h.run(0)
			if now := time.Now(); now.After(batch.VentAt.Time()) {
				t.Logf("the machine is busy: back only %s after the vent was due", now.Sub(batch.VentAt.Time()))
			}
			vent := h.sees(0, "Vent #")
			if vent.At.Before(batch.VentAt.Time()) {
				t.Errorf("called at %s, due only at %s", vent.At, batch.VentAt.Time())
			}
			h.goesOn(t)
		})
	}
}

// lateFrom is from when on a call says that it is late.
const lateFrom = 10 * time.Second

// lateLine is how a late vent call says how late it is.
var lateLine = regexp.MustCompile(`(?m)^(\d+):(\d\d) late: vent now, strain at once, then taste\.$`)

func TestKilledInMidRestAndBackTooLateTheVentCallComesOnceAndSaysHowLate(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "http", 1)
	b := h.run(0)
	batch := h.rests(0, 6)
	b.kill()
	if n := h.count(0, "Vent #"); n != 0 {
		t.Fatalf("%d vent calls before the kill", n)
	}

	due := batch.VentAt.Time()
	back := due.Add(lateFrom + time.Second)
	eventually(t, "the moment is well past", func() bool { return time.Now().After(back) })
	h.run(0)
	vent := h.sees(0, "Vent #")
	said := lateLine.FindStringSubmatch(h.room.Plain(vent.Text))
	if said == nil {
		t.Fatalf("it does not say how late: %q", h.room.Plain(vent.Text))
	}
	late, err := time.ParseDuration(said[1] + "m" + said[2] + "s")
	// It was worded after the start and before it was posted, in whole seconds.
	if least, most := back.Sub(due)-time.Second, vent.At.Sub(due); err != nil || late < least || late > most {
		t.Errorf("it says %s late; it is between %s and %s", late, least, most)
	}
	h.goesOn(t)
}

// goesOn vents, and checks that there was one vent call, and that the batch
// goes on as any other.
func (h *house) goesOn(t *testing.T) {
	t.Helper()
	h.taps("bar-1", 0, "Vent #", "Empty, two silent presses")
	h.sees(0, "Empty ", func(m practice.Message) bool { return len(m.Edits) > 0 })
	h.sees(0, "Strain ")
	h.quiet()
	if n := h.count(0, "Vent #"); n != 1 {
		t.Errorf("%d vent calls, want 1", n)
	}
	if n := h.room.Counts().Doubles; n != 0 {
		t.Errorf("%d messages were posted twice", n)
	}
}
