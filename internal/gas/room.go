package gas

import (
	"cmp"
	"math"
	"slices"
	"time"

	"ventbell/internal/quantity"
)

// Room is the air of one room, taken as one well-mixed box. The box is a room
// average: at the jug, in the first seconds, the air holds far more (one 16 g
// vent into the cubic metre around a face is near 1 % by volume). A working
// hood that catches the gas does more than any of these figures.
type Room struct {
	Volume quantity.Volume
	// AirChanges is how often an hour the air is changed.
	AirChanges float64
	// Mixing is how much of that counts: WellMixed, or down to 0.1 where the
	// fresh air passes by. Ventilation practice takes 0.1 to 0.3 for poor
	// mixing (from memory).
	Mixing float64
}

// WellMixed is the mixing of a room whose fresh air reaches every corner.
const WellMixed = 1.0

// Release is gas let go into a room at a moment.
type Release struct {
	At   time.Time
	Mass quantity.Mass
}

// Shift is the time that limits for a working day are averaged over, and Brief
// the time of the highest short mean.
const (
	Shift = 8 * time.Hour
	Brief = 15 * time.Minute
)

// Limit is one published limit for nitrous oxide in the air people breathe.
// Local law decides which one applies.
type Limit struct {
	Body string
	PPM  float64
	// Over is the time it is averaged over; 0 = over the time of exposure.
	Over time.Duration
}

// Limits gives the limits that Air is read against:
//   - NIOSH recommended exposure limit, 25 ppm over the time exposed, written for
//     waste anaesthetic gas (NIOSH Pocket Guide, nitrous oxide; publication
//     77-140);
//   - ACGIH threshold limit value, 50 ppm over eight hours (as OSHA's chemical
//     data page for nitrous oxide gives it);
//   - UK workplace exposure limit, 100 ppm over eight hours (HSE, EH40).
func Limits() [3]Limit {
	return [3]Limit{
		{Body: "NIOSH REL", PPM: 25},
		{Body: "ACGIH TLV", PPM: 50, Over: Shift},
		{Body: "UK EH40 WEL", PPM: 100, Over: Shift},
	}
}

// Air is what releases did to the air of a room, in ppm by volume.
type Air struct {
	Now     float64 // at the end of the time looked at
	Peak    float64 // highest moment
	Brief   float64 // highest mean over 15 minutes
	Exposed float64 // mean over the time looked at
	Shift   float64 // mean over the eight hours up to its end
}

// Reading is one limit and the figure that it is held against.
type Reading struct {
	Limit Limit
	PPM   float64
	Over  bool // the figure is above the limit; false never means safe
}

// Readings holds the air against every limit.
func (a Air) Readings() [3]Reading {
	var out [3]Reading
	for i, l := range Limits() {
		ppm := a.Exposed
		if l.Over == Shift {
			ppm = a.Shift
		}
		out[i] = Reading{Limit: l, PPM: ppm, Over: ppm > l.PPM}
	}
	return out
}

// Air works out the air of the room for somebody who is in it from one moment
// to another. Releases before from still count as far as they linger, and the
// eight hours up to the end reach back before from when it is later than that.
// All gas counts as let go at its moment.
func (r Room) Air(releases []Release, from, to time.Time) (Air, error) {
	if err := r.check(); err != nil {
		return Air{}, err
	}
	if err := quantity.Within("time in the room", to.Sub(from).Hours(), 1.0/3600, 24, "h"); err != nil {
		return Air{}, err
	}
	decay := r.AirChanges * r.Mixing
	puffs := make([]puff, 0, len(releases))
	start := from.Sub(to).Hours()
	first := min(start, -Shift.Hours())
	for _, e := range releases {
		ppm, err := r.Step(e.Mass)
		if err != nil {
			return Air{}, err
		}
		at := e.At.Sub(to).Hours()
		if at > 0 || (first-at)*decay > gone {
			continue // not yet let go, or blown out long before
		}
		puffs = append(puffs, puff{at: at, ppm: ppm})
	}
	b := newBox(decay, puffs)
	return Air{
		Now:     b.at(0),
		Peak:    b.peak(start, 0),
		Brief:   b.highest(start, 0, Brief.Hours()),
		Exposed: b.mean(start, 0),
		Shift:   b.mean(-Shift.Hours(), 0),
	}, nil
}

// Step gives by how many ppm a mass of gas let go raises the whole room.
func (r Room) Step(mass quantity.Mass) (float64, error) {
	if err := r.check(); err != nil {
		return 0, err
	}
	if err := quantity.Within("gas let go", mass.Grams(), 0.001, 1000, "g"); err != nil {
		return 0, err
	}
	return mass.Grams() * litresPerGram / (float64(r.Volume) / float64(quantity.Litre)) * 1e6, nil
}

func (r Room) check() error {
	if err := quantity.Within("room", float64(r.Volume)/float64(1000*quantity.Litre), 1, 10000, "m³"); err != nil {
		return err
	}
	if err := quantity.Within("air changes", r.AirChanges, 0.1, 100, "an hour"); err != nil {
		return err
	}
	return quantity.Within("mixing", r.Mixing, 0.1, 1, "")
}

// gone is how often the air must have been changed, in decay constants, for
// nothing of a release to be left: exp(-40) of it.
const gone = 40

// box is the well-mixed box, its time in hours before the end of the look.
type box struct {
	decay float64 // per hour
	puffs []puff  // oldest first
}

// puff is one release: by how much it raises the box, and to what.
type puff struct{ at, ppm, level float64 }

// newBox sorts the puffs in place.
func newBox(decay float64, puffs []puff) box {
	slices.SortStableFunc(puffs, func(a, b puff) int { return cmp.Compare(a.at, b.at) })
	b := box{decay: decay, puffs: puffs}
	for i := range puffs {
		puffs[i].level = puffs[i].ppm
		if i > 0 {
			last := puffs[i-1]
			puffs[i].level += last.level * math.Exp(-decay*(puffs[i].at-last.at))
		}
	}
	return b
}

// at is the concentration at a time, a release at that very time counted in.
func (b box) at(t float64) float64 {
	c := 0.0
	for i := len(b.puffs) - 1; i >= 0; i-- {
		if p := b.puffs[i]; p.at <= t {
			c = p.level * math.Exp(-b.decay*(t-p.at))
			break
		}
	}
	return c
}

// peak is the highest concentration from one time to another: it can only
// stand at the start or just after a release.
func (b box) peak(from, to float64) float64 {
	top := b.at(from)
	for _, p := range b.puffs {
		if p.at > from && p.at <= to {
			top = max(top, p.level)
		}
	}
	return top
}

// mean is the mean concentration from one time to another. What was there and
// what came in either left, in proportion to the concentration, or is there
// still.
func (b box) mean(from, to float64) float64 {
	left := b.at(from) - b.at(to)
	for _, p := range b.puffs {
		if p.at > from && p.at <= to {
			left += p.ppm
		}
	}
	return max(left, 0) / b.decay / (to - from)
}

// highest is the highest mean over a span that lies between two times; over
// all of that time when the span is longer. Between releases the mean of a
// sliding span only rises or only falls, so its top has a release at one end
// of the span, or lies at an edge.
func (b box) highest(from, to, span float64) float64 {
	if to-from <= span {
		return b.mean(from, to)
	}
	top := max(b.mean(from, from+span), b.mean(to-span, to))
	for _, p := range b.puffs {
		for _, begin := range [2]float64{p.at, p.at - span} {
			if begin >= from && begin+span <= to {
				top = max(top, b.mean(begin, begin+span))
			}
		}
	}
	return top
}
