package kitchen

import (
	"slices"
	"strconv"
	"time"

	"ventbell/internal/book"
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
	if a, before := s.answeredBefore(); before {
		return a
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
		if tag, held := s.heldFromPlan(s.req); held {
			a := s.tellHeld(tag)
			return p, &a
		}
		return p, &Answer{
			Kind: Impossible, Plan: problem, Verb: request.Start, Vessel: problem.Vessel, Line: s.req.String(), Private: true,
		}
	}
	return s.traces(p)
}

// begin reserves a vessel for each run of a plan.
func (s *scene) begin(p plan.Plan) Answer {
	a := Answer{
		Kind: Done, Verb: request.Start, Title: p.Title, Volume: p.Volume,
		Line: s.req.String(), Who: s.cmd.By, At: s.done, Private: true,
	}
	a.Last, a.Proposal = p.Last, p.Proposal
	for _, run := range p.Runs {
		a.Register = s.overdue(a.Register, run.Vessel)
	}
	a.Were = slices.DeleteFunc(s.settle(), func(tag string) bool {
		return slices.ContainsFunc(p.Runs, func(r plan.Run) bool { return r.Vessel == tag })
	})
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
	a.Stock = s.served(p)
	return a
}

// plan lays a request out over the vessels that are free and not held for
// somebody else's answer.
func (s *scene) plan(r request.Request) (plan.Plan, *plan.Problem) {
	return s.planOver(r, slices.DeleteFunc(s.free(s.book, s.now), func(v book.Vessel) bool { return s.heldBack(r, v.Tag) != nil }))
}

// planOver lays a request out over vessels. What takes a vessel twice cannot be
// started in one go, for nothing holds a vessel for later: the problem offers
// what fits now.
func (s *scene) planOver(r request.Request, free []book.Vessel) (plan.Plan, *plan.Problem) {
	in := s.History.input(titleOf(r), s.now.Time().In(s.zone))
	in.SignedOff = s.manages()
	p, problem := plan.Make(s.book, r, free, in)
	if problem != nil || p.Rounds() == 1 {
		return p, problem
	}
	r.Split = false
	_, problem = plan.Make(s.book, r, free, in)
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
	f.Code, f.Lots, f.Carried, f.Latest = s.code(f.Title, f.Vessel), s.lotsOf(f), s.carried(f), 0
	b := &Batch{
		ID: s.Head.Next, Fixed: f,
		Moving: Moving{
			V: version, Phase: Loading, Owner: s.opener(), Turn: 1,
			Last: Last{Verb: request.Start, Mark: s.mark()},
		},
	}
	s.Batches[b.ID] = b
	if b.Owner.ID == s.cmd.By.ID {
		s.comes(b.Owner)
	}
	s.used(b.Vessel)
	s.nowUsed(b.Vessel)
	s.History.opened(b.Vessel)
	s.log(b, "started", "request", f.Line, "liquid", f.Liquid.String())
	return b
}

// opener gives whose a batch is that is opened now: the speaker's. A viewer, who can
// only tell of gas that went in, owns none while anybody else is known.
func (s *scene) opener() Person {
	if !s.may(Act(request.Take)) {
		if p := s.somebodyWho(s.OnShift(s.now.Time()), s.Head.People, s.Head.Team.Managers); p.ID != "" {
			return p
		}
	}
	return s.cmd.By
}

// again opens a batch like one whose reservation ran out, since a charger went
// into the vessel all the same; nil if the vessel is in use since.
func (s *scene) again(expired *Batch) *Batch {
	if state, _ := s.Look(expired.Vessel); state != VesselFree && state != VesselWithdrawn {
		return nil
	}
	f := expired.Fixed
	f.Started, f.Later = s.mark(), 0
	b := s.open(f)
	if b.Owner.ID != s.cmd.By.ID { // a viewer told of it
		b.Owner = expired.Owner
	}
	return b
}

// takenBy refuses a named vessel that is not free, with by whom and since when.
func (s *scene) takenBy(tag string) (Answer, bool) {
	if s.Vessels[tag].Blocked != nil {
		return s.unusable(tag)
	}
	state, b := s.Look(tag)
	if c := s.CreamIn(tag); c != nil {
		return s.refuseCream(c, Refuse, RefuseCream, Mark{By: c.By, Done: c.Since}), true
	}
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
	return s.unusable(tag)
}
