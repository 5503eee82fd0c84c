package voice

import (
	"strconv"
	"strings"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// registered words the vessel register, or one vessel's own page.
func (v Voice) registered(k *kitchen.Kitchen, a kitchen.Answer) Message {
	page := a.Register
	if page == nil || len(page.Vessels) == 0 {
		return message(v.say("register.none", values{"vessel": a.Vessel}))
	}
	if page.Whole {
		return v.vesselPage(k, page.Vessels[0], a.At)
	}
	m := message(v.say("register", values{"at": a.At, "vessel": page.Vessels[0].Vessel.Tag}))
	for _, r := range page.Vessels {
		m.Lines = append(m.Lines, v.registerLine(k, r, a.At))
	}
	return m
}

// registerLine is one vessel in a line: its state, and what is due.
func (v Voice) registerLine(k *kitchen.Kitchen, r kitchen.RegisterLine, now kitchen.Moment) Line {
	vals := values{"vessel": r.Vessel.Tag, "state": v.word(phrase("state."+string(r.State)), nil), "due": v.checkDue(r, now)}
	b := k.Batches[r.Batch]
	switch {
	case r.Record.Blocked != nil:
		return v.say("register.blocked", v.blockedValues(r.Record.Blocked, r.Vessel.Tag))
	case r.State == kitchen.VesselPressurised && b != nil:
		vals["gas"] = v.pressurised(b)
		return v.say("register.gas", vals)
	case r.Record.Withdrawn != nil:
		w := r.Record.Withdrawn
		vals["day"], vals["who"], vals["why"] = day(w.Done), w.By, short(w.Why)
		if w.Why == "" {
			return v.say("register.withdrawn", vals)
		}
		return v.say("register.withdrawn.why", vals)
	case r.Why == kitchen.RefusePlastic:
		return v.say("register.plastic", vals)
	case len(r.Record.Traces) > 0:
		vals["allergens"] = v.terms(r.Record.Traces, ", ")
		return v.say("register.traces", vals)
	}
	return v.say("register.line", vals)
}

// pressurised says of a batch since when its vessel is PRESSURISED, and by whom.
func (v Voice) pressurised(b *kitchen.Batch) string {
	m := b.GasSince()
	return v.word("pressurised", values{"since": m.Done, "by": m.By, "gas": v.chargers(b.Gas())})
}

// checkDue says when gasket and valve of a vessel are to be looked at.
func (v Voice) checkDue(r kitchen.RegisterLine, now kitchen.Moment) string {
	vals := values{"day": day(r.CheckBy)}
	switch {
	case r.CheckBy == 0:
		return v.word("check.never", nil)
	case r.Why == kitchen.RefuseUnchecked:
		return v.word("check.shut", vals)
	case r.CheckBy <= now:
		return v.word("check.overdue", vals)
	}
	return v.word("check.by", vals)
}

// vesselPage is all that the register knows of one vessel.
func (v Voice) vesselPage(k *kitchen.Kitchen, r kitchen.RegisterLine, now kitchen.Moment) Message {
	x := r.Vessel
	none := v.word("vessel.none", nil)
	orNone := func(known bool, text string) string {
		if known {
			return text
		}
		return none
	}
	metal := func(name string) string { return orNone(name != "", v.word(phrase("choice."+name), nil)) }
	vals := values{
		"vessel": x.Tag, "nominal": v.amount(x.Nominal), "line": v.amount(x.Line), "brim": orNone(x.Brim > 0, v.amount(x.Brim)),
		"limit": orNone(x.Limit > 0, v.chargers(x.Limit)), "bar": orNone(x.StampedBar > 0, v.figures(strconv.Itoa(x.StampedBar))+" bar"),
		"body": metal(x.Material), "head": metal(x.Head),
	}
	m := message(v.registerLine(k, r, now), v.say("vessel.size", vals), v.say("vessel.limits", vals))
	var more []Line
	if x.Insulated {
		more = append(more, v.say("vessel.insulated", nil))
	}
	if x.NutFree {
		more = append(more, v.say("vessel.nutfree", nil))
	}
	m.Lines = append(m.Lines, message(joinedLine(more)).Lines...)
	m.Lines = append(m.Lines, v.checkedLine(r))
	if len(r.Record.Traces) > 0 {
		m.Lines = append(m.Lines, v.say("vessel.traces", values{
			"allergens": v.terms(r.Record.Traces, ", "), "title": r.Record.Left,
		}))
	}
	if b := k.Batches[r.Batch]; r.State == kitchen.VesselPressurised && b != nil {
		return m.with(v.emptyButton(b))
	}
	if x := r.Record.Blocked; x != nil {
		_, buttons := v.blockedSteps(x, r.Vessel.Tag, now)
		return m.with(buttons...)
	}
	return m.with(Button{
		Label: v.word("button.checked", nil), Tap: kitchen.Tap{Line: request.Request{Verb: request.Checked, Vessel: x.Tag}.String()},
	})
}

// joinedLine puts short sentences into one line.
func joinedLine(lines []Line) Line {
	var all Line
	for i, l := range lines {
		if i > 0 {
			all = all.with(Piece{Text: " "})
		}
		all = all.with(l...)
	}
	return all
}

// checkedLine says who looked at gasket and valve last, and how often it is done.
func (v Voice) checkedLine(r kitchen.RegisterLine) Line {
	every, said := r.Vessel.CheckEvery, phrase("vessel.checked")
	vals := values{"day": day(r.CheckBy)}
	if every == 0 {
		every = int(kitchen.CheckEvery.Hours() / 24)
		vals["source"] = v.word("vessel.practice", nil)
	}
	vals["days"] = v.count("days", every, nil)
	switch c := r.Record.Checked; {
	case c != nil:
		vals["on"], vals["who"] = day(c.Done), c.By
	case r.CheckBy != 0:
		said = "vessel.unchecked"
	default:
		said = "vessel.unused"
	}
	return v.say(said, vals)
}

// brim says how a brim volume is measured.
func (v Voice) brim(a kitchen.Answer) Message {
	m := message(v.say("brim.how", nil), v.say("brim.sum", nil), v.say("brim.care", nil))
	if a.Vessel != "" {
		m.Lines = append(m.Lines, v.say("brim.vessel", values{"vessel": a.Vessel}))
	}
	return m
}

// overdueLines warn of vessels whose gasket and valve were not looked at.
func (v Voice) overdueLines(a kitchen.Answer) []Line {
	if a.Register == nil {
		return nil
	}
	var tags []string
	for _, r := range a.Register.Vessels {
		tags = append(tags, r.Vessel.Tag)
	}
	first := a.Register.Vessels[0]
	return []Line{v.say("check.warn", values{"vessels": strings.Join(tags, ", "), "vessel": first.Vessel.Tag, "day": day(first.CheckBy)})}
}

// registerValues adds to the values of an answer what is said of its vessel.
func (v Voice) registerValues(k *kitchen.Kitchen, a kitchen.Answer) values {
	vals := v.answerValues(k, a)
	if b := k.Batches[a.Batch]; b != nil && b.GasSince().Done != 0 {
		switch a.Code {
		case kitchen.RefuseOccupied, kitchen.RefuseInUse, kitchen.RefusePressured:
			vals["gas"] = v.pressurised(b)
		}
	}
	if len(a.Allergens) > 0 {
		vals["allergens"] = v.terms(a.Allergens, ", ")
	}
	if a.Register != nil && len(a.Register.Vessels) > 0 {
		vals["day"] = day(a.Register.Vessels[0].CheckBy)
	}
	return vals
}

// aboutVessels says that a verb is about a vessel, not about its batch.
func aboutVessels(verb request.Verb) bool {
	switch verb {
	case request.Withdraw, request.Return, request.Checked, request.Fenced, request.Washed, request.DeepWash:
		return true
	}
	return false
}

// aboutWash says how a deep wash is done, and which wash there was.
func (v Voice) aboutWash(a kitchen.Answer) []Line {
	switch {
	case a.Code == kitchen.AskDeep:
		return []Line{v.say("ask.deep.how", nil)}
	case a.Code == kitchen.AskTraces && a.Washed:
		return []Line{v.say("ask.traces.plain", values{"at": a.At, "who": a.Who}), v.say("ask.deep.how", nil)}
	case a.Code == kitchen.AskTraces:
		return []Line{v.say("ask.deep.how", nil)}
	case a.Code == kitchen.RefuseBlocked, a.Code == kitchen.RefuseClaim, a.Code == kitchen.AskFreed:
		return []Line{v.say("safe.empty", nil)}
	}
	return nil
}

// alsoVessel says what goes with a thing that was done to a vessel.
func (v Voice) alsoVessel(k *kitchen.Kitchen, a kitchen.Answer, b *kitchen.Batch) []Line {
	vals := v.registerValues(k, a)
	var lines []Line
	switch {
	case a.Verb == request.Withdraw:
		if a.Line == "" {
			lines = append(lines, v.say("done.withdraw.why", vals))
		}
		state, _ := k.Look(a.Vessel)
		switch {
		case state == kitchen.VesselPressurised:
			lines = append(lines, v.say("done.withdraw.gas", vals), v.say("safe.empty", nil))
		case b != nil && b.Phase == kitchen.Loading:
			lines = append(lines, v.say("done.withdraw.load", vals))
		}
	case a.Verb == request.Washed && len(a.Allergens) > 0:
		lines = append(lines, v.say("done.washed.traces", vals))
	}
	return lines
}
