package app

import (
	"context"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/practice"
)

// A question back stands in the channel, changes its words after 20 s and keeps
// its buttons; others leave the vessel alone, and one tap starts the batch.
func TestAQuestionWaitsInTheChannelAndHoldsItsVessel(t *testing.T) {
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
	says := func(who, text string) practice.Response {
		t.Helper()
		r, err := s.room.Command(ctx, s.crew[who], s.channel, "/bell", text)
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		return r
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
	says("bar-1", "start gin 400ml")
	first := shown("Which one is gin?", "For bar-1", "Nothing has started", "Held for it: A")
	says("larder", "start thyme oil 400ml")
	shown("for B: fresh thyme")
	clk.Forward(clk.Now().Add(20 * time.Second))
	second := shown("Not started", "bar-1", "Held for it: A", "Which one is gin?")
	if second.TS != first.TS {
		t.Errorf("reworded in another message: %s, asked in %s", second.TS, first.TS)
	}
	for _, m := range s.room.Messages(s.channel) {
		if strings.Contains(text(m), "for A:") {
			t.Errorf("something started by itself: %s", text(m))
		}
	}
	if _, err := s.room.Tap(ctx, s.crew["bar-1"], s.channel, second.TS, "ginger gin"); err != nil {
		t.Fatal(err)
	}
	shown("for A: ", "ginger")
	if m := shown("Answered, bar-1", "ginger gin"); m.TS != first.TS {
		t.Error("the answer is not shown where it was asked")
	}
	if n := s.room.Counts(); len(n.Refused) > 0 || n.Doubles > 0 {
		t.Errorf("the room refused %v and saw %d twice", n.Refused, n.Doubles)
	}
	if err := stop(); err != nil {
		t.Error(err)
	}
}

// Where nothing can be edited the answer to the line is the question, and the
// channel is not told it besides.
func TestWhereNothingCanBeEditedTheAnswerHoldsTheQuestion(t *testing.T) {
	t.Parallel()
	clk := clock.Starting(time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC), 20)
	p := openHatchApp(context.WithoutCancel(t.Context()), t, clk, nil)
	got := p.says("bar-1", "start gin 400ml")
	for _, want := range []string{"Which one is gin?", "Nothing has started", "Held for it: A", "`/bell start ginger gin 400ml`"} {
		if !strings.Contains(got, want) {
			t.Errorf("answered without %q:\n%s", want, got)
		}
	}
	if got := p.says("larder", "start thyme oil 400ml in A"); !strings.Contains(got, "A is held: bar-1") || !strings.Contains(got, " !0.0.0.held`") {
		t.Errorf("who names A is answered\n%s", got)
	}
	clk.Forward(clk.Now().Add(time.Minute))
	p.says("bar-1", "start ginger gin 400ml")
	p.sees("Weigh ", "for A: ", "ginger")
	for _, post := range p.posted() {
		if strings.Contains(post, "Which one") || strings.Contains(post, "Answered") {
			t.Errorf("posted %q", post)
		}
	}
}
