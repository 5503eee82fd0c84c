package plan

import (
	"slices"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// What the book gives no span for. A batch's own clocks run from what the crew
// taps; these only say where in the plan a step will come (estimates).
const (
	// emptying is from the vent to an empty vessel: the flow, then two silent
	// presses 30 s apart.
	emptying = time.Minute
	// straining is from the first pour to the last drop.
	straining = 2 * time.Minute
)

// warm is the highest target temperature that asks for no warning (estimate):
// above it a 40 % spirit is near its flash point.
const warm = 25 * quantity.Celsius

// steps lays the plan's steps out, counted from the first charger going in.
// Weighing and filling stand at 0, for nothing is clocked before the first
// charger. Each charger takes its swirl and the next follows at once. Where
// the runs differ in chargers the steps are those of the run with the most.
func steps(p Plan) []Step {
	chargers := mostChargers(p.Runs)
	s := make([]Step, 0, 9+2*chargers)
	var at time.Duration
	add := func(do StepKind, note NoteCode, n int, takes time.Duration) {
		s = append(s, Step{At: at, Do: do, Note: note, N: n})
		at += takes
	}
	add(Weigh, "", 0, 0)
	add(Fill, SafeFill, 0, 0)
	for n := 1; n <= chargers; n++ {
		add(Charge, SafeCharge, n, 0)
		add(Swirl, SafeSwirl, 0, p.Swirl)
	}
	add(Rest, SafeRest, 0, p.Rest.Target)
	add(Vent, SafeVent, 0, emptying)
	if p.StrainFirst {
		add(Strain, SafeStrain, 0, straining)
		add(Settle, SafeSettle, 0, p.Settle)
	} else {
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

// notes gives what to know, in the order in which it matters: the choice of
// the batch, then weighing and filling, charging, and what comes after the vent.
func notes(p Plan, r book.Recipe, vessels []book.Vessel) []Note {
	var out []Note
	add := func(when bool, n Note) {
		if when {
			out = append(out, n)
		}
	}
	add(!p.House, Note{Code: NoteNotHouse, Name: p.Class})
	add(!p.VolumeSaid, Note{Code: NoteHouseBatch, Volume: r.Batch})
	for _, a := range p.Allergens {
		add(true, Note{Code: NoteAllergen, Name: a})
	}
	add(p.Temp.Target > warm, Note{Code: NoteWarm})
	for _, v := range vessels {
		add(v.Brim == 0, Note{Code: NoteNoBrim, Vessel: v.Tag})
	}
	for _, v := range vessels {
		n := chargers(r, v)
		cut := v.Limit > 0 && n < wanted(r, v)
		thin := int64(n)*int64(r.Proven) < int64(r.Chargers)*int64(v.Nominal)
		add(v.Limit == 0, Note{Code: NoteNoLimit, Vessel: v.Tag, Count: n})
		add(cut, Note{Code: NoteFewerCharges, Vessel: v.Tag, Count: n})
		add(v.Nominal > r.Proven && thin, Note{Code: NoteWeaker, Vessel: v.Tag, Count: n, Volume: v.Nominal})
	}
	add(p.Gentle, Note{Code: NoteGentle})
	add(contact(p.Steps) > p.Contact, Note{Code: NoteShortContact, Span: p.Contact})
	add(p.StrainFirst, Note{Code: NoteStrainFirst})
	add(p.Clear > 0, Note{Code: NoteStandClear, Span: p.Clear})
	return out
}

// contact gives the span from filling to straining that the steps come to.
func contact(steps []Step) time.Duration {
	i := slices.IndexFunc(steps, func(s Step) bool { return s.Do == Strain })
	return steps[i].At
}
