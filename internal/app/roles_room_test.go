package app

import (
	"strings"
	"testing"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/ledger"
)

// A visitor of another workspace, a guest of this one and a viewer of a group go
// through the practice room: what they tell of gas counts, what they say of emptiness
// asks the crew, the rest is refused with who can. Then somebody is forgotten.
func TestViewersAreHeardAndHeldBackInTheRoom(t *testing.T) {
	t.Parallel()
	s := newService(t, time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC))
	s.room.Allow("usergroups:read")
	visitor, guest := s.room.AddGuest("visitor", "T00000002"), s.room.AddRestricted("temp")
	s.room.Join(s.channel, true)
	s.room.SetGroup("S0FLOOR", s.crew["floor"])
	s.opts.Viewers = "S0FLOOR"
	s.begin()
	bar1 := s.crew["bar-1"]
	says := func(who, text string) string {
		t.Helper()
		got, err := s.room.Command(s.ctx, who, s.channel, "/bell", text)
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if got.Message == nil {
			return ""
		}
		return s.text(*got.Message)
	}
	for name, who := range map[string]string{"visitor": visitor, "guest": guest, "viewer": s.crew["floor"]} {
		if got := says(who, "start ginger gin 400ml in B"); !strings.Contains(got, "somebody of the crew") {
			t.Errorf("the %s starts a batch: %q", name, got)
		}
		if got := says(who, "resting"); strings.Contains(got, "somebody of the crew") || got == "" {
			t.Errorf("the %s may not ask: %q", name, got)
		}
	}
	says(bar1, "start rhubarb gin 400ml in A")
	slip := s.shown("Weigh 80 g for A")
	if _, err := s.room.Tap(s.ctx, visitor, s.channel, slip.TS, "Charger in"); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the visitor's charger counts", func() bool {
		b := s.kitchen().Batches[1]
		return b != nil && len(b.Charges) == 1 && b.Charges[0].By.ID == visitor && b.Owner.ID == bar1
	})
	if !s.kitchen().Batches[1].Charges[0].By.Guest {
		t.Error("it is not known that they are from outside")
	}
	if got := says(guest, "vented A"); !strings.Contains(got, "PRESSURISED") {
		t.Errorf("the guest is answered %q", got)
	}
	asked := s.shown("Look at A", "temp", "PRESSURISED")
	if _, err := s.room.Tap(s.ctx, visitor, s.channel, asked.TS, "Empty, two silent presses"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.room.Say(s.ctx, visitor, s.channel, "@bell vented A", ""); err != nil {
		t.Fatal(err)
	}
	if b := s.kitchen().Batches[1]; b.Gas() == 0 {
		t.Error("a viewer's word emptied the vessel")
	}
	if _, err := s.room.Tap(s.ctx, bar1, s.channel, asked.TS, "Empty, two silent presses"); err != nil {
		t.Fatal(err)
	}
	s.shown("Answered, A", "bar-1")
	if b := s.kitchen().Batches[1]; b.Emptied == nil {
		t.Errorf("the hand's word did not count: %+v", b.Moving)
	}
	// The group changes, and with it who is a viewer.
	s.room.SetGroup("S0FLOOR", "U0NOBODY")
	eventually(t, "the floor is a hand", func() bool {
		return strings.Contains(says(s.crew["floor"], "take A"), "A") && s.kitchen().Batches[1].Owner.ID == s.crew["floor"]
	})
	// The visitor is forgotten, in the kitchen at once and in the log soon after.
	says(s.crew["prep-lead"], "forget @visitor")
	ask := s.shown("Forget visitor for good?")
	if _, err := s.room.Tap(s.ctx, s.crew["prep-lead"], s.channel, ask.TS, "Forget"); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the visitor is forgotten", func() bool { return s.kitchen().Forgotten.Last == 1 })
	if err := s.app.forget(s.ctx, "main"); err != nil {
		t.Fatal(err)
	}
	if n := len(s.kitchen().Forgotten.People); n != 0 {
		t.Errorf("%d people are still known", n)
	}
	s.end()
	noTrace(t, s.data(), s.clock, visitor)
}

// noTrace looks for an id in the log of a ledger.
func noTrace(t *testing.T, data string, clk *clock.Clock, id string) {
	t.Helper()
	file, err := ledger.OpenFile(data, clk.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines, err := file.Lines(t.Context(), clk.Now(), 1000)
	if err != nil || len(lines) == 0 {
		t.Fatalf("%d lines, %v", len(lines), err)
	}
	tokens := 0
	for _, line := range lines {
		if line.By.ID == id || line.By.Name == "visitor" {
			t.Errorf("the log still says %+v", line)
		}
		if line.By.ID == "viewer-0001" {
			tokens++
		}
	}
	if tokens == 0 {
		t.Error("no line holds the token: the event is gone")
	}
}
