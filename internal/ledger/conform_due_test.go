package ledger

import (
	"fmt"
	"testing"
	"time"

	"ventbell/internal/kitchen"
)

var dueConformance = []conformance{
	{"due kitchens come by moment", dueOrder},
	{"the due list is read by pages", duePages},
	{"moments keep their microseconds", exactMoments},
	{"an earlier moment and new entries are made known", wakeUps},
	{"records and days are read back", archived},
	{"log lines come back in order", logged},
}

func due(t *testing.T, k keeper, skip, limit int) []kitchen.DueKitchen {
	t.Helper()
	list, now, err := k.Due(t.Context(), skip, limit)
	if err != nil || now.IsZero() {
		t.Fatalf("now %v, error %v", now, err)
	}
	return list
}

func dueOrder(t *testing.T, p place) {
	k := p.keeper()
	at := func(us int) time.Time { return exact.Add(time.Duration(us) * time.Microsecond) }
	a := commit(t, k, "a", "", "", kitchen.Change{Due: at(30)})
	b := commit(t, k, "b", "", "", kitchen.Change{Due: at(20)})
	commit(t, k, "c", "", "", kitchen.Change{})
	commit(t, k, "e", "", "", kitchen.Change{Due: at(40)})
	commit(t, k, "d", "", "", kitchen.Change{Due: at(40)})
	same(t, []kitchen.DueKitchen{
		{Kitchen: "b", At: at(20)}, {Kitchen: "a", At: at(30)}, {Kitchen: "d", At: at(40)}, {Kitchen: "e", At: at(40)},
	}, due(t, k, 0, 10))
	a = commit(t, k, "a", a, "", kitchen.Change{Due: at(10)})
	b = commit(t, k, "b", b, "", kitchen.Change{Due: at(50)})
	same(t, []kitchen.DueKitchen{
		{Kitchen: "a", At: at(10)}, {Kitchen: "d", At: at(40)}, {Kitchen: "e", At: at(40)}, {Kitchen: "b", At: at(50)},
	}, due(t, k, 0, 10))
	commit(t, k, "a", a, "", kitchen.Change{})
	commit(t, k, "b", b, "", kitchen.Change{Due: at(50)})
	same(t, []kitchen.DueKitchen{
		{Kitchen: "d", At: at(40)}, {Kitchen: "e", At: at(40)}, {Kitchen: "b", At: at(50)},
	}, due(t, k, 0, 10))
}

func duePages(t *testing.T, p place) {
	k := p.keeper()
	for i := range 20 {
		commit(t, k, fmt.Sprintf("%02d", i), "", "", kitchen.Change{Due: exact.Add(time.Duration(i) * time.Second)})
	}
	for skip := range 22 {
		for _, limit := range []int{0, 1, 7, 30} {
			list := due(t, k, skip, limit)
			if want := max(0, min(limit, 20-skip)); len(list) != want {
				t.Fatalf("Due(%d, %d) gives %d kitchens, want %d", skip, limit, len(list), want)
			}
			for i, d := range list {
				same(t, fmt.Sprintf("%02d", skip+i), d.Kitchen)
			}
		}
	}
}

func exactMoments(t *testing.T, p place) {
	k := p.keeper()
	e := kitchen.Entry{
		V: 1, Key: "7/vent", Lane: "C1", Kind: kitchen.VentCall, Batch: 7, Turn: 2, Rung: 1,
		Due: exact, Seq: 1<<64 - 1, Urgent: true, Edit: true,
	}
	commit(t, k, "a", "", "", kitchen.Change{Due: exact, Outbox: []kitchen.Entry{e}})
	same(t, []kitchen.DueKitchen{{Kitchen: "a", At: exact}}, due(t, k, 0, 1))
	parcel := taken(t, k)
	same(t, []kitchen.Entry{e}, parcel.Entries)
	again := parcel.Now.Add(time.Hour).Truncate(time.Second).Add(123457 * time.Microsecond)
	if err := k.Done(t.Context(), parcel, kitchen.Delivery{Sent: []kitchen.Sent{sent("7/vent", e.Seq)}, Again: again}); err != nil {
		t.Fatal(err)
	}
	same(t, again, noneTaken(t, k))
	s, err := k.Peek(t.Context(), "a")
	if err != nil {
		t.Fatal(err)
	}
	same(t, map[string]kitchen.Sent{"7/vent": sent("7/vent", e.Seq)}, s.Sent)
}

func wakeUps(t *testing.T, p place) {
	k := p.keeper()
	other := "b"
	if r, ok := k.(*Redis); ok { // of the same partition
		for n := 0; r.partOf(other) != r.partOf("a"); n++ {
			other = fmt.Sprint("b", n)
		}
	}
	woken := func(c <-chan struct{}) bool {
		select {
		case <-c:
			return true
		default:
			return false
		}
	}
	steps := []struct {
		id            string
		ch            kitchen.Change
		moment, entry bool
	}{
		{"a", kitchen.Change{Due: exact}, true, false},
		{other, kitchen.Change{Due: exact.Add(time.Second)}, false, false},
		{other, kitchen.Change{Outbox: []kitchen.Entry{entry("7/slip", "C1", 1)}}, false, true},
		{other, kitchen.Change{Due: exact.Add(-time.Second), Outbox: []kitchen.Entry{entry("7/slip", "C1", 2)}}, true, true},
		{other, kitchen.Change{Due: exact.Add(2 * time.Second), Drop: []string{"7/slip"}}, false, false},
	}
	for i, s := range steps {
		commit(t, k, s.id, load(t, k, s.id, "").Rev, "", s.ch)
		if woken(k.Moments()) != s.moment || woken(k.Outgoing()) != s.entry {
			t.Errorf("step %d: wrong wake-up", i)
		}
	}
}

func archived(t *testing.T, p place) {
	k := p.keeper()
	rev := commit(t, k, "a", "", "", kitchen.Change{Archive: []kitchen.Record{
		{Batch: 11, Day: "2025-11-24", Body: []byte("eleven")},
		{Batch: 2, Day: "2025-11-24", Body: []byte("two")},
	}})
	commit(t, k, "a", rev, "", kitchen.Change{Archive: []kitchen.Record{
		{Batch: 4000000000, Day: "2025-11-24", Body: nil},
		{Batch: 3, Day: "2025-11-25", Body: []byte("three")},
	}})
	for batch, want := range map[uint32][]byte{11: []byte("eleven"), 2: []byte("two"), 4000000000: {}, 1: nil} {
		body, err := k.Record(t.Context(), "a", batch)
		if err != nil {
			t.Fatal(err)
		}
		same(t, want, body)
	}
	for day, want := range map[string][]uint32{"2025-11-24": {2, 11, 4000000000}, "2025-11-25": {3}, "2025-11-2": nil} {
		batches, err := k.Day(t.Context(), "a", day)
		if err != nil {
			t.Fatal(err)
		}
		same(t, want, batches)
	}
	if batches, err := k.Day(t.Context(), "b", "2025-11-24"); err != nil || batches != nil {
		t.Errorf("another kitchen has %v, error %v", batches, err)
	}
}

func logged(t *testing.T, p place) {
	k := p.keeper()
	line := func(id string, n int) kitchen.Line {
		at := exact.Add(time.Duration(n) * time.Microsecond)
		return kitchen.Line{
			Message: "C1/1764007200.000100",
			V:       1, Kitchen: id, Batch: uint32(n), Event: "charged", By: kitchen.Person{ID: "U1", Name: "bar-1"},
			Done: at.Add(-time.Minute), Entered: at, Request: "r", Details: map[string]string{"n": fmt.Sprint(n), "gas": "in"},
		}
	}
	var want []kitchen.Line
	day := load(t, k, "a", "").Now
	revs := map[string]string{}
	for n := 0; n < 30; n += 3 {
		id := []string{"a", "b"}[n%2]
		lines := []kitchen.Line{line(id, n), line(id, n+1), line(id, n+2)}
		revs[id] = commit(t, k, id, revs[id], "", kitchen.Change{Log: lines})
		want = append(want, lines...)
		nextMillisecond(t, k)
	}
	if now := load(t, k, "a", "").Now; dayOf(now) != dayOf(day) {
		t.Skip("midnight passed")
	}
	for _, limit := range []int{100, 30, 29, 1, 0} {
		lines, err := k.Lines(t.Context(), day, limit)
		if err != nil {
			t.Fatal(err)
		}
		same(t, append([]kitchen.Line(nil), want[:min(limit, 30)]...), lines)
	}
	if lines, err := k.Lines(t.Context(), day.AddDate(0, 0, 1), 10); err != nil || lines != nil {
		t.Errorf("tomorrow has %v, error %v", lines, err)
	}
}

// nextMillisecond waits for it: lines of several partitions are ordered by the
// millisecond.
func nextMillisecond(t *testing.T, k keeper) {
	t.Helper()
	ms := load(t, k, "a", "").Now.UnixMilli()
	eventually(t, func() bool { return load(t, k, "a", "").Now.UnixMilli() > ms })
}
