package voice

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// codes says what is said of every code of the rooms below.
func (w *evening) codes() {
	t, ok := w.t.(*testing.T)
	if !ok {
		w.t.Fatal("the codes are read in a plain test")
	}
	k := w.kitchen()
	for _, code := range constants(t, "request", "ProblemCode") {
		p := request.Problem{Code: request.ProblemCode(code), Word: "frobs", Names: []string{"pepper tequila", "thyme oil"}}
		w.show("problem "+code, k, w.voice.Problem(p))
		p.Word, p.Example = strings.Repeat("long ", 60), "start rhubarb gin 400ml"
		w.lint("problem "+code, k, w.voice.Problem(p))
		p.Another = "vented A"
		w.lint("problem "+code, k, w.voice.Problem(p))
	}
	for _, code := range constants(t, "request", "QuestionCode") {
		w.show("question "+code, k, w.voice.Question(request.Question{
			Code: request.QuestionCode(code), Word: "pepper", Options: []request.Option{
				{Label: "pepper tequila", Line: "start pepper tequila"}, {Label: "pink peppercorn gin", Line: "start pink peppercorn gin"},
			},
		}))
	}
	for _, code := range constants(t, "plan", "ProblemCode") {
		p := plan.Problem{Code: plan.ProblemCode(code), Vessel: "A", Volume: quantity.Litre, Count: 3, Name: "rhubarb gin"}
		p.Rest.Min, p.Rest.Max = time.Minute, 5*time.Minute
		p.Temp.Min, p.Temp.Max = 18*quantity.Celsius, 24*quantity.Celsius
		w.show("no plan, "+code, k, w.voice.PlanProblem(p))
		if p.Code == plan.TooMuch {
			p.Vessel = ""
		}
		p.Offers = []plan.Offer{
			{Line: "start rhubarb gin 400ml in A", Runs: 1, Vessel: []string{"A"}, Volume: 400 * quantity.Millilitre},
			{Line: "start rhubarb gin 460ml x3", Runs: 3, Vessel: []string{"A", "B", "C"}, Volume: 460 * quantity.Millilitre},
		}
		w.lint("no plan, "+code, k, w.voice.PlanProblem(p))
		w.saw(w.voice.PlanHint(p).Plain())
	}
	for _, code := range constants(t, "plan", "NoteCode") {
		for _, n := range []int{1, 2} {
			line := w.voice.note(plan.Note{
				Code: plan.NoteCode(code), Vessel: "A", Count: n, Name: "gluten", Span: 25 * time.Minute, Volume: quantity.Litre,
			})
			w.show("note "+code, k, message(line))
		}
	}
	w.answers(t)
	w.show("not saved", k, w.voice.NotSaved())
	w.show("broken", k, w.voice.Broken())
	w.show("no kitchen", k, w.voice.NoKitchen())
	w.show("too late for a form", k, w.voice.TooLate())
	w.show("edited", k, w.voice.Edited())
}

// answers says what is said of every code of an answer, in every phase.
func (w *evening) answers(t *testing.T) {
	w.fill("start rhubarb gin 400ml in A")
	k := w.kitchen()
	a := kitchen.Answer{
		Batch: 1, Title: "rhubarb gin", Vessel: "A", Verb: request.Vented, Phase: kitchen.Resting, N: 1, Of: 2,
		Who: bar1, At: kitchen.At(w.now), Volume: 400 * quantity.Millilitre, Line: "start rhubarb gin 400ml",
		Lot: "7", Allergens: []string{"nuts"},
	}
	for _, code := range constants(t, "kitchen", "Code") {
		a.Code, a.Kind = kitchen.Code(code), kitchen.Refuse
		if w.voice.phrases[phrase("ask."+code)] != "" {
			a.Kind = kitchen.Ask
		}
		w.show(string(a.Kind)+" "+code, k, w.voice.Answer(k, a))
		for _, p := range kitchen.Phases() {
			a.Phase = p
			w.lint(string(a.Kind)+" "+code+" "+string(p), k, w.voice.Answer(k, a))
		}
		a.Phase = kitchen.Resting
	}
	a.Code = kitchen.RefuseNothing
	a.Kind, a.Vessel, a.Batch = kitchen.Refuse, "", 0
	w.show("refuse nothing", k, w.voice.Answer(k, a))
	a.Code, a.Verb, a.Phase = kitchen.RefuseManager, "", kitchen.Loading
	w.show("refuse the book", k, w.voice.Answer(k, a))
	a.Code, a.Vessel = kitchen.RefuseInUse, "B"
	w.show("refuse what is loaded", k, w.voice.Answer(k, a))
	a.Vessel, a.Batch = "A", 1
	for _, verb := range constants(t, "request", "Verb") {
		a.Kind, a.Code, a.Verb = kitchen.Already, "", request.Verb(verb)
		w.lint("already "+verb, k, w.voice.Answer(k, a))
		a.Kind, a.Verb, a.Line = kitchen.Done, request.Undo, verb
		w.lint("undone "+verb, k, w.voice.Answer(k, a))
	}
}

// plans says plans and readings as the terminal prints them.
func (w *evening) plans() {
	k := w.kitchen()
	lines := []string{
		"start cinnamon rum 500ml as class", "start ginger gin 400ml x2", "start rhubarb gin 400ml 60g rest 90s 20c in A",
		"charged A", "set down A", "vented A 40s ago", "strained A 345ml", "cleared A", "labelled A", "washed A", "no gas A",
		"gas in A", "+15s A", "take A", "resting", "scrap A", "undo A", "help A",
	}
	typed := len(lines)
	for _, r := range reviewBook().Recipes {
		lines = append(lines, "start "+r.Name)
	}
	open := []request.Open{{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: "resting"}}
	for n, line := range lines {
		w.unread = n >= typed // the recipes differ in their own words only
		r := reviewReader().Read(line, request.Context{Book: reviewBook(), Now: w.now, Open: open})
		if r.Request == nil {
			w.t.Fatalf("%q reads as %+v", line, r)
		}
		w.show("read "+line, k, message(Line{{Text: w.voice.Echo(*r.Request)}}))
		if r.Request.Verb != request.Start {
			continue
		}
		p, problem := plan.Make(reviewBook(), *r.Request, reviewBook().Vessels, plan.Input{Now: w.now})
		if problem != nil {
			w.t.Fatalf("%q has no plan: %+v", line, problem)
		}
		for _, said := range w.voice.Plan(p) {
			w.lint("plan "+line, k, message(Line{{Text: strings.TrimSpace(strings.ReplaceAll(said, "  ", " "))}}))
			if kind := "plan " + bare(said); !w.unread && !w.paper.written[kind] {
				w.paper.written[kind] = true
				fmt.Fprintf(w.paper, "    %s\n", said)
			}
		}
	}
}
