package desk_test

import (
	"testing"
	"time"

	"ventbell/internal/kitchen"
)

// A batch that left its kitchen three days ago is found for who asks where its lot
// went, and taken back and binned like what is still there.
func TestWhatLeftTheKitchenIsFoundForARecall(t *testing.T) {
	t.Parallel()
	r := newRoom(t, 1)
	d := r.desk(t)
	d.Archive, d.Keep = r.ledger, 400*24*time.Hour
	heard := func(cmd kitchen.Command) kitchen.Answer {
		t.Helper()
		reply, err := d.Heard(t.Context(), "main", cmd)
		if err != nil {
			t.Fatal(err)
		}
		return reply.Answer
	}
	heard(say("req-1", "start rhubarb gin 400ml in A"))
	k, state := r.state(t)
	b := *k.Batches[1]
	made := r.clock.Now().AddDate(0, 0, -3)
	m := kitchen.Mark{By: bar1, Done: kitchen.At(made), Entered: kitchen.At(made)}
	b.ID, b.Started, b.Labelled, b.Ended, b.Phase = 90, m, &m, &m, kitchen.Stored
	b.Code, b.Lots = made.Format("060102")+"-rhubarb-gin-b-1", map[string]string{"gin": "7"}
	_, _, err := r.ledger.Commit(t.Context(), "main", state.Rev, "", kitchen.Change{
		Archive: []kitchen.Record{{Batch: b.ID, Day: made.Format(time.DateOnly), Body: kitchen.EncodeBatch(&b)}},
	})
	if err != nil {
		t.Fatal(err)
	}
	if a := heard(say("req-2", "where did lot 7 go")); a.Kind != kitchen.Traced || len(a.Found) != 1 || a.Found[0].ID != 90 {
		t.Fatalf("answered with %+v", a)
	}
	if a := heard(say("req-3", "where did lot 8 go")); a.Kind != kitchen.Refuse || a.Code != kitchen.RefuseUntraced || a.Lacks != nil {
		t.Errorf("answered with %+v", a)
	}
	if a := heard(say("req-4", "trace "+b.Code)); a.Kind != kitchen.Traced || len(a.Found) != 1 {
		t.Errorf("answered with %+v", a)
	}
	sure := kitchen.Command{ID: "req-5", Tap: &kitchen.Tap{Line: "recall lot 7", With: "sure"}, By: bar1}
	if a := heard(sure); a.Kind != kitchen.Done || a.N != 1 {
		t.Fatalf("answered with %+v", a)
	}
	if a := heard(say("req-6", "binned "+b.Code)); a.Kind != kitchen.Done {
		t.Fatalf("answered with %+v", a)
	}
	k, _ = r.state(t)
	if taken, known := k.RecallOf(1); !known || len(taken.Left()) != 0 {
		t.Errorf("recall is %+v", taken)
	}
}
