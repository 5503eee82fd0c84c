package voice

import (
	"strings"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// said starts something in an idle kitchen at six in the evening and gives the
// answer in words, and the kitchen as it is then.
func said(t *testing.T, line string) (Message, *kitchen.Kitchen, Voice) {
	t.Helper()
	v := speaking(t, "en")
	k, err := kitchen.Decode("main", nil)
	if err != nil {
		t.Fatal(err)
	}
	b, six := book.Sample(), time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC)
	bar1 := kitchen.Person{ID: "U1", Name: "bar-1"}
	_, a := k.Handle(request.NewReader(b), b, kitchen.Team{Channel: "C1"}, kitchen.Command{Text: line, By: bar1, At: six}, six)
	return v.Answer(k, a), k, v
}

func TestALaterRunSaysItsStartAtTheStart(t *testing.T) {
	t.Parallel()
	m, k, v := said(t, "start rhubarb gin 400ml x2")
	if got := m.Plain(); !strings.Contains(got, "\nB: first charger 18:01:15, 1:15 after A. 400 ml gin, ") ||
		strings.Contains(got, "A: first charger") {
		t.Errorf("the start is answered\n%s", got)
	}
	for _, b := range k.Open() {
		slip := v.Slip(k, b)
		got := slip.Lines[len(slip.Lines)-1].Plain()
		want := "rhubarb gin, bar-1 18:00. A is held until 18:10."
		if b.Vessel == "B" {
			want = "rhubarb gin, bar-1 18:00. First charger 18:01:15; B is held until 18:11."
		}
		if got != want || len(slip.Lines) > 6 {
			t.Errorf("the slip of %s ends %q, want %q (%d lines)", b.Vessel, got, want, len(slip.Lines))
		}
	}
}

func TestASecondRoundIsAnsweredWithWhatFitsNow(t *testing.T) {
	t.Parallel()
	m, _, _ := said(t, "start rhubarb gin 4l split")
	if got := m.Lines[0].Plain(); !strings.HasPrefix(got, "4 l takes ") || !strings.HasSuffix(got, "Start what fits now, say the rest later.") {
		t.Errorf("headline %q", got)
	}
	if len(m.Buttons) == 0 || !strings.HasSuffix(m.Buttons[0].Tap.Line, " split") || !strings.Contains(m.Buttons[0].Label, " in all in ") {
		t.Errorf("buttons %+v", m.Buttons)
	}
}

func TestAPlanInRoundsSaysWhenEachRunStarts(t *testing.T) {
	t.Parallel()
	v := speaking(t, "en")
	r := request.Request{Verb: request.Start, Recipe: "rhubarb gin", Volume: 800 * quantity.Millilitre, Vessel: "A", Split: true}
	b := book.Sample()
	p, problem := plan.Make(b, r, b.Vessels, plan.Input{})
	if problem != nil {
		t.Fatalf("problem %+v", *problem)
	}
	want := "A: round 2, washed, first charger " + quantity.Clock(p.Runs[1].Figures.StartAt) + " after the first vessel's"
	if got := strings.Join(v.Plan(p), "\n"); !strings.Contains(got, "\n"+want+"\n") {
		t.Errorf("no line %q in\n%s", want, got)
	}
	if got := v.Echo(r); !strings.Contains(got, ", split where it does not fit") {
		t.Errorf("echo %q", got)
	}
}
