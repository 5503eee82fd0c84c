package voice

import (
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// closingWalk goes through the ends of some days, and through what can befall them.
func closingWalk(t *testing.T, r *record) {
	at := func(heading string) *evening {
		w := newEvening(t, r)
		w.title("%s", heading)
		return w
	}
	at("a day is closed").closed()
	at("a day is closed with something left").left()
	at("a vessel does not vent at close").fencedAtClose()
	at("a day ends unsigned").unsigned()
	at("a vessel does not vent, and nobody fences it off").unfenced()
	at("a shift is handed over").handed()
	at("warm oil cools in time").coolsInTime()
	at("warm oil is not cold in time").coolsLate()
	at("the fridge").fridges()
}

// counted enters what is counted at close.
func (w *evening) counted() {
	w.says(bar1, "counted 20 full chargers")
	w.says(bar1, "counted 2 shells")
	w.says(bar1, "fridge 4C")
}

func (w *evening) made(line string) {
	w.fill(line)
	w.called(kitchen.Venting)
	w.step("vented")
	w.called(kitchen.Straining)
	w.step("strained|345ml")
	w.pass(11 * time.Minute)
	w.step("labelled")
}

func (w *evening) closed() {
	w.fill("start rhubarb gin 400ml in A")
	w.says(bar2, "closing")
	w.says(bar2, "sign")
	w.says(bar1, "cream D 1 charger coffee cream")
	w.called(kitchen.Venting)
	w.step("vented")
	w.says(bar2, "sign")
	w.says(bar1, "cream emptied D")
	w.called(kitchen.Straining)
	w.step("strained|345ml")
	w.says(bar2, "closing")
	w.pass(11 * time.Minute)
	w.step("labelled")
	w.says(bar1, "washed A")
	w.says(bar1, "deep wash D")
	w.counted()
	w.says(bar2, "sign")
	w.says(bar1, "sign")
	w.says(bar1, "closing")
	w.says(bar1, "2 chargers for foam")
	w.pass(20 * time.Hour)
	w.pass(13 * 24 * time.Hour)
	w.says(bar1, "closing")
	w.says(bar1, "sign because the bin is full")
	w.says(bar1, "binned past date")
	w.says(bar1, "binned past date")
}

func (w *evening) left() {
	w.made("start rhubarb gin 400ml in A")
	w.fill("start bay vodka 400ml in B")
	w.says(bar1, "vented B")
	w.pass(90 * time.Minute)
	w.says(bar1, "closing")
	a := w.says(bar1, "sign")
	w.hear(kitchen.Command{Form: &kitchen.Filled{Name: "sign", Carry: a.Line, Fields: map[string]string{}}, By: bar1})
	w.says(bar2, "washed A")
	w.hear(kitchen.Command{Form: &kitchen.Filled{Name: "sign", Carry: a.Line, Fields: map[string]string{"reason": "late"}}, By: bar1})
	w.says(bar1, "strained B 380ml")
	w.says(bar1, "start thyme oil 200ml in C")
	w.says(bar1, "sign because the thermometer is broken")
	w.says(bar1, "scrap C")
	w.pass(16 * time.Hour)
}

func (w *evening) fencedAtClose() {
	w.fill("start rhubarb gin 400ml in A")
	w.called(kitchen.Venting)
	w.says(bar1, "A is blocked")
	w.says(bar1, "closing")
	w.says(bar1, "sign")
	w.taps(lead, w.says(lead, "fenced A"), 0)
	w.counted()
	w.says(lead, "sign")
	w.pass(16 * time.Hour)
}

func (w *evening) unfenced() {
	w.fill("start rhubarb gin 400ml in A")
	w.called(kitchen.Venting)
	w.says(bar1, "A is blocked")
	w.pass(16 * time.Hour)
}

func (w *evening) unsigned() {
	w.fill("start rhubarb gin 400ml in A")
	w.says(bar1, "closing")
	w.says(bar1, "vented A")
	w.pass(16 * time.Hour)
	w.says(bar1, "strained A")
	w.pass(11 * time.Minute)
	w.says(bar1, "labelled A")
	w.says(bar1, "closing")
	w.pass(30 * time.Minute)
	w.says(bar1, "closing")
	w.counted()
	w.fill("start bay vodka 400ml in C")
	w.says(bar1, "vented C")
	w.taps(bar1, w.says(bar1, "scrap C"), 0)
	w.says(bar1, "sign because it stood all night")
	w.fill("start rhubarb gin 400ml in B")
	w.pass(20 * time.Hour)
	w.says(bar1, "vented B")
	w.says(bar1, "strained B 300ml")
}

func (w *evening) handed() {
	w.fill("start rhubarb gin 400ml in A")
	w.says(bar1, "hand over the shift")
	w.says(bar1, "sign")
	w.says(bar1, "sign")
	w.hear(kitchen.Command{Tap: &kitchen.Tap{Line: "sign", N: 1, With: kitchen.TakesShift}, By: bar1})
	w.taps(bar2, w.says(bar2, "sign"), 0)
	w.hear(kitchen.Command{Tap: &kitchen.Tap{Line: "sign", N: 1}, By: bar1})
	w.says(bar2, "hand over to @U1")
	w.says(bar2, "sign")
	w.hear(kitchen.Command{Tap: &kitchen.Tap{Line: "sign", N: 2, With: kitchen.TakesShift}, By: kitchen.Person{ID: "U3", Name: "larder"}})
	w.hear(kitchen.Command{Tap: &kitchen.Tap{Line: "sign", N: 7}, By: bar1})
}

func (w *evening) oil() {
	w.fill("start thyme oil 400ml in A")
	w.called(kitchen.Venting)
	w.step("vented")
	w.called(kitchen.Straining)
	w.step("strained|380ml")
}

func (w *evening) coolsInTime() {
	w.oil()
	w.says(bar1, "closing")
	w.says(bar1, "cooled A 30C")
	w.pass(100 * time.Minute)
	w.says(bar1, "cooled A 20C")
	w.pass(220 * time.Minute)
	w.says(bar1, "cooled A 4C")
	w.says(bar1, "closing")
	w.says(bar1, "start rhubarb gin 400ml in B")
	w.says(bar1, "cooled B 4C")
	w.pass(20 * time.Minute)
}

func (w *evening) coolsLate() {
	w.oil()
	w.pass(130 * time.Minute)
	w.says(bar1, "closing")
	w.says(bar1, "cooled A 25C")
	w.says(bar1, "label of A")
	w.says(bar1, "sign because the manager looks at it")
	w.pass(time.Hour)
	w.step("labelled")
}

func (w *evening) fridges() {
	for _, line := range []string{"closing", "sign because late", "hand over the shift", "fridge 4C", "cooled A 20C"} {
		r := reviewReader().Read(line, request.Context{Book: reviewBook(), Now: w.now})
		w.show("read "+line, w.kitchen(), message(Line{{Text: w.voice.Echo(*r.Request)}}))
	}
	w.says(bar1, "fridge 4.5C")
	w.says(bar1, "fridge 9C")
	w.says(bar1, "closing")
	k := w.kitchen()
	a := kitchen.Answer{Kind: kitchen.Done, Verb: "fridge", At: kitchen.At(w.now), Closing: &kitchen.ClosingPage{
		Fridge: &kitchen.Reading{Temp: 70}, Most: kitchen.MostFridge, Law: 80,
	}}
	w.show("where the law allows more", k, w.voice.Answer(k, a))
}
