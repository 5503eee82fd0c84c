package keeping_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"ventbell/internal/keeping"
)

// Sources: FDA's page on the FASTER Act names the nine; the UK's food
// information rules name the fourteen (Regulation (EU) 1169/2011, annex II,
// from memory).
func TestTheListsOfTheLaws(t *testing.T) {
	t.Parallel()
	for law, want := range map[keeping.Law][]string{
		keeping.NineUS: {"milk", "eggs", "fish", "crustaceans", "nuts", "peanuts", "gluten", "soya", "sesame"},
		keeping.FourteenEU: {
			"gluten", "crustaceans", "eggs", "fish", "peanuts", "soya", "milk", "nuts", "celery", "mustard", "sesame", "sulphites", "lupin", "molluscs",
		},
	} {
		if got := law.Keys(); !slices.Equal(got, want) {
			t.Errorf("%s: %v", law, got)
		}
	}
}

func TestAllergensAreToldAsThePlacesLawNamesThem(t *testing.T) {
	t.Parallel()
	parts := []keeping.Bearer{
		{"hazelnut", []string{"nuts"}},
		{"dry vermouth", []string{"sulphites"}},
		{"celery leaf", []string{"celery"}},
		{"wheat", []string{"gluten"}},
		{"barley", []string{"gluten"}},
		{"clam", []string{"molluscs"}},
	}
	got := keeping.Allergens("US-NY", parts, []keeping.Agent{"milk", "Egg whites"})
	want := keeping.Contains{
		Law: keeping.NineUS,
		Listed: []keeping.Told{
			{"milk", "milk", []string{"milk"}},
			{"eggs", "egg", []string{"egg whites"}},
			{"nuts", "tree nuts", []string{"hazelnut"}},
			{"gluten", "wheat", []string{"wheat"}},
		},
		Also: []keeping.Told{
			{"gluten", "gluten", []string{"barley"}},
			{"celery", "celery", []string{"celery leaf"}},
			{"sulphites", "sulphites", []string{"dry vermouth"}},
			{"molluscs", "molluscs", []string{"clam"}},
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	got = keeping.Allergens("BE", parts, nil)
	want = keeping.Contains{
		Law: keeping.FourteenEU, Emphasised: true,
		Listed: []keeping.Told{
			{"gluten", "cereals containing gluten", []string{"wheat", "barley"}},
			{"nuts", "nuts", []string{"hazelnut"}},
			{"celery", "celery", []string{"celery leaf"}},
			{"sulphites", "sulphites", []string{"dry vermouth"}},
			{"molluscs", "molluscs", []string{"clam"}},
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestWhereNobodySaidTheLongerListCounts(t *testing.T) {
	t.Parallel()
	got := keeping.Allergens("", []keeping.Bearer{{"celery leaf", []string{"celery"}}}, nil)
	if got.Law != keeping.FourteenEU || len(got.Listed) != 1 {
		t.Errorf("%+v", got)
	}
}

func TestClearingAddsWhatTheAgentBrings(t *testing.T) {
	t.Parallel()
	for agent, want := range map[keeping.Agent][]string{
		"milk": {"milk"}, "Whey": {"milk"}, "brown butter": {"milk"}, "egg white": {"eggs"}, "Eggs": {"eggs"}, "isinglass": {"fish"},
		"almond milk": {"nuts"}, "oat drink": {"gluten"}, "agar": nil, "gelatine": nil, "paper filter": nil, "coconut milk": nil,
		// Nobody knows these: their words tell, rather one too many.
		"goat cheese whey": {"milk"}, "pistachio cream": {"milk", "nuts"}, "duck egg froth": {"eggs"}, "clay": nil,
	} {
		var got []string
		for _, told := range keeping.Allergens("BE", nil, []keeping.Agent{agent}).Listed {
			got = append(got, told.Key)
		}
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("%s brings %v, want %v", agent, got, want)
		}
	}
}

// Common practice, no source: straining takes pieces out and leaves protein.
// There is nothing to say about straining that would take an allergen off, and
// whatever is added only adds.
func TestNothingEverTakesAnAllergenOff(t *testing.T) {
	t.Parallel()
	keys := append(keeping.FourteenEU.Keys(), "wheat germ")
	rapid.Check(t, func(t *rapid.T) {
		bearer := rapid.Custom(func(t *rapid.T) keeping.Bearer {
			return keeping.Bearer{
				Name:      rapid.SampledFrom([]string{"barley", "plum", "mix"}).Draw(t, "name"),
				Allergens: rapid.SliceOfN(rapid.SampledFrom(keys), 0, 4).Draw(t, "allergens"),
			}
		})
		where := rapid.SampledFrom([]string{"BE", "US-IL", ""}).Draw(t, "where")
		parts := rapid.SliceOfN(bearer, 0, 4).Draw(t, "parts")
		more := append(slices.Clone(parts), bearer.Draw(t, "one more"))
		agents := []keeping.Agent{rapid.SampledFrom([]keeping.Agent{"milk", "egg white", "clay"}).Draw(t, "agent")}
		before, after := told(keeping.Allergens(where, parts, nil)), told(keeping.Allergens(where, more, agents))
		for _, p := range parts {
			for _, a := range p.Allergens {
				if !slices.Contains(before, a) || !slices.Contains(after, a) {
					t.Fatalf("%s of %s is not told", a, p.Name)
				}
			}
		}
	})
}

func told(c keeping.Contains) []string {
	var all []string
	for _, x := range slices.Concat(c.Listed, c.Also) {
		all = append(all, x.Key)
	}
	return all
}
