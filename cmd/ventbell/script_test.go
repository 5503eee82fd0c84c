package main_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
)

// object runs one of the commands for scripts and gives the one object that it
// prints.
func object(t *testing.T, wantStatus int, args ...string) map[string]any {
	t.Helper()
	c := ventbell(t, nil, args...)
	if status := c.ended(patience); status != wantStatus {
		t.Fatalf("%q ended with status %d, want %d: %s", args, status, wantStatus, c.log.String())
	}
	var got map[string]any
	if err := json.Unmarshal([]byte(c.out.String()), &got); err != nil {
		t.Fatalf("%q printed no single object: %v\n%s", args, err, c.out.String())
	}
	return got
}

// only leaves of a printed value what the wanted one names: fields may be added.
func only(got, want any) any {
	switch want := want.(type) {
	case map[string]any:
		if got, ok := got.(map[string]any); ok {
			kept := map[string]any{}
			for key, value := range want {
				if _, has := got[key]; has {
					kept[key] = only(got[key], value)
				}
			}
			return kept
		}
	case []any:
		if got, ok := got.([]any); ok && len(got) == len(want) {
			var kept []any
			for i := range want {
				kept = append(kept, only(got[i], want[i]))
			}
			return kept
		}
	}
	return got
}

func TestReadPrintsHowALineIsUnderstood(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		line string
		want map[string]any
	}{
		{"start pepper tequila 500ml", map[string]any{
			"kind": "request", "language": "en", "verb": "start", "recipe": "pepper tequila", "volume_ml": 500.0,
		}},
		{"start pepper tequila 0.4 l 60 g rest 75 s 21 C in B x2", map[string]any{
			"kind": "request", "language": "en", "verb": "start", "recipe": "pepper tequila", "volume_ml": 400.0, "count": 2.0,
			"vessel": "B", "solids_g": 60.0, "rest_s": 75.0, "liquid_temp_c": 21.0,
		}},
		{"strained A 345", map[string]any{"kind": "request", "language": "en", "verb": "strained", "vessel": "A", "volume_ml": 345.0}},
	} {
		got := object(t, 0, "read", "--json", c.line)
		if echo, ok := got["echo"].(string); !ok || echo == "" || strings.Contains(echo, "\n") {
			t.Errorf("%q: echo %q is not one line", c.line, got["echo"])
		}
		delete(got, "echo")
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%q (-want +got):\n%s", c.line, diff)
		}
	}
}

func TestReadAsksAndRefusesAsOneObject(t *testing.T) {
	t.Parallel()
	got := object(t, 0, "read", "--json", "ginger vodka 400ml")
	options, _ := got["options"].([]any)
	if got["kind"] != "question" || got["question"] == "" || len(options) < 2 {
		t.Errorf("a question: %v", got)
	}
	got = object(t, 0, "read", "--json", "moonstone tequila 500ml")
	if got["kind"] != "problem" || got["problem"] == nil || got["hint"] == nil {
		t.Errorf("a problem: %v", got)
	}
}

func TestPlanPrintsTheWholePlan(t *testing.T) {
	t.Parallel()
	got := object(t, 0, "plan", "--json", "start pepper tequila 500ml")
	steps, _ := got["steps"].([]any)
	var did []string
	last := -1.0
	for _, s := range steps {
		step, _ := s.(map[string]any)
		at, _ := step["at_s"].(float64)
		do, _ := step["do"].(string)
		do, _, _ = strings.Cut(do, " ") // which charger may follow
		if at < last {
			t.Errorf("step %q at %v s stands after one at %v s", do, at, last)
		}
		last = at
		did = append(did, do)
	}
	want := []string{
		"weigh", "fill", "charge", "swirl", "charge", "swirl", "rest", "vent", "strain", "settle", "label", "store",
	}
	if diff := cmp.Diff(want, did); diff != "" {
		t.Errorf("steps (-want +got):\n%s", diff)
	}
	if notes, ok := got["notes"].([]any); !ok || len(notes) == 0 {
		t.Errorf("notes are %v", got["notes"])
	}
	// Two chargers for half a litre, a swirl after each, hot pepper rests about
	// a minute, about a minute of settling: common practice, no source. The
	// other figures are the sample book's.
	wanted := map[string]any{
		"recipe": "pepper tequila",
		"runs": []any{map[string]any{
			"vessel": "A", "liquid_ml": 500.0, "chargers": 2.0, "charge_g": 16.0,
			"solids": []any{map[string]any{
				"name": "hot pepper", "grams": 60.0, "prep": "green hot pepper, 3 mm rings, seeds and white rib out",
			}},
		}},
		"liquid_temp_c": map[string]any{"min": 18.0, "target": 20.0, "max": 24.0},
		"swirl_s":       20.0, "rest_s": 60.0, "rest_min_s": 45.0, "rest_max_s": 90.0, "settle_s": 60.0,
		"strain_first": true, "contact_cap_s": 180.0, "judge_after_s": 600.0,
	}
	if diff := cmp.Diff(any(wanted), only(got, wanted)); diff != "" {
		t.Errorf("plan (-want +got):\n%s", diff)
	}
}

func TestPlanThatCannotBeSaysWhyAndWhatWorks(t *testing.T) {
	t.Parallel()
	for _, line := range []string{"pepper tequila 5l", "moonstone tequila 500ml", "charged A", "ginger vodka 400ml"} {
		got := object(t, 2, "plan", "--json", line)
		problem, _ := got["problem"].(string)
		hint, _ := got["hint"].(string)
		if problem == "" || hint == "" || got["runs"] != nil {
			t.Errorf("%q: %v, want a problem and a hint", line, got)
		}
	}
	if got := object(t, 2, "plan", "--json", "pepper tequila 5l"); !strings.Contains(got["hint"].(string), "start pepper tequila") {
		t.Errorf("the hint does not say what to type: %v", got["hint"])
	}
}

func TestABookOfOnesOwnIsRead(t *testing.T) {
	t.Parallel()
	own := quickBook(t, 2)
	if got := object(t, 0, "plan", "--json", "--book", own, "pepper tequila 500ml"); got["rest_s"] != 3.0 || got["swirl_s"] != 1.0 {
		t.Errorf("rest %v s, swirl %v s, want 3 and 1", got["rest_s"], got["swirl_s"])
	}
	if got := object(t, 0, "read", "--json", "--book", own, "bay vodka"); got["recipe"] != "bay vodka" {
		t.Errorf("read %v", got)
	}
	c := ventbell(t, nil, "check", "--book", own)
	if status := c.ended(patience); status != 0 || !strings.Contains(c.out.String(), " recipes, ") {
		t.Errorf("check ended with status %d: %s", status, c.out.String())
	}
}

func TestABrokenBookShowsItsLine(t *testing.T) {
	t.Parallel()
	broken := strings.Replace(string(book.SampleYAML()), "  country: BE", "  county: BE", 1)
	line := 1 + strings.Count(broken[:strings.Index(broken, "  county")], "\n")
	path := filepath.Join(t.TempDir(), "broken.yaml")
	if err := os.WriteFile(path, []byte(broken), 0o600); err != nil {
		t.Fatal(err)
	}
	want := fmt.Sprintf("line %d: ", line)
	for _, args := range [][]string{
		{"read", "--json", "--book", path, "resting"},
		{"plan", "--json", "--book", path, "pepper tequila"},
		{"check", "--book", path},
	} {
		c := ventbell(t, nil, args...)
		if status := c.ended(patience); status == 0 {
			t.Errorf("%s ended with status 0", args[0])
		}
		if said := c.log.String(); !strings.Contains(said, want) || !strings.Contains(said, "|   county: BE") {
			t.Errorf("%s does not show %s and what stands there: %s", args[0], want, said)
		}
	}
}
