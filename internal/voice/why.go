package voice

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ventbell/internal/plan"
)

// Why shows the figures behind a plan with their bands and short sources, in
// words that a cook reads: pressures to the whole bar, gas let go to the half
// litre, the room's air to two digits. At most so many lines of at most so many
// characters, for a thread on a phone.
const (
	whyLines  = 12
	whyLength = 110
)

// Why words why a plan is as it is.
func (v Voice) Why(p plan.Plan) []Line {
	rest := slices.Concat(
		v.whyGas(p), v.whyStrength(p.Figures), v.whyKeep(p.Figures.Keep),
		[]Line{v.whyYield(p.Figures)}, v.whyAir(p.Figures.Air),
	)
	lines := v.whyPressure(p)
	lines = append(lines[:min(len(lines), whyLines-len(rest))], rest...)
	for i := range lines {
		lines[i] = clip(lines[i])
	}
	return append(lines, v.whyLearned(p)...)
}

// clip cuts a line that grew too long by what stands in it.
func clip(l Line) Line {
	text := []rune(l.Plain())
	if len(text) <= whyLength {
		return l
	}
	return Line{{Text: strings.TrimRight(string(text[:whyLength-1]), " ,.") + "…"}}
}

// whyPressure gives a line for each run that differs from those before, the
// highest first, and then what may hold for some of them.
func (v Voice) whyPressure(p plan.Plan) []Line {
	runs := slices.Clone(p.Runs)
	slices.SortStableFunc(runs, func(a, b plan.Run) int {
		return cmp.Compare(b.Figures.Peak.Central, a.Figures.Peak.Central)
	})
	var lines, more []Line
	for _, run := range runs {
		f := run.Figures
		if !f.Known {
			lines = append(lines, v.say("why.unknown", values{"vessel": run.Vessel}))
			continue
		}
		lines = append(lines, v.say("why.pressure", values{
			"vessel": run.Vessel, "peak": whole(f.Peak.Central), "nth": v.word(nth(f), nil),
			"rest": whole(f.Rest.Central), "low": whole(math.Floor(f.Rest.Low)), "high": whole(math.Ceil(f.Rest.High)),
		}))
		if f.Liquid {
			more = append(more, v.say("why.liquid", values{"vessel": run.Vessel}))
		}
	}
	return append(lines, more...)
}

// nths are the words for the chargers in their order.
var nths = [...]phrase{"nth.1", "nth.2", "nth.3", "nth.4", "nth.5", "nth.6", "nth.7", "nth.8"}

// nth gives the charger at which the pressure stands highest.
func nth(f plan.RunFigures) phrase {
	i := slices.IndexFunc(f.Steps, func(s plan.ChargeFigures) bool { return s.Unswirled == f.Peak })
	return nths[min(max(i, 0), len(nths)-1)]
}

// whyGas gives what holds for the run that stands highest, for all of them.
func (v Voice) whyGas(p plan.Plan) []Line {
	run := slices.MaxFunc(p.Runs, func(a, b plan.Run) int {
		return cmp.Compare(a.Figures.Peak.Central, b.Figures.Peak.Central)
	})
	f := run.Figures
	if !f.Known {
		return nil
	}
	colder := v.word("why.warm", nil)
	if degrees := math.Round(f.Colder); degrees >= 1 {
		colder = v.word("why.colder", values{"degrees": degrees})
	}
	var lines []Line
	if run.Chargers > 1 {
		lines = append(lines, v.say("why.unswirled", values{"bar": whole(f.Unswirled.Central)}))
	}
	if f.StampBar > 0 {
		lines = append(lines, v.say("why.stamp", values{"vessel": run.Vessel, "stamp": v.figures(fmt.Sprint(f.StampBar))}))
	}
	return append(lines, v.say("why.gas", values{
		"vessel": run.Vessel, "dissolved": whole(f.Dissolved.Central), "prompt": v.figures(half(f.VentGas.Low)), "all": v.figures(half(f.VentGas.High)),
		"jug": v.amount(f.Jug), "colder": colder,
	}), v.say("why.sources", nil))
}

func (v Voice) whyStrength(f plan.Figures) []Line {
	if f.ABVHigh == 0 {
		return nil
	}
	lines := []Line{v.say("why.strength", values{
		"about": whole((f.ABVLow + f.ABVHigh) / 2), "low": whole(math.Floor(f.ABVLow + noise)), "high": whole(math.Ceil(f.ABVHigh - noise)),
	})}
	if f.FlashPoint > 0 {
		lines = append(lines, v.say("why.fire", values{"flash": whole(math.Floor(f.FlashPoint))}))
	}
	return lines
}

// noise is what a strength may be off by without meaning anything, % vol.
const noise = 1e-6

func (v Voice) whyKeep(k plan.Keep) []Line {
	vals := values{
		"storage": v.term(k.Storage), "days": k.Days, "class": v.term(k.Class), "rule": k.Rule,
		"reasons": v.terms(k.Reasons, "; "), "ask": v.terms(k.Ask, ", "),
	}
	keep := phrase("why.keep.days")
	if !k.UseBy.IsZero() {
		keep = "why.keep"
		vals["date"] = v.date(k.UseBy)
	}
	lines := []Line{v.say(keep, vals)}
	if len(k.Reasons) > 0 {
		lines = append(lines, v.say("why.reasons", vals))
	}
	if len(k.Ask) > 0 {
		lines = append(lines, v.say("why.ask", vals))
	}
	return lines
}

func (v Voice) whyYield(f plan.Figures) Line {
	vals := values{"yield": v.amount(f.Yield), "by": v.word("why.table", nil)}
	switch {
	case f.Kept.High > 0:
		vals["by"] = v.word("why.gauged", values{"low": v.figures(twoDigits(f.Kept.Low)), "high": v.figures(twoDigits(f.Kept.High))})
	case f.Weighed:
		vals["by"] = v.word("why.weighed", nil)
	}
	if f.Drained > 0 { // the pieces are kept
		vals["drained"] = v.amount(f.Drained)
		return v.say("why.drained", vals)
	}
	if f.Serves > 0 {
		vals["serves"] = v.count("why.serves", f.Serves, values{"serve": v.amount(f.Serve)})
	}
	if f.CostPerServe > 0 {
		cost := strings.TrimSpace(f.CostPerServe.String() + " " + f.Currency)
		vals["cost"] = v.word("why.cost", values{"cost": v.figures(cost)})
	}
	return v.say("why.yield", vals)
}

func (v Voice) whyAir(a *plan.Air) []Line {
	if a == nil {
		return nil
	}
	limits := make([]string, len(a.Limits))
	for i, l := range a.Limits {
		p := phrase("why.limit")
		if l.Over {
			p = "why.over"
		}
		limits[i] = v.word(p, values{"name": l.Name, "ppm": whole(l.PPM)})
	}
	return []Line{
		v.say("why.air", values{"step": v.figures(twoDigits(a.Step)), "peak": v.figures(twoDigits(a.Peak)), "mean": v.figures(twoDigits(a.Mean8h))}),
		v.say("why.limits", values{"limits": strings.Join(limits, ", ")}),
	}
}

// whole gives a figure without decimals.
func whole(f float64) string { return strconv.FormatFloat(math.Round(f), 'f', 0, 64) }

// half gives a figure to the half.
func half(f float64) string { return strconv.FormatFloat(math.Round(2*f)/2, 'f', -1, 64) }

// twoDigits gives a figure to two significant digits.
func twoDigits(f float64) string {
	short, err := strconv.ParseFloat(strconv.FormatFloat(max(f, 0), 'e', 1, 64), 64)
	if err != nil {
		return "" // a number written that way always reads back
	}
	return strconv.FormatFloat(short, 'f', -1, 64)
}
