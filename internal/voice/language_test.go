package voice

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

var (
	placeholder = regexp.MustCompile(`\{[^}]*\}`)
	typedText   = regexp.MustCompile("`[^`]*`")
	figure      = regexp.MustCompile(`\d+`)
)

// holds gives what a sentence must say in every language: its values, its figures,
// and what is to be typed; and how much of it carries weight.
func holds(text string) map[string][]string {
	plain := typedText.ReplaceAllString(text, "")
	all := map[string][]string{
		"values":  placeholder.FindAllString(text, -1),
		"figures": figure.FindAllString(placeholder.ReplaceAllString(plain, ""), -1),
		"typed":   typedText.FindAllString(text, -1),
		"stars":   regexp.MustCompile(`\*`).FindAllString(text, -1),
	}
	for _, list := range all {
		slices.Sort(list)
	}
	return all
}

func TestEveryLanguageSaysEverySentenceWithItsValuesAndFigures(t *testing.T) {
	t.Parallel()
	first := tongues[0]
	for _, l := range tongues[1:] {
		for _, name := range slices.Sorted(maps.Keys(first.phrases)) {
			text, said := l.phrases[name]
			if !said || text == "" {
				t.Errorf("%s lacks %q: %s", l.tag, name, first.phrases[name])
				continue
			}
			if diff := cmp.Diff(holds(first.phrases[name]), holds(text)); diff != "" {
				t.Errorf("%s %q differs from %s (-%s +%s):\n%s\n%s", l.tag, name, first.tag, first.tag, l.tag, text, diff)
			}
		}
		for name := range l.phrases {
			if _, said := first.phrases[name]; !said {
				t.Errorf("only %s says %q", l.tag, name)
			}
		}
	}
}

func TestNoSentenceIsLeftInEnglish(t *testing.T) {
	t.Parallel()
	// What is the same word, a figure or nothing but values.
	same := []phrase{"form.volume", "offer.line", "echo.volume", "echo.text", "button.more", "why.limit", "home.done", "form.vessel.one", "label.band", "degrees", "step.line", "choice.no", "choose.line", "wanted.amounts"}
	for _, l := range tongues[1:] {
		for name, text := range tongues[0].phrases {
			if l.phrases[name] == text && !slices.Contains(same, name) {
				t.Errorf("%s says %q in English: %s", l.tag, name, text)
			}
		}
	}
}

// The limits are Slack's: 24 characters for a form's title and its buttons
// (from memory); 30 for the buttons of its "sure?" box, which repeat a label.
func TestLabelsAreShortInEveryLanguage(t *testing.T) {
	t.Parallel()
	for _, l := range tongues {
		values := strings.NewReplacer("{vessel}", "A", "{chargers}", l.phrases["chargers.many"], "{n}", "2")
		for name, text := range l.phrases {
			most := 160
			switch kind, _, _ := strings.Cut(string(name), "."); {
			case name == "form.start", name == "form.reading", name == "form.price", name == "form.house", name == "button.back",
				name == newEntry[kitchen.FormRecipe], name == newEntry[kitchen.FormVessel],
				name == changeEntry[kitchen.FormRecipe], name == changeEntry[kitchen.FormVessel],
				strings.HasSuffix(string(name), ".submit"):
				most = 24
			case kind == "button", kind == "choose":
				most = 30
			}
			plain := text
			if most < 160 {
				plain = values.Replace(values.Replace(text))
			}
			if n := utf8.RuneCountInString(plain); n > most {
				t.Errorf("%s %q has %d characters, %d at most: %s", l.tag, name, n, most, plain)
			}
		}
	}
}

func TestNoSentenceRestsOnASign(t *testing.T) {
	t.Parallel()
	for _, l := range tongues {
		for name, text := range l.phrases {
			for _, r := range text {
				emoji := unicode.Is(unicode.So, r) && r != '°' || r >= 0x1f000 || r >= 0xfe00 && r <= 0xfe0f
				if emoji || unicode.IsControl(r) {
					t.Errorf("%s %q holds %q: words must do", l.tag, name, r)
				}
			}
			if strings.Contains(text, ":warning:") {
				t.Errorf("%s %q holds an emoji's name", l.tag, name)
			}
		}
	}
}

func TestEveryLanguageHasTheHousesWords(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	words := map[string]bool{"shelf": true, "fridge": true, "freezer": true}
	add := func(list ...string) {
		for _, w := range list {
			words[w] = true
		}
	}
	for _, l := range b.Liquids {
		add(l.Name)
		add(l.Allergens...)
	}
	for _, s := range b.Botanicals {
		add(s.Name)
		add(s.Allergens...)
	}
	for _, r := range b.Recipes {
		add(strings.Split(r.Prep, ", ")...)
		add(r.Allergens...)
	}
	add(constants(t, "keeping", "Finished")...)
	delete(words, "5 mm")
	for _, l := range tongues[1:] {
		for _, w := range slices.Sorted(maps.Keys(words)) {
			if l.words[w] == "" {
				t.Errorf("%s has no word for %q", l.tag, w)
			}
		}
		for w := range l.words {
			if tongues[1].words[w] == "" || tongues[2].words[w] == "" {
				t.Errorf("only some languages have a word for %q", w)
			}
		}
	}
}

// Source: Unicode CLDR, plural rules: in French none counts as one.
func TestCountingFollowsTheLanguage(t *testing.T) {
	t.Parallel()
	for _, w := range []struct {
		language string
		n        int
		want     string
	}{
		{"en", 0, "0 chargers"}, {"en", 1, "1 charger"}, {"en", 2, "2 chargers"},
		{"es", 0, "0 cápsulas"}, {"es", 1, "1 cápsula"}, {"es", 2, "2 cápsulas"},
		{"fr", 0, "0 cartouche"}, {"fr", 1, "1 cartouche"}, {"fr", 2, "2 cartouches"},
	} {
		if got := speaking(t, w.language).chargers(w.n); got != w.want {
			t.Errorf("%s counts %d as %q, want %q", w.language, w.n, got, w.want)
		}
	}
}

// Source: Unicode CLDR, decimal signs and abbreviated days and months: a comma
// in Spain and France, a point in Mexico.
func TestFiguresAndDatesFollowTheLanguage(t *testing.T) {
	t.Parallel()
	day := time.Date(2026, 8, 5, 12, 0, 0, 0, time.UTC)
	for _, w := range []struct{ language, volume, mass, date string }{
		{"en", "1.5 l", "2.5 g", "Wed 5 Aug"},
		{"es", "1,5 l", "2,5 g", "mié 5 ago"},
		{"es-MX", "1.5 l", "2.5 g", "mié 5 ago"},
		{"fr", "1,5 l", "2,5 g", "mer. 5 août"},
		{"fr_CA", "1,5 l", "2,5 g", "mer. 5 août"},
	} {
		v := speaking(t, w.language)
		got := []string{v.amount(1500 * quantity.Millilitre), v.amount(2500 * quantity.Gram / 1000), v.date(day)}
		if diff := cmp.Diff([]string{w.volume, w.mass, w.date}, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", w.language, diff)
		}
	}
}

func TestAReadingIsEchoed(t *testing.T) {
	t.Parallel()
	saturday := time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)
	for _, w := range []struct {
		language string
		request  request.Request
		want     string
	}{
		{"en", request.Request{Verb: request.Start, Recipe: "ginger gin", Serves: 40, For: saturday}, "Start ginger gin, 40 serves, for Sat 28 Nov."},
		{"es", request.Request{Verb: request.Start, Recipe: "ginger gin", Serves: 40, For: saturday}, "Empezar ginger gin, 40 raciones, para sáb 28 nov."},
		{"fr", request.Request{Verb: request.Start, Recipe: "ginger gin", Serves: 1, For: saturday.Add(18 * time.Hour)}, "Lancer ginger gin, 1 portion, pour 18:00."},
		{"fr", request.Request{Verb: request.Asks, Topic: request.Allergens, Recipe: "hazelnut brandy", Allergen: "nuts"}, "Une question, allergènes, hazelnut brandy, fruits à coque."},
		{"es", request.Request{Verb: request.MoreGas, Chargers: 2, Vessel: "A"}, "Entró más gas, 2 cápsulas, sifón A."},
		{"en", request.Request{Verb: request.MoreGas, Chargers: 3, InAll: true, Vessel: "A"}, "More gas went in, 3 chargers in all, vessel A."},
		{"en", request.Request{Verb: request.Trouble, Kind: request.Blocked, Vessel: "A"}, "Something is wrong, blocked, vessel A."},
		{"en", request.Request{Verb: request.RestFor, Rest: 90 * time.Second}, "A set rest, rest 1:30."},
		{"en", request.Request{Verb: request.Again, OfYesterday: true}, "The same once more, as yesterday."},
	} {
		if got := speaking(t, w.language).Echo(w.request); got != w.want {
			t.Errorf("%+v is echoed in %s as %q, want %q", w.request, w.language, got, w.want)
		}
	}
}

func TestASentenceEndsInOneFullStop(t *testing.T) {
	t.Parallel()
	v := speaking(t, "fr")
	if got := v.word("label.useby", values{"use": "mar. 24 nov."}); got != "À utiliser jusqu'au mar. 24 nov." {
		t.Errorf("said %q", got)
	}
}

func TestTheNearestLanguageSpeaks(t *testing.T) {
	t.Parallel()
	if diff := cmp.Diff([]string{"en", "es", "fr"}, Languages()); diff != "" {
		t.Error(diff)
	}
	all, err := NewVoices("fr", time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	for tag, want := range map[string]string{
		"es-MX": "Sí", "es-419": "Sí", "fr-BE": "Oui", "en-GB": "Yes", "en-US": "Yes",
		"": "Oui", "tlh": "Oui", "de": "Oui", "not a tag": "Oui",
	} {
		if got := all.For(tag).word("choose.yes", nil); got != want {
			t.Errorf("%q says %q, want %q", tag, got, want)
		}
	}
	if _, err := NewVoices("de", time.UTC); err == nil {
		t.Error("a house of no language of ours got a voice")
	}
	if got := all.Voice.word("choose.yes", nil); got != "Oui" {
		t.Errorf("the house says %q", got)
	}
}
