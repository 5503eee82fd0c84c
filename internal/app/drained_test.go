package app

import (
	"strings"
	"testing"
	"time"
)

// Soaked fruit goes through a shift in the practice room: vented slowly, drained
// and weighed, labelled as holding alcohol, and on the manager's page in grams.
func TestSoakedFruitIsPlayedThroughTheRoom(t *testing.T) {
	t.Parallel()
	s := openService(t, time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC))
	lead := s.crew["prep-lead"]
	s.says("bar-1", "start gin-soaked melon 250ml in A")
	s.shown("Weigh 200 g for A", "Vent slowly")
	s.says("bar-1", "charged A")
	s.says("bar-1", "charged A")
	s.clock.Forward(s.clock.Now().Add(15*time.Minute + 20*time.Second))
	s.taps("bar-1", s.shown("Vent ", "slowly, small presses"), "Empty, two silent presses")
	s.clock.Forward(s.clock.Now().Add(time.Minute))
	s.shown("Drain ", "do not press", "Pieces out by")
	s.says("bar-1", "drained A 220")
	label := s.shown("Label 220 g, A", "Holds alcohol. Use by")
	s.taps("bar-1", label, "Labelled")
	s.shown("Stored, fridge", "220 g", "Holds alcohol.")
	if err := s.room.OpenHome(s.ctx, lead); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the page in grams", func() bool {
		return strings.Contains(strings.Join(s.room.HomeLines(lead), "\n"), "gin-soaked melon, 220 g, A")
	})
	for _, m := range s.room.Messages(s.channel) {
		text := s.text(m)
		for _, word := range []string{"train", "About ", "volume"} {
			if strings.Contains(text, word) {
				t.Errorf("of soaked fruit the channel is told %q:\n%s", word, text)
			}
		}
	}
}
