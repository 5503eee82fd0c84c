package request

import (
	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// says reads the phrases that ask for something by themselves: "as class".
func (b *start) says(is phraseKind, asked *bool) {
	for i := range b.toks {
		if end, ok := b.phraseAt(i, is); ok {
			*asked = true
			b.use(i, end)
		}
	}
}

// counts reads how many vessels are wanted, "x2", "2x", "two vessels", and how
// many serves.
func (b *start) counts() {
	for i := range b.toks {
		switch {
		case b.free(i) && b.toks[i].kind == word && b.toks[i].text == "x":
			if from, to, n, ok := b.times(i); ok {
				b.count(from, to, n)
			}
		case b.free(i):
			n, end, ok := b.numberAt(i)
			switch {
			case !ok:
			case b.is(end, chargerNoun):
				b.fail(BadNumber, i, end+1)
			case b.is(end, serveNoun):
				b.serves(i, end+1, n)
			case b.is(end, vesselNoun) && b.toks[end].role&runNoun == 0 && b.numbered(end+1): // "400 times two"
				if times, after, ok := b.numberAt(end + 1); ok {
					b.count(end, after, times)
				}
			case b.is(end, vesselNoun) && !b.namesTag(end):
				b.count(i, end+1, n)
			}
		}
	}
}

// numbered says that a number without a unit ends the line at i.
func (b *start) numbered(i int) bool {
	_, end, ok := b.numberAt(i)
	return ok && end == len(b.toks)
}

// times reads the number that belongs to the "x" at i. A number glued to it
// goes first; a number with a unit after it is an amount and no count.
func (b *start) times(i int) (from, to int, n amount, ok bool) {
	number := func(k int) bool { return b.free(k) && b.toks[k].kind == number }
	_, _, measured := b.unitAt(i + 2)
	after := number(i+1) && (!measured || b.toks[i+1].glued && !number(i-1))
	before := number(i - 1)
	if after && before {
		gluedBefore, gluedAfter := b.toks[i].glued, b.toks[i+1].glued
		before = gluedBefore && !gluedAfter || gluedBefore == gluedAfter && b.toks[i-1].num.atMost(mostVessels)
		after = !before
	}
	switch {
	case after:
		return i, i + 2, b.toks[i+1].num, true
	case before:
		return i - 1, i + 1, b.toks[i-1].num, true
	}
	return 0, 0, amount{}, false
}

// namesTag says that the noun at i introduces a vessel: "400 vessel A".
func (b *start) namesTag(i int) bool { return i+1 < len(b.toks) && b.toks[i+1].tag }

// mostVessels is more than any kitchen has; more is a slip.
const mostVessels = 20

func (b *start) count(from, to int, a amount) {
	n, whole := a.whole()
	switch {
	case b.is(to, chargerNoun): // chargers follow from the plan, never from a line
		b.fail(BadNumber, from, to+1)
	case !whole, n < 1, n > mostVessels, b.req.Count != 0:
		b.fail(BadCount, from, to)
	default:
		b.req.Count = int(n)
		b.use(from, to)
	}
}

// The most serves that one line can mean, and the biggest serve; more is a slip.
const (
	mostServes = 2000
	mostServe  = 500 * quantity.Millilitre
)

func (b *start) serves(from, to int, a amount) {
	n, whole := a.whole()
	if !whole || n < 1 || n > mostServes || b.req.Serves != 0 {
		b.fail(BadCount, from, to)
		return
	}
	b.req.Serves = int(n)
	b.use(from, to)
}

// volume gives what a volume means: the liquid, or where serves are counted the
// size of one.
func (b *start) volume(v quantity.Volume) meaning {
	if b.req.Serves != 0 {
		return func(r *Request) { r.Serve = v }
	}
	return func(r *Request) { r.Volume = v }
}

// pourable says that a volume can be what is meant: a serve is a small thing.
func (b *start) pourable(v quantity.Volume) bool { return b.req.Serves == 0 || v <= mostServe }

// poured says that a volume of either kind was said.
func (b *start) poured() bool { return b.req.Volume != 0 || b.req.Serve != 0 }

// measures reads the amounts that have a unit.
func (b *start) measures() {
	for i := range b.toks {
		a, u, end, ok := b.measureAt(i)
		if !ok && b.quarter(i) || !ok || u.measure == ofTime {
			continue
		}
		if u.measure == ofVolume && (b.quart(i, end, a, u) || b.ounces(i, end, a, u)) {
			continue
		}
		set, fits := b.measured(a, u)
		if b.letterIsTag(i, end) {
			if bare := len(b.meanings(i, end-1, a)) == 1; fits && bare && b.either < 0 {
				b.either = i
				b.use(i, end)
				continue
			}
			if !fits { // the letter is the vessel
				continue
			}
		}
		if !fits {
			b.fail(b.badMeasure(u), i, end)
			continue
		}
		set(&b.req)
		b.useAt(i, end)
	}
}

// useAt uses the tokens from i up to end and the "at" before them: "40 serves at
// 50 ml".
func (b *start) useAt(i, end int) {
	if b.is(i-1, atWord) {
		i--
	}
	b.use(i, end)
}

// measured gives what an amount with a unit means. It fails when the amount is
// beyond a kitchen's, or such an amount was said already.
func (b *start) measured(a amount, u unit) (meaning, bool) {
	switch u.measure {
	case ofVolume:
		v, ok := a.volume(u)
		return b.volume(v), ok && !b.poured() && b.pourable(v)
	case ofMass:
		m, ok := a.mass(u)
		return func(r *Request) { r.Solids = m }, ok && b.req.Solids == 0
	case ofCelsius, ofFahrenheit:
		t, ok := a.temperature(u)
		return func(r *Request) { r.Temp = &t }, ok && b.req.Temp == nil
	}
	return nil, false
}

// badMeasure gives the problem with an amount that doesn't fit.
func (b *start) badMeasure(u unit) ProblemCode {
	switch {
	case u.measure == ofVolume && !b.poured():
		return BadVolume
	case u.measure == ofCelsius || u.measure == ofFahrenheit:
		return BadTemperature
	}
	return BadNumber
}

// letterIsTag says that the unit of the amount from i up to end is a letter by
// itself that is a vessel's tag as well: "50 C", but not "50C".
func (b *start) letterIsTag(i, end int) bool {
	t := b.toks[end-1]
	return end == i+2 && !t.glued && t.kind == word && len(t.text) == 1 && isTag(b.tags, t.text)
}

// meanings gives what a number without a unit can mean, in the token from i up
// to end: 50 and from 100 on are millilitres, for grams are said as such; up to 3
// are litres; a serve is 10 to 250 ml. But 2 or 3 could count vessels, unless the
// liquid follows at once. Common practice, no source.
func (b *start) meanings(i, end int, a amount) []meaning {
	ml := unit{size: int64(quantity.Millilitre), thousands: true}
	litres := unit{size: int64(quantity.Litre)}
	volume := func(u unit) meaning {
		v, _ := a.volume(u)
		return b.volume(v)
	}
	n, whole := a.plain().whole()
	switch p := a.plain(); {
	case b.req.Serves != 0 && p.atLeast(10) && p.atMost(250):
		return []meaning{volume(ml)}
	case b.req.Serves != 0:
		return nil
	case b.book.House.Country == "US" && whole && b.req.Solids == 0 && (n == 8 || n == 16 || n == 24 || n == 32):
		return []meaning{volume(unit{size: int64(quantity.USFluidOunce)})}
	case whole && n == 50, p.atLeast(100) && p.atMost(5000):
		return []meaning{volume(ml)}
	case (n == 2 || n == 3) && whole && b.req.Count == 0 && (b.toks[i].kind == word || !b.liquidAt(end)): // nobody says "two gin" of litres
		return []meaning{volume(litres), func(r *Request) { r.Count = int(n) }}
	}
	if v, ok := a.volume(litres); ok && v <= 3*quantity.Litre {
		return []meaning{volume(litres)}
	}
	return nil
}

// liquidAt says that the token at i is a liquid's name.
func (b *start) liquidAt(i int) bool {
	if i >= len(b.toks) {
		return false
	}
	_, ok := b.book.Liquid(b.toks[i].text)
	return ok
}

// bareNumbers reads the numbers that are left. One of them may be the volume;
// every other number has no meaning here and is never passed over.
func (b *start) bareNumbers() {
	for i := range b.toks {
		if b.is(i, foreignUnit) || b.is(i, looseAmount) && b.toks[i].known.fraction.d == 0 || b.free(i) && (b.toks[i].kind == clock || b.toks[i].kind == date) {
			b.fail(BadNumber, i, i+1)
			continue
		}
		a, end, ok := b.numberAt(i)
		if !ok || b.toks[i].kind == word && end == i+1 && a == (amount{n: 1, d: 1}) { // "one" may be anything
			continue
		}
		a, end = b.spoken(i, a, end)
		if tail := b.tail(end); tail > end {
			b.fail(BadNumber, i, tail)
			continue
		}
		all := b.meanings(i, end, a)
		if told := b.hourOrDegrees(i, end, a); told != nil {
			all = told
			if b.alts == nil {
				b.alts, b.doubt, b.end = told, i, end
				b.useAt(i, end)
				continue
			}
		}
		if len(all) == 0 || b.poured() {
			all = nil
			if !b.ranged(i, end) && b.req.Serves == 0 {
				all = b.doubts(a)
			}
			if len(all) == 1 { // too little to go by
				all = nil
			}
		}
		switch {
		case b.alts != nil, len(all) == 0, b.poured() && b.req.Serves != 0:
			b.fail(BadNumber, i, end)
			continue
		case len(all) == 1:
			all[0](&b.req)
			b.bare, b.bareTo = i, end
		default:
			b.alts, b.doubt, b.end = all, i, end
		}
		b.useAt(i, end)
	}
}

// spoken reads hundreds as they are said: "two fifty".
func (s *sentence) spoken(i int, a amount, end int) (amount, int) {
	n, whole := a.whole()
	tens, next, ok := s.numberAt(end)
	if !whole || n < 1 || n > 9 || !ok || s.toks[i].kind != word || s.toks[end].kind != word || !tens.atLeast(10) || !tens.atMost(99) {
		return a, end
	}
	return amount{n: n*100 + tens.n, d: 1}, next
}

// solidKept settles what a number without a unit measures once the recipe is
// known: where the pieces are kept it could as well be their grams.
func (b *start) solidKept(all []choice) {
	if b.bareTo == 0 || b.alts != nil || len(all) != 1 || b.req.Solids != 0 || b.req.Volume == 0 {
		return
	}
	own, _ := b.book.Recipe(all[0].req.Recipe)
	v := b.req.Volume
	g := quantity.Mass(v/quantity.Millilitre) * quantity.Gram
	if own.Product != book.SolidKept || v > quantity.Litre || g == 0 {
		return
	}
	all[0].req.Volume = 0
	b.alts = []meaning{func(r *Request) { r.Solids = g }, func(r *Request) { r.Volume = v }}
	b.doubt, b.end = b.bare, b.bareTo
}

// ranged says that the number from i up to end is half of a range ("250-300")
// or belongs to a vessel's letter ("300 C"): then it means nothing here.
func (b *start) ranged(i, end int) bool {
	dash := func(k int) bool { return k > 0 && k < len(b.toks) && b.src[b.toks[k-1].end:b.toks[k].at] == "-" }
	or := func(k int) bool { return k > 0 && k < len(b.toks) && b.toks[k].role&eitherWord != 0 }
	return dash(i) || dash(end) || or(i-1) || or(end) || end < len(b.toks) && b.toks[end].used && isTag(b.tags, b.toks[end].text) && len(b.toks[end].known.units) > 0
}

// tail gives the end of what belongs to a number and is no unit of a volume: a
// percent sign, a foreign unit, a time, a word glued to it.
func (b *start) tail(i int) int {
	if !b.free(i) {
		return i
	}
	t := b.toks[i]
	if u, end, ok := b.unitAt(i); ok && u.measure == ofTime && t.kind == word {
		return end
	}
	known := t.known.id >= 0
	switch {
	case t.text == "%", t.role&(foreignUnit|chargerNoun) != 0:
		return i + 1
	case t.glued && t.kind == word && !known && t.text != "x":
		return i + 1
	}
	return i
}

// eitherWay settles "50 C". If a volume or a vessel is said elsewhere it is the
// temperature, else it has two meanings.
func (b *start) eitherWay() {
	if b.either < 0 {
		return
	}
	i := b.either
	t := b.toks[i+1]
	u := t.known.units[len(t.known.units)-1]
	asUnit, ok := b.measured(b.toks[i].num, u)
	if !ok || b.alts != nil {
		b.fail(BadNumber, i, i+2)
		return
	}
	if b.poured() || len(b.vessels) > 0 {
		asUnit(&b.req)
		return
	}
	vessel := b.tagOf(t.text)
	asVolume := b.meanings(i, i+1, b.toks[i].num)[0]
	b.doubt, b.end = i, i+2
	b.alts = []meaning{asUnit, func(r *Request) {
		asVolume(r)
		r.Vessel = vessel.text
	}}
}
