package kitchen_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/kitchen"
)

func TestAnOfferStandsInTheChannelUntilSomebodyTakesTheBatch(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.want(w.say(bar2, "I'm on"), kitchen.Done)
	w.want(w.say(bar1, "can someone vent A, I'm on the pass"), kitchen.Done)
	b := w.in("A")
	if b.Owner != bar1 || b.Offered == nil {
		t.Fatalf("owner %s, offered %v", b.Owner.Name, b.Offered)
	}
	if people := w.kitchen().StandIns(b, w.now); !slices.Equal(people, []kitchen.Person{bar2}) {
		t.Errorf("asked are %v", people)
	}
	offers := func() (n int) {
		for _, key := range w.posted {
			if strings.Contains(key, "/"+string(kitchen.OfferCall)) {
				n += w.sent[key]
			}
		}
		return n
	}
	if offers() != 1 {
		t.Errorf("offers: %v", w.posted)
	}
	w.want(w.say(bar2, "taking A"), kitchen.Done)
	if b := w.in("A"); b.Owner != bar2 || b.Offered != nil || offers() != 2 {
		t.Errorf("owner %s, offered %v, messages and edits %d", b.Owner.Name, b.Offered, offers())
	}
}

func TestNobodyGoesOffShiftFromAVesselUnderPressure(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.want(w.say(bar1, "on"), kitchen.Done)
	a := w.wantCode(w.say(bar1, "I'm off"), kitchen.Refuse, kitchen.RefuseShift)
	if len(w.kitchen().OnShift(w.now)) != 1 || len(a.Batches) != 1 {
		t.Fatalf("answer %+v", a)
	}
	w.want(w.choose(bar1, a), kitchen.Done) // handed over
	w.say(bar2, "take A")
	w.want(w.say(bar1, "I'm off"), kitchen.Done)
	if people := w.kitchen().OnShift(w.now); len(people) != 0 {
		t.Errorf("on shift: %v", people)
	}
	w.say(bar2, "on")
	if people := w.kitchen().OnShift(w.now.Add(17 * time.Hour)); len(people) != 0 {
		t.Errorf("on shift after 17 hours: %v", people)
	}
}
