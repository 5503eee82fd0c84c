package request

import "time"

// anyStart gives a line that starts something of the book.
func (s *sentence) anyStart() string {
	if len(s.book.Recipes) == 0 {
		return string(Help)
	}
	r := s.book.Recipes[0]
	return Request{Verb: Start, Recipe: r.Name, Volume: r.Batch}.String()
}

// anyLine gives a line that works now: about what is open, else a start.
func (s *sentence) anyLine() string {
	if len(s.open) > 0 {
		return string(Resting)
	}
	return s.anyStart()
}

// notRead is the problem with a line that was not understood, with two lines
// that work: what the line comes nearest to, else what works now.
func (s *sentence) notRead(word string, at int, example string) Reading {
	lines := s.nearLines()
	if example != "" {
		lines = append([]string{example}, lines...)
	}
	lines = append(lines, s.anyLine(), s.anyStart(), string(Resting), string(Help))
	p := Problem{Code: UnknownVerb, Word: word, Where: at, Example: lines[0]}
	for _, line := range lines {
		if line != p.Example {
			p.Another = line
			break
		}
	}
	return problem(p)
}

// nearLines gives lines that say what the words of a line come near to: a
// start of a recipe that shares one, then a verb. A line that says no to
// something gets none of a verb: it would say the contrary.
func (s *sentence) nearLines() []string {
	var lines []string
	if terms := s.subject(); len(terms) > 0 {
		if near := s.nearest(terms); len(near) > 0 {
			lines = append(lines, Request{Verb: Start, Recipe: s.book.Recipes[near[0]].Name}.String())
		}
	}
	for i, t := range s.toks {
		if t.role&denial != 0 {
			return append(lines, string(Help))
		}
		if t.role&chargerNoun != 0 {
			lines = append(lines, string(ChargersFor))
		}
		if t.kind != word || t.role&filler != 0 || i >= maxTerms {
			continue
		}
		if say, ok := s.nearVerb(t.text); ok {
			lines = append(lines, s.lineOf(say))
		}
	}
	return lines
}

// lineOf gives a line that says a verb.
func (s *sentence) lineOf(say saying) string {
	r := Request{Verb: say.verb, Topic: say.topic, Kind: say.kind}
	switch {
	case say.verb == Start:
		return s.anyStart()
	case looks(say.verb), say.verb == Again:
		return r.String()
	case len(s.tags) == 0, say.verb == MoreGas, say.verb == Charged, say.verb == GasIn: // gas is put into nobody's mouth
		return string(Resting)
	}
	r.Vessel = s.tags[0].text
	return r.String()
}

// fail is the problem with the tokens from i up to j of a step.
func (st *step) fail(code ProblemCode, i, j int) Reading {
	text, at := st.said(i, j)
	p := Problem{Code: code, Word: text, Where: at, Example: st.example()}
	if code == UnknownVessel {
		p.Names = st.tagNames()
	}
	if code == UnknownVerb {
		p.Another = string(Resting)
		if p.Example == p.Another {
			p.Another = string(Help)
		}
	}
	return problem(p)
}

// notUnderstood is the problem with a step in which a word was not understood.
func (st *step) notUnderstood(i int) Reading {
	code := UnknownVerb
	if len(st.open) == 0 && len(st.vessels) == 0 && st.toks[i].known.id >= 0 && st.toks[i].role == 0 && st.roles&denial == 0 { // a batch that isn't there
		return problem(Problem{Code: NothingOpen, Example: st.instead(), Meant: st.req.Verb})
	}
	if st.toks[i].kind == number || st.toks[i].kind == clock || st.toks[i].role&(looseAmount|foreignUnit) != 0 {
		code = BadNumber
	}
	return st.fail(code, i, i+1)
}

// example gives the line with what was understood of it. A line that says no to
// something gets no such example: it would say the contrary.
func (st *step) example() string {
	left := role(0)
	for _, t := range st.toks {
		if !t.used {
			left |= t.role
		}
	}
	switch {
	case left&(denial|asker) == asker && len(st.vessels) == 1: // what is asked of it, the board may tell
		return Request{Verb: Resting, Vessel: st.vessels[0].text}.String()
	case left&(denial|asker) != 0:
		return string(Help)
	}
	r := st.req
	found := st.vesselsOf(st.candidates())
	switch {
	case len(st.vessels) > 0:
		r.Vessel = st.vessels[0].text
	case len(found) > 0:
		r.Vessel = found[0].text
	case len(st.tags) > 0:
		r.Vessel = st.tags[0].text
	default:
		return st.instead()
	}
	if !st.weighs(r.Vessel) {
		r.Solids = 0
	}
	if r.Verb == More && r.Extra == 0 {
		r.Extra = 15 * time.Second
	}
	if r.Verb == MoreGas || r.Verb == NoGas || r.Verb == RestFor { // gas is put into nobody's mouth, nor taken out of it
		return string(Help)
	}
	return r.String()
}

// instead gives a line for when nothing is open that the verb suits.
func (st *step) instead() string {
	if st.req.Verb == Washed && len(st.tags) > 0 {
		return Request{Verb: Washed, Vessel: st.tags[0].text}.String()
	}
	return st.anyLine()
}
