package kitchen_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

func TestTheSameAgainStartsWhatTheSpeakerStartedToday(t *testing.T) {
	t.Parallel()
	w := charged(t)
	a := w.want(w.say(bar1, "same again"), kitchen.Done)
	if b := w.in(a.Vessel); a.Verb != request.Start || a.Vessel == "A" || b.Title != "rhubarb gin" || b.Line != "start rhubarb gin 400ml" {
		t.Errorf("started %+v", a)
	}
	if a := w.want(w.say(bar2, "rhubarb gin again 300ml in C"), kitchen.Done); a.Vessel != "C" || w.in("C").Liquid.Millilitres() != 300 {
		t.Errorf("started %+v", a)
	}
}

func TestAnothersStartIsAskedAboutWithTheLineOnTheButton(t *testing.T) {
	t.Parallel()
	w := charged(t)
	a := w.wantCode(w.say(bar2, "again"), kitchen.Ask, kitchen.AskAgain)
	if len(a.Choices) != 1 || a.Choices[0].Tap.Line != "start rhubarb gin 400ml" || a.Who != bar1 {
		t.Fatalf("asked %+v", a)
	}
	w.want(w.choose(bar2, a), kitchen.Done)
}

func TestTheSameAsYesterday(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.wantCode(w.say(bar1, "again"), kitchen.Refuse, kitchen.RefuseNoAgain)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.now = w.now.AddDate(0, 0, 1)
	w.ring()
	w.want(w.say(bar1, "same as yesterday"), kitchen.Done)
	w.say(bar1, "start ginger gin 300ml")
	w.now = w.now.AddDate(0, 0, 1)
	w.ring()
	a := w.wantCode(w.say(bar1, "same as yesterday"), kitchen.Ask, kitchen.AskAgain)
	var lines []string
	for _, c := range a.Choices {
		lines = append(lines, c.Tap.Line)
	}
	if diff := cmp.Diff([]string{"start ginger gin 300ml", "start rhubarb gin 400ml"}, lines); diff != "" {
		t.Error(diff)
	}
	if a := w.wantCode(w.say(bar1, "bay vodka again"), kitchen.Ask, kitchen.AskNever); a.Choices[0].Tap.Line != "start bay vodka" {
		t.Errorf("asked %+v", a)
	}
}

func TestTheLatestStartsAreRemembered(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	for n := range 14 {
		w.say(bar1, "start rhubarb gin "+[]string{"300", "310", "320", "330", "340", "350", "360", "370", "380", "390", "400", "410", "420", "430"}[n]+"ml in A")
		w.say(bar1, "scrap A")
	}
	if n := len(w.kitchen().History.Starts); n != 6 {
		t.Errorf("%d starts are remembered", n)
	}
}

func TestServesForADayArePlannedAndReserveNothing(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a := w.want(w.say(bar1, "40 serves of ginger gin 50ml for saturday"), kitchen.ForLater)
	x := a.Wanted
	if x.Serves != 40 || x.Liquid.Millilitres() < 2000 || x.Chargers == 0 || x.Fillings < 2 || !x.Day || x.Solids == 0 || x.Takes == 0 {
		t.Errorf("planned %+v", x)
	}
	if day := x.For.Time().Weekday(); day != time.Saturday {
		t.Errorf("for a %s", day)
	}
	if len(w.kitchen().Batches) != 0 || len(a.Choices) != 0 {
		t.Errorf("something was reserved, or may be started now: %+v", a)
	}
}

func TestWhatIsWantedTodayCanBeStartedNow(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a := w.want(w.say(bar1, "start ginger gin 400ml for 21:00"), kitchen.ForLater)
	x := a.Wanted
	if x.Day || x.StartBy != x.For.Add(-x.Takes) {
		t.Errorf("planned %+v", x)
	}
	w.want(w.choose(bar1, a), kitchen.Done)
	if len(w.kitchen().Batches) != 1 {
		t.Error("nothing was started")
	}
}

func TestWhatWouldNotKeepUntilThenIsNotToBeMadeTooEarly(t *testing.T) {
	t.Parallel()
	w := newWorld(t) // a Tuesday
	a := w.want(w.say(bar1, "start thyme oil 300ml for monday"), kitchen.ForLater)
	if x := a.Wanted; x.NotBefore == 0 || x.NotBefore.Time().AddDate(0, 0, x.Days-1).Before(x.For.Time()) {
		t.Errorf("planned %+v", x)
	}
}
