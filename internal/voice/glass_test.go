package voice

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/glass"
	"ventbell/internal/kitchen"
)

func speaking(t *testing.T, language string) Voice {
	t.Helper()
	v, err := New(language, time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// bar is a small book with figures that nobody changes.
func bar() *book.Book {
	return &book.Book{
		House: book.House{Country: "BE", Currency: "EUR", ChargerPrice: 70},
		Liquids: []book.Liquid{
			{Name: "gin", Family: book.Spirit, Strength: 400, Price: 2400},
			{Name: "dry vermouth", Family: book.Wine, Strength: 180, Allergens: []string{"sulphites"}, Price: 1300},
			{Name: "cider vinegar", Family: book.Vinegar},
		},
		Botanicals: []book.Botanical{
			{Name: "rhubarb", Kind: book.Fruit, Water: 936, Retention: 100, Price: 400},
			{Name: "hazelnut", Kind: book.Roast, Water: 25, Dry: true, Retention: 800, Allergens: []string{"nuts"}, Price: 1800},
		},
		Recipes: []book.Recipe{
			{
				Name: "rhubarb gin", Solid: "rhubarb", Base: "gin", Batch: 400_000, Ratio: 20_000, Chargers: 2,
				Use: "long with tonic, or short with lemon",
			},
			{Name: "hazelnut gin", Solid: "hazelnut", Base: "gin", Batch: 400_000, Ratio: 18_000, Chargers: 2, Use: "over one big cube"},
		},
	}
}

func answered(t *testing.T, line string) Message {
	t.Helper()
	a := kitchen.Answer{Kind: kitchen.GlassAnswer, Line: line, Private: true}
	d, p := glass.Read(line, bar())
	if a.NoGlass = p; p == nil {
		sums := glass.Sum(d)
		a.Glass = &sums
	}
	return speaking(t, "en").Answer(&kitchen.Kitchen{}, a)
}

// The costs, apart from this code: 400 ml of gin at 24.00 a litre, 80 g of
// rhubarb at 4.00 a kilogram and two chargers make 11.32 and give 384 ml, so 60
// ml cost 1.77; with 72 g of nuts at 18.00 it is 12.30 for 334 ml, 1.10 for 30.
func TestADrinkIsToldInSixLines(t *testing.T) {
	t.Parallel()
	for _, w := range []struct{ line, want string }{
		{
			"60 rhubarb gin, 10 syrup 1:1, 20 lemon, stirred",
			`Strength about 20 %, 17 to 21: 60 ml rhubarb gin, 10 ml syrup 1:1, 20 ml lemon juice, stirred.
In the glass about 110 ml, 108 to 117: sugar 6 g to 100 ml, acid 1.1 %. Not counted, the book does not tell it: sugar and acid of rhubarb.
Water from the ice, of what was poured: about 22.5 %, 20 to 30. Bottled ready: 184 ml of water to the litre.
Alcohol about 17 g, 16 to 18: 1.2 US drinks of 14 g, 2.2 UK units of 10 ml, 1.7 drinks of 10 g.
Cost 1.77 EUR without syrup 1:1, lemon juice. A house batch of rhubarb gin gives 6.
Use of rhubarb gin: long with tonic, or short with lemon.`,
		},
		{
			"40 gin, 5 cider vinegar, 80 soda",
			`Strength 13 %: 40 ml gin, 5 ml cider vinegar, 80 ml soda water, as poured.
In the glass 125 ml: sugar 0 g to 100 ml, acid 0 %. Not counted, the book does not tell it: acid of cider vinegar.
No water from ice is counted: add built, stirred, shaken or blended.
Alcohol 13 g: 0.9 US drinks of 14 g, 1.6 UK units of 10 ml, 1.3 drinks of 10 g.`,
		},
		{
			"30 hazelnut gin, 30 dry vermouth, 1 egg white, dilution 25%",
			`Strength 15 %: 30 ml hazelnut gin, 30 ml dry vermouth, 30 ml egg white, dilution 25 %.
In the glass 113 ml: sugar 0 g to 100 ml, acid 0 %. Not counted, the book does not tell it: sugar of dry vermouth.
Water from the ice, of what was poured: 25 %. Bottled ready: 200 ml of water to the litre.
Alcohol 14 g: 1 US drinks of 14 g, 1.7 UK units of 10 ml, 1.4 drinks of 10 g.
Cost 1.49 EUR without egg white. A house batch of hazelnut gin gives 11.
Contains at least nuts, sulphites, eggs. Use of hazelnut gin: over one big cube.`,
		},
		{"40 gin", `Strength 40 %: 40 ml gin, as poured.
In the glass 40 ml: sugar 0 g to 100 ml, acid 0 %.
No water from ice is counted: add built, stirred, shaken or blended.
Alcohol 13 g: 0.9 US drinks of 14 g, 1.6 UK units of 10 ml, 1.3 drinks of 10 g.
Cost 0.96 EUR.`},
		{
			"60 dragonfruit gin, shaken",
			`dragonfruit gin is not in the book, nor behind the bar.
Nearest: hazelnut gin, rhubarb gin, gin. Type drink 60 ml hazelnut gin, shaken.`,
		},
		{"gin", "How much gin?\nType drink 30 ml gin."},
	} {
		got := answered(t, w.line)
		if diff := cmp.Diff(w.want, got.Plain()); diff != "" {
			t.Errorf("%q (-want +got):\n%s", w.line, diff)
		}
		if len(got.Lines) > 6 {
			t.Errorf("%q takes %d lines", w.line, len(got.Lines))
		}
	}
}

func TestADrinkIsToldInEightLinesWhereThereIsRoom(t *testing.T) {
	t.Parallel()
	d, p := glass.Read("30 hazelnut gin, 30 rhubarb gin, 1 egg white, 20 lemon, shaken", bar())
	if p != nil {
		t.Fatal(*p)
	}
	lines := speaking(t, "en").GlassLines(glass.Sum(d))
	if len(lines) > 8 || !strings.HasPrefix(lines[len(lines)-1], "Estimates") {
		t.Errorf("%d lines: %q", len(lines), lines)
	}
}
