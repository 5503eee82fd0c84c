package kitchen_test

import (
	"fmt"
	"regexp"
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
)

// through takes what is in a vessel through to the strain.
func (w *world) through(tag string) *kitchen.Batch {
	w.t.Helper()
	for range w.in(tag).Chargers {
		w.want(w.say(bar1, "charged "+tag), kitchen.Done)
		w.pass(w.in(tag).Swirl)
	}
	w.pass(30 * time.Minute)
	w.want(w.say(bar1, "vented "+tag), kitchen.Done)
	w.pass(10 * time.Minute)
	w.want(w.say(bar1, "strained "+tag), kitchen.Done)
	return w.in(tag)
}

func TestALotThatIsOpenGoesOntoWhatIsStartedAfterIt(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "start pepper tequila 400ml in A")
	a := w.want(w.say(bar1, "lot 7 tequila"), kitchen.Done)
	if a.Title != "tequila" || a.Lot != "7" || !a.Private {
		t.Errorf("the answer is %+v", a)
	}
	w.say(bar2, "start pepper tequila 400ml in B")
	w.want(w.say(bar2, "lote l2231 tequila"), kitchen.Done)
	w.say(bar2, "start pepper tequila 800ml in C")
	for tag, want := range map[string]string{"A": "", "B": "7", "C": "L2231"} {
		if got := w.in(tag).Lots["tequila"]; got != want {
			t.Errorf("%s is of lot %q, want %q", tag, got, want)
		}
	}
	again := w.want(w.say(bar1, "tequila lot L2231"), kitchen.Already)
	if again.Who != bar2 {
		t.Errorf("said again, it names %+v, want who said it first", again.Who)
	}
	if got := w.in("C").Label().Ingredients[0]; got.Name != "tequila" || got.Lot != "L2231" {
		t.Errorf("its label begins with %+v", got)
	}
}

func TestABatchCodeNamesTheDayOfTheShift(t *testing.T) {
	t.Parallel()
	brussels, err := time.LoadLocation("Europe/Brussels")
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		name string
		at   time.Time
		want string
	}{
		{"in the evening", six, "261124-rhubarb-gin-a-1"},
		{"after midnight", time.Date(2026, 11, 25, 1, 30, 0, 0, time.UTC), "261124-rhubarb-gin-a-1"},
		{"in the morning", time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC), "261125-rhubarb-gin-a-1"},
		// Clocks in Brussels go from 3:00 back to 2:00 in the night to 25 October 2026 and
		// from 2:00 on to 3:00 in that to 29 March. Source: directive 2000/84/EC, art. 2
		// and 3, the last Sundays of October and March at 1:00 UTC, from memory.
		{"twice at half past two", time.Date(2026, 10, 25, 0, 30, 0, 0, time.UTC).In(brussels), "261024-rhubarb-gin-a-1"},
		{"the second time", time.Date(2026, 10, 25, 1, 30, 0, 0, time.UTC).In(brussels), "261024-rhubarb-gin-a-1"},
		{"when an hour is left out", time.Date(2026, 3, 29, 1, 0, 0, 0, time.UTC).In(brussels), "260328-rhubarb-gin-a-1"},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			w.now = x.at
			w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
			if got := w.in("A").Code; got != x.want {
				t.Errorf("the code is %q, want %q", got, x.want)
			}
		})
	}
}

func TestABatchThatGoesOnOverMidnightKeepsItsCode(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.now = time.Date(2026, 11, 24, 23, 50, 0, 0, time.UTC)
	w.say(bar1, "start rhubarb gin 400ml in A")
	before := w.in("A").Code
	b := w.through("A")
	if b.Code != before || b.Label().Code != before {
		t.Errorf("the code is %q and on the label %q, was %q", b.Code, b.Label().Code, before)
	}
	if b.Label().Strained.Done.Time().Day() != 25 {
		t.Error("the test did not go over midnight")
	}
}

// No two batches have one code, whatever is started where and when, over days.
func TestEveryBatchHasACodeOfItsOwn(t *testing.T) {
	t.Parallel()
	form := regexp.MustCompile(`^\d{6}-[a-z0-9-]+-[a-z0-9]+-\d+$`)
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(t)
		seen := map[string]uint32{}
		titles := []string{"rhubarb gin", "bay vodka", "caraway vodka"}
		for i := range rapid.IntRange(2, 8).Draw(rt, "starts") {
			w.pass(time.Duration(rapid.IntRange(0, 20*60).Draw(rt, fmt.Sprint("minutes before ", i))) * time.Minute)
			tag := rapid.SampledFrom([]string{"A", "B"}).Draw(rt, "vessel")
			line := "start " + rapid.SampledFrom(titles).Draw(rt, "recipe") + " 400ml in " + tag
			if w.say(bar1, line).Kind != kitchen.Done {
				continue
			}
			b := w.in(tag)
			if other, twice := seen[b.Code]; twice || !form.MatchString(b.Code) {
				rt.Fatalf("batch %d has the code %q, as batch %d", b.ID, b.Code, other)
			}
			seen[b.Code] = b.ID
			w.say(bar1, "undo "+tag)
		}
	})
}
