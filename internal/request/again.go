package request

import "time"

// again reads "same as yesterday" and "rhubarb gin again": once more what was
// made, with the volume, the count and the vessel that the line says.
func (s *sentence) again() Reading {
	b := &start{sentence: s, req: Request{Verb: Again}, either: -1}
	for i := range b.toks {
		if b.toks[i].known.day == -1 {
			b.req.OfYesterday = true
			b.use(i, i+1)
		}
	}
	b.counts()
	b.measures()
	b.vessels, _ = s.vessels(Again)
	b.req.Recipe = s.recipe()
	b.bareNumbers()
	switch {
	case b.fault == nil && (b.alts != nil || b.req.Solids != 0 || b.req.Temp != nil): // what was made is made again
		text, at := s.said(0, len(s.toks))
		return problem(Problem{Code: BadNumber, Word: text, Where: at, Example: string(Again)})
	case b.fault != nil:
		b.fault.Example = string(Again)
		return problem(*b.fault)
	case len(b.vessels) > 0:
		b.req.Vessel = b.vessels[0].text
	}
	r := b.req
	return understood(Request{
		Verb: Again, Recipe: r.Recipe, OfYesterday: r.OfYesterday, Volume: r.Volume, Count: r.Count, Vessel: r.Vessel,
	})
}

// restFor reads the rest of a batch that is open: "rest 90 A". With the name of
// something to start it is none.
func (s *sentence) restFor() (Reading, bool) {
	if s.roles&restWord == 0 {
		return Reading{}, false
	}
	b := &start{sentence: s.copied(), req: Request{Verb: RestFor}, either: -1}
	b.rest()
	if b.req.Rest == 0 || b.fault != nil {
		return Reading{}, false
	}
	st := &step{sentence: b.sentence, req: Request{Verb: RestFor, Rest: b.req.Rest.Round(time.Second)}, ask: s.asked || s.asks()}
	st.vessels, st.unclear = st.sentence.vessels(RestFor)
	st.titled = st.sentence.titled()
	if _, ok := st.unread(); ok {
		return Reading{}, false
	}
	return st.choose(), true
}
