package plan_test

import (
	"slices"
	"time"

	"ventbell/internal/plan"
)

// The checker in this file shares nothing with the search: it paints every job
// onto a sheet of ticks, and tries each tick at which a strain may begin.

// sheet counts, for each tick, the hands that are busy and the vents that roar or
// have just roared.
type sheet struct {
	busy  [600]int8
	vents [600]int8
	last  int // the tick after the last one painted
}

// paint adds n to every tick of a span.
func paint(row *[600]int8, from, to int, n int8) {
	for i := from; i < to; i++ {
		row[i] += n
	}
}

func ticks(d time.Duration) int { return int(d / tick) }

// finish gives by when all jobs are done at the earliest, if they can be done at
// all from these starts by so many pairs of hands.
func finish(jobs []plan.Job, starts []time.Duration, hands int) (time.Duration, bool) {
	var s sheet
	for i, j := range jobs {
		if starts[i] < 0 || starts[i]%tick != 0 {
			return 0, false
		}
		from, vent := ticks(starts[i]), ticks(starts[i]+j.Charge+j.Rest)
		paint(&s.busy, from, from+ticks(j.Charge), 1)
		paint(&s.busy, vent, vent+ticks(j.Vent), 1)
		paint(&s.vents, vent, vent+ticks(j.Vent)+1, 1) // a quarter of a minute more
	}
	if slices.Max(s.vents[:]) > 1 || slices.Max(s.busy[:]) > int8(hands) {
		return 0, false
	}
	end, ok := s.strains(jobs, starts, nil, hands)
	return time.Duration(end) * tick, ok
}

// strains tries every moment for the strain of the next job; strained are those
// of the jobs before it.
func (s *sheet) strains(jobs []plan.Job, starts []time.Duration, strained []int, hands int) (int, bool) {
	n := len(strained)
	if n == len(jobs) {
		return s.last, s.queued(jobs, starts, strained)
	}
	j := jobs[n]
	due, after := ticks(starts[n]+j.Charge+j.Rest+j.Vent+j.Settle), 0
	if j.StrainFirst {
		due, after = due-ticks(j.Settle), ticks(j.Settle)
	}
	best, found := 0, false
	for at := due; at <= due+ticks(j.Slack); at++ {
		out, last := at+ticks(j.Strain), s.last
		paint(&s.busy, at, out, 1)
		if slices.Max(s.busy[at:out]) <= int8(hands) {
			s.last = max(last, out+after)
			if end, ok := s.strains(jobs, starts, append(strained, at), hands); ok && (!found || end < best) {
				best, found = end, true
			}
		}
		paint(&s.busy, at, out, -1)
		s.last = last
	}
	return best, found
}

// queued says that no vessel is used before it was strained and washed.
func (s *sheet) queued(jobs []plan.Job, starts []time.Duration, strained []int) bool {
	for i, j := range jobs {
		for k := range i {
			free := strained[k] + ticks(jobs[k].Strain+jobs[k].Wash)
			if j.Vessel != "" && j.Vessel == jobs[k].Vessel && ticks(starts[i]) < free {
				return false
			}
		}
	}
	return true
}

// beaten tries every start on the sheet and gives those that end before end, or
// with it and a smaller sum, if there are any.
func beaten(jobs []plan.Job, hands int, end, sum time.Duration) ([]time.Duration, bool) {
	starts := make([]time.Duration, len(jobs))
	var try func(n int) bool
	try = func(n int) bool {
		if n == len(jobs) {
			e, ok := finish(jobs, starts, hands)
			return ok && (e < end || e == end && total(starts) < sum)
		}
		j := jobs[n]
		for at := time.Duration(0); at+j.Charge+j.Rest+j.Vent+j.Settle+j.Strain <= end; at += tick {
			starts[n] = at
			if try(n + 1) {
				return true
			}
		}
		return false
	}
	return starts, try(0)
}

func total(starts []time.Duration) time.Duration {
	var sum time.Duration
	for _, at := range starts {
		sum += at
	}
	return sum
}
