package desk_test

import (
	"testing"
	"time"

	"ventbell/internal/kitchen"
)

func TestALookGivesTheKitchenTheBookAndTheLedgersTime(t *testing.T) {
	t.Parallel()
	r := newRoom(t, 1)
	d := r.desk(t)
	empty, err := d.Look(t.Context(), "main")
	if err != nil {
		t.Fatal(err)
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
