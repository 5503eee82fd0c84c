package keeping_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/keeping"
)

func first(names ...string) (string, keeping.Act) {
	all := keeping.CautionsFor(names...)
	if len(all) == 0 {
		return "", ""
	}
	return all[0].ID, all[0].Act
}

func TestBotanicalsAreMatchedByWordAndSynonym(t *testing.T) {
	t.Parallel()
	const refuse, limit, warn = keeping.Refuse, keeping.Limit, keeping.Warn
	for name, want := range map[string]struct {
		id  string
		act keeping.Act
	}{
		"tobacco": {"tobacco", refuse}, "Dried Tobacco Leaves": {"tobacco", refuse}, "Nicotiana tabacum": {"tobacco", refuse},
		"tonka beans": {"tonka", refuse}, "TONKA": {"tonka", refuse},
		"cassia bark": {"cassia", limit}, "cinnamon": {"cassia", limit}, "Ceylon cinnamon": {"", ""},
		"sweet flag": {"calamus", refuse}, "Acorus calamus": {"calamus", refuse}, "sassafras root": {"sassafras", refuse},
		"cinchona bark": {"cinchona", refuse}, "wormwood": {"thujone", refuse}, "tansy": {"thujone", refuse},
		"apricot kernels": {"stones", refuse}, "apricot": {"", ""}, "bitter-almond": {"stones", refuse}, "apple seeds": {"stones", refuse}, "apple": {"", ""},
		"elderberries": {"elder", refuse}, "elder leaves": {"elder", refuse}, "elderflower": {"", ""}, "elder flowers": {"", ""}, "cooked elderberries": {"", ""},
		"raw kidney beans": {"raw bean", refuse}, "rhubarb leaves": {"rhubarb leaf", refuse}, "rhubarb": {"", ""},
		"lily of the valley": {"heart", refuse}, "comfrey": {"comfrey", refuse}, "coltsfoot": {"coltsfoot", refuse}, "borage": {"borage", warn},
		"japanese star anise": {"japanese star anise", refuse}, "star anise": {"star anise", warn},
		"nutmeg": {"nutmeg", limit}, "mace": {"nutmeg", limit}, "activated charcoal": {"charcoal", refuse},
		"grapefruit peel": {"grapefruit", warn}, "Seville oranges": {"grapefruit", warn}, "orange peel": {"", ""},
		"CBD oil": {"cannabis", refuse}, "guarana powder": {"stimulant", warn}, "ginseng": {"stimulant", warn}, "coffee": {"", ""},
		"St John's wort": {"drinks only", warn}, "quassia": {"quassia", warn}, "gentian root": {"gentian", warn}, "raíz de genciana": {"gentian", warn}, "Virginia snakeroot": {"poisonous", refuse},
		"Angel's Trumpets": {"poisonous", refuse}, "rue": {"poisonous", refuse}, "yew": {"poisonous", refuse}, "sweet pea": {"poisonous", refuse}, "sweet pepper": {"", ""},
		"wild mushrooms": {"cooked only", refuse}, "green potatoes": {"cooked only", refuse}, "essential oils": {"not food", refuse}, "olive oil": {"", ""},
		"licorice root": {"liquorice", warn}, "dried chile": {"irritant", warn}, "mustard seed": {"irritant", warn}, "hazelnuts": {"allergen", warn}, "nuts": {"allergen", warn},
		"thyme": {"", ""}, "": {"", ""},
		"tabac blond": {"tobacco", refuse}, "noyaux de cerises": {"stones", refuse}, "laurier-rose": {"heart", refuse}, "laurier": {"", ""}, "hojas de saúco": {"elder", refuse},
		"flor de saúco": {"", ""}, "fleur de sureau": {"", ""}, "nuez moscada": {"nutmeg", limit}, "nuez": {"", ""}, "Panax ginseng": {"stimulant", warn}, "veratrum": {"poisonous", refuse},
	} {
		if id, act := first(name); id != want.id || act != want.act {
			t.Errorf("%q: %q %s, want %q %s", name, id, act, want.id, want.act)
		}
	}
	if id, _ := first("house special", "cut tobacco"); id != "tobacco" {
		t.Error("an alias is not looked at")
	}
	if id, _ := first("sweet", "pea"); id != "" {
		t.Errorf("two names were read as one: %s", id)
	}
	// The graver of two comes first: the Japanese kind is a star anise too.
	if all := keeping.CautionsFor("japanese star anise"); len(all) != 2 || all[0].Act != keeping.Refuse {
		t.Errorf("%+v", all)
	}
}

func TestTheActDependsOnThePlaceAndTheAlcohol(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		name    string
		region  keeping.Region
		alcohol bool
		want    keeping.Act
	}{
		{"tonka", keeping.UnitedStates, true, keeping.Refuse},
		{"tonka", keeping.Europe, true, keeping.Limit},
		{"tonka", keeping.UnitedKingdom, false, keeping.Limit},
		{"tonka", keeping.Unsaid, false, keeping.Refuse},
		{"wormwood", keeping.Europe, true, keeping.Limit},
		{"taurine", keeping.Europe, true, keeping.Refuse},
		{"taurine", keeping.Europe, false, keeping.Warn},
	} {
		c := keeping.CautionsFor(w.name)[0]
		if got := c.ActAt(w.region, w.alcohol); got != w.want {
			t.Errorf("%s in %q, alcohol %v: %s, want %s", w.name, w.region, w.alcohol, got, w.want)
		}
	}
}

// Published limits, each with its source in the list: 21 CFR 172.575 and
// 172.510, Regulation (EC) 1334/2008, Regulation (EU) 2017/1237, EFSA and BfR.
// The gram of nutmeg in a litre is common practice, no source.
func TestPublishedLimitsAreCarried(t *testing.T) {
	t.Parallel()
	got := map[string]float64{}
	for _, c := range keeping.Cautions() {
		for _, m := range c.Limits {
			got[c.ID+": "+m.Of+", "+m.Unit] = m.Value
		}
	}
	want := map[string]float64{
		"tonka: coumarin a day, mg per kg of body":                     0.1,
		"cassia: coumarin a day, mg per kg of body":                    0.1,
		"cassia: cassia a day for a person of 60 kg, g":                2,
		"calamus: beta-asarone in alcoholic drinks (EU), mg/kg":        1,
		"cinchona: quinine in carbonated drinks, declared, ppm":        83,
		"cinchona: total cinchona alkaloids in the drink, ppm":         83,
		"thujone: thujone in the finished food or drink (US), mg/kg":   0,
		"thujone: thujone (EU), mg/kg":                                 10,
		"thujone: thujone in bitters (EU), mg/kg":                      35,
		"stones: hydrocyanic acid in apricot kernels sold (EU), mg/kg": 20,
		"stones: hydrocyanic acid in alcoholic drinks (EU), mg/kg":     35,
		"stones: prussic acid in extract of cherry pits (US), ppm":     25,
		"nutmeg: nutmeg or mace in the liquid, g/l":                    1,
		"nutmeg: nutmeg swallowed, where harm begins, g":               5,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestEveryCautionIsWhole(t *testing.T) {
	t.Parallel()
	seen := map[string]string{}
	for _, c := range keeping.Cautions() {
		if c.ID == "" || c.Act == "" || c.Why == "" || len(c.Names) == 0 || len(c.Sources) == 0 {
			t.Errorf("%q leaves something out", c.ID)
		}
		for _, s := range c.Sources {
			if s.Text == "" || s.Tag == "" {
				t.Errorf("%q has a bare source", c.ID)
			}
		}
		for _, n := range slices.Concat(c.Names, c.Except) {
			if other, twice := seen[n]; twice {
				t.Errorf("%q stands under %q and %q", n, other, c.ID)
			}
			seen[n] = c.ID
		}
		// A name that is not in plain form would never match itself.
		for _, n := range c.Names {
			if !slices.ContainsFunc(keeping.CautionsFor(n), func(f keeping.Caution) bool { return f.ID == c.ID }) {
				t.Errorf("%q is not found by its own name %q", c.ID, n)
			}
		}
		for _, n := range c.Except {
			if slices.ContainsFunc(keeping.CautionsFor(n), func(f keeping.Caution) bool { return f.ID == c.ID }) {
				t.Errorf("%q is found by %q, which it excepts", c.ID, n)
			}
		}
	}
}

func TestSolidsCountByKindAndName(t *testing.T) {
	t.Parallel()
	const dry, herb, fruit, veg, allium, fat = keeping.Dry, keeping.Herb, keeping.Fruit, keeping.Veg, keeping.Allium, keeping.Fat
	for _, w := range []struct {
		b    book.Botanical
		want keeping.Class
	}{
		{book.Botanical{Name: "ginger", Kind: book.Produce}, veg},
		{book.Botanical{Name: "jalapeno", Kind: book.HotPepper}, veg},
		{book.Botanical{Name: "plum", Kind: book.Fruit}, fruit},
		{book.Botanical{Name: "dried plum", Kind: book.Fruit, Dry: true}, fruit},
		{book.Botanical{Name: "lemon peel", Kind: book.Peel}, fruit},
		{book.Botanical{Name: "dried orange peel", Kind: book.Peel}, dry},
		{book.Botanical{Name: "basil", Kind: book.Herb}, herb},
		{book.Botanical{Name: "bay", Kind: book.Woody}, herb},
		{book.Botanical{Name: "bay", Kind: book.Woody, Dry: true}, dry},
		{book.Botanical{Name: "bay", Kind: book.Woody, Water: 54}, dry},
		{book.Botanical{Name: "thyme", Kind: book.Woody, Water: 651}, herb},
		{book.Botanical{Name: "thyme patted dry", Kind: book.Woody, Water: 651, Dry: true}, herb},
		{book.Botanical{Name: "clove", Kind: book.Spice}, dry},
		{book.Botanical{Name: "dried chilli", Kind: book.Spice}, dry},
		{book.Botanical{Name: "fresh turmeric", Kind: book.Spice}, veg},
		{book.Botanical{Name: "pink peppercorn", Kind: book.Spice, Allergens: []string{"nuts"}}, dry},
		{book.Botanical{Name: "nutmeg", Kind: book.Spice}, dry},
		{book.Botanical{Name: "black tea", Kind: book.Tea}, dry},
		{book.Botanical{Name: "coffee", Kind: book.Roast}, dry},
		{book.Botanical{Name: "barley", Kind: book.Roast, Allergens: []string{"gluten"}}, dry},
		{book.Botanical{Name: "hazelnut", Kind: book.Roast, Allergens: []string{"nuts"}}, fat},
		{book.Botanical{Name: "house roast", Kind: book.Roast, Allergens: []string{"sesame"}}, fat},
		{book.Botanical{Name: "toasted coconut", Kind: book.Roast}, fat},
		// Dried, these count as fresh.
		{book.Botanical{Name: "garlic", Kind: book.Produce}, allium},
		{book.Botanical{Name: "dried garlic", Kind: book.Spice, Dry: true}, allium},
		{book.Botanical{Name: "Onion powder", Kind: book.Spice}, allium},
		{book.Botanical{Name: "black flakes", Aliases: []string{"leek ash"}, Kind: book.Spice}, allium},
		{book.Botanical{Name: "house dust", Kind: book.Spice, Allium: true}, allium},
		{book.Botanical{Name: "chives", Kind: book.Herb}, allium},
		{book.Botanical{Name: "dried porcini", Kind: book.Spice, Dry: true}, veg},
		{book.Botanical{Name: "dried tomatoes", Kind: book.Spice}, veg},
		{book.Botanical{Name: "forest powder", Kind: book.Spice, Mushroom: true}, veg},
		{book.Botanical{Name: "soup powder", Kind: book.Spice, DriedVegetable: true}, veg},
		{book.Botanical{Name: "something"}, ""},
	} {
		if got := keeping.SolidOf(w.b); got.Class != w.want {
			t.Errorf("%s counts as %q, want %q", w.b.Name, got.Class, w.want)
		}
	}
}

func TestANameIsCountedEvenWhenTheClassSaysDry(t *testing.T) {
	t.Parallel()
	c := base(keeping.Oil, keeping.Dry)
	c.Solids[0].Name = "garlic granules"
	if k, _ := decide(t, c); k.Rule != "O3" || k.KeepDays != 4 {
		t.Errorf("garlic called dry keeps by %s, %d days", k.Rule, k.KeepDays)
	}
}
