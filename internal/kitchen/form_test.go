package kitchen_test

import (
	"maps"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

type fields = map[string]string

func TestAskingForAFormWritesNothing(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	before := maps.Clone(w.fields)
	a := w.want(w.command(kitchen.Command{Open: kitchen.FormStart, Text: "rhubarb", By: bar1}), kitchen.OpenForm)
	if a.Form != kitchen.FormStart || a.Line != "rhubarb" {
		t.Errorf("opened %q with %q", a.Form, a.Line)
	}
	a = w.want(w.command(kitchen.Command{Open: kitchen.FormReading, Text: "start rubarb gin", By: bar1}), kitchen.OpenForm)
	if a.Form != kitchen.FormReading || a.Line != "start rubarb gin" || a.Batch != 0 {
		t.Errorf("opened %+v", a)
	}
	a = w.want(w.tap(bar2, kitchen.Tap{Line: "scrap A", Batch: 1, Turn: 1, With: "change"}), kitchen.OpenForm)
	if a.Form != kitchen.FormReading || a.Batch != 1 || a.Line != w.in("A").Line || a.Line == "" {
		t.Errorf("change opened %+v", a)
	}
	w.wantCode(w.command(kitchen.Command{Open: "plan", By: bar1}), kitchen.Refuse, kitchen.RefuseForm)
	if diff := cmp.Diff(before, w.fields); diff != "" {
		t.Errorf("something was written:\n%s", diff)
	}
}

func TestOnlyAReservationCanBeChanged(t *testing.T) {
	t.Parallel()
	change := kitchen.Tap{Line: "scrap A", Batch: 1, Turn: 1, With: "change"}
	for _, test := range []struct {
		name string
		do   func(w *world)
		code kitchen.Code
	}{
		{"gas is in", func(w *world) { w.say(bar1, "charged A") }, kitchen.RefusePressured},
		{"somebody else said that gas is in", func(w *world) { w.say(larder, "charged A") }, kitchen.RefusePressured},
		{"vented", func(w *world) { w.choose(bar1, w.say(bar1, "vented A")) }, kitchen.RefuseOldButton},
		{"let go", func(w *world) { w.say(bar1, "scrap A") }, kitchen.RefuseOldButton},
		{"gone", func(w *world) { w.pass(time.Hour) }, kitchen.RefuseOldButton},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.say(bar1, "start rhubarb gin 400ml in A")
			test.do(w)
			w.wantCode(w.tap(bar1, change), kitchen.Refuse, test.code)
			a := w.fill(bar1, kitchen.FormReading, "1.1", fields{"line": "start ginger gin 400ml in A"})
			w.wantCode(a, kitchen.Refuse, test.code)
			if a.Field != kitchen.FieldLine {
				t.Errorf("the form shows it at %q", a.Field)
			}
			if n := len(w.kitchen().Batches); n > 1 {
				t.Errorf("%d batches are open", n)
			}
		})
	}
}

func TestAFormStartsWhatItsLineWouldStart(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name   string
		fields fields
		line   string
	}{
		{"recipe and volume", fields{"recipe": "rhubarb gin", "volume": "400 ml"}, "start rhubarb gin 400ml"},
		{"the house batch", fields{"recipe": "thyme oil", "vessel": "C"}, "start thyme oil in C"},
		{"a vessel", fields{"recipe": "rhubarb gin", "volume": "400", "vessel": "B"}, "start rhubarb gin 400 in B"},
		{"several", fields{"recipe": "rhubarb gin", "volume": "300ml", "more": "x2"}, "start rhubarb gin 300ml x2"},
		{
			"all of it", fields{"recipe": " rhubarb gin\n", "volume": "0.4 l", "vessel": "A", "more": "60 g\nrest 90"},
			"start rhubarb gin 0.4 l in A 60 g rest 90",
		},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			typed, filled := newWorld(t), newWorld(t)
			want := typed.want(typed.say(bar1, test.line), kitchen.Done)
			got := filled.want(filled.fill(bar1, kitchen.FormStart, "", test.fields), kitchen.Done)
			want.Language = "" // a form is answered in the house's
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("answer (-typed +filled):\n%s", diff)
			}
			if diff := cmp.Diff(typed.fields, filled.fields); diff != "" {
				t.Errorf("kitchen (-typed +filled):\n%s", diff)
			}
		})
	}
}

func TestAFormShowsAProblemAtTheFieldItIsAbout(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name   string
		fields fields
		kind   kitchen.AnswerKind
		what   string // the code of the problem, question or plan's problem
		field  string
	}{
		{"no recipe", fields{"volume": "400ml"}, kitchen.Refuse, string(kitchen.RefuseForm), kitchen.FieldRecipe},
		{"blank recipe", fields{"recipe": " \n ", "volume": "400ml"}, kitchen.Refuse, string(kitchen.RefuseForm), kitchen.FieldRecipe},
		{"unknown recipe", fields{"recipe": "fig brandy foo", "volume": "400ml"}, kitchen.Unread, string(request.UnknownRecipe), kitchen.FieldRecipe},
		{"never made", fields{"recipe": "raw egg gin", "volume": "400ml"}, kitchen.Unread, "", kitchen.FieldRecipe},
		{"unknown vessel", fields{"recipe": "rhubarb gin", "volume": "400ml", "vessel": "Q"}, kitchen.Unread, string(request.UnknownVessel), kitchen.FieldVessel},
		{"volume of nothing", fields{"recipe": "rhubarb gin", "volume": "0 ml"}, kitchen.Unread, string(request.BadVolume), kitchen.FieldVolume},
		{"rest beyond any", fields{"recipe": "rhubarb gin", "volume": "400ml", "more": "rest 40h"}, kitchen.Unread, "", kitchen.FieldMore},
		{"a rest the recipe cannot bear", fields{"recipe": "rhubarb gin", "volume": "400ml", "more": "rest 30 min"}, kitchen.Impossible, string(plan.RestOutside), kitchen.FieldMore},
		{"too much solid", fields{"recipe": "rhubarb gin", "volume": "400ml", "more": "300 g"}, kitchen.Impossible, string(plan.TooStrong), kitchen.FieldMore},
		{"too much liquid", fields{"recipe": "rhubarb gin", "volume": "700ml", "vessel": "A"}, kitchen.Impossible, string(plan.TooMuch), kitchen.FieldVolume},
		{"too little", fields{"recipe": "rhubarb gin", "volume": "20ml"}, kitchen.Impossible, string(plan.TooLittle), kitchen.FieldVolume},
		{"kept nut-free", fields{"recipe": "hazelnut brandy", "volume": "200ml", "vessel": "D"}, kitchen.Impossible, string(plan.NutFreeOnly), kitchen.FieldVessel},
		{"taken", fields{"recipe": "rhubarb gin", "volume": "400ml", "vessel": "B"}, kitchen.Refuse, string(kitchen.RefuseOccupied), kitchen.FieldVessel},
		{"several recipes", fields{"recipe": "gin", "volume": "400ml"}, kitchen.Unclear, string(request.WhichRecipe), kitchen.FieldRecipe},
		{"another verb", fields{"recipe": "vented B"}, kitchen.Unread, string(request.UnknownVerb), kitchen.FieldRecipe},
		{"another verb beside", fields{"recipe": "rhubarb gin", "more": "undo B"}, kitchen.Unread, string(request.UnknownVerb), kitchen.FieldMore},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.say(bar2, "start ginger gin 400ml in B")
			before := maps.Clone(w.fields)
			a := w.want(w.fill(bar1, kitchen.FormStart, "", test.fields), test.kind)
			what := string(a.Code)
			switch a.Kind {
			case kitchen.Unread:
				what = string(a.Problem.Code)
			case kitchen.Unclear:
				what = string(a.Question.Code)
			case kitchen.Impossible:
				what = string(a.Plan.Code)
			}
			if test.what != "" && what != test.what || a.Field != test.field {
				t.Errorf("%s at the field %q, want %s at %q", what, a.Field, test.what, test.field)
			}
			if diff := cmp.Diff(before, w.fields); diff != "" {
				t.Errorf("something was written:\n%s", diff)
			}
		})
	}
}

func TestAnOfferStaysInTheAnswerToAForm(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a := w.want(w.fill(bar1, kitchen.FormStart, "", fields{"recipe": "rhubarb gin", "volume": "1200ml"}), kitchen.Impossible)
	if len(a.Plan.Offers) == 0 || a.Carry != nil {
		t.Fatalf("offers %+v, carrying %v", a.Plan.Offers, a.Carry)
	}
	w.want(w.tap(bar1, kitchen.Tap{Line: a.Plan.Offers[0].Line}), kitchen.Done)
}

func TestWhoeverNeedsHelpGetsItFromAFormToo(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.want(w.fill(bar1, kitchen.FormStart, "", fields{"recipe": "rhubarb gin", "more": "help"}), kitchen.Helping)
	w.want(w.fill(bar1, kitchen.FormReading, "1.1", fields{"line": "help A"}), kitchen.Helping)
}

func TestFormsThatAreNotOursAreRefused(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	for _, test := range []struct {
		form  kitchen.FormName
		carry string
		field fields
		about string
	}{
		{"closing", "", fields{"line": "x"}, ""},
		{"", "", nil, ""},
		{kitchen.FormReading, "", nil, kitchen.FieldLine},
		{kitchen.FormReading, "1.1", fields{"line": "  "}, kitchen.FieldLine},
		{kitchen.FormReading, "1", fields{"line": "start ginger gin"}, kitchen.FieldLine},
		{kitchen.FormReading, "x.y", fields{"line": "start ginger gin"}, kitchen.FieldLine},
		{kitchen.FormReading, "0.1", fields{"line": "start ginger gin"}, kitchen.FieldLine},
		{kitchen.FormStart, "", nil, kitchen.FieldRecipe},
	} {
		a := w.wantCode(w.fill(bar1, test.form, test.carry, test.field), kitchen.Refuse, kitchen.RefuseForm)
		if len(test.field["line"]) > 3 { // it is the carry that is wrong
			test.about = ""
		}
		if a.Field != test.about {
			t.Errorf("%s %q %v: about %q, want %q", test.form, test.carry, test.field, a.Field, test.about)
		}
	}
}

func TestAMessagesLineIsHandledAsTyped(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.want(w.fill(bar1, kitchen.FormReading, "", fields{"line": "charged A"}), kitchen.Done)
	if w.in("A").Gas() != 1 {
		t.Error("the charger was not counted")
	}
	a := w.want(w.fill(bar1, kitchen.FormReading, "", fields{"line": "vented Q"}), kitchen.Unread)
	if a.Field != kitchen.FieldLine {
		t.Errorf("the form shows it at %q", a.Field)
	}
	w.want(w.fill(bar1, kitchen.FormReading, "", fields{"line": "resting"}), kitchen.Board)
}

func TestACorrectedReadingTakesTheBatchsPlaceInOneChange(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.pass(time.Minute)
	open := w.want(w.tap(lead, kitchen.Tap{Line: "scrap A", Batch: 1, Turn: 1, With: "change"}), kitchen.OpenForm)
	carry := w.kitchen().Batches[open.Batch].Carry()
	logged := len(w.log)
	a := w.want(w.fill(lead, kitchen.FormReading, carry, fields{"line": "start ginger gin 300ml in A"}), kitchen.Done)
	k := w.kitchen()
	was, is := k.Batches[1], k.Batches[2]
	if was.Phase != kitchen.Scrapped || was.Replaced != 2 || a.Replaced != 1 || a.Batch != 2 || a.Field != "" {
		t.Errorf("old %s, replaced by %d; answer %+v", was.Phase, was.Replaced, a)
	}
	if is.Title != "ginger gin" || is.Liquid != 300*quantity.Millilitre || is.Vessel != "A" || is.Owner != bar1 {
		t.Errorf("in its place %+v", is.Moving)
	}
	var events []string
	for _, line := range w.log[logged:] {
		events = append(events, line.Event)
	}
	if diff := cmp.Diff([]string{"scrapped", "started"}, events); diff != "" {
		t.Errorf("logged (-want +got):\n%s", diff)
	}
	if w.sent["1/slip"] != 2 || w.sent["2/slip"] != 1 {
		t.Errorf("slips %v, want the old one edited and the new one posted", w.sent)
	}
	w.wantCode(w.fill(lead, kitchen.FormReading, carry, fields{"line": "start bay vodka 300ml"}), kitchen.Refuse, kitchen.RefuseOldButton)
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	if b := w.kitchen().Batches[2]; b.Phase != kitchen.Scrapped {
		t.Errorf("undo left the corrected batch %s", b.Phase)
	}
}

func TestACorrectionOfAnEarlierTurnIsOld(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.say(bar1, "no gas A") // loading again, and its form was opened before
	line := fields{"line": "start ginger gin 400ml in A"}
	w.wantCode(w.fill(bar1, kitchen.FormReading, "1.1", line), kitchen.Refuse, kitchen.RefuseOldButton)
	w.want(w.fill(bar1, kitchen.FormReading, w.in("A").Carry(), line), kitchen.Done)
}

func TestACorrectionThatDoesNotWorkChangesNothing(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		line  string
		kind  kitchen.AnswerKind
		carry bool
	}{
		{"start fig brandy foo", kitchen.Unread, false},
		{"start gin 400ml in A", kitchen.Unclear, true},
		{"start rhubarb gin 700ml in A", kitchen.Impossible, true},
		{"start rhubarb gin 400ml in B", kitchen.Refuse, false},
		{"charged A", kitchen.Refuse, false},
		{"vented B", kitchen.Refuse, false},
		{"resting", kitchen.Refuse, false},
	} {
		t.Run(test.line, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.say(bar1, "start rhubarb gin 400ml in A")
			w.say(bar2, "start ginger gin 400ml in B")
			w.say(bar2, "charged B")
			before := maps.Clone(w.fields)
			a := w.want(w.fill(bar1, kitchen.FormReading, "1.1", fields{"line": test.line}), test.kind)
			if a.Field != kitchen.FieldLine {
				t.Errorf("the form shows it at %q", a.Field)
			}
			if diff := cmp.Diff(before, w.fields); diff != "" {
				t.Errorf("something was written:\n%s", diff)
			}
			if (a.Carry != nil) != test.carry {
				t.Fatalf("its buttons carry %+v", a.Carry)
			}
			if !test.carry {
				return
			}
			tap := *a.Carry
			if a.Kind == kitchen.Unclear {
				tap.Line = a.Question.Options[0].Line
			} else {
				tap.Line = a.Plan.Offers[0].Line
			}
			w.want(w.tap(bar1, tap), kitchen.Done) // the button corrects, too
			if b := w.kitchen().Batches[1]; b.Phase != kitchen.Scrapped || b.Replaced == 0 {
				t.Errorf("the old batch is %s", b.Phase)
			}
		})
	}
}
