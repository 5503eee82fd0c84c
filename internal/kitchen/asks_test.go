package kitchen_test

import (
	"maps"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// stored is a kitchen with a hazelnut brandy that was labelled today.
func stored(t testing.TB) *world {
	w := newWorld(t)
	w.want(w.say(bar1, "start hazelnut brandy 400ml in A"), kitchen.Done)
	w.say(bar1, "charged A")
	w.pass(40 * time.Second)
	w.say(bar1, "charged A")
	w.pass(10 * time.Minute)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.want(w.say(bar1, "strained A 350ml"), kitchen.Done)
	if a := w.say(bar1, "labelled A"); len(a.Choices) > 0 {
		w.choose(bar1, a)
	}
	w.say(bar1, "washed A")
	w.pass(undone)
	return w
}

func TestEveryQuestionIsAnsweredAndChangesNothing(t *testing.T) {
	t.Parallel()
	for line, topic := range map[string]request.Topic{
		"who has A": request.WhoHas, "how long on the gin": request.TimeLeft, "chargers left": request.ChargersFor,
		"what needs straining": request.Unstrained, "what expires today": request.Expiring, "what's got nuts": request.Allergens,
		"use by of rhubarb gin": request.UseBy, "mine": request.OwnBoard,
		"can I leave it charged overnight": request.Overnight, "how strong is rhubarb gin": request.Strength,
		"can i open A": request.MayOpen, "label of A": request.TheLabel,
	} {
		w := charged(t)
		before, lines := maps.Clone(w.fields), len(w.log)
		a := w.want(w.say(bar2, line), kitchen.Told)
		if a.Topic != topic || a.Facts == nil || a.Language != "en" {
			t.Errorf("%q is answered with %+v", line, a)
		}
		if diff := cmp.Diff(before, w.fields); diff != "" || len(w.log) != lines {
			t.Errorf("%q changed the kitchen: %s", line, diff)
		}
	}
}

func TestWhoHasAVesselIsToldAndTheOthersMayTakeIt(t *testing.T) {
	t.Parallel()
	w := charged(t)
	if a := w.say(bar1, "who has A"); len(a.Choices) != 0 || len(a.Batches) != 1 {
		t.Errorf("the owner is told %+v", a)
	}
	a := w.say(bar2, "who has A")
	if got := w.choose(bar2, a); got.Kind != kitchen.Done || got.Verb != request.Take || got.Quiet {
		t.Errorf("taking it gives %+v", got)
	}
	if b := w.in("A"); b.Owner != bar2 {
		t.Errorf("%s has A", b.Owner.Name)
	}
}

func TestChargersAreCountedAsUsedAndAsStillWanted(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.say(bar1, "start ginger gin 400ml in B")
	w.say(bar1, "charged B")
	a := w.say(bar1, "how many chargers")
	if a.Facts.Used != 3 || a.Facts.Need != 1 {
		t.Errorf("used %d, still wanted %d; want 3 and 1", a.Facts.Used, a.Facts.Need)
	}
}

func TestAllergensAreToldOfWhatIsOpenOfTodayAndOfTheBook(t *testing.T) {
	t.Parallel()
	w := stored(t)
	w.say(bar1, "start hazelnut brandy 400ml in B")
	a := w.say(bar1, "what's got nuts")
	if len(a.Batches) != 1 || len(a.Facts.Shelf) != 1 || !slices.Contains(a.Facts.Book, "hazelnut brandy") {
		t.Errorf("open %v, today %+v, book %v", a.Batches, a.Facts.Shelf, a.Facts.Book)
	}
	if slices.Contains(a.Facts.Book, "rhubarb gin") {
		t.Error("rhubarb gin is told to hold nuts")
	}
	a = w.say(bar1, "is the hazelnut one safe for nut allergy")
	if a.Title != "hazelnut brandy" || a.Allergen != "nuts" || !slices.Contains(a.Facts.Allergens, "nuts") {
		t.Errorf("of the hazelnut one: %+v %+v", a, a.Facts)
	}
}

func TestUseByIsOfTheBatchElseOfTodaysLabelElseOfTheBook(t *testing.T) {
	t.Parallel()
	w := stored(t)
	if a := w.say(bar1, "use by of hazelnut brandy"); len(a.Facts.Shelf) != 1 || a.Facts.UseBy == 0 {
		t.Errorf("labelled today: %+v", a.Facts)
	}
	if a := w.say(bar1, "use by of ginger gin"); a.Facts.Days == 0 || a.Facts.UseBy != 0 {
		t.Errorf("only in the book: %+v", a.Facts)
	}
	w.say(bar1, "start ginger gin 400ml in B")
	if a := w.say(bar1, "use by of ginger gin"); a.Facts.UseBy != w.in("B").UseBy {
		t.Errorf("open: %+v", a.Facts)
	}
}

func TestWhatNeedsStrainingIsTold(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.say(bar2, "start ginger gin 400ml in B")
	w.say(bar2, "charged B")
	w.say(bar2, "vented B")
	w.say(bar2, "strained B 300ml")
	if a := w.say(larder, "what needs straining"); len(a.Batches) != 1 || a.Vessel != "A" {
		t.Errorf("to be strained: %+v", a)
	}
}

func TestDoneTicksTheOneStepThatIsDue(t *testing.T) {
	t.Parallel()
	w := charged(t)
	if a := w.say(bar1, "done"); a.Kind != kitchen.Unread || a.Problem.Code != request.NothingDue {
		t.Fatalf("while it rests: %+v", a)
	}
	w.pass(5 * time.Minute)
	if a := w.say(bar2, "done"); a.Kind != kitchen.Unread {
		t.Fatalf("another's step: %+v", a)
	}
	if a := w.say(bar1, "ok"); a.Kind != kitchen.Unclear || w.in("A").Gas() == 0 {
		t.Fatalf("ok: %+v", a)
	}
	w.want(w.say(bar1, "done"), kitchen.Done)
	w.wantPhase("A", kitchen.Settling)
	said := w.now
	w.pass(4 * time.Minute)
	w.wantPhase("A", kitchen.Straining)
	if a := w.hear(bar1, "done", said); a.Kind != kitchen.Unread {
		t.Fatalf("said before the strain was due: %+v", a)
	}
	w.want(w.say(bar1, "hecho"), kitchen.Done)
	w.wantPhase("A", kitchen.Labelling)
}

func TestALineIsAnsweredInItsLanguageAndATapInTheHouses(t *testing.T) {
	t.Parallel()
	for line, language := range map[string]string{"who has A": "en", "quién tiene A": "es", "combien de cartouches": "fr"} {
		w := charged(t)
		if a := w.say(bar1, line); a.Language != language {
			t.Errorf("%q is answered in %q: %+v", line, a.Language, a)
		}
	}
	w := charged(t)
	if a := w.tap(bar1, kitchen.Tap{Line: "quién tiene A"}); a.Language != "" {
		t.Errorf("a tap is answered in %q", a.Language)
	}
}

func TestHelpIsAboutWhatTheSpeakerHas(t *testing.T) {
	t.Parallel()
	w := charged(t)
	if a := w.say(bar1, "help"); a.Vessel != "A" {
		t.Errorf("help is about %q", a.Vessel)
	}
	if a := w.say(bar2, "help"); a.Vessel != "" {
		t.Errorf("help for who has nothing is about %q", a.Vessel)
	}
}

func TestTroubleWithoutALetterOffersEachVesselUnderPressure(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.say(bar1, "start thyme oil 600ml in C")
	w.say(bar1, "charged C")
	a := w.want(w.say(bar2, "still hissing"), kitchen.Safety)
	if len(a.Choices) != 2 || a.Vessel != "" {
		t.Fatalf("offered %+v", a.Choices)
	}
	for _, c := range a.Choices {
		b := w.kitchen().Batches[c.Tap.Batch]
		if got := w.want(w.tap(bar2, c.Tap), kitchen.Safety); got.Batch != b.ID || got.Wrong != request.Hissing {
			t.Errorf("%q is about %+v", c.Tap.Line, got)
		}
	}
}

func TestAPauseWithoutALetterIsAboutTheSpeakersOwn(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.say(bar2, "start thyme oil 600ml in C")
	w.say(bar2, "charged C")
	for _, who := range []kitchen.Person{bar1, bar2, larder} {
		want := "A"
		if who == bar2 {
			want = "C"
		}
		if a := w.wantCode(w.say(who, "pause"), kitchen.Refuse, kitchen.RefusePause); a.Vessel != want {
			t.Errorf("%s is told of %q, want %s", who.Name, a.Vessel, want)
		}
	}
	if a := newWorld(t).say(bar1, "pause"); a.Code != kitchen.RefuseNothing {
		t.Errorf("with nothing open: %+v", a)
	}
}
