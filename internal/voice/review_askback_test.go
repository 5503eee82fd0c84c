package voice

import (
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/kitchen"
)

// pick has somebody tap a button of a question back.
func (w *evening) pick(p kitchen.Person, a kitchen.Answer, n int) kitchen.Answer {
	w.t.Helper()
	b := w.voice.Answer(w.kitchen(), a).Buttons[n]
	return w.hear(kitchen.Command{Tap: &b.Tap, By: p})
}

// starts says a start in the language of the evening, in which it is then asked
// back; an empty vessel is left out.
func (w *evening) starts(p kitchen.Person, what, vessel string) kitchen.Answer {
	w.t.Helper()
	words := map[string][2]string{"es": {"empieza ", " en "}, "fr": {"commence ", " dans "}}[w.language]
	if words[0] == "" {
		words = [2]string{"start ", " in "}
	}
	if vessel != "" {
		what += words[1] + vessel
	}
	return w.says(p, words[0]+what)
}

// askedBack goes through every end of a question back about a start.
func (w *evening) askedBack() {
	lapsed := w.starts(bar1, "gin 400ml", "A")
	w.says(bar2, "resting")
	w.page(bar2)
	w.pass(30 * time.Second)
	w.says(bar2, "start thyme oil 400ml in A")
	w.pass(10 * time.Minute)
	w.pick(bar1, lapsed, 0)
	w.pick(bar2, lapsed, 1)
	w.says(bar1, "scrap A")

	w.pass(11 * time.Minute)
	taken := w.starts(bar1, "gin 400ml", "")
	held := w.says(bar2, "start thyme oil 400ml in "+w.kitchen().Question(taken.Asked).Vessels[0])
	w.taps(bar2, held, 0)
	w.pick(bar1, taken, 0)

	off := w.starts(lead, "gin 300ml", "")
	w.says(lead, "cancel")
	w.pick(bar1, off, 0)
	w.starts(lead, "gin 300ml", "")
	w.says(lead, "start bay vodka 200ml in D")
	w.starts(bar2, "gin 3 l", "") // nothing is big enough
	w.pass(25 * time.Minute)
}

// A question tells for whom it is, what it holds and that nothing started, and
// what it was answered by; its buttons stay as they are while it is open.
func TestAQuestionIsReworded(t *testing.T) {
	t.Parallel()
	for _, language := range Languages() {
		w := newEvening(t, &record{language: language})
		a := w.starts(bar1, "gin 400ml", "A")
		first := w.voice.Answer(w.kitchen(), a)
		e := kitchen.Entry{Kind: kitchen.QuestionNote, Turn: a.Asked}
		say := func() Message {
			m, reason := w.voice.Entry(w.kitchen(), e, true, w.now)
			if reason != "" {
				t.Fatalf("%s: dropped, %s", language, reason)
			}
			return m
		}
		if !slices.Equal(labels(first), labels(say())) || first.Plain() != say().Plain() {
			t.Errorf("%s: answered %q, posted %q", language, first.Plain(), say().Plain())
		}
		w.pass(20 * time.Second)
		second := say()
		if second.Plain() == first.Plain() || !slices.Equal(second.Buttons, first.Buttons) {
			t.Errorf("%s: after 20 s it says %q %v", language, second.Plain(), second.Buttons)
		}
		for _, want := range []string{"bar-1", "A", "18:10"} {
			if !strings.Contains(second.Plain(), want) {
				t.Errorf("%s: no %s in %q", language, want, second.Plain())
			}
		}
		w.hear(kitchen.Command{Tap: &second.Buttons[1].Tap, By: bar2})
		if m := say(); len(m.Buttons) != 0 || !strings.Contains(m.Plain(), "bar-2") {
			t.Errorf("%s: answered, it says %q %v", language, m.Plain(), m.Buttons)
		}
		e.Turn++
		if _, reason := w.voice.Entry(w.kitchen(), e, true, w.now); reason == "" {
			t.Errorf("%s: a question that was never asked is worded", language)
		}
	}
}

func labels(m Message) []string {
	var list []string
	for _, b := range m.Buttons {
		list = append(list, b.Label)
	}
	return list
}
