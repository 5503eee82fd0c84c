package kitchen

import (
	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// why gives the figures behind a batch's plan, worked out again as at its
// start. It changes nothing and is not kept.
func (s *scene) why(b *Batch) Answer {
	reading := s.reader.Read(b.Line, request.Context{Book: s.book, Now: b.Started.Done.Time().In(s.zone)})
	vessel, known := s.book.Vessel(b.Vessel)
	if reading.Request == nil || !known {
		return s.refuse(b, RefuseNothing)
	}
	req := *reading.Request
	req.Vessel, req.Volume, req.Count, req.Split = b.Vessel, b.Liquid, 1, false
	in := s.History.input(b.Title, b.Started.Done.Time().In(s.zone))
	p, problem := plan.Make(s.book, req, []book.Vessel{vessel}, in)
	if problem != nil {
		return Answer{Kind: Impossible, Plan: problem, Verb: request.Why, Vessel: b.Vessel, Private: true}
	}
	a := s.did(b)
	a.Kind, a.Why = Figured, &p
	return a
}
