package request

import (
	"testing"

	"ventbell/internal/book"
)

// freshRow is a line, said when nothing is open, with its language and its reading.
type freshRow struct{ line, in, want string }

// The fresh lines were written without a look at the other tables, each with what a
// sensible colleague would make of it: slips of the thumb and of the voice, glued and
// spelled numbers, units of all houses, corrections, two requests in one line,
// questions, emergencies, small talk, what a chat writes around a line.
func TestFreshLinesAreRead(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for name, rows := range map[string][]freshRow{
		"starts": freshStarts, "english": freshEnglish, "spanish": freshSpanish, "french": freshFrench,
	} {
		right := 0
		for _, w := range rows {
			c := Context{Now: afternoon}
			g := r.Read(w.line, c)
			if got := brief(g); got != w.want || g.Language != w.in {
				t.Errorf("%q in %s\n  reads as %s %s\n  and not  %s", w.line, w.in, g.Language, got, w.want)
			} else {
				right++
			}
			if err := checkReading(r, w.line, c); err != nil {
				t.Error(err)
			}
		}
		t.Logf("%s: %d of %d lines read as they should", name, right, len(rows))
	}
}

// What several batches could be meant by is asked, what is said to nobody ticks
// nothing off, and gas that went in is asked for even where no batch is known.
func TestFreshLinesOnABusyBenchAreRead(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for _, w := range []row{
		{"vented both", threeOpen, "en", "? which vessel : vented A | vented B"},
		{"vented both", oneCharging, "en", "? which meant vented: vented A | resting"},
		{"thanks chef", ventDue, "en", "mine"},
		{"good morning", idle, "en", "! nothing due"},
		{"+2 on the tea", threeOpen, "en", "+2min B"},
		{"+2 on the tea", idle, "en", "! nothing open"},
		{"I put two more in by mistake", oneCharging, "en", "put 2 chargers in A by mistake"},
		{"I put two more in by mistake", idle, "en", "? which vessel : put 2 chargers in A by mistake | put 2 chargers in B by mistake | put 2 chargers in C by mistake"},
		{"charged a, b", idle, "en", "? which vessel B: charged A | charged B"},
		{"vented A, B", two, "en", "? which vessel B: vented A | vented B"},
		{"both A and B vented", idle, "en", "? which vessel B: vented A | vented B"},
		{"charged A no wait B", idle, "en", "? which meant B: charged B | charged A"},
		{"remind me to strain C", threeOpen, "en", "? which meant strained: strained C | resting"},
		{"can bar-2 take the rhubarb", threeOpen, "en", "hand over A"},
	} {
		c := Context{Now: afternoon, Open: w.open}
		g := r.Read(w.line, c)
		if got := brief(g); got != w.want || g.Language != w.in {
			t.Errorf("%q with %d open\n  reads as %s %s\n  and not  %s", w.line, len(w.open), g.Language, got, w.want)
		}
		if err := checkReading(r, w.line, c); err != nil {
			t.Error(err)
		}
	}
}

func TestWhatFoundNothingOpenIsTold(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for line, want := range map[string]Verb{"+2 on the tea": More, "rest 90": RestFor, "undo": Undo, "vented": Vented, "strained the rhubarb 345": Strained} {
		g := r.Read(line, Context{Now: afternoon})
		if g.Problem == nil || g.Problem.Code != NothingOpen || g.Problem.Meant != want {
			t.Errorf("%q reads as %+v, want it to have found nothing open to %s", line, g.Problem, want)
		}
	}
}

// Whatever is not understood is answered by two lines that work, and never by more.
func TestTheUnknownIsAnsweredByTwoExamples(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for line, want := range map[string]ProblemCode{
		"start zork gin": UnknownRecipe, "foo bar baz 400ml": UnknownRecipe, "start": NoRecipe, "vodka zork": UnknownRecipe, "zork": UnknownVerb, "what time is it": UnknownVerb,
	} {
		g := r.Read(line, Context{Now: afternoon})
		if g.Problem == nil || g.Problem.Code != want {
			t.Fatalf("%q reads as %s, want the problem %s", line, brief(g), want)
		}
		if p := g.Problem; p.Example == "" || p.Another == "" || p.Example == p.Another {
			t.Errorf("%q is answered by %q and %q", line, p.Example, p.Another)
		}
	}
}

// What a line says twice over, takes back or only half says is asked: nothing that
// tells of gas is read off one part of it.
func TestWhatIsReadInPartsIsAsked(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for _, first := range []string{"charged A", "vented A", "no gas in A", "not vented A", "put 2 more in A by mistake", "ginger gin 400 in A"} {
		for _, join := range []string{" and ", ", ", ". ", " no wait ", " i mean ", ", scratch that, ", " then "} {
			for _, second := range []string{"charged B", "vented B", "no gas in B", "strained B 300", "B", "bay vodka 300 in B"} {
				line := first + join + second
				g := r.Read(line, Context{Now: afternoon, Open: two})
				if g.Request != nil && (risky(g.Request.Verb) || g.Request.Verb == Start) {
					t.Errorf("%q is read as %s and not asked", line, brief(g))
				}
			}
		}
	}
}
