package request

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestALineThatBeginsWithDrinkKeepsItsRest(t *testing.T) {
	t.Parallel()
	r := NewReader(house())
	for _, w := range []struct {
		line string
		open []Open
		want Reading
	}{
		{
			"drink 60 rhubarb gin, 10 syrup 1:1, 20 lemon, stirred", idle,
			yes(Request{Verb: Drink, Text: "60 rhubarb gin, 10 syrup 1:1, 20 lemon, stirred"}),
		},
		{"@bell Drink 60 gin + 20 lime", idle, yes(Request{Verb: Drink, Text: "60 gin + 20 lime"})},
		{"/bell drink 60 gin\n20 lime", idle, yes(Request{Verb: Drink, Text: "60 gin\n20 lime"})},
		{"drink: 60 gin", idle, yes(Request{Verb: Drink, Text: ": 60 gin"})},
		// What looks like a step in it is none, whatever is open.
		{"drink vented A, strained A 300ml", shift, yes(Request{Verb: Drink, Text: "vented A, strained A 300ml"})},
		{"drink", shift, yes(Request{Verb: Drink})},
		{"drink ?", shift, yes(Request{Verb: Drink, Text: "?"})},
	} {
		g := r.Read(w.line, Context{Now: evening, Open: w.open})
		g.Language = ""
		if diff := cmp.Diff(w.want, g); diff != "" {
			t.Errorf("%q (-want +got):\n%s", w.line, diff)
		}
	}
}

func TestAnywhereElseDrinkIsAWordOfItsName(t *testing.T) {
	t.Parallel()
	r := NewReader(house())
	for _, line := range []string{"start drink", "start vanilla oat drink 400ml", "a drink please"} {
		if g := r.Read(line, Context{Now: evening}); g.Request != nil && g.Request.Verb == Drink {
			t.Errorf("%q reads as %s", line, show(g))
		}
	}
}

func TestADrinkReadsBackFromItsOwnLine(t *testing.T) {
	t.Parallel()
	for name, r := range books() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(rt *rapid.T) {
				c := anyContext(rt, r)
				line := "drink " + anyLine(rt, r)
				if rapid.Bool().Draw(rt, "text") {
					line = "drink " + rapid.String().Draw(rt, "string")
				}
				g := r.Read(line, c)
				if g.Request == nil || g.Request.Verb != Drink {
					rt.Fatalf("%q reads as %s", line, show(g))
				}
				if err := checkRequest(r, *g.Request, c); err != nil {
					rt.Fatal(err)
				}
			})
		})
	}
}
