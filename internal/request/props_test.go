package request

import (
	"fmt"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// checkReading checks what holds for every reading of every line.
func checkReading(r *Reader, line string, c Context) error {
	g := r.Read(line, c)
	set := 0
	for _, is := range []bool{g.Request != nil, g.Question != nil, g.Problem != nil} {
		if is {
			set++
		}
	}
	if set != 1 {
		return fmt.Errorf("%q: %d of the three are set", line, set)
	}
	switch {
	case g.Request != nil:
		return checkRequest(r, *g.Request, c)
	case g.Question != nil:
		return checkQuestion(r, line, *g.Question, c)
	}
	return checkProblem(r, line, *g.Problem, c)
}

// checkRequest checks that a request is within bounds and reads back from its
// own line.
func checkRequest(r *Reader, q Request, c Context) error {
	switch {
	case q.Volume < 0 || q.Volume > mostLiquid, q.Solids < 0, q.Rest < 0, q.Rest > longAgo, q.Count < 0, q.Count > mostVessels:
		return fmt.Errorf("%+v: out of bounds", q)
	case q.Done.After(c.Now):
		return fmt.Errorf("%+v: done later than now, %s", q, c.Now)
	case q.Recipe == "" && q.Solid != "" && !q.Sure:
		return fmt.Errorf("%+v: by the class, and nobody said so", q)
	}
	back := r.Read(q.String(), c)
	if back.Request == nil {
		return fmt.Errorf("%q (%+v) reads back as %s", q, q, show(back))
	}
	if diff := cmp.Diff(q, *back.Request); diff != "" {
		return fmt.Errorf("%q reads back otherwise (-said +read):\n%s", q, diff)
	}
	return nil
}

func checkQuestion(r *Reader, line string, q Question, c Context) error {
	if len(q.Options) < 2 || len(q.Options) > 3 {
		return fmt.Errorf("%q: %d options", line, len(q.Options))
	}
	seen := map[string]bool{}
	for _, o := range q.Options {
		if o.Label == "" || seen[o.Line] {
			return fmt.Errorf("%q: option %+v has no label or stands twice", line, o)
		}
		seen[o.Line] = true
		g := r.Read(o.Line, c)
		if g.Request == nil {
			return fmt.Errorf("%q: option %q reads as %s", line, o.Line, show(g))
		}
		if err := checkRequest(r, *g.Request, c); err != nil {
			return fmt.Errorf("%q: option %q: %w", line, o.Line, err)
		}
	}
	return nil
}

func checkProblem(r *Reader, line string, p Problem, c Context) error {
	if p.Where < 0 || p.Where+len(p.Word) > len(line) || line[p.Where:p.Where+len(p.Word)] != p.Word {
		return fmt.Errorf("%q: %q is not at byte %d", line, p.Word, p.Where)
	}
	if p.Code != Refused && len(p.Names) > 6 || p.Code == "" {
		return fmt.Errorf("%q: problem %+v", line, p)
	}
	for _, example := range []string{p.Example, p.Another} {
		if example == "" && p.Code != UnknownVerb {
			continue
		}
		if g := r.Read(example, c); g.Request == nil {
			return fmt.Errorf("%q: example %q reads as %s", line, example, show(g))
		}
	}
	if p.Example == p.Another {
		return fmt.Errorf("%q: both examples are %q", line, p.Example)
	}
	return nil
}

// show writes a reading for people.
func show(g Reading) string {
	switch {
	case g.Request != nil:
		return fmt.Sprintf("request %q %+v", g.Request.String(), *g.Request)
	case g.Question != nil:
		return fmt.Sprintf("question %+v", *g.Question)
	case g.Problem != nil:
		return fmt.Sprintf("problem %+v", *g.Problem)
	}
	return "nothing"
}

// odd is a book with everything that makes reading hard: tags that are words,
// units and numbers, names with numbers and with words that mean something else.
func odd() *book.Book {
	return &book.Book{
		House: book.House{Country: "US", Bottle: 750 * quantity.Millilitre},
		Vessels: []book.Vessel{
			{Tag: "A"}, {Tag: "C"}, {Tag: "L"}, {Tag: "X"}, {Tag: "1"}, {Tag: "B2"}, {Tag: "Big Red"}, {Tag: "ok"}, {Tag: "in"}, {Tag: "é"},
		},
		Liquids: []book.Liquid{
			{Name: "gin", Family: book.Spirit},
			{Name: "rum", Aliases: []string{"white rum"}, Family: book.Spirit},
			{Name: "double cream", Family: book.Dairy},
			{Name: "olive oil", Family: book.Oil},
			{Name: "cold brew", Family: book.Water},
			{Name: "shochu", Family: book.Spirit},
		},
		Botanicals: []book.Botanical{
			{Name: "crème de cassis leaf", Aliases: []string{"cassis"}, Kind: book.Fruit},
			{Name: "5 spice", Aliases: []string{"five spice"}, Kind: book.Spice},
			{Name: "hot pepper", Kind: book.Produce},
			{Name: "black pepper", Kind: book.Spice},
			{Name: "half smoked plum", Kind: book.Fruit},
			{Name: "tonka", Refused: "coumarin"},
			{Name: "sage", Aliases: []string{"salvia"}, Kind: book.Woody},
			{Name: "sake lees", Kind: book.Roast},
		},
		Classes: []book.Class{
			{Name: "spirit + fruit", Family: book.Spirit, Kind: book.Fruit},
			{Name: "spirit + spice", Family: book.Spirit, Kind: book.Spice},
			{Name: "spirit + produce", Family: book.Spirit, Kind: book.Produce},
			{Name: "water + spice", Family: book.Water, Kind: book.Spice},
		},
		Recipes: []book.Recipe{
			{Name: "5 spice rum", Solid: "5 spice", Base: "rum", Batch: 500 * quantity.Millilitre},
			{Name: "charged lemon gin", Solid: "lemon", Base: "gin"},
			{Name: "hot pepper gin", Aliases: []string{"x2 gin"}, Solid: "hot pepper", Base: "gin"},
			{Name: "sage gin", Solid: "sage", Base: "gin"},
			{Name: "sake gin", Solid: "sake lees", Base: "gin"},
			{Name: "gin and it", Solid: "cassis", Base: "gin"},
			{Name: "A gin", Solid: "sage", Base: "shochu"},
		},
	}
}

// books are the books that the properties are tried with.
func books() map[string]*Reader {
	return map[string]*Reader{
		"sample": NewReader(book.Sample()),
		"house":  NewReader(house()),
		"odd":    NewReader(odd()),
		"empty":  NewReader(&book.Book{}),
		"bar":    NewReader(bar()),
	}
}

// anyLine draws a line out of the words that the reader knows, names from the
// book, numbers, and pieces that mean nothing.
func anyLine(t *rapid.T, r *Reader) string {
	pool := []string{
		"start", "charged", "vented", "strained", "set down", "no gas", "gas in", "take", "resting", "scrap", "undo", "help", "washed",
		"labelled", "cleared", "A", "a", "B", "C", "in A", "vessel C", "vessel 1", "B2", "big red", "ok", "x2", "2x", "x", "in", "L",
		"500ml", "500 ml", "1/2 l", "1 1/2", "half", "a bottle", "16 oz", "1,5 l", "1.000 ml", "1 000", "0", "-5", "50 C", "20°C", "68F",
		"60 g", "rest 90", "rest 2 min", "rest 1:30", "2 vessels", "3 chargers", "90 s", "+15 s", "+15", "40s ago", "at 18:06", "18:06:20",
		"at 6:06", "6pm", "just now", "as class", "40 serves", "at 50ml", "split", "in runs", "please", "not", "?", "is", "warm", "cold", "hot", "room warm", "and", "more", "done", "ok", "listo", "ça y est", "who has", "how long", "allergens", "nuts", "again", "same as yesterday", "by mistake",
		"put", "chargers", "in all", "half", "double batch", "for friday", "for 7", "at 7", "blocked", "burned", "ventea", "vidé", "colado", "dale",
		"gin à la rhubarbe", "tequila de chile", "medio litro", "un demi", "quart", "hace 2 min", "il y a", "pause", "+2", "mas", "the red one",
		"2", "on", "off", "2026-11-28", "19h30", "5OOml", "thé", "té", "l'A", "limón", "50",
		"250", "120", "é", "🌶️", ":fire:", "<@U1>", "@bell", "@B", "'", "“", "\xff", "\u200b", "½", "two", "one", "twice", ",", "-", "strat",
	}
	for _, b := range r.book.Recipes {
		pool = append(pool, b.Name)
	}
	for _, b := range r.book.Liquids {
		pool = append(pool, b.Name)
	}
	for _, b := range r.book.Botanicals {
		pool = append(pool, b.Name)
	}
	var line strings.Builder
	for range rapid.IntRange(0, 9).Draw(t, "words") {
		piece := rapid.SampledFrom(pool).Draw(t, "piece")
		if rapid.IntRange(0, 9).Draw(t, "slip") == 0 {
			piece = slipped(t, piece)
		}
		line.WriteString(piece)
		line.WriteString(rapid.SampledFrom([]string{" ", " ", " ", " ", "", "  ", ", "}).Draw(t, "gap"))
	}
	return line.String()
}

// slipped swaps, drops or doubles one letter.
func slipped(t *rapid.T, s string) string {
	letters := []rune(s)
	if len(letters) < 2 {
		return s
	}
	i := rapid.IntRange(0, len(letters)-2).Draw(t, "at")
	switch rapid.IntRange(0, 2).Draw(t, "how") {
	case 0:
		letters[i], letters[i+1] = letters[i+1], letters[i]
	case 1:
		letters = append(letters[:i], letters[i+1:]...)
	default:
		letters = append(letters[:i+1], letters[i:]...)
	}
	return string(letters)
}

func anyContext(t *rapid.T, r *Reader) Context {
	c := Context{Book: r.book, Now: anyNow(t)}
	titles := []string{"rhubarb gin", "thyme oil", "smoky tea rum", "hot pepper gin", ""}
	phases := []string{loading, charging, resting, venting, settling, straining, clearing, labelling, stored, scrapped}
	for n := range rapid.IntRange(0, 5).Draw(t, "open") {
		c.Open = append(c.Open, Open{
			Batch:   uint32(n + 1),
			Title:   rapid.SampledFrom(titles).Draw(t, "title"),
			Vessel:  rapid.SampledFrom([]string{"A", "B", "C", "D", "Big Red", "Z"}).Draw(t, "vessel"),
			Phase:   rapid.SampledFrom(phases).Draw(t, "phase"),
			Mine:    rapid.Bool().Draw(t, "mine"),
			Weighed: rapid.Bool().Draw(t, "weighed"),
			Due:     rapid.SampledFrom([]Verb{"", "", Charged, Vented, Strained, Labelled}).Draw(t, "due"),
		})
	}
	return c
}

// anyNow draws a moment, often one in a night when the clocks change.
func anyNow(t *rapid.T) time.Time {
	zones := []string{"Europe/Brussels", "America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu", "UTC"}
	from := rapid.SampledFrom([]string{
		"2026-11-24T18:08:30Z", "2026-10-24T23:00:00Z", "2026-03-28T23:00:00Z", "2026-11-01T04:00:00Z", "2026-04-04T14:00:00Z",
	}).Draw(t, "night")
	at, err := time.Parse(time.RFC3339, from)
	if err != nil {
		t.Fatal(err)
	}
	at = at.Add(time.Duration(rapid.IntRange(0, 6*3600*1000).Draw(t, "after")) * time.Millisecond)
	return at.In(mustZone(rapid.SampledFrom(zones).Draw(t, "zone")))
}

func mustZone(name string) *time.Location {
	zone, err := time.LoadLocation(name)
	if err != nil {
		panic(err)
	}
	return zone
}

func TestEveryLineIsReadAsExactlyOneThingThatHolds(t *testing.T) {
	t.Parallel()
	for name, r := range books() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(rt *rapid.T) {
				if err := checkReading(r, anyLine(rt, r), anyContext(rt, r)); err != nil {
					rt.Fatal(err)
				}
			})
		})
	}
}

func TestAnyBytesAreRead(t *testing.T) {
	t.Parallel()
	for name, r := range books() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(rt *rapid.T) {
				line := string(rapid.SliceOf(rapid.Byte()).Draw(rt, "line"))
				if rapid.Bool().Draw(rt, "text") {
					line = rapid.String().Draw(rt, "string")
				}
				if err := checkReading(r, line, anyContext(rt, r)); err != nil {
					rt.Fatal(err)
				}
			})
		})
	}
}

func TestEveryRecipeAndEveryPairReadsBackFromItsOwnName(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, time.November, 24, 18, 8, 30, 0, mustZone("Europe/Brussels"))
	for name, r := range books() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for _, recipe := range r.book.Recipes {
				q := Request{Verb: Start, Recipe: recipe.Name, Volume: 400 * quantity.Millilitre, Vessel: "A"}
				if len(r.tags) == 0 {
					q.Vessel = ""
				}
				if err := checkRequest(r, q, Context{Now: now}); err != nil {
					t.Error(err)
				}
			}
			for _, solid := range r.book.Botanicals {
				for _, liquid := range r.book.Liquids {
					for _, line := range []string{solid.Name + " " + liquid.Name, liquid.Name + " with " + solid.Name} {
						if err := checkReading(r, line, Context{Now: now}); err != nil {
							t.Error(err)
						}
					}
				}
			}
		})
	}
}

func TestALineIsCutAtItsOwnBytes(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		src := rapid.String().Draw(rt, "line")
		last := 0
		for _, tok := range cut(src).toks {
			if tok.at < last || tok.end <= tok.at || tok.end > len(src) || !utf8.ValidString(src[tok.at:tok.end]) {
				rt.Fatalf("%q: token %+v after byte %d", src, tok, last)
			}
			last = tok.end
		}
	})
}
