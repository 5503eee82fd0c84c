package voice

import (
	"slices"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// called rings whom a call is for at its rung, and pages the channel where the
// house wants that; where nobody is on shift it speaks to whoever is there.
func (v Voice) called(k *kitchen.Kitchen, b *kitchen.Batch, kind kitchen.EntryKind, rung uint8) Line {
	line := v.rings(k.Circle(b, rung))
	if page := k.Pages(b, kind, rung); page != kitchen.PageNobody {
		line = append(line, Piece{Text: ", "}, Piece{Page: page})
	}
	return line
}

// rings rings people, or speaks to whoever is there.
func (v Voice) rings(people []kitchen.Person) Line {
	if len(people) == 0 {
		return v.say("ring.nobody", nil)
	}
	return v.fill(ring(people), false, false)
}

// named names people without ringing them.
func (v Voice) named(people []kitchen.Person) Line {
	var line Line
	for i, p := range people {
		if i > 0 {
			line = append(line, Piece{Text: ", "})
		}
		line = append(line, Piece{Person: &p})
	}
	return line
}

// crewed adds to an answer what the crew is to know about whoever asked.
func (v Voice) crewed(k *kitchen.Kitchen, a kitchen.Answer, m Message) Message {
	c := a.Crew
	if c == nil || a.Kind == kitchen.Told {
		return m
	}
	may := v.named(c.Trained[:min(len(c.Trained), 2)])
	if len(may) == 0 {
		may = v.say("crew.manager", nil)
	}
	vals := values{"may": may, "vessel": a.Vessel}
	switch {
	case !c.Named || a.Verb == request.Trained || a.Verb == request.Untrain:
	case a.Verb == request.Start:
		m.Lines = append(m.Lines, v.say("crew.start", vals))
		a.Choices = slices.DeleteFunc(slices.Clone(a.Choices), func(c kitchen.Choice) bool { return c.Code != kitchen.ChooseOffer })
		m = m.with(v.choices(k, a)...)
	default:
		m.Lines = append(m.Lines, v.say("crew.charged", vals))
	}
	if c.Unsigned {
		m.Lines = append(m.Lines, v.say("crew.unsigned", nil))
	}
	return m
}

// onNow says who is on shift, who is always reached and who may charge.
func (v Voice) onNow(c kitchen.CrewPage) Message {
	var on Line
	for i, d := range c.On {
		if i > 0 {
			on = append(on, Piece{Text: ", "})
		}
		on = append(on, Piece{Person: &d.Person})
		if d.Since != 0 {
			on = append(append(on, Piece{Text: " "}), v.say("told.on.since", values{"at": d.Since})...)
		}
	}
	head := v.say("told.on", values{"on": on})
	switch {
	case len(on) == 0:
		head = v.say("told.on.nobody", nil)
	case !c.ByWord:
		head = v.say("told.on.lately", values{"on": on})
	}
	m := message(head)
	if len(c.Managers) > 0 {
		m.Lines = append(m.Lines, v.say("told.on.managers", values{"managers": v.named(c.Managers)}))
	}
	switch {
	case len(c.Trained) > 0:
		m.Lines = append(m.Lines, v.say("told.on.trained", values{"may": v.named(c.Trained)}))
	case c.Named:
		m.Lines = append(m.Lines, v.say("told.on.untrained", nil))
	}
	return m
}

// joint words the calls that were due at about the same time: a line and a button
// for each vessel in order of urgency, then what goes for them all, then what was
// done meanwhile.
func (v Voice) joint(k *kitchen.Kitchen, e kitchen.Entry, sent bool, now kitchen.Moment) (Message, string) {
	j, known := k.JointOf(e.Batch)
	if !known {
		return Message{}, "over"
	}
	var open, over Message
	var rest []Line
	for _, made := range j.Calls {
		b := k.Batches[made.Batch]
		if b == nil {
			continue
		}
		one := kitchen.Entry{Kind: made.Kind, Batch: made.Batch, Turn: made.Turn, Rung: made.Rung, Due: made.Due.Time()}
		m, reason := v.Entry(k, one, sent, now.Time())
		switch {
		case reason != "" || len(m.Lines) == 0:
		case made.Kind != kitchen.VentCall && b.Strained != nil:
			over.Lines = append(over.Lines, v.say("strain.over", v.about(b)))
		case len(m.Buttons) == 0:
			over.Lines = append(over.Lines, m.Lines[0])
		default:
			c := call{Voice: v, k: k, b: b, e: one, now: now}
			late := c.late(lateOf(b, made.Kind))
			open.Lines = append(open.Lines, message(m.Lines[0], late).Lines...)
			for _, l := range m.Lines[1:] {
				if l.Plain() != late.Plain() && !slices.ContainsFunc(rest, func(o Line) bool { return o.Plain() == l.Plain() }) {
					rest = append(rest, l)
				}
			}
			button := m.Buttons[0]
			button.Label, button.Main = b.Vessel+": "+button.Label, len(open.Buttons) == 0
			open = open.with(button)
		}
	}
	open.Lines = slices.Concat(open.Lines, rest, over.Lines)
	switch {
	case len(open.Lines) == 0:
		return Message{}, "over"
	case len(open.Buttons) == 0 && !sent:
		return Message{}, "answered"
	}
	return open, ""
}

// lateOf is what a late call of a kind says.
func lateOf(b *kitchen.Batch, kind kitchen.EntryKind) phrase {
	switch {
	case kind != kitchen.VentCall:
		return "strain.late"
	case b.Phase == kitchen.Scrapped:
		return "vent.late.scrap"
	}
	return "vent.late"
}

// instead names who is called in the place of somebody who would rather not vent.
func (v Voice) instead(c *kitchen.CrewPage) Line {
	if c == nil || len(c.Called) == 0 {
		return v.say("ring.nobody", nil)
	}
	return v.named(c.Called[:min(len(c.Called), 2)])
}
