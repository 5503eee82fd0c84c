package kitchen_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
)

func TestTodayListsWhatWasFinished(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.brew("345ml")
	made, err := kitchen.DecodeBatch(w.stored[len(w.stored)-1].Body)
	if err != nil {
		t.Fatal(err)
	}
	labelled := w.log[len(w.log)-1]
	for _, line := range w.log {
		if line.Event == "labelled" {
			labelled = line
		}
	}
	w.say(bar2, "start smoky tea rum 200ml in D")
	w.say(bar2, "charged D")
	w.pass(2 * time.Minute)
	w.say(bar2, "vented D")
	w.choose(bar2, w.say(bar2, "scrap D"))
	scrapped := w.now
	w.say(bar1, "start ginger gin 400ml in A") // nobody charges it
	w.say(bar1, "start thyme oil 600ml in C")
	w.say(bar1, "charged C")
	w.choose(bar1, w.say(bar1, "scrap C")) // it holds gas
	want := []kitchen.Finished{
		{
			Batch: 1, Title: "rhubarb gin", Vessel: "A", Liquid: 400 * quantity.Millilitre, Yield: 345 * quantity.Millilitre,
			At: kitchen.At(labelled.Done), By: bar1, UseBy: kitchen.At(time.Date(2026, 12, 7, 0, 0, 0, 0, time.UTC)),
			ABVLow: made.ABVLow, ABVHigh: made.ABVHigh,
		},
		{Batch: 2, Title: "smoky tea rum", Vessel: "D", Liquid: 200 * quantity.Millilitre, Scrapped: true, At: kitchen.At(scrapped), By: bar2},
	}
	check := func(when string) {
		t.Helper()
		got := w.kitchen().Today(w.now)
		for i := range got {
			if got[i].UseBy != 0 { // a moment of the day
				got[i].UseBy = kitchen.At(got[i].UseBy.Time().Truncate(24 * time.Hour))
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", when, diff)
		}
		if n := w.kitchen().ChargersUsed(w.now); n != 4 {
			t.Errorf("%s: %d chargers used, want 4", when, n)
		}
	}
	check("at once")
	w.pass(20 * time.Minute) // both left the kitchen
	check("later")
}

func TestAnUndoTakesABatchOffTheList(t *testing.T) {
	t.Parallel()
	w := labelPending(t)
	w.say(bar1, "labelled A")
	if got := w.kitchen().Today(w.now); len(got) != 1 {
		t.Fatalf("finished %v", got)
	}
	w.want(w.say(bar2, "undo A"), kitchen.Done)
	if got := w.kitchen().Today(w.now); len(got) != 0 {
		t.Errorf("undone, and still finished: %v", got)
	}
}

func TestTheListIsOfOneBusinessDay(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.now = time.Date(2026, 11, 25, 1, 30, 0, 0, time.UTC) // the shift of the 24th
	w.brew("345ml")
	if n := len(w.kitchen().Today(w.now)); n != 1 {
		t.Fatalf("%d finished, want one", n)
	}
	w.now = time.Date(2026, 11, 25, 5, 1, 0, 0, time.UTC)
	if n, c := len(w.kitchen().Today(w.now)), w.kitchen().ChargersUsed(w.now); n != 0 || c != 0 {
		t.Errorf("%d finished and %d chargers on the new day", n, c)
	}
	w.say(bar1, "start ginger gin 400ml in B")
	if d := w.kitchen().Diary; len(d.Finished) != 0 || len(d.Used) != 1 || d.Used[0] != (kitchen.Used{Day: "2026-11-24", Chargers: 2}) {
		t.Errorf("the diary of the new day is %+v", d)
	}
}

// A batch that is labelled before the day ends and leaves after it is not the
// new day's.
func TestABatchThatLeavesOnTheNextDayIsNotOnItsList(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.now = time.Date(2026, 11, 25, 4, 50, 0, 0, time.UTC)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.say(bar1, "charged A")
	w.pass(3 * time.Minute)
	w.say(bar1, "vented A")
	w.say(bar1, "strained A")
	w.say(bar1, "labelled A")
	w.pass(20 * time.Minute)
	k := w.kitchen()
	if len(k.Batches) != 0 || len(k.Today(w.now)) != 0 || k.ChargersUsed(w.now) != 0 {
		t.Errorf("on the new day: %v, %d chargers", k.Today(w.now), k.ChargersUsed(w.now))
	}
	if used := k.Diary.Used; len(used) != 1 || used[0] != (kitchen.Used{Day: "2026-11-24", Chargers: 2}) {
		t.Errorf("used %v", used)
	}
}

func TestChargersAreCountedOnceWhateverBecomesOfThem(t *testing.T) {
	t.Parallel()
	w := charged(t)
	used := func(want int) {
		t.Helper()
		if n := w.kitchen().ChargersUsed(w.now); n != want {
			t.Errorf("%d chargers used, want %d", n, want)
		}
	}
	used(2)
	w.say(bar1, "no gas A")
	used(1)
	w.say(bar1, "charged A")
	w.say(bar1, "charged A") // above the count
	used(2)
	w.say(bar1, "gas in A")
	used(3)
	w.say(bar1, "vented A")
	used(3)
	w.choose(bar1, w.say(bar1, "charged A")) // again, after the vent
	used(4)
	w.say(bar1, "vented A")
	w.say(bar1, "undo A")
	w.say(bar1, "vented A")
	w.say(bar1, "strained A")
	w.say(bar1, "labelled A")
	w.pass(time.Hour)
	used(4)
}

func TestAFullDayAndFourOpenBatchesStayUnderEightKilobytes(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.now = time.Date(2026, 11, 24, 5, 0, 0, 0, time.UTC)
	who := kitchen.Person{ID: "U0000000001", Name: "prep-lead"} // as long as they come
	for i := range 45 {
		w.want(w.say(who, "start pink peppercorn gin 400ml in A"), kitchen.Done)
		w.say(who, "charged A")
		w.choose(who, w.say(who, "scrap A"))
		w.say(who, "vented A")
		w.say(who, "deep washed A")
		w.now = w.now.Add(undone)
		w.ring()
		if got := len(w.kitchen().Today(w.now)); got != min(i+1, 36) {
			t.Fatalf("%d finished after %d", got, i+1)
		}
	}
	if n := w.kitchen().ChargersUsed(w.now); n != 45 {
		t.Errorf("%d chargers used, want 45", n)
	}
	w.fourOpen()
	size := 0
	for name, body := range w.fields {
		size += len(name) + len(body)
	}
	if size > 8<<10 {
		t.Errorf("they take %d bytes, want under 8 KB", size)
	}
	t.Logf("they take %d bytes", size)
}

// undone is past the time in which a batch can be undone.
const undone = 10*time.Minute + time.Second

func TestTheDiaryKeepsTwoWeeksOfChargers(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	for range 16 {
		w.brew("345ml")
		w.say(bar1, "checked A")
		w.now = w.now.Add(24 * time.Hour)
	}
	used := w.kitchen().Diary.Used
	if len(used) != 14 || used[0].Day != "2026-11-26" || used[13].Day != "2026-12-09" {
		t.Errorf("kept %v", used)
	}
}

func TestWhatIsLateComesFirstAndMineIsMine(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	for i, line := range []string{
		"start rhubarb gin 400ml in A", "start toasted barley whisky 400ml in B", "start thyme oil 600ml in C",
	} {
		who := []kitchen.Person{bar1, bar2, bar1}[i]
		w.say(who, line)
		for range 2 {
			w.say(who, fmt.Sprintf("charged %c", 'A'+i))
		}
	}
	if got := w.kitchen().Late(w.now); len(got) != 0 {
		t.Errorf("late already: %v", vessels(got))
	}
	w.pass(5 * time.Minute)
	w.say(bar2, "vented B")
	w.pass(40 * time.Minute) // A and C were never vented, B never strained
	k := w.kitchen()
	late := k.Late(w.now)
	if len(late) != 3 || late[2].Vessel != "B" || late[0].LateSince() > late[1].LateSince() {
		t.Errorf("late: %v, want those under pressure first, the longest first", vessels(late))
	}
	for _, b := range late {
		if b.Gas() > 0 && b.LateSince() != b.VentAt {
			t.Errorf("%s is late since %v, want the vent %v", b.Vessel, b.LateSince().Time(), b.VentAt.Time())
		}
	}
	if got := vessels(k.Mine(bar2)); !cmp.Equal(got, []string{"B"}) {
		t.Errorf("bar-2's are %v", got)
	}
	if got := k.Mine(larder); len(got) != 0 {
		t.Errorf("larder's are %v", vessels(got))
	}
	w.say(bar1, "vented A")
	if got := vessels(w.kitchen().Late(w.now)); len(got) == 0 || got[0] != "C" {
		t.Errorf("late after A was vented: %v", got)
	}
}

func vessels(list []*kitchen.Batch) []string {
	var tags []string
	for _, b := range list {
		tags = append(tags, b.Vessel)
	}
	return tags
}
