package request

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// plainlySaid gives every phrase that says a verb, or that a step is done, in all
// tables: as it stands and without its apostrophes.
func plainlySaid() map[Verb]map[string]bool {
	all := map[Verb]map[string]bool{}
	put := func(v Verb, texts []string) {
		for _, text := range texts {
			for _, form := range forms(text) {
				if all[v] == nil {
					all[v] = map[string]bool{}
				}
				all[v][strings.Join(form, " ")] = true
			}
		}
	}
	for _, w := range every {
		for _, table := range []map[Verb][]string{w.verbs, w.pleas} {
			for v, texts := range table {
				put(v, texts)
			}
		}
		put(MoreGas, w.tooMuch)
		put(MoreGas, w.mistake)
		put(MoreGas, w.further)
		put(MoreGas, w.inAll)
		put(More, w.more)
		put(More, []string{"+"})
		put(RestFor, w.rest)
		put(Vented, w.done)
	}
	return all
}

// risks are the readings that add gas, let a vessel count as empty, take gas out
// of the count, or lengthen a rest.
var risks = []Verb{Charged, GasIn, Vented, NoGas, MoreGas, More, RestFor}

// everyPhrase gives every phrase of every table, and of the goods; near are
// those that tell of gas, of time or of "done", or could be taken for it.
func everyPhrase() (near, all []string) {
	for _, w := range every {
		for _, table := range []map[Verb][]string{w.verbs, w.orders, w.pleas} {
			for v, texts := range table {
				if slices.Contains(risks, v) {
					near = append(near, texts...)
				}
				all = append(all, texts...)
			}
		}
		near = slices.Concat(near, w.done, w.put, w.mistake, w.further, w.tooMuch, w.more, w.rest, w.chargers)
		for _, texts := range w.topics {
			all = append(all, texts...)
		}
		for _, texts := range w.kinds {
			all = append(all, texts...)
		}
		for _, texts := range [][]string{
			w.fillers, w.asides, w.denials, w.askers, w.places, w.vessels, w.chargers, w.looks, w.done, w.heard, w.rest, w.more, w.ago, w.since,
			w.put, w.mistake, w.further, w.inAll, w.tooMuch, w.had, w.polite,
		} {
			all = append(all, texts...)
		}
	}
	for _, g := range slices.Concat(botanicals, liquids) {
		all = append(all, split(g.en)...)
		all = append(all, split(g.es)...)
		all = append(all, split(g.fr)...)
	}
	slices.Sort(near)
	slices.Sort(all)
	return slices.Compact(near), slices.Compact(all)
}

// slips gives what a thumb makes of a phrase: a letter left out, doubled,
// swapped or another, words joined or split.
func slips(rnd *rand.Rand, text string) []string {
	var all []string
	letter := func() string { return string(rune('a' + rnd.IntN(26))) }
	for i := range len(text) {
		if text[i] >= 0x80 || i+1 < len(text) && text[i+1] >= 0x80 {
			continue
		}
		all = append(all, text[:i]+text[i+1:], text[:i]+text[i:i+1]+text[i:], text[:i]+letter()+text[i+1:], text[:i]+letter()+text[i:])
		if i+1 < len(text) {
			all = append(all, text[:i]+text[i+1:i+2]+text[i:i+1]+text[i+2:])
		}
		if i > 0 {
			all = append(all, text[:i]+" "+text[i:])
		}
	}
	return append(all, strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(text, " ", "-"))
}

func TestNoSlipOfAThumbTellsOfGasOrOfTime(t *testing.T) {
	t.Parallel()
	r := NewReader(bar())
	plainly := plainlySaid()
	rnd := rand.New(rand.NewPCG(5, 68))
	open := []Open{{Batch: 1, Title: "pepper tequila", Vessel: "A", Phase: resting, Mine: true, Due: Vented}}
	tried, wrong := 0, 0
	try := func(line string) {
		tried++
		g := r.Read(line, Context{Now: evening, Open: open})
		if g.Request == nil || !slices.Contains(risks, g.Request.Verb) || says(line, plainly[g.Request.Verb]) || accentSays(line) {
			return
		}
		if wrong++; wrong < 20 {
			t.Errorf("%q reads as %s", line, show(g))
		}
	}
	near, all := everyPhrase()
	for _, text := range near {
		once := slips(rnd, text)
		for _, slip := range append(once, text) {
			try(slip)
			try(slip + " A")
		}
	}
	one := func(list []string) string { return list[rnd.IntN(len(list))] }
	for _, text := range slices.Concat(near, all) {
		try(text + " A")
		for range 4 {
			once := one(slips(rnd, text))
			try(once + " A")
			try(one(slips(rnd, once+"e")) + " A") // twice
		}
	}
	t.Logf("%d lines with slips in them", tried)
}

// says reports whether one of the phrases stands in a line, word for word, a
// vessel's tag aside.
func says(line string, phrases map[string]bool) bool {
	words := slices.DeleteFunc(texts(line), func(w string) bool { return len(w) == 1 && w >= "a" && w <= "d" })
	all := texts(line)
	if strings.Contains(line, "+") && phrases["+"] {
		return true
	}
	for _, words := range [][]string{words, all} {
		for i := range words {
			for j := i + 1; j <= len(words); j++ {
				if phrases[strings.Join(words[i:j], " ")] {
					return true
				}
			}
		}
	}
	return false
}

// accentSays reports whether an order of the tables stands in a line as what
// was done: with a sharp accent at its end, or with "I have" before it.
func accentSays(line string) bool {
	toks := cut(line).toks
	return slices.ContainsFunc(toks, func(t token) bool {
		return t.sharp || t.text == "ai" || t.text == "jai" || t.text == "he" || t.text == "hemos" || t.text == "avons"
	})
}

func TestTwoRisksInOneLineAreAsked(t *testing.T) {
	t.Parallel()
	r := NewReader(bar())
	var words []string
	for _, w := range every {
		for _, v := range []Verb{Charged, Vented, NoGas, GasIn} {
			words = append(words, w.verbs[v][0])
		}
	}
	for _, a := range words {
		for _, b := range words {
			if verbOf(r, a) == verbOf(r, b) {
				continue
			}
			if g := r.Read(a+" A, "+b+" A", Context{Now: evening, Open: one}); g.Request != nil {
				t.Errorf("%q and %q in one line read as %s", a, b, show(g))
			}
		}
	}
}

func verbOf(r *Reader, text string) Verb {
	if g := r.Read(text+" A", Context{Now: evening, Open: one}); g.Request != nil {
		return g.Request.Verb
	}
	return ""
}

func TestADenialIsNeverTheThingItself(t *testing.T) {
	t.Parallel()
	r := NewReader(bar())
	for _, line := range []string{
		"not vented A", "A isn't vented", "never charged A", "don't vent A", "A no está venteado", "no venteado A", "todavía no venteado A",
		"nadie ha cargado A", "A n'est pas vidé", "pas vidé A", "pas encore vidé A", "A jamais chargé", "personne a vidé A", "sans avoir vidé A",
		"didn't put 2 more in A", "no metí dos más en A", "je n'ai pas mis deux cartouches de plus dans A", "vented A?", "is A vented?",
		"¿A venteado?", "A vidé ?", "est-ce que A est vidé", "almost vented A", "casi venteado A", "presque vidé A", "before vented A",
		"no gas came out of A", "no gas coming out of A", "le gaz ne sort pas de A", "no salió gas de la A", "you vented A", "t'as fini de vider A",
		"venteamos A", "venteamos A a las 6", "falta la carga en A", "pas de cartouche dans A", "il manque une cartouche dans A", "put the second charger in A",
		"no está la cápsula en A", "not finished venting A", "almost done venting A", "gas came out of A", "no hiss on A", "both chargers in",
	} {
		g := r.Read(line, Context{Now: evening, Open: one})
		if g.Request != nil && slices.Contains(risks, g.Request.Verb) {
			t.Errorf("%q reads as %s", line, show(g))
		}
	}
}

func TestGasBeyondTheCountIsOnlyAdded(t *testing.T) {
	t.Parallel()
	r := NewReader(bar())
	for _, w := range slices.Concat(tradeRows, englishRows, spanishRows, frenchRows) {
		g := r.Read(w.line, Context{Now: evening, Open: w.open})
		if g.Request != nil && g.Request.Verb == MoreGas && (g.Request.Chargers < 0 || g.Request.InAll && g.Request.Chargers == 0) {
			t.Errorf("%q takes gas away: %s", w.line, show(g))
		}
	}
}
