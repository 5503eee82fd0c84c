package voice

import (
	"strconv"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
)

// closedValues are the values of sentences about a list that was signed.
func (v Voice) closedValues(x *kitchen.Closed) values {
	vals := values{
		"day": v.dayOf(x.Day), "who": x.Signed.By, "at": x.Signed.Done, "chargers": v.chargers(x.Used), "reason": x.Reason,
		"n": len(x.Left) + len(x.Fenced) + x.More,
	}
	if x.Taken != nil {
		vals["taker"], vals["at"] = x.Taken.By, x.Taken.Done
	}
	return vals
}

// dayOf words a business day as a weekday and a date.
func (v Voice) dayOf(day string) Line {
	t, err := time.ParseInLocation(time.DateOnly, day, v.zone)
	if err != nil {
		return nil
	}
	return Line{{Text: v.date(t)}}
}

// summary sums a signed day up: what was made, wasted and left, and why.
func (v Voice) summary(k *kitchen.Kitchen, e kitchen.Entry) (Message, string) {
	x := k.Closing.Last
	if x == nil || x.N != e.Turn {
		return Message{}, "another day was signed"
	}
	m := message(v.say("summary.head", v.closedValues(x)), v.madeLine(x), v.scrappedLine(x), v.overLine(x))
	m.Lines = append(m.Lines, v.usedLines(x)...)
	m.Lines = append(m.Lines, v.leftLines(x)...)
	return m, ""
}

// leftNote tells a manager what was left, and why.
func (v Voice) leftNote(k *kitchen.Kitchen, e kitchen.Entry) (Message, string) {
	x := k.Closing.Last
	if x == nil || x.N != e.Turn {
		return Message{}, "another day was signed"
	}
	return message(append([]Line{v.say("left.head", v.closedValues(x))}, v.leftLines(x)...)...), ""
}

func (v Voice) madeLine(x *kitchen.Closed) Line {
	var names []string
	for _, m := range x.Made {
		name := m.Title
		if m.N > 1 {
			name += " x" + strconv.Itoa(m.N)
		}
		switch {
		case m.Product == book.SolidKept && m.Drained > 0:
			name += " " + v.amount(m.Drained)
		case m.Yield > 0:
			name += " " + v.amount(m.Yield)
		}
		if m.Unknown > 0 {
			name += " " + v.word("summary.unknown", values{"n": m.Unknown})
		}
		names = append(names, name)
	}
	if len(names) == 0 {
		return v.say("summary.none", nil)
	}
	return v.say("summary.made", values{"n": x.Batches - len(x.Scrapped), "names": v.names(names)})
}

func (v Voice) scrappedLine(x *kitchen.Closed) Line {
	if len(x.Scrapped) == 0 {
		return nil
	}
	return v.say("summary.scrapped", values{"n": len(x.Scrapped), "names": v.names(x.Scrapped)})
}

func (v Voice) overLine(x *kitchen.Closed) Line {
	var names []string
	for _, o := range x.Overruns {
		names = append(names, v.word("summary.over.one", values{"vessel": o.Vessel, "title": o.Title, "span": quantity.Words(o.For.Truncate(time.Minute))}))
	}
	if len(names) == 0 {
		return nil
	}
	return v.say("summary.over", values{"names": v.names(names)})
}

// usedLines say what the taps counted, and what was counted by hand.
func (v Voice) usedLines(x *kitchen.Closed) []Line {
	var lines []Line
	vals := v.closedValues(x)
	if x.Used > 0 {
		lines = append(lines, v.say("summary.used", vals))
	}
	if x.Shells == nil {
		return append(lines, v.say("summary.noshells", nil))
	}
	vals["n"], vals["want"] = x.Shells.N, x.Shells.Want
	return append(lines, v.say("summary.shells", vals))
}

func (v Voice) leftLines(x *kitchen.Closed) []Line {
	var lines []Line
	if len(x.Fenced) > 0 {
		lines = append(lines, v.say("summary.fenced", values{"vessels": tags(x.Fenced)}))
	}
	if len(x.Left) > 0 {
		lines = append(lines, v.say("summary.left", values{"names": v.names(v.itemNames(x.Left))}))
	}
	if x.Reason != "" {
		lines = append(lines, v.say("summary.why", v.closedValues(x)))
	}
	return lines
}

// morningNote says what the day before left, a vessel that does not vent first.
func (v Voice) morningNote(k *kitchen.Kitchen, now time.Time) (Message, string) {
	p := k.Morning(now.In(v.zone))
	if p.Empty() {
		return Message{}, "nothing to say"
	}
	var m Message
	for _, x := range p.Blocked {
		vals := values{"vessel": x.Vessel, "at": x.Since.Done, "day": day(x.Since.Done), "who": x.Since.By}
		if x.Fenced != nil {
			vals["who"] = x.Fenced.By
			m.Lines = append(m.Lines, v.say("morning.fenced", vals))
			continue
		}
		m.Lines = append(m.Lines, v.say("morning.blocked", vals))
	}
	var open []Line
	for _, x := range p.Open {
		open = append(open, v.itemLine(k, x))
	}
	m.Lines = append(m.Lines, v.few("and.more", open)...)
	if len(p.Open) > 0 || len(p.Blocked) > 0 {
		m.Lines = append(m.Lines, v.say("safe.empty", nil))
	}
	if x := p.Last; x != nil {
		if len(x.Left) > 0 {
			vals := v.closedValues(x)
			vals["names"] = v.names(v.itemNames(x.Left))
			m.Lines = append(m.Lines, v.say("morning.left", vals))
			m.Lines = append(m.Lines, v.say("summary.why", vals))
		}
	}
	if len(p.Expires) > 0 {
		var names []string
		for _, j := range p.Expires {
			names = append(names, j.Title)
		}
		m.Lines = append(m.Lines, v.say("morning.expires", values{"names": v.names(names)}))
	}
	if x := p.Last; x != nil {
		m.Lines = append(append(m.Lines, v.madeLine(x)), v.usedLines(x)...)
	}
	return m, ""
}

// lateCall says that a day ended with something open in it.
func (v Voice) lateCall(k *kitchen.Kitchen) (Message, string) {
	list := k.Overnight(k.Closing.Before)
	vals := values{"day": v.dayOf(k.Closing.Before), "n": len(list)}
	if len(list) == 0 {
		return Message{}, "nothing is open"
	}
	var lines []Line
	pressed := false
	for _, x := range list {
		lines = append(lines, v.itemLine(k, x))
		pressed = pressed || x.Pressed() || x.Code == kitchen.ItemBlocked
	}
	head := phrase("late.head")
	if last := k.Closing.Last; last != nil && last.Day == k.Closing.Before && !last.Shift {
		head = "late.signed"
	}
	m := message(append([]Line{v.say(head, vals)}, v.few("and.more", lines)...)...)
	if pressed {
		m.Lines = append(m.Lines, v.say("safe.empty", nil))
	}
	return m, ""
}
