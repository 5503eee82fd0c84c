package book_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

const ml = quantity.Millilitre

func TestBookIsReadWithEveryFigureAndItsSource(t *testing.T) {
	t.Parallel()
	b := mustParse(t, small)
	const (
		practice  = book.CommonPractice
		estimate  = book.Estimate
		demo      = book.Demo
		published = book.Source("published: a food table")
	)
	room := book.TempRange{Min: 180, Target: 200, Max: 240}
	rest := book.Span{Min: time.Minute, Target: 2 * time.Minute, Max: 5 * time.Minute}
	want := &book.Book{
		House: book.House{
			Name: "test house", Language: "en", Zone: "Europe/Brussels", Country: "BE", Licensed: "yes", Bottle: 700 * ml,
			From: book.Provenance{"bottle": demo}, FileLine: 2,
		},
		Vessels: []book.Vessel{{
			Tag: "A", Nominal: 500 * ml, Line: 500 * ml, Brim: 710 * ml, Limit: 2, StampedBar: 25, Material: "steel", Head: "steel", FileLine: 10,
			From: book.Provenance{"nominal": demo, "line": demo, "brim": demo, "charger_limit": demo, "stamped_pressure": demo},
		}},
		Classes: []book.Class{{
			Name: "spirit + fruit", Family: book.Spirit, Kind: book.Fruit, Ratio: 20_000, RatioMin: 10_000, RatioMax: 50_000,
			Temp: room, Proven: 500 * ml, Chargers: 2, Swirl: 30 * time.Second, Rest: rest, Settle: 3 * time.Minute,
			Contact: 20 * time.Minute, JudgeAfter: 12 * time.Minute, Storage: "fridge", FileLine: 20,
			From: book.Provenance{
				"ratio": estimate, "temp": estimate, "proven": estimate, "chargers": estimate, "swirl": estimate,
				"rest": estimate, "settle": estimate, "contact": estimate, "judge_after": estimate,
			},
		}},
		Liquids: []book.Liquid{
			{Name: "gin", Family: book.Spirit, Strength: 400, From: book.Provenance{"strength": demo}, FileLine: 34},
			{Name: "olive oil", Family: book.Oil, From: book.Provenance{}, FileLine: 35},
		},
		Botanicals: []book.Botanical{
			{
				Name: "rhubarb", Kind: book.Fruit, VolumePerGram: 980, Water: 936, Retention: ml / 5, FileLine: 37,
				From: book.Provenance{"water_in_100g": published, "fat_in_100g": published, "retention": estimate},
			},
			{Name: "rhubarb leaf", Refused: "oxalates", FileLine: 43},
		},
		Recipes: []book.Recipe{{
			Name: "rhubarb gin", Aliases: []string{"gin with rhubarb"}, Solid: "rhubarb", Base: "gin", Class: "spirit + fruit",
			Batch: 400 * ml, Ratio: 20_000, Prep: "stalk, 5 mm", Choose: "red to the heart", Use: "with tonic", Temp: room,
			Proven: 500 * ml, Chargers: 2, Swirl: 30 * time.Second, Rest: rest, Settle: 3 * time.Minute,
			Contact: 20 * time.Minute, JudgeAfter: 14 * time.Minute, Storage: "fridge", FileLine: 45,
			From: book.Provenance{
				"chargers": practice, "swirl": practice, "rest": practice, "settle": practice, "judge_after": practice,
				"ratio": estimate, "temp": estimate, "contact": estimate, "batch": demo, "proven": demo,
			},
		}},
	}
	if diff := cmp.Diff(want, b, cmpopts.IgnoreFields(book.Book{}, "Text")); diff != "" {
		t.Errorf("the book read differs (-want +got):\n%s", diff)
	}
}

// Each row spoils the small book once; the error says why and shows the line.
func TestMistakeIsRefusedWithItsLine(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name             string
		where, old, with string
		says, line       string
	}{
		{"an unknown key", "recipes:", "swirl: 30 s", "swrl: 30 s", `unknown field "swrl"`, "swrl: 30 s"},
		{"an unknown key of limits", "recipes:", "rest: {min:", "rest: {least:", `unknown field "least"`, "rest: {least:"},
		{"an unknown list", "", "vessels:", "pots: []\nvessels:", `unknown field "pots"`, "pots: []"},
		{"a doubled key", "recipes:", "swirl: 30 s", "swirl: 30 s\n    swirl: 40 s", `duplicate key "swirl"`, "swirl: 40 s"},
		{"text for a flag", "vessels:", "brim: 710 ml", "brim: 710 ml\n    insulated: maybe", "true or false", "insulated: maybe"},
		{"a list for a figure", "recipes:", "swirl: 30 s", "swirl: [30 s]", "one plain value", "swirl: [30 s]"},
		{"a word for a list", "recipes:", "aliases: [gin with rhubarb]", "aliases: rhubarb", "string was used where sequence", "aliases: rhubarb"},
		{"a list that is none", "", "vessels:\n  - tag: A", "vessels:\n    tag: A", "a list belongs here", "tag: A"},
		{"broken YAML", "recipes:", "aliases: [gin with rhubarb]", "aliases: [gin", "',' or ']' must be specified", "solid: rhubarb"},
		{"no unit", "recipes:", "batch: 400 ml", "batch: 400", `say the unit, like "500 ml"`, "batch: 400"},
		{"the wrong unit", "recipes:", "batch: 400 ml", "batch: 400 g", "unknown unit", "batch: 400 g"},
		{"no number", "recipes:", "swirl: 30 s", "swirl: .nan", "no number", "swirl: .nan"},
		{"below nothing", "recipes:", "batch: 400 ml", "batch: -400 ml", "below nothing", "batch: -400 ml"},
		{"nothing", "recipes:", "ratio: 20 g/100ml", "ratio: 0 g/100ml", "more than nothing", "ratio: 0 g/100ml"},
		{"absurd", "recipes:", "batch: 400 ml", "batch: 40000 l", "too much", "batch: 40000 l"},
		{"half a charger", "recipes:", "chargers: 2", "chargers: 1.5", "whole number", "chargers: 1.5"},
		{"pressure without unit", "vessels:", "stamped_pressure: 25 bar", "stamped_pressure: 25", "25 bar", "stamped_pressure: 25"},
		{"a missing figure", "recipes:", "    settle: 3 min\n", "", "settle is missing", "- name: rhubarb gin"},
		{"a missing limit", "recipes:", "rest: {min: 60 s, target: 2 min, max: 5 min}", "rest: {min: 60 s, target: 2 min}", "rest.max is missing", "- name: rhubarb gin"},
		{"a missing note", "recipes:", "use: with tonic", "use: ''", "use is missing", "- name: rhubarb gin"},
		{"a missing house", "", small[:strings.Index(small, "vessels:")], "", "house is missing", "vessels:"},
		{"target outside its limits", "recipes:", "target: 2 min", "target: 8 min", "outside 60 s to 5 min", "target: 8 min"},
		{"limits the wrong way round", "recipes:", "rest: {min: 60 s, target: 2 min, max: 5 min}", "rest: {min: 5 min, target: 2 min, max: 60 s}", "outside", "rest: {min: 5 min"},
		{"a figure without a source", "recipes:", "swirl, rest", "rest", "from does not say where swirl comes from", "- name: rhubarb gin"},
		{"a source without a figure", "recipes:", "swirl, rest", "swirl, clear, rest", `has no figure "clear"`, "common practice: [chargers, swirl, clear"},
		{"two sources for a figure", "recipes:", "[ratio, temp", "[swirl, ratio, temp", `comes from "common practice" already`, "estimate: [swirl"},
		{"an unknown source", "recipes:", "estimate:", "guess:", `unknown field "guess"`, "guess:"},
		{"an unnamed publication", "botanicals:", "a food table", "''", "name the publication", "- name: rhubarb\n"},
		{"an unknown solid", "recipes:", "solid: rhubarb", "solid: rhubab", `no botanical is called "rhubab"`, "- name: rhubarb gin"},
		{"an unknown base", "recipes:", "base: gin", "base: rum", `no liquid is called "rum"`, "- name: rhubarb gin"},
		{"a refused solid", "recipes:", "solid: rhubarb", "solid: rhubarb leaf", "rhubarb leaf is refused: oxalates", "- name: rhubarb gin"},
		{"no class", "recipes:", "base: gin", "base: olive oil", "no class for fruit in oil", "- name: rhubarb gin"},
		{"an unknown kind", "botanicals:", "kind: fruit", "kind: stalk", "none of produce", "kind: stalk"},
		{"an unknown family", "liquids:", "family: oil", "family: fat", "none of spirit", "family: fat"},
		{"an unknown allergen", "liquids:", "name: gin, ", "name: gin, allergens: [glutten], ", `"glutten" is none of gluten`, "glutten"},
		{"an unknown vent", "recipes:", "judge_after: 14 min", "judge_after: 14 min\n    vent: gentle", "none of fast, slow", "vent: gentle"},
		{"an unknown product", "recipes:", "judge_after: 14 min", "judge_after: 14 min\n    product: foam", "none of liquid, solid", "product: foam"},
		{"a solid that is cleared", "recipes:", "judge_after: 14 min", "judge_after: 14 min\n    clear_with: agar\n    product: solid", "leave out clear", "product: solid"},
		{"a solid without its class", "recipes:", "judge_after: 14 min", "judge_after: 14 min\n    product: solid", "no class for fruit in spirit: write one under classes", "- name: rhubarb gin"},
		{"refused and signed off", "botanicals:", "refused: oxalates", "refused: oxalates, sign_off: with care", "what is refused has no kind", "refused: oxalates"},
		{"an unknown storage", "recipes:", "storage: fridge", "storage: cellar", "none of fridge, shelf", "storage: cellar"},
		{"an unknown language", "house:", "language: en", "language: tlh", "none of en", "language: tlh"},
		{"a zone that is none", "house:", "Europe/Brussels", "CET+1", "time zone", "zone: CET+1"},
		{"a country that is none", "house:", "country: BE", "country: Belgium", "two capital letters", "country: Belgium"},
		{"a tag that reads as a count", "vessels:", "tag: A", "tag: 2", "a letter and at most seven", "- tag: 2"},
		{"a brim below the line", "vessels:", "brim: 710 ml", "brim: 400 ml", "less than the line", "brim: 400 ml"},
		{"more than the whole", "botanicals:", "fat_in_100g: 0.2 g", "fat_in_100g: 20 g", "more than the whole", "water_in_100g: 93.6 g"},
		{"more than the whole alone", "botanicals:", "water_in_100g: 93.6 g\n    fat_in_100g: 0.2 g", "fat_in_100g: 101 g", "more than the whole", "- name: rhubarb\n"},
		{"a spirit without strength", "liquids:", "strength: 40 %, from: {demo: [strength]}", "aliases: []", "strength is missing", "name: gin"},
		{"a charged vessel too hot", "recipes:", "max: 24 C", "max: 55 C", "never goes above 50 C", "- name: rhubarb gin"},
		{"spirit too hot", "recipes:", "max: 24 C", "max: 45 C", "never warmed above 40 C", "- name: rhubarb gin"},
		{"a class too hot", "classes:", "max: 24 C", "max: 45 C", "never warmed above 40 C", "- family: spirit"},
		{"a recipe twice", "botanicals:", "- {name: rhubarb leaf", "- {name: Rhubarb, refused: again}\n  - {name: rhubarb leaf", `"Rhubarb" stands in line 37 already`, "- {name: Rhubarb"},
		{"a name that cannot be typed", "recipes:", "name: rhubarb gin", "name: rhubarb <!here>", "letters, spaces", "name: rhubarb <!here>"},
		{"a note too long", "recipes:", "use: with tonic", "use: " + strings.Repeat("long ", 40), "longer than 160", "use: long"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			src := spoil(t, c.where, c.old, c.with)
			b, err := book.Parse([]byte(src))
			if err == nil {
				t.Fatalf("it was read: %+v", b)
			}
			if !strings.Contains(err.Error(), c.says) {
				t.Errorf("the error does not say %q:\n%v", c.says, err)
			}
			shown := fmt.Sprintf(`(?m)^ +%d \|.*%s`, lineOf(t, src, c.line), regexp.QuoteMeta(strings.TrimSpace(c.line)))
			if !regexp.MustCompile(shown).MatchString(err.Error()) {
				t.Errorf("the error does not show the line %q:\n%v", c.line, err)
			}
		})
	}
}

// lineOf gives the number of the last line that has part in it.
func lineOf(t *testing.T, src, part string) int {
	t.Helper()
	i := strings.LastIndex(src, part)
	if i < 0 {
		t.Fatalf("no line has %q", part)
	}
	return strings.Count(src[:i], "\n") + 1
}

func TestAHouseSpeaksOneOfThreeLanguages(t *testing.T) {
	t.Parallel()
	for _, l := range []string{"en", "es", "fr"} {
		b := mustParse(t, strings.Replace(small, "language: en", "language: "+l, 1))
		if b.House.Language != l {
			t.Errorf("%s is read as %q", l, b.House.Language)
		}
	}
}

func TestStrongSpiritIsNeverWarmed(t *testing.T) {
	t.Parallel()
	src := strings.Replace(small, "strength: 40 %", "strength: 63 %", 1)
	if _, err := book.Parse([]byte(src)); err != nil {
		t.Fatalf("at room temperature: %v", err)
	}
	i := strings.Index(src, "recipes:")
	warm := src[:i] + strings.Replace(src[i:], "max: 24 C", "max: 30 C", 1)
	if _, err := book.Parse([]byte(warm)); err == nil || !strings.Contains(err.Error(), "above 60 % is never warmed") {
		t.Errorf("warmed: %v", err)
	}
}

func TestAllMistakesOfAFileAreToldTogetherInOrder(t *testing.T) {
	t.Parallel()
	src := strings.NewReplacer(
		"tag: A", "tag: 7", "line: 500 ml", "line: 500",
		"kind: fruit", "kynd: fruit", "fat_in_100g", "fatt",
		"batch: 400 ml", "batch: lots", "country: BE", "country: be",
	).Replace(small)
	_, err := book.Parse([]byte(src))
	if err == nil {
		t.Fatal("it was read")
	}
	at := 0
	for _, says := range []string{
		"country: write", "tag: a vessel's tag", "line: read volume", `unknown field "kynd"`, `unknown field "fatt"`, "batch: read volume",
	} {
		i := strings.Index(err.Error()[at:], says)
		if i < 0 {
			t.Fatalf("%q is not told, or not in the order of the file:\n%v", says, err)
		}
		at += i
	}
}

func TestFileThatIsNoBookIsRefused(t *testing.T) {
	t.Parallel()
	for _, src := range []string{
		"", "# nothing", "a word", "- a\n- list", "\t", "{", small + "---\n" + small, strings.Repeat("#", 2<<20),
		"house: *nowhere", "recipes: [null, 1, [], {}]",
	} {
		if b, err := book.Parse([]byte(src)); err == nil {
			t.Errorf("%.20q was read as %+v", src, b)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(small))
	f.Add(book.SampleYAML()[:4000])
	f.Add([]byte("house: &a {name: *a}\nvessels: [null]\nrecipes:\n  - <<: *a\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		b, err := book.Parse(src)
		if (b == nil) == (err == nil) {
			t.Fatalf("book %v, error %v", b, err)
		}
		if err == nil {
			book.Check(b)
		}
	})
}
