package kitchen_test

import (
	"strings"
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// twoHands is how long after the first of two runs of rhubarb gin the second
// one starts in the sample house, with its two pairs of hands: two vents are a
// minute and a quarter apart.
const twoHands = 75 * time.Second

func TestALaterRunIsHeldFromItsOwnStart(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start rhubarb gin 400ml x2"), kitchen.Done)
	a, b := w.in("A"), w.in("B")
	if a.Later != 0 || b.Later != twoHands {
		t.Fatalf("A starts %v and B %v after the start, want 0 and %v", a.Later, b.Later, twoHands)
	}
	if got, want := b.FirstAt(), kitchen.At(six.Add(twoHands)); got != want {
		t.Errorf("first charger of B at %v, want %v", got.Time(), want.Time())
	}
	w.pass(10 * time.Minute)
	w.wantPhase("A", kitchen.Scrapped)
	w.wantPhase("B", kitchen.Loading)
	w.pass(twoHands - time.Second)
	w.wantPhase("B", kitchen.Loading)
	w.pass(time.Second)
	w.wantPhase("B", kitchen.Scrapped)
}

func TestAnExpiredLaterRunThatIsChargedStartsAtOnce(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.want(w.say(bar1, "start rhubarb gin 400ml x2"), kitchen.Done)
	w.pass(12 * time.Minute)
	w.wantPhase("B", kitchen.Scrapped)
	w.want(w.say(bar1, "charged B"), kitchen.Done)
	if b := w.wantPhase("B", kitchen.Charging); b.Later != 0 {
		t.Errorf("B still starts %v later", b.Later)
	}
}

func TestASplitStartOpensABatchForEachRun(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a := w.want(w.say(bar1, "start rhubarb gin 1200ml 120g split"), kitchen.Done)
	var sum quantity.Volume
	k := w.kitchen()
	for _, id := range a.Batches {
		b := k.Batches[id]
		sum += b.Liquid
		again := request.Read(b.Line, request.Context{Book: sample()}).Request
		if again == nil || again.Split || again.Count != 0 || again.Vessel != b.Vessel ||
			again.Volume != b.Liquid || again.Solids != b.Solids[0].Mass {
			t.Errorf("%s of %v and %v would be started again by %q", b.Vessel, b.Liquid, b.Solids[0].Mass, b.Line)
		}
	}
	if len(a.Batches) < 2 || sum != 1200*quantity.Millilitre || a.Volume != sum {
		t.Errorf("%d batches of %v in all, answered %v", len(a.Batches), sum, a.Volume)
	}
}

func TestASecondRoundIsNotStartedButWhatFitsNowIsOffered(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a := w.want(w.say(bar1, "start rhubarb gin 4l split"), kitchen.Impossible)
	if a.Plan.Code != plan.NextRound || a.Plan.Count < 2 || a.Plan.Volume != 4*quantity.Litre || len(a.Plan.Offers) == 0 {
		t.Fatalf("answer %+v", a.Plan)
	}
	if n := len(w.kitchen().Batches); n != 0 {
		t.Errorf("%d batches were opened", n)
	}
	b := w.want(w.say(bar1, a.Plan.Offers[0].Line), kitchen.Done)
	if !strings.Contains(a.Plan.Offers[0].Line, "split") || len(b.Batches) != a.Plan.Offers[0].Runs {
		t.Errorf("%q opened %d batches", a.Plan.Offers[0].Line, len(b.Batches))
	}
}
