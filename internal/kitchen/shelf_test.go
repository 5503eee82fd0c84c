package kitchen_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/fxamacker/cbor/v2"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

func (w *world) jars(line string) []kitchen.Jar {
	w.t.Helper()
	return w.want(w.say(bar1, line), kitchen.Told).Facts.Jars
}

// Rhubarb gin keeps fourteen days by the table, the day made counted.
func TestWhatWasLabelledIsToldOfOnItsLastDay(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.brew("345ml")
	w.brew("345ml")
	noon := time.Date(2026, 12, 7, 12, 0, 0, 0, time.UTC)
	want := []kitchen.Jar{{Title: "rhubarb gin", UseBy: kitchen.At(noon), N: 2}}
	if got := w.jars("what expires today"); len(got) != 0 {
		t.Errorf("on the day itself %+v", got)
	}
	if got := w.jars("use by of rhubarb gin"); len(got) != 1 || got[0].N != 1 {
		t.Errorf("beside the one of today %+v, want one more", got)
	}
	for day, tell := range map[int]bool{6: false, 7: true, 8: true, 9: true, 10: false} {
		w.now = time.Date(2026, 12, day, 9, 0, 0, 0, time.UTC)
		if got := w.jars("what expires today"); tell && !cmp.Equal(got, want) || !tell && len(got) > 0 {
			t.Errorf("on 7 December and %d days: %+v", day-7, got)
		}
	}
	w.now = time.Date(2026, 12, 1, 9, 0, 0, 0, time.UTC)
	if got := w.jars("use by of rhubarb gin"); !cmp.Equal(got, want) {
		t.Errorf("a week later %+v, want %+v", got, want)
	}
	if got := w.jars("use by of ginger gin"); len(got) != 0 {
		t.Errorf("of another recipe %+v", got)
	}
}

func TestTheJarsThatEndSoonestAreRemembered(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	k := w.kitchen()
	k.History.V, k.History.Shelf = 1, map[string][]uint32{}
	today := uint32(w.now.Unix() / 86400)
	for i := range kitchen.ShelfAtMost {
		k.History.Shelf[fmt.Sprintf("jar %02d", i)] = []uint32{today + 10 + uint32(i)}
	}
	k.History.Shelf["gone long ago"] = []uint32{today - 3}
	w.fields = k.Encode()
	w.brew("345ml")
	shelf := w.kitchen().History.Shelf
	_, farthest := shelf[fmt.Sprintf("jar %02d", kitchen.ShelfAtMost-1)]
	_, gone := shelf["gone long ago"]
	if len(shelf) != kitchen.ShelfAtMost || len(shelf["rhubarb gin"]) != 1 || farthest || gone {
		t.Errorf("the shelf holds %v", shelf)
	}
}

func TestAScrappedBatchIsNotOnTheShelf(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.label("345ml")
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	w.choose(bar1, w.say(bar1, "scrap A"))
	w.pass(11 * time.Minute)
	if shelf := w.kitchen().History.Shelf; len(shelf) != 0 {
		t.Errorf("the shelf holds %v", shelf)
	}
}

// A batch is made on a day of the house's own calendar.
func TestADayIsCountedByTheHousesOwnClock(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.now = time.Date(2026, 11, 24, 20, 0, 0, 0, time.FixedZone("west", -8*3600)) // in UTC the day after
	w.label("345ml")
	w.now = w.now.Add(undone)
	w.ring()
	a := w.want(w.say(bar1, "start rhubarb gin 400ml in B"), kitchen.Done)
	if got := a.Last[0].Made.Format(time.DateOnly); got != "2026-11-24" {
		t.Errorf("made on %s", got)
	}
}

func TestAWeighingIsKeptAsItIs(t *testing.T) {
	t.Parallel()
	figure := rapid.Uint32()
	taste := rapid.SampledFrom([]request.Verdict{"", request.Weak, request.Right, request.Strong})
	solids := rapid.SampledFrom([]request.Verdict{"", request.Spent, request.GoodAgain})
	rapid.Check(t, func(t *rapid.T) {
		in := kitchen.Weighing{
			In: quantity.Volume(figure.Draw(t, "in")), Solids: quantity.Mass(figure.Draw(t, "solids")), Out: quantity.Volume(figure.Draw(t, "out")),
			Drained: quantity.Mass(figure.Draw(t, "drained")), Batch: figure.Draw(t, "batch"), Made: figure.Draw(t, "made"),
			Meant: figure.Draw(t, "meant"), Rest: figure.Draw(t, "rest"), Contact: figure.Draw(t, "contact"),
			Taste: taste.Draw(t, "taste"), Solid: solids.Draw(t, "solid"),
		}
		body, err := cbor.Marshal(in)
		if err != nil {
			t.Fatal(err)
		}
		var out kitchen.Weighing
		if err := cbor.Unmarshal(body, &out); err != nil || out != in {
			t.Fatalf("%+v comes back as %+v, %v", in, out, err)
		}
	})
	for _, body := range [][]byte{{0xff}, {0, 0, 0, 0, 0, 0, 0, 0, 36}} {
		if err := new(kitchen.Weighing).UnmarshalBinary(body); err == nil {
			t.Errorf("%v reads as a weighing", body)
		}
	}
}

// What was stored before weighings were packed is still read.
func TestAWeighingOfBeforeIsRead(t *testing.T) {
	t.Parallel()
	body, err := cbor.Marshal(map[string]any{"i": 400_000, "s": 80_000, "o": 345_000, "b": 7, "t": "weak"})
	if err != nil {
		t.Fatal(err)
	}
	var got kitchen.Weighing
	want := kitchen.Weighing{In: 400_000, Solids: 80_000, Out: 345_000, Batch: 7, Taste: request.Weak}
	if err := cbor.Unmarshal(body, &got); err != nil || got != want {
		t.Errorf("%+v, %v, want %+v", got, err, want)
	}
}

func TestOneLineKeepsTasteAmountAndSolids(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	id := w.label("")
	a := w.want(w.say(bar1, "A strong, 340ml, spent"), kitchen.Done)
	if a.Verdict != request.Strong || a.Also != request.Spent || a.Volume != 340*quantity.Millilitre || len(a.Choices) != 0 {
		t.Errorf("the answer is %+v", a)
	}
	if b := w.kitchen().Batches[id]; b.Yield != 340*quantity.Millilitre {
		t.Errorf("the batch gave %v", b.Yield)
	}
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	w.want(w.say(bar1, "labelled A"), kitchen.Done)
	w.pass(11 * time.Minute)
	got, _ := w.kitchen().History.Tasted(id)
	if got.Out != 340*quantity.Millilitre || got.Taste != request.Strong || got.Solid != request.Spent {
		t.Errorf("remembered is %+v", got)
	}
	w.want(w.say(bar1, "A right 335ml"), kitchen.Done)
	if got, _ := w.kitchen().History.Tasted(id); got.Out != 335*quantity.Millilitre || got.Taste != request.Right || got.Solid != request.Spent {
		t.Errorf("corrected it is %+v", got)
	}
}

func TestAYieldToldAfterTheBatchLeftIsRemembered(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	id := w.label("")
	w.pass(11 * time.Minute)
	if a := w.want(w.say(bar1, "strained A 345"), kitchen.Done); a.Verb != request.Taste || a.Volume != 345*quantity.Millilitre {
		t.Errorf("the answer is %+v", a)
	}
	if got, _ := w.kitchen().History.Tasted(id); got.Out != 345*quantity.Millilitre {
		t.Errorf("remembered is %+v", got)
	}
	w.wantCode(w.say(bar1, "strained A 400"), kitchen.Refuse, kitchen.RefuseNothing)
	w.wantCode(w.say(bar1, "strained B 400"), kitchen.Refuse, kitchen.RefuseNothing)
}
