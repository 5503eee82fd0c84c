package kitchen_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
)

// elsewhere gives the sample book of a house in another place.
func elsewhere(country, state string) *book.Book {
	b := *book.Sample()
	b.House.Country, b.House.State = country, state
	return &b
}

// What stands on a label. Sources: Regulation (EU) 1169/2011, art. 9 (name, ingredients,
// allergens, quantity, date, storage, strength above 1.2 %) and art. 21 with annex II
// (emphasised, by the law's word), from memory; the day made, the spirit, the last day:
// Illinois 235 ILCS 5/6-22.5; contains alcohol, title, maker, all ingredients: Alabama
// Code 28-3A-20.3.
func TestALabelHoldsWhatTheLawsAskFor(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.base = elsewhere("BE", "")
	w.say(bar1, "lot H4 hazelnut")
	w.say(bar1, "start hazelnut brandy 400ml in A")
	b := w.through("A")
	w.say(bar2, "strained A 345ml")
	l := w.in("A").Label()
	if l.Code == "" || l.Title != "hazelnut brandy" || l.Made.By != bar1 || l.Strained == nil || l.UseBy == 0 || l.Storage == "" || !l.Alcohol {
		t.Errorf("the label is %+v", l)
	}
	if l.ABVLow <= 1.2 || l.ABVHigh < l.ABVLow || l.Yield == 0 {
		t.Errorf("the strength is %v to %v, of %v", l.ABVLow, l.ABVHigh, l.Yield)
	}
	want := []kitchen.Ingredient{{Name: b.Base}, {Name: "hazelnut", Lot: "H4", Allergens: []string{"nuts"}}}
	if diff := cmp.Diff(want, l.Ingredients); diff != "" {
		t.Errorf("ingredients (-want +got):\n%s", diff)
	}
	if len(l.Contains.Listed) != 1 || l.Contains.Listed[0].Word != "nuts" || !slices.Equal(l.Contains.Listed[0].From, []string{"hazelnut"}) || !l.Contains.Emphasised {
		t.Errorf("it contains %+v", l.Contains)
	}
	if l.Plain {
		t.Error("no law of Belgium that is known here wants a plain container")
	}
}

// The nine of the US: FDA, after the FASTER Act of 2021. Tree nuts, and which. Nothing
// is refilled into a branded bottle: 26 USC 5301(c).
func TestALabelFollowsTheLawOfThePlace(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		country, state, word string
		plain, full, nine    bool
	}{
		{"BE", "", "nuts", false, false, false},
		{"GB", "", "nuts", false, true, false},
		{"US", "IL", "tree nuts", true, false, true},
	} {
		w := newWorld(t)
		w.base = elsewhere(x.country, x.state)
		w.say(bar1, "start hazelnut brandy 400ml in A")
		l := w.in("A").Label()
		if l.Contains.Listed[0].Word != x.word || l.Plain != x.plain || l.Full != x.full || l.Contains.Emphasised == x.nine {
			t.Errorf("in %s %s the label is %+v", x.country, x.state, l)
		}
	}
}

func TestABatchOfWhichNoLawIsKnownHasTheStrictestLabel(t *testing.T) {
	t.Parallel()
	b := &kitchen.Batch{}
	b.Title, b.Allergens = "old batch", []string{"nuts", "celery"}
	l := b.Label()
	if !l.Plain || len(l.Contains.Listed) != 2 || !l.Contains.Emphasised {
		t.Errorf("the label is %+v", l)
	}
}

func TestWhatThePiecesHoldIsNotGivenAFigure(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start gin-soaked melon 250ml in A")
	l := w.in("A").Label()
	if !l.Alcohol || l.ABVHigh != 0 || l.Product != book.SolidKept {
		t.Errorf("the label of soaked fruit is %+v", l)
	}
}

// What a recipe is cleared with is an ingredient, and stays on the label: straining
// takes no allergen out (common practice, no source).
func TestWhatTheVesselCarriedMayBeInTheNextBatch(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start hazelnut brandy 400ml in A")
	w.through("A")
	b := w.in("A")
	b.Carried.May = 1 << 7 // as if it was filled over what the vessel carried
	if may := b.Label().May; len(may.Listed) != 1 || may.Listed[0].Key != "nuts" {
		t.Errorf("it may contain %+v, want nuts", may)
	}
}

func TestOnlyWhatStandsWithoutALabelAtCloseIsShortened(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		name string
		days int
		want string
	}{
		{"by the rule of every house", 0, "2026-11-25"},
		{"by the book", 3, "2026-11-27"},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.base = elsewhere("BE", "")
			w.base.House.UnlabelledDays = x.days
			w.say(bar1, "start rhubarb gin 400ml in A")
			w.through("A")
			w.say(bar1, "start bay vodka 400ml in B")
			w.through("B")
			w.want(w.say(bar1, "labelled B"), kitchen.Done)
			before := w.in("B").UseBy
			w.sign()
			a := w.in("A")
			if got := a.UseBy.Time().Format(time.DateOnly); got != x.want || !a.Label().Shortened {
				t.Errorf("without a label it is used until %s, want %s: %+v", got, x.want, a.Label())
			}
			if b := w.in("B"); b.UseBy != before || b.Label().Shortened {
				t.Errorf("with a label it is used until %v, was %v", b.UseBy.Time(), before.Time())
			}
		})
	}
}

// sign closes the day with a reason for whatever is open.
func (w *world) sign() {
	w.t.Helper()
	w.say(lead, "closing")
	a := w.say(lead, "sign")
	if a.Kind == kitchen.OpenForm {
		a = w.fill(lead, a.Form, a.Line, map[string]string{kitchen.FieldReason: "late night"})
	}
	w.want(a, kitchen.Done)
}
