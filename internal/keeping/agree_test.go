package keeping

import (
	"slices"
	"testing"

	"ventbell/internal/book"
)

// bookNames gives the names of the sample book's botanicals as names are
// compared here, each with its botanical.
func bookNames() map[string]book.Botanical {
	all := map[string]book.Botanical{}
	for _, b := range book.Sample().Botanicals {
		for _, name := range append([]string{b.Name}, b.Aliases...) {
			all[singular(name)] = b
		}
	}
	return all
}

func TestEveryNameThatIsRefusedHereTheSampleBookRefuses(t *testing.T) {
	t.Parallel()
	known := bookNames()
	for _, c := range cautions {
		if !c.Refuses() {
			continue
		}
		for _, name := range c.Names {
			if holdsAny(plain(c.Except), name) {
				continue // part of a name that is allowed: "elder" of elder flower
			}
			if b, there := known[name]; !there || b.Refused == "" {
				t.Errorf("%s (%s): the book has %q, refused %q", name, c.ID, b.Name, b.Refused)
			}
		}
	}
}

func TestEveryNameThatTheSampleBookRefusesIsRefusedHere(t *testing.T) {
	t.Parallel()
	for name, b := range bookNames() {
		refused := slices.ContainsFunc(CautionsFor(name), Caution.Refuses)
		if refused != (b.Refused != "") {
			t.Errorf("%q (%s): refused here %v, in the book %q", name, b.Name, refused, b.Refused)
		}
	}
}

// A note is enough for what everybody cooks with or what is told anyway.
func TestWhatAManagerAnswersForIsTheSameInBoth(t *testing.T) {
	t.Parallel()
	known := bookNames()
	noteOnly := []string{"cassia", "grapefruit", "irritant", "allergen"}
	for _, c := range cautions {
		if c.Refuses() {
			continue
		}
		if c.SignOff == slices.Contains(noteOnly, c.ID) {
			t.Errorf("%s: sign-off %v", c.ID, c.SignOff)
		}
		for _, name := range c.Names {
			if b, there := known[name]; c.SignOff && (!there || b.SignOff == "") {
				t.Errorf("%s (%s): the book has %q, to sign off %q", name, c.ID, b.Name, b.SignOff)
			}
		}
	}
	for name, b := range known {
		signed := slices.ContainsFunc(CautionsFor(name), func(c Caution) bool { return c.SignOff })
		if b.SignOff != "" && !signed {
			t.Errorf("%q (%s) is signed off in the book, and nothing is known of it here", name, b.Name)
		}
	}
}

func TestTheNamesOfTheSampleTellItsAllergens(t *testing.T) {
	t.Parallel()
	for _, b := range book.Sample().Botanicals {
		for _, a := range AllergensNamed(append([]string{b.Name}, b.Aliases...)...) {
			if b.Refused == "" && !slices.Contains(b.Allergens, a) {
				t.Errorf("%s says %s and tells %v", b.Name, a, b.Allergens)
			}
		}
	}
	for name, want := range map[string][]string{
		"toasted hazelnut": {"nuts"}, "Avellanas": {"nuts"}, "noisettes grillées": {"nuts"}, "nuez moscada": nil, "coconut milk": nil, "leche": {"milk"},
		"cacahuètes": {"peanuts"}, "Moutarde de Dijon": {"mustard"}, "hoja de apio": {"celery"}, "oat milk": {"gluten"}, "almond milk": {"nuts"},
		"cacao": nil, "nutmeg": nil, "malt vinegar": {"gluten"}, "": nil,
	} {
		if got := AllergensNamed(name); !slices.Equal(got, want) {
			t.Errorf("%q says %v, want %v", name, got, want)
		}
	}
}
