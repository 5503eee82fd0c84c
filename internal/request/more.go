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
	plus := slices.IndexFunc(s.toks, func(t token) bool { return t.kind == sign && t.text == "+" })
	asked := slices.IndexFunc(s.toks, func(t token) bool { return t.role&moreWord != 0 && !t.name })
	if plus < 0 && asked < 0 {
		return Reading{}, false
	}
	one := *s
	one.toks = slices.DeleteFunc(slices.Clone(s.toks), func(t token) bool { return t.role&moreWord != 0 && !t.name })
	for i := range one.toks {
		if plus >= 0 && (i == 0 || one.toks[i-1].text != "+") {
			continue
		}
		if span, end, ok := one.spanAt(i); ok {
			return one.byMore(span, i, end), true
		}
		// A bare number is asked about where a plus stands. After "more" it could
		// be chargers, and no word is put into anybody's mouth about those.
		if n, ok := one.bare(i); ok && plus >= 0 {
			return one.unitOfMore(n, i), true
		} else if ok {
			text, at := one.said(i, i+1)
			return problem(Problem{Code: BadNumber, Word: text, Where: at, Example: string(Help)}), true
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
func (s *sentence) bare(i int) (int64, bool) {
	if !s.free(i) || s.toks[i].kind != number {
		return 0, false
	}
	n, ok := s.toks[i].num.whole()
	return n, ok && n > 0 && n <= int64(mostExtra/time.Minute)
}

// unitOfMore asks whether a bare number is minutes or seconds.
func (s *sentence) unitOfMore(n int64, i int) Reading {
	var options []Option
	text, _ := s.said(i, i+1)
	for _, size := range []time.Duration{time.Minute, time.Second} {
		one := *s
		one.toks = slices.Clone(s.toks)
		r := one.byMore(time.Duration(n)*size, i, i+1)
		switch {
		case r.Problem != nil:
			return r
		case r.Question != nil: // one question at most
			_, at := s.said(i, i+1)
			return problem(Problem{Code: BadNumber, Word: text, Where: at, Example: r.Question.Options[0].Line})
		}
		options = addOption(options, *r.Request)
	}
	if n >= 20 { // seconds, more likely
		slices.Reverse(options)
	}
	return ask(WhichMeant, text, options)
}
