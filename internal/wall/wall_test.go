package wall

import (
	"context"
	"errors"
	"html"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/request"
	"ventbell/internal/voice"
)

var (
	sample = sync.OnceValue(book.Sample)
	reader = sync.OnceValue(func() *request.Reader { return request.NewReader(sample()) })
	bar1   = kitchen.Person{ID: "U1", Name: "bar-1"}
	lead   = kitchen.Person{ID: "U9", Name: "prep-lead"}
)

// house is one kitchen in memory that the pages look at.
type house struct {
	t      testing.TB
	fields map[string][]byte
	now    time.Time
	n      int
	down   bool
	book   *book.Book
}

func newHouse(t testing.TB) *house {
	return &house{t: t, book: sample(), fields: map[string][]byte{}, now: time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC)}
}

func (h *house) kitchen() *kitchen.Kitchen {
	h.t.Helper()
	k, err := kitchen.Decode("main", h.fields)
	if err != nil {
		h.t.Fatal(err)
	}
	return k
}

func (h *house) keep(ch kitchen.Change) {
	for name, body := range ch.Set {
		h.fields[name] = body
	}
	for _, name := range ch.Del {
		delete(h.fields, name)
	}
}

func (h *house) say(lines ...string) {
	h.t.Helper()
	for _, line := range lines {
		h.n++
		cmd := kitchen.Command{ID: string(rune('a' + h.n)), By: bar1, At: h.now, Text: line}
		team := kitchen.Team{Channel: "C1", Managers: []kitchen.Person{lead}}
		ch, a := h.kitchen().Handle(reader(), h.book, team, cmd, h.now)
		if a.Kind != kitchen.Done {
			h.t.Fatalf("%s: %+v", line, a)
		}
		h.keep(ch)
	}
}

func (h *house) pass(d time.Duration) {
	for end := h.now.Add(d); h.now.Before(end); {
		h.now = h.now.Add(min(15*time.Second, end.Sub(h.now)))
		h.keep(h.kitchen().Ring(h.now))
	}
}

// Look gives the kitchen as the pages see it.
func (h *house) Look(context.Context, string) (*kitchen.Kitchen, []string, time.Time, error) {
	if h.down {
		return nil, nil, h.now, errors.New("no ledger")
	}
	return h.kitchen(), []string{"A", "B", "C", "D"}, h.now, nil
}

// pages serves the pages of a house in a language.
func (h *house) pages(language, key string, open bool) http.Handler {
	h.t.Helper()
	v, err := voice.NewVoices(language, time.UTC)
	if err != nil {
		h.t.Fatal(err)
	}
	return New(Config{Kitchens: []string{"main"}, Looker: h, Voice: v, Key: key, Open: open, Log: slog.New(slog.NewTextHandler(io.Discard, nil))}).Handler()
}

func get(h http.Handler, path string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest("GET", path, nil))
	return w
}

// busy is an evening with a vessel at rest, one that is called, one that waits, one
// to be washed, and two batches without a label.
func busy(t testing.TB) *house {
	h := newHouse(t)
	h.say("lot H4 hazelnut", "start hazelnut brandy 400ml in A", "charged A", "charged A")
	h.pass(20 * time.Minute)
	h.say("vented A")
	h.pass(30 * time.Minute)
	h.say("strained A 345ml", "start bay vodka 400ml in B", "charged B", "charged B")
	h.pass(20 * time.Minute)
	h.say("start rhubarb gin 600ml in C", "charged C", "charged C")
	return h
}

const key = "a-key-for-the-tests-only"

func TestTheWallShowsWhatIsUnderPressureByWhomAndSinceWhen(t *testing.T) {
	t.Parallel()
	page := get(busy(t).pages("en", key, false), "/wall?key="+key)
	body := html.UnescapeString(page.Body.String())
	for _, want := range []string{
		`<html lang="en">`, `http-equiv="refresh" content="15"`, "PRESSURISED since 18:50, bar-1", "Now: Vent 18:51", "bay vodka, bar-1", "rhubarb gin, bar-1",
		"to wash", "hazelnut brandy from A, bar-1", "Draw off 19:20",
	} {
		if !strings.Contains(body, want) {
			t.Errorf("the page has no %q:\n%s", want, body)
		}
	}
	if strings.Contains(body, "<script") {
		t.Error("the page has a script")
	}
	if at, free := strings.Index(body, ">B<"), strings.Index(body, ">D<"); at < 0 || free < at {
		t.Error("what is called does not come first")
	}
	for name, want := range map[string]string{
		"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
		"Cache-Control":           "no-store", "Referrer-Policy": "no-referrer",
	} {
		if got := page.Header().Get(name); got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
}

func TestNobodySeesThePagesWithoutTheKey(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	for _, x := range []struct {
		own, path string
		open      bool
		want      int
	}{
		{key, "/wall?key=" + key, false, http.StatusOK},
		{key, "/wall", false, http.StatusNotFound},
		{key, "/wall?key=", false, http.StatusNotFound},
		{key, "/wall?key=" + key + "x", false, http.StatusNotFound},
		{key, "/wall?key=" + key[:5], false, http.StatusNotFound},
		{key, "/wall/labels", false, http.StatusNotFound},
		{key, "/wall/labels?key=" + key, false, http.StatusOK},
		{key, "/wall?kitchen=other&key=" + key, false, http.StatusNotFound},
		{"", "/wall", false, http.StatusNotFound},
		{"", "/wall?key=", false, http.StatusNotFound},
		{"", "/wall", true, http.StatusOK},
		{"", "/wall/label/999", true, http.StatusNotFound},
		{"", "/wall/label/x", true, http.StatusNotFound},
	} {
		if got := get(h.pages("en", x.own, x.open), x.path).Code; got != x.want {
			t.Errorf("with the key %q set, %s gives %d, want %d", x.own, x.path, got, x.want)
		}
	}
}

func TestAnyLinkOnThePagesKeepsTheKey(t *testing.T) {
	t.Parallel()
	h := busy(t)
	for _, path := range []string{"/wall", "/wall/labels", "/wall/label/1"} {
		body := get(h.pages("en", key, false), path+"?key="+key+"&kitchen=main").Body.String()
		for _, part := range strings.Split(body, `href="`)[1:] {
			address, _, _ := strings.Cut(part, `"`)
			if !strings.HasPrefix(address, "/wall") || !strings.Contains(address, "key="+key) || !strings.Contains(address, "kitchen=main") {
				t.Errorf("%s links to %q", path, address)
			}
		}
	}
}

// A label in each language. Sources of its fields: Regulation (EU) 1169/2011, art. 9 and
// 21, from memory: emphasis, name of the food, quantity, date, strength.
func TestALabelIsWholeInEveryLanguage(t *testing.T) {
	t.Parallel()
	h := busy(t)
	for language, want := range map[string][]string{
		"en": {"hazelnut brandy", "345 ml", "Use by <strong>", "<b>HAZELNUT (NUTS)</b> (lot H4)", "Contains</dt><dd><b>nuts (hazelnut)</b>", "contains alcohol", "Made</dt><dd>Tue 24 Nov 18:00, bar-1", "Strained</dt>", "261124-hazelnut-brandy-a-1"},
		"es": {"Usar hasta <strong>", "<b>AVELLANA (FRUTOS DE CÁSCARA)</b> (lote H4)", "frutos de cáscara (avellana)", "contiene alcohol", "Hecho</dt><dd>mar 24 nov 18:00, bar-1"},
		"fr": {"À utiliser jusqu'au <strong>", "<b>NOISETTE (FRUITS À COQUE)</b> (lot n° H4)", "fruits à coque (noisette)", "contient de l'alcool", "Fait</dt><dd>mar. 24 nov. 18:00, bar-1"},
	} {
		page := get(h.pages(language, "", true), "/wall/label/1")
		body := html.UnescapeString(page.Body.String())
		for _, text := range append(want, `<html lang="`+language+`">`, "@page { size: 100mm 62mm") {
			if !strings.Contains(body, text) {
				t.Errorf("%s: the label has no %q:\n%s", language, text, body[strings.Index(body, "<body"):])
			}
		}
		if page.Code != http.StatusOK || strings.Contains(body, "<script") {
			t.Errorf("%s: status %d", language, page.Code)
		}
	}
}

// FDA's nine after the FASTER Act of 2021, with the kind of nut; 26 USC 5301(c): nothing
// is refilled into a liquor bottle.
func TestALabelInTheUSTellsTheKindOfNutAndAsksForAPlainContainer(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	there := *sample()
	there.House.Country, there.House.State = "US", "IL"
	h.book = &there
	h.say("start hazelnut brandy 400ml in A")
	for language, want := range map[string][]string{
		"en": {"<b>HAZELNUT (TREE NUTS)</b>", "<b>tree nuts (hazelnut)</b>", "Plain container, never a branded bottle."},
		"es": {"Envase liso"}, "fr": {"Récipient neutre"},
	} {
		body := html.UnescapeString(get(h.pages(language, "", true), "/wall/label/1").Body.String())
		for _, text := range want {
			if !strings.Contains(body, text) {
				t.Errorf("%s: the label has no %q:\n%s", language, text, body[strings.Index(body, "<body"):])
			}
		}
	}
}

func TestAllWaitingLabelsStandOnOnePage(t *testing.T) {
	t.Parallel()
	h := busy(t)
	if body := get(h.pages("en", "", true), "/wall/labels").Body.String(); strings.Count(body, "<article") != 1 {
		t.Errorf("one batch waits, and the page is\n%s", body)
	}
	h.pass(15 * time.Minute)
	h.say("cleared A", "labelled A")
	if body := get(h.pages("en", "", true), "/wall/labels").Body.String(); strings.Contains(body, "<article") || !strings.Contains(body, "No label is waiting.") {
		t.Errorf("none waits, and the page is\n%s", body)
	}
}

func TestAPageThatKnowsNothingSaysSoAndComesBack(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	h.down = true
	page := get(h.pages("en", "", true), "/wall")
	if page.Code != http.StatusServiceUnavailable || page.Header().Get("Refresh") == "" || !strings.Contains(page.Body.String(), "under pressure") {
		t.Errorf("without a ledger the page is %d %q", page.Code, page.Body)
	}
}

func TestAWordOfTheHouseIsNoMarkup(t *testing.T) {
	t.Parallel()
	h := newHouse(t)
	h.say("start rhubarb gin 400ml in A", "charged A")
	k := h.kitchen()
	k.Batches[1].Title = "<b>gin</b>"
	h.fields = k.Encode()
	if body := get(h.pages("en", "", true), "/wall").Body.String(); strings.Contains(body, "<b>gin") {
		t.Errorf("the page takes a title for markup:\n%s", body)
	}
}
