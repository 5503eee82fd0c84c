package app

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ventbell/internal/book"
	"ventbell/internal/glass"
	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// drinkCommand runs the command and gives its exit status and what it printed.
func drinkCommand(t *testing.T, args ...string) (int, string) {
	t.Helper()
	var out, complaints strings.Builder
	status, err := Main(t.Context(), append([]string{"drink"}, args...), nil, &out, &complaints)
	if err != nil {
		t.Fatalf("drink %q: %v", args, err)
	}
	return status, out.String()
}

func TestDrinkTellsAGlassInEightLines(t *testing.T) {
	t.Parallel()
	status, out := drinkCommand(t, "60 rhubarb gin,", "10 syrup 1:1, 20 lemon, stirred")
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if status != 0 || len(lines) > 8 || !strings.HasPrefix(out, "Strength about ") {
		t.Errorf("status %d, %d lines:\n%s", status, len(lines), out)
	}
	if !strings.Contains(out, "Use of rhubarb gin: ") {
		t.Errorf("the recipe's use is not told:\n%s", out)
	}
}

func TestDrinkPrintsOneJSONObject(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "book.yaml")
	if err := os.WriteFile(file, book.SampleYAML(), 0o600); err != nil {
		t.Fatal(err)
	}
	status, out := drinkCommand(t, "--json", "--book", file, "50 gin 40%, 22 lime, 22 syrup 1:1, dilution 30%")
	var got map[string]any
	if err := json.Unmarshal([]byte(out), &got); err != nil || status != 0 {
		t.Fatalf("status %d, %v:\n%s", status, err, out)
	}
	for _, key := range []string{
		"name", "parts", "volume_ml", "abv", "alcohol_g", "standard_drinks", "sugar_g_per_100ml", "acid_percent",
	} {
		if _, ok := got[key]; !ok {
			t.Errorf("no %s in\n%s", key, out)
		}
	}
	for _, key := range []string{"problem", "hint"} {
		if _, ok := got[key]; ok {
			t.Errorf("%s in\n%s", key, out)
		}
	}
	var figures struct {
		AlcoholG float64            `json:"alcohol_g"`
		Drinks   map[string]float64 `json:"standard_drinks"`
		ABV      map[string]float64 `json:"abv"`
	}
	if err := json.Unmarshal([]byte(out), &figures); err != nil {
		t.Fatal(err)
	}
	// 20 ml of pure alcohol, worked out apart from this code, to the last digit.
	if figures.AlcoholG != 15.8 || figures.Drinks["us"] != 1.13 || figures.Drinks["uk_units"] != 2 || figures.Drinks["ten_g"] != 1.58 {
		t.Errorf("%+v", figures)
	}
	if figures.ABV["low"] != figures.ABV["high"] {
		t.Errorf("a stated strength and a stated dilution have no band: %v", figures.ABV)
	}
}

func TestDrinkEndsWithTwoAndSaysWhatToType(t *testing.T) {
	t.Parallel()
	status, out := drinkCommand(t, "60 dragonfruit gin")
	if status != exitProblem || !strings.Contains(out, "Type drink 60 ml ") {
		t.Errorf("status %d:\n%s", status, out)
	}
	status, out = drinkCommand(t, "--json", "0 gin")
	var got map[string]string
	if err := json.Unmarshal([]byte(out), &got); err != nil || status != exitProblem {
		t.Fatalf("status %d, %v:\n%s", status, err, out)
	}
	if len(got) != 2 || got["problem"] == "" || got["hint"] != "Type drink 30 ml gin." {
		t.Errorf("%v", got)
	}
}

// The glass and the plan work the same infusion out, each for itself. A drink
// that is a house's serve of it and nothing else has the strength, the serves
// and the cost of the plan for one house batch. To a tenth of a percent and, as
// the plan rounds the cost of a batch first, a cent.
func TestDrinkAgreesWithThePlan(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, r := range b.Recipes {
		if r.Product == book.SolidKept { // eaten, not poured
			continue
		}
		p, problem := plan.Make(b, request.Request{Verb: request.Start, Recipe: r.Name, Volume: r.Batch}, b.Vessels, plan.Input{})
		if problem != nil {
			t.Errorf("%s: no plan: %+v", r.Name, *problem)
			continue
		}
		f := p.Figures
		drink, none := glass.Read(f.Serve.String()+" "+r.Name, b)
		if none != nil {
			t.Errorf("%s: %+v", r.Name, *none)
			continue
		}
		s := glass.Sum(drink)
		if math.Abs(s.ABV.Low-f.ABVLow) > 0.1 || math.Abs(s.ABV.High-f.ABVHigh) > 0.1 {
			t.Errorf("%s: %.1f to %.1f %% in the glass, %.1f to %.1f by the plan", r.Name, s.ABV.Low, s.ABV.High, f.ABVLow, f.ABVHigh)
		}
		if s.Serves != f.Serves || s.Cost < f.CostPerServe-1 || s.Cost > f.CostPerServe+1 {
			t.Errorf("%s: %d serves at %d in the glass, %d at %d by the plan", r.Name, s.Serves, s.Cost, f.Serves, f.CostPerServe)
		}
	}
}
