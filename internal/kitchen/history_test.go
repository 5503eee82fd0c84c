package kitchen_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
)

// brew carries a rhubarb gin through A to its label and out of the kitchen.
func (w *world) brew(yield string) {
	w.t.Helper()
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	w.say(bar1, "charged A")
	w.pass(40 * time.Second)
	w.say(bar1, "charged A")
	w.pass(3 * time.Minute)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.pass(3 * time.Minute)
	w.want(w.say(bar1, "strained A "+yield), kitchen.Done)
	w.want(w.say(bar1, "labelled A"), kitchen.Done)
	w.want(w.say(bar1, "washed A"), kitchen.Done)
	w.pass(11 * time.Minute)
}

func TestTheHousesOwnYieldCountsFromTheThirdWeighing(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	var expected []quantity.Volume
	for range 4 {
		w.brew("300ml")
	}
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	expected = append(expected, w.in("A").About)
	if diff := cmp.Diff([]quantity.Volume{300 * quantity.Millilitre}, expected); diff != "" {
		t.Errorf("expected yield (-want +got):\n%s", diff)
	}
	if n := len(w.kitchen().History.Weighed["rhubarb gin"]); n != 3 {
		t.Errorf("%d weighings are remembered, want 3", n)
	}
}

func TestVentsAreRememberedForTheAirAndOncePerBatch(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.brew("345ml")
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.say(bar1, "charged A")
	w.pass(3 * time.Minute)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	h := w.kitchen().History
	if len(h.Vented) != 2 || h.Vented[0].Gas != 16*quantity.Gram {
		t.Errorf("releases %+v, want one of 16 g for each batch", h.Vented)
	}
	w.pass(9 * time.Hour)
	w.say(bar1, "strained A")
	w.say(bar1, "washed A")
	w.brew("345ml")
	if h := w.kitchen().History; len(h.Vented) != 1 {
		t.Errorf("releases %+v, want those of the last eight hours", h.Vented)
	}
}

func TestWhyWorksTheFiguresOutAgain(t *testing.T) {
	t.Parallel()
	w := charged(t)
	before := len(w.log)
	a := w.want(w.say(larder, "why A"), kitchen.Figured)
	if a.Why == nil || len(a.Why.Runs) != 1 || a.Why.Runs[0].Vessel != "A" || a.Why.Runs[0].Liquid != 400*quantity.Millilitre {
		t.Fatalf("why gives %+v", a.Why)
	}
	if f := a.Why.Runs[0].Figures; !f.Known || f.Rest.Low >= f.Rest.Central || f.Rest.Central >= f.Rest.High {
		t.Errorf("the pressure at rest is %+v, want a band", f.Rest)
	}
	if len(w.log) != before {
		t.Error("asking why changed something")
	}
}
