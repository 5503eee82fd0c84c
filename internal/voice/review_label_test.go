package voice

import (
	"strings"
	"testing"
	"time"

	"ventbell/internal/kitchen"
)

func labelWalk(t *testing.T, r *record) {
	at := func(heading string) *evening {
		w := newEvening(t, r)
		w.title("%s", heading)
		return w
	}
	at("a lot and its label").lots()
	at("a label of pieces").pieceLabel()
	at("no label at close").bare()
	at("the wall").wall()
}

func (w *evening) lots() {
	w.says(bar1, "lot H4 hazelnut")
	w.says(bar2, "hazelnut lot H4")
	w.fill("start hazelnut brandy 400ml in A")
	w.called(kitchen.Venting)
	w.step("vented")
	w.called(kitchen.Straining)
	w.says(bar1, "strained A 345ml")
	w.says(bar1, "label of A")
	b := *w.last()
	b.Carried.May, b.Carried.Law = 1|1<<8, 0
	w.show("over what the vessel carried, by the strictest law", w.kitchen(), w.voice.labelMessage(&b))
	b.Allergens = nil
	w.show("only what the vessel carried", w.kitchen(), message(w.voice.allergens(&b)))
	w.paperLabel("its page", &b)
	w.called(kitchen.Clearing)
	w.says(bar1, "cleared A")
	w.says(bar1, "labelled A")
}

// paperLabel shows a label as it is printed.
func (w *evening) paperLabel(where string, b *kitchen.Batch) {
	w.t.Helper()
	l := w.voice.LabelOf(w.kitchen(), b)
	m := message(Line{{Text: strings.TrimSpace(l.Title + " " + l.Amount)}}, Line{{Text: l.Use.Caption + " "}}.with(l.Use.Line...))
	for _, f := range l.Fields {
		m.Lines = append(m.Lines, Line{{Text: f.Caption + ": "}}.with(f.Line...))
	}
	for _, n := range l.Notes {
		m.Lines = append(m.Lines, Line{{Text: n}})
	}
	w.showLong(where, w.kitchen(), message(append(m.Lines, Line{{Text: l.Code}})...), 14)
}

func (w *evening) pieceLabel() {
	w.fill(melon)
	w.called(kitchen.Venting)
	w.step("vented")
	w.called(kitchen.Straining)
	k := w.kitchen()
	w.showWall("pieces are due", k)
	w.step("drained")
	w.says(bar1, "label of A")
	b := *w.last()
	b.Drained, b.UseBy = 220000, 0
	w.paperLabel("its page, and no date is known", &b)
}

func (w *evening) bare() {
	w.fill("start rhubarb gin 400ml in A")
	w.called(kitchen.Venting)
	w.step("vented")
	w.called(kitchen.Straining)
	w.step("strained")
	w.says(lead, "closing")
	a := w.says(lead, "sign")
	if a.Kind == kitchen.OpenForm {
		w.hear(kitchen.Command{By: lead, At: w.now, Form: &kitchen.Filled{
			Name: string(a.Form), Carry: a.Line, Fields: map[string]string{kitchen.FieldReason: "late night"},
		}})
	}
	w.says(bar1, "label of A")
	w.paperLabel("its page", w.last())
}

// showWall shows the wall's board as lines.
func (w *evening) showWall(where string, k *kitchen.Kitchen) {
	w.t.Helper()
	x := w.voice.Wall(k, []string{"A", "B", "C", "D"}, kitchen.At(w.now))
	lines := []Line{{{Text: x.Title}}}
	row := func(r WallRow) {
		text := ""
		for _, part := range []string{r.Vessel, r.State, r.What, r.Next} {
			if text != "" && part != "" {
				text += "; "
			}
			text += part
		}
		lines = append(lines, Line{{Text: text}})
	}
	for _, r := range x.Vessels {
		row(r)
	}
	lines = append(lines, Line{{Text: x.Off}})
	for _, r := range x.Waiting {
		row(r)
	}
	lines = append(lines, Line{{Text: x.AsOf}}, Line{{Text: x.Labels + ", " + x.Print}})
	w.showLong(where, k, message(lines...), 16)
}

func (w *evening) wall() {
	k := w.kitchen()
	words := w.voice.WallWords(k)
	empty := w.voice.Wall(k, nil, kitchen.At(w.now))
	w.show("its own words", k, message(Line{{Text: empty.None}}, Line{{Text: words.NoLabels}}, Line{{Text: words.Gone}}, Line{{Text: words.Back}}))
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.showWall("held", w.kitchen())
	w.step("charged")
	w.showWall("one charger in", w.kitchen())
	w.step("charged")
	w.says(bar2, "cream in D 1 charger coffee cream")
	w.showWall("two under pressure", w.kitchen())
	w.called(kitchen.Venting)
	w.says(bar1, "blocked A")
	w.showWall("blocked", w.kitchen())
	w.says(bar2, "start hazelnut brandy 400ml in B")
	for range 2 {
		w.says(bar2, "charged B")
	}
	w.pass(20 * time.Minute)
	w.says(bar2, "vented B")
	w.pass(time.Minute)
	w.showWall("settling", w.kitchen())
	w.pass(10 * time.Minute)
	w.says(bar2, "strained B")
	w.showWall("standing to clear", w.kitchen())
	w.pass(3 * time.Hour)
	w.says(bar2, "cleared B")
	w.showWall("it waits for its label", w.kitchen())
}
