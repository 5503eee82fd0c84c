package kitchen_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/kitchen"
)

// floor is a viewer by the house's word, visitor one by where they come from.
var (
	floor   = kitchen.Person{ID: "U8", Name: "floor"}
	visitor = kitchen.Person{ID: "U70", Name: "visitor", Guest: true}
)

// viewed is a world with a viewer.
func viewed(t *testing.T) *world {
	w := newWorld(t)
	w.team.Viewers = []string{floor.ID}
	return w
}

// queued gives the messages of a kind that were queued, by key.
func (w *world) queued(kind kitchen.EntryKind) (list []kitchen.Entry) {
	for _, e := range w.out {
		if e.Kind == kind {
			list = append(list, e)
		}
	}
	return list
}

func TestWhatAViewerTellsOfGasCountsAndTheBatchStaysWithItsOwner(t *testing.T) {
	t.Parallel()
	for _, who := range []kitchen.Person{floor, visitor} {
		w := viewed(t)
		w.say(bar1, "start rhubarb gin 400ml in A")
		if a := w.say(who, "charged A"); a.Kind != kitchen.Done || len(a.Choices) > 0 {
			t.Errorf("%s is answered %+v", who.Name, a)
		}
		k := w.kitchen()
		b := k.Batches[1]
		if len(b.Charges) != 1 || b.Charges[0].By.ID != who.ID || b.Owner.ID != bar1.ID || b.Told != nil {
			t.Errorf("%s: charges %+v, owner %+v", who.Name, b.Charges, b.Owner)
		}
		if slices.ContainsFunc(k.Circle(b, 1), func(p kitchen.Person) bool { return p.ID == who.ID }) {
			t.Errorf("%s is called for the vessel", who.Name)
		}
		w.say(bar1, "charged A")
		if a := w.say(who, "charged A"); a.Kind != kitchen.Stop {
			t.Errorf("%s: a charger above the count is answered %+v", who.Name, a)
		}
		if a := w.say(who, "no gas A"); a.Code != kitchen.RefuseHand || w.kitchen().Batches[1].Gas() != 3 {
			t.Errorf("%s may take gas off the count: %+v", who.Name, a)
		}
		if a := w.say(who, "gas in A"); a.Kind != kitchen.Done || w.kitchen().Batches[1].Phase != kitchen.Venting {
			t.Errorf("%s may not say that gas went in: %+v", who.Name, a)
		}
	}
}

func TestWhenAViewerSaysThatAVesselIsEmptyTheCrewIsAsked(t *testing.T) {
	t.Parallel()
	w := viewed(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.say(bar1, "charged A")
	w.pass(3 * time.Minute)
	gas := w.kitchen().Batches[1].Gas()
	b := w.kitchen().Batches[1]
	for _, a := range []kitchen.Answer{
		w.say(floor, "vented A"),
		w.tap(visitor, kitchen.Tap{Line: "vented A", Batch: 1, Turn: b.Turn}),
		w.tap(floor, kitchen.Tap{Line: "vented A", Batch: 1, Turn: b.Turn, N: gas + 1, With: "counted"}),
	} {
		if a.Kind != kitchen.Refuse || a.Code != kitchen.RefuseSilence || a.Who.ID != bar1.ID || a.Vessel != "A" {
			t.Errorf("answered %+v", a)
		}
	}
	if b := w.kitchen().Batches[1]; b.Gas() != gas || b.Emptied != nil || b.Phase != kitchen.Venting || b.CallAt == 0 {
		t.Errorf("the vessel counts as %+v", b.Moving)
	}
	asked := w.queued(kitchen.ClaimCall)
	if len(asked) != 1 || asked[0].Lane != team.Channel || !asked[0].Urgent {
		t.Fatalf("the crew is asked by %+v", asked)
	}
	w.say(bar2, "vented A")
	if b := w.kitchen().Batches[1]; b.Emptied == nil || b.Claimed != nil {
		t.Errorf("after a hand's word it is %+v", b.Moving)
	}
	if asked := w.queued(kitchen.ClaimCall); len(asked) != 1 || !asked[0].Edit {
		t.Errorf("the question is left as %+v", asked)
	}
}

func TestTheCrewIsAskedAgainWhenAViewerSaysSoAgainMuchLater(t *testing.T) {
	t.Parallel()
	w := viewed(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	w.say(floor, "vented A")
	w.pass(11 * time.Minute)
	w.say(floor, "vented A")
	if asked := w.queued(kitchen.ClaimCall); len(asked) != 2 {
		t.Errorf("asked by %+v", asked)
	}
}

func TestAViewerMayAskAndRaiseAnAlarmAndNothingElse(t *testing.T) {
	t.Parallel()
	w := viewed(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	for _, line := range []string{"resting", "who has A", "how long on A", "help A", "why A", "chargers left"} {
		if a := w.say(floor, line); a.Kind == kitchen.Refuse {
			t.Errorf("%q is refused: %+v", line, a)
		}
	}
	before := len(w.log)
	for _, line := range []string{
		"start ginger gin 400ml in B", "again", "take A", "strained A", "scrap A", "undo A", "labelled A", "set down A", "+15s A",
		"rest 90 A", "on shift", "washed B",
	} {
		if a := w.say(floor, line); a.Kind != kitchen.Refuse || a.Code != kitchen.RefuseHand || a.Who.ID != bar1.ID {
			t.Errorf("%q is answered %+v", line, a)
		}
	}
	if a := w.say(floor, "pepper gin"); a.Asked != 0 || len(w.kitchen().Head.Asked) != 0 {
		t.Errorf("a vessel is held for a viewer: %+v", a)
	}
	if lines := w.log[before:]; len(lines) != 0 {
		t.Errorf("what was refused is logged: %+v", lines)
	}
	for _, line := range []string{"A is blocked", "A is leaking", "somebody is hurt", "fire"} {
		if a := w.say(visitor, line); a.Kind != kitchen.Safety {
			t.Errorf("%q is answered %+v", line, a)
		}
	}
	if len(w.queued(kitchen.AlarmCall)) == 0 {
		t.Error("nobody was told")
	}
}

func TestFormsAskTheTableToo(t *testing.T) {
	t.Parallel()
	w := viewed(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	turn := w.kitchen().Batches[1].Turn
	for name, cmd := range map[string]kitchen.Command{
		"the start form":       {Open: kitchen.FormStart},
		"the start form again": {Form: &kitchen.Filled{Name: string(kitchen.FormStart), Fields: map[string]string{"recipe": "ginger gin", "volume": "400ml", "vessel": "B"}}},
		"a change":             {Tap: &kitchen.Tap{Line: "change", Batch: 1, Turn: turn, With: "change"}},
		"a correction": {Form: &kitchen.Filled{
			Name: string(kitchen.FormReading), Carry: w.kitchen().Batches[1].Carry(), Fields: map[string]string{"line": "start ginger gin 300ml"},
		}},
	} {
		cmd.By = floor
		if a := w.command(cmd); a.Code != kitchen.RefuseHand {
			t.Errorf("%s: %+v", name, a)
		}
	}
	if a := w.command(kitchen.Command{Open: kitchen.FormReading, Text: "ginger gin", By: floor}); a.Kind != kitchen.OpenForm {
		t.Errorf("how a line is read is not shown: %+v", a)
	}
	for _, form := range []kitchen.FormName{kitchen.FormChoose, kitchen.FormRecipe, kitchen.FormVessel, kitchen.FormPrice, kitchen.FormHouse} {
		for _, who := range []kitchen.Person{bar1, floor} {
			for _, cmd := range []kitchen.Command{
				{Open: form}, {Form: &kitchen.Filled{Name: string(form)}}, {Tap: &kitchen.Tap{With: "form:" + string(form)}},
			} {
				cmd.By = who
				if a := w.command(cmd); a.Code != kitchen.RefuseManager || a.Who.ID != lead.ID {
					t.Errorf("%s, %s: %+v", who.Name, form, a)
				}
			}
		}
	}
	if len(w.kitchen().Batches) != 1 || !strings.Contains(w.kitchen().Batches[1].Line, "rhubarb") {
		t.Error("something was started or changed")
	}
}

// Gas that a viewer tells of opens a batch again whose reservation ran out, and it is
// its owner's as before, or somebody's of the crew where that is forgotten.
func TestAViewerWhoTellsOfGasOwnsNoVessel(t *testing.T) {
	t.Parallel()
	for _, later := range []time.Duration{12 * time.Minute, time.Hour} {
		w := viewed(t)
		w.say(bar1, "start rhubarb gin 400ml in A")
		said := w.now.Add(5 * time.Minute)
		w.pass(later)
		w.say(bar2, "resting")
		w.hear(floor, "charged A", said)
		if b := w.in("A"); b.Gas() != 1 || b.Owner.ID == floor.ID || b.Owner.ID == "" {
			t.Errorf("%v later A holds %d chargers and is %q's", later, b.Gas(), b.Owner.Name)
		}
	}
}
