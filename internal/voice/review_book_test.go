package voice

import (
	"slices"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// amended has the manager open every form that changes the book, and shows
// what is said of a change.
func (w *evening) amended() {
	w.t.Helper()
	taps := openBook(reviewBook())
	taps = append(slices.Clone(taps[:8]), taps[len(taps)-len(reviewBook().Vessels):]...)
	taps = append(taps, kitchen.Tap{Line: "quick cucumber pickle", With: "form:recipe"}, kitchen.Tap{Line: "price", With: "form:choose"})
	for _, tap := range taps {
		a := w.hear(kitchen.Command{By: lead, Tap: &tap})
		w.saw(w.voice.formTyped(a).Plain())
		if a.Kind != kitchen.OpenForm {
			continue
		}
		for _, field := range w.voice.Form(w.kitchen(), reviewBook(), a).Fields {
			w.saw(field.Value)
			for _, o := range field.Options {
				w.saw(o.Label)
			}
		}
	}
	long, short := *reviewBook(), *reviewBook()
	long.Recipes, short.Botanicals, short.Liquids = slices.Repeat(long.Recipes, 2), nil, nil
	choose := kitchen.Answer{Kind: kitchen.OpenForm, Form: kitchen.FormChoose, Line: string(kitchen.FormRecipe)}
	w.form("a book too long to choose from", w.voice.Form(w.kitchen(), &long, choose))
	w.form("few goods", w.voice.Form(w.kitchen(), &short, kitchen.Answer{Kind: kitchen.OpenForm, Form: kitchen.FormPrice}))
	codes := []book.FindingCode{"something new"}
	for code := range findings {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	for _, code := range codes {
		w.show("saved", w.kitchen(), w.voice.Answer(w.kitchen(), kitchen.Answer{
			Kind: kitchen.Saved, Form: kitchen.FormRecipe, Title: "rhubarb gin", N: 3, Findings: []book.FindingCode{code}, Private: true,
		}))
	}
	w.show("taken out", w.kitchen(), w.voice.Answer(w.kitchen(), kitchen.Answer{
		Kind: kitchen.Saved, Form: kitchen.FormRecipe, Title: "rhubarb gin", N: 4, Gone: true, Private: true,
	}))
}

// tasted says how batches came out, and what the next start is told of it.
func (w *evening) tasted() {
	w.t.Helper()
	w.fill("start rhubarb gin 400ml in A")
	w.called(kitchen.Venting)
	w.step("vented")
	w.called(kitchen.Straining)
	w.step("strained|345ml")
	w.called(kitchen.Labelling)
	w.step("labelled")
	b := w.last()
	for _, said := range []string{"taste weak A", "taste right A", "taste strong A", "solids spent A", "solids good again A"} {
		a := w.hear(kitchen.Command{By: bar1, Tap: &kitchen.Tap{Line: said, Batch: b.ID, Turn: b.Turn}})
		w.note("tasted", w.voice.Answer(w.kitchen(), a))
	}
	w.pass(11 * time.Minute)
	a := w.says(bar1, "start rhubarb gin 400ml in B")
	ratio := func(n int) quantity.Ratio { return quantity.Ratio(n) * quantity.GramsPer100 }
	for _, p := range []plan.Proposal{
		{Figure: plan.OfRest, Why: request.Strong, N: 2, Of: 3, FromRest: 2 * time.Minute, ToRest: 100 * time.Second, LowRest: time.Minute, HighRest: 5 * time.Minute, Line: "start rhubarb gin 400ml in B rest 100s"},
		{Figure: plan.OfRatio, Why: request.Weak, N: 2, Of: 3, FromRatio: ratio(20), ToRatio: ratio(22), LowRatio: ratio(20), HighRatio: ratio(50), Solids: 88 * quantity.Gram, Line: "start rhubarb gin 400ml in B 88g"},
		{Figure: plan.OfTime, Why: request.Strong, N: 2, Of: 2, LowRest: time.Minute, HighRest: 5 * time.Minute},
	} {
		a.Proposal = &p
		a.Last = []plan.Result{{Out: 345 * quantity.Millilitre, Rest: 2 * time.Minute, Taste: p.Why, Solid: request.Spent, Made: w.now}}
		w.show("start, and how it came out", w.kitchen(), w.voice.Answer(w.kitchen(), a))
		a.Last[0].Made, a.Last[0].Solid = time.Time{}, request.GoodAgain
		w.show("start, and how it came out", w.kitchen(), w.voice.Answer(w.kitchen(), a))
	}
}
