package kitchen

import (
	"time"

	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// ForLater is the answer to a start that is wanted at a later time: Wanted is the
// plan for it. No vessel is reserved.
const ForLater AnswerKind = "for later"

// Wanted is what it takes to have something ready by a time.
type Wanted struct {
	For       Moment          `cbor:"f"`           // a moment, or the first one of a day
	Day       bool            `cbor:"d,omitempty"` // only the day is known
	Serves    int             `cbor:"s,omitempty"`
	Liquid    quantity.Volume `cbor:"l"`
	Base      string          `cbor:"b"`
	Solid     string          `cbor:"o"`
	Solids    quantity.Mass   `cbor:"g"`
	Chargers  int             `cbor:"c"`
	Fillings  int             `cbor:"v"`
	Rounds    int             `cbor:"r"`           // of the vessel that is used most
	Takes     time.Duration   `cbor:"t"`           // from the first charger to the last label
	StartBy   Moment          `cbor:"m,omitempty"` // at the latest; 0 where only the day is known
	NotBefore Moment          `cbor:"n,omitempty"` // made before this day it would be past its date; 0 = now is soon enough
	Days      int             `cbor:"k,omitempty"` // it keeps, the first one counted
}

// wanted plans what is wanted later, over all vessels of the house.
func (s *scene) wanted() Answer {
	now := s.now.Time().In(s.zone)
	r, wanted := s.req, s.req.For.In(s.zone)
	r.For = time.Time{}
	p, r, problem := s.planAll(r)
	if problem != nil {
		return Answer{
			Kind: Impossible, Plan: problem, Verb: request.Start, Vessel: problem.Vessel, Line: s.req.String(), Private: true,
		}
	}
	w := &Wanted{
		For: At(wanted), Day: wanted.Hour() == 0 && wanted.Minute() == 0, Serves: r.Serves, Liquid: p.Volume, Base: p.Base,
		Solid: p.Solid, Fillings: len(p.Runs), Rounds: p.Rounds(), Takes: takes(p), Days: p.Figures.Keep.Days,
	}
	w.Liquid = 0
	for _, run := range p.Runs {
		w.Liquid += run.Liquid
		w.Chargers += run.Chargers
		for _, solid := range run.Solids {
			w.Solids += solid.Mass
		}
	}
	if !w.Day {
		w.StartBy = At(wanted.Add(-w.Takes))
	}
	if made := wanted.AddDate(0, 0, 1-w.Days); w.Days > 0 && made.Format(time.DateOnly) > businessDay(now) {
		w.NotBefore = At(made)
	}
	s.wishes(p.Title, w.Chargers, At(wanted))
	a := Answer{
		Kind: ForLater, Verb: request.Start, Title: p.Title, Wanted: w, Who: s.cmd.By, At: s.now, Line: r.String(), Private: true,
	}
	if wanted.Format(time.DateOnly) == now.Format(time.DateOnly) {
		a.Choices = []Choice{{Code: ChooseNow, Tap: Tap{Line: r.String()}}}
	}
	return a
}

// planAll lays a request out over all vessels, in as many fillings as it takes, and
// gives the request that says so.
func (s *scene) planAll(r request.Request) (plan.Plan, request.Request, *plan.Problem) {
	in := s.History.input(titleOf(r), s.now.Time().In(s.zone))
	p, problem := plan.Make(s.book, r, s.book.Vessels, in)
	if problem == nil || r.Count > 0 || r.Vessel != "" || r.Split {
		return p, r, problem
	}
	split := r
	split.Split = true
	if whole, none := plan.Make(s.book, split, s.book.Vessels, in); none == nil {
		return whole, split, nil
	}
	return p, r, problem
}

// takes gives how long a plan is from its first charger to its last label.
func takes(p plan.Plan) time.Duration {
	last, later := time.Duration(0), time.Duration(0)
	for _, step := range p.Steps {
		last = max(last, step.At)
	}
	for _, run := range p.Runs {
		later = max(later, run.Figures.StartAt)
	}
	return last + later
}
