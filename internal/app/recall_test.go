package app

import (
	"bytes"
	"context"
	"encoding/json"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/practice"
)

// A lot went into three batches: one is stored, one stands strained on the bench,
// one rests under gas. One line finds all of them, one message asks for each, and
// it says so when nothing is left. Afterwards an inspector's table has every step.
func TestALotOfThreeBatchesIsTakenBack(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithTimeout(context.WithoutCancel(t.Context()), 2*time.Minute)
	defer cancel()
	clk := clock.Starting(time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC), 1)
	path := filepath.Join(t.TempDir(), "kitchen.db")
	s, err := newStage(ctx, clk, "127.0.0.1:0", path, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	defer s.room.Close()
	_, stop, err := s.open(ctx)
	if err != nil {
		t.Fatal(err)
	}
	text := func(m practice.Message) string { return strings.Join(s.room.Lines(m), "\n") }
	shown := func(words ...string) (found practice.Message) {
		t.Helper()
		eventually(t, strings.Join(words, " ... "), func() bool {
			for _, m := range s.room.Messages(s.channel) {
				all := true
				for _, w := range words {
					all = all && strings.Contains(text(m), w)
				}
				if all {
					found = m
					return true
				}
			}
			return false
		})
		return found
	}
	says := func(who, line string, words ...string) practice.Message {
		t.Helper()
		if _, err := s.room.Command(ctx, s.crew[who], s.channel, "/bell", line); err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		if len(words) == 0 {
			return practice.Message{}
		}
		return shown(words...)
	}
	tap := func(who string, m practice.Message, label string) {
		t.Helper()
		if _, err := s.room.Tap(ctx, s.crew[who], s.channel, m.TS, label); err != nil {
			t.Fatalf("[%s]: %v", label, err)
		}
	}
	pass := func(d time.Duration) { clk.Forward(clk.Now().Add(d)) }
	fill := func(tag string) {
		t.Helper()
		says("bar-1", "start rhubarb gin 400ml in "+tag, "Read as")
		pass(30 * time.Second)
		says("bar-1", "charged "+tag)
		pass(40 * time.Second)
		says("bar-1", "charged "+tag)
		shown("Rest", tag+".", "PRESSURISED")
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
	tap("prep-lead", asked, "Take it back")
	list := shown("Bin lot 7", "@prep-lead", "3 batches", "glass in a bottle", "Vent A first", "never turn the head", "On the bench, from B")
	tap("bar-2", list, "Binned 261124-rhubarb-gin-a-1")
	tap("bar-2", list, "Binned 261124-rhubarb-gin-b-1")
	shown("Bin lot 7", "Vent A first", "Binned Tue 24 Nov")
	pass(3 * time.Minute)
	says("bar-1", "vented A")
	shown("Bin lot 7", "In A, open")
	tap("bar-1", list, "Binned 261124-rhubarb-gin-a-2")
	over := shown("Nothing left of lot 7", "3 batches, all binned")
	if over.TS != list.TS {
		t.Error("it is said in another message than it was asked in")
	}
	if n := s.room.Counts(); len(n.Refused) > 0 || n.Doubles > 0 {
		t.Errorf("the room refused %v and saw %d twice", n.Refused, n.Doubles)
	}
	if err := stop(); err != nil {
		t.Error(err)
	}
	var out, errs bytes.Buffer
	code, err := exportCommand(ctx, []string{"--ledger", "file:" + path, "--from", "2026-11-24", "--json"}, nil, &out, &errs)
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
