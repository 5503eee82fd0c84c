package book_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// The ranges are the trade's, pooled: common practice for the pattern, our own
// estimate for the numbers. Chargers are those of a half litre.
func TestEveryKindOfInfusionHasARecipeWithinItsRange(t *testing.T) {
	t.Parallel()
	const minute, second = time.Minute, time.Second
	b := book.Sample()
	for _, c := range []struct {
		family                book.Family
		kind                  book.Kind
		kept                  book.Product
		low, high             quantity.Ratio // g/100ml, thousandths
		restFrom, restTo, cap time.Duration
	}{
		{book.Spirit, book.Produce, "", 5, 20, 60 * second, 5 * minute, 10 * minute},
		{book.Spirit, book.SoftProduce, "", 20, 40, 30 * second, 5 * minute, 10 * minute},
		{book.Spirit, book.HotPepper, "", 5, 15, 45 * second, 90 * second, 3 * minute},
		{book.Spirit, book.Fruit, "", 20, 50, 60 * second, 5 * minute, 20 * minute},
		{book.Spirit, book.Spice, "", 1, 6, 60 * second, 30 * minute, 30 * minute},
		{book.Spirit, book.Roast, "", 8, 25, 45 * second, 10 * minute, 20 * minute},
		{book.Spirit, book.Peel, "", 2, 8, 45 * second, 5 * minute, 15 * minute},
		{book.Spirit, book.Tea, "", 1, 3, 20 * second, 2 * minute, 4 * minute},
		{book.Spirit, book.Herb, "", 3, 10, 30 * second, 2 * minute, 5 * minute},
		{book.Spirit, book.Woody, "", 1, 5, 30 * second, 5 * minute, 15 * minute},
		{book.Spirit, book.Bitter, "", 5, 20, 5 * minute, 30 * minute, 3 * time.Hour},
		{book.Spirit, book.Fruit, book.SolidKept, 60, 100, 10 * minute, 30 * minute, 60 * minute},
		{book.Wine, book.Peel, "", 2, 10, 60 * second, 5 * minute, 15 * minute},
		{book.Wine, book.Fruit, "", 15, 50, 60 * second, 5 * minute, 20 * minute},
		{book.Wine, book.Herb, "", 3, 10, 30 * second, 2 * minute, 5 * minute},
		{book.Oil, book.Herb, "", 8, 30, 2 * minute, 10 * minute, 30 * minute},
		{book.Oil, book.Woody, "", 3, 10, 5 * minute, 15 * minute, 30 * minute},
		{book.Oil, book.Spice, "", 3, 10, 3 * minute, 15 * minute, 60 * minute},
		{book.Vinegar, book.Fruit, "", 5, 50, 2 * minute, 10 * minute, 60 * minute},
		{book.Vinegar, book.Herb, "", 5, 15, 2 * minute, 10 * minute, 60 * minute},
		{book.Vinegar, book.SoftProduce, book.SolidKept, 50, 100, 5 * minute, 30 * minute, 60 * minute},
		{book.Vinegar, book.Produce, book.SolidKept, 50, 100, 5 * minute, 30 * minute, 60 * minute},
		{book.Syrup, book.Produce, "", 2, 15, 60 * second, 10 * minute, 20 * minute},
		{book.Syrup, book.Spice, "", 2, 15, 60 * second, 10 * minute, 20 * minute},
		{book.Water, book.SoftProduce, "", 2, 15, 60 * second, 10 * minute, 15 * minute},
		{book.Water, book.Tea, "", 1, 3, 30 * second, 2 * minute, 4 * minute},
		{book.Dairy, book.Spice, "", 2, 12, 2 * minute, 10 * minute, 30 * minute},
		{book.Dairy, book.Roast, "", 2, 12, 2 * minute, 10 * minute, 30 * minute},
		{book.Dairy, book.Tea, "", 1, 4, 60 * second, 5 * minute, 30 * minute},
	} {
		found := 0
		for _, r := range b.Recipes {
			solid, _ := b.Botanical(r.Solid)
			if b.Family(r) != c.family || solid.Kind != c.kind || r.Product != c.kept {
				continue
			}
			found++
			if r.Ratio < c.low*quantity.GramsPer100 || r.Ratio > c.high*quantity.GramsPer100 {
				t.Errorf("%s: %s, want %d to %d", r.Name, r.Ratio, int64(c.low), int64(c.high))
			}
			if r.Rest.Min < c.restFrom || r.Rest.Max > c.restTo || r.Contact > c.cap {
				t.Errorf("%s: rests %+v, contact %s", r.Name, r.Rest, r.Contact)
			}
		}
		if found == 0 {
			t.Errorf("no recipe of %s in %s, %q kept", c.kind, c.family, c.kept)
		}
	}
}

func TestEveryFigureOfARecipeSaysWhereItComesFrom(t *testing.T) {
	t.Parallel()
	for _, r := range book.Sample().Recipes {
		for _, key := range []string{"batch", "ratio", "temp", "proven", "chargers", "swirl", "rest", "settle", "contact", "judge_after"} {
			from := r.From[key]
			known := from == book.CommonPractice || from == book.Estimate || from == book.Demo || strings.HasPrefix(string(from), "published: ")
			if !known {
				t.Errorf("%s: %s comes from %q", r.Name, key, from)
			}
		}
		if r.From["batch"] != book.Demo || r.From["ratio"] == book.Demo || r.From["rest"] == book.Demo {
			t.Errorf("%s: %v", r.Name, r.From)
		}
		if r.Prep == "" || r.Choose == "" || r.Use == "" || len(r.Aliases) < 2 {
			t.Errorf("%s leaves words out", r.Name)
		}
	}
}

// Whoever types a name without its accents means the same, so folded names are
// what has to be of one thing only: Check tells, and it is asked here for all
// lists together with the sizes that make three languages.
func TestGoodsAreKnownInThreeLanguages(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, c := range []struct{ en, es, fr string }{
		{"rum", "ron", "rhum"}, {"gin", "ginebra", "gin"}, {"dry vermouth", "vermut seco", "vermouth sec"}, {"neutral oil", "aceite neutro", "huile neutre"},
		{"white vinegar", "vinagre", "vinaigre"}, {"sugar syrup", "jarabe", "sirop"}, {"cream", "nata", "crème"}, {"water", "agua", "eau"}, {"pickle brine", "salmuera", "saumure"},
	} {
		for _, word := range []string{c.es, c.fr} {
			if l, ok := b.Liquid(word); !ok || l.Name != c.en {
				t.Errorf("%s is %q, want %s", word, l.Name, c.en)
			}
		}
	}
	for _, c := range []struct{ en, es, fr string }{
		{"hot pepper", "chile verde", "piment"}, {"black pepper", "pimienta negra", "poivre noir"}, {"sweet pepper", "pimiento", "poivron"},
		{"ginger", "jengibre", "gingembre"}, {"clove", "clavo", "clou de girofle"}, {"garlic", "diente de ajo", "gousse d'ail"},
		{"coffee", "café", "grains de café"}, {"basil", "albahaca", "basilic"}, {"bay", "laurel", "laurier"}, {"oleander", "adelfa", "laurier-rose"},
		{"lemon peel", "cáscara de limón", "zeste de citron"}, {"lime peel", "piel de lima", "zeste de citron vert"}, {"hazelnut", "avellana", "noisette"},
		{"coriander leaf", "hoja de cilantro", "feuilles de coriandre"}, {"coriander seed", "semilla de cilantro", "graines de coriandre"},
		{"elderflower", "flor de saúco", "fleur de sureau"}, {"elder leaf", "hoja de saúco", "feuille de sureau"}, {"radish", "rábano", "radis"},
		{"horseradish", "rábano picante", "raifort"}, {"tobacco", "tabaco", "tabac"}, {"nutmeg", "nuez moscada", "noix de muscade"},
	} {
		for _, word := range []string{c.es, c.fr} {
			if s, ok := b.Botanical(word); !ok || s.Name != c.en {
				t.Errorf("%s is %q, want %s", word, s.Name, c.en)
			}
		}
	}
	for _, s := range b.Botanicals {
		if s.Refused == "" && len(s.Aliases) < 2 && s.Name != "mango" {
			t.Errorf("%s is known by %v only", s.Name, s.Aliases)
		}
	}
}

// Each limit with its source. Growth in oil: Pacific Northwest Extension PNW
// 664 (2014), two to four days. TCS food: Food Code 3-501.17, seven days. Black
// tea gives most of its phenols within six to eight minutes, in boiling water:
// Nutrition Journal 14:74 (2015), so a cap of four minutes stays before that.
// Spirit at 60 % and up flashes at room temperature (an engineering table of
// flash points, second-hand), so it is never warmed.
func TestRecipesStayInsideWhatIsPublished(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, r := range b.Recipes {
		solid, _ := b.Botanical(r.Solid)
		liquid, _ := b.Liquid(r.Base)
		switch {
		case liquid.Family == book.Oil && !solid.Dry && (r.Storage != "fridge" || r.Hold > 4):
			t.Errorf("%s keeps %d days on the %s", r.Name, r.Hold, r.Storage)
		case (liquid.Family == book.Dairy || liquid.Family == book.Water) && (r.Hold > 7 || r.Hold == 0):
			t.Errorf("%s keeps %d days", r.Name, r.Hold)
		case solid.Kind == book.Tea && r.Contact > 4*time.Minute && liquid.Family != book.Dairy:
			t.Errorf("%s: contact %s", r.Name, r.Contact)
		case liquid.Strength >= 60*quantity.Percent && r.Temp.Max > 25*quantity.Celsius:
			t.Errorf("%s is warmed to %s", r.Name, r.Temp.Max)
		}
	}
}

// Common practice, no source: pieces are vented slowly, covered, and swirled as
// little as can be; brine with mustard and celery seed tells both.
func TestPiecesThatAreKept(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	kept := 0
	for _, r := range b.Recipes {
		if r.Product != book.SolidKept {
			if r.Vent != "" {
				t.Errorf("%s is vented %s", r.Name, r.Vent)
			}
			continue
		}
		kept++
		liquid, _ := b.Liquid(r.Base)
		if r.Vent != book.SlowVent || !r.Gentle || r.Storage != "fridge" || r.Swirl > 10*time.Second || !strings.HasSuffix(r.Class, " (solid)") {
			t.Errorf("%s: %+v", r.Name, r)
		}
		if brine := liquid.Family == book.Vinegar; brine && !slices.Equal(r.Allergens, []string{"celery", "mustard"}) {
			t.Errorf("%s tells %v", r.Name, r.Allergens)
		}
		solid, _ := b.Botanical(r.Solid)
		volume := solid.TrueVolume(r.Ratio.Of(r.Batch))
		fits := slices.DeleteFunc(slices.Clone(b.Vessels), func(v book.Vessel) bool { return !r.Fits(v, r.Batch, volume) })
		if len(fits) == 0 {
			t.Errorf("%s fits no vessel", r.Name)
		}
		for _, v := range fits {
			if r.Batch+volume > v.Line {
				t.Errorf("%s stands at %s in %s", r.Name, r.Batch+volume, v.Tag)
			}
		}
	}
	if kept < 6 {
		t.Errorf("%d recipes keep the solid", kept)
	}
}

func TestAClassForPiecesIsNeverADefault(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	liquid, ok := b.ClassFor(book.Spirit, book.Fruit)
	if !ok || liquid.Product == book.SolidKept || liquid.Name != "spirit + fruit" {
		t.Errorf("fruit in spirit is %+v", liquid)
	}
	kept, ok := b.ClassOf(recipe(t, "gin-soaked melon"))
	if !ok || kept.Product != book.SolidKept || kept.Name != "spirit + fruit (solid)" {
		t.Errorf("melon soaked in gin is %+v", kept)
	}
}
