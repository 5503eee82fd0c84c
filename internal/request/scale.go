package request

import (
	"slices"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// scaled reads how much of the house batch is wanted: "half batch", "media
// tanda", "double dose", "double" alone. "Half" alone could be of a litre as
// well, and is asked about.
func (b *start) scaled() {
	for i := range b.toks {
		if !b.free(i) || b.toks[i].kind != word {
			continue
		}
		from, t := i, b.toks[i]
		switch {
		case t.role&doubleWord != 0:
			b.scale(amount{n: 2, d: 1}, from, b.overBatch(i+1))
		case t.text == "triple":
			b.scale(amount{n: 3, d: 1}, from, b.overBatch(i+1))
		case t.known.fraction.d == 2 && b.overBatch(i+1) > i+1:
			b.scale(t.known.fraction, from, b.overBatch(i+1))
		case t.known.fraction.d == 2 && !b.unitBehind(i+1) && !b.is(i-1, andWord) && !(b.is(i-1, oneWord) && b.is(i-2, andWord)):
			b.halfOfWhat(i)
		}
	}
}

// overBatch gives the end of "batch" or "of a batch" at i, or i.
func (b *start) overBatch(i int) int {
	j := i
	for j < i+2 && b.is(j, linkWord) {
		j++
	}
	if b.is(j, runNoun) && !b.namesTag(j) {
		return j + 1
	}
	return i
}

func (b *start) unitBehind(i int) bool {
	_, _, ok := b.unitAt(b.over(i))
	return ok
}

// scale notes that so much of the house batch is wanted.
func (b *start) scale(of amount, from, to int) {
	if b.part.d != 0 || b.req.Volume != 0 {
		b.fail(BadCount, from, to)
		return
	}
	b.part, b.partFrom, b.partTo = of, from, to
	b.use(from, to)
	if from > 0 && b.is(from-1, oneWord) && !b.toks[from-1].colon && (from == 1 || b.loud || !b.toks[from-1].capital) {
		b.use(from-1, from) // "a double batch" is in no vessel A
	}
}

// halfOfWhat notes a half of which nobody said what.
func (b *start) halfOfWhat(i int) {
	if b.part.d != 0 || b.alts != nil {
		b.fail(BadNumber, i, i+1)
		return
	}
	b.part, b.partFrom, b.partTo, b.unsaid = b.toks[i].known.fraction, i, i+1, true
	b.use(i, i+1)
}

// portioned settles the part of the house batch once the recipe is known.
func (b *start) portioned(all []choice) {
	if b.part.d == 0 || b.fault != nil {
		return
	}
	batch := func(r Request) (quantity.Volume, bool) {
		own, _ := b.book.Recipe(r.Recipe)
		n, ok := b.part.times(int64(own.Batch))
		return quantity.Volume(n), ok && n > 0 && r.Recipe != ""
	}
	half := 500 * quantity.Millilitre
	if len(all) == 0 {
		return
	}
	v, known := batch(all[0].req)
	switch {
	case b.req.Volume != 0 || b.req.Serves != 0:
		b.fail(BadNumber, b.partFrom, b.partTo)
	case !known && b.unsaid:
		b.setAll(all, func(r *Request) { r.Volume = half })
	case !known:
		b.fail(BadCount, b.partFrom, b.partTo)
	case b.unsaid && v != half && len(all) == 1:
		b.doubt, b.end = b.partFrom, b.partTo
		b.alts = []meaning{func(r *Request) { r.Volume = v }, func(r *Request) { r.Volume = half }}
	case b.part.n > 1 && b.part.d == 1 && b.req.Count == 0 && b.holds(v) && len(all) == 1:
		times := int(b.part.n)
		b.doubt, b.end = b.partFrom, b.partTo
		b.alts = []meaning{func(r *Request) { r.Count = times }, func(r *Request) { r.Volume = v }}
	default:
		b.setAll(all, func(r *Request) {
			if v, ok := batch(*r); ok {
				r.Volume = v
			}
		})
	}
}

func (b *start) setAll(all []choice, set meaning) {
	for i := range all {
		set(&all[i].req)
	}
}

// holds says that one vessel of the book holds so much.
func (b *start) holds(v quantity.Volume) bool {
	return slices.ContainsFunc(b.book.Vessels, func(w book.Vessel) bool { return w.Line >= v })
}

// quarter reads "quart" without a number: of a litre in French, and in English a
// measure of its own. Where the words leave no doubt which it is it counts, else
// it is asked.
func (b *start) quarter(i int) bool {
	if !b.free(i) || b.toks[i].text != "quart" || b.alts != nil || b.poured() || b.unitBehind(i+1) || b.is(i-1, oneWord) {
		return false
	}
	whole := quantity.Volume(b.toks[i].known.units[0].size)
	big, small := b.volume(whole), b.volume(250*quantity.Millilitre)
	switch language := b.plainly(); {
	case language == "en" && !b.pourable(whole):
		b.fail(BadVolume, i, i+1)
		return true
	case language == "en":
		big(&b.req)
	case language == "fr", !b.pourable(whole):
		small(&b.req)
	default:
		b.alts, b.doubt, b.end = []meaning{small, big}, i, i+1
	}
	b.use(i, i+1)
	return true
}

// quart notes that "1 quart" may be a quarter in French.
func (b *start) quart(i, end int, a amount, u unit) bool {
	if b.toks[end-1].text != "quart" || b.alts != nil || b.poured() {
		return false
	}
	if b.language(b.home) != "fr" && b.home != "fr" {
		return false
	}
	big, ok := a.volume(u)
	small, ok2 := a.volume(unit{size: int64(250 * quantity.Millilitre)})
	if !ok || !ok2 || !b.pourable(big) {
		return false
	}
	b.alts, b.doubt, b.end = []meaning{b.volume(small), b.volume(big)}, i, end
	b.use(i, end)
	return true
}

// ounces reads ounces that may be of weight: with a volume said elsewhere they
// are, and before a botanical by itself they could be.
func (b *start) ounces(i, end int, a amount, u unit) bool {
	if !u.ounce || b.req.Solids != 0 || u.words[0] == "fl" || u.words[0] == "fluid" || u.words[0] == "floz" {
		return false
	}
	n, ok := a.times(int64(quantity.Ounce))
	if !ok || n <= 0 || n > int64(20*quantity.Kilogram) {
		return false
	}
	asMass := func(r *Request) { r.Solids = quantity.Mass(n) }
	switch {
	case b.poured() || b.pours():
		asMass(&b.req)
		b.use(i, end)
		return true
	case b.alts == nil && b.solidAt(end):
		v, ok := a.volume(u)
		if !ok {
			return false
		}
		b.alts, b.doubt, b.end = []meaning{asMass, b.volume(v)}, i, end
		b.use(i, end)
		return true
	}
	return false
}

// pours says that a volume stands elsewhere in the line, in another unit or as a
// number that can be nothing else.
func (b *start) pours() bool {
	for i := range b.toks {
		a, u, end, ok := b.measureAt(i)
		if ok && u.measure == ofVolume && !u.ounce {
			return true
		}
		if _, _, unit := b.unitAt(end); !ok && !unit && b.free(i) && b.toks[i].kind == number && a.atLeast(100) && a.atMost(5000) {
			return true
		}
	}
	return false
}

// solidAt says that a botanical and no liquid stands behind i.
func (b *start) solidAt(i int) bool {
	for b.is(i, linkWord|filler) {
		i++
	}
	solid := false
	for ; i < len(b.toks) && b.toks[i].kind == word && !b.toks[i].used; i++ {
		id := b.toks[i].known.id
		switch {
		case id < 0:
			return solid
		case len(b.index.liquids.with[id]) > 0 || len(b.index.recipes.with[id]) > 0 && !solid && len(b.index.solids.with[id]) == 0:
			return false
		}
		solid = solid || len(b.index.solids.with[id]) > 0
	}
	return solid
}

// doubts gives what a number without a unit could mean where the rules give
// nothing: degrees, grams, millilitres, seconds of rest, as far as they were not
// said yet.
func (b *start) doubts(a amount) []meaning {
	n, whole := a.plain().whole()
	if !whole || n < 2 || n > 2000 {
		return nil
	}
	var all []meaning
	add := func(as meaning) {
		if len(all) < maxOptions {
			all = append(all, as)
		}
	}
	degrees := func(m measure) {
		if t, ok := a.temperature(unit{measure: m}); ok && t <= 60*quantity.Celsius {
			add(func(r *Request) { r.Temp = &t })
		}
	}
	if b.req.Temp == nil && n >= 30 {
		degrees(ofCelsius)
		if b.book.House.Country == "US" {
			degrees(ofFahrenheit)
		}
	}
	if g, ok := a.mass(unit{size: int64(quantity.Gram)}); ok && b.req.Solids == 0 && n <= 800 {
		add(func(r *Request) { r.Solids = g })
	}
	if span, ok := spanOf(n); ok && b.req.Rest == 0 && b.poured() {
		add(func(r *Request) { r.Rest = span })
	}
	if v, ok := a.volume(unit{size: int64(quantity.Millilitre)}); ok && !b.poured() && n >= 20 {
		add(b.volume(v))
	}
	return all
}

// hourOrDegrees gives what a small bare number after "at" may be: the hour that
// the batch is wanted at, or the liquid's degrees.
func (b *start) hourOrDegrees(i, end int, a amount) []meaning {
	n, whole := a.plain().whole()
	if !b.is(i-1, atWord) || !whole || n < 1 || n > 12 || b.req.Serves != 0 || !b.req.For.IsZero() || b.req.Temp != nil {
		return nil
	}
	at := clockTime{h: int16(n)}.next(b.now, time.Time{}, false)
	degrees := quantity.Temperature(n) * quantity.Celsius
	return []meaning{func(r *Request) { r.For = at }, func(r *Request) { r.Temp = &degrees }}
}

// unseen reads a vessel told by what the reader cannot see, "in the red one": which
// it is, is asked.
func (b *start) unseen() {
	for i, t := range b.toks {
		if !b.free(i) || t.role&lookWord == 0 || len(b.vessels) > 0 || len(b.tags) == 0 {
			continue
		}
		from, end := i, i+1
		for from > 0 && b.free(from-1) && b.toks[from-1].role&filler != 0 && b.toks[from-1].role&place == 0 {
			from--
		}
		if end < len(b.toks) && (b.toks[end].text == "one" || b.is(end, vesselNoun)) {
			end++
		}
		if !b.is(from-1, place) || end < len(b.toks) && b.toks[end].known.id >= 0 && end == i+1 {
			continue
		}
		for _, one := range b.tags[:min(len(b.tags), maxOptions)] {
			b.vessels = append(b.vessels, tag{text: one.text, words: []string{t.text}, from: i})
		}
		b.use(from-1, end)
	}
}
