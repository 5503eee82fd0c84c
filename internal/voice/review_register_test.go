package voice

import (
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// registerWalk goes through all that can happen to a vessel.
func registerWalk(t *testing.T, r *record) {
	at := func(heading string) *evening {
		w := newEvening(t, r)
		w.title("%s", heading)
		return w
	}
	at("the register").vessels()
	at("out of use").outOfUse()
	at("gasket and valve").checks()
	at("a valve that is blocked").blocked()
	at("a blocked valve, fenced off").fencedOff()
	at("a blocked vessel that no batch is known of").blockedAlone()
	at("the deep wash").deepWash()
	at("of vessels, read and refused").vesselCodes()
}

func (w *evening) vessels() {
	w.says(bar2, "vessels")
	w.fill("start rhubarb gin 400ml in A")
	w.says(bar2, "vessels")
	w.says(bar2, "vessel A")
	w.says(bar2, "vessel B")
	w.says(bar2, "vessel D")
	w.says(bar2, "start ginger gin 300ml in A")
	w.says(bar2, "washed A")
	b := w.last()
	w.show("an edit of its measures", w.kitchen(), w.voice.Answer(w.kitchen(), kitchen.Answer{
		Kind: kitchen.Refuse, Code: kitchen.RefuseInUse, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Phase: b.Phase,
	}))
	w.says(bar2, "how do I measure the brim?")
	w.says(bar2, "how do I measure the brim of C")
}

func (w *evening) outOfUse() {
	w.says(bar2, "withdraw B: gasket torn")
	w.says(bar2, "withdraw B")
	w.says(bar1, "start rhubarb gin 400ml in B")
	w.says(bar1, "withdraw C")
	w.says(bar1, "start rhubarb gin 900ml in C")
	w.says(bar1, "vessels")
	w.says(bar1, "resting")
	w.page(lead)
	w.says(bar1, "return B: new gasket")
	w.says(lead, "return B: new gasket")
	w.says(lead, "return B")
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.says(bar2, "withdraw A: thread bent")
	w.says(bar1, "undo A")
	w.says(lead, "return A")
	w.fill("start rhubarb gin 400ml in A")
	w.says(bar2, "withdraw A: thread bent")
	w.says(bar2, "vessel A")
}

func (w *evening) checks() {
	w.says(bar1, "checked A")
	w.says(bar2, "vessel A")
	w.says(bar1, "start rhubarb gin 300ml in B")
	w.says(bar1, "undo B")
	w.says(bar2, "vessel B")
	w.now = w.now.AddDate(0, 0, 8)
	w.ring()
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.says(bar1, "undo A")
	w.says(bar2, "vessels")
	w.now = w.now.AddDate(0, 0, 8)
	w.ring()
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.says(bar2, "vessel A")
	w.fill("start rhubarb gin 200ml in D")
	w.says(bar2, "checked D")
}

// stepOn taps a step of the procedure of a blocked valve.
func (w *evening) stepOn(p kitchen.Person, vessel, with string) {
	w.t.Helper()
	w.hear(kitchen.Command{Tap: &kitchen.Tap{Line: "blocked " + vessel, With: with}, By: p})
}

func (w *evening) blocked() {
	w.team.Fallback = true
	w.fill("start rhubarb gin 400ml in A")
	w.called(kitchen.Venting)
	w.says(bar2, "A is blocked")
	w.says(bar1, "resting")
	w.says(bar1, "help A")
	w.says(bar1, "start ginger gin 300ml in A")
	w.says(bar1, "+15 s A")
	w.says(bar1, "vessels")
	w.says(bar1, "vessel A")
	w.page(bar1)
	w.hear(kitchen.Command{Open: kitchen.FormStart, By: bar1})
	w.stepOn(bar1, "A", kitchen.TapCold)
	w.pass(kitchen.ColdFor + 2*time.Minute)
	w.says(bar2, "blocked A")
	w.says(bar1, "vented A")
	w.says(bar1, "freed A")
	w.says(bar1, "fenced A")
	a := w.says(lead, "freed A")
	w.taps(lead, a, 1)
	w.taps(lead, a, 0)
	w.says(lead, "freed A")
	w.says(bar1, "blocked A") // once more, with nothing counted
	w.pass(10 * time.Minute)
	w.says(bar1, "resting")
	w.says(bar1, "charged A")
}

func (w *evening) fencedOff() {
	w.fill("start rhubarb gin 400ml in A")
	w.called(kitchen.Venting)
	w.says(bar2, "A is blocked")
	w.stepOn(bar1, "A", kitchen.TapCold)
	w.pass(kitchen.ColdFor)
	w.stepOn(bar1, "A", kitchen.TapStill)
	a := w.says(lead, "fenced A")
	w.taps(lead, a, 0)
	w.says(lead, "fenced A")
	w.says(bar1, "what is resting")
	w.pass(20 * time.Hour)
	w.stepOn(lead, "A", kitchen.TapCold)
	a = w.says(lead, "freed A")
	w.taps(lead, a, 0)
}

func (w *evening) blockedAlone() {
	w.says(bar1, "blocked C")
	w.says(bar2, "resting")
	w.says(bar2, "start rhubarb gin 900ml in C")
	w.says(bar2, "washed C")
	w.pass(20 * time.Minute)
	w.says(bar2, "freed C")
	a := w.says(lead, "fenced C")
	w.taps(lead, a, 0)
	w.pass(16 * time.Hour)
	a = w.says(lead, "freed C")
	w.taps(lead, a, 0)
}

func (w *evening) deepWash() {
	w.fill("start hazelnut brandy 300ml in A")
	w.called(kitchen.Venting)
	w.step("vented")
	w.called(kitchen.Straining)
	w.step("strained|250ml")
	w.says(bar2, "start rhubarb gin 400ml in A")
	a := w.says(bar1, "washed A")
	w.taps(bar1, a, 1)
	w.says(bar2, "vessels")
	w.says(bar2, "vessel A")
	a = w.says(bar2, "start rhubarb gin 400ml in A")
	w.taps(bar2, a, 1)
	w.taps(bar2, a, 0)
	w.says(bar2, "deep washed A")
	w.says(bar2, "undo A")
	w.says(bar2, "deep washed A")
	w.says(bar1, "start hazelnut brandy 300ml in C")
	w.says(bar1, "charged C")
	w.says(bar1, "vented C")
	w.says(bar1, "strained C")
	w.says(bar2, "start rhubarb gin 900ml in C")
	w.says(bar1, "deep washed C")
}

// vesselCodes shows what needs another book, and how lines are read.
func (w *evening) vesselCodes() {
	k := w.kitchen()
	refused := kitchen.Answer{Kind: kitchen.Refuse, Code: kitchen.RefusePlastic, Verb: request.Start, Vessel: "A"}
	w.show("a head of plastic", k, w.voice.Answer(k, refused))
	w.show("a head of plastic, planned", k, w.voice.PlanProblem(plan.Problem{Code: plan.PlasticHead, Vessel: "A"}))
	page := kitchen.RegisterPage{Vessels: []kitchen.RegisterLine{{
		Vessel: book.Vessel{
			Tag: "A", Nominal: 500 * quantity.Millilitre, Line: 500 * quantity.Millilitre, Head: book.PlasticHead,
		}, State: kitchen.VesselFree, Why: kitchen.RefusePlastic,
	}}, Whole: true}
	shown := kitchen.Answer{Kind: kitchen.Registered, At: kitchen.At(w.now), Register: &page}
	w.show("the page of a head of plastic", k, w.voice.Answer(k, shown))
	w.show("a vessel that left the book", k, w.voice.Answer(k, kitchen.Answer{Kind: kitchen.Registered, Vessel: "A", Register: &kitchen.RegisterPage{}}))
	x := kitchen.Answer{Kind: kitchen.Ask, Code: kitchen.AskTraces, Verb: request.Start, Vessel: "A", Title: "hazelnut brandy", Allergens: []string{"nuts"}}
	w.show("never washed apart", k, w.voice.Answer(k, x))
	for _, verb := range []request.Verb{request.Withdraw, request.Return, request.Checked, request.Freed, request.Fenced, request.DeepWash} {
		w.show("read", k, message(Line{{Text: w.voice.Echo(request.Request{Verb: verb, Vessel: "A"})}}))
		w.show("done before", k, w.voice.Answer(k, kitchen.Answer{Kind: kitchen.Already, Verb: verb, Vessel: "A", Who: bar1, At: kitchen.At(w.now)}))
	}
	for _, topic := range []request.Topic{request.Register, request.HowBrim} {
		w.show("read", k, message(Line{{Text: w.voice.Echo(request.Request{Verb: request.Asks, Topic: topic})}}))
	}
}
