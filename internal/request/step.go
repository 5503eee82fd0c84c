package request

import (
	"slices"
	"time"
)

// The kitchen's words for the phases of a batch.
const (
	loading    = "loading"
	charging   = "charging"
	resting    = "resting"
	venting    = "venting"
	settling   = "settling"
	straining  = "straining"
	clearing   = "clearing"
	labelling  = "labelling"
	stored     = "stored"
	scrapped   = "scrapped"
	everything = ""
)

// KeptCharged is the phase of cream that is kept charged for service.
const KeptCharged = "kept charged"

// suits says which phases a verb suits: a batch in one of the first is meant
// before one in one of the others. Where a wrong guess would leave a vessel
// under pressure that counts as empty, or a charger uncounted, all that it could
// be stand in one list, so that two of them are asked about.
var suits = map[Verb][][]string{
	Charged:  {{loading, charging}, {resting, venting}}, // a charger too many must not get lost
	SetDown:  {{charging, resting}},
	Vented:   {{charging, resting, venting, KeptCharged}},
	Emptied:  {{KeptCharged}},
	Strained: {{settling, straining}, {venting, resting}}, // the kitchen asks whether it was vented
	Cleared:  {{clearing}, {settling, straining}},
	Labelled: {{labelling}, {clearing, settling, straining}},
	Washed:   {{clearing, labelling, stored, scrapped}},
	NoGas:    {{charging, resting, venting}},
	GasIn:    {{charging, resting, venting}, {loading}},
	More:     {{resting, venting}},
	Why:      {{loading, charging, resting, venting, settling, straining, clearing, labelling}, {everything}},
	Take:     {{loading, charging, resting, venting, settling, straining, clearing, labelling}, {everything}},
	Scrap:    {{loading, charging, resting, venting, settling, straining, clearing, labelling}, {everything}},
	Undo:     {{everything}},
	// Gas that went in must not get lost, wherever it went.
	MoreGas: {{charging, resting, venting}, {loading}},
	RestFor: {{loading, charging, resting}},
	Cooled:  {{settling, straining, clearing, labelling, stored, resting, venting}},
	// What was strained once is tasted whenever there is time for it.
	Taste:   {{stored}, {labelling, clearing, settling, straining}},
	Decline: {{venting}, {charging, resting}},
	Offer:   {{resting, venting}, {loading, charging, settling, straining, clearing, labelling}, {everything}},
	Pause:   {{loading, charging, resting, venting, settling, straining, clearing, labelling}, {everything}},
}

// takesTime says that a verb can be said late.
func takesTime(v Verb) bool {
	switch v {
	case Charged, SetDown, Vented, Strained, Cleared, Labelled, Washed, NoGas, GasIn, Scrap:
		return true
	}
	return false
}

// step is the reading of one line about a batch.
type step struct {
	*sentence
	req     Request
	ask     bool // the line is a question, or its verb is not plain
	vessels []tag
	unclear *tag
	titled  []Open
	// bare is what was strained, as a number without a unit or in ounces: whether
	// of volume or of weight, the batch says.
	bare *cameOut
	// Where the grams stand that pieces weighed.
	gramsFrom, gramsTo int
}

// step reads the line as one verb about a batch.
func (s *sentence) step(v Verb, ask bool) Reading {
	st := &step{sentence: s, req: Request{Verb: v}, ask: ask || s.asked || s.asks() || risky(v) && s.unsure()}
	if s.asks() { // "did A get vented"
		i := slices.IndexFunc(s.toks, func(t token) bool { return !t.used && t.text == "did" })
		if i >= 0 && !s.is(i+1, asker) {
			s.use(i, i+1)
		}
	}
	var m moment
	if takesTime(v) {
		m = s.when()
	}
	st.req.Done = m.at
	var fault *Problem
	if v == Strained {
		fault = st.cameOut()
	}
	if v == Strained || v == Cleared || v == Labelled { // where it was put: "in the fridge"
		for i := range st.toks {
			if _, end, ok := st.warmAt(i); ok {
				st.use(i, end)
			}
		}
	}
	st.vessels, st.unclear = s.vessels(v)
	for i := range s.toks {
		if v == NoGas && s.is(i, chargerNoun) {
			s.use(i, i+1)
		}
	}
	for i := range s.toks { // several at once are confirmed one by one
		switch s.toks[i].text {
		case "both", "everything", "ambos", "ambas", "todos", "todas", "tous", "toutes":
			if s.free(i) && (len(s.open) > 0 || len(st.vessels) > 1) {
				s.use(i, i+1)
				st.ask = true
			}
		}
	}
	st.titled = s.titled()
	switch {
	case m.code != "":
		st.req.Done = time.Time{}
		return st.fail(m.code, m.from, m.to)
	case fault != nil:
		fault.Example = st.example()
		return problem(*fault)
	}
	if i, ok := s.unknownVessel(); ok {
		return st.fail(UnknownVessel, i, i+1)
	}
	if st.looks() || v == Why { // whatever else it wonders about
		return st.choose()
	}
	if i, ok := s.unread(); ok {
		return st.notUnderstood(i)
	}
	return st.choose()
}

// unsure says that whoever speaks is not sure: what tells of gas is then asked.
func (s *sentence) unsure() bool {
	return slices.ContainsFunc(s.toks, func(t token) bool {
		switch t.text {
		case "think", "guess", "crois", "creo", "pense", "pienso":
			return true
		}
		return false
	})
}

// looks reads a vessel told by what the reader cannot see, "the red one", when
// all else was read: which it is, is asked.
func (st *step) looks() bool {
	i, ok := st.unread()
	if !ok || len(st.vessels) > 0 || st.toks[i].role&lookWord == 0 {
		return false
	}
	one := st.copied()
	one.use(i, i+1)
	if _, more := one.unread(); more {
		return false
	}
	st.use(i, i+1)
	st.ask = true
	return true
}

// asks says that the line begins like a question: "is A vented".
func (s *sentence) asks() bool {
	for i, t := range s.toks {
		if t.used || t.role&article != 0 {
			return false
		}
		if _, ok := s.phraseAt(i, anAsker); ok {
			return true
		}
		if t.role&greeting == 0 {
			return s.is(i, asker)
		}
	}
	return false
}

// titled gives the open batches that all the words which are left speak of, in
// any language: "vented the rhubarb gin". The words then count as read.
func (s *sentence) titled() []Open {
	var left []int
	for i, t := range s.toks {
		if !t.used && t.kind == word && (t.role&filler == 0 || t.name) {
			left = append(left, i)
		}
	}
	if len(left) == 0 {
		return nil
	}
	var all []Open
	for _, o := range s.open {
		words := s.wordsOf(o)
		title := texts(o.Title)
		if !slices.ContainsFunc(left, func(i int) bool {
			return !words[s.toks[i].known.id] && !slices.Contains(title, s.toks[i].text)
		}) {
			all = append(all, o)
		}
	}
	if len(all) > 0 {
		for _, i := range left {
			s.use(i, i+1)
		}
	}
	return all
}

// choose finds the vessel that is meant. One that was named is taken as it is:
// whether its batch bears the verb is the kitchen's matter.
func (st *step) choose() Reading {
	if len(st.vessels) > 1 {
		return st.which(st.vessels[1].text, st.vessels)
	}
	if len(st.vessels) == 1 {
		named := st.vessels[0]
		if len(st.titled) > 0 && !slices.ContainsFunc(st.titled, func(o Open) bool { return o.Vessel == named.text }) {
			return st.which(named.text, append([]tag{named}, st.vesselsOf(st.titled)...))
		}
		return st.in(named.text)
	}
	found := st.vesselsOf(st.weighed(st.candidates()))
	if st.req.Verb == Pause && len(found) > 1 { // nothing can be held: no need to ask which
		return understood(st.req)
	}
	if u := st.unclear; u != nil && !slices.ContainsFunc(found, func(t tag) bool { return t.text == u.text }) && len(found) > 0 {
		found = append(found, *u)
	}
	switch len(found) {
	case 0:
		if st.req.Verb == Pause {
			return understood(st.req)
		}
		if st.req.Verb == MoreGas && len(st.tags) > 0 { // gas must not get lost because nobody knows of the batch
			return st.which("", st.tags)
		}
		return problem(Problem{Code: NothingOpen, Example: st.instead(), Meant: st.req.Verb})
	case 1:
		return st.in(found[0].text)
	}
	return st.which("", found)
}

// candidates gives the open batches that could be meant, the speaker's own
// first.
func (st *step) candidates() []Open {
	if len(st.titled) > 0 {
		return mineFirst(st.titled)
	}
	for _, phases := range suits[st.req.Verb] {
		var all []Open
		for _, o := range st.open {
			if slices.Contains(phases, o.Phase) || slices.Contains(phases, everything) {
				all = append(all, o)
			}
		}
		if len(all) > 0 {
			return mineFirst(all)
		}
	}
	return nil
}

// mineFirst orders the batches so that the speaker's own come first.
func mineFirst(list []Open) []Open {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b Open) int {
		switch {
		case a.Mine == b.Mine:
			return 0
		case a.Mine:
			return -1
		}
		return 1
	})
	return list
}

// vesselsOf gives the vessels of open batches, each once.
func (st *step) vesselsOf(list []Open) []tag {
	var all []tag
	for _, o := range list {
		if o.Vessel != "" {
			all = distinct(all, tag{text: o.Vessel})
		}
	}
	return all
}

// in is the reading in the one vessel that is meant; a line that isn't plain is
// asked back, with the board as the other answer.
func (st *step) in(vessel string) Reading {
	if !st.weighs(vessel) {
		st.req.Solids = 0
		return st.fail(BadNumber, st.gramsFrom, st.gramsTo)
	}
	st.req = st.told(vessel)
	if !st.ask {
		return understood(st.req)
	}
	options := addOption(nil, st.req)
	if st.req.Verb == Labelled { // or what stands on it is wanted
		options = addOption(options, Request{Verb: Asks, Topic: TheLabel, Vessel: vessel})
	}
	return ask(WhichMeant, string(st.req.Verb), options)
}

// which asks which vessel is meant.
func (st *step) which(word string, tags []tag) Reading {
	var options []Option
	for _, t := range tags {
		if !st.weighs(t.text) {
			continue
		}
		r := st.told(t.text)
		before := len(options)
		if options = addOption(options, r); len(options) > before {
			options[before].Label = st.label(t.text)
		}
	}
	return ask(WhichVessel, word, options)
}

// label gives a vessel with what is in it.
func (st *step) label(vessel string) string {
	for _, o := range st.open {
		if o.Vessel == vessel && o.Title != "" {
			return vessel + " " + o.Title
		}
	}
	return vessel
}
