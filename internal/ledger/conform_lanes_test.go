package ledger

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"ventbell/internal/kitchen"
)

var laneConformance = []conformance{
	{"the newest entry of a key wins", newestWins},
	{"an older delivery leaves the newer entry", olderDone},
	{"an entry given up is gone and leaves no trace", givenUp},
	{"a lease keeps a lane from others until it ends", leases},
	{"a lost lease records what was sent and frees nothing", lostLease},
	{"a lane that was never given back is taken as lost", lostLane},
	{"a lane that was given back, late or paced or emptied, is not lost", backInTime},
	{"an older record of what was sent does not replace a later one", olderSent},
	{"lanes don't hold each other up", twoLanes},
	{"a lane that is paced waits, whatever comes in", paced},
	{"the lane available longest is taken first", longestFirst},
	{"a parcel holds every urgent entry and what it lifts", urgentIncluded},
	{"an entry that moves to another lane leaves the first", movedLane},
	{"forgetting takes one batch's sent keys only", forgotten},
	{"what was sent leaves the revision alone", sentBesideRevision},
	{"an entry written by a newer program is left alone", newerEntry},
	{"a sent record written by a newer program is left alone", newerSent},
	{"a broken entry does not hold up other lanes", brokenEntry},
}

// queue commits entries to a kitchen's outbox.
func queue(t *testing.T, k keeper, id string, entries ...kitchen.Entry) {
	t.Helper()
	commit(t, k, id, load(t, k, id, "").Rev, "", kitchen.Change{Outbox: entries})
}

// taken takes a lane that must be there.
func taken(t *testing.T, k keeper) *kitchen.Parcel {
	t.Helper()
	return takenFor(t, k, time.Minute)
}

func takenFor(t *testing.T, k keeper, lease time.Duration) *kitchen.Parcel {
	t.Helper()
	p, next, err := k.Take(t.Context(), "me", lease)
	if err != nil || p == nil {
		t.Fatalf("Take: parcel %v, next %v, error %v", p, next, err)
	}
	return p
}

// noneTaken takes a lane where none must be available, and gives when one is.
func noneTaken(t *testing.T, k keeper) time.Time {
	t.Helper()
	p, next, err := k.Take(t.Context(), "me", time.Minute)
	if err != nil || p != nil {
		t.Fatalf("Take: parcel %+v, error %v", p, err)
	}
	return next
}

func done(t *testing.T, k keeper, p *kitchen.Parcel, d kitchen.Delivery) {
	t.Helper()
	if err := k.Done(t.Context(), p, d); err != nil {
		t.Fatal(err)
	}
}

func keysOf(entries []kitchen.Entry) []string {
	var keys []string
	for _, e := range entries {
		keys = append(keys, e.Key)
	}
	return keys
}

func sentOf(t *testing.T, k keeper, id string) map[string]kitchen.Sent {
	t.Helper()
	s, err := k.Peek(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	return s.Sent
}

func newestWins(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1), entry("7/vent", "C1", 2))
	queue(t, k, "a", entry("7/slip", "C1", 3), entry("7/strain", "C1", 4))
	rev := load(t, k, "a", "").Rev
	commit(t, k, "a", rev, "", kitchen.Change{
		Drop: []string{"7/vent", "7/strain", "7/never"}, Outbox: []kitchen.Entry{entry("7/strain", "C1", 5)},
	})
	parcel := taken(t, k)
	same(t, []kitchen.Entry{entry("7/slip", "C1", 3), entry("7/strain", "C1", 5)}, parcel.Entries)
	if parcel.Kitchen != "a" || parcel.Lane != "C1" || !parcel.Until.Equal(parcel.Now.Add(time.Minute)) {
		t.Errorf("parcel is %+v", parcel)
	}
}

func olderDone(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1), entry("7/vent", "C1", 2))
	parcel := taken(t, k)
	queue(t, k, "a", entry("7/slip", "C1", 3))
	done(t, k, parcel, kitchen.Delivery{Sent: []kitchen.Sent{sent("7/slip", 1), sent("7/vent", 2)}})
	same(t, map[string]kitchen.Sent{"7/slip": sent("7/slip", 1), "7/vent": sent("7/vent", 2)}, sentOf(t, k, "a"))
	parcel = taken(t, k)
	same(t, []kitchen.Entry{entry("7/slip", "C1", 3)}, parcel.Entries)
	done(t, k, parcel, kitchen.Delivery{Sent: []kitchen.Sent{sent("7/slip", 3)}})
	same(t, sent("7/slip", 3), sentOf(t, k, "a")["7/slip"])
	if next := noneTaken(t, k); !next.IsZero() {
		t.Errorf("an empty ledger has a lane at %v", next)
	}
}

func givenUp(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1), entry("7/vent", "C1", 2))
	parcel := taken(t, k)
	queue(t, k, "a", entry("7/vent", "C1", 3))
	done(t, k, parcel, kitchen.Delivery{Gone: []kitchen.Gone{{Key: "7/slip", Seq: 1, Reason: "over"}, {Key: "7/vent", Seq: 2}}})
	same(t, map[string]kitchen.Sent{}, sentOf(t, k, "a"))
	same(t, []kitchen.Entry{entry("7/vent", "C1", 3)}, taken(t, k).Entries)
}

func leases(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1))
	first := takenFor(t, k, 500*time.Millisecond)
	if next := noneTaken(t, k); !near(next, first.Until) {
		t.Errorf("next is %v, the lease ends at %v", next, first.Until)
	}
	queue(t, k, "a", entry("7/vent", "C1", 2)) // nothing that comes in ends the lease
	var second *kitchen.Parcel
	eventually(t, func() bool {
		var err error
		second, _, err = k.Take(t.Context(), "other", time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		return second != nil
	})
	if second.Now.Before(first.Until.Add(-time.Millisecond)) || second.Token == first.Token {
		t.Errorf("taken at %v as %q, first lease until %v as %q", second.Now, second.Token, first.Until, first.Token)
	}
	same(t, []string{"7/slip", "7/vent"}, keysOf(second.Entries))
}

// near allows for the readings of the clock inside and outside a script.
func near(a, b time.Time) bool { return a.Sub(b).Abs() < time.Millisecond }

func lostLease(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1), entry("7/vent", "C1", 2))
	first := takenFor(t, k, time.Millisecond)
	var second *kitchen.Parcel
	eventually(t, func() bool {
		second, _, _ = k.Take(t.Context(), "other", time.Minute)
		return second != nil
	})
	done(t, k, first, kitchen.Delivery{Sent: []kitchen.Sent{sent("7/slip", 1)}, Again: first.Now.Add(-time.Hour)})
	same(t, map[string]kitchen.Sent{"7/slip": sent("7/slip", 1)}, sentOf(t, k, "a"))
	if next := noneTaken(t, k); !near(next, second.Until) {
		t.Errorf("the second lease ends at %v, not %v", next, second.Until)
	}
	done(t, k, second, kitchen.Delivery{})
	same(t, []string{"7/vent"}, keysOf(taken(t, k).Entries))
}

// takenAgain takes a lane once the lease before has run out.
func takenAgain(t *testing.T, k keeper, lease time.Duration) (p *kitchen.Parcel) {
	t.Helper()
	eventually(t, func() bool {
		var err error
		p, _, err = k.Take(t.Context(), "other", lease)
		if err != nil {
			t.Fatal(err)
		}
		return p != nil
	})
	return p
}

func lostLane(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1), entry("7/heads-up", "@U1", 2))
	first := takenFor(t, k, time.Millisecond)
	same(t, false, first.Lost)
	same(t, false, takenFor(t, k, time.Minute).Lost) // the other lane
	same(t, true, takenAgain(t, k, time.Millisecond).Lost)
	third := takenAgain(t, k, time.Minute)
	same(t, true, third.Lost) // lost twice in a row
	done(t, k, first, kitchen.Delivery{})
	done(t, k, third, kitchen.Delivery{})
	same(t, false, taken(t, k).Lost)
}

func backInTime(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1))
	late := takenFor(t, k, time.Millisecond)
	nextMillisecond(t, k)
	nextMillisecond(t, k)
	done(t, k, late, kitchen.Delivery{}) // nobody had it meanwhile
	paced := takenFor(t, k, time.Minute)
	same(t, false, paced.Lost)
	done(t, k, paced, kitchen.Delivery{Again: paced.Now.Add(5 * time.Millisecond)})
	same(t, false, takenAgain(t, k, time.Millisecond).Lost)
	nextMillisecond(t, k)
	nextMillisecond(t, k)
	commit(t, k, "a", load(t, k, "a", "").Rev, "", kitchen.Change{Drop: []string{"7/slip"}})
	noneTaken(t, k) // the lane goes, and with it what is known of its lease
	queue(t, k, "a", entry("7/slip", "C1", 2))
	same(t, false, taken(t, k).Lost)
}

func olderSent(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1))
	first := takenFor(t, k, time.Millisecond)
	queue(t, k, "a", entry("7/slip", "C1", 10))
	var second *kitchen.Parcel
	eventually(t, func() bool {
		second, _, _ = k.Take(t.Context(), "other", time.Minute)
		return second != nil
	})
	later := sent("7/slip", 10)
	later.TS = "later"
	done(t, k, second, kitchen.Delivery{Sent: []kitchen.Sent{later}})
	done(t, k, first, kitchen.Delivery{Sent: []kitchen.Sent{sent("7/slip", 1)}})
	same(t, map[string]kitchen.Sent{"7/slip": later}, sentOf(t, k, "a"))
	later.TS = "anew"
	done(t, k, second, kitchen.Delivery{Sent: []kitchen.Sent{later}})
	same(t, map[string]kitchen.Sent{"7/slip": later}, sentOf(t, k, "a"))
}

func twoLanes(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1), entry("7/heads-up", "@U1", 2))
	queue(t, k, "b", entry("7/slip", "C1", 1))
	got := map[string][]string{}
	parcels := map[string]*kitchen.Parcel{}
	for range 3 {
		parcel := taken(t, k)
		lane := parcel.Kitchen + " " + parcel.Lane
		got[lane], parcels[lane] = keysOf(parcel.Entries), parcel
	}
	same(t, map[string][]string{"a C1": {"7/slip"}, "a @U1": {"7/heads-up"}, "b C1": {"7/slip"}}, got)
	noneTaken(t, k)
	done(t, k, parcels["a @U1"], kitchen.Delivery{})
	same(t, "@U1", taken(t, k).Lane)
}

func paced(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1))
	parcel := taken(t, k)
	again := parcel.Now.Add(time.Hour)
	done(t, k, parcel, kitchen.Delivery{Sent: []kitchen.Sent{sent("7/slip", 1)}, Again: again})
	same(t, again, noneTaken(t, k))
	queue(t, k, "a", entry("7/slip", "C1", 2))
	same(t, again, noneTaken(t, k))
	queue(t, k, "a", entry("7/heads-up", "@U1", 3))
	parcel = taken(t, k)
	again = parcel.Now.Add(150 * time.Millisecond)
	done(t, k, parcel, kitchen.Delivery{Again: again})
	eventually(t, func() bool {
		parcel, _, _ = k.Take(t.Context(), "me", time.Minute)
		return parcel != nil
	})
	if parcel.Lane != "@U1" || parcel.Now.Before(again.Add(-time.Millisecond)) {
		t.Errorf("taken at %v: %+v, paced until %v", parcel.Now, parcel, again)
	}
}

func longestFirst(t *testing.T, p place) {
	k := p.keeper()
	var want, got []string
	for i := range 6 {
		lane := fmt.Sprintf("C%d", 9-i)
		queue(t, k, fmt.Sprint(i), entry("7/slip", lane, 1))
		nextMillisecond(t, k)
		want = append(want, lane)
	}
	queue(t, k, "0", entry("7/slip", "C9", 2)) // it has waited all the same
	for range want {
		got = append(got, taken(t, k).Lane)
	}
	same(t, want, got)
}

func urgentIncluded(t *testing.T, p place) {
	k := p.keeper()
	var early, late []kitchen.Entry
	for seq := range uint64(80) {
		e := entry(fmt.Sprintf("1/%d", seq), "C1", seq)
		e.Batch = 1
		early = append(early, e)
	}
	for seq := uint64(80); seq < 100; seq++ {
		e := entry(fmt.Sprintf("2/%d", seq), "C1", seq)
		e.Batch, e.Urgent = 2, seq == 85 || seq == 95
		late = append(late, e)
	}
	all := slices.Concat(late, early)
	slices.Reverse(all)
	queue(t, k, "a", all...)
	parcel := taken(t, k)
	same(t, slices.Concat(early[:parcelSize-16], late[:16]), parcel.Entries)
}

func movedLane(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/heads-up", "@U1", 1))
	nextMillisecond(t, k)
	queue(t, k, "a", entry("7/heads-up", "@U2", 2))
	same(t, "@U2", taken(t, k).Lane)
	noneTaken(t, k)
}

func forgotten(t *testing.T, p place) {
	k := p.keeper()
	keys := []string{"1/slip", "1/vent", "11/slip", "111/1/slip", "2/slip", "1"}
	var entries []kitchen.Entry
	var d kitchen.Delivery
	for i, key := range keys {
		entries = append(entries, entry(key, "C1", uint64(i)))
		d.Sent = append(d.Sent, sent(key, uint64(i)))
	}
	queue(t, k, "a", entries...)
	done(t, k, taken(t, k), d)
	queue(t, k, "a", entry("1/slip", "C1", 9))
	commit(t, k, "a", load(t, k, "a", "").Rev, "", kitchen.Change{Forget: []uint32{1, 3}})
	var left []string
	for key := range sentOf(t, k, "a") {
		left = append(left, key)
	}
	slices.Sort(left)
	same(t, []string{"1", "11/slip", "111/1/slip", "2/slip"}, left)
	same(t, []string{"1/slip"}, keysOf(taken(t, k).Entries))
}

func sentBesideRevision(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1))
	rev := load(t, k, "a", "").Rev
	done(t, k, taken(t, k), kitchen.Delivery{Sent: []kitchen.Sent{sent("7/slip", 1)}})
	same(t, rev, load(t, k, "a", "").Rev)
	if s := load(t, k, "a", ""); s.Sent != nil {
		t.Errorf("Load gives what was sent: %v", s.Sent)
	}
}

func newerEntry(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1))
	queue(t, k, "a", entry("7/heads-up", "@U1", 2))
	p.putItem(t, inOutbox, "a", "7/slip", item{v: version + 1, seq: 1, lane: "C1", body: []byte("?")}.bytes())
	parcel := taken(t, k)
	same(t, "@U1", parcel.Lane)
	before := p.dump(t)
	if parcel, next, err := k.Take(t.Context(), "me", time.Minute); parcel != nil || next.IsZero() || !errors.Is(err, kitchen.ErrNewer) {
		t.Errorf("parcel %v, next %v, error %v", parcel, next, err)
	}
	same(t, before, p.dump(t))
	rev := load(t, k, "a", "").Rev
	fails(t, p, "a", rev, "r1", kitchen.Change{Outbox: []kitchen.Entry{entry("7/slip", "C1", 3)}}, kitchen.ErrNewer)
	fails(t, p, "a", rev, "r1", kitchen.Change{Drop: []string{"7/slip"}}, kitchen.ErrNewer)
}

func newerSent(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1))
	parcel := taken(t, k)
	p.putItem(t, inSent, "a", "7/slip", item{v: version + 1, seq: 1, body: []byte("?")}.bytes())
	if _, err := k.Peek(t.Context(), "a"); !errors.Is(err, kitchen.ErrNewer) {
		t.Errorf("Peek: error %v", err)
	}
	before := p.dump(t)
	err := k.Done(t.Context(), parcel, kitchen.Delivery{Sent: []kitchen.Sent{sent("7/slip", 2)}})
	if !errors.Is(err, kitchen.ErrNewer) {
		t.Errorf("Done: error %v", err)
	}
	same(t, before, p.dump(t))
}

func brokenEntry(t *testing.T, p place) {
	k := p.keeper()
	queue(t, k, "a", entry("7/slip", "C1", 1))
	p.putItem(t, inOutbox, "a", "7/slip", []byte("nothing like an item"))
	queue(t, k, "b", entry("7/slip", "C2", 1))
	same(t, "C2", taken(t, k).Lane)
	if _, _, err := k.Take(t.Context(), "me", time.Minute); !errors.Is(err, errUnread) || errors.Is(err, kitchen.ErrNewer) {
		t.Errorf("Take: error %v", err)
	}
}
