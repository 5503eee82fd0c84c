package voice

import (
	"strings"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// liquidWords are the words of a liquid's end in each language: of pieces that
// are kept nobody says them.
var liquidWords = map[string][]string{
	"en": {"strain", " ml, made", "volume not told"},
	"es": {"cuela", "colado", "Colado", "Cuela", "volumen sin medir"},
	"fr": {"iltrer", "iltré", "volume non mesuré"},
}

// drainedWalk goes through the whole life of soaked fruit, and through what
// can befall it.
func drainedWalk(t *testing.T, r *record) {
	from := len(r.said)
	at := func(heading string) *evening {
		w := newEvening(t, r)
		w.title("%s", heading)
		return w
	}
	at("soaked fruit").pieces()
	at("soaked fruit, and nobody answers").piecesLate()
	at("soaked fruit, asked about").piecesAsked()
	at("soaked fruit, when messages could not go out").piecesOutage()
	for _, line := range r.said[from:] {
		for _, word := range liquidWords[r.language] {
			mixed := strings.Contains(line, "or drain") || strings.Contains(line, "nor drain") || strings.Contains(line, "escurr") ||
				strings.Contains(line, "à égoutter") || strings.Contains(line, "ni égoutter") || strings.Contains(line, "`") // told of both, or to be typed
			if strings.Contains(line, word) && !mixed && !strings.Contains(line, "strained A") && !strings.Contains(line, "what needs straining") {
				t.Errorf("%s: of pieces that are kept it says %q", r.language, line)
			}
		}
	}
}

const melon = "start gin-soaked melon 250ml in A"

func (w *evening) pieces() {
	w.says(bar1, melon)
	b := *w.last()
	b.Notes = nil
	k := w.kitchen()
	w.show("without a note", k, w.voice.Slip(k, &b))
	for range w.last().Chargers {
		w.step("charged")
		w.pass(w.last().Swirl)
	}
	w.says(bar1, "undo A")
	w.called(kitchen.Venting)
	w.says(bar1, "resting")
	w.step("vented")
	w.says(bar1, "help A")
	w.says(bar1, "drained A 30 min ago")
	w.says(bar2, "pause A")
	w.says(bar2, "forgot it A")
	w.called(kitchen.Straining)
	w.says(bar2, "resting")
	w.says(bar1, "help A")
	w.says(bar2, "start rhubarb gin 300ml in A")
	w.says(bar2, "washed A")
	w.says(bar2, "what needs straining")
	w.says(bar1, "cleared A")
	w.step("drained")
	w.says(bar2, "drained A")
	w.says(bar1, "help A")
	w.says(bar1, "drained A 220 g 180ml")
	w.says(bar2, "label of A")
	w.says(bar2, "strength of A")
	w.says(bar1, "undo A")
	w.says(bar1, "drained A 220")
	w.says(bar2, "forgot it A")
	w.pass(11 * time.Minute)
	w.step("labelled")
	w.says(bar2, "strength of gin-soaked melon")
	w.says(bar2, "label of gin-soaked melon")
	w.says(bar1, "weak A")
	w.page(lead)
	w.pass(11 * time.Minute)
	w.says(bar1, "washed A")
	w.says(bar1, melon)
}

func (w *evening) piecesLate() {
	w.team.Fallback = true
	w.fill(melon)
	w.called(kitchen.Venting)
	w.pass(2 * time.Minute)
	w.says(bar2, "forgot it A")
	w.says(bar2, "A is leaking")
	w.pass(w.last().Contact)
	w.step("vented")
	w.pass(15 * time.Minute)
	w.step("drained")
	w.pass(20 * time.Minute)
	w.says(bar1, "drained A 210g 150ml")
	w.step("labelled")
	w.says(bar1, "start quick cucumber pickle in B")
	w.says(bar1, "allergens B")
	w.fillIn("B")
	w.called(kitchen.Venting)
	w.step("vented")
	w.pass(time.Hour)
	w.step("drained|200g")
	w.says(bar2, "label of B")
}

// fillIn puts its chargers into a vessel that is loaded.
func (w *evening) fillIn(vessel string) {
	for range w.last().Chargers {
		w.says(bar1, "charged "+vessel)
		w.pass(w.last().Swirl)
	}
}

func (w *evening) piecesAsked() {
	k := w.kitchen()
	w.show("read", k, message(Line{{Text: w.voice.Echo(request.Request{
		Verb: request.Strained, Vessel: "A", Solids: 220 * quantity.Gram, Volume: 180 * quantity.Millilitre,
	})}}))
	x := kitchen.Finished{Title: "gin-soaked melon", Vessel: "A", Product: book.SolidKept, At: kitchen.At(w.now), By: bar1, UseBy: kitchen.At(w.now)}
	for _, x.Drained = range []quantity.Mass{0, 220 * quantity.Gram} {
		w.show("what expires", k, w.voice.told(k, kitchen.Answer{
			Kind: kitchen.Told, Topic: request.Expiring, Facts: &kitchen.Facts{Shelf: []kitchen.Finished{x}},
		}))
	}
	w.show("what is on its label", k, w.voice.told(k, kitchen.Answer{
		Kind: kitchen.Told, Topic: request.TheLabel, Facts: &kitchen.Facts{
			Shelf: []kitchen.Finished{x}, Allergens: []string{"celery"}, Product: book.SolidKept,
		},
	}))
	b := &kitchen.Batch{}
	b.Product, b.ABVHigh = book.SolidKept, 40
	w.show("no date is known", k, message(w.voice.labelFacts(b)))
}

func (w *evening) piecesOutage() {
	together := func(where string) {
		w.t.Helper()
		var held []kitchen.Entry
		for _, e := range w.known {
			held = append(held, e)
		}
		m, ok := w.voice.Outage(w.kitchen(), held, w.now)
		if !ok {
			w.t.Fatalf("%s: nothing is said", where)
		}
		w.showLong(where, w.kitchen(), m, outageLines)
	}
	for _, line := range []string{melon, "start quick cucumber pickle in B"} {
		w.says(bar1, line)
		w.fillIn(w.last().Vessel)
	}
	w.pass(20 * time.Minute)
	together("to be vented")
	w.says(bar1, "vented A")
	w.pass(20 * time.Second)
	w.says(bar1, "vented B")
	w.pass(3 * time.Minute)
	together("to be drained")
	w.says(bar1, "drained A 220g")
	w.says(bar1, "drained B 210g")
	w.pass(15 * time.Minute)
	together("to be labelled")
}
