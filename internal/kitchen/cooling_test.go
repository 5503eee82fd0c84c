package kitchen_test

import (
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
)

// warmed is a kitchen with thyme oil, filled at 40 °C, strained out of A and kept in
// the fridge.
func warmed(t testing.TB) *world {
	w := newWorld(t)
	w.want(w.say(bar1, "start thyme oil 400ml in A"), kitchen.Done)
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	w.pass(10 * time.Minute)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.pass(6 * time.Minute)
	w.want(w.say(bar1, "strained A 380ml"), kitchen.Done)
	return w
}

// log gives the cooling log of the batch in A.
func (w *world) log1() *kitchen.Cooling {
	w.t.Helper()
	c := w.kitchen().CoolingOf(1)
	if c == nil {
		w.t.Fatal("no cooling log")
	}
	return c
}

// The limits are those of FDA Food Code 3-501.14(A): 57 °C to 21 °C within two
// hours, to 5 °C within six in all.
func TestACoolingLogCallsForItsReadingsBeforeEachLimit(t *testing.T) {
	t.Parallel()
	w := warmed(t)
	limit, by := w.log1().Limit()
	if limit != 21*quantity.Celsius || by.Time() != six.Add(2*time.Hour) {
		t.Fatalf("the first limit is %v by %v", limit, by.Time())
	}
	w.pass(six.Add(119 * time.Minute).Sub(w.now))
	if n := len(w.calls(kitchen.CoolingCall)); n != 1 {
		t.Fatalf("%d calls before the first limit, want one", n)
	}
	w.want(w.say(bar1, "cooled A 20C"), kitchen.Done)
	limit, by = w.log1().Limit()
	if limit != 5*quantity.Celsius || by.Time() != six.Add(6*time.Hour) {
		t.Fatalf("the second limit is %v by %v", limit, by.Time())
	}
	w.pass(six.Add(355 * time.Minute).Sub(w.now))
	if n := len(w.calls(kitchen.CoolingCall)); n != 2 {
		t.Fatalf("%d calls before the second limit, want two", n)
	}
	w.want(w.say(bar1, "cooled A 4C"), kitchen.Done)
	if c := w.log1(); c.Last == nil || c.Failed {
		t.Errorf("the log is %+v", c)
	}
	w.pass(4 * time.Hour)
	if n := len(w.calls(kitchen.CoolingCall)); n != 2 {
		t.Errorf("%d calls, want no more", n)
	}
}

// What was too warm at a limit keeps no last day, whatever is measured later.
func TestWhatWasNotColdInTimeKeepsNoLastDay(t *testing.T) {
	t.Parallel()
	w := warmed(t)
	if w.in("A").UseBy == 0 {
		t.Fatal("the oil has no last day to begin with")
	}
	w.pass(125 * time.Minute)
	if c := w.log1(); !c.Failed || !c.Missed || w.in("A").UseBy != 0 {
		t.Fatalf("nobody measured: %+v", c)
	}
	w.want(w.say(bar1, "cooled A 19C"), kitchen.Done)
	if c := w.log1(); !c.Failed || c.Missed || w.in("A").UseBy != 0 {
		t.Errorf("measured too late: %+v", c)
	}
	if a := w.want(w.say(bar1, "cooled A 4C"), kitchen.Done); !a.Closing.Hot.Failed {
		t.Error("a later reading mended what was too warm")
	}
	w.wantItems("cooling A", "dirty A", "chargers", "shells", "fridge")
}

// What leaves the kitchen before it is cold is followed to the end, and its jar is
// not offered once it failed.
func TestAJarIsFollowedUntilItIsCold(t *testing.T) {
	t.Parallel()
	w := warmed(t)
	w.pass(20 * time.Minute)
	w.want(w.say(bar1, "labelled A"), kitchen.Done)
	w.pass(15 * time.Minute)
	if len(w.kitchen().Batches) != 0 {
		t.Fatal("the batch is still here")
	}
	w.want(w.say(bar1, "cooled A 20C"), kitchen.Done)
	w.pass(6 * time.Hour)
	if c := w.log1(); !c.Failed {
		t.Fatalf("the log is %+v", c)
	}
	if shelf := w.kitchen().History.Shelf; len(shelf) != 0 {
		t.Errorf("on the shelf stands %v", shelf)
	}
}

// Cold-made, strong, or undone: nothing is logged.
func TestOnlyWhatIsWarmWeakAndChilledIsLogged(t *testing.T) {
	t.Parallel()
	w := charged(t)
	if c := w.kitchen().CoolingOf(1); c != nil {
		t.Errorf("gin at room temperature has the log %+v", c)
	}
	w.pass(6 * time.Minute)
	w.say(bar1, "vented A")
	w.wantCode(w.say(bar1, "cooled A 15C"), kitchen.Refuse, kitchen.RefuseNotWarm)
	a := w.want(w.say(bar1, "cooled A 60C"), kitchen.Done) // somebody warmed it
	if _, by := a.Closing.Hot.Limit(); by.Time() != w.now.Add(2*time.Hour) {
		t.Errorf("the log counts from %v", by.Time())
	}
	w = warmed(t)
	w.want(w.choose(bar1, w.say(bar1, "scrap A")), kitchen.Done)
	if c := w.kitchen().CoolingOf(1); c != nil {
		t.Errorf("what is gone has the log %+v", c)
	}
}
