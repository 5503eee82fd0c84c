package kitchen_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// gone is who is to be forgotten; nothing else in a kitchen is called like them.
var gone = kitchen.Person{ID: "U7QZX81K", Name: "qzx-porter"}

// lived is a kitchen in which gone left a trace wherever somebody can: a batch that
// was stored, one under way, a doubt, an alarm, a shift, a question, an edit of the
// book.
func lived(t *testing.T) *world {
	w := newWorld(t)
	w.team.Managers = []kitchen.Person{lead, gone}
	w.changes(gone)
	w.say(gone, "on shift")
	w.say(gone, "start rhubarb gin 400ml in A")
	w.say(gone, "charged A")
	w.say(gone, "charged A")
	w.pass(3 * time.Minute)
	w.say(gone, "vented A")
	w.pass(4 * time.Minute)
	w.say(gone, "strained A 345ml")
	w.say(gone, "labelled A")
	w.pass(12 * time.Minute)
	w.say(bar1, "start ginger gin 400ml in B")
	w.say(gone, "charged B")
	w.say(gone, "take B")
	w.say(gone, "charged B")
	w.say(gone, "charged B")
	w.say(gone, "B is leaking")
	w.say(gone, "hand over B")
	w.say(gone, "pepper gin")
	w.team.Managers = []kitchen.Person{lead}
	return w
}

// changes has somebody change the book.
func (w *world) changes(p kitchen.Person) {
	w.t.Helper()
	fields, err := book.Values(book.EntryText(w.book().Text, book.PartRecipes, "rhubarb gin"))
	if err != nil {
		w.t.Fatal(err)
	}
	fields["ratio"] = "22 g/100ml"
	a := w.fill(p, kitchen.FormRecipe, "0 rhubarb gin", fields)
	if a.Kind != kitchen.Saved {
		w.t.Fatalf("the book is not changed: %+v", a)
	}
}

// traces gives the fields of the kitchen in which somebody still stands.
func (w *world) traces(p kitchen.Person) (names []string) {
	for name, body := range w.fields {
		if bytes.Contains(body, []byte(p.ID)) || bytes.Contains(body, []byte(p.Name)) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

func TestWhoIsForgottenStandsNowhereInTheKitchen(t *testing.T) {
	t.Parallel()
	w := lived(t)
	if got := w.traces(gone); len(got) < 4 {
		t.Fatalf("they stand in %q only: the test shows nothing", got)
	}
	if a := w.say(lead, "forget @"+gone.ID); a.Code != kitchen.RefuseOwns || len(a.Batches) != 1 {
		t.Fatalf("with an open batch: %+v", a)
	}
	w.say(bar1, "take B")
	gas, events := w.kitchen().Batches[2].Gas(), len(w.log)
	asked := w.say(lead, "forget @qzx-porter")
	if asked.Code != kitchen.AskForget || len(asked.Choices) != 1 || len(w.log) != events {
		t.Fatalf("it is asked once: %+v", asked)
	}
	a := w.tap(lead, asked.Choices[0].Tap)
	if a.Kind != kitchen.Done || a.Verb != request.Forget || a.Title != "hand-0001" {
		t.Fatalf("answered %+v", a)
	}
	if got := w.traces(gone); len(got) > 0 {
		t.Errorf("they still stand in %q", got)
	}
	k := w.kitchen()
	b := k.Batches[2]
	if b.Gas() != gas || b.Owner.ID != bar1.ID || !slices.ContainsFunc(b.Charges, func(c kitchen.Charge) bool { return c.By.ID == "hand-0001" }) {
		t.Errorf("the batch changed: %+v", b.Moving)
	}
	if len(k.OnShift(w.now)) != 0 || len(k.Edits) != 1 {
		t.Errorf("on shift %+v, edits %+v", k.OnShift(w.now), k.Edits)
	}
	if body, err := json.Marshal(w.log[len(w.log)-1]); err != nil || bytes.Contains(body, []byte(gone.ID)) || bytes.Contains(body, []byte(gone.Name)) {
		t.Errorf("the log says whom it forgot: %s %v", body, err)
	}
}

func TestTheLogAndTheRecordsReadWithTheTokenUntilTheyAreWrittenAnew(t *testing.T) {
	t.Parallel()
	w := lived(t)
	w.say(bar1, "take B")
	w.tap(lead, w.say(lead, "forget @"+gone.ID).Choices[0].Tap)
	k := w.kitchen()
	changed := 0
	for _, line := range w.log {
		out, did := k.Forgotten.Line(line)
		body, err := json.Marshal(out)
		if err != nil || bytes.Contains(body, []byte(gone.ID)) || bytes.Contains(body, []byte(gone.Name)) {
			t.Errorf("a line reads %s %v", body, err)
		}
		if did {
			changed++
		}
		if out.Event != line.Event || !out.Done.Equal(line.Done) || out.Batch != line.Batch || out.Details["vessel"] != line.Details["vessel"] {
			t.Errorf("the event changed: %+v, was %+v", out, line)
		}
	}
	if changed < 8 {
		t.Errorf("%d lines changed", changed)
	}
	for _, r := range w.stored {
		if !bytes.Contains(r.Body, []byte(gone.ID)) {
			continue
		}
		body, did, err := k.Forgotten.Record(r.Body)
		if err != nil || !did || bytes.Contains(body, []byte(gone.ID)) || bytes.Contains(body, []byte(gone.Name)) {
			t.Errorf("a record reads %q, %v", body, err)
		}
	}
	// Who comes back is somebody new.
	w.pass(time.Minute)
	w.say(gone, "start ginger gin 400ml in C")
	last := w.log[len(w.log)-1]
	if _, did := k.Forgotten.Line(last); did {
		t.Error("what they do afterwards is taken for what they did before")
	}
	before := len(w.fields["f"])
	w.command(kitchen.Command{Rewritten: []string{"hand-0001"}})
	if k := w.kitchen(); len(k.Forgotten.People) != 0 || len(w.fields["f"]) >= before {
		t.Errorf("the kitchen still knows %+v", k.Forgotten)
	}
}

func TestAnybodyMayBeForgottenByTheirOwnWord(t *testing.T) {
	t.Parallel()
	w := lived(t)
	w.team.Viewers = []string{gone.ID}
	w.say(bar1, "take B")
	asked := w.say(gone, "forget me")
	if asked.Code != kitchen.AskForget {
		t.Fatalf("answered %+v", asked)
	}
	if a := w.tap(gone, asked.Choices[0].Tap); a.Kind != kitchen.Done || !strings.HasPrefix(a.Title, "viewer-") {
		t.Fatalf("answered %+v", a)
	}
	if got := w.traces(gone); len(got) > 0 {
		t.Errorf("they still stand in %q", got)
	}
	if last := w.log[len(w.log)-1]; last.Event != kitchen.ForgottenEvent || last.By.ID != last.Details["token"] {
		t.Errorf("the log says %+v", last)
	}
}

func TestWhoMayForgetWhom(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.say(bar1, "on shift")
	w.say(bar2, "on shift")
	if a := w.say(bar1, "forget @bar-2"); a.Code != kitchen.RefuseManager {
		t.Errorf("a hand forgets somebody: %+v", a)
	}
	if a := w.say(bar1, "forget @"+bar1.ID); a.Code != kitchen.AskForget {
		t.Errorf("by their own id: %+v", a)
	}
	if a := w.say(lead, "forget me"); a.Code != kitchen.RefuseListed {
		t.Errorf("a manager who is configured: %+v", a)
	}
	if a := w.say(lead, "forget @nobody-here"); a.Code != kitchen.RefuseNobody {
		t.Errorf("nobody: %+v", a)
	}
	// each forgetting has its own token
	for n, who := range []kitchen.Person{bar1, bar2} {
		a := w.tap(lead, w.say(lead, "forget @"+who.Name).Choices[0].Tap)
		if want := []string{"hand-0001", "hand-0002"}[n]; a.Title != want {
			t.Errorf("%s is now %q, want %q", who.Name, a.Title, want)
		}
	}
}
