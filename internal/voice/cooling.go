package voice

import "ventbell/internal/kitchen"

// coolingValues are the values of sentences about a cooling log.
func (v Voice) coolingValues(c *kitchen.Cooling) values {
	limit, by := c.Limit()
	vals := values{"vessel": c.Vessel, "title": c.Title, "limit": v.degrees(limit.Degrees()), "by": by}
	if c.Last != nil {
		vals["temp"], vals["at"] = v.degrees(c.Last.Temp.Degrees()), c.Last.Done
	}
	return vals
}

// coolingCall calls for a reading, or says that what was made warm was not cold in
// time.
func (v Voice) coolingCall(k *kitchen.Kitchen, e kitchen.Entry, sent bool) (Message, string) {
	c := k.CoolingByNumber(e.Turn)
	if c == nil {
		return Message{}, "log is over"
	}
	vals := v.coolingValues(c)
	vals["ring"] = ring(k.CoolingCircle(c, e.Rung))
	switch {
	case c.Failed && c.Missed:
		return message(v.say("cooling.missed", vals), v.say("cooling.bin", nil), v.say("cooling.law", nil)), ""
	case c.Failed:
		return message(v.say("cooling.failed", vals), v.say("cooling.bin", nil), v.say("cooling.law", nil)), ""
	case c.Last != nil && sent:
		return message(v.say("cooling.done", vals)), ""
	case c.Last != nil:
		return Message{}, "answered"
	case sent && c.First != nil && kitchen.At(e.Due) < c.From.Add(kitchen.CoolLastIn):
		return message(v.say("cooling.next", vals)), ""
	}
	return message(v.say("cooling.call", vals), v.say("cooling.how", vals), v.say("cooling.law", nil)), ""
}

// cooledDone says what a reading comes to.
func (v Voice) cooledDone(a kitchen.Answer) Message {
	c := a.Closing.Hot
	vals := v.coolingValues(c)
	r := c.Readings[len(c.Readings)-1]
	vals["temp"], vals["at"] = v.degrees(r.Temp.Degrees()), r.Done
	switch {
	case c.Failed:
		return message(v.say("cooling.failed.said", vals), v.say("cooling.bin", nil), v.say("cooling.law", nil))
	case c.Last != nil:
		return message(v.say("cooling.done", vals))
	}
	return message(v.say("done.cooled", vals), v.say("cooling.next", vals), v.say("cooling.how", vals))
}

// warned says on what goes onto a label that a batch was not cold in time; nothing
// where it was, or need not be.
func (v Voice) warned(k *kitchen.Kitchen, b *kitchen.Batch) Line {
	if c := k.CoolingOf(b.ID); c != nil && c.Failed {
		return v.say("closing.cooling.failed", v.coolingValues(c))
	}
	return nil
}
