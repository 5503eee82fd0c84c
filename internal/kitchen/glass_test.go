package kitchen_test

import (
	"maps"
	"testing"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/glass"
	"ventbell/internal/kitchen"
)

func TestADrinkIsSummedAndChangesNothing(t *testing.T) {
	t.Parallel()
	w := charged(t)
	before, lines := maps.Clone(w.fields), len(w.log)
	const line = "60 rhubarb gin, 10 syrup 1:1, 20 lemon, stirred"
	a := w.say(bar2, "drink "+line)
	drink, problem := glass.Read(line, sample())
	if problem != nil {
		t.Fatal(*problem)
	}
	sums := glass.Sum(drink)
	want := kitchen.Answer{Kind: kitchen.GlassAnswer, Line: line, Glass: &sums, Language: "en", Private: true}
	if diff := cmp.Diff(want, a); diff != "" {
		t.Errorf("answer (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(before, w.fields); diff != "" || len(w.log) != lines {
		t.Errorf("a drink changed the kitchen: %s", diff)
	}
	back, err := kitchen.DecodeAnswer(kitchen.EncodeAnswer(a))
	if err != nil {
		t.Fatal(err)
	}
	want.V = back.V
	if diff := cmp.Diff(want, back); diff != "" {
		t.Errorf("kept and read back:\n%s", diff)
	}
}

func TestALineThatIsNoDrinkIsAnsweredWithOneThatIs(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	a := w.say(bar2, "drink 60 dragonfruit gin, stirred")
	if a.Kind != kitchen.GlassAnswer || a.Glass != nil || a.NoGlass == nil || a.NoGlass.Code != glass.UnknownPart {
		t.Fatalf("answer %+v", a)
	}
	if again := w.say(bar2, "drink "+a.NoGlass.Example); again.Glass == nil {
		t.Errorf("the example %q gives %+v", a.NoGlass.Example, again)
	}
	back, err := kitchen.DecodeAnswer(kitchen.EncodeAnswer(a))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(a.NoGlass, back.NoGlass); diff != "" {
		t.Error(diff)
	}
}
