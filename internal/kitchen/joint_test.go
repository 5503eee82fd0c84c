package kitchen_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
)

// together is a kitchen with gin in A and B whose vents are due so far apart.
func together(t testing.TB, apart time.Duration) *world {
	w := newWorld(t)
	for i, tag := range []string{"A", "B"} {
		w.want(w.say(bar1, "start rhubarb gin 300ml in "+tag), kitchen.Done)
		w.pass(time.Duration(i) * apart)
		w.want(w.say(bar1, "put 2 chargers in all in "+tag), kitchen.Done)
	}
	return w
}

func TestCallsAtAboutTheSameTimeAreOneMessage(t *testing.T) {
	t.Parallel()
	for apart, joint := range map[time.Duration]int{0: 1, 3 * time.Second: 1, 5 * time.Second: 1, 7 * time.Second: 0} {
		w := together(t, apart)
		w.pass(w.in("A").VentAt.Time().Sub(w.now))
		if got := w.posted[len(w.posted)-1]; (len(w.calls(kitchen.JointCall)) == 1) != (joint == 1) {
			t.Errorf("%v apart: %v, the last is %s", apart, w.posted, got)
			continue
		}
		w.pass(10 * time.Second)
		if n := len(w.calls(kitchen.JointCall)) + len(w.calls(kitchen.VentCall)); n != 2-joint {
			t.Errorf("%v apart: %d messages call the two vents: %v", apart, n, w.posted)
		}
		for _, tag := range []string{"A", "B"} {
			w.wantPhase(tag, kitchen.Venting)
		}
	}
}

func TestAJointMessageIsEditedAsEachVesselIsConfirmed(t *testing.T) {
	t.Parallel()
	w := together(t, 2*time.Second)
	w.pass(w.in("A").VentAt.Time().Sub(w.now))
	key := w.calls(kitchen.JointCall)[0]
	w.want(w.say(bar1, "vented A"), kitchen.Done)
	if w.sent[key] != 2 {
		t.Errorf("%s was written %d times, want 2", key, w.sent[key])
	}
	w.pass(40 * time.Second) // the second call is of B alone
	if calls := w.calls(kitchen.VentCall); !slices.Equal(calls, []string{"2/vent.1.1"}) {
		t.Errorf("second calls are %v", calls)
	}
	w.want(w.say(bar1, "vented B"), kitchen.Done)
	if w.sent[key] != 3 {
		t.Errorf("%s was written %d times, want 3", key, w.sent[key])
	}
}

func TestSecondCallsAreTogetherToo(t *testing.T) {
	t.Parallel()
	w := together(t, 2*time.Second)
	w.pass(w.in("A").VentAt.Time().Sub(w.now) + 4*time.Minute)
	if len(w.calls(kitchen.JointCall)) != 4 || len(w.calls(kitchen.VentCall)) != 0 { // at once, 30 s, 90 s and 3 min later
		t.Errorf("calls are %v and %v", w.calls(kitchen.JointCall), w.calls(kitchen.VentCall))
	}
}

// Whatever a crew does, telling calls together loses none and makes none late: each
// rung that a call climbs is told by a message of that same moment.
func TestTellingCallsTogetherLosesNone(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		w := newWorld(quiet{t, rt})
		before := w.kitchen()
		w.each = func(ch kitchen.Change) {
			after := w.kitchen()
			told := map[kitchen.Called]bool{}
			tell := func(c kitchen.Called) {
				c.Due = 0
				told[c] = true
			}
			for _, e := range ch.Outbox {
				if j, ok := after.JointOf(e.Batch); ok && !e.Edit {
					for _, c := range j.Calls {
						tell(c)
					}
				} else if !e.Edit {
					tell(kitchen.Called{Batch: e.Batch, Kind: e.Kind, Turn: e.Turn, Rung: e.Rung})
				}
			}
			for id, is := range after.Batches {
				was := before.Batches[id]
				if was == nil || len(ch.Answer) > 0 { // what a person did is not told together
					continue
				}
				kind := is.Waits()
				rose := is.Rung > was.Rung && is.Phase == was.Phase || is.Rung > 0 && is.Phase != was.Phase
				if kind != "" && rose && !told[kitchen.Called{Batch: id, Kind: kind, Turn: is.Turn, Rung: is.Rung - 1}] {
					rt.Fatalf("the %s call of %s at rung %d is lost: %+v", kind, is.Vessel, is.Rung-1, ch.Outbox)
				}
				if is.ContactRung > was.ContactRung && !told[kitchen.Called{Batch: id, Kind: kitchen.ContactCall, Turn: is.Turn, Rung: is.ContactRung - 1}] {
					rt.Fatalf("the contact call of %s is lost: %+v", is.Vessel, ch.Outbox)
				}
			}
			before = after
		}
		tags, people := rapid.SampledFrom([]string{"A", "B", "C", "D"}), rapid.SampledFrom([]kitchen.Person{bar1, bar2})
		rt.Repeat(map[string]func(*rapid.T){
			"charge": func(rt *rapid.T) {
				tag := tags.Draw(rt, "tag")
				w.say(bar1, "start rhubarb gin 200ml in "+tag)
				w.say(bar1, "put 2 chargers in all in "+tag)
			},
			"step": func(rt *rapid.T) {
				verb := rapid.SampledFrom([]string{"vented", "strained", "labelled", "washed", "undo", "scrap", "can't vent"}).Draw(rt, "verb")
				if a := w.say(people.Draw(rt, "who"), verb+" "+tags.Draw(rt, "tag")); len(a.Choices) > 0 {
					w.tap(bar1, a.Choices[0].Tap)
				}
			},
			"wait": func(rt *rapid.T) {
				w.pass(time.Duration(rapid.IntRange(0, 200).Draw(rt, "seconds")) * time.Second)
			},
		})
	})
}

const fixtureCrew = "testdata/kitchen.v1.crew.json"

// What was stored of the crew is read for ever.
func TestTheStoredFormOfTheCrewIsRead(t *testing.T) {
	t.Parallel()
	if *fixtures {
		w := together(t, 2*time.Second)
		w.team.Tablets = []string{"U7"}
		w.say(lead, "@bar-1 is trained to charge")
		w.say(bar2, "off")
		w.say(kitchen.Person{ID: "U7", Name: "tablet"}, "initials KM")
		w.say(larder, "can't vent B")
		w.pass(3 * time.Minute)
		writeFixture(t, fixtureCrew, w.fields)
	}
	k, err := kitchen.Decode("main", readFixture(t, fixtureCrew))
	if err != nil {
		t.Fatal(err)
	}
	c := k.Crew
	if len(c.Off) != 1 || c.Off[0].Person != bar2 || !slices.Equal(c.Trained, []kitchen.Person{bar1}) || c.Named == nil || len(c.Tablets) != 1 || c.Tablets[0].Text != "KM" {
		t.Errorf("the crew reads as %+v", c)
	}
	if len(c.Joint) != 2 || len(c.Joint[0].Calls) != 2 || c.Joint[1].Calls[0].Rung != 1 || !slices.Equal(k.Batches[2].Declined, []string{"U3"}) {
		t.Errorf("the calls read as %+v, B as %+v", c.Joint, k.Batches[2].Declined)
	}
}
