package book_test

import (
	"strings"
	"testing"

	"ventbell/internal/book"
)

func TestSmallBookGivesNoFinding(t *testing.T) {
	t.Parallel()
	for _, f := range book.Check(mustParse(t, small)) {
		t.Errorf("%+v", f)
	}
}

// Each row makes one thing of the small book worth mending.
func TestCheckFindsWhatIsWorthMending(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		old  []string // old, new, old, new ...
		code book.FindingCode
		what string
		line string // in which line the entry starts
		says string
	}{
		{
			"no vessel",
			[]string{small[strings.Index(small, "vessels:"):strings.Index(small, "classes:")], ""},
			book.NoVessels, "vessels", "house:", "enter the house's vessels",
		},
		{
			"a vessel without charger limit",
			[]string{"    charger_limit: 2\n", "", "brim, charger_limit", "brim", "chargers: 2", "chargers: 1"},
			book.NoLimit, "A", "- tag: A", "counts as one charger: enter charger_limit from its manual",
		},
		{
			"a vessel without brim",
			[]string{"    brim: 710 ml\n", "", "line, brim", "line"},
			book.NoBrim, "A", "- tag: A", "solids count to the line",
		},
		{
			"a vessel without stamp",
			[]string{"    stamped_pressure: 25 bar\n", "", ", stamped_pressure]", "]"},
			book.NoStamp, "A", "- tag: A", "read it off the vessel",
		},
		{
			"a recipe whose steps outlast its contact",
			[]string{"contact: 20 min\n    judge_after: 14", "contact: 7 min\n    judge_after: 14"},
			book.ShortContact, "rhubarb gin", "- name: rhubarb gin", "at least 7 min 20 s",
		},
		{
			"a class whose steps outlast its contact",
			[]string{"contact: 20 min\n    judge_after: 12", "contact: 6 min\n    judge_after: 12"},
			book.ShortContact, "class spirit + fruit", "- family: spirit", "contact is cut at 6 min",
		},
		{
			"a batch that fits no vessel",
			[]string{"batch: 400 ml", "batch: 480 ml"},
			book.FitsNoVessel, "rhubarb gin", "- name: rhubarb gin", "its batch of 480 ml with 96 g of solids fits no vessel",
		},
		{
			"more chargers than the vessel takes",
			[]string{"charger_limit: 2", "charger_limit: 1"},
			book.TooManyCharges, "rhubarb gin", "- name: rhubarb gin", "vessel A takes 1",
		},
		{
			"the solid's allergen left out",
			[]string{"kind: fruit\n", "kind: fruit\n    allergens: [celery]\n"},
			book.LacksAllergen, "rhubarb gin", "- name: rhubarb gin", "brings celery: add it",
		},
		{
			"the base's allergen left out",
			[]string{"name: gin,", "name: gin, allergens: [sulphites],"},
			book.LacksAllergen, "rhubarb gin", "- name: rhubarb gin", "brings sulphites: add it",
		},
		{
			"a ratio outside its class",
			[]string{"    ratio: 20 g/100ml", "    ratio: 5 g/100ml"},
			book.OddRatio, "rhubarb gin", "- name: rhubarb gin", "5 g/100ml is outside 10 g/100ml to 50 g/100ml",
		},
		{
			"fresh fruit on the shelf",
			[]string{"judge_after: 14 min\n    storage: fridge", "judge_after: 14 min\n    storage: shelf"},
			book.WrongStorage, "rhubarb gin", "- name: rhubarb gin", "set storage to fridge",
		},
		{
			"a vessel without material",
			[]string{"    material: steel\n", ""},
			book.NoMaterial, "A", "- tag: A", "enter material, steel or aluminium",
		},
		{
			"a vessel whose head nobody looked at",
			[]string{"    head: steel\n", ""},
			book.NoHead, "A", "- tag: A", "enter head, steel, aluminium or plastic",
		},
		{
			"a vessel with a head of plastic",
			[]string{"    head: steel\n", "    head: plastic\n"},
			book.HeadOfPlastic, "A", "- tag: A", "nothing may be charged in it",
		},
		{
			"a house that was never asked",
			[]string{"  licensed: yes\n", ""},
			book.NotAnswered, "house", "name: test house", "enter licensed, yes, no or unknown",
		},
		{
			"a house that does not know",
			[]string{"licensed: yes", "licensed: unknown"},
			book.NotAnswered, "house", "name: test house", "ask the licensing office",
		},
		{
			"a house in no state of the US",
			[]string{"country: BE", "country: US"},
			book.NoState, "house", "name: test house", "enter state",
		},
		{
			"a room without its air",
			[]string{"  from: {demo: [bottle]}", "  room: 46 m3\n  from: {demo: [bottle, room]}"},
			book.HalfRoom, "house", "name: test house", "a room without air_changes",
		},
		{
			"air without its room",
			[]string{"  from: {demo: [bottle]}", "  air_changes: 8.0/h\n  from: {demo: [bottle, air_changes]}"},
			book.HalfRoom, "house", "name: test house", "air_changes without a room",
		},
		{
			"a charger's price without a currency",
			[]string{"  from: {demo: [bottle]}", "  charger_price: 0.70\n  from: {demo: [bottle, charger_price]}"},
			book.NoCurrency, "house", "name: test house", "enter currency",
		},
		{
			"a liquid's price without a currency",
			[]string{"40 %, from: {demo: [strength", "40 %, price: 24.00/l, from: {demo: [price, strength"},
			book.NoCurrency, "house", "name: test house", "enter currency",
		},
		{
			"a botanical's price without a currency",
			[]string{"estimate: [retention]}", "estimate: [retention], demo: [price]}\n    price: 4.50/kg"},
			book.NoCurrency, "house", "name: test house", "enter currency",
		},
		{
			"a vinegar without acidity",
			[]string{"name: olive oil, family: oil", "name: cider vinegar, family: vinegar"},
			book.NoAcidity, "cider vinegar", "name: cider vinegar", "read it off the bottle",
		},
		{
			"a syrup without Brix",
			[]string{"name: olive oil, family: oil", "name: syrup, family: syrup"},
			book.NoBrix, "syrup", "name: syrup", "50 Brix for one to one",
		},
		{
			"a botanical without retention",
			[]string{"    retention: 0.2 ml/g\n", "", ", estimate: [retention]", ""},
			book.NoRetention, "rhubarb", "- name: rhubarb\n", "what a gram keeps",
		},
		{
			"a rest that may outlast the contact",
			[]string{"max: 5 min}\n    settle: 3 min\n    contact: 20 min\n    judge_after: 14", "max: 25 min}\n    settle: 3 min\n    contact: 20 min\n    judge_after: 14"},
			book.RestTooLong, "rhubarb gin", "- name: rhubarb gin", "may go to 25 min, and contact is cut at 20 min: set rest.max",
		},
		{
			"a class whose rest may outlast its contact",
			[]string{"max: 5 min}\n    settle: 3 min\n    contact: 20 min\n    judge_after: 12", "max: 25 min}\n    settle: 3 min\n    contact: 20 min\n    judge_after: 12"},
			book.RestTooLong, "class spirit + fruit", "- family: spirit", "may go to 25 min",
		},
		{
			"proven in a vessel that the house has not",
			[]string{"proven: 0.5 l\n    chargers: 2\n    swirl: 30 s\n    rest: {min: 60 s, target: 2 min, max: 5 min}\n    settle: 3 min\n    contact: 20 min\n    judge_after: 14", "proven: 0.75 l\n    chargers: 2\n    swirl: 30 s\n    rest: {min: 60 s, target: 2 min, max: 5 min}\n    settle: 3 min\n    contact: 20 min\n    judge_after: 14"},
			book.UnknownSize, "rhubarb gin", "- name: rhubarb gin", "set proven to the nominal",
		},
		{
			"a slow vent for the liquid",
			[]string{"    judge_after: 14 min\n", "    judge_after: 14 min\n    vent: slow\n"},
			book.WeakVent, "rhubarb gin", "- name: rhubarb gin", "take vent out, or set product to solid",
		},
		{
			"a fast vent for pieces that are kept",
			[]string{"    kinds: [fruit]\n", "    kinds: [fruit]\n    product: solid\n", "    judge_after: 14 min\n", "    judge_after: 14 min\n    product: solid\n"},
			book.BlownOut, "rhubarb gin", "- name: rhubarb gin", "set vent to slow",
		},
		{
			"sour fruit in cream",
			[]string{
				"family: spirit\n", "family: dairy\n", "name: gin, family: spirit, strength: 40 %, from: {demo: [strength]}", "name: gin, family: dairy",
			},
			book.SourDairy, "rhubarb gin", "- name: rhubarb gin", "splits gin: take another base",
		},
		{
			"one word for a liquid and a botanical",
			[]string{"name: rhubarb leaf,", "name: rhubarb leaf, aliases: [Gin],"},
			book.AliasTwice, "rhubarb leaf", "- {name: rhubarb leaf", `the word "Gin" also means gin`,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			src := strings.NewReplacer(c.old...).Replace(small)
			found := book.Check(mustParse(t, src))
			if len(found) != 1 {
				t.Fatalf("found %v, want one thing", found)
			}
			f := found[0]
			line := lineOf(t, src, c.line)
			if f.Code != c.code || f.What != c.what || f.Line != line || !strings.Contains(f.String(), c.says) {
				t.Errorf("found %+v, want %q for %s in line %d that says %q", f, c.code, c.what, line, c.says)
			}
		})
	}
}

func TestStrainingFirstShortensTheContact(t *testing.T) {
	t.Parallel()
	i := strings.Index(small, "recipes:")
	short := small[:i] + strings.Replace(small[i:], "contact: 20 min", "contact: 5 min", 1)
	if found := book.Check(mustParse(t, short)); len(found) != 1 || found[0].Code != book.ShortContact {
		t.Fatalf("settling on the solids: found %v", found)
	}
	first := strings.Replace(short, "settle: 3 min\n    contact: 5 min", "settle: 3 min\n    strain_first: true\n    contact: 5 min", 1)
	if found := book.Check(mustParse(t, first)); len(found) != 0 {
		t.Errorf("strained first: found %v", found)
	}
}

func TestFindingsComeInTheOrderOfTheFile(t *testing.T) {
	t.Parallel()
	src := strings.NewReplacer(
		"    brim: 710 ml\n", "", "line, brim", "line",
		"contact: 20 min\n    judge_after: 12", "contact: 6 min\n    judge_after: 12",
		"name: gin,", "name: gin, allergens: [sulphites],",
	).Replace(small)
	found := book.Check(mustParse(t, src))
	if len(found) != 3 {
		t.Fatalf("found %v", found)
	}
	for i := 1; i < len(found); i++ {
		if found[i-1].Line > found[i].Line {
			t.Errorf("line %d is told before line %d", found[i-1].Line, found[i].Line)
		}
	}
}
