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

// fail is the problem with the tokens from i up to j of a step.
func (st *step) fail(code ProblemCode, i, j int) Reading {
	text, at := st.said(i, j)
	p := Problem{Code: code, Word: text, Where: at, Example: st.example()}
	if code == UnknownVessel {
		p.Names = st.tagNames()
	}
	return problem(p)
}

// notUnderstood is the problem with a step in which a word was not understood.
func (st *step) notUnderstood(i int) Reading {
	code := UnknownVerb
	if st.toks[i].kind == number || st.toks[i].kind == clock || st.toks[i].role&(looseAmount|foreignUnit) != 0 {
		code = BadNumber
	}
	return st.fail(code, i, i+1)
}

// example gives the line with what was understood of it. A line that says no to
// something gets no such example: it would say the contrary.
func (st *step) example() string {
	for _, t := range st.toks {
		if t.role&(denial|asker) != 0 && !t.used {
			return string(Help)
		}
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
	if r.Verb == More && r.Extra == 0 {
		r.Extra = 15 * time.Second
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
