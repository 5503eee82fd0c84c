package book_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

func TestNamesAreFoundWhateverTheirCaseAndAccents(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for word, want := range map[string]string{
		"rhubarb gin": "rhubarb gin", "RHUBARB  Gin ": "rhubarb gin", "chile tequila": "pepper tequila", "Jalapeño Tequila": "pepper tequila",
	} {
		if r, ok := b.Recipe(word); !ok || r.Name != want {
			t.Errorf("Recipe(%q) = %q, %v; want %q", word, r.Name, ok, want)
		}
	}
	for word, want := range map[string]string{
		"jalapeño": "hot pepper", "jalapen\u0303o": "hot pepper", "Coffee Beans": "coffee", "pepper": "", "": "",
	} {
		if s, ok := b.Botanical(word); ok != (want != "") || s.Name != want {
			t.Errorf("Botanical(%q) = %q, %v; want %q", word, s.Name, ok, want)
		}
	}
	if l, ok := b.Liquid("Cachaça"); !ok || l.Name != "cachaca" {
		t.Errorf("Liquid = %q, %v", l.Name, ok)
	}
	if v, ok := b.Vessel("a"); !ok || v.Tag != "A" {
		t.Errorf("Vessel = %q, %v", v.Tag, ok)
	}
	if _, ok := b.Vessel("Z"); ok {
		t.Error("there is no vessel Z")
	}
}

func TestAnAliasNeverHidesAName(t *testing.T) {
	t.Parallel()
	b := &book.Book{Liquids: []book.Liquid{{Name: "cream", Aliases: []string{"milk"}}, {Name: "milk"}}}
	if l, _ := b.Liquid("milk"); l.Name != "milk" {
		t.Errorf("milk means %s", l.Name)
	}
}

func TestFoldingTwiceIsFoldingOnce(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"Crème  de Cassis": "creme de cassis", "PIÑA": "pina", "œuf": "oeuf", "a\tb": "a b", "plain": "plain", " x": "x", "": "", "日本": "日本",
	} {
		got := book.Fold(in)
		if got != want || book.Fold(got) != got {
			t.Errorf("Fold(%q) = %q, then %q; want %q", in, got, book.Fold(got), want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		once := book.Fold(rapid.String().Draw(t, "s"))
		if again := book.Fold(once); again != once {
			t.Fatalf("%q folds again to %q", once, again)
		}
	})
}

func TestARecipeHasTheFamilyOfItsBase(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for name, want := range map[string]book.Family{
		"rhubarb gin": book.Spirit, "celery leaf vermouth": book.Wine, "thyme oil": book.Oil, "blackcurrant vinegar": book.Vinegar, "coffee cream": book.Dairy,
	} {
		r, _ := b.Recipe(name)
		if got := b.Family(r); got != want {
			t.Errorf("%s is a %s, want %s", name, got, want)
		}
		if c, ok := b.ClassFor(want, kindOf(b, r)); !ok || c.Name != r.Class {
			t.Errorf("%s: class %q, want %q", name, c.Name, r.Class)
		}
	}
	if _, ok := b.ClassFor(book.Oil, book.Produce); ok {
		t.Error("wet produce in oil has a class")
	}
}

func kindOf(b *book.Book, r book.Recipe) book.Kind {
	s, _ := b.Botanical(r.Solid)
	return s.Kind
}

func TestAllergensOfSolidAndBaseAddUp(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	if diff := cmp.Diff([]string{"milk", "nuts"}, b.AllergensOf("hazelnut", "cream")); diff != "" {
		t.Errorf("hazelnut in cream (-want +got):\n%s", diff)
	}
	if got := b.AllergensOf("rhubarb", "gin"); got != nil {
		t.Errorf("rhubarb in gin brings %v", got)
	}
}

func TestAVesselHoldsByTheFillRule(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name           string
		vessel         book.Vessel
		liquid, solids quantity.Volume
		want           bool
	}{
		{"to the line without solids", book.Vessel{Line: 500 * ml, Brim: 710 * ml}, 500 * ml, 0, true},
		{"above the line", book.Vessel{Line: 500 * ml, Brim: 710 * ml}, 501 * ml, 0, false},
		{"to four fifths of the brim", book.Vessel{Line: 500 * ml, Brim: 710 * ml}, 500 * ml, 68 * ml, true},
		{"above four fifths of the brim", book.Vessel{Line: 500 * ml, Brim: 710 * ml}, 500 * ml, 68*ml + 1, false},
		{"no brim, solids within the line", book.Vessel{Line: 500 * ml}, 450 * ml, 50 * ml, true},
		{"no brim, solids above the line", book.Vessel{Line: 500 * ml}, 450 * ml, 51 * ml, false},
		{"the manual counts solids", book.Vessel{Line: 500 * ml, Brim: 710 * ml, LineHoldsSolids: true}, 450 * ml, 51 * ml, false},
	} {
		if got := c.vessel.Holds(c.liquid, c.solids); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestAVesselWithoutALimitTakesOneCharger(t *testing.T) {
	t.Parallel()
	if got := (book.Vessel{}).ChargerLimit(); got != 1 {
		t.Errorf("it takes %d", got)
	}
}
