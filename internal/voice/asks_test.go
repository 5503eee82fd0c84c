package voice

import (
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// asksWalk goes through what people ask, and through what goes wrong.
func asksWalk(t *testing.T, r *record) {
	at := func(heading string) *evening {
		w := newEvening(t, r)
		w.title("%s", heading)
		return w
	}
	at("nothing is open").idle()
	at("questions").questions()
	at("what is under pressure").pressure()
	at("trouble").troubled()
	at("trouble once it is vented").troubledOnceVented()
	at("somebody is hurt").harmed()
	at("more gas").gas()
	at("another rest").rests()
	at("once more").againAndLater()
	at("shifts").shifts()
	at("jars").jars()
}

var everyQuestion = []string{
	"who has A", "how long on A", "chargers left", "what needs straining", "what expires today", "allergens", "what's got nuts",
	"what's got celery", "what's got lupin", "use by of A", "mine", "overnight", "strength of A", "safe to open", "safe to open A",
	"label of A",
}

func (w *evening) ask(lines ...string) {
	w.t.Helper()
	for _, line := range lines {
		w.says(bar2, line)
	}
}

func (w *evening) idle() {
	w.ask(everyQuestion...)
	w.ask("use by of ginger gin", "strength of ginger gin", "strength of thyme oil", "allergens hazelnut brandy", "allergens nuts hazelnut brandy",
		"allergens milk hazelnut brandy", "allergens ginger gin", "allergens A", "again", "ginger gin again", "done", "flurble", "help",
		"blocked", "leaking", "foamed over", "forgot it", "won't open", "still hissing")
}

func (w *evening) load(line string) {
	w.says(bar1, line)
	for range 2 {
		w.says(bar1, "charged A")
		w.pass(40 * time.Second)
	}
}

func (w *evening) questions() {
	w.says(bar1, "start hazelnut brandy 400ml in A")
	w.says(bar1, "how long on A")
	w.says(bar1, "charged A")
	w.ask("chargers left")
	w.says(bar1, "charged A")
	w.ask(everyQuestion...)
	w.says(bar1, "mine")
	w.says(bar1, "help")
	w.says(bar1, "start ginger gin 300ml in B")
	w.says(bar1, "start thyme oil 300ml in C")
	w.says(bar1, "start bay vodka 200ml in D")
	w.ask("how long", "overnight", "allergens", "use by", "label")
	w.says(bar1, "mine")
	w.pass(10 * time.Minute)
	w.ask("how long on A")
	w.says(bar1, "ok")
	w.says(bar1, "done")
	w.ask("safe to open A", "label of A")
	w.pass(3 * time.Minute)
	w.says(bar1, "vented A")
	w.pass(6 * time.Minute)
	w.says(bar1, "ok")
	w.says(bar1, "strained A 345ml")
	w.ask("label of A", "safe to open A", "what needs straining")
	w.says(bar1, "labelled A")
	w.pass(20 * time.Minute)
	w.ask("use by of hazelnut brandy", "label of hazelnut brandy", "what's got nuts", "what expires today")
	k := w.kitchen()
	x := kitchen.Finished{Title: "ginger gin", Vessel: "B", Yield: 300_000, At: kitchen.At(w.now), By: bar1, UseBy: kitchen.At(w.now)}
	w.show("what expires today, when something does", k, w.voice.told(k, kitchen.Answer{
		Kind: kitchen.Told, Topic: request.Expiring, Facts: &kitchen.Facts{Shelf: []kitchen.Finished{x, x, x, x}},
	}))
	w.show("what holds an allergen, in a long list", k, w.voice.told(k, kitchen.Answer{
		Kind: kitchen.Told, Topic: request.Allergens, Allergen: "nuts",
		Facts: &kitchen.Facts{Book: slices.Repeat([]string{"pink peppercorn gin", "hazelnut brandy"}, 6)},
	}))
	w.show("nothing holds any", k, w.voice.told(k, kitchen.Answer{Kind: kitchen.Told, Topic: request.Allergens, Facts: &kitchen.Facts{}}))
	w.show("keeps a day", k, w.voice.told(k, kitchen.Answer{
		Kind: kitchen.Told, Topic: request.UseBy, Title: "thyme oil", Facts: &kitchen.Facts{Days: 1, Storage: "fridge"},
	}))
}

func (w *evening) pressure() {
	w.load("start rhubarb gin 400ml in A")
	a := w.says(bar2, "who has A")
	w.taps(bar2, a, 0)
	w.says(bar2, "pause A")
	w.says(bar2, "hand over A")
	w.says(bar1, "take A")
	w.pass(3 * time.Minute)
	w.says(bar1, "rest 2min A")
	w.says(bar1, "vented A")
	w.says(bar1, "pause A")
	w.pass(4 * time.Minute)
	w.says(bar1, "strained A 345ml")
	w.says(bar1, "pause A")
}

var everyTrouble = []string{"blocked", "leaking", "still hissing", "foamed over", "won't open", "forgot it"}

func (w *evening) troubled() {
	w.load("start rhubarb gin 400ml in A")
	for _, line := range everyTrouble {
		w.says(bar2, line+" A")
	}
	w.says(bar1, "start ginger gin 300ml in B")
	w.says(bar1, "charged B")
	for _, line := range everyTrouble {
		w.says(bar1, line)
	}
}

func (w *evening) troubledOnceVented() {
	w.load("start rhubarb gin 400ml in A")
	w.pass(3 * time.Minute)
	w.says(bar1, "vented A")
	for _, line := range slices.Backward(everyTrouble) {
		w.says(bar1, line+" A")
	}
}

var everyHarm = []string{"hurt", "burned", "in the eye", "on fire", "fainted"}

func (w *evening) harmed() {
	for _, line := range everyHarm {
		w.says(bar2, line)
	}
	w.load("start rhubarb gin 400ml in A")
	w.pass(2 * time.Minute)
	for _, line := range everyHarm {
		w.says(bar2, line)
	}
	k := w.kitchen()
	w.show("with a line of the house, in no known country", k, w.voice.safety(k, kitchen.Answer{
		Kind: kitchen.Safety, Verb: request.Emergency, Wrong: request.Burn, Batches: []uint32{1},
		Aid: &kitchen.Aid{Numbers: []string{"112", "911"}, House: "First aid: the box by the pass."},
	}))
	k.Head.Team.Managers = nil
	w.show("in a house without managers", k, w.voice.safety(k, kitchen.Answer{
		Kind: kitchen.Safety, Verb: request.Emergency, Wrong: request.Fire, Aid: &kitchen.Aid{Numbers: []string{"112"}},
	}))
}

// jars asks for what was labelled on days before, and says in one line how it came
// out, also long after.
func (w *evening) jars() {
	for _, tag := range []string{"A", "B"} {
		w.says(bar1, "start rhubarb gin 400ml in "+tag)
		w.says(bar1, "charged "+tag)
		w.says(bar1, "charged "+tag)
		w.pass(3 * time.Minute)
		w.says(bar1, "vented "+tag)
		w.pass(4 * time.Minute)
		w.says(bar1, "strained "+tag)
		w.says(bar1, "labelled "+tag)
	}
	w.says(bar1, "strong A 340ml spent")
	w.pass(20 * time.Minute)
	w.says(bar2, "use by of rhubarb gin")
	w.says(bar1, "strained B 345ml")
	w.now = w.now.AddDate(0, 0, 13)
	w.ask("use by of rhubarb gin", "what expires today")
}

func (w *evening) gas() {
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.says(bar1, "put 1 chargers in A by mistake")
	w.says(bar1, "charged A")
	a := w.says(bar1, "overcharged A")
	w.taps(bar1, a, 1)
	w.says(bar1, "put 2 chargers in A in all")
	w.pass(time.Minute)
	w.says(bar1, "vented A")
	w.says(bar1, "put 2 chargers in A by mistake")
}

func (w *evening) rests() {
	w.load("start rhubarb gin 400ml in A")
	w.says(bar1, "rest 4min A")
	w.says(bar1, "rest 10s A")
	w.says(bar1, "undo A")
	w.says(bar1, "rest 30min A")
}

func (w *evening) againAndLater() {
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.says(bar2, "again")
	w.says(bar1, "again")
	w.says(bar1, "start ginger gin 200ml in D") // B is held for bar-2
	w.now = w.now.AddDate(0, 0, 1)
	w.ring()
	w.says(bar1, "same as yesterday")
	w.says(bar1, "start ginger gin 40 serves at 50ml for 2026-12-05")
	w.says(bar1, "start ginger gin 400ml for 2026-12-05")
	w.says(bar1, "start thyme oil 300ml for 2026-12-07")
	w.says(bar1, "start ginger gin 400ml for 2026-11-25 23:00")
	w.says(bar1, "start ginger gin 400ml for 2026-11-25 18:05")
	k := w.kitchen()
	w.show("two are due", k, w.voice.Question(request.Question{Code: request.WhichStep, Options: []request.Option{{Label: "vented A", Line: "vented A"}, {Label: "strained B", Line: "strained B"}}}))
}

func (w *evening) shifts() {
	w.says(bar2, "on")
	w.load("start rhubarb gin 400ml in A")
	w.says(bar1, "on")
	w.says(bar1, "off")
	w.says(bar1, "hand over A")
	w.pass(3 * time.Minute)
	w.says(bar1, "vented A")
	w.says(bar1, "off")
	w.says(bar2, "take A")
	w.says(bar2, "off")
}

// said are lines of every kind of trouble and emergency in each language. They
// are of our own making; the reader's tests hold many more.
var saidWrong = map[string]map[request.Kind]string{
	"en": {
		request.Blocked: "A is blocked", request.Leaking: "A is leaking", request.Hissing: "A is still hissing", request.Foaming: "A foamed over",
		request.Stuck: "A won't open", request.Overrun: "forgot it A", request.Hurt: "somebody is hurt", request.Burn: "I got burned",
		request.Eye: "spray in the eye", request.Fire: "there is a fire", request.Fainted: "she fainted",
	},
	"es": {
		request.Blocked: "A está atascado", request.Leaking: "A gotea", request.Hissing: "A sigue siseando", request.Foaming: "A se desbordó",
		request.Stuck: "A no abre", request.Overrun: "se me olvidó A", request.Hurt: "hay un herido", request.Burn: "me quemé",
		request.Eye: "me entró en el ojo", request.Fire: "fuego", request.Fainted: "se desmayó",
	},
	"fr": {
		request.Blocked: "A est bloqué", request.Leaking: "A fuit", request.Hissing: "A siffle encore", request.Foaming: "A a débordé",
		request.Stuck: "A ne s'ouvre pas", request.Overrun: "j'ai oublié A", request.Hurt: "quelqu'un est blessé", request.Burn: "je me suis brûlé",
		request.Eye: "dans l'œil", request.Fire: "au feu", request.Fainted: "elle s'est évanouie",
	},
}

// What to do comes first, in the language of the line, whatever the house's own
// is; and never more than six lines.
func TestEverySafetyAnswerComesFirstAndInTheLanguageOfTheLine(t *testing.T) {
	t.Parallel()
	for _, house := range Languages() {
		voices, err := NewVoices(house, time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		for language, lines := range saidWrong {
			own := speaking(t, language)
			for kind, line := range lines {
				for _, gas := range []bool{true, false} {
					w := newEvening(t, &record{})
					w.says(bar1, "start rhubarb gin 400ml in A")
					if gas {
						w.says(bar1, "charged A")
						w.says(bar1, "charged A")
					}
					b := *reviewBook()
					b.House.Language = house
					k := w.kitchen()
					_, a := k.Handle(request.NewReader(&b), &b, w.team, kitchen.Command{ID: "x", Text: line, By: bar2, At: w.now}, w.now)
					if a.Kind != kitchen.Safety || a.Wrong != kind || a.Language != language {
						t.Errorf("%s house, %q: %s %s in %q, want %s in %q", house, line, a.Kind, a.Wrong, a.Language, kind, language)
						continue
					}
					checkFirst(t, own, line, kind, voices.Answer(k, a))
				}
			}
		}
	}
}

// checkFirst wants the first line of a message to say what to do.
func checkFirst(t *testing.T, v Voice, line string, kind request.Kind, m Message) {
	t.Helper()
	names := []phrase{"harm.call"}
	switch {
	case kind == request.Fire:
		names = []phrase{"harm.call.fire"}
	case kind == request.Overrun:
		names = []phrase{"wrong.forgotten", "wrong.forgotten.gas", "wrong.forgotten.wet"}
	case !slices.Contains(emergencies, string(kind)):
		names = []phrase{phrase("wrong." + string(kind))}
	}
	begins := func(p phrase) bool {
		start, _, _ := strings.Cut(strings.TrimPrefix(v.phrases[p], "*"), "{")
		return strings.HasPrefix(m.Lines[0].Plain(), strings.TrimSuffix(start, "*"))
	}
	if len(m.Lines) > 6 || !slices.ContainsFunc(names, begins) {
		t.Errorf("%q is answered with:\n%s", line, m.Plain())
	}
}

func TestAnAnswerIsInTheLanguageOfItsLineAndWhatIsTappedInTheHouses(t *testing.T) {
	t.Parallel()
	voices, err := NewVoices("fr", time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	w := newEvening(t, &record{})
	k := w.kitchen()
	a := kitchen.Answer{Kind: kitchen.Told, Topic: request.OwnBoard, At: kitchen.At(w.now), Facts: &kitchen.Facts{}}
	for language, want := range map[string]string{"": "Rien", "fr": "Rien", "es": "No tienes", "en": "Nothing", "de": "Rien"} {
		a.Language = language
		if got := voices.Answer(k, a).Plain(); !strings.HasPrefix(got, want) {
			t.Errorf("%q: %s", language, got)
		}
	}
	k.Head.Language = "es" // as the house was changed
	a.Language = ""
	if got := voices.Answer(k, a).Plain(); !strings.HasPrefix(got, "No tienes") {
		t.Errorf("the house that was changed says %s", got)
	}
	a.Language = "en"
	if got := voices.Answer(k, a).Plain(); !strings.HasPrefix(got, "Nothing") {
		t.Errorf("a line in English is answered with %s", got)
	}
	if got := voices.Form(k, book.Sample(), kitchen.Answer{Kind: kitchen.OpenForm, Form: kitchen.FormStart}).Title; got != speaking(t, "es").word("form.start", nil) {
		t.Errorf("the form is called %q", got)
	}
}
