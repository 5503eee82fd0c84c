package plan

import (
	"slices"
	"time"

	"ventbell/internal/gas"
	"ventbell/internal/quantity"
)

// air works out what the plan's vents do to the room's air, on top of what was
// let go in the last eight hours. It is nil where the room was never entered or
// the time is not told. All gas of a run counts as let go at its vent.
//
// The eight hours are those that begin with the first vent that still counts,
// so that all the gas is in them; the time of exposure ends a quarter of an
// hour after the last vent.
func (d draft) air(p Plan) (*Air, error) {
	house := d.book.House
	if house.RoomVolume == 0 || house.AirChanges == 0 || d.in.Now.IsZero() {
		return nil, nil
	}
	room := gas.Room{Volume: house.RoomVolume, AirChanges: float64(house.AirChanges) / 10, Mixing: gas.WellMixed}
	vents := d.vents(p)
	begin, end := vents[0].At, vents[len(vents)-1].At
	first := begin
	for _, v := range d.in.Vented {
		if v.At.After(end.Add(-gas.Shift)) && v.At.Before(end) {
			vents = append(vents, gas.Release{At: v.At, Mass: v.Gas})
			if v.At.Before(first) {
				first = v.At
			}
		}
	}
	step, err := room.Step(mostGas(p.Runs))
	if err != nil {
		return nil, err
	}
	during, err := room.Air(vents, first, end.Add(gas.Brief))
	if err != nil {
		return nil, err
	}
	shift, err := room.Air(vents, begin, first.Add(gas.Shift+time.Second))
	if err != nil {
		return nil, err
	}
	read := gas.Air{Exposed: during.Exposed, Shift: shift.Shift}
	a := &Air{Step: step, Peak: shift.Peak, Mean8h: shift.Shift}
	for _, r := range read.Readings() {
		a.Limits = append(a.Limits, AirLimit{Name: r.Limit.Body, PPM: r.Limit.PPM, Over: r.Over})
	}
	return a, nil
}

// vents gives the plan's own vents in the order of time, one for each cycle of
// each run.
func (d draft) vents(p Plan) []gas.Release {
	out := make([]gas.Release, 0, len(p.Runs)*max(p.Cycles, 1)+len(d.in.Vented))
	for _, run := range p.Runs {
		for _, s := range p.Steps {
			if s.Do == Vent {
				out = append(out, gas.Release{At: d.in.Now.Add(run.Figures.StartAt + s.At), Mass: run.Charge})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b gas.Release) int { return a.At.Compare(b.At) })
	return out
}

// mostGas gives the gas of the run that takes the most.
func mostGas(runs []Run) quantity.Mass {
	var m quantity.Mass
	for _, r := range runs {
		m = max(m, r.Charge)
	}
	return m
}
