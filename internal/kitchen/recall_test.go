package kitchen_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
)

// lotWorld is a kitchen in which lot 7 of gin went into three batches: one rests
// under gas in A, one was labelled today, one left three days ago.
type lotWorld struct {
	*world
	gas, today, old *kitchen.Batch
	records         []*kitchen.Batch // what left, as the ledger has it
}

func newLotWorld(t *testing.T) *lotWorld {
	w := &lotWorld{world: newWorld(t)}
	w.want(w.say(bar2, "lot 7 gin"), kitchen.Done)
	w.make("A")
	w.pass(time.Hour)
	w.old = w.left()
	w.pass(70 * time.Hour)
	w.make("A")
	w.today = w.in("A")
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	w.pass(40 * time.Second)
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	for _, b := range w.kitchen().Open() {
		if b.Gas() > 0 {
			w.gas = b
		}
	}
	return w
}

// make makes a batch in a vessel from the start to the label.
func (w *lotWorld) make(tag string) {
	w.t.Helper()
	for _, line := range []string{"start rhubarb gin 400ml in " + tag, "charged " + tag, "charged " + tag} {
		w.want(w.say(bar1, line), kitchen.Done)
		w.pass(40 * time.Second)
	}
	w.pass(5 * time.Minute)
	w.want(w.say(bar1, "vented "+tag), kitchen.Done)
	w.pass(4 * time.Minute)
	w.want(w.say(bar1, "strained "+tag+" 345ml"), kitchen.Done)
	w.want(w.say(bar1, "labelled "+tag), kitchen.Done)
	w.want(w.say(bar1, "washed "+tag), kitchen.Done)
}

// left gives the latest batch that left the kitchen.
func (w *lotWorld) left() *kitchen.Batch {
	w.t.Helper()
	if len(w.stored) == 0 {
		w.t.Fatal("nothing left the kitchen")
	}
	b, err := kitchen.DecodeBatch(w.stored[len(w.stored)-1].Body)
	if err != nil {
		w.t.Fatal(err)
	}
	w.records = append(w.records, b)
	return b
}

// asks says a line, and again with the records when they are lacking, as the desk does.
func (w *lotWorld) asks(p kitchen.Person, line string) kitchen.Answer {
	w.t.Helper()
	return w.lacking(kitchen.Command{Text: line, By: p})
}

func (w *lotWorld) taps(p kitchen.Person, line, with string) kitchen.Answer {
	w.t.Helper()
	return w.lacking(kitchen.Command{Tap: &kitchen.Tap{Line: line, With: with}, By: p})
}

func (w *lotWorld) lacking(cmd kitchen.Command) kitchen.Answer {
	w.t.Helper()
	a := w.command(cmd)
	if a.Lacks == nil {
		return a
	}
	cmd.Records = []*kitchen.Batch{}
	for _, b := range w.records {
		if a.Lacks.Has(b, w.now) {
			cmd.Records = append(cmd.Records, b)
		}
	}
	return w.command(cmd)
}

func (w *lotWorld) recall() kitchen.Recall {
	w.t.Helper()
	r, known := w.kitchen().RecallOf(1)
	if !known {
		w.t.Fatal("nothing is taken back")
	}
	return r
}

// begin takes lot 7 back.
func (w *lotWorld) begin() {
	w.t.Helper()
	a := w.wantCode(w.asks(bar1, "recall lot 7: glass in a bottle"), kitchen.Ask, kitchen.AskRecall)
	if a.N != 3 {
		w.t.Fatalf("%d batches are asked about, want 3", a.N)
	}
	w.want(w.taps(bar1, a.Choices[0].Tap.Line, a.Choices[0].Tap.With), kitchen.Done)
}

func TestARecallFindsWhatIsOpenOnTheShelfAndLongGone(t *testing.T) {
	t.Parallel()
	w := newLotWorld(t)
	w.begin()
	r := w.recall()
	var ids []uint32
	for _, x := range r.Items {
		ids = append(ids, x.Batch)
	}
	slices.Sort(ids)
	if diff := cmp.Diff([]uint32{w.old.ID, w.today.ID, w.gas.ID}, ids); diff != "" {
		t.Errorf("taken back (-want +got):\n%s", diff)
	}
	if r.Why != "glass in a bottle" || r.By.ID != bar1.ID || r.Lot != "7" {
		t.Errorf("recall is %+v", r)
	}
	if got := w.calls(kitchen.RecallCall); len(got) != 1 || w.out[got[0]].Lane != team.Channel || !w.out[got[0]].Urgent {
		t.Errorf("posted as %v", got)
	}
	// Said again, it is known, and nothing new is posted.
	w.want(w.asks(bar2, "recall lot 7"), kitchen.Already)
	if got := w.calls(kitchen.RecallCall); len(got) != 1 {
		t.Errorf("posted as %v", got)
	}
}

func TestALotThatWasTakenBackIsNotOpenedAgain(t *testing.T) {
	t.Parallel()
	w := newLotWorld(t)
	w.begin()
	if open := w.kitchen().Lots.Open; len(open) != 0 {
		t.Errorf("still in use: %v", open)
	}
	w.wantCode(w.say(bar2, "lot 7 gin"), kitchen.Refuse, kitchen.RefuseBadLot)
	w.want(w.say(bar2, "lot 8 gin"), kitchen.Done)
	w.want(w.say(bar2, "start rhubarb gin 400ml in B"), kitchen.Done)
	if b := w.in("B"); b.Lots["gin"] != "8" || w.kitchen().TakenBack(b) {
		t.Errorf("the new batch is of lots %v, taken back: %t", b.Lots, w.kitchen().TakenBack(b))
	}
}

func TestALotOfWhichNothingWasMadeIsOnlySetAside(t *testing.T) {
	t.Parallel()
	w := &lotWorld{world: newWorld(t)}
	w.wantCode(w.asks(bar1, "recall lot 7"), kitchen.Refuse, kitchen.RefuseUntraced)
	w.want(w.say(bar2, "lot 7 gin"), kitchen.Done)
	a := w.wantCode(w.asks(bar1, "recall lot 7"), kitchen.Ask, kitchen.AskRecall)
	w.want(w.taps(bar1, a.Choices[0].Tap.Line, a.Choices[0].Tap.With), kitchen.Done)
	if r := w.recall(); len(r.Items) != 0 || r.CallAt != 0 {
		t.Errorf("recall is %+v", r)
	}
	w.wantCode(w.say(bar2, "lot 7 gin"), kitchen.Refuse, kitchen.RefuseBadLot)
}

// Nobody answers: more people are called each time, nobody who is off shift, and
// the managers whether they are on shift or not.
func TestARecallCallsAGrowingCircle(t *testing.T) {
	t.Parallel()
	w := newLotWorld(t)
	w.want(w.say(bar2, "on shift"), kitchen.Done)
	w.want(w.say(larder, "on shift"), kitchen.Done)
	w.want(w.say(larder, "off shift"), kitchen.Done)
	w.begin()
	w.pass(4 * time.Hour)
	k := w.kitchen()
	names := func(rung uint8) (list []string) {
		for _, p := range k.RecallCircle(w.recall(), rung, w.now) {
			list = append(list, p.Name)
		}
		slices.Sort(list)
		return list
	}
	want := [][]string{{"bar-1"}, {"bar-1", "bar-2"}, {"bar-1", "bar-2", "prep-lead"}}
	if diff := cmp.Diff(want, [][]string{names(0), names(1), names(2)}); diff != "" {
		t.Errorf("circles (-want +got):\n%s", diff)
	}
	if got := w.calls(kitchen.RecallCall); len(got) != 4 { // at once, after 15 min, 1 h and 3 h
		t.Errorf("posted as %v", got)
	}
	for rung := range uint8(3) {
		for _, p := range k.RecallCircle(kitchen.Recall{By: larder}, rung, w.now) {
			if p.ID == larder.ID {
				t.Errorf("rung %d calls larder, who is off shift", rung)
			}
		}
	}
}

func TestARecallEndsWhenEachBatchIsAccountedFor(t *testing.T) {
	t.Parallel()
	w := newLotWorld(t)
	w.begin()
	// One is stored: two people tap at once, the first counts.
	w.want(w.taps(bar2, "binned "+w.today.Code, ""), kitchen.Done)
	if a := w.want(w.taps(larder, "binned "+w.today.Code, ""), kitchen.Already); a.Who.ID != bar2.ID {
		t.Errorf("it was binned by %+v", a.Who)
	}
	// One is not found, and then it is.
	w.want(w.taps(bar2, "binned "+w.old.Code, "missing"), kitchen.Done)
	if x := w.recall().Left(); len(x) != 1 || x[0].Batch != w.gas.ID {
		t.Errorf("left: %+v", x)
	}
	w.want(w.asks(bar2, "binned "+w.old.Code), kitchen.Done)
	// One is under gas: it is vented first, gets no label, and is scrapped.
	w.wantCode(w.taps(bar2, "binned "+w.gas.Code, ""), kitchen.Refuse, kitchen.RefusePressured)
	w.pass(5 * time.Minute)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.wantCode(w.taps(bar2, "binned "+w.gas.Code, "missing"), kitchen.Refuse, kitchen.RefuseRecalled)
	w.pass(4 * time.Minute)
	w.want(w.say(bar1, "strained A"), kitchen.Done)
	w.wantCode(w.say(bar1, "labelled A"), kitchen.Refuse, kitchen.RefuseRecalled)
	a := w.want(w.taps(bar2, "binned "+w.gas.Code, ""), kitchen.Done)
	if len(a.Choices) != 0 {
		t.Errorf("offers %+v", a.Choices)
	}
	r := w.recall()
	if len(r.Left()) != 0 || r.CallAt != 0 {
		t.Fatalf("recall is %+v", r)
	}
	posted := len(w.calls(kitchen.RecallCall))
	w.pass(24 * time.Hour)
	if n := len(w.calls(kitchen.RecallCall)); n != posted {
		t.Errorf("%d calls after all was accounted for", n-posted)
	}
	for _, event := range []string{"recall", "binned", "not found"} {
		if !slices.ContainsFunc(w.log, func(l kitchen.Line) bool { return l.Event == event && l.By.ID != "" }) {
			t.Errorf("the log has no %q", event)
		}
	}
}

// A batch that is scrapped by itself is accounted for, and one that an undo brings
// back is asked for again.
func TestARecallFollowsWhatBecomesOfAnOpenBatch(t *testing.T) {
	t.Parallel()
	w := newLotWorld(t)
	w.begin()
	w.pass(5 * time.Minute)
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	w.choose(bar1, w.wantCode(w.say(bar1, "scrap A"), kitchen.Ask, kitchen.AskReallyGone))
	if n := len(w.recall().Left()); n != 2 {
		t.Errorf("%d left after the scrapping, want 2", n)
	}
	w.want(w.say(bar1, "undo A"), kitchen.Done)
	if r := w.recall(); len(r.Left()) != 3 || r.CallAt == 0 {
		t.Errorf("after the undo recall is %+v", r)
	}
}

func TestWhereALotWentTellsTheLatestFirst(t *testing.T) {
	t.Parallel()
	w := newLotWorld(t)
	a := w.want(w.asks(larder, "where did lot 7 go"), kitchen.Traced)
	var ids []uint32
	for _, b := range a.Found {
		ids = append(ids, b.ID)
	}
	if diff := cmp.Diff([]uint32{w.gas.ID, w.today.ID, w.old.ID}, ids); diff != "" {
		t.Errorf("found (-want +got):\n%s", diff)
	}
	a = w.want(w.asks(larder, w.old.Code), kitchen.Traced)
	if len(a.Found) != 1 || a.Found[0].ID != w.old.ID {
		t.Errorf("found %+v", a.Found)
	}
	w.wantCode(w.asks(larder, "where did lot 8 go"), kitchen.Refuse, kitchen.RefuseUntraced)
}

// What is in the bin is told no more to who asks what holds an allergen.
func TestWhatIsInTheBinHoldsNoAllergenAnyMore(t *testing.T) {
	t.Parallel()
	w := &lotWorld{world: newWorld(t)}
	w.want(w.say(bar2, "lot 9 brandy"), kitchen.Done)
	for _, line := range []string{"start hazelnut brandy 400ml in C", "charged C", "charged C"} {
		w.want(w.say(bar1, line), kitchen.Done)
		w.pass(40 * time.Second)
	}
	b := w.in("C")
	w.pass(10 * time.Minute)
	for _, line := range []string{"vented C", "strained C", "labelled C"} {
		a := w.say(bar1, line)
		for len(a.Choices) > 0 && a.Kind == kitchen.Ask {
			a = w.choose(bar1, a)
		}
		w.pass(15 * time.Minute)
	}
	w.pass(4 * time.Hour)
	w.left()
	nuts := func() int { return len(w.want(w.asks(larder, "what's got nuts"), kitchen.Told).Facts.Shelf) }
	w.now = w.now.Add(40 * time.Hour)
	if n := nuts(); n != 1 {
		t.Fatalf("%d on the shelf hold nuts two days on, want 1 (of %s, used by %v)", n, b.Title, w.records[0].UseBy.Time())
	}
	a := w.wantCode(w.asks(lead, "recall "+b.Code), kitchen.Ask, kitchen.AskRecall)
	w.want(w.taps(lead, a.Choices[0].Tap.Line, a.Choices[0].Tap.With), kitchen.Done)
	w.want(w.taps(lead, "binned "+b.Code, ""), kitchen.Done)
	if n := nuts(); n != 0 {
		t.Errorf("%d in the bin still hold nuts", n)
	}
}
