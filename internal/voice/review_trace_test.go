package voice

import (
	"fmt"
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// recallMost is how many lines the message of a recall has at most.
const recallMost = recallLines + 4

// answerLines is how many lines an answer may have: where a lot went is a list.
func answerLines(a kitchen.Answer) int {
	if a.Kind == kitchen.Traced {
		return 15
	}
	return 6
}

func traceWalk(t *testing.T, r *record) {
	at := func(heading string) *evening {
		w := newEvening(t, r)
		w.title("%s", heading)
		return w
	}
	at("a lot is taken back").recalled()
	at("a lot of which nothing was made is taken back").recalledUnused()
	at("not all of it is found").recalledMissing()
	at("a lot of many batches").recalledMany()
	w := at("read")
	k := w.kitchen()
	for _, x := range []request.Request{
		{Verb: request.Recall, Lot: "7", Text: "cork taint"}, {Verb: request.Binned, Code: "261124-rhubarb-gin-a-1"},
		{Verb: request.Asks, Topic: request.WhereLot, Lot: "7"}, {Verb: request.Asks, Topic: request.TraceOf, Vessel: "A"},
	} {
		w.show("read", k, message(Line{{Text: w.voice.Echo(x)}}))
	}
}

// past gives a batch as its record has it: labelled, so many days before.
func (w *evening) past(id uint32, days int, use int) *kitchen.Batch {
	made := w.now.AddDate(0, 0, -days)
	m := kitchen.Mark{By: bar2, Done: kitchen.At(made), Entered: kitchen.At(made)}
	b := &kitchen.Batch{ID: id}
	b.Title, b.Vessel, b.Base, b.Started = "ginger gin", "B", "gin", m
	b.Code, b.Lots = made.Format("060102")+fmt.Sprintf("-ginger-gin-b-%d", id), map[string]string{"gin": "7"}
	b.Liquid, b.Solids = 400*quantity.Millilitre, []plan.Solid{{Name: "ginger", Mass: 40 * quantity.Gram}}
	b.Phase, b.Labelled, b.Ended = kitchen.Stored, &m, &m
	if use != 0 {
		b.UseBy = kitchen.At(made.AddDate(0, 0, use))
	}
	return b
}

// traces asks about what also left the kitchen.
func (w *evening) traces(p kitchen.Person, line string, past ...*kitchen.Batch) kitchen.Answer {
	w.t.Helper()
	return w.hear(kitchen.Command{Text: line, By: p, Records: append([]*kitchen.Batch{}, past...)})
}

// accounts taps a batch of a recall as binned, or as not found.
func (w *evening) accounts(p kitchen.Person, code, with string, past ...*kitchen.Batch) {
	w.t.Helper()
	w.hear(kitchen.Command{
		Tap: &kitchen.Tap{Line: "binned " + code, With: with}, By: p, Records: append([]*kitchen.Batch{}, past...),
	})
}

func (w *evening) recalled() {
	old, stale := w.past(901, 3, 14), w.past(902, 30, 14)
	w.says(bar1, "lot 7 gin")
	w.says(bar2, "on shift")
	w.fill("start rhubarb gin 400ml in A")
	w.traces(bar1, "where did lot 7 go", old, stale, w.past(903, 9, 0))
	w.traces(bar1, "recall lot 8")
	a := w.traces(bar1, "recall lot 7: glass in a bottle", old, stale)
	w.hear(kitchen.Command{Tap: &a.Choices[0].Tap, By: bar1, Records: []*kitchen.Batch{old, stale}})
	w.traces(bar2, "recall lot 7", old, stale)
	w.says(bar2, "lot 7 gin")
	w.accounts(bar2, w.last().Code, "")
	w.accounts(bar2, old.Code, "", old)
	w.accounts(bar2, old.Code, "", old)
	w.traces(bar2, "binned 260101-rhubarb-gin-a-9")
	w.pass(20 * time.Minute)
	w.step("vented")
	w.step("strained")
	w.says(bar1, "labelled A")
	w.pass(time.Hour)
	w.accounts(bar1, stale.Code, "missing", stale)
	w.accounts(bar1, w.last().Code, "")
	w.traces(bar1, "trace A")
	w.traces(bar1, "binned "+stale.Code, stale)
	w.pass(4 * time.Hour)
	w.traces(bar1, "where did lot 7 go", old, stale)
}

func (w *evening) recalledUnused() {
	w.says(bar1, "lot 9 gin")
	a := w.traces(bar1, "recall lot 9")
	w.hear(kitchen.Command{Tap: &a.Choices[0].Tap, By: bar1, Records: []*kitchen.Batch{}})
}

func (w *evening) recalledMissing() {
	old := w.past(901, 3, 14)
	a := w.traces(bar1, "recall "+old.Code, old)
	w.hear(kitchen.Command{Tap: &a.Choices[0].Tap, By: bar1, Records: []*kitchen.Batch{old}})
	w.hear(kitchen.Command{Text: "binned " + old.Code, By: bar1, Records: []*kitchen.Batch{}})
	w.accounts(bar1, old.Code, "missing", old)
	w.traces(bar1, "trace "+old.Code, old)
	k := w.kitchen()
	a = kitchen.Answer{Kind: kitchen.Done, Verb: request.Binned, Title: old.Title, Line: old.Code, Missing: true, Private: true}
	w.show("typed", k, w.voice.Answer(k, a))
}

func (w *evening) recalledMany() {
	var list []*kitchen.Batch
	for id := range uint32(11) {
		list = append(list, w.past(901+id, int(id)+1, 14))
	}
	w.traces(bar1, "where did lot 7 go", list...)
	a := w.traces(bar1, "recall lot 7", list...)
	w.hear(kitchen.Command{Tap: &a.Choices[0].Tap, By: bar1, Records: list})
}
