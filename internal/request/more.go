package request

import (
	"slices"
	"time"
)

// mostExtra is how much longer a rest can be asked to be in one go. More is a
// slip; what the recipe bears is the kitchen's matter.
const mostExtra = time.Hour

// longer reads "+15 s", "15 s more" and "add 2 min to the tea": a longer rest. It
// says whether the line is one at all.
func (s *sentence) longer() (Reading, bool) {
	// A word for more may be a start as well: "dale 2 min mas".
	plus := slices.IndexFunc(s.toks, func(t token) bool { return t.kind == sign && t.text == "+" })
	asked := slices.IndexFunc(s.toks, func(t token) bool { return t.role&moreWord != 0 && !t.name })
	if plus < 0 && asked < 0 {
		return Reading{}, false
	}
	one := *s
	one.toks = slices.DeleteFunc(slices.Clone(s.toks), func(t token) bool {
		return t.role&moreWord != 0 && !t.name || t.role&restWord != 0 && asked >= 0 // "rest 2 more min"
	})
	for i := range one.toks {
		if plus >= 0 && (i == 0 || one.toks[i-1].text != "+") {
			continue
		}
		if span, end, ok := one.spanAt(i); ok {
			return one.byMore(span, i, end), true
		}
		if u, end, ok := one.unitAt(i); ok && u.measure == ofTime && len(one.toks[i].text) > 2 && asked >= 0 { // "another minute"
			return one.byMore(time.Duration(u.size), i, end), true
		}
		// A bare number is asked about where a plus stands. After "more" it could
		// be chargers, and no word is put into anybody's mouth about those.
		if n, end, ok := one.bare(i); ok && plus >= 0 {
			return one.unitOfMore(n, i, end), true
		} else if ok {
			return one.timeOrGas(n, i, end), true
		}
	}
	return Reading{}, false
}

// byMore reads the rest of a line that asks for a span more.
func (s *sentence) byMore(span time.Duration, from, to int) Reading {
	st := &step{sentence: s, req: Request{Verb: More, Extra: span.Round(time.Second)}, ask: s.asked}
	s.use(from, to)
	st.vessels, st.unclear = s.vessels(More)
	st.titled = s.titled()
	if st.req.Extra < time.Second || st.req.Extra > mostExtra {
		st.req.Extra = 0
		return st.fail(BadRest, from, to)
	}
	if i, ok := s.unknownVessel(); ok {
		return st.fail(UnknownVessel, i, i+1)
	}
	if i, ok := s.unread(); ok {
		return st.notUnderstood(i)
	}
	return st.choose()
}

// bare reads a whole number without a unit.
func (s *sentence) bare(i int) (int64, int, bool) {
	if !s.free(i) || s.toks[i].kind == word && s.toks[i].role&filler != 0 {
		return 0, i, false
	}
	a, end, ok := s.numberAt(i)
	n, whole := a.whole()
	return n, end, ok && whole && n > 0 && n <= int64(mostExtra/time.Minute)
}

// unitOfMore reads a bare number after a plus: few are minutes and many are
// seconds, as in the place of a rest. Between them it is asked.
func (s *sentence) unitOfMore(n int64, i, end int) Reading {
	switch {
	case n <= mostMinutes:
		return s.byMore(time.Duration(n)*time.Minute, i, end)
	case n >= fewestSeconds:
		return s.byMore(time.Duration(n)*time.Second, i, end)
	}
	return s.either(i, end, func(one *sentence) Reading { return one.byMore(time.Duration(n)*time.Minute, i, end) },
		func(one *sentence) Reading { return one.byMore(time.Duration(n)*time.Second, i, end) })
}

// What a bare number after a plus is: up to so many are minutes, from so many on
// seconds. Common practice, no source.
const (
	mostMinutes   = 5
	fewestSeconds = 20
)

// timeOrGas asks about "2 more in A": it could be minutes, and it could be
// chargers.
func (s *sentence) timeOrGas(n int64, i, end int) Reading {
	if n >= fewestSeconds { // nobody puts in so many chargers
		return s.byMore(time.Duration(n)*time.Second, i, end)
	}
	span := time.Duration(n) * time.Minute
	gas := func(one *sentence) Reading {
		st := &step{sentence: one, req: Request{Verb: MoreGas, Chargers: int(min(n, mostChargers))}}
		one.use(i, end)
		st.vessels, st.unclear = one.vessels(MoreGas)
		st.titled = one.titled()
		return st.choose()
	}
	return s.either(i, end, func(one *sentence) Reading { return one.byMore(span, i, end) }, gas)
}

// either asks which of two readings of a number is meant. A question in one of
// them would be a second one: then the number is at fault.
func (s *sentence) either(i, end int, readings ...func(*sentence) Reading) Reading {
	var options []Option
	text, at := s.said(i, end)
	for _, read := range readings {
		r := read(s.copied())
		switch {
		case r.Problem != nil:
			return r
		case r.Question != nil: // one question at most
			return problem(Problem{Code: BadNumber, Word: text, Where: at, Example: r.Question.Options[0].Line})
		}
		options = addOption(options, *r.Request)
	}
	return ask(WhichMeant, text, options)
}

// longerByStart reads a longer rest of which the verb could start a batch as
// well: "dale 2 min más al chile".
func (s *sentence) longerByStart(hits []hit) (Reading, bool) {
	if len(hits) == 0 || s.roles&moreWord == 0 || slices.ContainsFunc(hits, func(h hit) bool { return h.verb != Start }) {
		return Reading{}, false
	}
	one := s.copied()
	for _, h := range hits {
		one.useAll(h.toks)
	}
	r, ok := one.longer()
	return r, ok && r.Problem == nil
}
