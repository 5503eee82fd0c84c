package glass

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

func TestALineIsReadAsADrink(t *testing.T) {
	t.Parallel()
	for _, w := range []struct{ line, want string }{
		{"60 rhubarb gin, 10 syrup 1:1, 20 lemon, stirred", "60 ml rhubarb gin, 10 ml syrup 1:1, 20 ml lemon juice, stirred"},
		// Separators, and none.
		{"60 rhubarb gin + 20 lemon and 10 syrup 1:1 and stirred", "60 ml rhubarb gin, 20 ml lemon juice, 10 ml syrup 1:1, stirred"},
		{"60 rhubarb gin 20 lemon 10 syrup 1:1 stirred", "60 ml rhubarb gin, 20 ml lemon juice, 10 ml syrup 1:1, stirred"},
		{"60 gin,20 lemon;10 water & 5 syrup 2:1\nshaken", "60 ml gin, 20 ml lemon juice, 10 ml water, 5 ml syrup 2:1, shaken"},
		// Volumes: before or after, units, marks, fractions.
		{"gin 60, lemon juice 20 ml", "60 ml gin, 20 ml lemon juice"},
		{"60ml of gin, 2,5 cl fresh lime", "60 ml gin, 25 ml lime juice"},
		{"22.5 gin, .5 l soda", "22.5 ml gin, 500 ml soda water"},
		{"1.000 ml gin, 1,000 water", "1 l gin, 1 l water"},
		{"1.5 oz gin, 3/4 fl oz lime, ½ ounce syrup 1:1", "44.4 ml gin, 22.2 ml lime juice, 14.8 ml syrup 1:1"},
		{"1 1/2 gin, 3/4 lime", "44.4 ml gin, 22.2 ml lime juice"},
		{"1½ oz gin, half an ounce of lime", "44.4 ml gin, 14.8 ml lime juice"},
		{"50 gin, 2 dashes bitters, a dash of orange bitters", "50 ml gin, 1.8 ml bitters, 0.9 ml bitters"},
		{"50 gin, one barspoon agave", "50 ml gin, 5 ml agave syrup"},
		{"5 gin, 8 lime", "5 ml gin, 8 ml lime juice"},
		{"50 gin, 1 egg white", "50 ml gin, 30 ml egg white"},
		{"50 gin, egg white, shaken", "50 ml gin, 30 ml egg white, shaken"},
		{"50 gin, 25 ml egg white", "50 ml gin, 25 ml egg white"},
		{"50 gin, 25 egg white", "50 ml gin, 25 ml egg white"},
		// Names: any order, aliases, accents, capitals, words of the method and figures in them.
		{"60 Gin Rhubarb, 5 SYRUP 2:1, 5 2:1 syrup", "60 ml rhubarb gin, 5 ml syrup 2:1, 5 ml syrup 2:1"},
		{"60 chile tequila, 20 líme", "60 ml pepper tequila, 20 ml lime juice"},
		{"60 blended whisky, 60 soda, blended", "60 ml blended whisky, 60 ml soda water, blended"},
		{"60 5 spice rum, 20 lime", "60 ml 5 spice rum, 20 ml lime juice"},
		{"5 spice rum 60, 20 lime", "60 ml 5 spice rum, 20 ml lime juice"},
		{"60 freshly squeezed orange juice", "60 ml orange juice"},
		// Slips of the thumb: one in four or five letters, two above.
		{"60 rhubrab gin, 20 lemmon, 10 sirup 1:1", "60 ml rhubarb gin, 20 ml lemon juice, 10 ml syrup 1:1"},
		{"60 teqilla, 20 tonix", "60 ml tequila, 20 ml tonic water"},
		// Methods.
		{"60 gin, shake over ice", "60 ml gin, shaken"},
		{"60 gin, over ice", "60 ml gin, built"},
		{"60 gin on the rocks", "60 ml gin, built"},
		{"60 gin, neat", "60 ml gin"},
		{"60 gin, stirred, please stir", "60 ml gin, stirred"},
		{"60 gin, dilution 25%", "60 ml gin, dilution 25%"},
		{"60 gin, 12.5 % dilution, over ice", "60 ml gin, dilution 12.5%"},
		{"60 gin, diluted 20", "60 ml gin, dilution 20%"},
		{"60 gin, no dilution", "60 ml gin"},
		// A strength beside a part.
		{"60 gin 47%, 20 lime", "60 ml gin 47%, 20 ml lime juice"},
		{"60 47.5% gin", "60 ml gin 47.5%"},
		{"60 rhubarb gin 36 %", "60 ml rhubarb gin 36%"},
	} {
		d, p := Read(w.line, bar())
		if p != nil {
			t.Errorf("%q: %+v", w.line, *p)
			continue
		}
		if got := d.String(); got != w.want {
			t.Errorf("%q reads as %q, want %q", w.line, got, w.want)
		}
	}
}

func TestAnAmericanHousePoursOunces(t *testing.T) {
	t.Parallel()
	for _, w := range []struct{ country, line, want string }{
		{"US", "2 gin, 0.75 lime", "59.1 ml gin, 22.2 ml lime juice"},
		{"US", "60 gin, 7.5 lime", "60 ml gin, 7.5 ml lime juice"},
		{"US", "2 gin, 1 egg white", "59.1 ml gin, 30 ml egg white"},
		{"BE", "2 gin", "2 ml gin"},
		// A UK fluid ounce is 28.4131 ml (NIST Handbook 44, appendix C).
		{"GB", "2 oz gin", "56.8 ml gin"},
		{"GB", "3/4 gin", "21.3 ml gin"},
	} {
		b := bar()
		b.House.Country = w.country
		d, p := Read(w.line, b)
		if p != nil {
			t.Errorf("%s %q: %+v", w.country, w.line, *p)
		} else if got := d.String(); got != w.want {
			t.Errorf("%s %q reads as %q, want %q", w.country, w.line, got, w.want)
		}
	}
}

func TestWhatIsNoDrinkIsAProblemThatSaysWhatToType(t *testing.T) {
	t.Parallel()
	usual := "60 ml pepper tequila, 20 ml lemon juice, 10 ml syrup 1:1, stirred"
	for _, w := range []struct {
		line string
		want Problem
	}{
		{"", Problem{Code: NothingPoured, Example: usual}},
		{" , + ", Problem{Code: NothingPoured, Example: usual}},
		{"stirred", Problem{Code: NothingPoured, Example: usual}},
		{"10", Problem{Code: UnknownPart, Word: "10", Example: usual}},
		{"60 gin, 20", Problem{Code: UnknownPart, Word: "20", Example: "60 ml gin"}},
		{
			"60 rhubarb vodka, 20 lemon, shaken",
			Problem{
				Code: UnknownPart, Word: "rhubarb vodka", Names: []string{"rhubarb gin", "soda water", "pepper tequila"},
				Example: "60 ml rhubarb gin, 20 ml lemon juice, shaken",
			},
		},
		// A proportion is never guessed.
		{
			"60 gin, 10 syrup 3:1",
			Problem{
				Code: UnknownPart, Word: "syrup 3:1", Names: []string{"syrup 1:1", "syrup 2:1", "honey syrup"},
				Example: "60 ml gin, 10 ml syrup 1:1",
			},
		},
		{"60 gin and tonic", Problem{Code: HowMuch, Word: "tonic", Example: "60 ml gin, 30 ml tonic water"}},
		{"60 gin, top soda, built", Problem{Code: HowMuch, Word: "top soda", Example: "60 ml gin, 30 ml soda water, built"}},
		{"gin", Problem{Code: HowMuch, Word: "gin", Example: "30 ml gin"}},
		{"-60 gin", Problem{Code: BadVolume, Word: "-60 gin", Example: "30 ml gin"}},
		{"0 gin, 20 lime", Problem{Code: BadVolume, Word: "0 gin", Example: "30 ml gin, 20 ml lime juice"}},
		{"0.01 gin", Problem{Code: BadVolume, Word: "0.01 gin", Example: "30 ml gin"}},
		{"21 l gin", Problem{Code: BadVolume, Word: "21 l gin", Example: "30 ml gin"}},
		{"1/0 gin", Problem{Code: BadVolume, Word: "1/0 gin", Example: "30 ml gin"}},
		{
			strings.Repeat("9", 400) + " gin",
			Problem{Code: BadVolume, Word: strings.Repeat("9", 400) + " gin", Example: "30 ml gin"},
		},
		{
			"NaN gin",
			Problem{Code: UnknownPart, Word: "NaN gin", Names: []string{"gin", "basil gin", "rhubarb gin"}, Example: "30 ml gin"},
		},
		{"60 gin 101%", Problem{Code: BadStrength, Word: "60 gin 101%", Example: "60 ml gin"}},
		{"60 gin -5%", Problem{Code: BadStrength, Word: "60 gin -5%", Example: "60 ml gin"}},
		{"60 gin, dilution 201%", Problem{Code: BadDilution, Word: "dilution 201%", Example: "60 ml gin"}},
		{"60 gin, dilution -5%", Problem{Code: BadDilution, Word: "dilution -5%", Example: "60 ml gin"}},
		{"60 gin, some dilution", Problem{Code: BadDilution, Word: "some dilution", Example: "60 ml gin"}},
		{"60 gin, dilution 10 to 20%", Problem{Code: BadDilution, Word: "dilution 10 to 20%", Example: "60 ml gin"}},
		{"60 gin, stirred, shaken", Problem{Code: TwoMethods, Word: "shaken", Example: "60 ml gin, stirred"}},
		{strings.Repeat("a", longestLine+1), Problem{Code: LineTooLong, Example: usual}},
		{
			strings.Repeat("1 gin,", mostParts+1),
			Problem{Code: TooManyParts, Example: strings.TrimSuffix(strings.Repeat("1 ml gin, ", mostParts), ", ")},
		},
	} {
		_, p := Read(w.line, bar())
		if p == nil {
			t.Errorf("%q reads as a drink", w.line)
			continue
		}
		if diff := cmp.Diff(w.want, *p); diff != "" {
			t.Errorf("%.60q (-want +got):\n%s", w.line, diff)
		}
		if _, again := Read(p.Example, bar()); again != nil {
			t.Errorf("%.60q: the example %q is a problem: %+v", w.line, p.Example, *again)
		}
	}
}

// Two names that are as near as each other are asked about.
func TestWhatCouldBeTwoThingsIsAskedAbout(t *testing.T) {
	t.Parallel()
	b := bar()
	b.Liquids = append(b.Liquids, book.Liquid{Name: "perry"}, book.Liquid{Name: "berry"})
	_, p := Read("60 erry, 20 lime", b)
	want := Problem{
		Code: WhichPart, Word: "erry", Names: []string{"perry", "berry"}, Example: "60 ml perry, 20 ml lime juice",
	}
	if p == nil {
		t.Fatal("it reads as a drink")
	}
	if diff := cmp.Diff(want, *p); diff != "" {
		t.Error(diff)
	}
}

// A book put together by hand may hold figures that its file could not.
func TestFiguresThatCannotBeAreAProblem(t *testing.T) {
	t.Parallel()
	for what, spoil := range map[string]func(b *book.Book){
		"strength above all":   func(b *book.Book) { b.Liquids[1].Strength = 101 * quantity.Percent },
		"strength below none":  func(b *book.Book) { b.Liquids[1].Strength = -1 },
		"sugar above all":      func(b *book.Book) { b.Liquids[1].Sugar = 1500 },
		"sugar below none":     func(b *book.Book) { b.Liquids[1].Sugar = -1 },
		"acid above all":       func(b *book.Book) { b.Liquids[1].Acidity = 1001 },
		"spirit and sugar":     func(b *book.Book) { b.Liquids[1].Sugar, b.Liquids[1].Strength = 900, 800 },
		"no liquid underneath": func(b *book.Book) { b.Recipes[1].Base = "nothing" },
		"produce below none":   func(b *book.Book) { b.Recipes[1].Ratio = -1 },
	} {
		b := bar()
		spoil(b)
		line, name := "60 rhubarb gin, 20 lime", "rhubarb gin"
		if _, p := Read(line, b); p == nil || p.Code != BadFigures || p.Word != name {
			t.Errorf("%s: %+v", what, p)
		} else if _, again := Read(p.Example, b); again != nil {
			t.Errorf("%s: the example %q is a problem", what, p.Example)
		}
	}
}

func TestWithoutABookThereIsOurOwnTable(t *testing.T) {
	t.Parallel()
	for _, b := range []*book.Book{nil, {}} {
		if _, p := Read("60 lime, 20 syrup 1:1", b); p != nil {
			t.Errorf("%+v", *p)
		}
		if _, p := Read("60 gin", b); p == nil || len(p.Names) == 0 {
			t.Errorf("%+v", p)
		}
	}
}

// A pickle is eaten: it is no part of a drink, whatever the book says of it.
func TestPiecesThatAreKeptAreNotPoured(t *testing.T) {
	t.Parallel()
	b := bar()
	b.Recipes = append(b.Recipes, book.Recipe{
		Name: "soaked rhubarb", Solid: "rhubarb", Base: "gin", Batch: 250 * ml, Ratio: 80 * quantity.GramsPer100, Product: book.SolidKept,
	})
	if _, p := Read("60 ml soaked rhubarb, 20 lemon, shaken", b); p == nil || p.Code != UnknownPart {
		t.Errorf("poured: %+v", p)
	}
	b.Recipes[len(b.Recipes)-1].Product = book.LiquidKept
	if _, p := Read("60 ml soaked rhubarb, 20 lemon, shaken", b); p != nil {
		t.Errorf("not poured: %+v", p)
	}
}
