package book_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"ventbell/internal/book"
)

// anyLine compares books without their files and the lines that their entries
// stand in.
var anyLine = cmp.FilterPath(func(p cmp.Path) bool {
	return p.Last().String() == ".FileLine" || p.String() == "Text"
}, cmp.Ignore())

func amended(t *testing.T, text []byte, edits ...book.Edit) *book.Book {
	t.Helper()
	text, err := book.Amend(text, edits...)
	if err != nil {
		t.Fatal(err)
	}
	b, err := book.Parse(text)
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return b
}

func TestEveryEntryWrittenAnewAsItStandsLeavesTheBookTheSame(t *testing.T) {
	t.Parallel()
	text, b := book.SampleYAML(), book.Sample()
	edits := []book.Edit{{Part: book.PartHouse, YAML: book.EntryText(text, book.PartHouse, "")}}
	for _, v := range b.Vessels {
		edits = append(edits, book.Edit{Part: book.PartVessels, Name: v.Tag, YAML: book.EntryText(text, book.PartVessels, v.Tag)})
	}
	for _, l := range b.Liquids {
		edits = append(edits, book.Edit{Part: book.PartLiquids, Name: l.Name, YAML: book.EntryText(text, book.PartLiquids, l.Name)})
	}
	for _, r := range b.Recipes {
		edits = append(edits, book.Edit{Part: book.PartRecipes, Name: r.Name, YAML: book.EntryText(text, book.PartRecipes, r.Name)})
	}
	for _, e := range edits {
		if e.YAML == "" {
			t.Fatalf("%s %s has no text", e.Part, e.Name)
		}
	}
	if diff := cmp.Diff(b, amended(t, text, edits...), anyLine, cmpopts.EquateEmpty()); diff != "" {
		t.Error(diff)
	}
}

func TestEditChangesOneEntryAndSaysWhoSetIt(t *testing.T) {
	t.Parallel()
	text := book.SampleYAML()
	const source = "prep-lead, 25 Nov 2026"
	entry, err := book.Rewrite(book.EntryText(text, book.PartRecipes, "rhubarb gin"),
		map[string]string{"ratio": "18 g/100ml", "rest": "60 s, 90 s, 4 min", "aliases": "gin with rhubarb, pink gin", "hold": "5 days", "use": ""}, source)
	if err == nil {
		entry, err = book.Rewrite(entry, map[string]string{"use": "long, with tonic"}, source)
	}
	if err != nil {
		t.Fatal(err)
	}
	b := amended(t, text, book.Edit{Part: book.PartRecipes, Name: "rhubarb gin", YAML: entry})
	got, _ := b.Recipe("pink gin")
	want, _ := book.Sample().Recipe("rhubarb gin")
	want.Ratio, want.Hold, want.Use = 18_000, 5, "long, with tonic"
	want.Rest.Target, want.Rest.Max = 90e9, 240e9
	want.Aliases = []string{"gin with rhubarb", "pink gin"}
	want.From = book.Provenance{}
	for key, from := range mustRecipe("rhubarb gin").From {
		want.From[key] = from
	}
	for _, key := range []string{"ratio", "rest", "hold"} {
		want.From[key] = book.Published(source)
	}
	if diff := cmp.Diff(want, got, anyLine); diff != "" {
		t.Error(diff)
	}
	others := cmp.FilterPath(func(p cmp.Path) bool { return p.String() == "Recipes" }, cmp.Ignore())
	if diff := cmp.Diff(book.Sample(), b, anyLine, others); diff != "" {
		t.Errorf("something else changed: %s", diff)
	}
}

func mustRecipe(name string) book.Recipe {
	r, _ := book.Sample().Recipe(name)
	return r
}

func TestEntriesAreAddedAndTakenOut(t *testing.T) {
	t.Parallel()
	text := book.SampleYAML()
	entry, err := book.Rewrite(book.EntryText(text, book.PartVessels, "A"), map[string]string{"tag": "E", "brim": "705 ml"}, "prep-lead")
	if err != nil {
		t.Fatal(err)
	}
	b := amended(t, text,
		book.Edit{Part: book.PartVessels, Name: "E", YAML: entry},
		book.Edit{Part: book.PartVessels, Name: "D"},
		book.Edit{Part: book.PartRecipes, Name: "coffee cream"})
	var tags []string
	for _, v := range b.Vessels {
		tags = append(tags, v.Tag)
	}
	if diff := cmp.Diff([]string{"A", "B", "C", "E"}, tags); diff != "" {
		t.Error(diff)
	}
	if _, there := b.Recipe("coffee cream"); there || len(b.Recipes) != len(book.Sample().Recipes)-1 {
		t.Error("the recipe was not taken out, or others were")
	}
}

func TestEditCannotReachBeyondItsEntry(t *testing.T) {
	t.Parallel()
	for name, yaml := range map[string]string{
		"another part":  "tag: E\nrecipes: []\n",
		"another entry": "tag: E\n- tag: F\n",
		"a document":    "tag: E\n---\nhouse: {}\n",
		"a list":        "- tag: E\n",
		"no YAML":       "tag: [\n",
	} {
		text, err := book.Amend(book.SampleYAML(), book.Edit{Part: book.PartVessels, Name: "E", YAML: yaml})
		if err == nil {
			_, err = book.Parse(text)
		}
		if err == nil {
			t.Errorf("%s: taken", name)
		}
	}
	if _, err := book.Amend(book.SampleYAML(), book.Edit{Part: book.PartVessels, Name: "Z"}); err == nil {
		t.Error("taken out what is not there")
	}
}

func TestCommentsOutsideTheEntryStay(t *testing.T) {
	t.Parallel()
	text := book.SampleYAML()
	entry := book.EntryText(text, book.PartRecipes, "rhubarb gin")
	changed, err := book.Amend(text, book.Edit{Part: book.PartRecipes, Name: "rhubarb gin", YAML: entry})
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.SplitSeq(string(text), "\n") {
		if strings.HasPrefix(strings.TrimSpace(line), "#") && !strings.Contains(string(changed), line) {
			t.Errorf("lost: %s", line)
		}
	}
}

func TestValuesShowAnEntryInAForm(t *testing.T) {
	t.Parallel()
	got, err := book.Values(book.EntryText(book.SampleYAML(), book.PartVessels, "B"))
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{
		"tag": "B", "nominal": "0.5 l", "line": "500 ml", "brim": "700 ml", "charger_limit": "2",
		"stamped_pressure": "35 bar", "material": "steel", "head": "steel", "insulated": "true", "check_every": "7 days",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	got, err = book.Values(book.EntryText(book.SampleYAML(), book.PartRecipes, "rhubarb gin"))
	if err != nil || got["rest"] != "60 s, 2 min, 5 min" || !strings.HasPrefix(got["aliases"], "gin with rhubarb") {
		t.Errorf("%v, %v", got, err)
	}
}

func TestTheHouseIsWrittenAnewAgainAndAgain(t *testing.T) {
	t.Parallel()
	text := book.SampleYAML()
	for _, price := range []string{"0.85", "0.90", "0.95"} {
		entry, err := book.Rewrite(book.EntryText(text, book.PartHouse, ""), map[string]string{"charger_price": price}, "prep-lead")
		if err == nil {
			text, err = book.Amend(text, book.Edit{Part: book.PartHouse, YAML: entry})
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	b, err := book.Parse(text)
	if err != nil || b.House.ChargerPrice != 95 || b.House.Zone != book.Sample().House.Zone {
		t.Errorf("%+v, %v", b, err)
	}
}

func TestANewRecipeIsMadeOfItsClass(t *testing.T) {
	t.Parallel()
	for _, c := range book.Sample().Classes {
		var solid book.Botanical
		var base book.Liquid
		for _, s := range book.Sample().Botanicals {
			if s.Kind == c.Kind && s.Refused == "" {
				solid = s
			}
		}
		for _, l := range book.Sample().Liquids {
			if l.Family == c.Family && l.Strength < 600 {
				base = l
			}
		}
		if solid.Name == "" || base.Name == "" {
			continue // no goods of the sample are of this class
		}
		values := c.Fresh()
		for key, value := range map[string]string{
			"name": "new one", "solid": solid.Name, "base": base.Name, "prep": "cut", "choose": "fresh", "use": "in a glass", "product": string(c.Product),
		} {
			values[key] = value
		}
		entry, err := book.Rewrite("", values, string(book.Estimate))
		if err != nil {
			t.Fatal(err)
		}
		got, there := amended(t, book.SampleYAML(), book.Edit{Part: book.PartRecipes, Name: "new one", YAML: entry}).Recipe("new one")
		if !there || got.Ratio != c.Ratio || got.Rest != c.Rest || got.Temp != c.Temp || got.Contact != c.Contact || got.Clear != c.Clear ||
			got.StrainFirst != c.StrainFirst || got.Gentle != c.Gentle || got.From["ratio"] != book.Estimate {
			t.Errorf("%s: read %+v", c.Name, got)
		}
		if !strings.HasPrefix(entry, "name: new one\nsolid: ") || !strings.Contains(entry, "\nfrom:\n  estimate:\n") {
			t.Errorf("%s: written as\n%s", c.Name, entry)
		}
	}
}

func TestAnErrorSaysWhichKeyItIsAbout(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		values  map[string]string
		key     string
		missing bool
	}{
		{map[string]string{"ratio": "much"}, "ratio", false},
		{map[string]string{"swirl": ""}, "swirl", true},
		{map[string]string{"rest": "5 min, 2 min, 1 min"}, "rest", false},
		{map[string]string{"rest": "1 min, x, 2 min"}, "rest", false},
		{map[string]string{"temp": "4 C, 5 C, 60 C"}, "temp", false},
		{map[string]string{"storage": "attic"}, "storage", false},
		{map[string]string{"aliases": "7"}, "aliases", false},
		{map[string]string{"strain_first": "perhaps"}, "strain_first", false},
		{map[string]string{"solid": "moon dust"}, "", false},
	} {
		entry, err := book.Rewrite(book.EntryText(book.SampleYAML(), book.PartRecipes, "rhubarb gin"), test.values, "prep-lead")
		if err != nil {
			t.Fatal(err)
		}
		text, err := book.Amend(book.SampleYAML(), book.Edit{Part: book.PartRecipes, Name: "rhubarb gin", YAML: entry})
		if err != nil {
			t.Fatal(err)
		}
		_, err = book.Parse(text)
		fault, ok := errors.AsType[*book.LineError](err)
		if !ok {
			t.Fatalf("%v gives %v", test.values, err)
		}
		if key, missing := fault.Key(); key != test.key || missing != test.missing {
			t.Errorf("%v: %q is about %q, missing %v", test.values, fault.Said, key, missing)
		}
	}
}
