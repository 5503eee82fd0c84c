package kitchen

import (
	"strconv"
	"time"

	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// reserved is how long a vessel waits for its first charger.
const reserved = 10 * time.Minute

// start plans a request and reserves a vessel for each of its runs.
func (s *scene) start() Answer {
	if !s.req.For.IsZero() {
		return s.wanted()
	}
	p, refused := s.layOut()
	switch {
	case refused != nil:
		return *refused
	case s.doubtful():
		return s.stillOn(p)
	}
	return s.begin(p)
}

// layOut plans the request over the vessels that are free, or says why not.
func (s *scene) layOut() (plan.Plan, *Answer) {
	if s.req.Vessel != "" {
		if a, taken := s.takenBy(s.req.Vessel); taken {
			return plan.Plan{}, &a
		}
	}
	p, problem := s.plan(s.req)
	if problem != nil {
		return p, &Answer{
			Kind: Impossible, Plan: problem, Verb: request.Start, Vessel: problem.Vessel, Line: s.req.String(), Private: true,
		}
	}
	return p, nil
}

// begin reserves a vessel for each run of a plan.
func (s *scene) begin(p plan.Plan) Answer {
	a := Answer{
		Kind: Done, Verb: request.Start, Title: p.Title, Volume: p.Volume,
		Line: s.req.String(), Who: s.cmd.By, At: s.done, Private: true,
	}
	a.Last, a.Proposal = p.Last, p.Proposal
	s.History.started(p.Title, s.req, s.cmd.By, s.now.Time().In(s.zone))
	for _, run := range p.Runs {
		line := s.req
		if len(p.Runs) > 1 {
			line.Volume, line.Count, line.Vessel, line.Split = run.Liquid, 0, run.Vessel, false
			line.Serves, line.Serve = 0, 0
			if line.Solids > 0 {
				line.Solids = run.Solids[0].Mass
			}
		}
		b := s.open(s.fixed(p, run, line.String()))
		if o := p.Figures.Keep.Override; o != "" {
			s.log(b, "keeps longer by override", "days", strconv.Itoa(p.Figures.Keep.Days), "override", o)
		}
		s.post(b, Slip)
		a.Batches = append(a.Batches, b.ID)
	}
	a.Batch, a.Vessel = a.Batches[0], p.Runs[0].Vessel
	return a
}

// plan lays a request out over the vessels that are free. What takes a vessel
// twice cannot be started in one go, for nothing holds a vessel for later: the
// problem offers what fits now.
func (s *scene) plan(r request.Request) (plan.Plan, *plan.Problem) {
	in := s.History.input(titleOf(r), s.now.Time().In(s.zone))
	in.SignedOff = s.manages()
	p, problem := plan.Make(s.book, r, s.free(s.book), in)
	if problem != nil || p.Rounds() == 1 {
		return p, problem
	}
	r.Split = false
	_, problem = plan.Make(s.book, r, s.free(s.book), in)
	return plan.Plan{}, &plan.Problem{Code: plan.NextRound, Volume: p.Volume, Count: p.Rounds(), Offers: problem.Offers}
}

// titleOf gives the title of what a request starts, as its batches will have it.
func titleOf(r request.Request) string {
	if r.Recipe != "" {
		return r.Recipe
	}
	return r.Solid + " " + r.Base
}

// open makes a batch that waits for its first charger.
func (s *scene) open(f Fixed) *Batch {
	s.Head.Next++
	b := &Batch{
		ID: s.Head.Next, Fixed: f,
		Moving: Moving{
			V: version, Phase: Loading, Owner: s.cmd.By, Turn: 1,
			Last: Last{Verb: request.Start, Mark: s.mark()},
		},
	}
	s.Batches[b.ID] = b
	s.History.opened(b.Vessel)
	s.log(b, "started", "request", f.Line, "liquid", f.Liquid.String())
	return b
}

// again opens a batch like one whose reservation ran out, since a charger went
// into the vessel all the same; nil if the vessel is in use since.
func (s *scene) again(expired *Batch) *Batch {
	if state, _ := s.Look(expired.Vessel); state != VesselFree {
		return nil
	}
	f := expired.Fixed
	f.Started, f.Later = s.mark(), 0
	return s.open(f)
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
	v := s.Vessels[tag]
	if s.late && s.before(Mark{Done: v.Dirty}) { // it was another wash
		return Answer{
			Kind: Refuse, Code: RefuseTooEarly, Verb: request.Washed, Vessel: tag, Title: v.Title, Who: v.By, At: v.Dirty, Private: true,
		}
	}
	title := v.Title
	delete(s.Vessels, tag)
	s.log(nil, "washed", "vessel", tag, "title", title)
	return Answer{Kind: Done, Verb: request.Washed, Vessel: tag, Title: title, Who: s.cmd.By, At: s.done, Private: true}
}
