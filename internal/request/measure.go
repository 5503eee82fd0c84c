package request

import (
	"math"
	"time"

	"ventbell/internal/quantity"
)

// unitAt gives the unit that stands at i, the longest that fits, and the token
// after it.
func (s *sentence) unitAt(i int) (unit, int, bool) {
	if !s.free(i) {
		return unit{}, i, false
	}
	for _, u := range s.toks[i].known.units {
		if end, ok := s.follows(i, u.words); ok {
			return u, end, true
		}
	}
	return unit{}, i, false
}

// numberAt gives the number that stands at i, in digits or in a word, with "and
// a half" after it, and the token after it.
func (s *sentence) numberAt(i int) (amount, int, bool) {
	if !s.free(i) {
		return amount{}, i, false
	}
	t := s.toks[i]
	a, next := t.num, i+1
	switch {
	case t.kind == number:
		n, end, ok := s.multiplied(a, next)
		if ok {
			a, next = n, end
		}
	case t.kind == word && t.known.fraction.d != 0:
		return t.known.fraction, next, true
	default:
		n, end, ok := s.spelled(i)
		if !ok {
			return amount{}, i, false
		}
		a, next = n, end
	}
	if part, end, ok := s.partAt(next, a); ok { // "three quarters"
		return part, end, true
	}
	if end, ok := s.phraseAt(next, andHalf); ok {
		a, next = a.plus(amount{n: 1, d: 2}), end
	}
	return a, next, true
}

// measureAt gives a number with its unit: "500 ml", "half a litre", "a bottle".
// An "a" in it is an article, unless it stands where a vessel does: there
// "in A half a litre" says both.
func (s *sentence) measureAt(i int) (amount, unit, int, bool) {
	if s.asOne(i) && s.free(i+1) && s.toks[i+1].known.fraction.d != 0 {
		u, end, ok := s.unitAt(s.over(i + 2))
		if ok {
			return s.toks[i+1].known.fraction, u, end, true
		}
	}
	if a, next, ok := s.numberAt(i); ok {
		u, end, ok := s.unitAt(s.over(next))
		if !ok { // "four fifty mils"; of time it would be another thing
			hundreds, after := s.spoken(i, a, next)
			if u, end, ok := s.unitAt(after); ok && after > next && u.measure == ofVolume {
				return hundreds, u, end, true
			}
			return a, unit{}, next, false
		}
		if after, half := s.phraseAt(end, andHalf); half && u.wholes() {
			a, end = a.plus(amount{n: 1, d: 2}), after
		}
		return a, u, end, true
	}
	if !s.asOne(i) {
		return s.oneAt(i)
	}
	if u, end, ok := s.unitAt(i + 1); ok && len(s.toks[i+1].text) > 2 {
		if after, half := s.phraseAt(end, andHalf); half && u.wholes() {
			return amount{n: 3, d: 2}, u, after, true
		}
		return amount{n: 1, d: 1}, u, end, true
	}
	return amount{}, unit{}, i, false
}

// wholes says that halves are said of the unit: "a litre and a half".
func (u unit) wholes() bool {
	return u.measure == ofTime && u.size >= int64(time.Minute) || u.measure == ofVolume && u.size >= 100*int64(quantity.Millilitre) ||
		u.measure == ofMass && u.size >= 100*int64(quantity.Gram)
}

// oneAt reads a unit that means one of it without a number: "bottle of rum".
func (s *sentence) oneAt(i int) (amount, unit, int, bool) {
	if !s.is(i, aloneUnit) {
		return amount{}, unit{}, i, false
	}
	u, end, ok := s.unitAt(i)
	a := amount{n: 1, d: 1}
	if after, half := s.phraseAt(end, andHalf); ok && half && u.wholes() {
		a, end = amount{n: 3, d: 2}, after
	}
	return a, u, end, ok
}

// over passes over "a" and "of" between a number and its unit, if a unit
// follows: "half a bottle", "quarter of a litre".
func (s *sentence) over(i int) int {
	j := i
	for j < i+2 && s.is(j, linkWord) {
		j++
	}
	if _, _, ok := s.unitAt(j); ok {
		return j
	}
	return i
}

// text gives the text of a token, or nothing past the end.
func (s *sentence) text(i int) string {
	if i >= len(s.toks) {
		return ""
	}
	return s.toks[i].text
}

// asOne says that the token at i can be the article of a measure.
func (s *sentence) asOne(i int) bool {
	if !s.is(i, oneWord) {
		return false
	}
	t := s.toks[i]
	capital := t.capital && i > 0 && !s.loud
	return !t.colon && !capital
}

// spanAt gives the span of time that stands at i: "90 s", "2 min", "1 min 30",
// "1:30", and the token after it.
func (s *sentence) spanAt(i int) (time.Duration, int, bool) {
	if s.free(i) && s.toks[i].kind == clock {
		return s.toks[i].time.span(), i + 1, true
	}
	var sum time.Duration
	next, found := i, false
	for size := int64(math.MaxInt64); ; {
		a, u, end, ok := s.measureAt(next)
		if !ok || u.measure != ofTime || u.size >= size { // the bigger unit comes first
			return sum, next, found
		}
		size = u.size
		n, ok := a.times(u.size)
		if !ok || n > int64(1000*time.Hour) {
			n = int64(1000 * time.Hour)
		}
		sum, next, found = sum+time.Duration(n), end, true
		if seconds, ok := s.bareSeconds(next); ok && time.Duration(u.size) == time.Minute {
			return sum + seconds, next + 1, true
		}
	}
}

// bareSeconds reads the seconds of "1 min 30": a whole number below sixty
// without a unit of its own.
func (s *sentence) bareSeconds(i int) (time.Duration, bool) {
	if !s.free(i) || s.toks[i].kind != number {
		return 0, false
	}
	n, ok := s.toks[i].num.whole()
	_, _, unit := s.unitAt(i + 1)
	return time.Duration(n) * time.Second, ok && n > 0 && n < 60 && !unit && s.text(i+1) != "x"
}

// span gives a time with colons as a span: minutes and seconds, or hours,
// minutes and seconds.
func (c clockTime) span() time.Duration {
	if c.hours {
		return time.Duration(c.h)*time.Hour + time.Duration(c.m)*time.Minute
	}
	if c.seconds {
		return time.Duration(c.h)*time.Hour + time.Duration(c.m)*time.Minute + time.Duration(c.s)*time.Second
	}
	return time.Duration(c.h)*time.Minute + time.Duration(c.m)*time.Second
}

// mostLiquid is more than any kitchen fills in one go; more is a slip. Our own
// limit, not a safety figure: the plan holds those.
const mostLiquid = 20 * quantity.Litre

// volume gives an amount of a unit as a volume a kitchen can mean.
func (a amount) volume(u unit) (quantity.Volume, bool) {
	if u.thousands {
		a = a.plain()
	}
	n, ok := a.times(u.size)
	v := quantity.Volume(n)
	return v, ok && v >= quantity.Millilitre && v <= mostLiquid
}

// mass gives an amount of a unit as a mass of solids.
func (a amount) mass(u unit) (quantity.Mass, bool) {
	if u.thousands {
		a = a.plain()
	}
	n, ok := a.times(u.size)
	m := quantity.Mass(n)
	return m, ok && m > 0 && m <= 20*quantity.Kilogram
}

// The temperatures between which a liquid stays one here. What a recipe bears
// is the plan's matter.
const (
	coldest = -20 * quantity.Celsius
	hottest = 100 * quantity.Celsius
)

// temperature gives an amount of degrees as a temperature of a liquid.
func (a amount) temperature(u unit) (quantity.Temperature, bool) {
	n, ok := a.times(int64(quantity.Celsius))
	if u.measure == ofFahrenheit {
		// 0 °C is 32 °F and a degree Celsius is 9/5 of a degree Fahrenheit.
		n, ok = amount{n: 5 * (a.n - 32*a.d), d: 9 * a.d}.times(int64(quantity.Celsius))
	}
	t := quantity.Temperature(n)
	return t, ok && t >= coldest && t <= hottest
}

// warmAt gives the word for a temperature that stands at i, and the token
// after it.
func (s *sentence) warmAt(i int) (band, int, bool) {
	if i >= len(s.toks) || s.toks[i].used {
		return band{}, i, false
	}
	for _, w := range s.toks[i].known.bands {
		end := i + len(w.words)
		if end <= len(s.toks) && equalTexts(s.toks[i:end], w.words) {
			return w.band, end, true
		}
	}
	return band{}, i, false
}

func equalTexts(toks []token, words []string) bool {
	for k, w := range words {
		if toks[k].used || toks[k].text != w {
			return false
		}
	}
	return true
}
