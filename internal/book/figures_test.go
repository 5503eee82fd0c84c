package book_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// full is the small book with everything told that may be left out.
func full(t *testing.T) string {
	t.Helper()
	src := small
	for _, c := range [][2]string{
		{"licensed: yes\n", "state: WLG\n  licensed: no\n  serve: 50 ml\n  room: 46 m3\n  air_changes: 8.0/h\n  hands: 2\n  currency: EUR\n  charger_price: 0.70\n"},
		{"{demo: [bottle]}", "{demo: [bottle, serve, room, air_changes, hands, charger_price]}"},
		{"strength: 40 %, from: {demo: [strength]}", "strength: 40 %, price: 24.00/l, from: {demo: [strength, price]}"},
		{"  - {name: olive oil, family: oil}\n", `  - {name: olive oil, family: oil, price: 6.75/75 cl, from: {demo: [price]}}
  - {name: wine vinegar, family: vinegar, acidity: 6 %, from: {common practice: [acidity]}}
  - {name: lime juice, family: water, acidity: 6.0 %, sugar: 1.7 g/100ml, from: {estimate: [acidity, sugar]}}
  - {name: rich syrup, family: syrup, brix: 66.7 Brix, sugar: 88.7 g/100ml, foams: true, from: {estimate: [brix, sugar]}}
  - {name: sugar syrup, family: syrup, brix: 50 Brix, from: {estimate: [brix]}}
  - {name: cream, family: dairy, allergens: [milk], fat_in_100g: 37 g, foams: true, from: {estimate: [fat_in_100g]}}
  - {name: sweet vermouth, family: wine, strength: 16 %, sugar: 15 g/100ml, from: {estimate: [strength, sugar]}}
`},
		{"    retention: 0.2 ml/g\n", "    retention: 0.2 ml/g\n    price: 4.50/kg\n"},
		{"estimate: [retention]}", "estimate: [retention], demo: [price]}"},
		{"  - {name: rhubarb leaf", `  - name: garlic powder
    kind: spice
    water_in_100g: 6.45 g
    fat_in_100g: 0.7 g
    dry: true
    retention: 0.5 ml/g
    allium: true
    dried_vegetable: true
    mushroom: true
    powder: true
    irritant: true
    from: {estimate: [water_in_100g, fat_in_100g, retention]}
  - {name: rhubarb leaf`},
		{"storage: fridge\n    from:\n", "storage: fridge\n    hold: 7 days\n    clear_with: egg white\n    serve: 25 ml\n    cycles: 2\n    from:\n"},
		{"estimate: [ratio, temp, contact]", "estimate: [ratio, temp, contact, hold, serve, cycles]"},
	} {
		if strings.Count(src, c[0]) != 1 {
			t.Fatalf("the small book has %q %d times", c[0], strings.Count(src, c[0]))
		}
		src = strings.Replace(src, c[0], c[1], 1)
	}
	return src
}

func TestEverythingThatMayBeToldIsRead(t *testing.T) {
	t.Parallel()
	b := mustParse(t, full(t))
	h := b.House
	if h.State != "WLG" || h.Licensed != "no" || h.Serve != 50*ml || h.RoomVolume != 46*quantity.CubicMetre || h.AirChanges != 80 ||
		h.Hands != 2 || h.Currency != "EUR" || h.ChargerPrice != 70 || h.From["charger_price"] != book.Demo {
		t.Errorf("the house is %+v", h)
	}
	var liquids []book.Liquid
	for _, l := range b.Liquids {
		l.From, l.FileLine, l.Allergens = nil, 0, nil
		liquids = append(liquids, l)
	}
	want := []book.Liquid{
		{Name: "gin", Family: book.Spirit, Strength: 400, Price: 2400},
		{Name: "olive oil", Family: book.Oil, Price: 900},
		{Name: "wine vinegar", Family: book.Vinegar, Acidity: 60},
		{Name: "lime juice", Family: book.Water, Acidity: 60, Sugar: 17},
		{Name: "rich syrup", Family: book.Syrup, Brix: 667, Sugar: 887, Foams: true},
		{Name: "sugar syrup", Family: book.Syrup, Brix: 500, Sugar: 615},
		{Name: "cream", Family: book.Dairy, Fat: 400, Foams: true},
		{Name: "sweet vermouth", Family: book.Wine, Strength: 160, Sugar: 150},
	}
	if diff := cmp.Diff(want, liquids); diff != "" {
		t.Errorf("liquids (-want +got):\n%s", diff)
	}
	if s, _ := b.Botanical("rhubarb"); s.Price != 450 || s.Retention != ml/5 || s.Water != 936 || s.Dry || s.Powder {
		t.Errorf("rhubarb is %+v", s)
	}
	s, _ := b.Botanical("garlic powder")
	if s.Water != 65 || !s.Dry || !s.Allium || !s.DriedVegetable || !s.Mushroom || !s.Powder || !s.Irritant {
		t.Errorf("garlic powder is %+v", s)
	}
	r, _ := b.Recipe("rhubarb gin")
	if r.Hold != 7 || r.ClearWith != "egg white" || r.Serve != 25*ml || r.Cycles != 2 || r.From["hold"] != book.Estimate {
		t.Errorf("the recipe is %+v", r)
	}
}

// Each row spoils the full book once; the error says why and shows the line.
func TestMistakenFigureIsRefusedWithItsLine(t *testing.T) {
	t.Parallel()
	src := full(t)
	for _, c := range []struct{ name, old, with, says string }{
		{"a licence that is none", "licensed: no", "licensed: true", `"true" is none of yes, no, unknown`},
		{"a state that is none", "state: WLG", "state: Wellington", "ISO 3166"},
		{"a currency that is none", "currency: EUR", "currency: euro", "three capital letters"},
		{"a room in litres", "room: 46 m3", "room: 46000 l", "unknown unit"},
		{"a room of nothing", "room: 46 m3", "room: 0 m3", "more than nothing"},
		{"air changes without a unit", "air_changes: 8.0/h", "air_changes: 8.0", `like "8.0/h"`},
		{"half a hand", "hands: 2", "hands: 1.5", "whole number"},
		{"a charger price with a unit", "charger_price: 0.70", "charger_price: 0.70/kg", "bare amount"},
		{"a charger price too fine", "charger_price: 0.70", "charger_price: 0.705", "two decimals"},
		{"a charger for nothing", "charger_price: 0.70", "charger_price: 0.00", "more than nothing"},
		{"a price for nobody knows how much", "price: 24.00/l", "price: 24.00", "does not say for how much"},
		{"a litre priced by weight", "price: 24.00/l", "price: 24.00/kg", "unknown unit"},
		{"a kilogram priced by volume", "price: 4.50/kg", "price: 4.50/l", "unknown unit"},
		{"a price below nothing", "price: 4.50/kg", "price: -4.50/kg", "below nothing"},
		{"a price of nothing", "price: 4.50/kg", "price: 0/kg", "no price that can be meant"},
		{"a pack of nothing", "price: 4.50/kg", "price: 4.50/0 g", "more than nothing"},
		{"an absurd price", "price: 24.00/l", "price: 900000/1 ml", "no price that can be meant"},
		{"a vessel of glass", "material: steel", "material: glass", "none of steel, aluminium"},
		{"a head of wood", "head: steel", "head: wood", "none of steel, aluminium, plastic"},
		{"acid of gin", "strength: 40 %, price", "strength: 40 %, acidity: 5 %, price", "acidity is told of vinegar and juice only"},
		{"an acid past all vinegar", "acidity: 6 %,", "acidity: 80 %,", "too much"},
		{"Brix of oil", "family: oil, price", "family: oil, brix: 5 Brix, price", "Brix is told of syrup only"},
		{"sugar that is not that Brix", "sugar: 88.7 g/100ml", "sugar: 66.7 g/100ml", "66.7 Brix is about 88.9 g/100ml"},
		{"Brix without a unit", "brix: 50 Brix", "brix: 50", `like "50 Brix"`},
		{"fat of wine", "sugar: 15 g/100ml", "fat_in_100g: 1 g", "fat is told of dairy only"},
		{"cream that is more than fat", "fat_in_100g: 37 g", "fat_in_100g: 137 g", "more than the whole"},
		{"dry and wet", "water_in_100g: 6.45 g", "water_in_100g: 65 g", "not dry to the touch"},
		{"retention without a gram", "retention: 0.5 ml/g", "retention: 0.5 ml", "no volume in a gram"},
		{"retention past all solids", "retention: 0.5 ml/g", "retention: 50 ml/g", "too much"},
		{"a price of what is refused", "{name: rhubarb leaf, ", "{name: rhubarb leaf, price: 1.00/kg, ", "no kind and no figure"},
		{"a flag of what is refused", "{name: rhubarb leaf, ", "{name: rhubarb leaf, irritant: true, ", "no kind and no figure"},
		{"part of a day", "hold: 7 days", "hold: 36 h", "whole number of days"},
		{"a hold of nothing", "hold: 7 days", "hold: 0 days", "more than nothing"},
		{"a hold without a unit", "hold: 7 days", "hold: 7", "say the unit"},
		{"no cycle", "cycles: 2", "cycles: 0", "whole number"},
		{"a serve of nothing", "serve: 25 ml", "serve: 0 ml", "more than nothing"},
		{"cleared with a mention", "clear_with: egg white", "clear_with: <!here>", "letters, spaces"},
		{"cleared with what is refused", "clear_with: egg white", "clear_with: rhubarb leaf", "rhubarb leaf is refused"},
		{"a price without a source", "demo: [strength, price]", "demo: [strength]", "does not say where price comes from"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if strings.Count(src, c.old) != 1 {
				t.Fatalf("the full book has %q %d times", c.old, strings.Count(src, c.old))
			}
			_, err := book.Parse([]byte(strings.Replace(src, c.old, c.with, 1)))
			if err == nil {
				t.Fatal("it was read")
			}
			if !strings.Contains(err.Error(), c.says) {
				t.Errorf("the error does not say %q:\n%v", c.says, err)
			}
			if !strings.Contains(err.Error(), "line ") {
				t.Errorf("the error shows no line:\n%v", err)
			}
		})
	}
}

func TestWhatClearsALiquidLeavesItsAllergen(t *testing.T) {
	t.Parallel()
	for agent, want := range map[string][]string{
		"egg white": {"eggs"}, "Milk": {"milk"}, "brown butter": {"milk"}, "whole-milk yoghurt": {"milk"}, "isinglass": {"fish"},
		"hazelnut oil": {"nuts"}, "oat milk": {"gluten"}, "soy milk": {"milk", "soya"}, "cream": {"milk"},
		"egg and milk": {"eggs", "milk"}, "agar": nil, "coconut milk": nil, "": nil,
	} {
		got := book.Sample().AllergensOfAgent(agent)
		if slices.Sort(got); cmp.Diff(want, got) != "" {
			t.Errorf("%q leaves %v, want %v", agent, got, want)
		}
	}
	src := full(t)
	r, _ := mustParse(t, src).Recipe("rhubarb gin")
	if diff := cmp.Diff([]string{"eggs"}, r.Allergens); diff != "" {
		t.Errorf("cleared with egg white (-want +got):\n%s", diff)
	}
	told := strings.Replace(src, "    hold: 7 days\n", "    allergens: [milk, eggs]\n    hold: 7 days\n", 1)
	r, _ = mustParse(t, told).Recipe("rhubarb gin")
	if diff := cmp.Diff([]string{"milk", "eggs"}, r.Allergens); diff != "" {
		t.Errorf("told already (-want +got):\n%s", diff)
	}
}
