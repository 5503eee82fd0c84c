package plan

import (
	"cmp"
	"slices"
	"time"
)

const (
	// screwing is the time that a charger takes to be screwed home, the next one
	// at hand: 10 to 20 s, and as much for taking off the one before (common
	// practice, no source).
	screwing = 30 * time.Second
	// turnaround is from the strain until a vessel is washed and filled again: 2
	// to 4 min to wash (common practice, no source), and what was weighed before
	// goes in.
	turnaround = 5 * time.Minute
)

// start says when each of several runs begins, for the hands that the house
// has, and puts them in that order. Every strain is planned on time: so the runs
// taste alike, and a strain that is late after all has its contact cap left.
func (d draft) start(p *Plan) error {
	hands := max(d.book.House.Hands, 1)
	if p.Cycles > 1 {
		hands = 1 // their vents before the last are part of the charging, see job
	}
	jobs := make([]Job, len(p.Runs))
	for i, run := range p.Runs {
		jobs[i] = p.job(run)
	}
	starts, err := Stagger(jobs, hands)
	if err != nil {
		return err
	}
	for i := range p.Runs {
		p.Runs[i].Figures.StartAt = starts[i]
	}
	slices.SortStableFunc(p.Runs, func(a, b Run) int { return cmp.Compare(a.Figures.StartAt, b.Figures.StartAt) })
	return nil
}

// job gives a run as the crew's hands see it.
func (p Plan) job(run Run) Job {
	charge := time.Duration(run.Chargers) * (screwing + p.Swirl)
	if p.Cycles > 1 {
		charge += time.Duration(p.Cycles-1) * (charge + p.Rest.Target + p.emptying())
	}
	return Job{
		Vessel: run.Vessel, Charge: charge, Rest: p.Rest.Target, Vent: p.emptying(), Settle: p.Settle,
		Strain: straining, StrainFirst: p.StrainFirst, Wash: turnaround,
	}
}
