package kitchen_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// troubles are lines of every kind of trouble, in three languages.
var troubles = map[string]request.Kind{
	"A is blocked": request.Blocked, "leaking A": request.Leaking, "A is still hissing": request.Hissing, "A foamed over": request.Foaming,
	"A won't open": request.Stuck, "forgot it A": request.Overrun,
	"A está atascado": request.Blocked, "A bloqué": request.Blocked, "gotea A": request.Leaking, "A fuit": request.Leaking,
}

func TestTroubleIsMarkedAndTheBatchKeepsItsGasAndItsCalls(t *testing.T) {
	t.Parallel()
	for line, kind := range troubles {
		w := charged(t)
		before := w.in("A")
		a := w.want(w.say(bar2, line), kitchen.Safety)
		if a.Verb != request.Trouble || a.Wrong != kind || a.Vessel != "A" {
			t.Errorf("%q is answered with %+v", line, a)
		}
		after := w.in("A")
		if kind == request.Blocked { // that starts a procedure of its own
			if after.Blocked == nil || after.Gas() != before.Gas() || after.CallAt > before.VentAt {
				t.Errorf("%q made %+v of the batch", line, after.Moving)
			}
			after = before
		}
		if diff := cmp.Diff(before, after, cmpopts.IgnoreUnexported(kitchen.Batch{})); diff != "" {
			t.Errorf("%q changed the batch:\n%s", line, diff)
		}
		last := w.log[len(w.log)-1]
		if kind == request.Blocked {
			last = w.log[len(w.log)-2]
		}
		if last.Event != "trouble" || last.Details["kind"] != string(kind) || last.Details["vessel"] != "A" {
			t.Errorf("%q is logged as %+v", line, last)
		}
		want := 1
		if kind == request.Foaming || kind == request.Overrun {
			want = 0
		}
		if n := len(w.calls(kitchen.AlarmCall)); n != want {
			t.Errorf("%q told the team %d times", line, n)
		}
		w.say(bar1, line)
		if n := len(w.calls(kitchen.AlarmCall)); n != want {
			t.Errorf("%q, said again, told the team %d times", line, n)
		}
		w.pass(10 * time.Minute)
		if len(w.calls(kitchen.VentCall)) == 0 {
			t.Errorf("after %q the vent was not called", line)
		}
	}
}

func TestATroubleWithGasRingsTheOwnerAndTheManagers(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.say(larder, "A is blocked")
	e := w.out[w.calls(kitchen.AlarmCall)[0]]
	if e.Lane != "C1" || !e.Urgent {
		t.Errorf("entry %+v", e)
	}
	k := w.kitchen()
	if diff := cmp.Diff([]kitchen.Person{bar1, lead}, k.Called(k.Head.Alarms[0])); diff != "" {
		t.Error(diff)
	}
	w.trouble("C1", "channel archived")
	w.say(larder, "A is leaking")
	for _, lane := range []string{"@U1", "@U9"} {
		if w.lanes[lane] == 0 {
			t.Errorf("with the channel down nobody tells %s: %v", lane, w.lanes)
		}
	}
}

func TestAHissFromAVesselThatWasToldEmptyCanBeCalledAgain(t *testing.T) {
	t.Parallel()
	w := charged(t)
	w.pass(3 * time.Minute)
	w.say(bar1, "vented A")
	a := w.want(w.say(bar1, "A is still hissing"), kitchen.Safety)
	w.wantPhase("A", kitchen.Settling) // nothing changes by itself
	w.want(w.choose(bar1, a), kitchen.Done)
	if b := w.wantPhase("A", kitchen.Venting); b.Gas() == 0 {
		t.Error("no gas is counted")
	}
}

func TestAnEmergencyNamesTheNumberAndCallsTheManagers(t *testing.T) {
	t.Parallel()
	for line, kind := range map[string]request.Kind{
		"she's hurt": request.Hurt, "burn": request.Burn, "in my eye": request.Eye, "fire": request.Fire, "he fainted": request.Fainted,
	} {
		w := charged(t)
		a := w.want(w.say(bar1, line), kitchen.Safety)
		if a.Verb != request.Emergency || a.Wrong != kind || a.Aid == nil || !cmp.Equal(a.Aid.Numbers, []string{"112"}) {
			t.Errorf("%q is answered with %+v %+v", line, a, a.Aid)
		}
		if len(a.Batches) != 1 {
			t.Errorf("%q does not tell of what is under pressure", line)
		}
		if n := len(w.calls(kitchen.AlarmCall)); n != 1 {
			t.Errorf("%q told the team %d times", line, n)
		}
	}
}

// 112: Directive (EU) 2018/1972, article 109. 911: 47 USC 251(e)(3), from memory;
// 911 in Canada and 999 in the United Kingdom, from memory.
func TestTheNumberFollowsTheCountryAndTheHousesOwnWins(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		country, own string
		want         []string
	}{
		{"BE", "", []string{"112"}}, {"ES", "", []string{"112"}}, {"US", "", []string{"911"}}, {"CA", "", []string{"911"}},
		{"GB", "", []string{"999"}}, {"JP", "", []string{"112", "911"}}, {"", "", []string{"112", "911"}}, {"JP", "119", []string{"119"}},
	} {
		b := *sample()
		b.House.Country, b.House.Emergency, b.House.FirstAid = c.country, c.own, "First aid: by the pass."
		k, err := kitchen.Decode("main", nil)
		if err != nil {
			t.Fatal(err)
		}
		_, a := k.Handle(request.NewReader(&b), &b, team, kitchen.Command{ID: "1", Text: "fire", By: bar1, At: six}, six)
		if a.Aid == nil || !cmp.Equal(a.Aid.Numbers, c.want) || a.Aid.House != b.House.FirstAid {
			t.Errorf("in %q with %q: %+v", c.country, c.own, a.Aid)
		}
	}
}
