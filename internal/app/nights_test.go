package app

import (
	"context"
	"strings"
	"sync"
	"testing"
	"time"

	"ventbell/internal/practice"
)

// In the night in which the clocks go back (Europe/Brussels, last Sunday of October:
// Directive 2000/84/EC, article 3) a rest is as long as ever and its call names the
// clock that hangs on the wall.
func TestARestOverTheHourThatComesTwiceIsAsLongAsEver(t *testing.T) {
	t.Parallel()
	s := openService(t, time.Date(2026, 10, 25, 0, 55, 0, 0, time.UTC)) // 02:55, summer time
	s.charges("larder", "thyme oil 400ml", "A")
	full := s.clock.Now()
	s.until(s.batch("A").VentAt.Time())
	// 30 s of swirling and 8 min of rest after the second charger, at about 02:55:30.
	m := s.sees("Vent 02:0", ", A", "@larder")
	if d := m.At.Sub(full); d < 8*time.Minute+25*time.Second || d > 9*time.Minute {
		t.Errorf("called %v after the second charger, want 8 min 30 s", d)
	}
	if got := m.At.In(s.zone).Format("15:04 MST"); !strings.HasPrefix(got, "02:0") || !strings.HasSuffix(got, "CET") {
		t.Errorf("called at %s", got)
	}
}

// What is started before midnight and strained after it belongs to the day of its
// start, on the label as in the summary.
func TestABatchOverMidnightBelongsToItsEvening(t *testing.T) {
	t.Parallel()
	s := openService(t, time.Date(2026, 11, 24, 23, 56, 0, 0, time.FixedZone("CET", 3600)))
	s.charges("bar-1", "rhubarb gin 400ml", "A")
	s.ventsOnTime("bar-1", "A")
	s.until(s.batch("A").CallAt.Time())
	s.says("bar-1", "strained A 345ml")
	s.hears("bar-1", "label of A", "261124-rhubarb", "Tue 24 Nov")
	s.says("bar-1", "labelled A")
	s.says("bar-1", "washed A")
	for _, line := range []string{"counted 20 full chargers", "counted 2 shells", "fridge 4C", "closing", "sign"} {
		s.says("closer", line)
	}
	s.sees("Closed, Tue 24 Nov", "rhubarb gin")
}

// twin starts a second replica on the ledger of the first.
func (s *service) twin() {
	s.t.Helper()
	opts := s.opts
	opts.Replica = 1
	b := &App{opts: opts, clock: s.clock, log: s.log, ledger: s.app.ledger, keep: s.app.keep}
	for _, step := range []func(context.Context) error{b.openHouse, b.openRooms, b.openPort} {
		if err := step(s.ctx); err != nil {
			s.t.Fatal(err)
		}
	}
	running, cancel := context.WithCancel(s.ctx)
	done := make(chan error, 1)
	go func() { done <- b.Run(running) }()
	first := s.stop
	s.stop = func() error { // the ledger is the first one's
		cancel()
		if err := <-done; err != nil {
			s.t.Error(err)
		}
		return first()
	}
	if err := s.room.Connected(s.ctx, 2); err != nil {
		s.t.Fatal(err)
	}
}

// Two people tap one button at once, and each tap reaches a replica of its own: one
// charger is counted, and the other is asked whether it was one more.
func TestTwoTapsAtOnceOnTwoReplicasCountOneCharger(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.twin()
	s.says("bar-1", "start rhubarb gin 400ml in A")
	slip := s.sees("Weigh 80 g for A")
	both := make(chan struct{})
	var crew sync.WaitGroup
	for _, who := range []string{"bar-1", "bar-2"} {
		crew.Go(func() {
			<-both
			if _, err := s.room.Tap(s.ctx, s.crew[who], s.channel, slip.TS, "Charger in"); err != nil {
				t.Error(err)
			}
		})
	}
	close(both)
	crew.Wait()
	asked := s.await([]string{"harger", "?"}, func(m practice.Message) bool { return m.For != "" })
	if b := s.batch("A"); len(b.Charges) != 1 || b.Gas() != 1 {
		t.Errorf("%d chargers are counted, gas %d:\n%s", len(b.Charges), b.Gas(), s.text(asked))
	}
	s.sees("Swirl 30 s, A", "Charger 1 of 2")
	// Both replicas look at the clock, and one calls.
	s.passes(30 * time.Second)
	s.says("bar-1", "charged A")
	s.until(s.batch("A").VentAt.Time())
	s.sees("Vent ", ", A,", "upright")
}

// An owner who never answers: each call reaches more people, the managers last, and
// it goes on.
func TestWhenTheOwnerNeverAnswersTheCircleGrowsToTheManagers(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.says("larder", "start thyme oil 400ml in C")
	s.says("bar-2", "start bay vodka 400ml in B")
	s.charges("bar-1", "rhubarb gin 400ml", "A")
	due := s.batch("A").VentAt.Time()
	crew := []string{"@bar-1", "@bar-2", "@larder", "@prep-lead"}
	for i, late := range []time.Duration{0, 30 * time.Second, 90 * time.Second, 3 * time.Minute, 6 * time.Minute} {
		at := due.Add(late)
		s.until(at)
		m := s.sees("Vent "+at.In(s.zone).Format("15:04")+", A, ", crew[min(i, len(crew)-1)])
		for j, name := range crew {
			if text := s.versions(m)[0]; strings.Contains(text, name) != (j <= i) {
				t.Errorf("%v late, %s: %v\n%s", late, name, j > i, text)
			}
		}
	}
}

// A vessel that does not vent at close: nothing is signed until a manager has fenced
// it off, and the morning begins with it.
func TestABlockedVesselIsFencedOffBeforeTheSignatureAndFirstInTheMorning(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.charges("bar-1", "rhubarb gin 400ml", "A")
	s.until(s.batch("A").VentAt.Time())
	s.sees("Vent ", ", A,")
	s.hears("bar-1", "A is blocked", "Leave the head on", "PRESSURISED")
	for _, line := range []string{"counted 20 full chargers", "counted 2 shells", "fridge 4C", "closing"} {
		s.says("closer", line)
	}
	s.sees("PRESSURISED: 1", "A PRESSURISED, does not vent", "a manager fences it off")
	s.hears("closer", "sign because we are late", "A does not vent: a manager has it cold, tagged, fenced off, the maker called")
	s.hears("closer", "fenced A", "prep-lead")
	s.taps("prep-lead", s.hears("prep-lead", "fenced A", "cold, tagged PRESSURISED, fenced off, and its maker called?"), "Yes, all four")
	s.sees("A PRESSURISED, does not vent: cold, tagged, fenced off, maker called")
	s.says("closer", "sign")
	s.sees("Closed, Tue 24 Nov", "PRESSURISED and fenced off: A")
	s.until(time.Date(2026, 11, 25, 9, 0, 5, 0, s.zone))
	m := s.sees("Ring the maker: A does not vent since")
	if !strings.HasPrefix(s.text(m), "Ring the maker: A") {
		t.Errorf("the morning begins otherwise:\n%s", s.text(m))
	}
}

// One message lists the batches of a lot wherever they stand, and goes on until each
// is accounted for.
func TestARecallOfThreeBatchesIsOneListTickedOff(t *testing.T) {
	t.Parallel()
	s := openService(t, sixPM)
	s.says("bar-2", "lot 7 gin")
	s.makes("bar-1", "rhubarb gin 400ml", "A", "345ml")
	s.makes("bar-1", "ginger gin 400ml", "B", "340ml")
	s.charges("bar-1", "rhubarb gin 400ml", "A")
	s.hears("floor", "where did lot 7 go", "3 batches", "rhubarb gin", "ginger gin")
	s.taps("prep-lead", s.hears("prep-lead", "recall lot 7: glass in a bottle", "Take lot 7 back, 3 batches?"), "Take it back")
	list := s.sees("Bin lot 7", "3 batches", "Vent A first", "Why: glass in a bottle")
	for _, b := range list.Buttons() {
		if strings.HasPrefix(b.Text.Text, "Binned ") {
			s.taps("bar-1", list, b.Text.Text)
		}
	}
	s.ventsOnTime("bar-1", "A")
	s.taps("bar-1", s.hears("bar-1", "scrap A", "Scrap rhubarb gin in A?"), "Yes")
	m := s.sees("Nothing left of lot 7", "all binned")
	if m.TS != list.TS {
		t.Error("the list was not edited in place")
	}
}
