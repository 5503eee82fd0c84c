package glass

import (
	"math"
	"slices"

	"ventbell/internal/quantity"
)

// amount is how much of a part is said.
type amount struct {
	value float64
	ml    float64 // of one of its unit; ounces for an ounce
	unit  bool    // a unit is said; without one it is millilitres, or as the house pours
	// fraction and thousand are of the number, as it was written.
	fraction bool
	thousand bool
	said     bool
}

// amountAt reads the amount that stands at i and gives the token after it.
func amountAt(toks []token, i int) (amount, int, bool) {
	a := amount{said: true}
	next := i + 1
	switch t := toks[i]; {
	case t.kind == number:
		a.value, a.fraction, a.thousand = t.value, t.fraction, t.thousand
	case t.kind == word && counts[t.text] > 0:
		a.value = counts[t.text]
		if next < len(toks) && (toks[next].text == "a" || toks[next].text == "an") {
			next++
		}
		if _, end := unitAt(toks, next); end == next {
			return amount{}, i, false
		}
	default:
		return amount{}, i, false
	}
	ml, end := unitAt(toks, next)
	if a.unit = end > next; a.unit {
		a.ml = ml
	}
	return a, end, true
}

// unitAt reads the unit that stands at i and gives the token after it.
func unitAt(toks []token, i int) (float64, int) {
	if i < len(toks) && (toks[i].text == "fl" || toks[i].text == "fluid") {
		if ml, end := unitAt(toks, i+1); end > i+1 && ml == ounces {
			return ml, end
		}
	}
	if i < len(toks) && toks[i].kind == word {
		if ml, ok := units[toks[i].text]; ok {
			return ml, i + 1
		}
	}
	return 0, i
}

// said is one way to read a part: an amount and the tokens of its name.
type said struct {
	amount
	name []token
}

// ways gives the ways to read a part: its amount before its name, after it, or
// not said.
func ways(toks []token) []said {
	var all []said
	if a, next, ok := amountAt(toks, 0); ok && next < len(toks) {
		all = append(all, said{a, toks[next:]})
	}
	for i := len(toks) - 1; i > 0 && i >= len(toks)-3; i-- {
		if a, next, ok := amountAt(toks, i); ok && next == len(toks) {
			all = append(all, said{a, toks[:i]})
			break
		}
	}
	return append(all, said{name: toks})
}

// exact reads a part whose name is said in full.
func (r *reader) exact(toks []token) (measured, bool) {
	for _, w := range ways(toks) {
		words := texts(w.name)
		for _, n := range r.names {
			if len(words) > 0 && slices.Equal(n.words, words) {
				return measured{named: n, amount: w.amount, stated: strengthIn(w.name)}, true
			}
		}
	}
	return measured{}, false
}

// strengthIn gives the percentage beside a name.
func strengthIn(toks []token) *float64 {
	for _, t := range toks {
		if t.kind == percent {
			return &t.value
		}
	}
	return nil
}

func (m measured) typed(line string, toks []token) measured {
	m.text = typed(line, toks)
	return m
}

// part reads one part. What cannot be found still stands as its nearest name,
// for the example.
func (r *reader) part(line string, toks []token) {
	if len(r.poured) > mostParts { // told at the end
		return
	}
	if m, ok := r.exact(toks); ok {
		r.poured = append(r.poured, m.typed(line, toks))
		return
	}
	var first *Problem
	var stand measured
	for _, w := range ways(toks) {
		bare := slices.DeleteFunc(slices.Clone(w.name), func(t token) bool { return t.kind == word && asides[t.text] })
		words := texts(bare)
		if !slices.ContainsFunc(bare, func(t token) bool { return t.kind == word }) {
			continue
		}
		n, p := find(r.names, words)
		m := measured{named: n, amount: w.amount, stated: strengthIn(w.name)}
		if p == nil {
			r.poured = append(r.poured, m.typed(line, toks))
			return
		}
		if first == nil {
			p.Word = typed(line, bare)
			first, stand = p, m
			if len(p.Names) > 0 {
				stand.named = r.called(p.Names[0])
			}
		}
	}
	and := slices.IndexFunc(toks, func(t token) bool { return t.text == "and" })
	switch {
	case and > 0 && and+1 < len(toks): // "gin and tonic": two parts, one without its volume
		r.part(line, toks[:and])
		r.part(line, toks[and+1:])
		return
	case first == nil:
		first = &Problem{Code: UnknownPart, Word: typed(line, toks)}
	case len(first.Names) > 0:
		r.poured = append(r.poured, stand.typed(line, toks))
	}
	r.fail(*first)
}

// called gives what has the title.
func (r *reader) called(title string) named {
	for _, n := range r.names {
		if n.title() == title {
			return n
		}
	}
	return named{}
}

// measure turns the amounts into volumes. Numbers without a unit are
// millilitres; where the house is American or writes them as fractions, and
// all of them are small, they are ounces.
func (r *reader) measure() {
	bare := 1.0
	if r.poursOunces() {
		bare = ounceIn(r.book.House.Country)
	}
	for i := range r.poured {
		m := &r.poured[i]
		size := bare
		switch {
		case m.unit && m.ml == ounces:
			size = ounceIn(r.book.House.Country)
		case m.unit:
			size = m.ml
		case m.byPiece():
			size = whiteOfAnEgg
		}
		if m.thousand && size <= 10 {
			size *= 1000
		}
		if !m.said {
			if !m.byPiece() {
				r.fail(Problem{Code: HowMuch, Word: m.text})
				continue
			}
			m.value = 1
		}
		m.volume = volumeOf(m.value * size)
		if !pourable(m.volume) {
			r.fail(Problem{Code: BadVolume, Word: m.text})
		}
		if m.stated != nil && !isStrength(*m.stated) {
			r.fail(Problem{Code: BadStrength, Word: m.text})
		}
	}
}

// byPiece reports whether a part without a unit is counted: egg whites.
func (m measured) byPiece() bool {
	return m.own != nil && m.own.name == eggWhite && !m.unit && m.value < smallBare
}

func (r *reader) poursOunces() bool {
	some, small, fraction := false, true, false
	for _, m := range r.poured {
		if m.said && !m.unit && !m.byPiece() {
			some = true
			small = small && m.value < smallBare
			fraction = fraction || m.fraction
		}
	}
	return some && small && (fraction || r.book.House.Country == "US")
}

// volumeOf rounds millilitres to the microlitre; what is beyond any kitchen
// gives more than the most.
func volumeOf(ml float64) quantity.Volume {
	ul := math.Round(ml * float64(quantity.Millilitre))
	if !(math.Abs(ul) <= float64(mostPart)) {
		return mostPart + 1
	}
	return quantity.Volume(ul)
}

func isStrength(percent float64) bool { return percent >= 0 && percent <= 100 }

func pourable(v quantity.Volume) bool { return v >= leastPart && v <= mostPart }
