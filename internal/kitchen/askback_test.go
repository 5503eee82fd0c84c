package kitchen_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// asks has somebody say a line that several recipes fit, and gives the question.
func (w *world) asks(p kitchen.Person, line string) (kitchen.Answer, *kitchen.Asked) {
	w.t.Helper()
	a := w.want(w.say(p, line), kitchen.Unclear)
	q := w.kitchen().Question(a.Asked)
	if q == nil {
		w.t.Fatalf("%q: the question is not kept: %+v", line, a)
	}
	return a, q
}

// option gives the tap of a question's button.
func option(a kitchen.Answer, n int) kitchen.Tap {
	tap := kitchen.Tap{Line: a.Question.Options[n].Line}
	if a.Carry != nil {
		tap.Turn = a.Carry.Turn
	}
	return tap
}

// note gives the entry of a question's message that was queued last.
func (w *world) note(q *kitchen.Asked) (kitchen.Entry, int) {
	w.t.Helper()
	for key, e := range w.out {
		if e.Kind == kitchen.QuestionNote && e.Turn == q.N {
			return e, w.sent[key]
		}
	}
	w.t.Fatalf("no message of question %d", q.N)
	return kitchen.Entry{}, 0
}

func TestAQuestionUnansweredChangesItsWordsOnceAndHoldsItsVessel(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a, q := w.asks(bar1, "start gin 400ml")
	if len(q.Vessels) != 1 || q.End != "" || q.Reworded || q.By != bar1 || q.Line != "start gin 400ml" {
		t.Fatalf("kept as %+v", q)
	}
	e, n := w.note(q)
	if e.Lane != "C1" || e.Edit || n != 1 {
		t.Errorf("queued %+v, %d times", e, n)
	}
	w.pass(19 * time.Second)
	if w.kitchen().Question(a.Asked).Reworded {
		t.Error("reworded before 20 s")
	}
	w.pass(time.Second)
	if q = w.kitchen().Question(a.Asked); !q.Reworded || q.End != "" {
		t.Errorf("after 20 s %+v", q)
	}
	w.pass(9 * time.Minute)
	if _, n := w.note(q); n != 2 {
		t.Errorf("its message changed %d times, want once", n-1)
	}
	k := w.kitchen()
	if k.Holding(q.Vessels[0]) == nil || len(k.Batches) != 0 || len(k.Question(a.Asked).Answer.Question.Options) < 2 {
		t.Errorf("after 9 minutes %+v", k.Head.Asked)
	}
}

func TestAReservationForAnAnswerLapsesAfterTenMinutes(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a, q := w.asks(bar1, "start gin 400ml in A")
	w.pass(10 * time.Minute)
	k := w.kitchen()
	if k.Holding("A") != nil || k.Question(a.Asked).End != kitchen.AskedLapsed {
		t.Fatalf("after ten minutes %+v", k.Head.Asked)
	}
	if e, n := w.note(q); n != 3 || !e.Edit {
		t.Errorf("queued %+v, %d times", e, n)
	}
	w.pass(10 * time.Minute)
	if k := w.kitchen(); len(k.Head.Asked) != 0 || k.Next() != 0 {
		t.Errorf("it never leaves: %+v", k.Head.Asked)
	}
	if b := w.want(w.tap(bar1, option(a, 0)), kitchen.Done); b.Vessel != "A" {
		t.Errorf("its old button started %+v", b)
	}
}

func TestAnAnswerStartsOnceAndEndsTheQuestion(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a, q := w.asks(bar1, "start gin 400ml")
	held := q.Vessels[0]
	done := w.want(w.tap(bar2, option(a, 1)), kitchen.Done) // by whoever is nearer
	if done.Vessel != held || len(done.Were) != 0 {
		t.Errorf("it went into %s, held was %s", done.Vessel, held)
	}
	q = w.kitchen().Question(a.Asked)
	if q.End != kitchen.AskedAnswered || q.Ended.By != bar2 || q.Line != option(a, 1).Line {
		t.Errorf("it ended as %+v", q)
	}
	if e, n := w.note(q); n != 2 || !e.Edit {
		t.Errorf("queued %+v, %d times", e, n)
	}
	again := w.want(w.tap(bar1, option(a, 0)), kitchen.Already)
	if again.Over != kitchen.AskedAnswered || again.Who != bar2 || len(w.kitchen().Batches) != 1 {
		t.Errorf("a second tap was answered %+v", again)
	}
	w.say(bar2, "undo "+held)
	if q := w.kitchen().Question(a.Asked); q.End != kitchen.AskedAnswered || w.kitchen().Holding(held) != nil {
		t.Errorf("after the undo it is %+v", q)
	}
}

func TestTheLineOfAButtonTypedIsTheAnswer(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a, _ := w.asks(bar1, "start gin 400ml")
	w.want(w.say(bar1, option(a, 0).Line), kitchen.Done)
	if q := w.kitchen().Question(a.Asked); q.End != kitchen.AskedAnswered {
		t.Errorf("it is %+v", q)
	}
}

func TestSomethingElseByWhoWasAskedLetsTheVesselGo(t *testing.T) {
	t.Parallel()
	for line, want := range map[string]kitchen.AskedEnd{
		"start thyme oil 400ml": kitchen.AskedLeft,
		"start gin 300ml":       kitchen.AskedLeft, // asked about in its turn
		"cancel":                kitchen.AskedCalled,
		"undo":                  kitchen.AskedCalled,
	} {
		w := newWorld(t)
		a, _ := w.asks(bar1, "start gin 400ml in A")
		w.say(bar1, line)
		q := w.kitchen().Question(a.Asked)
		if q.End != want || slices.ContainsFunc(w.kitchen().Head.Asked, func(x kitchen.Asked) bool { return x.N != q.N && slices.Contains(x.Vessels, "A") && x.N == a.Asked }) {
			t.Errorf("%s: it is %+v, want %s", line, q, want)
		}
	}
}

func TestCallingOffIsAboutWhatWasSaidLast(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start thyme oil 300ml in C"), kitchen.Done)
	a, _ := w.asks(bar1, "start gin 400ml in A")
	w.pass(time.Second)
	w.want(w.say(bar1, "charged C"), kitchen.Done)
	w.say(bar1, "undo")
	if q := w.kitchen().Question(a.Asked); q.End != "" {
		t.Errorf("an undo of what was done since ended it: %+v", q)
	}
	w.say(bar2, "cancel")
	if q := w.kitchen().Question(a.Asked); q.End != "" {
		t.Errorf("somebody else's word ended it: %+v", q)
	}
}

func TestAnotherPersonsStartLeavesTheHeldVesselAlone(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	_, q := w.asks(bar1, "start gin 400ml")
	held := q.Vessels[0]
	other := w.want(w.say(bar2, "start thyme oil 400ml"), kitchen.Done)
	if other.Vessel == held {
		t.Fatalf("the plan took %s, which is held", held)
	}
	if board := w.say(bar2, "resting"); slices.Contains(board.Free, held) {
		t.Errorf("the board calls %s free", held)
	}
}

func TestWhoNamesAHeldVesselIsToldAndMayTakeIt(t *testing.T) {
	t.Parallel()
	for _, way := range []string{"tap", "twice"} {
		w := newWorld(t)
		a, _ := w.asks(bar1, "start gin 400ml in A")
		told := w.wantCode(w.say(bar2, "start thyme oil 400ml in A"), kitchen.Ask, kitchen.AskHeld)
		if told.Who != bar1 || told.Vessel != "A" || len(w.kitchen().Batches) != 0 {
			t.Fatalf("told %+v", told)
		}
		w.wantCode(w.say(larder, "start thyme oil 400ml in A"), kitchen.Ask, kitchen.AskHeld) // named once by each
		if way == "tap" {
			w.want(w.choose(bar2, told), kitchen.Done)
		} else {
			w.want(w.say(bar2, "start thyme oil 400ml in A"), kitchen.Done)
		}
		q := w.kitchen().Question(a.Asked)
		if q.End != kitchen.AskedTaken || q.Ended.By != bar2 {
			t.Errorf("%s: it ended as %+v", way, q)
		}
		// The old button plans anew and says what it did not get.
		free := option(a, 0)
		free.Line = strings.TrimSuffix(free.Line, " in A")
		late := w.want(w.tap(bar1, free), kitchen.Done)
		if late.Vessel == "A" || !slices.Equal(late.Were, []string{"A"}) {
			t.Errorf("%s: the old button gave %+v", way, late)
		}
	}
}

func TestAVesselHeldIsOfferedWhereNothingElseIsFree(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	_, q := w.asks(bar1, "start gin 400ml in A")
	w.want(w.say(bar2, "start thyme oil 400ml in B"), kitchen.Done)
	w.want(w.say(bar2, "start thyme oil 400ml in C"), kitchen.Done)
	told := w.wantCode(w.say(bar2, "start thyme oil 400ml"), kitchen.Ask, kitchen.AskHeld)
	if told.Vessel != q.Vessels[0] {
		t.Fatalf("told %+v", told)
	}
	if a := w.want(w.choose(bar2, told), kitchen.Done); a.Vessel != "A" {
		t.Errorf("it went into %s", a.Vessel)
	}
}

func TestGasThatWentInIsStrongerThanAReservation(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	w.pass(25 * time.Minute) // let go, and it left
	a, _ := w.asks(bar1, "start gin 400ml in A")
	w.want(w.hear(bar2, "charged A", w.now.Add(-12*time.Minute)), kitchen.Done)
	if q := w.kitchen().Question(a.Asked); q.End != kitchen.AskedTaken || w.in("A").Gas() != 1 {
		t.Errorf("it is %+v", q)
	}
}

func TestTheFifthQuestionLetsTheOldestGo(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	first, _ := w.asks(bar1, "start gin 200ml")
	size := 0
	for _, p := range []kitchen.Person{bar2, larder, lead, {ID: "U5", Name: "pastry"}} {
		w.pass(time.Second)
		w.asks(p, "start gin 200ml")
	}
	if q := w.kitchen().Question(first.Asked); q.End != kitchen.AskedLapsed {
		t.Errorf("the oldest is %+v", q)
	}
	for range 30 { // whoever cannot decide fills nothing up
		w.pass(time.Second)
		w.asks(bar1, "start gin 200ml")
	}
	for _, body := range w.fields {
		size += len(body)
	}
	if n := len(w.kitchen().Head.Asked); n > 9 || size > 5<<10 {
		t.Errorf("%d questions are kept in %d bytes", n, size)
	}
}

func TestAQuestionThatTakesNoVesselIsNotKept(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	w.want(w.say(bar1, "start rhubarb gin 400ml in B"), kitchen.Done)
	if a := w.want(w.say(bar1, "charged"), kitchen.Unclear); a.Question.Code != request.WhichVessel || a.Asked != 0 {
		t.Errorf("asked %+v", a)
	}
	w.want(w.fill(bar1, kitchen.FormStart, "", map[string]string{"recipe": "gin", "volume": "400ml"}), kitchen.Unclear)
	w.want(w.hear(bar1, "start gin 200ml", w.now.Add(-time.Hour)), kitchen.Unclear)
	if k := w.kitchen(); len(k.Head.Asked) != 0 {
		t.Errorf("kept %+v", k.Head.Asked)
	}
}

func TestTheSameAgainIsHeldForLikeAnyQuestion(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar2, "start rhubarb gin 400ml in A"), kitchen.Done)
	a := w.wantCode(w.say(bar1, "same again"), kitchen.Ask, kitchen.AskAgain)
	q := w.kitchen().Question(a.Asked)
	if q == nil || len(q.Vessels) != 1 {
		t.Fatalf("kept %+v", q)
	}
	w.want(w.choose(bar1, a), kitchen.Done)
	if q := w.kitchen().Question(a.Asked); q.End != kitchen.AskedAnswered {
		t.Errorf("it is %+v", q)
	}
}

func TestAViewerIsNotAskedBackAboutAStart(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.team.Viewers = []string{larder.ID}
	w.wantCode(w.say(larder, "start gin 400ml"), kitchen.Refuse, kitchen.RefuseHand)
	if k := w.kitchen(); len(k.Head.Asked) != 0 {
		t.Errorf("kept %+v", k.Head.Asked)
	}
}

func TestWhatIsFilledAllTheSameEndsAReservation(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a, _ := w.asks(bar1, "start gin 400ml in A")
	w.want(w.say(bar2, "cream in A 2 chargers"), kitchen.Done)
	if q := w.kitchen().Question(a.Asked); q.End != kitchen.AskedTaken {
		t.Errorf("it is %+v", q)
	}
}

func TestAQuestionGoesWhereItIsRead(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a := w.command(kitchen.Command{Text: "start gin 400ml", By: bar1, Direct: true})
	if e, _ := w.note(w.kitchen().Question(a.Asked)); e.Lane != "@U1" {
		t.Errorf("said in private, asked in %s", e.Lane)
	}
	b, _ := w.asks(bar2, "start gin 400ml")
	w.trouble("C1", "channel archived")
	if e, _ := w.note(w.kitchen().Question(b.Asked)); e.Lane != "@U2" && !slices.Contains(w.posted, e.Key+"@U2") {
		t.Errorf("the channel takes nothing, and the question stands in %s", e.Lane)
	}
}

// What a crew says and taps in whatever order: nothing that needs gas starts from
// a question alone, and none holds a vessel for ever.
func TestNothingStartsFromAQuestionAloneAndNothingIsHeldForEver(t *testing.T) {
	t.Parallel()
	lines := []string{
		"start gin 400ml", "start gin 200ml in A", "start gin 200ml in D", "start cinnamon rum 300ml", "start pepper gin",
		"start thyme oil 400ml", "start rhubarb gin 400ml in A", "start rhubarb gin 200ml x2", "same again", "cancel", "undo", "scrap A",
		"charged A", "vented A", "strained A", "washed A", "resting",
	}
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(quiet{t, rt})
		people := rapid.SampledFrom([]kitchen.Person{bar1, bar2, larder, lead})
		var taps []kitchen.Tap
		note := func(a kitchen.Answer) {
			if a.Kind == kitchen.Unclear {
				for n := range a.Question.Options {
					taps = append(taps, option(a, n))
				}
			}
			for _, c := range a.Choices {
				taps = append(taps, c.Tap)
			}
			if a.Kind != kitchen.Done && a.Verb == request.Start && len(a.Batches) > 0 {
				rt.Fatalf("a question started %+v", a)
			}
		}
		rt.Repeat(map[string]func(*rapid.T){
			"say": func(rt *rapid.T) {
				next := w.kitchen().Head.Next
				a := w.say(people.Draw(rt, "who"), rapid.SampledFrom(lines).Draw(rt, "line"))
				note(a)
				if a.Kind != kitchen.Done && w.kitchen().Head.Next != next {
					rt.Fatalf("%+v started something", a)
				}
			},
			"tap": func(rt *rapid.T) {
				if len(taps) == 0 {
					rt.Skip()
				}
				note(w.tap(people.Draw(rt, "who"), rapid.SampledFrom(taps).Draw(rt, "tap")))
			},
			"wait": func(rt *rapid.T) {
				next := w.kitchen().Head.Next
				w.pass(time.Duration(rapid.IntRange(0, 400).Draw(rt, "seconds")) * time.Second)
				if w.kitchen().Head.Next != next {
					rt.Fatal("time started something")
				}
			},
			"": func(rt *rapid.T) {
				k := w.kitchen()
				held := map[string]bool{}
				for _, q := range k.Head.Asked {
					if q.End != "" {
						continue
					}
					if kitchen.At(w.now) >= q.HeldUntil() {
						rt.Fatalf("%v is held after %v", q.Vessels, q.HeldUntil().Time())
					}
					for _, tag := range q.Vessels {
						if state, b := k.Look(tag); b != nil || held[tag] {
							rt.Fatalf("%s is held for an answer and %s", tag, state)
						}
						held[tag] = true
					}
				}
			},
		})
		w.pass(25 * time.Minute)
		if k := w.kitchen(); len(k.Head.Asked) != 0 {
			rt.Fatalf("questions stay for ever: %+v", k.Head.Asked)
		}
	})
}
