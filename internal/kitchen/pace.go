package kitchen

import (
	"cmp"
	"time"

	"ventbell/internal/book"
)

// How fast the circle of a call grows follows from the recipe, by one rule: a
// second call of the vent comes after a quarter of the rest, between 15 and 30
// seconds; of the strain after a twentieth of the contact, between 15 seconds and
// two minutes. So a tea that rests a minute reaches the stand-in twice as fast as
// what rests for five, and the pressure of neither waits longer than the house is
// used to. An estimate.
const (
	ventShare, ventSoonest, ventLatest       = 4, 15 * time.Second, 30 * time.Second
	strainShare, strainSoonest, strainLatest = 20, 15 * time.Second, 2 * time.Minute
)

// paced are the ladders that the recipe paces, in steps of its own.
var paced = map[EntryKind][]int{
	VentCall:    {1, 3, 6, 12},
	StrainCall:  {1, 3, 6, 11},
	ContactCall: {2, 5, 10},
}

// The steps that a batch has which copied none: the most usual ones.
const usualVent, usualStrain = 30 * time.Second, time.Minute

// ventStep gives how long after a vent call its second call comes; 0 = as usual.
func ventStep(rest book.Span) time.Duration {
	step := min(max(rest.Target/ventShare, ventSoonest), ventLatest).Truncate(time.Second)
	if step == usualVent {
		return 0
	}
	return step
}

// strainStep gives the same for the strain.
func strainStep(contact time.Duration) time.Duration {
	step := min(max(contact/strainShare, strainSoonest), strainLatest).Truncate(time.Second)
	if step == usualStrain {
		return 0
	}
	return step
}

// steps gives how long after a call of a kind its second calls come.
func (b *Batch) steps(kind EntryKind) []time.Duration {
	counts, own := paced[kind]
	if !own {
		return ladders[kind]
	}
	step := cmp.Or(b.StrainStep, usualStrain)
	if kind == VentCall {
		step = cmp.Or(b.VentStep, usualVent)
	}
	steps := make([]time.Duration, len(counts))
	for i, n := range counts {
		steps[i] = time.Duration(n) * step
	}
	return steps
}

// pace gives how far apart calls are beyond their ladder.
func pace(steps []time.Duration) time.Duration { return steps[len(steps)-1] - steps[len(steps)-2] }
