package voice

import (
	"slices"
	"testing"
	"time"
	"unicode/utf8"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
)

// manage has the manager do something in a kitchen that holds nothing else.
func manage(t *testing.T, k *kitchen.Kitchen, b *book.Book, cmd kitchen.Command) kitchen.Answer {
	t.Helper()
	cmd.ID, cmd.By = "req", lead
	team := kitchen.Team{Channel: "C1", Managers: []kitchen.Person{lead}}
	_, a := k.Handle(reviewReader(), b, team, cmd, time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC))
	return a
}

// sent gives what a platform sends when somebody sends a form in as it stands.
func sent(f Form) *kitchen.Filled {
	filled := &kitchen.Filled{Name: f.Name, Carry: f.Carry, Fields: map[string]string{}}
	for _, field := range f.Fields {
		if field.Value != "" {
			filled.Fields[field.ID] = field.Value
		}
	}
	return filled
}

func empty(t *testing.T) *kitchen.Kitchen {
	t.Helper()
	k, err := kitchen.Decode("main", nil)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// openBook asks for every form that changes the book: each entry's, and a new one's.
func openBook(b *book.Book) []kitchen.Tap {
	form := func(f kitchen.FormName, line string) kitchen.Tap {
		return kitchen.Tap{Line: line, With: "form:" + string(f)}
	}
	taps := []kitchen.Tap{
		form(kitchen.FormChoose, "recipe"), form(kitchen.FormChoose, "vessel"), form(kitchen.FormPrice, ""), form(kitchen.FormHouse, ""),
		form(kitchen.FormRecipe, ""), form(kitchen.FormVessel, ""),
	}
	for _, r := range b.Recipes {
		taps = append(taps, form(kitchen.FormRecipe, r.Name))
	}
	for _, v := range b.Vessels {
		taps = append(taps, form(kitchen.FormVessel, v.Tag))
	}
	return taps
}

// The limits are Slack's: see evening.form.
func TestTheFormsThatChangeTheBookCanBeShown(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, language := range Languages() {
		v, k := speaking(t, language), empty(t)
		for _, tap := range openBook(b)[:12] {
			a := manage(t, k, b, kitchen.Command{Tap: &tap})
			f := v.Form(k, b, a)
			for _, text := range []string{f.Title, f.Submit, f.Back} {
				if n := utf8.RuneCountInString(text); n == 0 || n > 24 {
					t.Errorf("%s %s: %q has %d characters", language, f.Name, text, n)
				}
			}
			ids := map[string]bool{}
			for _, field := range f.Fields {
				if ids[field.ID] || field.Label == "" || utf8.RuneCountInString(field.Label) > 24 || len(field.Options) > mostOptions {
					t.Errorf("%s %s: field %+v", language, f.Name, field)
				}
				ids[field.ID] = true
				chosen := func(o Option) bool { return o.Value == field.Value }
				if field.Value != "" && len(field.Options) > 0 && !slices.ContainsFunc(field.Options, chosen) {
					t.Errorf("%s %s: %q is no choice of %s", language, f.Name, field.Value, field.ID)
				}
			}
			if v.formTyped(a).Plain() != v.word("form.typed.book", nil) {
				t.Errorf("%s %s: without a form it says %q", language, f.Name, v.formTyped(a).Plain())
			}
		}
	}
}

func TestAFormSentInAsItStandsChangesNothing(t *testing.T) {
	t.Parallel()
	b, v := book.Sample(), speaking(t, "en")
	taps := openBook(b)
	taps = append(taps[6:12], append(taps[len(taps)-len(b.Vessels):], taps[3])...) // six recipes, the vessels, the house
	for _, tap := range taps {
		k := empty(t)
		f := v.Form(k, b, manage(t, k, b, kitchen.Command{Tap: &tap}))
		a := manage(t, k, b, kitchen.Command{Form: sent(f)})
		if a.Code != kitchen.RefuseSame || k.Head.Edition != 0 {
			t.Errorf("%s %q: answered %+v", f.Name, tap.Line, a)
		}
		m := v.Answer(k, a)
		if len(m.Lines) != 1 || slices.ContainsFunc(m.Lines, func(l Line) bool { return wrong["an empty value"].MatchString(l.Plain()) }) {
			t.Errorf("%s %q: said %q", f.Name, tap.Line, m.Plain())
		}
	}
}

func TestANewRecipesFormNeedsThreeWordsMore(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, language := range Languages() {
		v, k := speaking(t, language), empty(t)
		f := v.Form(k, b, manage(t, k, b, kitchen.Command{Tap: &kitchen.Tap{With: "form:recipe"}}))
		filled := sent(f)
		filled.Fields["name"], filled.Fields["solid"], filled.Fields["base"] = "cinnamon gin", "cinnamon", "gin"
		a := manage(t, k, b, kitchen.Command{Form: filled})
		if a.Kind != kitchen.Saved {
			t.Fatalf("%s: answered %+v", language, a)
		}
		made, _ := kitchen.Amended(b, k.Edited())
		if r, there := made.Recipe("cinnamon gin"); !there || r.Ratio != 3*quantity.GramsPer100 {
			t.Errorf("%s: made %+v", language, r)
		}
		m := v.Answer(k, a)
		if len(m.Lines) == 0 || len(m.Lines) > 6 {
			t.Errorf("%s: said %q", language, m.Plain())
		}
	}
}

func TestWhatIsSaidOfAChange(t *testing.T) {
	t.Parallel()
	v, k := speaking(t, "en"), empty(t)
	for want, a := range map[string]kitchen.Answer{
		"Saved: rhubarb gin. The book is at version 3; batches under way keep what they were started with.\nWorth a look: its steps take longer than the solids may stay.\nWorth a look: ventbell check says more about it.": {
			Kind: kitchen.Saved, Form: kitchen.FormRecipe, Title: "rhubarb gin", N: 3,
			Findings: []book.FindingCode{book.ShortContact, "something new", "something else"},
		},
		"Taken out: E. The book is at version 4; batches under way go on.":                                  {Kind: kitchen.Saved, Form: kitchen.FormVessel, Title: "E", N: 4, Gone: true},
		"Saved: House rules. The book is at version 1; batches under way keep what they were started with.": {Kind: kitchen.Saved, Form: kitchen.FormHouse, N: 1},
		"Saved: One charger. The book is at version 1; batches under way keep what they were started with.": {Kind: kitchen.Saved, Form: kitchen.FormPrice, N: 1},
		"That is for a manager: ask one to change the book.":                                                {Kind: kitchen.Refuse, Code: kitchen.RefuseManager},
		"Write it like this: 20 g/100ml.":                                                                   {Kind: kitchen.Refuse, Code: kitchen.RefuseValue, Line: "20 g/100ml"},
		"A holds rhubarb gin, resting: its measures stay until it is out.":                                  {Kind: kitchen.Refuse, Code: kitchen.RefuseInUse, Vessel: "A", Title: "rhubarb gin", Phase: kitchen.Resting},
	} {
		if got := v.Answer(k, a).Plain(); got != want {
			t.Errorf("said\n%s\nwant\n%s", got, want)
		}
	}
	for code := range findings {
		if !slices.Contains(constants(t, "book", "FindingCode"), string(code)) {
			t.Errorf("the book finds no %q any more", code)
		}
	}
}

func TestOnlyAManagersPageLeadsToTheBook(t *testing.T) {
	t.Parallel()
	v, k := speaking(t, "en"), empty(t)
	k.Head.Team.Managers = []kitchen.Person{lead}
	count := func(p kitchen.Person) int {
		n := 0
		for _, m := range v.Home(k, book.Sample(), p, time.Now()) {
			for _, b := range m.Buttons {
				if slices.Contains([]string{"form:choose", "form:price", "form:house"}, b.Tap.With) {
					n++
				}
			}
		}
		return n
	}
	if got := [2]int{count(lead), count(bar1)}; got != [2]int{4, 0} {
		t.Errorf("buttons of the manager and of a hand: %v", got)
	}
}

func TestAKitchenSpeaksTheLanguageItsHouseWasSetTo(t *testing.T) {
	t.Parallel()
	v, k := speaking(t, "en"), empty(t)
	k.Head.Language = "fr"
	if got := v.Answer(k, kitchen.Answer{Kind: kitchen.Refuse, Code: kitchen.RefuseManager}).Plain(); got != speaking(t, "fr").word("refuse.manager", nil) {
		t.Errorf("said %q", got)
	}
}
