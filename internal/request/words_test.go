package request

import (
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

func TestAPhraseSaysOneVerb(t *testing.T) {
	t.Parallel()
	for first, e := range tabled(every).in(book.House{}, every).entries {
		verb, surely := map[string]Verb{}, map[string]plainness{}
		for _, s := range e.sayings {
			if len(s.words) > longestSaying {
				t.Errorf("%q has %d words", s.words, len(s.words))
			}
			text := strings.Join(s.words, " ")
			if before, ok := verb[text]; ok && before != s.verb {
				t.Errorf("%q (under %q) says both %s and %s", text, first, before, s.verb)
			}
			if before, ok := surely[text]; ok && before != s.plain && risky(s.verb) {
				t.Errorf("%q is an order in one language and none in another", text)
			}
			verb[text], surely[text] = s.verb, s.plain
		}
	}
}

func TestEveryLanguageHasWordsForEverything(t *testing.T) {
	t.Parallel()
	for _, w := range every {
		said := map[Verb]bool{RestFor: len(w.rest) > 0} // by its own words
		for _, e := range tabled([]words{w}).in(book.House{}, []words{w}).entries {
			for _, s := range e.sayings {
				said[s.verb] = true
			}
		}
		for _, v := range allVerbs {
			if !said[v] {
				t.Errorf("language %d: no word says %q", w.tongue, v)
			}
			if _, ok := suits[v]; !ok && !unplaced[v] {
				t.Errorf("no phase suits %q", v)
			}
		}
	}
}

// A US fluid ounce is 29.5735 ml and a UK one 28.4131 ml (NIST Handbook 44,
// appendix C, to four decimals).
func TestAnOunceIsTheHousesOwn(t *testing.T) {
	t.Parallel()
	for country, want := range map[string]float64{"US": 29.5735, "GB": 28.4131, "BE": 29.5735} {
		b := &book.Book{House: book.House{Country: country}, Recipes: []book.Recipe{{Name: "bay vodka"}}}
		for _, line := range []string{"bay vodka 10 fl oz", "bay vodka 10oz", "bay vodka 10 fluid ounces", "bay vodka 10 fl. oz."} {
			g := Read(line, Context{Book: b})
			if g.Request == nil {
				t.Fatalf("%q reads as %s", line, show(g))
			}
			if got := g.Request.Volume.Millilitres() / 10; math.Abs(got-want) > 0.001 {
				t.Errorf("%q in %s: an ounce is %g ml, want %g", line, country, got, want)
			}
		}
	}
}

func TestABottleIsWhatTheHouseSays(t *testing.T) {
	t.Parallel()
	b := &book.Book{House: book.House{Country: "US", Bottle: 750 * ml}, Recipes: []book.Recipe{{Name: "bay vodka"}}}
	for line, want := range map[string]quantity.Volume{
		"bay vodka a bottle": 750 * ml, "half a bottle of bay vodka": 375 * ml, "bay vodka, 2 bottles": 1500 * ml, "bottle of bay vodka": 750 * ml,
	} {
		if g := Read(line, Context{Book: b}); g.Request == nil || g.Request.Volume != want {
			t.Errorf("%q reads as %s, want %s", line, show(g), want)
		}
	}
	b = &book.Book{Recipes: b.Recipes}
	for country, want := range map[string]quantity.Volume{"US": 750 * ml, "BE": 700 * ml, "GB": 700 * ml, "": 700 * ml} {
		b.House.Country = country
		if g := Read("bay vodka a bottle", Context{Book: b}); g.Request == nil || g.Request.Volume != want {
			t.Errorf("in %q a bottle reads as %s, want %s", country, show(g), want)
		}
	}
}

// A US liquid quart is 946.353 ml and a pint 473.176 ml; the imperial ones are
// 1136.52 and 568.261 ml (NIST Handbook 44, appendix C).
func TestQuartsAndPintsAreTheHousesOwn(t *testing.T) {
	t.Parallel()
	for country, want := range map[string][2]float64{"US": {946.353, 473.176}, "GB": {1136.52, 568.261}, "BE": {946.353, 473.176}} {
		b := &book.Book{House: book.House{Country: country}, Recipes: []book.Recipe{{Name: "bay vodka"}}}
		for k, line := range []string{"bay vodka 1 quart", "bay vodka 1 pint"} {
			g := Read(line, Context{Book: b})
			if g.Request == nil || math.Abs(g.Request.Volume.Millilitres()-want[k]) > 0.05 {
				t.Errorf("%q in %s reads as %s, want %g ml", line, country, show(g), want[k])
			}
		}
	}
}

func TestTheCountryDecidesWhatADegreeIs(t *testing.T) {
	t.Parallel()
	for country, want := range map[string]quantity.Temperature{"US": 20 * quantity.Celsius, "FR": 68 * quantity.Celsius} {
		b := &book.Book{House: book.House{Country: country}, Recipes: []book.Recipe{{Name: "bay vodka"}}}
		if g := Read("bay vodka 68°", Context{Book: b}); g.Request == nil || g.Request.Temp == nil || *g.Request.Temp != want {
			t.Errorf("68° in %s reads as %s", country, show(g))
		}
	}
}

func TestALineHasFourThousandCharacters(t *testing.T) {
	t.Parallel()
	r := NewReader(house())
	for line, code := range map[string]ProblemCode{
		strings.Repeat("é", longest):             UnknownVerb,
		strings.Repeat("é", longest+1):           TooLong,
		strings.Repeat("x", 1<<20):               TooLong,
		"help" + strings.Repeat(" ", longest-4):  "",
		"help" + strings.Repeat("\t", longest-3): TooLong,
	} {
		g := r.Read(line, Context{})
		if got := g.Problem; (got == nil) != (code == "") || got != nil && got.Code != code {
			t.Errorf("a line of %d bytes reads as %.80s, want %q", len(line), show(g), code)
		}
	}
}

// slowDistance is optimal string alignment as it is defined: the fewest edits
// with no part of a word edited twice.
func slowDistance(a, b string) int {
	if a == "" || b == "" {
		return len(a) + len(b)
	}
	cost := 1
	if a[0] == b[0] {
		cost = 0
	}
	d := min(slowDistance(a[1:], b)+1, slowDistance(a, b[1:])+1, slowDistance(a[1:], b[1:])+cost)
	if len(a) > 1 && len(b) > 1 && a[0] == b[1] && a[1] == b[0] {
		d = min(d, slowDistance(a[2:], b[2:])+1)
	}
	return d
}

func TestDistanceIsOptimalStringAlignment(t *testing.T) {
	t.Parallel()
	word := rapid.StringMatching(`[a-d]{0,6}`)
	rapid.Check(t, func(rt *rapid.T) {
		a, b := word.Draw(rt, "a"), word.Draw(rt, "b")
		want := slowDistance(a, b)
		for most := range 8 {
			if got := book.Distance(a, b, most); (got <= most) != (want <= most) || got <= most && got != want {
				rt.Fatalf("distance(%q, %q) up to %d = %d, want %d", a, b, most, got, want)
			}
		}
	})
}

// The pair that tells this distance from the unrestricted one, which is 2; the
// textbook example, from memory.
func TestDistanceEditsNoPartTwice(t *testing.T) {
	t.Parallel()
	if got := book.Distance("ca", "abc", 5); got != 3 {
		t.Errorf(`distance("ca", "abc") = %d, want 3`, got)
	}
}

func TestAReaderServesManyAtOnce(t *testing.T) {
	t.Parallel()
	r := NewReader(house())
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			for _, row := range manual {
				c := Context{Now: evening, Open: row.open}
				if g := r.Read(row.line, c); (g.Request == nil) != (row.want.Request == nil) {
					t.Errorf("%q reads as %s", row.line, show(g))
				}
			}
		})
	}
	all.Wait()
}

func TestReadingChangesNeitherTheBookNorTheContext(t *testing.T) {
	t.Parallel()
	open := []Open{{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: resting, Mine: false}, {Batch: 2, Title: "bay vodka", Vessel: "Z", Phase: resting, Mine: true}}
	c := Context{Now: evening, Open: open}
	r := NewReader(house())
	r.Read("vented", c)
	r.Read("vented Z", c)
	if open[0].Vessel != "A" || open[1].Vessel != "Z" {
		t.Errorf("the open batches are %+v", open)
	}
	if g := r.Read("vented Z", Context{Now: evening}); g.Problem == nil || g.Problem.Code != UnknownVessel {
		t.Errorf("a vessel of another line's context is remembered: %s", show(g))
	}
	if g := r.Read("charged A 1 min ago", Context{}); g.Request == nil || g.Request.Done.After(time.Time{}) {
		t.Errorf("without a time it reads as %s", show(g))
	}
}
