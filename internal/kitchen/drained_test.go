package kitchen_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

const melon = "gin-soaked melon"

// soak starts soaked fruit in A and has it resting.
func (w *world) soak() uint32 {
	w.t.Helper()
	id := w.want(w.say(bar1, "start "+melon+" 250ml in A"), kitchen.Done).Batch
	for range w.in("A").Chargers {
		w.want(w.say(bar1, "charged A"), kitchen.Done)
		w.pass(10 * time.Second)
	}
	return id
}

// soaked has it vented and waiting to be drained.
func (w *world) soaked() uint32 {
	w.t.Helper()
	id := w.soak()
	w.pass(15*time.Minute + 10*time.Second)
	w.wantPhase("A", kitchen.Venting)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.pass(time.Minute)
	w.wantPhase("A", kitchen.Straining)
	return id
}

// drained is a kitchen that keeps what was drained in all its records.
func drained(t testing.TB) *world {
	w := newWorld(t)
	w.soaked()
	w.want(w.say(bar1, "drained A 210 g"), kitchen.Done)
	w.want(w.say(bar1, "labelled A"), kitchen.Done)
	w.want(w.say(bar1, "washed A"), kitchen.Done)
	w.pass(11 * time.Minute)
	w.soaked()
	w.want(w.say(bar1, "drained A 220 g 180ml"), kitchen.Done)
	return w
}

// logged gives a detail of the latest event of its kind in the log.
func (w *world) logged(event, key string) string {
	w.t.Helper()
	for _, l := range slices.Backward(w.log) {
		if l.Event == event {
			return l.Details[key]
		}
	}
	w.t.Fatalf("nothing was %s", event)
	return ""
}

func TestABatchOfPiecesKnowsItFromItsStart(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start "+melon+" 250ml in A")
	b := w.in("A")
	if b.Product != book.SolidKept || b.Vent != book.SlowVent || b.About != 0 || b.AboutDrained != 240*quantity.Gram {
		t.Errorf("it is %s, %s, about %v and %v", b.Product, b.Vent, b.About, b.AboutDrained)
	}
	w.say(bar1, "start rhubarb gin 400ml in B")
	if b := w.in("B"); b.KeepsSolid() || b.VentsSlowly() || b.AboutDrained != 0 {
		t.Errorf("a liquid is %s, %s, %v", b.Product, b.Vent, b.AboutDrained)
	}
}

// What is soaked goes from its start to its label in grams.
func TestSoakedFruitIsDrainedWeighedAndLabelled(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	id := w.soaked()
	if a := w.say(bar2, "what needs draining"); !slices.Equal(a.Batches, []uint32{id}) {
		t.Errorf("what needs draining is %v", a.Batches)
	}
	a := w.want(w.say(bar1, "drained A 220 g"), kitchen.Done)
	if a.Verb != request.Strained || a.Product != book.SolidKept {
		t.Errorf("the answer is %+v", a)
	}
	b := w.wantPhase("A", kitchen.Labelling)
	if b.Drained != 220*quantity.Gram || b.Yield != 0 || !b.Measured() {
		t.Errorf("drained %v beside %v", b.Drained, b.Yield)
	}
	if got := w.logged("strained", "drained"); got != "220 g" {
		t.Errorf("the log has %q", got)
	}
	w.want(w.say(bar1, "labelled A"), kitchen.Done)
	f := w.kitchen().Today(w.now)
	if len(f) != 1 || f[0].Drained != 220*quantity.Gram || f[0].Product != book.SolidKept || f[0].Yield != 0 {
		t.Errorf("today has %+v", f)
	}
	if f := w.say(bar2, "strength of A").Facts; f.Product != book.SolidKept || f.ABVHigh == 0 {
		t.Errorf("its strength is told by %+v", f)
	}
	w.pass(11 * time.Minute)
	got, err := kitchen.DecodeBatch(w.stored[len(w.stored)-1].Body)
	if err != nil || got.ID != id || got.Drained != 220*quantity.Gram || !got.KeepsSolid() {
		t.Errorf("the record holds %+v, %v", got, err)
	}
	want := kitchen.Weighing{
		In: 250 * quantity.Millilitre, Solids: 200 * quantity.Gram, Drained: 220 * quantity.Gram, Batch: id,
		Made: uint32(six.Unix() / 86400), Meant: 900, Rest: 910, Contact: 990,
	}
	result, _ := w.kitchen().History.Tasted(id)
	if diff := cmp.Diff(want, result); diff != "" {
		t.Errorf("remembered (-want +got):\n%s", diff)
	}
	last := w.want(w.say(bar1, "again"), kitchen.Done).Last
	if len(last) != 1 || last[0].Drained != 220*quantity.Gram || last[0].Out != 0 {
		t.Errorf("the next start is told of %+v", last)
	}
}

func TestTheLiquidBesidePiecesIsKeptOnlyIfSaid(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	id := w.soaked()
	w.want(w.say(bar1, "drained A 180ml"), kitchen.Done)
	if b := w.in("A"); b.Measured() || b.Yield != 180*quantity.Millilitre {
		t.Errorf("drained %v beside %v", b.Drained, b.Yield)
	}
	w.want(w.say(bar1, "drained A 220"), kitchen.Done) // a number alone is of grams
	if b := w.in("A"); b.Drained != 220*quantity.Gram || b.Yield != 180*quantity.Millilitre {
		t.Errorf("drained %v beside %v", b.Drained, b.Yield)
	}
	if got := w.logged("measured", "drained") + ", " + w.logged("measured", "yield"); got != "220 g, 180 ml" {
		t.Errorf("the log has %q", got)
	}
	w.want(w.say(bar1, "drained A 300 g"), kitchen.Already)
	w.want(w.say(bar1, "labelled A"), kitchen.Done)
	w.pass(11 * time.Minute)
	if got, _ := w.kitchen().History.Tasted(id); got.Out != 0 || got.Drained != 220*quantity.Gram {
		t.Errorf("the liquid beside it is learned from: %+v", got)
	}
}

func TestWhatWasDrainedIsTakenBack(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.soaked()
	w.say(bar1, "drained A 220 g")
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	if b := w.wantPhase("A", kitchen.Straining); b.Drained != 0 || b.Strained != nil {
		t.Errorf("after the undo %v is drained", b.Drained)
	}
}

// Grams are not a liquid's: they mean another vessel or nothing.
func TestALiquidIsNotWeighed(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(3 * time.Minute)
	w.say(bar1, "vented A")
	if a := w.say(bar1, "drained A 220 g"); a.Kind != kitchen.Unread || a.Problem.Code != request.BadNumber {
		t.Errorf("the answer is %+v", a)
	}
	w.want(w.say(bar1, "strained A 330"), kitchen.Done)
	if b := w.in("A"); b.Yield != 330*quantity.Millilitre || b.Drained != 0 {
		t.Errorf("strained %v and %v", b.Yield, b.Drained)
	}
}

// Three weighings of the house's own beat the table, in grams for grams.
func TestThreeWeighingsSetWhatIsExpectedDrained(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	for range 3 {
		w.soaked()
		w.want(w.say(bar1, "drained A 210 g"), kitchen.Done)
		w.want(w.say(bar1, "labelled A"), kitchen.Done)
		w.want(w.say(bar1, "washed A"), kitchen.Done)
		w.pass(11 * time.Minute)
	}
	w.say(bar1, "start "+melon+" 125ml in A")
	b := w.in("A")
	if want := b.Solids[0].Mass * 210 / 200; b.AboutDrained != want {
		t.Errorf("about %v is expected of %v, want %v", b.AboutDrained, b.Solids[0].Mass, want)
	}
}

func TestABatchOfPiecesIsFiguredAsItWasStarted(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.soak()
	a := w.want(w.say(bar1, "why A"), kitchen.Figured)
	if a.Why.Product != book.SolidKept || a.Why.Vent != book.SlowVent || a.Why.Figures.Drained == 0 {
		t.Errorf("the figures are %+v", a.Why.Figures)
	}
	if !strings.EqualFold(a.Why.Title, melon) {
		t.Errorf("they are of %s", a.Why.Title)
	}
}
