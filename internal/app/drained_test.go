package app

import (
	"context"
	"log/slog"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/practice"
)

// Soaked fruit goes through a shift in the practice room: vented slowly, drained
// and weighed, labelled as holding alcohol, and on the manager's page in grams.
func TestSoakedFruitIsPlayedThroughTheRoom(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithTimeout(context.WithoutCancel(t.Context()), 2*time.Minute)
	defer cancel()
	clk := clock.Starting(time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC), 1)
	s, err := newStage(ctx, clk, "127.0.0.1:0", filepath.Join(t.TempDir(), "kitchen.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	defer s.room.Close()
	_, stop, err := s.open(ctx)
	if err != nil {
		t.Fatal(err)
	}
	lead, bar1 := s.crew["prep-lead"], s.crew["bar-1"]
	says := func(text string) {
		t.Helper()
		if _, err := s.room.Command(ctx, bar1, s.channel, "/bell", text); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
	}
	// shown finds the message that holds all of the words.
	shown := func(words ...string) (found practice.Message) {
		t.Helper()
		eventually(t, strings.Join(words, " ... "), func() bool {
			list := s.room.Messages(s.channel)
			i := slices.IndexFunc(list, func(m practice.Message) bool {
				text := strings.Join(s.room.Lines(m), "\n")
				return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) })
			})
			if i >= 0 {
				found = list[i]
			}
			return i >= 0
		})
		return found
	}
	taps := func(m practice.Message, label string) {
		t.Helper()
		if _, err := s.room.Tap(ctx, bar1, s.channel, m.TS, label); err != nil {
			t.Fatalf("tap %s: %v", label, err)
		}
	}
	says("start gin-soaked melon 250ml in A")
	shown("Weigh 200 g for A", "Vent slowly")
	says("charged A")
	says("charged A")
	clk.Forward(clk.Now().Add(15*time.Minute + 20*time.Second))
	taps(shown("Vent ", "slowly, small presses"), "Empty, two silent presses")
	clk.Forward(clk.Now().Add(time.Minute))
	shown("Drain ", "do not press", "Pieces out by")
	says("drained A 220")
	label := shown("Label 220 g, A", "Holds alcohol. Use by")
	taps(label, "Labelled")
	shown("Stored, fridge", "220 g", "Holds alcohol.")
	if err := s.room.OpenHome(ctx, lead); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the page in grams", func() bool {
		return strings.Contains(strings.Join(s.room.HomeLines(lead), "\n"), "gin-soaked melon, 220 g, A")
	})
	for _, m := range s.room.Messages(s.channel) {
		text := strings.Join(s.room.Lines(m), "\n")
		for _, word := range []string{"train", "About ", "volume"} {
			if strings.Contains(text, word) {
				t.Errorf("of soaked fruit the channel is told %q:\n%s", word, text)
			}
		}
	}
	if n := s.room.Counts().Refused; len(n) > 0 {
		t.Errorf("the room refused %v", n)
	}
	if err := stop(); err != nil {
		t.Error(err)
	}
}
