package voice

import (
	"fmt"
	"strings"

	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// Echo says in one line how a request was understood.
func (v Voice) Echo(r request.Request) string {
	title := r.Recipe
	if title == "" && r.Solid != "" {
		title = r.Solid + " " + r.Base
	}
	parts := []string{v.word(phrase("echo."+string(r.Verb)), values{"title": title})}
	add := func(p phrase, value any, said bool) {
		if said {
			parts = append(parts, v.word(p, values{"value": value}))
		}
	}
	add("echo.volume", r.Volume.String(), r.Volume > 0)
	add("echo.serves", r.Serves, r.Serves > 0)
	add("echo.serve", r.Serve.String(), r.Serve > 0)
	add("echo.count", r.Count, r.Count > 1)
	add("echo.split", "", r.Split)
	add("echo.solids", r.Solids.String(), r.Solids > 0)
	add("echo.rest", quantity.Clock(r.Rest), r.Rest > 0)
	if r.Temp != nil {
		add("echo.temp", r.Temp.String(), true)
	}
	add("echo.extra", quantity.Words(r.Extra), r.Extra > 0)
	add("echo.vessel", r.Vessel, r.Vessel != "")
	add("echo.text", r.Text, r.Text != "")
	if !r.Done.IsZero() {
		add("echo.done", r.Done.In(v.zone).Format("15:04:05"), true)
	}
	return strings.Join(parts, ", ") + "."
}

// Plan words a whole plan as lines, for where there is room for it.
func (v Voice) Plan(p plan.Plan) []string {
	vals := values{
		"title": p.Title, "volume": p.Volume.String(), "vessels": vesselsOf(p), "choose": p.Choose, "use": p.Use,
		"low": p.Temp.Min.Degrees(), "high": p.Temp.Max.Degrees(), "judge": quantity.Words(p.JudgeAfter),
	}
	lines := []string{v.word("plan.title", vals)}
	for _, run := range p.Runs {
		for _, s := range run.Solids {
			said := phrase("plan.run")
			if s.Prep == "" {
				said = "plan.run.plain"
			}
			lines = append(lines, v.word(said, values{
				"vessel": run.Vessel, "liquid": run.Liquid.String(), "base": p.Base, "grams": s.Mass.String(),
				"solid": s.Name, "prep": s.Prep, "chargers": v.chargers(run.Chargers), "charge": run.Charge.String(),
			}))
		}
	}
	for _, run := range p.Runs {
		if at := run.Figures.StartAt; at > 0 {
			said := phrase("plan.later")
			if run.Figures.Round > 1 {
				said = "plan.again"
			}
			lines = append(lines, v.word(said, values{"vessel": run.Vessel, "at": quantity.Clock(at), "round": run.Figures.Round}))
		}
	}
	if p.Choose != "" {
		lines = append(lines, v.word("plan.choose", vals))
	}
	lines = append(lines, v.word("plan.temp", vals))
	for _, s := range p.Steps {
		line := fmt.Sprintf("%6s  %s", quantity.Clock(s.At), v.StepName(s))
		if note := v.StepNote(s); note != "" {
			line += ": " + note
		}
		lines = append(lines, line)
	}
	for _, why := range v.Why(p) {
		lines = append(lines, why.Plain())
	}
	lines = append(lines, v.Notes(p)...)
	lines = append(lines, v.word("plan.judge", vals))
	if p.Use != "" {
		lines = append(lines, v.word("plan.use", vals))
	}
	return append(lines, v.word("plan.manual", nil))
}

func vesselsOf(p plan.Plan) string {
	var tags []string
	for _, run := range p.Runs {
		tags = append(tags, run.Vessel)
	}
	return strings.Join(tags, " + ")
}

// StepName names a step: "charge 2".
func (v Voice) StepName(s plan.Step) string {
	name := v.word(phrase("step."+string(s.Do)), nil)
	if s.N > 0 {
		return fmt.Sprintf("%s %d", name, s.N)
	}
	return name
}

// StepNote words a step's safety note.
func (v Voice) StepNote(s plan.Step) string {
	return v.note(plan.Note{Code: s.Note}).Plain()
}

// Notes words a plan's notes.
func (v Voice) Notes(p plan.Plan) []string {
	var lines []string
	for _, n := range p.Notes {
		if line := v.note(n); len(line) > 0 {
			lines = append(lines, line.Plain())
		}
	}
	return lines
}
