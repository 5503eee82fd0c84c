package request

import "slices"

// done reads a line that says no more than that something is done, or heard:
// the speaker's own step that is due now. It never is a charger. That a vessel
// is empty is believed of "done", of the speaker's own vessel. Of "ok" or a thumb
// it is not: they may only mean that the call was heard, and silence is not
// emptiness. They are asked back, and the answer is one tap.
func (s *sentence) done() (Reading, bool) {
	says := func(t token) bool {
		return slices.ContainsFunc(t.known.phrases, func(p phrase) bool { return p.is == allDone || p.is == onlyHeard })
	}
	if s.asked || !slices.ContainsFunc(s.toks, says) {
		return Reading{}, false
	}
	said, plainly := false, false
	one := s.copied()
	for i := 0; i < len(one.toks); i++ {
		end, done := one.phraseAt(i, allDone)
		heard := false
		if !done {
			end, heard = one.phraseAt(i, onlyHeard)
		}
		if done || heard {
			said, plainly = true, plainly || done
			one.use(i, end)
			i = end - 1
		}
	}
	if !said {
		return Reading{}, false
	}
	tags, _ := one.vessels(Vented)
	titled := one.titled()
	if _, more := one.unread(); more {
		return Reading{}, false
	}
	var due []Open
	for _, o := range s.open {
		named := len(tags) == 0 || slices.ContainsFunc(tags, func(t tag) bool { return t.text == o.Vessel })
		meant := len(titled) == 0 || slices.ContainsFunc(titled, func(t Open) bool { return t.Batch == o.Batch })
		if o.Mine && ticks(o.Due) && named && meant {
			due = append(due, o)
		}
	}
	return one.tick(due, plainly), true
}

// ticks says that a step can be ticked off by "done". What tells of gas is said
// in full.
func ticks(v Verb) bool {
	switch v {
	case SetDown, Vented, Strained, Cleared, Labelled, Washed:
		return true
	}
	return false
}

// tick is the reading of "done" with the steps that are due.
func (s *sentence) tick(due []Open, plainly bool) Reading {
	text, _ := s.said(0, len(s.toks))
	switch {
	case len(due) == 0:
		return problem(Problem{Code: NothingDue, Example: string(Resting), Another: string(Help)})
	case len(due) > 1:
		var options []Option
		for _, o := range due {
			options = addOption(options, Request{Verb: o.Due, Vessel: o.Vessel})
		}
		return ask(WhichStep, text, options)
	}
	r := Request{Verb: due[0].Due, Vessel: due[0].Vessel}
	if r.Verb == Vented && !plainly {
		return ask(WhichMeant, string(r.Verb), addOption(nil, r))
	}
	return understood(r)
}
