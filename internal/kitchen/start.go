package kitchen

import (
	"time"

	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// reserved is how long a vessel waits for its first charger.
const reserved = 10 * time.Minute

// start plans a request and reserves a vessel for each of its runs.
func (s *scene) start() Answer {
	if s.req.Vessel != "" {
		if a, taken := s.takenBy(s.req.Vessel); taken {
			return a
		}
	}
	p, problem := plan.Make(s.book, s.req, s.free(s.book))
	if problem != nil {
		return Answer{Kind: Impossible, Plan: problem, Verb: request.Start, Vessel: problem.Vessel, Line: s.req.String(), Private: true}
	}
	a := Answer{
		Kind: Done, Verb: request.Start, Title: p.Title, Volume: p.Volume,
		Line: s.req.String(), Who: s.cmd.By, At: s.done, Private: true,
	}
	for _, run := range p.Runs {
		s.Head.Next++
		b := &Batch{
			ID:     s.Head.Next,
			Fixed:  fixed(p, run, s.req.String(), s.mark()),
			Moving: Moving{V: version, Phase: Loading, Owner: s.cmd.By, Turn: 1},
		}
		b.Last = Last{Verb: request.Start, Mark: s.mark()}
		s.Batches[b.ID] = b
		s.log(b, "started", "request", s.req.String(), "liquid", run.Liquid.String())
		s.post(b, Slip)
		a.Batches = append(a.Batches, b.ID)
	}
	a.Batch, a.Vessel = a.Batches[0], p.Runs[0].Vessel
	return a
}

// takenBy refuses a named vessel that is not free, with by whom and since when.
func (s *scene) takenBy(tag string) (Answer, bool) {
	state, b := s.Look(tag)
	switch {
	case b != nil:
		a := s.refuse(b, RefuseOccupied)
		a.Who, a.At, a.Phase = b.Owner, b.Started.Done, b.Phase
		return a, true
	case state == VesselDirty:
		v := s.Vessels[tag]
		return Answer{
			Kind: Refuse, Code: RefuseDirty, Verb: request.Start, Vessel: tag, Title: v.Title,
			Who: v.By, At: v.Dirty, Private: true,
		}, true
	}
	return Answer{}, false
}

// washed makes a dirty vessel free again.
func (s *scene) washed() Answer {
	tag := s.req.Vessel
	state, b := s.Look(tag)
	switch {
	case b != nil && b.Gas() > 0:
		return s.refuse(b, RefusePressured)
	case b != nil:
		return s.refuse(b, RefuseHolding)
	case state == VesselFree:
		return Answer{Kind: Already, Verb: request.Washed, Vessel: tag, Private: true}
	}
	title := s.Vessels[tag].Title
	delete(s.Vessels, tag)
	s.log(nil, "washed", "vessel", tag, "title", title)
	return Answer{Kind: Done, Verb: request.Washed, Vessel: tag, Title: title, Who: s.cmd.By, At: s.done, Private: true}
}
