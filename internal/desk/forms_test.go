package desk_test

import (
	"bytes"
	"log/slog"
	"maps"
	"strings"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/desk"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
)

func TestALookGivesTheKitchenTheBookAndTheLedgersTime(t *testing.T) {
	t.Parallel()
	r := newRoom(t, 1)
	d := r.desk(t)
	empty, err := d.Look(t.Context(), "main")
	if err != nil {
		t.Fatal(err)
	}
	if len(empty.State.Head.Team.Managers) != 1 {
		t.Errorf("before anybody spoke its team is %+v", empty.State.Head.Team)
	}
	if len(empty.State.Batches) != 0 || empty.Book != d.Book {
		t.Errorf("a kitchen never heard of is %+v", empty.State)
	}
	heard, err := d.Heard(t.Context(), "main", say("req-1", "start rhubarb gin 400ml in A"))
	if err != nil {
		t.Fatal(err)
	}
	_, before := r.state(t)
	look, err := d.Look(t.Context(), "main")
	if err != nil {
		t.Fatal(err)
	}
	if b := look.State.Batches[1]; b == nil || b.Vessel != "A" || look.Answer.Kind != "" {
		t.Errorf("the look shows %+v and answers %+v", look.State.Batches, look.Answer)
	}
	for name, reply := range map[string]struct {
		now  time.Time
		book any
	}{"heard": {heard.Now, heard.Book}, "look": {look.Now, look.Book}} {
		if reply.book != any(d.Book) || reply.now.Before(empty.Now) || reply.now.Sub(empty.Now) > time.Minute || reply.now.Location() != time.UTC {
			t.Errorf("%s: at %v, with the book %p", name, reply.now, reply.book)
		}
	}
	if _, after := r.state(t); before.Rev != after.Rev {
		t.Error("a look wrote something")
	}
}

func TestAFormIsOpenedWithoutARecordAndKeptWhenItComesBack(t *testing.T) {
	t.Parallel()
	r := newRoom(t, 1)
	d := r.desk(t)
	_, before := r.state(t)
	open, err := d.Heard(t.Context(), "main", kitchen.Command{ID: "open-1", Open: kitchen.FormStart, Text: "rhubarb gin", By: bar1})
	if err != nil {
		t.Fatal(err)
	}
	if a := open.Answer; a.Kind != kitchen.OpenForm || a.Form != kitchen.FormStart || a.Line != "rhubarb gin" || open.Book == nil {
		t.Errorf("answered %+v", a)
	}
	if _, after := r.state(t); before.Rev != after.Rev {
		t.Error("asking for a form wrote something")
	}
	form := kitchen.Command{ID: "form-1", By: bar1, Form: &kitchen.Filled{
		Name: string(kitchen.FormStart), Fields: map[string]string{kitchen.FieldRecipe: "rhubarb gin", kitchen.FieldVolume: "400ml"},
	}}
	for range 2 { // it arrives twice
		reply, err := d.Heard(t.Context(), "main", form)
		if err != nil {
			t.Fatal(err)
		}
		if reply.Answer.Kind != kitchen.Done || len(reply.State.Batches) != 1 {
			t.Errorf("answered %+v, %d batches", reply.Answer, len(reply.State.Batches))
		}
	}
	form.ID, form.Form = "form-2", &kitchen.Filled{
		Name: string(kitchen.FormReading), Carry: "1.1", Fields: map[string]string{kitchen.FieldLine: "start ginger gin 300ml"},
	}
	for range 2 {
		reply, err := d.Heard(t.Context(), "main", form)
		if err != nil {
			t.Fatal(err)
		}
		if reply.Answer.Kind != kitchen.Done || reply.Answer.Replaced != 1 || len(reply.State.Batches) != 2 {
			t.Errorf("answered %+v, %d batches", reply.Answer, len(reply.State.Batches))
		}
	}
}

func TestALanesTroubleIsKeptOnce(t *testing.T) {
	t.Parallel()
	r := newRoom(t, 1)
	d := r.desk(t)
	trouble := func(id, reason string) *kitchen.Kitchen {
		t.Helper()
		reply, err := d.Heard(t.Context(), "main", kitchen.Command{ID: id, Trouble: &kitchen.Trouble{Lane: "C1", Reason: reason}})
		if err != nil {
			t.Fatal(err)
		}
		return reply.State
	}
	trouble("t-1", "channel archived")
	_, before := r.state(t)
	trouble("t-2", "channel archived")
	k, after := r.state(t)
	if before.Rev != after.Rev || len(k.Head.Troubles) != 1 {
		t.Errorf("told twice: revisions %s and %s, troubles %+v", before.Rev, after.Rev, k.Head.Troubles)
	}
	trouble("t-3", "")
	if k, _ := r.state(t); len(k.Head.Troubles) != 0 {
		t.Errorf("over, and still noted: %+v", k.Head.Troubles)
	}
}

// changes fills in the form that changes a recipe, from how it stands.
func (r *room) changes(t *testing.T, d *desk.Desk, id string, set map[string]string) kitchen.Answer {
	t.Helper()
	open, err := d.Heard(t.Context(), "main", kitchen.Command{ID: "open-" + id, By: lead, Tap: &kitchen.Tap{Line: "rhubarb gin", With: "form:recipe"}})
	if err != nil {
		t.Fatal(err)
	}
	fields, err := book.Values(book.EntryText(open.Book.Text, book.PartRecipes, open.Answer.Line))
	if err != nil {
		t.Fatal(err)
	}
	maps.Copy(fields, set)
	saved, err := d.Heard(t.Context(), "main", kitchen.Command{ID: "save-" + id, By: lead, Form: &kitchen.Filled{
		Name: string(kitchen.FormRecipe), Carry: open.Answer.EntryCarry(), Fields: fields,
	}})
	if err != nil {
		t.Fatal(err)
	}
	return saved.Answer
}

func TestAnEditOfTheBookIsThereForEveryReplicaAtOnce(t *testing.T) {
	t.Parallel()
	r := newRoom(t, 1)
	one, two := r.desk(t), r.desk(t)
	solids := func(d *desk.Desk, id, vessel string) quantity.Mass {
		t.Helper()
		reply, err := d.Heard(t.Context(), "main", say(id, "start rhubarb gin 400ml in "+vessel))
		if err != nil || reply.Answer.Kind != kitchen.Done {
			t.Fatalf("answered %+v, %v", reply.Answer, err)
		}
		return reply.State.Batches[reply.Answer.Batch].Solids[0].Mass
	}
	if got := solids(two, "s-1", "A"); got != 80*quantity.Gram {
		t.Errorf("by the file %s", got)
	}
	if a := r.changes(t, one, "1", map[string]string{"ratio": "25 g/100ml"}); a.Kind != kitchen.Saved || a.N != 1 {
		t.Fatalf("answered %+v", a)
	}
	if got := solids(two, "s-2", "B"); got != 100*quantity.Gram {
		t.Errorf("by the other replica's edit %s", got)
	}
	if a := r.changes(t, two, "2", map[string]string{"ratio": "22 g/100ml"}); a.Kind != kitchen.Saved || a.N != 2 {
		t.Fatalf("answered %+v", a)
	}
	look, err := one.Look(t.Context(), "main")
	if err != nil {
		t.Fatal(err)
	}
	if recipe, _ := look.Book.Recipe("rhubarb gin"); recipe.Ratio != 22*quantity.GramsPer100 {
		t.Errorf("a look shows %s", recipe.Ratio)
	}
	if again, err := one.Look(t.Context(), "main"); err != nil || again.Book != look.Book {
		t.Errorf("the book is read anew without an edit: %v", err)
	}
	other, err := one.Look(t.Context(), "bar")
	if err != nil || other.Book != one.Book {
		t.Errorf("another kitchen's book is edited, too: %v", err)
	}
}

func TestAnEditThatDoesNotFitTheFileAnyMoreIsLeftOutLoudly(t *testing.T) {
	t.Parallel()
	r := newRoom(t, 1)
	r.changes(t, r.desk(t), "1", map[string]string{"ratio": "25 g/100ml"})
	text, err := book.Amend(book.SampleYAML(), book.Edit{Part: book.PartRecipes, Name: "rhubarb gin"}, book.Edit{Part: book.PartBotanicals, Name: "rhubarb"})
	if err != nil {
		t.Fatal(err)
	}
	d := r.desk(t)
	if d.Book, err = book.Parse(text); err != nil {
		t.Fatal(err)
	}
	var log bytes.Buffer
	d.Log = slog.New(slog.NewTextHandler(&log, nil))
	for range 2 {
		look, err := d.Look(t.Context(), "main")
		if err != nil {
			t.Fatal(err)
		}
		if _, there := look.Book.Recipe("rhubarb gin"); there {
			t.Error("the recipe is there without its solid")
		}
	}
	if n := strings.Count(log.String(), "level=ERROR"); n != 1 || !strings.Contains(log.String(), "rhubarb gin") {
		t.Errorf("logged %d times: %s", n, log.String())
	}
}
