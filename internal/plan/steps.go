package plan

import (
	"slices"
	"time"

	"ventbell/internal/book"
)

// What the book gives no span for. A batch's own clocks run from what the crew
// taps; these only say where in the plan a step will come (estimates).
const (
	// emptying is from the vent to an empty vessel: the flow, then two silent
	// presses 30 s apart. Let go slowly, the flow alone takes two minutes more.
	emptying       = time.Minute
	emptyingSlowly = 3 * time.Minute
	// straining is from the first pour to the last drop.
	straining = 2 * time.Minute
)

// steps lays the plan's steps out, counted from the first charger going in.
// Weighing and filling stand at 0, for nothing is clocked before the first
// charger. Each charger takes its swirl and the next follows at once. Where
// the runs differ in chargers the steps are those of the run with the most. For
// a further cycle it is charged again, once it is confirmed empty.
func steps(p Plan) []Step {
	chargers := mostChargers(p.Runs)
	s := make([]Step, 0, 7+(2*chargers+3)*max(p.Cycles, 1))
	var at time.Duration
	add := func(do StepKind, note NoteCode, n int, takes time.Duration) {
		s = append(s, Step{At: at, Do: do, Note: note, N: n})
		at += takes
	}
	add(Weigh, "", 0, 0)
	add(Fill, SafeFill, 0, 0)
	for cycle := range max(p.Cycles, 1) {
		if cycle > 0 {
			add(Empty, SafeEmpty, 0, 0)
		}
		for n := 1; n <= chargers; n++ {
			add(Charge, SafeCharge, n, 0)
			add(Swirl, SafeSwirl, 0, p.Swirl)
		}
		add(Rest, SafeRest, 0, p.Rest.Target)
		note := SafeVent
		if p.Vent == book.SlowVent {
			note = SafeSlow
		}
		add(Vent, note, 0, p.emptying())
	}
	switch {
	case p.Product == book.SolidKept:
		add(Settle, SafeSettle, 0, p.Settle)
		add(Drain, SafeDrain, 0, straining)
	case p.StrainFirst:
		add(Strain, SafeStrain, 0, straining)
		add(Settle, SafeSettle, 0, p.Settle)
	default:
		add(Settle, SafeSettle, 0, p.Settle)
		add(Strain, SafeStrain, 0, straining)
	}
	if p.Clear > 0 {
		add(Clear, SafeClear, 0, p.Clear)
	}
	add(Label, SafeLabel, 0, 0)
	add(Store, SafeStore, 0, 0)
	return s
}

// mostChargers gives the chargers of the run that takes the most.
func mostChargers(runs []Run) int {
	n := 0
	for _, r := range runs {
		n = max(n, r.Chargers)
	}
	return n
}

// emptying is from the vent to an empty vessel.
func (p Plan) emptying() time.Duration {
	if p.Vent == book.SlowVent {
		return emptyingSlowly
	}
	return emptying
}

// contact gives the span from filling to straining that the steps come to.
func contact(steps []Step) time.Duration {
	i := slices.IndexFunc(steps, func(s Step) bool { return s.Do == Strain || s.Do == Drain })
	return steps[i].At
}
