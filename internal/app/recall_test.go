package app

import (
	"bytes"
	"encoding/json"
	"testing"
	"time"

	"ventbell/internal/practice"
)

// A lot went into three batches: one is stored, one stands strained on the bench,
// one rests under gas. One line finds all of them, one message asks for each, and
// it says so when nothing is left. Afterwards an inspector's table has every step.
func TestALotOfThreeBatchesIsTakenBack(t *testing.T) {
	t.Parallel()
	s := openService(t, time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC))
	says := func(who, line string, words ...string) practice.Message {
		t.Helper()
		s.says(who, line)
		if len(words) == 0 {
			return practice.Message{}
		}
		return s.shown(words...)
	}
	pass := func(d time.Duration) { s.clock.Forward(s.clock.Now().Add(d)) }
	fill := func(tag string) {
		t.Helper()
		says("bar-1", "start rhubarb gin 400ml in "+tag, "Read as")
		pass(30 * time.Second)
		says("bar-1", "charged "+tag)
		pass(40 * time.Second)
		says("bar-1", "charged "+tag)
		pass(30 * time.Second) // the swirl
		s.shown("Rest", tag+".", "PRESSURISED")
	}
	empty := func(tag string) {
		t.Helper()
		pass(3 * time.Minute)
		says("bar-1", "vented "+tag, "Empty")
		pass(4 * time.Minute)
		says("bar-1", "strained "+tag+" 345ml", "Strained")
	}
	says("bar-2", "lot 7 gin", "gin is from lot 7")
	fill("A")
	empty("A")
	says("bar-1", "labelled A", "Labelled", "rhubarb gin, 345 ml")
	says("bar-1", "washed A")
	fill("B")
	empty("B")
	fill("A")
	says("larder", "where did lot 7 go", "Look at 3 batches", "Vent A first", "On the bench, from B", "Stored")
	asked := says("prep-lead", "recall lot 7: glass in a bottle", "Take lot 7 back, 3 batches?")
	s.taps("prep-lead", asked, "Take it back")
	list := s.shown("Bin lot 7", "@prep-lead", "3 batches", "glass in a bottle", "Vent A first", "never turn the head", "On the bench, from B")
	s.taps("bar-2", list, "Binned 261124-rhubarb-gin-a-1")
	s.taps("bar-2", list, "Binned 261124-rhubarb-gin-b-1")
	s.shown("Bin lot 7", "Vent A first", "Binned Tue 24 Nov")
	pass(3 * time.Minute)
	says("bar-1", "vented A")
	s.shown("Bin lot 7", "In A, open")
	s.taps("bar-1", list, "Binned 261124-rhubarb-gin-a-2")
	over := s.shown("Nothing left of lot 7", "3 batches, all binned")
	if over.TS != list.TS {
		t.Error("it is said in another message than it was asked in")
	}
	s.end()
	var out, errs bytes.Buffer
	code, err := exportCommand(s.ctx, []string{"--ledger", s.opts.Ledger, "--from", "2026-11-24", "--json"}, nil, &out, &errs)
	if code != 0 || err != nil {
		t.Fatalf("exit %d, %v: %s", code, err, errs.String())
	}
	var rows []map[string]string
	if err := json.Unmarshal(out.Bytes(), &rows); err != nil {
		t.Fatal(err)
	}
	from := map[string]bool{}
	for _, row := range rows {
		if row["event"] == "binned" {
			from[row["message"]] = true
		}
	}
	if want := s.channel + "/" + list.TS; len(from) != 1 || !from[want] {
		t.Errorf("binned from the messages %v, want %s", from, want)
	}
}
