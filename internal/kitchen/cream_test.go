package kitchen_test

import (
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// creamed is a kitchen with coffee cream kept charged in A.
func creamed(t testing.TB) *world {
	w := newWorld(t)
	w.want(w.say(bar1, "cream A 2 chargers coffee cream"), kitchen.Done)
	return w
}

func (w *world) creams(n int) []kitchen.Cream {
	w.t.Helper()
	list := w.kitchen().Creams()
	if len(list) != n {
		w.t.Fatalf("%d vessels of cream are under pressure, want %d", len(list), n)
	}
	return list
}

func TestCreamHoldsItsVesselUntilItIsEmptied(t *testing.T) {
	t.Parallel()
	w := creamed(t)
	c := w.creams(1)[0]
	if c.Vessel != "A" || c.By != bar1 || c.Charged != 2 || c.Of != 2 || c.Title != "coffee cream" || c.Until.Sub(c.Since) != 48*time.Hour {
		t.Errorf("cream is %+v", c)
	}
	if state, b := w.kitchen().Look("A"); state != kitchen.VesselPressurised || b != nil {
		t.Errorf("A is %s with %v", state, b)
	}
	a := w.wantCode(w.say(bar2, "start rhubarb gin 400ml in A"), kitchen.Refuse, kitchen.RefuseCream)
	if a.Who != bar1 || a.At != c.Since {
		t.Errorf("the refusal names %s since %s", a.Who.Name, a.At.Time())
	}
	for _, line := range []string{"washed A", "scrap A", "undo A"} {
		w.want(w.say(bar2, line), kitchen.Refuse)
		w.creams(1)
	}
	w.want(w.say(bar2, "start rhubarb gin 400ml"), kitchen.Done)
	if w.in("B") == nil {
		t.Error("the next free vessel was not taken")
	}
	w.want(w.say(bar2, "cream emptied A"), kitchen.Done)
	w.creams(0)
	if state, _ := w.kitchen().Look("A"); state != kitchen.VesselDirty {
		t.Errorf("A is %s, want dirty", state)
	}
}

// What is said of an empty vessel is said of cream like of a batch.
func TestVentedSaysThatCreamIsEmptied(t *testing.T) {
	t.Parallel()
	w := creamed(t)
	w.want(w.say(bar1, "emptied A"), kitchen.Done)
	w.creams(0)
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	w.creams(1)
	w.want(w.say(bar1, "vented the coffee cream"), kitchen.Done)
	w.creams(0)
	w.want(w.say(bar1, "deep washed A"), kitchen.Done)
	w.wantCode(w.say(bar1, "undo A"), kitchen.Refuse, kitchen.RefuseUndoUsed)
	w.pass(11 * time.Minute)
	if n := len(w.kitchen().Kept); n != 0 {
		t.Errorf("%d vessels of cream are remembered", n)
	}
}

// The 48 hours are the house's rule after FDA Food Code 3-502.12(F), whose clause is
// from memory.
func TestCreamIsCalledBeforeAndAtItsEndByAGrowingCircle(t *testing.T) {
	t.Parallel()
	w := creamed(t)
	w.say(larder, "start rhubarb gin 400ml in B") // somebody else is there
	w.say(larder, "scrap B")
	w.pass(45 * time.Hour)
	before := len(w.calls(kitchen.CreamCall))
	if before != 0 {
		t.Fatalf("%d calls before the last two hours", before)
	}
	w.pass(70 * time.Minute)
	if n := w.lanes["@"+bar1.ID]; len(w.calls(kitchen.CreamCall)) != 1 || n == 0 {
		t.Fatalf("ahead of its end: %v, %d to the owner", w.calls(kitchen.CreamCall), n)
	}
	w.pass(2 * time.Hour)
	k := w.kitchen()
	c := k.Kept[0]
	circle := func(rung uint8) int { return len(k.CreamCircle(&c, rung)) }
	if circle(1) != 1 || circle(2) <= circle(1) || circle(3) < circle(2) {
		t.Errorf("the circle is %d, %d, %d", circle(1), circle(2), circle(3))
	}
	calls := len(w.calls(kitchen.CreamCall))
	w.pass(3 * time.Hour)
	if len(w.calls(kitchen.CreamCall)) <= calls {
		t.Error("it is not called again")
	}
	w.pass(20 * 24 * time.Hour)
	if w.kitchen().Next() == 0 {
		t.Fatal("cream under pressure has no due moment")
	}
}

func TestCreamAboveTheLimitIsCountedAndEmptiedAtOnce(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a := w.wantCode(w.say(bar1, "cream D 2 chargers coffee cream"), kitchen.Ask, kitchen.AskCreamOver) // D takes one
	w.creams(0)
	w.choose(bar1, a)
	if c := w.creams(1)[0]; c.Charged != 2 || c.Until != kitchen.At(w.now) {
		t.Errorf("cream is %+v", c)
	}
	if len(w.calls(kitchen.CreamCall)) == 0 {
		t.Error("nobody is called")
	}
	w.say(bar2, "cream A 2 chargers")
	w.want(w.say(bar2, "charged A"), kitchen.Done)
	for _, c := range w.creams(2) {
		if c.Vessel == "A" && (c.Charged != 3 || c.Until > kitchen.At(w.now)) {
			t.Errorf("A is %+v", c)
		}
	}
}

func TestCreamIsAskedAboutWhereItsVesselIsNotReady(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.wantCode(w.say(bar1, "cream A coffee cream"), kitchen.Ask, kitchen.AskCreamMany)
	w.wantCode(w.say(bar1, "cream A 600ml 2 chargers coffee cream"), kitchen.Ask, kitchen.AskCreamLine)
	w.say(bar1, "start rhubarb gin 400ml in B")
	w.wantCode(w.say(bar1, "cream B 1 charger"), kitchen.Refuse, kitchen.RefuseOccupied)
	w.say(bar1, "cream A 1 charger")
	w.say(bar1, "emptied A")
	a := w.wantCode(w.say(bar1, "cream A 1 charger"), kitchen.Ask, kitchen.AskCreamDirty)
	w.want(w.choose(bar1, a), kitchen.Done)
	if c := w.creams(1)[0]; c.Until.Sub(c.Since) != 48*time.Hour {
		t.Errorf("washed and filled again it is kept for %s", c.Until.Sub(c.Since))
	}
	w.creams(1)
	w.want(w.say(bar2, "take A"), kitchen.Done)
	if c := w.creams(1)[0]; c.By != bar2 {
		t.Errorf("it is with %s", c.By.Name)
	}
}

func TestCreamTakesItsChargersOutOfTheBox(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "counted 10 chargers")
	w.say(bar1, "cream A 2 chargers")
	w.full(8)
	w.say(bar1, "no gas A")
	w.full(8)
	if s := w.kitchen().Stock.Spent; s.Cream != 1 || s.Duds != 1 {
		t.Errorf("spent is %+v", s)
	}
	a := w.want(w.say(bar2, "done"), kitchen.Unread)
	if a.Problem.Code != request.NothingDue {
		t.Errorf("done says %+v", a.Problem)
	}
}

// fixtureStock is what version 1 stored of the charger count and of cream.
const fixtureStock = "testdata/kitchen.v1.stock.json"

// What was stored of the charger count and of cream is read for ever, and what was
// stored before there were any holds none.
func TestTheStoredFormOfTheChargerCountIsRead(t *testing.T) {
	t.Parallel()
	if *fixtures {
		w := newWorld(t)
		w.say(lead, "counted 40 chargers")
		w.say(bar1, "cream A 2 chargers coffee cream")
		w.say(bar1, "3 chargers for foam")
		w.say(bar2, "start rhubarb gin 400ml in B")
		w.say(bar2, "charged B")
		w.say(bar2, "no gas B")
		w.say(bar2, "rhubarb gin 400ml for 22:00")
		w.say(larder, "got 24 chargers")
		w.say(larder, "counted 7 shells")
		writeFixture(t, fixtureStock, w.fields)
	}
	k, err := kitchen.Decode("main", readFixture(t, fixtureStock))
	if err != nil {
		t.Fatal(err)
	}
	want := kitchen.Spent{Duds: 1, Foam: 3, Cream: 2}
	if s := k.Stock; s.Full() != 58 || s.Got != 24 || s.Spent != want || s.Shells.Off() != 1 || len(s.Wishes) != 1 || s.Order.At == 0 {
		t.Errorf("the count reads as %+v", s)
	}
	if c := k.CreamIn("A"); c == nil || c.Charged != 2 || c.By != bar1 || c.Title != "coffee cream" || c.CallAt == 0 {
		t.Errorf("the cream reads as %+v", c)
	}
	old, err := kitchen.Decode("main", readFixture(t, fixture))
	if err != nil || old.Stock.V != 0 || len(old.Kept) != 0 {
		t.Errorf("an older kitchen reads as %+v, %v", old, err)
	}
}
