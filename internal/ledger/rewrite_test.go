package ledger

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"ventbell/internal/kitchen"
)

// rewriting is a ledger whose log can be written anew.
type rewriting interface {
	Rewrite(ctx context.Context, id string, w Rewriting) (int, error)
}

func TestRewriting(t *testing.T) {
	t.Parallel()
	places(t, []conformance{
		{"the log and the records are written anew, and nothing else", writtenAnew},
		{"what cannot be read is left alone", leftAlone},
	})
}

// swap puts x in the place of the one who did a thing.
var swap = Rewriting{
	Line: func(l kitchen.Line) (kitchen.Line, bool) {
		if l.By.ID != "U1" {
			return l, false
		}
		l.By = kitchen.Person{ID: "x", Name: "x"}
		return l, true
	},
	Record: func(body []byte) ([]byte, bool, error) {
		return bytes.ReplaceAll(body, []byte("U1"), []byte("x")), bytes.Contains(body, []byte("U1")), nil
	},
	Batches: 3,
}

func writtenAnew(t *testing.T, p place) {
	k := p.keeper()
	by := func(id, event, who string) kitchen.Line {
		return kitchen.Line{V: 1, Kitchen: id, Event: event, By: kitchen.Person{ID: who, Name: who}, Done: exact, Entered: exact}
	}
	rev := commit(t, k, "main", "", "r1", kitchen.Change{
		Log:     []kitchen.Line{by("main", "one", "U1"), by("main", "two", "U2"), by("main", "three", "U1")},
		Archive: []kitchen.Record{{Batch: 1, Day: "2026-11-24", Body: []byte("by U1")}, {Batch: 3, Day: "2026-11-24", Body: []byte("by U2")}},
	})
	commit(t, k, "other", "", "r2", kitchen.Change{Log: []kitchen.Line{by("other", "four", "U1")}})
	n, err := k.(rewriting).Rewrite(t.Context(), "main", swap)
	if err != nil || n != 3 {
		t.Fatalf("%d changed, %v", n, err)
	}
	rev = commit(t, k, "main", rev, "r3", kitchen.Change{Log: []kitchen.Line{by("main", "five", "U1")}})
	lines, err := k.Lines(t.Context(), load(t, k, "main", "").Now, 100)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, l := range lines {
		got = append(got, l.Event+" "+l.By.ID)
	}
	same(t, "one x, two U2, three x, four U1, five U1", strings.Join(got, ", "))
	for batch, want := range map[uint32]string{1: "by x", 2: "", 3: "by U2"} {
		body, err := k.Record(t.Context(), "main", batch)
		if err != nil || string(body) != want {
			t.Errorf("record %d is %q, %v", batch, body, err)
		}
	}
	if n, err := k.(rewriting).Rewrite(t.Context(), "main", swap); err != nil || n != 1 {
		t.Errorf("again: %d changed, %v", n, err)
	}
	if s := load(t, k, "main", ""); s.Rev != rev {
		t.Error("the kitchen's revision changed")
	}
}

func leftAlone(t *testing.T, p place) {
	k := p.keeper()
	commit(t, k, "main", "", "r1", kitchen.Change{Archive: []kitchen.Record{{Batch: 1, Day: "2026-11-24", Body: []byte("by U1")}}})
	before := p.dump(t)
	w := swap
	w.Record = func([]byte) ([]byte, bool, error) { return nil, false, kitchen.ErrNewer }
	if _, err := k.(rewriting).Rewrite(t.Context(), "main", w); err == nil {
		t.Error("a record that nobody can read is no error")
	}
	same(t, before, p.dump(t))
}
