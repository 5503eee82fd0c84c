package kitchen_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// label carries a rhubarb gin through A to its label and leaves it there.
func (w *world) label(yield string) uint32 {
	w.t.Helper()
	id := w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done).Batch
	w.say(bar1, "charged A")
	w.pass(40 * time.Second)
	w.say(bar1, "charged A")
	w.pass(30*time.Second + 130*time.Second)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.pass(3 * time.Minute)
	w.want(w.say(bar1, "strained A "+yield), kitchen.Done)
	w.want(w.say(bar1, "labelled A"), kitchen.Done)
	w.want(w.say(bar1, "washed A"), kitchen.Done)
	return id
}

// tasteTap is the button on a stored slip.
func tasteTap(id uint32, v request.Verdict) kitchen.Tap {
	return kitchen.Tap{Line: "taste " + string(v) + " A", Batch: id, Turn: 2}
}

func TestATapRecordsHowABatchCameOut(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	id := w.label("345ml")
	edits := w.sent[fmt.Sprintf("%d/slip", id)]
	a := w.want(w.tap(bar2, tasteTap(id, request.Strong)), kitchen.Done)
	if a.Verdict != request.Strong || a.Quiet || len(a.Choices) != 2 {
		t.Fatalf("the answer is %+v, want the verdict and what became of the solids", a)
	}
	if w.sent[fmt.Sprintf("%d/slip", id)] == edits {
		t.Error("the slip was not brought up to date")
	}
	w.want(w.tap(bar2, a.Choices[0].Tap), kitchen.Done)
	w.pass(11 * time.Minute)
	k := w.kitchen()
	got, _ := k.History.Tasted(id)
	made := uint32(w.now.Unix() / 86400)
	want := kitchen.Weighing{
		In: 400 * quantity.Millilitre, Solids: 80 * quantity.Gram, Out: 345 * quantity.Millilitre, Batch: id, Made: made,
		Meant: 120, Rest: 130, Contact: 380, Taste: request.Strong, Solid: request.Spent,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("remembered (-want +got):\n%s", diff)
	}
	if k.Batches[id] != nil {
		t.Error("the batch is still in the kitchen")
	}
}

func TestALateTapStillRecordsAndTheLatestWins(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	id := w.label("345ml")
	w.want(w.tap(bar1, tasteTap(id, request.Weak)), kitchen.Done)
	w.pass(time.Hour)
	w.want(w.tap(bar1, tasteTap(id, request.Right)), kitchen.Done)
	if got, _ := w.kitchen().History.Tasted(id); got.Taste != request.Right || got.Out != 345*quantity.Millilitre {
		t.Errorf("an hour later %+v is remembered", got)
	}
	w.want(w.say(bar1, "too strong A"), kitchen.Done)
	if got, _ := w.kitchen().History.Tasted(id); got.Taste != request.Strong {
		t.Errorf("by its vessel %+v is remembered", got)
	}
	w.now = w.now.Add(48 * time.Hour)
	w.want(w.say(bar1, "rhubarb gin came out weak"), kitchen.Done)
	if got, _ := w.kitchen().History.Tasted(id); got.Taste != request.Weak {
		t.Errorf("by its recipe %+v is remembered", got)
	}
	if a := w.say(bar1, "weak A"); a.Kind != kitchen.Refuse || a.Code != kitchen.RefuseNothing {
		t.Errorf("two days later the vessel alone gives %+v", a)
	}
}

func TestWhatIsNotStrainedOrNotKnownHasNoTaste(t *testing.T) {
	t.Parallel()
	w := charged(t)
	logged := len(w.log)
	if a := w.say(bar1, "weak A"); a.Kind != kitchen.Refuse || a.Code != kitchen.RefuseNotYet {
		t.Errorf("under pressure: %+v", a)
	}
	if a := w.tap(bar1, tasteTap(99, request.Weak)); a.Kind != kitchen.Refuse || a.Code != kitchen.RefuseOldButton {
		t.Errorf("an unknown batch: %+v", a)
	}
	if len(w.log) != logged || len(w.kitchen().History.Weighed) != 0 {
		t.Error("something was recorded")
	}
}

func TestAnUndoneLabelKeepsTheTasteAndAScrappedBatchLosesIt(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	id := w.label("345ml")
	w.want(w.tap(bar1, tasteTap(id, request.Strong)), kitchen.Done)
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	if got, _ := w.kitchen().History.Tasted(id); got.Taste != request.Strong {
		t.Errorf("after the undo %+v is remembered", got)
	}
	w.choose(bar1, w.say(bar1, "scrap A"))
	w.pass(11 * time.Minute)
	if got, found := w.kitchen().History.Tasted(id); found {
		t.Errorf("of a scrapped batch %+v is remembered", got)
	}
}

func TestTheNextStartShowsLastTimeAndWhatItSpeaksFor(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	for range 2 {
		id := w.label("345ml")
		w.want(w.tap(bar1, tasteTap(id, request.Strong)), kitchen.Done)
		w.pass(11 * time.Minute)
	}
	a := w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	if len(a.Last) != 2 || a.Last[0].Taste != request.Strong || a.Last[0].Rest != 130*time.Second {
		t.Errorf("last results %+v", a.Last)
	}
	if p := a.Proposal; p == nil || p.Figure != plan.OfRest || p.ToRest != 100*time.Second || p.N != 2 || p.Of != 2 {
		t.Fatalf("proposal %+v, want a rest of 1:40 by two of two", a.Proposal)
	}
	if got := w.in("A").Rest.Target; got != 2*time.Minute {
		t.Errorf("it rests %v: a proposal is never applied by itself", got)
	}
	b := w.in("A")
	again := w.want(w.tap(bar1, kitchen.Tap{Line: a.Proposal.Line, Batch: b.ID, Turn: b.Turn, With: "replace"}), kitchen.Done)
	if got := w.in("A").Rest.Target; got != 100*time.Second || again.Proposal != nil {
		t.Errorf("once tapped: %v, then proposed %+v", got, again.Proposal)
	}
}

func TestThreeResultsOfFortyRecipesAreKept(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	first := w.label("345ml")
	w.pass(11 * time.Minute)
	for range 6 {
		w.brew("345ml")
	}
	w.want(w.tap(bar1, tasteTap(first+1, request.Weak)), kitchen.Refuse) // above three
	list := w.kitchen().History.Weighed["rhubarb gin"]
	if len(list) != 3 || list[2].Batch != first+6 {
		t.Fatalf("%d results are kept: %+v", len(list), list)
	}
	k := w.kitchen()
	for i := range 60 {
		k.History.Weighed[fmt.Sprintf("recipe %02d", i)] = list
	}
	w.fields = k.Encode()
	w.brew("345ml")
	kept := w.kitchen().History.Weighed
	if _, latest := kept["rhubarb gin"]; len(kept) != 40 || !latest {
		t.Errorf("results of %d recipes are kept, the latest among them: %v", len(kept), latest)
	}
}

// A kitchen is read and written as a whole, whatever it has learned.
func TestFortyLearnedRecipesAndFourOpenBatchesStayUnderTenKilobytes(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	k := w.kitchen()
	k.History.V, k.History.Weighed, k.History.Shelf = 1, map[string][]kitchen.Weighing{}, map[string][]uint32{}
	made := uint32(w.now.Unix() / 86400)
	for i := range 40 {
		title := fmt.Sprintf("pink peppercorn gin %02d", i) // as long as they come
		for n := range 3 {
			k.History.Weighed[title] = append(k.History.Weighed[title], kitchen.Weighing{
				In: 950_500, Solids: 142_500, Out: 812_500, Batch: uint32(20_000 + 3*i + n), Made: made - uint32(n), Meant: 300, Rest: 345, Contact: 640,
				Taste: request.Strong, Solid: request.GoodAgain,
			})
		}
		if i < kitchen.ShelfAtMost {
			k.History.Shelf[title] = []uint32{made + 14}
		}
	}
	w.fields = k.Encode()
	for range 12 { // as many starts as are remembered
		w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
		w.want(w.say(bar1, "scrap A"), kitchen.Done)
		w.now = w.now.Add(24 * time.Hour)
		w.ring()
	}
	w.fourOpen()
	if got := w.kitchen().History; len(got.Weighed) != 40 || len(got.Shelf) != kitchen.ShelfAtMost || len(got.Starts) != 6 {
		t.Fatalf("remembered of %d recipes, %d jars, %d starts", len(got.Weighed), len(got.Shelf), len(got.Starts))
	}
	size := 0
	for name, body := range w.fields {
		size += len(name) + len(body)
	}
	if size > 10<<10 {
		t.Errorf("they take %d bytes, want under 10 KB", size)
	}
	t.Logf("they take %d bytes", size)
}

func TestWhatNothingWasToldOfGoesFirst(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	for i := range 7 {
		yield := ""
		if i < 3 {
			yield = "340ml"
		}
		w.brew(yield)
	}
	list := w.kitchen().History.Weighed["rhubarb gin"]
	measured := slices.DeleteFunc(slices.Clone(list), func(x kitchen.Weighing) bool { return x.Out == 0 })
	if len(list) != 5 || len(measured) != 3 {
		t.Errorf("of %d results %d are measured, want 5 and 3", len(list), len(measured))
	}
}
