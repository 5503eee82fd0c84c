package voice

import (
	"fmt"
	"strings"
	"time"

	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// Echo says in one line how a request was understood.
func (v Voice) Echo(r request.Request) string {
	title := r.Recipe
	if title == "" && (r.Solid != "" || r.Verb == request.OpenLot) {
		title = strings.TrimSpace(r.Solid + " " + r.Base)
	}
	said := phrase("echo." + string(r.Verb))
	if r.Verb == request.RestFor {
		said = "echo.restfor"
	}
	weighed := r.Verb == request.Strained && r.Solids > 0
	parts := []string{v.word(said, values{"title": title, "kept": weighed})}
	if named := string(r.Topic) + string(r.Kind); named != "" {
		kind := phrase("topic.")
		if r.Kind != "" {
			kind = "kind."
		}
		parts = append(parts, v.word(kind+phrase(named), nil))
	}
	add := func(p phrase, value any, said bool) {
		if said {
			parts = append(parts, v.word(p, values{"value": value}))
		}
	}
	add("echo.text", title, title != "" && r.Verb != request.Start)
	add("echo.volume", v.amount(r.Solids), weighed)
	add("echo.volume", v.amount(r.Volume), r.Volume > 0)
	if r.Serves > 0 {
		parts = append(parts, v.count("echo.serves", r.Serves, nil))
	}
	add("echo.serve", v.amount(r.Serve), r.Serve > 0)
	add("echo.count", r.Count, r.Count > 1)
	add("echo.split", "", r.Split)
	add("echo.solids", v.amount(r.Solids), r.Solids > 0 && !weighed)
	add("echo.rest", quantity.Clock(r.Rest), r.Rest > 0)
	if r.Temp != nil {
		add("echo.temp", v.degrees(r.Temp.Degrees()), r.Verb != request.Fridge)
		add("echo.text", v.degrees(r.Temp.Degrees()), r.Verb == request.Fridge)
	}
	add("echo.extra", quantity.Words(r.Extra), r.Extra > 0)
	add("echo.inall", v.chargers(r.Chargers), r.InAll)
	add("echo.text", v.chargers(r.Chargers), r.Chargers > 0 && !r.InAll && r.Verb != request.Shells)
	add("echo.text", v.count("shells", r.Chargers, nil), r.Verb == request.Shells)
	add("echo.text", v.term(r.Allergen), r.Allergen != "")
	add("echo.text", v.verdict(r.Verdict), r.Verdict != "")
	add("echo.yesterday", "", r.OfYesterday)
	add("echo.for", v.wanted(r.For), !r.For.IsZero())
	add("echo.text", v.ofLot(r.Lot, r.Code), r.Lot != "" || r.Code != "")
	add("echo.vessel", r.Vessel, r.Vessel != "")
	add("echo.text", r.Text, r.Text != "")
	if !r.Done.IsZero() {
		add("echo.done", r.Done.In(v.zone).Format("15:04:05"), true)
	}
	return strings.Join(parts, ", ") + "."
}

// wanted tells when something is wanted: a moment, or a whole day.
func (v Voice) wanted(t time.Time) string {
	t = t.In(v.zone)
	if t.Hour() == 0 && t.Minute() == 0 {
		return v.date(t)
	}
	return t.Format("15:04")
}

// Plan words a whole plan as lines, for where there is room for it.
func (v Voice) Plan(p plan.Plan) []string {
	vals := values{
		"title": p.Title, "volume": v.amount(p.Volume), "vessels": vesselsOf(p), "choose": p.Choose, "use": p.Use,
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
				"vessel": run.Vessel, "liquid": v.amount(run.Liquid), "base": v.term(p.Base), "grams": v.amount(s.Mass),
				"solid": v.term(s.Name), "prep": v.prepared(s.Prep), "chargers": v.chargers(run.Chargers), "charge": v.amount(run.Charge),
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
		said := v.StepName(s)
		if note := v.StepNote(s); note != "" {
			said = v.word("step.line", values{"step": said, "note": note})
		}
		lines = append(lines, fmt.Sprintf("%6s  %s", quantity.Clock(s.At), said))
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
