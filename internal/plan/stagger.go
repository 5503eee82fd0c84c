package plan

import (
	"errors"
	"fmt"
	"time"
)

const (
	// mostJobs is how many jobs are searched at once.
	mostJobs = 6
	// ventGap is what lies between the end of one vent and the next one's start,
	// so that no two roar at once (estimate).
	ventGap = 15 * time.Second
	// longestSpan is the longest that a part of a job may be.
	longestSpan = 24 * time.Hour
)

// Job is one vessel's run as a crew's hands see it: charging, the vent and the
// strain take a hand each, the rest, the settling and the washing take none.
type Job struct {
	Vessel string        // its next job in the list waits until this one is strained and washed; empty = none does
	Charge time.Duration // chargers screwed home and swirled, all of them
	Rest   time.Duration
	Vent   time.Duration // begins exactly when the rest is over
	Settle time.Duration
	Strain time.Duration
	// Slack is how late the strain may begin. Who sets it keeps it inside the
	// contact cap.
	Slack       time.Duration
	StrainFirst bool          // strained as soon as it is vented, settled afterwards
	Wash        time.Duration // from the strain until the vessel can be charged again
}

// Stagger gives the moment at which each job begins, so that with so many
// pairs of hands no two vents fall together and none falls in a charge or a
// strain that keeps all hands busy. Of all such moments it gives those by which
// everything is done first, and of these those with the least sum. The search
// is exact for up to six jobs; more are taken six at a time, the next six when
// all before them is done and washed.
func Stagger(jobs []Job, hands int) ([]time.Duration, error) {
	if hands < 1 {
		return nil, fmt.Errorf("stagger jobs: %d pairs of hands", hands)
	}
	for i, j := range jobs {
		if err := j.check(); err != nil {
			return nil, fmt.Errorf("stagger job %d: %w", i+1, err)
		}
	}
	var starts []time.Duration
	var from time.Duration
	for len(jobs) > 0 {
		n := min(len(jobs), mostJobs)
		s := newSearch(jobs[:n], hands)
		s.run()
		var wash time.Duration
		for i, j := range jobs[:n] {
			starts = append(starts, from+s.best[i])
			wash = max(wash, j.Wash)
		}
		from += s.end + wash
		jobs = jobs[n:]
	}
	return starts, nil
}

// check says what is wrong with a job.
func (j Job) check() error {
	for _, d := range [...]time.Duration{j.Charge, j.Vent, j.Strain} {
		if d <= 0 || d > longestSpan {
			return errors.New("a part that takes a hand is outside 0 to 24 h")
		}
	}
	for _, d := range [...]time.Duration{j.Rest, j.Settle, j.Slack, j.Wash} {
		if d < 0 || d > longestSpan {
			return errors.New("a part that takes no hand is outside 0 to 24 h")
		}
	}
	return nil
}

// ventAt gives the span from a job's start to its vent.
func (j Job) ventAt() time.Duration { return j.Charge + j.Rest }

// strainAt gives the span from a job's start to the moment its strain is due.
func (j Job) strainAt() time.Duration {
	if j.StrainFirst {
		return j.ventAt() + j.Vent
	}
	return j.ventAt() + j.Vent + j.Settle
}

// tail gives the span from the beginning of a job's strain to the job's end.
func (j Job) tail() time.Duration {
	if j.StrainFirst {
		return j.Strain + j.Settle
	}
	return j.Strain
}
