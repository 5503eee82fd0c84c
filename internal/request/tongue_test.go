package request

import (
	"strings"
	"testing"

	"ventbell/internal/book"
)

func TestALineIsInTheLanguageItWasWrittenIn(t *testing.T) {
	t.Parallel()
	r := NewReader(bar())
	for _, w := range []struct{ line, own, want string }{
		{"start pepper tequila 500ml", "es", "en"},
		{"empieza tequila de chile", "fr", "es"},
		{"lance un gin rhubarbe", "en", "fr"},
		{"vidé A", "en", "fr"},
		{"venteado A", "fr", "es"},
		// Where nothing tells, it is the kitchen's own.
		{"A", "fr", "fr"},
		{"500", "es", "es"},
		{"👍", "fr", "fr"},
		{"gin 500", "es", "es"},
		{"ok", "", "en"},
	} {
		if g := r.Read(w.line, Context{Now: evening, Language: w.own}); g.Language != w.want {
			t.Errorf("%q in a kitchen of %q is in %q, want %q", w.line, w.own, g.Language, w.want)
		}
	}
}

func TestABookWithoutAContextGivesItsOwnLanguage(t *testing.T) {
	t.Parallel()
	b := &book.Book{House: book.House{Language: "fr"}}
	if g := Read("👍", Context{Book: b}); g.Language != "fr" {
		t.Errorf("it is in %q", g.Language)
	}
}

func TestABookInAnotherLanguageIsReadInEveryOne(t *testing.T) {
	t.Parallel()
	b := &book.Book{
		House:      book.House{Country: "ES", Language: "es"},
		Vessels:    []book.Vessel{{Tag: "A"}},
		Liquids:    []book.Liquid{{Name: "ron", Family: book.Spirit}},
		Botanicals: []book.Botanical{{Name: "jengibre", Kind: book.Produce}},
		Recipes:    []book.Recipe{{Name: "ron de jengibre", Solid: "jengibre", Base: "ron"}},
	}
	r := NewReader(b)
	for _, line := range []string{"ginger rum 400", "rhum au gingembre 400", "ron de jengibre 400", "gingembre rum 40cl"} {
		if g := r.Read(line, Context{Now: evening}); g.Request == nil || g.Request.Recipe != "ron de jengibre" {
			t.Errorf("%q reads as %s", line, show(g))
		}
	}
}

func TestAnAmericanHouseMeansItsOwnNumbers(t *testing.T) {
	t.Parallel()
	b := bar()
	b.House.Country, b.House.Bottle = "US", 0
	r := NewReader(b)
	for line, want := range map[string]string{
		"ginger gin 16":       "start ginger gin 473.1840ml",
		"ginger gin 1 bottle": "start ginger gin 750ml",
		"ginger gin 500 40":   "? which meant 40: start ginger gin 500ml 40°C | start ginger gin 500ml 4.4°C | start ginger gin 500ml 40g",
		"ginger gin 500 40 F": "start ginger gin 500ml 4.4°C",
		"ginger gin 2 shots":  "start ginger gin 88ml",
	} {
		if got := brief(r.Read(line, Context{Now: evening})); got != want {
			t.Errorf("%q reads as %q, want %q", line, got, want)
		}
	}
}

func TestALimonIsWhatTheCountryCallsSo(t *testing.T) {
	t.Parallel()
	b := bar()
	for country, want := range map[string]string{
		"ES": "? not house ginebra con limón: start lemon peel gin 400ml as class",
		"MX": "? not house ginebra con limón: start lime peel gin 400ml as class",
		"BE": "? which meant ginebra con limón: start lemon peel gin 400ml as class | start lime peel gin 400ml as class",
	} {
		b.House.Country = country
		if got := brief(NewReader(b).Read("ginebra con limón 400", Context{Now: evening})); !strings.HasPrefix(got, want) {
			t.Errorf("in %s it reads as %q", country, got)
		}
	}
}

func TestAQuartIsWhatTheLanguageMeansByIt(t *testing.T) {
	t.Parallel()
	r := NewReader(bar())
	for line, want := range map[string]string{
		"quart of rum coffee":          "start coffee rum 946.3680ml",
		"a quart of coffee rum":        "start coffee rum 946.3680ml",
		"rhum café, un quart":          "start coffee rum 250ml",
		"un quart de litre de gin fou": "! unknown recipe fou",
		"quart rhum café":              "start coffee rum 250ml",
		// Where nothing tells the language.
		"quart gin basil basilic": "? which meant quart: start basil gin 250ml | start basil gin 946.3680ml",
	} {
		if got := brief(r.Read(line, Context{Now: evening})); got != want {
			t.Errorf("%q reads as %q, want %q", line, got, want)
		}
	}
}

func TestALineOfTooManyWordsIsOnlyLookedThroughForTrouble(t *testing.T) {
	t.Parallel()
	r := NewReader(bar())
	long := strings.Repeat("blah ", mostWords+1)
	if g := r.Read(long, Context{Now: evening}); g.Problem == nil || g.Problem.Code != TooLong {
		t.Errorf("it reads as %s", show(g))
	}
	if g := r.Read(long+"my hand is burned", Context{Now: evening}); g.Request == nil || g.Request.Kind != Burn {
		t.Errorf("with trouble in it it reads as %s", show(g))
	}
}
