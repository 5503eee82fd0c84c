package app

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/ledger"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// learnt keeps a kitchen that made rhubarb gin three times, in a ledger of its own.
func learnt(t *testing.T) (where string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "kitchen.db")
	l, err := ledger.OpenFile(path, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	k, err := kitchen.Decode("main", nil)
	if err != nil {
		t.Fatal(err)
	}
	var made []kitchen.Weighing
	for n, taste := range []request.Verdict{request.Weak, request.Right, request.Weak} {
		made = append(made, kitchen.Weighing{
			In: 400 * quantity.Millilitre, Solids: 80 * quantity.Gram, Out: 340 * quantity.Millilitre, Batch: uint32(n + 1), Made: uint32(20781 + n),
			Meant: 120, Rest: 130, Contact: 380, Taste: taste, Solid: request.Spent,
		})
	}
	k.History = kitchen.History{V: 1, Weighed: map[string][]kitchen.Weighing{"rhubarb gin": made}}
	if _, _, err := l.Commit(t.Context(), "main", "", "", kitchen.Change{Set: k.Encode()}); err != nil {
		t.Fatal(err)
	}
	return "file:" + path
}

func TestAPlanRestsOnWhatANamedKitchenLearned(t *testing.T) {
	t.Parallel()
	where := learnt(t)
	got := planned(t, "--kitchen", "main", "--ledger", where, "rhubarb gin 400ml in A")
	last := got["last_results"].([]any)
	want := map[string]any{"made": "2026-11-26", "out_ml": 340.0, "rest_s": 130.0, "contact_s": 380.0, "taste": "weak", "solids": "spent"}
	if diff := cmp.Diff(want, last[0]); diff != "" || len(last) != 3 {
		t.Errorf("%d results, the latest (-want +got):\n%s", len(last), diff)
	}
	proposal := map[string]any{
		"figure": "rest", "why": "weak", "said": 2.0, "of": 3.0, "unit": "s", "from": 120.0, "to": 140.0, "low": 60.0, "high": 300.0,
		"type": "start rhubarb gin 400ml in A rest 140s",
	}
	if diff := cmp.Diff(proposal, got["proposal"]); diff != "" {
		t.Errorf("proposal (-want +got):\n%s", diff)
	}
	if at(t, got, "yield_ml") != 340 || at(t, got, "rest_s") != 120 {
		t.Errorf("yield %v and rest %v, want the mean of the house and the book's own rest", got["yield_ml"], got["rest_s"])
	}
	plain := planned(t, "rhubarb gin 400ml in A")
	if plain["last_results"] != nil || plain["proposal"] != nil || at(t, plain, "yield_ml") == 340 {
		t.Errorf("without a kitchen the plan knows of %v", plain["last_results"])
	}
}

func TestAKitchenThatIsNotThereIsNoPlan(t *testing.T) {
	t.Parallel()
	for _, args := range [][]string{
		{"--kitchen", "bar", "--ledger", learnt(t), "rhubarb gin 400ml"},
		{"--kitchen", "main", "--ledger", "file:" + filepath.Join(t.TempDir(), "none.db"), "rhubarb gin 400ml"},
	} {
		if status, err := Main(t.Context(), append([]string{"plan"}, args...), nil, t.Output(), t.Output()); status == 0 || err == nil {
			t.Errorf("plan %q: status %d, %v", args, status, err)
		}
	}
}
