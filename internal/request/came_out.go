package request

import (
	"slices"

	"ventbell/internal/quantity"
)

// cameOut is an amount that came out of a vessel, as it is meant of a liquid and
// of pieces that are weighed; 0 = not so.
type cameOut struct {
	volume quantity.Volume
	mass   quantity.Mass
}

// cameOut reads what was strained: a volume, and what pieces that are kept weigh.
// Anything else that is measured has no meaning here.
func (st *step) cameOut() *Problem {
	for i := range st.toks {
		a, u, end, ok := st.measureAt(i)
		if ok && (st.toks[end-1].kind == sign || u.measure != ofVolume && isTag(st.tags, st.toks[end-1].text)) {
			ok = false // a quotation mark, or a vessel ("345 C")
		}
		either := ok && u.ounce && u.words[0] != "fl" && u.words[0] != "fluid" && u.words[0] != "floz"
		if !ok {
			if a, end, ok = st.numberAt(i); !ok || st.toks[i].kind != number && !a.atLeast(100) {
				continue
			}
			u, either = bareUnit(a), true
		}
		if code := st.tell(a, u, either); code != "" {
			text, at := st.said(i, end)
			return &Problem{Code: code, Word: text, Where: at}
		}
		if u.measure == ofMass {
			st.gramsFrom, st.gramsTo = i, end
		}
		st.use(i, end)
	}
	return nil
}

// tell takes one amount that came out; either says that its batch decides of
// what it is. It gives the problem with it, if there is one.
func (st *step) tell(a amount, u unit, either bool) ProblemCode {
	v, fits := a.volume(u)
	m, weighs := a.mass(u)
	if either {
		m, weighs = a.mass(weightUnit(a, u))
	}
	switch told := st.req.Volume != 0 || st.req.Solids != 0 || st.bare != nil; {
	case u.measure == ofMass && weighs && st.req.Solids == 0 && st.bare == nil:
		st.req.Solids = m
	case u.measure != ofVolume, either && told, st.req.Volume != 0, st.bare != nil:
		return BadNumber
	case !fits:
		return BadVolume
	case either && weighs:
		st.bare = &cameOut{volume: v, mass: m}
	default:
		st.req.Volume = v
	}
	return ""
}

// bareUnit gives the unit that a bare number means as a yield: ten and more are
// millilitres, up to three are litres.
func bareUnit(a amount) unit {
	switch {
	case a.atLeast(10):
		return unit{measure: ofVolume, size: int64(quantity.Millilitre), thousands: true}
	case a.atMost(3):
		return unit{measure: ofVolume, size: int64(quantity.Litre)}
	}
	return unit{}
}

// weightUnit gives the unit of the same amount of pieces: ounces are of weight,
// millilitres are grams and litres kilograms.
func weightUnit(a amount, u unit) unit {
	switch {
	case u.ounce:
		return unit{measure: ofMass, size: int64(quantity.Ounce)}
	case a.atLeast(10):
		return unit{measure: ofMass, size: int64(quantity.Gram), thousands: true}
	}
	return unit{measure: ofMass, size: int64(quantity.Kilogram)}
}

// told gives the request in a vessel, with what came out as its batch has it.
func (st *step) told(vessel string) Request {
	r := st.req
	r.Vessel = vessel
	switch o, known := st.openIn(vessel); {
	case st.bare == nil:
	case known && o.Weighed:
		r.Solids = st.bare.mass
	default:
		r.Volume = st.bare.volume
	}
	return r
}

// tellsYield says that with a verb it may be told what came out.
func tellsYield(v Verb) bool { return v == Strained || v == Taste }

// weighs says that what was said of a vessel fits its batch: grams are those of
// pieces that are kept. Of an unknown batch everything fits.
func (st *step) weighs(vessel string) bool {
	o, known := st.openIn(vessel)
	return !tellsYield(st.req.Verb) || st.req.Solids == 0 || !known || o.Weighed
}

// weighed gives those of a list that grams can be said of, if any.
func (st *step) weighed(list []Open) []Open {
	fit := slices.DeleteFunc(slices.Clone(list), func(o Open) bool { return !o.Weighed })
	if !tellsYield(st.req.Verb) || st.req.Solids == 0 || len(fit) == 0 {
		return list
	}
	return fit
}

// openIn gives the batch that a verb means in a vessel: the first that it suits.
func (st *step) openIn(vessel string) (Open, bool) {
	for _, phases := range append(slices.Clone(suits[st.req.Verb]), []string{everything}) {
		for _, o := range st.open {
			if o.Vessel == vessel && (slices.Contains(phases, o.Phase) || slices.Contains(phases, everything)) {
				return o, true
			}
		}
	}
	return Open{}, false
}
