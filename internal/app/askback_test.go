package app

import (
	"context"
	"strings"
	"testing"
	"time"

	"ventbell/internal/clock"
)

// A question back stands in the channel, changes its words after 20 s and keeps
// its buttons; others leave the vessel alone, and one tap starts the batch.
func TestAQuestionWaitsInTheChannelAndHoldsItsVessel(t *testing.T) {
	t.Parallel()
	s := openService(t, time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC))
	s.says("bar-1", "start gin 400ml")
	first := s.shown("Which one is gin?", "For bar-1", "Nothing has started", "Held for it: A")
	s.says("larder", "start thyme oil 400ml")
	s.shown("for B: fresh thyme")
	s.clock.Forward(s.clock.Now().Add(20 * time.Second))
	second := s.shown("Not started", "bar-1", "Held for it: A", "Which one is gin?")
	if second.TS != first.TS {
		t.Errorf("reworded in another message: %s, asked in %s", second.TS, first.TS)
	}
	for _, m := range s.room.Messages(s.channel) {
		if strings.Contains(s.text(m), "for A:") {
			t.Errorf("something started by itself: %s", s.text(m))
		}
	}
	s.taps("bar-1", second, "ginger gin")
	s.shown("for A: ", "ginger")
	if m := s.shown("Answered, bar-1", "ginger gin"); m.TS != first.TS {
		t.Error("the answer is not shown where it was asked")
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
