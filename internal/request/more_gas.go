package request

import "slices"

// mostChargers is more than anybody puts into one vessel; more is a slip.
const mostChargers = 20

// moreGas reads that chargers went in beyond the count: "I put 2 more in A by
// mistake", "used 3 not 2 on A", "an extra charger in A". Where a word of such a
// line was not understood it is asked, so that the gas does not get lost.
func (s *sentence) moreGas(hits []hit) (Reading, bool) {
	said := slices.ContainsFunc(hits, func(h hit) bool { return h.verb == MoreGas })
	if !said && s.roles&(putWord|chargerNoun) == 0 && !s.tellsMistake() || len(s.toks) > 2*maxTerms {
		return Reading{}, false
	}
	st := &step{sentence: s.copied(), req: Request{Verb: MoreGas}}
	var t tally
	if !st.tellsOfMore(&t) {
		return st.several(hits, t)
	}
	st.vessels, st.unclear = st.sentence.vessels(MoreGas)
	st.titled = st.sentence.titled()
	if i, ok := st.unknownVessel(); ok {
		return st.fail(UnknownVessel, i, i+1), true
	}
	if i, ok := st.unread(); ok {
		if st.toks[i].role&denial != 0 || st.toks[i].kind != word || len(st.open) == 0 && len(st.vessels) == 0 {
			return Reading{}, false
		}
		st.ask = true
	}
	st.ask = st.ask || s.asked
	return st.choose(), true
}

// tellsMistake says that something was too many, or done by mistake.
func (s *sentence) tellsMistake() bool {
	for i := range s.toks {
		if _, ok := s.phraseAt(i, mistaken); ok {
			return true
		}
	}
	return false
}

// several asks about "put 2 chargers in A" and "2 chargers in A", which may be two at once or all
// that are planned: so many in all, or the next one.
func (st *step) several(hits []hit, t tally) (Reading, bool) {
	n, whole := t.many.whole()
	if t.one && t.many.d == 0 {
		n, whole = 1, true
	}
	if len(hits) > 0 || !whole || n < 1 || !t.put && !t.charger || t.mistaken || t.further {
		return Reading{}, false
	}
	st.vessels, st.unclear = st.sentence.vessels(MoreGas)
	if !t.put && len(st.vessels) == 0 { // it may be told of the store
		return Reading{}, false
	}
	st.titled = st.sentence.titled()
	if _, more := st.unread(); more {
		return Reading{}, false
	}
	st.req.Chargers, st.req.InAll = int(n), true
	if n == 1 {
		st.req, st.ask = Request{Verb: Charged}, true
	}
	r := st.choose()
	if r.Request == nil || n == 1 {
		return r, true
	}
	return ask(WhichMeant, string(Charged), addOption(addOption(nil, *r.Request), Request{Verb: Charged, Vessel: r.Request.Vessel})), true
}

// copied gives the sentence with tokens of its own.
func (s *sentence) copied() *sentence {
	one := *s
	one.toks = slices.Clone(s.toks)
	return &one
}

// tally is what a line tells of chargers beyond the count.
type tally struct {
	put, charger bool   // something was put in; the word for it
	mistaken     bool   // "by mistake", "too many"
	further      bool   // "more"
	inAll        bool   // the number is of all that went in
	many         amount // the number, no denominator = none
	one          bool   // an article may count one
}

// tellsOfMore finds how many chargers went in and reads what says so.
func (st *step) tellsOfMore(t *tally) bool {
	for i := 0; i < len(st.toks); {
		end, ok := st.count(i, t)
		if !ok {
			return false
		}
		if st.req.Chargers < 0 { // a word that says it all
			st.req.Chargers = 0
			return true
		}
		i = max(end, i+1)
	}
	n, _ := t.many.whole()
	if n == 0 && (t.one || t.further) {
		n = 1
	}
	st.req.Chargers = int(n)
	switch {
	case t.inAll && n > 0 && (t.put || t.charger):
		st.req.InAll = true
	case t.mistaken && (t.put || t.charger):
	case t.mistaken && n > 0 && !st.verbal(): // "two too many in B" does not say of what
		st.ask = true
	case t.further && n > 1 && (t.put || t.charger):
	case t.further && t.put && !st.verbal(): // one more is the next one, and may be planned
		st.req.Verb, st.req.Chargers, st.ask = Charged, 0, true
	default:
		return false
	}
	return true
}

// verbal says that the line says another verb.
func (st *step) verbal() bool { return len(st.hits()) > 0 }

// count reads what stands at i into the tally, and gives the end of it. It
// fails on a number that cannot be a count of chargers.
func (st *step) count(i int, t *tally) (int, bool) {
	if !st.free(i) {
		return i, true
	}
	if h, ok := st.verbAt(i); ok && h.verb == MoreGas {
		st.useAll(h.toks)
		st.req.Chargers = -1
		return h.toks[len(h.toks)-1] + 1, true
	}
	for _, p := range []struct {
		is phraseKind
		to *bool
	}{{totalled, &t.inAll}, {mistaken, &t.mistaken}, {further, &t.further}} {
		if end, ok := st.phraseAt(i, p.is); ok {
			*p.to = true
			st.use(i, end)
			return end, true
		}
	}
	switch {
	case st.is(i, putWord):
		t.put = true
	case st.is(i, chargerNoun):
		t.charger = true
	default:
		return st.countOf(i, t)
	}
	st.use(i, i+1)
	return i + 1, true
}

// countOf reads a number into the tally.
func (st *step) countOf(i int, t *tally) (int, bool) {
	if text := st.toks[i].text; (text == "both" || text == "ambas" || text == "ambos") && st.is(i+1, chargerNoun) {
		t.many = amount{n: 2, d: 1}
		st.use(i, i+1)
		return i + 1, true
	}
	a, end, ok := st.numberAt(i)
	if !ok {
		if _, further := st.phraseAt(i+1, further); st.is(i, oneWord) && (further || st.is(i+1, chargerNoun|moreWord)) {
			t.one = true
		}
		return i, true
	}
	n, whole := a.whole()
	switch {
	case st.toks[i].kind == word && n == 1 && st.is(i, filler):
		t.one = true
		return end, true
	case !whole, n < 1, n > mostChargers, st.measured(end):
		return i, false
	case t.many.d != 0 && i > 0 && st.planned(i): // "3 not 2": the number before counts
		t.inAll = true
		st.use(i-1, end)
		return end, true
	case t.many.d != 0:
		return i, false
	}
	t.many = a
	st.use(i, end)
	return end, true
}

// measured says that a unit stands at i: what is before it is no count.
func (st *step) measured(i int) bool {
	_, end, ok := st.unitAt(i)
	return ok && !(end == i+1 && isTag(st.tags, st.toks[i].text))
}

// planned says that the number at i is what was planned: "not 2", "no 2".
func (st *step) planned(i int) bool {
	if st.is(i-1, denial) {
		return true
	}
	if i > 1 && slices.Contains([]string{"instead", "vez", "lugar", "lieu"}, st.toks[i-2].text) { // "instead of 2"
		st.use(i-2, i)
		return true
	}
	return false
}
