package book_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"ventbell/internal/book"
)

// anyLine compares books without the lines that their entries stand in.
var anyLine = cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".FileLine" }, cmp.Ignore())

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
		"stamped_pressure": "35 bar", "material": "steel", "insulated": "true",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	got, err = book.Values(book.EntryText(book.SampleYAML(), book.PartRecipes, "rhubarb gin"))
	if err != nil || got["rest"] != "60 s, 2 min, 5 min" || got["aliases"] != "gin with rhubarb" {
		t.Errorf("%v, %v", got, err)
	}
}
