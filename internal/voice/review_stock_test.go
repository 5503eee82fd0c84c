package voice

import (
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// stockWalk goes through the charger count and through cream that is kept charged.
func stockWalk(t *testing.T, r *record) {
	at := func(heading string) *evening {
		w := newEvening(t, r)
		w.title("%s", heading)
		return w
	}
	at("the charger count").stock()
	at("chargers run low").stockLow()
	at("the count does not agree").stockOff()
	at("chargers are to be ordered").stockOrder()
	at("cream kept charged").creamKept()
	at("cream, and nobody answers").creamLate()
	at("cream that should not be").creamAmiss()
}

func (w *evening) stock() {
	w.says(bar1, "stock")
	w.says(bar1, "start rhubarb gin 300ml in A")
	w.says(bar1, "chargers left")
	w.says(bar1, "2 chargers for foam")
	w.says(bar2, "counted 1 shells")
	w.says(bar1, "counted 40 chargers")
	w.says(bar1, "charged A")
	a := w.says(bar1, "no gas A")
	w.taps(bar1, a, 0)
	w.says(bar1, "stock")
	w.pass(time.Hour)
	w.says(bar2, "counted 42 chargers")
	w.says(bar2, "counted 40 chargers")
	w.says(bar2, "counted 2 shells")
	w.says(lead, "got 50 chargers")
	w.says(lead, "got 1 charger")
	w.says(bar1, "used 1 charger for foam")
	k := w.kitchen()
	for _, r := range []request.Request{
		{Verb: request.Got, Chargers: 50}, {Verb: request.Foam, Chargers: 2}, {Verb: request.Counted, Chargers: 38}, {Verb: request.Shells, Chargers: 12},
		{Verb: request.Shells, Chargers: 1}, {Verb: request.Cream, Vessel: "D", Chargers: 1, Text: "coffee cream"}, {Verb: request.Emptied, Vessel: "D"},
		{Verb: request.Asks, Topic: request.StockLeft},
	} {
		w.show("read", k, message(Line{{Text: w.voice.Echo(r)}}))
	}
}

func (w *evening) stockLow() {
	w.says(lead, "counted 5 chargers")
	w.says(bar1, "start rhubarb gin 300ml in A")
	w.says(bar1, "stock")
	w.says(bar1, "undo A")
	w.says(bar1, "rhubarb gin 400ml for 22:00")
	w.says(bar1, "start rhubarb gin 300ml in A")
	w.says(bar1, "stock")
	w.says(bar2, "start rhubarb gin 300ml in B")
	w.says(bar1, "stock")
	w.says(bar1, "2 chargers for foam")
	w.says(bar1, "start pepper tequila 600ml in C")
	w.says(bar1, "3 chargers for foam")
	w.says(bar1, "stock")
	w.says(bar1, "start coffee cream 200ml in D")
	w.says(bar1, "1 charger for foam")
	w.says(bar1, "stock")
	w.says(lead, "got 50 chargers")
	w.says(lead, "counted 6 chargers")
	w.says(lead, "counted 7 chargers")
	w.says(lead, "counted 8 chargers")
}

func (w *evening) stockOff() {
	w.says(lead, "counted 40 chargers")
	w.pass(time.Hour)
	w.says(bar1, "4 chargers for foam")
	w.says(bar2, "counted 34 chargers")
	w.says(bar2, "counted 4 shells")
	w.says(bar2, "counted 6 shells")
	w.says(bar2, "counted 9 shells")
	w.says(bar2, "counted 4 shells")
	w.says(bar2, "counted 36 chargers")
	w.says(bar2, "counted 38 chargers")
	w.says(bar2, "counted 2 shells")
}

func (w *evening) stockOrder() {
	w.says(lead, "counted 30 chargers")
	w.says(bar1, "12 chargers for foam")
	w.says(bar1, "stock")
	w.pass(20 * time.Hour)
	w.says(bar1, "stock")
	w.says(lead, "got 50 chargers")
	w.says(bar1, "stock")
}

func (w *evening) creamKept() {
	w.says(bar1, "cream A coffee cream")
	w.says(bar1, "cream A 2 chargers coffee cream")
	w.says(bar2, "resting")
	w.says(bar2, "start rhubarb gin 300ml in A")
	w.says(bar2, "washed A")
	w.says(bar2, "scrap A")
	w.says(bar2, "undo A")
	w.says(bar2, "who has A")
	w.says(bar2, "allergens A")
	w.says(bar2, "can I open A")
	w.says(bar2, "overnight A")
	w.says(bar2, "fire")
	w.page(lead)
	w.says(bar2, "take A")
	w.says(bar2, "take A")
	w.says(bar2, "no gas A")
	w.says(bar2, "cream emptied A")
	w.says(bar2, "cream emptied A")
	w.says(bar2, "undo A")
	w.says(bar2, "emptied A")
	w.says(bar2, "cream A 1 charger")
	w.says(bar2, "washed A")
	w.says(bar2, "undo A")
	w.pass(11 * time.Minute)
}

func (w *evening) creamLate() {
	w.says(bar1, "cream A 2 chargers coffee cream")
	w.pass(47 * time.Hour)
	w.pass(2 * time.Hour)
	w.says(bar1, "vented A")
}

func (w *evening) creamAmiss() {
	a := w.says(bar1, "cream D 2 chargers coffee cream")
	w.taps(bar1, a, 0)
	w.pass(5 * time.Minute)
	w.says(bar1, "cream emptied D")
	w.says(bar1, "cream A 600ml 1 charger cream")
	w.says(bar1, "cream A 1 charger")
	w.says(bar1, "charged A")
	w.says(bar1, "put 1 chargers by mistake in A")
	k := w.kitchen()
	w.show("of a vessel out of use", k, w.voice.Answer(k, kitchen.Answer{
		Kind: kitchen.Ask, Code: kitchen.AskCreamUnfit, Verb: request.Cream, Vessel: "B", N: 1, Of: 2, Private: true,
	}))
	w.says(bar1, "no gas A")
	w.says(bar1, "emptied A")
}
