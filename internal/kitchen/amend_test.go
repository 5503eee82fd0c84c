package kitchen_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
)

const leadToday = "prep-lead, 24 Nov 2026"

// entry opens a form that changes the book for somebody and gives what comes
// back when they send it with a few of its fields set anew.
func (w *world) entry(p kitchen.Person, form kitchen.FormName, name string, set fields) kitchen.Answer {
	w.t.Helper()
	open := w.want(w.tap(p, kitchen.Tap{Line: name, With: "form:" + string(form)}), kitchen.OpenForm)
	return w.fill(p, form, open.EntryCarry(), w.shown(open, set))
}

// shown gives the fields of an open form as they stand, a few of them set anew.
func (w *world) shown(open kitchen.Answer, set fields) fields {
	w.t.Helper()
	part := map[kitchen.FormName]book.Part{
		kitchen.FormRecipe: book.PartRecipes, kitchen.FormVessel: book.PartVessels, kitchen.FormHouse: book.PartHouse,
	}[open.Form]
	all := fields{}
	if open.Line != "" || open.Form == kitchen.FormHouse {
		var err error
		if all, err = book.Values(book.EntryText(w.book().Text, part, open.Line)); err != nil {
			w.t.Fatal(err)
		}
	}
	maps.Copy(all, set)
	maps.DeleteFunc(all, func(_, v string) bool { return v == "" })
	return all
}

func TestAChangedRecipeIsMadeFromTheNextStartOn(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	a := w.want(w.entry(lead, kitchen.FormRecipe, "rhubarb gin", fields{"ratio": "25 g/100ml", "rest": "60 s, 90 s, 4 min"}), kitchen.Saved)
	if a.N != 1 || a.Title != "rhubarb gin" || a.Form != kitchen.FormRecipe || a.Gone {
		t.Errorf("answered %+v", a)
	}
	w.say(bar1, "start rhubarb gin 400ml in B")
	before, after := w.in("A"), w.in("B")
	if before.Solids[0].Mass != 80*quantity.Gram || before.Rest.Target != 2*time.Minute {
		t.Errorf("the batch that was started before has %s, rest %s", before.Solids[0].Mass, before.Rest.Target)
	}
	if after.Solids[0].Mass != 100*quantity.Gram || after.Rest.Target != 90*time.Second {
		t.Errorf("the batch started after it has %s, rest %s", after.Solids[0].Mass, after.Rest.Target)
	}
	r, _ := w.book().Recipe("rhubarb gin")
	if r.From["ratio"] != book.Published(leadToday) || r.From["settle"] == book.Published(leadToday) {
		t.Errorf("figures come from %v", r.From)
	}
}

func TestTheLogHoldsEachVersionWithWhoAndWhen(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	w.entry(lead, kitchen.FormRecipe, "rhubarb gin", fields{"ratio": "25 g/100ml"})
	w.pass(time.Minute)
	w.entry(lead, kitchen.FormRecipe, "rhubarb gin", fields{"ratio": "22 g/100ml"})
	var lines []kitchen.Line
	for _, l := range w.log {
		if l.Event == kitchen.EditEvent {
			lines = append(lines, l)
		}
	}
	if len(lines) != 2 {
		t.Fatalf("%d lines were logged", len(lines))
	}
	first, second := lines[0].Details, lines[1].Details
	if first["edition"] != "1" || second["edition"] != "2" || second["part"] != "recipes" || second["name"] != "rhubarb gin" {
		t.Errorf("logged %v and %v", first, second)
	}
	if lines[1].By != lead || !lines[1].Entered.Equal(six.Add(time.Minute)) {
		t.Errorf("logged as by %v at %v", lines[1].By, lines[1].Entered)
	}
	if !strings.Contains(first["before"], "20 g/100ml") || !strings.Contains(first["after"], "25 g/100ml") ||
		second["before"] != first["after"] && !strings.Contains(second["before"], "25 g/100ml") || !strings.Contains(second["after"], "22 g/100ml") {
		t.Errorf("the log does not hold the versions: %v, %v", first, second)
	}
}

func TestOnlyManagersChangeTheBook(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	before := maps.Clone(w.fields)
	for _, form := range []kitchen.FormName{
		kitchen.FormChoose, kitchen.FormRecipe, kitchen.FormVessel, kitchen.FormPrice, kitchen.FormHouse,
	} {
		w.wantCode(w.tap(bar1, kitchen.Tap{Line: "recipe", With: "form:" + string(form)}), kitchen.Refuse, kitchen.RefuseManager)
		w.wantCode(w.command(kitchen.Command{Open: form, By: bar1}), kitchen.Refuse, kitchen.RefuseManager)
		a := w.fill(bar1, form, "0 rhubarb gin", fields{"ratio": "25 g/100ml", "which": "gin", "price": "24.00/l"})
		w.wantCode(a, kitchen.Refuse, kitchen.RefuseManager)
	}
	if diff := cmp.Diff(before, w.fields); diff != "" {
		t.Errorf("something was written:\n%s", diff)
	}
}

func TestChoosingOpensTheFormOfWhatWasChosen(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	open := w.want(w.tap(lead, kitchen.Tap{Line: "recipe", With: "form:choose"}), kitchen.OpenForm)
	for _, test := range []struct{ which, line string }{{"Gin with Rhubarb", "rhubarb gin"}, {kitchen.NewEntry, ""}} {
		a := w.want(w.fill(lead, kitchen.FormChoose, open.EntryCarry(), fields{"which": test.which}), kitchen.OpenForm)
		if a.Form != kitchen.FormRecipe || a.Line != test.line {
			t.Errorf("%q opened %s %q", test.which, a.Form, a.Line)
		}
	}
	a := w.wantCode(w.fill(lead, kitchen.FormChoose, open.EntryCarry(), fields{"which": "fig brandy"}), kitchen.Refuse, kitchen.RefuseNoEntry)
	if a.Field != kitchen.FieldWhich {
		t.Errorf("the form shows it at %q", a.Field)
	}
	w.wantCode(w.tap(lead, kitchen.Tap{Line: "price", With: "form:choose"}), kitchen.Refuse, kitchen.RefuseForm)
}

// fresh is what a recipe needs at least.
func fresh(more fields) fields {
	all := fields{
		"name": "cinnamon gin", "solid": "cinnamon", "base": "gin", "prep": "stick, broken", "choose": "thin bark", "use": "hot, with apple",
	}
	maps.Copy(all, more)
	return all
}

func TestANewRecipeHasTheDefaultsOfItsClass(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	w.want(w.fill(lead, kitchen.FormRecipe, "0 ", fresh(fields{"rest": "3 min, 6 min, 10 min"})), kitchen.Saved)
	r, there := w.book().Recipe("cinnamon gin")
	class, _ := w.book().ClassFor(book.Spirit, book.Spice)
	if !there || r.Ratio != class.Ratio || r.Temp != class.Temp || r.Chargers != class.Chargers || r.Contact != class.Contact || r.Storage != class.Storage {
		t.Errorf("it reads %+v, its class is %+v", r, class)
	}
	if r.Rest.Target != 6*time.Minute || r.From["rest"] != book.Published(leadToday) || r.From["ratio"] != book.Estimate {
		t.Errorf("rest %v, sources %v", r.Rest, r.From)
	}
	w.want(w.say(bar1, "start cinnamon gin 400ml in A"), kitchen.Done)
	if b := w.in("A"); !b.House || b.Title != "cinnamon gin" {
		t.Errorf("started %+v", b.Fixed)
	}
}

func TestANewRecipeStartsFromAnother(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	w.want(w.fill(lead, kitchen.FormRecipe, "0 ", fresh(fields{
		"name": "hazelnut whisky", "solid": "hazelnut", "base": "whisky", "like": "hazelnut brandy", "swirl": "45 s",
	})), kitchen.Saved)
	r, _ := w.book().Recipe("hazelnut whisky")
	like, _ := w.book().Recipe("hazelnut brandy")
	if r.Ratio != like.Ratio || r.Swirl != 45*time.Second || len(r.Aliases) != 0 || r.Prep != "stick, broken" {
		t.Errorf("it reads %+v", r)
	}
	if r.From["swirl"] != book.Published(leadToday) || r.From["ratio"] != book.Published(leadToday+", like hazelnut brandy") {
		t.Errorf("sources %v", r.From)
	}
	if diff := cmp.Diff(w.book().AllergensOf("hazelnut", "whisky"), r.Allergens); diff != "" {
		t.Errorf("allergens (-want +got):\n%s", diff)
	}
}

func TestAnAllergenCannotBeLeftOut(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	w.want(w.entry(lead, kitchen.FormRecipe, "hazelnut brandy", fields{"allergens": "", "swirl": "20 s"}), kitchen.Saved)
	r, _ := w.book().Recipe("hazelnut brandy")
	if diff := cmp.Diff(w.book().AllergensOf(r.Solid, r.Base), r.Allergens); diff != "" || len(r.Allergens) == 0 {
		t.Errorf("allergens (-want +got):\n%s", diff)
	}
}

func TestWhatIsWrongIsShownAtItsField(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name  string
		form  kitchen.FormName
		entry string
		set   fields
		code  kitchen.Code
		field string
	}{
		{"no figure", kitchen.FormRecipe, "rhubarb gin", fields{"ratio": "a lot"}, kitchen.RefuseValue, "ratio"},
		{"no unit", kitchen.FormRecipe, "rhubarb gin", fields{"swirl": "30"}, kitchen.RefuseValue, "swirl"},
		{"limits out of order", kitchen.FormRecipe, "rhubarb gin", fields{"rest": "5 min, 2 min, 60 s"}, kitchen.RefuseValue, "rest"},
		{"two limits", kitchen.FormRecipe, "rhubarb gin", fields{"rest": "60 s, 2 min"}, kitchen.RefuseValue, "rest"},
		{"one limit is no figure", kitchen.FormRecipe, "rhubarb gin", fields{"temp": "18 C, warm, 24 C"}, kitchen.RefuseValue, "temp"},
		{"too hot", kitchen.FormRecipe, "rhubarb gin", fields{"temp": "18 C, 20 C, 45 C"}, kitchen.RefuseHeat, "temp"},
		{"a figure taken out", kitchen.FormRecipe, "rhubarb gin", fields{"contact": ""}, kitchen.RefuseForm, "contact"},
		{"a word taken out", kitchen.FormRecipe, "rhubarb gin", fields{"prep": " "}, kitchen.RefuseForm, "prep"},
		{"an unknown allergen", kitchen.FormRecipe, "rhubarb gin", fields{"allergens": "kiwi"}, kitchen.RefuseValue, "allergens"},
		{"an unknown solid", kitchen.FormRecipe, "rhubarb gin", fields{"solid": "moon dust"}, kitchen.RefuseNoEntry, "solid"},
		{"a refused solid", kitchen.FormRecipe, "rhubarb gin", fields{"solid": "rhubarb leaf"}, kitchen.RefuseNever, "solid"},
		{"an unknown base", kitchen.FormRecipe, "rhubarb gin", fields{"base": "moonshine"}, kitchen.RefuseNoEntry, "base"},
		{"a note of prose in a name", kitchen.FormRecipe, "rhubarb gin", fields{"aliases": "gin no. 1"}, kitchen.RefuseValue, "aliases"},
		{"a name twice", kitchen.FormRecipe, "", fresh(fields{"name": "Rhubarb Gin"}), kitchen.RefuseTwice, "name"},
		{"no name", kitchen.FormRecipe, "", fresh(fields{"name": ""}), kitchen.RefuseForm, "name"},
		{"a name of signs", kitchen.FormRecipe, "", fresh(fields{"name": "gin: {1}"}), kitchen.RefuseValue, "name"},
		{"like nothing", kitchen.FormRecipe, "", fresh(fields{"like": "moonshine"}), kitchen.RefuseNoEntry, "like"},
		{"a line above the brim", kitchen.FormVessel, "A", fields{"brim": "400 ml"}, kitchen.RefuseValue, "brim"},
		{"a tag twice", kitchen.FormVessel, "", fields{"tag": "a", "nominal": "0.5 l", "line": "500 ml"}, kitchen.RefuseTwice, "tag"},
		{"a tag that is none", kitchen.FormVessel, "", fields{"tag": "1", "nominal": "0.5 l", "line": "500 ml"}, kitchen.RefuseValue, "tag"},
		{"a country that is none", kitchen.FormHouse, "", fields{"country": "Belgium"}, kitchen.RefuseValue, "country"},
		{"a currency that is none", kitchen.FormHouse, "", fields{"currency": "euro"}, kitchen.RefuseValue, "currency"},
		{"nothing new", kitchen.FormRecipe, "rhubarb gin", nil, kitchen.RefuseSame, ""},
		{"too long", kitchen.FormRecipe, "rhubarb gin", fields{"aliases": strings.Repeat("gin of the house, ", 300) + "gin"}, kitchen.RefuseBookFull, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			w := newHouse(t)
			before := maps.Clone(w.fields)
			a := w.wantCode(w.entry(lead, test.form, test.entry, test.set), kitchen.Refuse, test.code)
			if a.Field != test.field || a.Code == kitchen.RefuseValue && a.Line == "" {
				t.Errorf("shown at %q with %q, want at %q", a.Field, a.Line, test.field)
			}
			if diff := cmp.Diff(before, w.fields); diff != "" {
				t.Errorf("something was written:\n%s", diff)
			}
		})
	}
}

func TestAPriceIsSet(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	price := func(which, price string) kitchen.Answer {
		return w.fill(lead, kitchen.FormPrice, "0 ", fields{"which": which, "price": price})
	}
	w.want(price("gin", "31.50/l"), kitchen.Saved)
	w.want(price("rhubarb", "6.20/kg"), kitchen.Saved)
	a := w.want(price(kitchen.ChargerPrice, "0.85"), kitchen.Saved)
	b := w.book()
	gin, _ := b.Liquid("gin")
	rhubarb, _ := b.Botanical("rhubarb")
	if gin.Price != 31_50 || rhubarb.Price != 6_20 || b.House.ChargerPrice != 85 || a.N != 3 {
		t.Errorf("gin %v, rhubarb %v, charger %v, edit %d", gin.Price, rhubarb.Price, b.House.ChargerPrice, a.N)
	}
	w.want(price("gin", ""), kitchen.Saved)
	if gin, _ := w.book().Liquid("gin"); gin.Price != 0 {
		t.Errorf("gin still costs %v", gin.Price)
	}
	for which, field := range map[string]string{"gin": "price", kitchen.ChargerPrice: "price", "moonshine": "which", "": "which"} {
		if a := w.want(price(which, "cheap"), kitchen.Refuse); a.Field != field {
			t.Errorf("%q: shown at %q", which, a.Field)
		}
	}
}

func TestAVesselInUseKeepsItsMeasures(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	w.say(bar1, "charged A")
	for _, set := range []fields{{"line": "450 ml"}, {"brim": ""}, {"charger_limit": "3"}, {"remove": "true"}, {"line_holds_solids": "true"}} {
		a := w.wantCode(w.entry(lead, kitchen.FormVessel, "A", set), kitchen.Refuse, kitchen.RefuseInUse)
		if a.Vessel != "A" || a.Title != "rhubarb gin" {
			t.Errorf("%v refused with %+v", set, a)
		}
	}
	w.want(w.entry(lead, kitchen.FormVessel, "A", fields{"insulated": "true", "nut_free": "false"}), kitchen.Saved)
	w.want(w.entry(lead, kitchen.FormVessel, "B", fields{"line": "450 ml"}), kitchen.Saved)
	w.want(w.entry(lead, kitchen.FormVessel, "", fields{"tag": "E", "nominal": "1 l", "line": "1 l"}), kitchen.Saved)
	e, there := w.book().Vessel("E")
	if !there || e.ChargerLimit() != 1 {
		t.Errorf("the new vessel is %+v", e)
	}
	if a, _ := w.book().Vessel("A"); !a.Insulated || a.NutFree {
		t.Errorf("A is %+v", a)
	}
}

func TestARemovedRecipeLeavesItsBatchAlone(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	was := w.want(w.say(bar1, "why A"), kitchen.Figured)
	a := w.want(w.entry(lead, kitchen.FormRecipe, "rhubarb gin", fields{"remove": "true"}), kitchen.Saved)
	if !a.Gone || a.Title != "rhubarb gin" {
		t.Errorf("answered %+v", a)
	}
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	is := w.want(w.say(bar1, "why A"), kitchen.Figured)
	if was.Since || !is.Since {
		t.Errorf("changed since: %v, then %v", was.Since, is.Since)
	}
	if diff := cmp.Diff(was.Why.Runs, is.Why.Runs); diff != "" {
		t.Errorf("the run differs:\n%s", diff)
	}
	if was.Why.Figures.ABVLow != is.Why.Figures.ABVLow {
		t.Errorf("%v %% was, %v %% is", was.Why.Figures.ABVLow, is.Why.Figures.ABVLow)
	}
	if a := w.say(bar2, "start rhubarb gin 400ml in B"); a.Kind == kitchen.Done && w.in("B").House {
		t.Errorf("it was started again: %+v", a)
	}
	w.wantCode(w.tap(lead, kitchen.Tap{Line: "rhubarb gin", With: "form:recipe"}), kitchen.Refuse, kitchen.RefuseNoEntry)
}

func TestFiguresWorkedOutAgainUseTheRecipeAsItWas(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	w.say(bar1, "start rhubarb gin 400ml in A")
	was := w.want(w.say(bar1, "why A"), kitchen.Figured)
	w.entry(lead, kitchen.FormRecipe, "rhubarb gin", fields{"ratio": "30 g/100ml", "chargers": "1", "rest": "30 s, 40 s, 50 s"})
	is := w.want(w.say(bar1, "why A"), kitchen.Figured)
	if diff := cmp.Diff(was.Why.Runs, is.Why.Runs); diff != "" {
		t.Errorf("the runs differ (-before +after the change):\n%s", diff)
	}
	if diff := cmp.Diff(was.Why.Rest, is.Why.Rest); diff != "" || !is.Since {
		t.Errorf("since %v, the rest differs:\n%s", is.Since, diff)
	}
	w.say(bar1, "start rhubarb gin 400ml in B")
	if now := w.want(w.say(bar1, "why B"), kitchen.Figured); now.Since || now.Why.Runs[0].Chargers != 1 {
		t.Errorf("the batch started after the change: since %v, %d chargers", now.Since, now.Why.Runs[0].Chargers)
	}
}

func TestAFormOpenedBeforeAnotherChangeIsOld(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	open := w.want(w.tap(lead, kitchen.Tap{Line: "rhubarb gin", With: "form:recipe"}), kitchen.OpenForm)
	mine := w.shown(open, fields{"swirl": "20 s"})
	w.want(w.entry(lead, kitchen.FormRecipe, "rhubarb gin", fields{"swirl": "25 s"}), kitchen.Saved)
	a := w.wantCode(w.fill(lead, kitchen.FormRecipe, open.EntryCarry(), mine), kitchen.Refuse, kitchen.RefuseOldForm)
	if a.Who != lead || a.At == 0 {
		t.Errorf("refused with %+v", a)
	}
	for _, carry := range []string{"", "x", "0", "0 fig brandy"} {
		w.want(w.fill(lead, kitchen.FormRecipe, carry, mine), kitchen.Refuse)
	}
}

func TestAnEntryAddedAndTakenOutAgainIsGone(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	w.want(w.fill(lead, kitchen.FormRecipe, "0 ", fresh(nil)), kitchen.Saved)
	w.want(w.entry(lead, kitchen.FormRecipe, "cinnamon gin", fields{"remove": "true"}), kitchen.Saved)
	if _, there := w.book().Recipe("cinnamon gin"); there {
		t.Error("it is still there")
	}
	w.want(w.fill(lead, kitchen.FormRecipe, "2 ", fresh(nil)), kitchen.Saved)
	if _, there := w.book().Recipe("cinnamon gin"); !there {
		t.Error("it did not come back")
	}
}

func TestTheHousesRulesChange(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	w.want(w.entry(lead, kitchen.FormHouse, "", fields{
		"country": "us", "state": "il", "licensed": "unknown", "language": "es", "serve": "45 ml", "hands": "",
	}), kitchen.Saved)
	h := w.book().House
	if h.Country != "US" || h.State != "IL" || h.Licensed != "unknown" || h.Serve != 45*quantity.Millilitre || h.Hands != 0 || h.Zone != sample().House.Zone {
		t.Errorf("the house is %+v", h)
	}
	if l := w.kitchen().Head.Language; l != "es" {
		t.Errorf("the kitchen speaks %q", l)
	}
}

func TestWhatIsWorthMendingIsTold(t *testing.T) {
	t.Parallel()
	w := newHouse(t)
	a := w.want(w.entry(lead, kitchen.FormRecipe, "rhubarb gin", fields{"ratio": "80 g/100ml", "contact": "2 min"}), kitchen.Saved)
	if !slices.Contains(a.Findings, book.ShortContact) || !slices.Contains(a.Findings, book.OddRatio) || len(a.Findings) > 3 {
		t.Errorf("told %v", a.Findings)
	}
	a = w.want(w.entry(lead, kitchen.FormRecipe, "rhubarb gin", fields{"prep": "thin"}), kitchen.Saved)
	if len(a.Findings) > 0 {
		t.Errorf("told again %v", a.Findings)
	}
}

func TestChangesBeyondAKitchensMeasureBelongIntoTheFile(t *testing.T) {
	t.Parallel()
	k, err := kitchen.Decode("main", nil)
	if err != nil {
		t.Fatal(err)
	}
	for n := range 200 {
		k.Edits[fmt.Sprint("recipes/", n)] = kitchen.Edit{V: 1, N: uint32(n + 1)}
	}
	k.Head.Edition, k.Head.Team = 200, team
	price := func(which string) kitchen.Answer {
		_, a := k.Handle(reader(), sample(), team, kitchen.Command{ID: "r", By: lead, Form: &kitchen.Filled{
			Name: string(kitchen.FormPrice), Carry: "0 ", Fields: fields{"which": which, "price": "31.50/l"},
		}}, six)
		return a
	}
	if a := price("gin"); a.Code != kitchen.RefuseBookFull {
		t.Errorf("answered %+v", a)
	}
	k.Edits["liquids/gin"] = kitchen.Edit{V: 1, N: 7}
	if a := price("gin"); a.Kind != kitchen.Saved {
		t.Errorf("an entry that was edited before: answered %+v", a)
	}
}

func TestEditsThatDoNotFitTheFileAreLeftOut(t *testing.T) {
	t.Parallel()
	ok := kitchen.Edit{N: 1, Edit: book.Edit{Part: book.PartVessels, Name: "E", YAML: "tag: E\nnominal: 1 l\nline: 1 l\nfrom: {demo: [nominal, line]}\n"}}
	bad := kitchen.Edit{N: 2, Edit: book.Edit{Part: book.PartVessels, Name: "F", YAML: "tag: F\nsize: 1 l\n"}}
	gone := kitchen.Edit{N: 3, Edit: book.Edit{Part: book.PartRecipes, Name: "what nobody made"}}
	b, left := kitchen.Amended(sample(), []kitchen.Edit{ok, bad, gone})
	if _, there := b.Vessel("E"); !there || len(left) != 1 || left[0] != bad {
		t.Errorf("left out %+v", left)
	}
}

// thin is the sample without most of its entries, which is read faster.
var thin = sync.OnceValue(func() *book.Book {
	var edits []book.Edit
	out := func(part book.Part, name string, keep ...string) {
		if !slices.Contains(keep, name) {
			edits = append(edits, book.Edit{Part: part, Name: name})
		}
	}
	for _, r := range sample().Recipes {
		out(book.PartRecipes, r.Name, "rhubarb gin", "thyme oil", "hazelnut brandy")
	}
	for _, l := range sample().Liquids {
		out(book.PartLiquids, l.Name, "gin", "olive oil", "brandy", "whisky")
	}
	for _, s := range sample().Botanicals {
		out(book.PartBotanicals, s.Name, "rhubarb", "rhubarb leaf", "thyme", "cinnamon", "hazelnut")
	}
	text, err := book.Amend(sample().Text, edits...)
	if err != nil {
		panic(err)
	}
	b, err := book.Parse(text)
	if err != nil {
		panic(err)
	}
	return b
})

// newHouse is a kitchen with the thin book.
func newHouse(t testing.TB) *world {
	w := newWorld(t)
	w.base = thin()
	return w
}

func TestAnyChangesLeaveABook(t *testing.T) {
	t.Parallel()
	odd := rapid.SampledFrom([]string{
		"", "25 g/100ml", "5 min", "60 s, 2 min, 5 min", "2", "0", "-1 ml", "400 ml", "0.5 l", "a: b", "- x", "#", "{}", "[a, b]",
		"'", `"`, "true", "null", "~", "*x", "&x", "!!int 3", "x\ny: z", "gin", "rhubarb", "rhubarb leaf", "yes", "fridge", "20 C, 20 C, 20 C",
		"24.00/l", "BE", "é", strings.Repeat("long ", 60),
	})
	rapid.Check(t, func(rt *rapid.T) {
		w := newHouse(quiet{t, rt})
		lead := kitchen.Person{ID: lead.ID, Name: rapid.SampledFrom([]string{"prep-lead", "a: {b}", "*", "- #", "\n", ""}).Draw(rt, "name")}
		for range rapid.IntRange(1, 3).Draw(rt, "edits") {
			form := rapid.SampledFrom([]kitchen.FormName{kitchen.FormRecipe, kitchen.FormVessel, kitchen.FormHouse, kitchen.FormPrice}).Draw(rt, "form")
			name := map[kitchen.FormName]string{
				kitchen.FormRecipe: rapid.SampledFrom([]string{"rhubarb gin", "thyme oil", ""}).Draw(rt, "recipe"),
				kitchen.FormVessel: rapid.SampledFrom([]string{"A", "D", ""}).Draw(rt, "vessel"),
			}[form]
			open := w.tap(lead, kitchen.Tap{Line: name, With: "form:" + string(form)})
			if open.Kind != kitchen.OpenForm {
				continue // it was taken out before
			}
			set := fields{"which": rapid.SampledFrom([]string{"gin", "rhubarb", kitchen.ChargerPrice}).Draw(rt, "which"), "price": odd.Draw(rt, "price")}
			if name == "" {
				set = fresh(fields{"tag": "E", "nominal": "1 l", "line": "1 l", "price": set["price"], "which": set["which"]})
			}
			for _, f := range kitchen.EntryFields(form) {
				if rapid.IntRange(0, 9).Draw(rt, "touch") == 0 {
					set[f.Key] = odd.Draw(rt, f.Key)
				}
			}
			if rapid.IntRange(0, 9).Draw(rt, "out") == 0 {
				set["remove"] = "true"
			}
			before := w.kitchen().Head.Edition
			a := w.fill(lead, form, open.EntryCarry(), w.shown(open, set))
			if saved := a.Kind == kitchen.Saved; saved != (w.kitchen().Head.Edition == before+1) {
				rt.Fatalf("answered %+v, and the edition went from %d to %d", a, before, w.kitchen().Head.Edition)
			}
			w.book() // it fails on an edit that makes no book
		}
	})
}
