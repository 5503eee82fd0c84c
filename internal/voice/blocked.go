package voice

import (
	"slices"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// blockedValues gives what sentences about a vessel that does not vent use.
func (v Voice) blockedValues(x *kitchen.Block, vessel string) values {
	vals := values{"vessel": vessel, "since": x.Since.Done, "blockedBy": x.Since.By, "try": x.TryAt()}
	if x.Fenced != nil {
		vals["fenced"], vals["fencedBy"] = x.Fenced.Done, x.Fenced.By
	}
	if x.Claimed != nil {
		vals["claimed"], vals["claimedBy"] = x.Claimed.Done, x.Claimed.By
	}
	return vals
}

// blockedSteps say what to do now with a vessel that does not vent, and with which
// taps: cold first, then another try, then the fence.
func (v Voice) blockedSteps(x *kitchen.Block, vessel string, now kitchen.Moment) ([]Line, []Button) {
	vals := v.blockedValues(x, vessel)
	trouble := request.Request{Verb: request.Trouble, Kind: request.Blocked, Vessel: vessel}
	cold := Button{Label: v.word("button.cold", nil), Tap: kitchen.Tap{Line: trouble.String(), N: int(x.N), With: kitchen.TapCold}}
	still := Button{Label: v.word("button.still", nil), Tap: kitchen.Tap{Line: trouble.String(), N: int(x.N), With: kitchen.TapStill}}
	flows := Button{Label: v.word("button.flows", nil), Tap: kitchen.Tap{Line: request.Request{Verb: request.Freed, Vessel: vessel}.String()}}
	fence := Button{Label: v.word("button.fence", nil), Tap: kitchen.Tap{Line: request.Request{Verb: request.Fenced, Vessel: vessel}.String()}}
	var lines []Line
	if x.Claimed != nil {
		lines = append(lines, v.say("blocked.claimed", vals))
	}
	switch {
	case x.Cold != nil && now < x.TryAt():
		return append(lines, v.say("blocked.wait", vals)), []Button{main(still), flows}
	case x.Cold != nil:
		return append(lines, v.say("blocked.try", vals)), []Button{main(still), flows}
	case x.Fenced != nil:
		return append(lines, v.say("blocked.fenced", vals)), []Button{main(cold), flows}
	case x.Tries > 0:
		return append(lines, v.say("blocked.fence", vals)), []Button{main(fence), cold, flows}
	}
	return append(lines, v.say("blocked.cold", vals)), []Button{main(cold), still, flows}
}

// blockedSlip is the message of a batch whose vessel does not vent.
func (v Voice) blockedSlip(b *kitchen.Batch, now kitchen.Moment) Message {
	vals := v.blockedValues(b.Blocked, b.Vessel)
	vals["title"], vals["gas"] = b.Title, v.chargers(b.Gas())
	lines, buttons := v.blockedSteps(b.Blocked, b.Vessel, now)
	head := phrase("blocked.slip")
	if b.Gas() == 0 {
		head = "blocked.slip.none"
	}
	m := message(v.say(head, vals))
	m.Lines = append(m.Lines, lines...)
	m.Lines = append(m.Lines, message(v.overCount(b), v.say("safe.empty", nil)).Lines...)
	return m.with(buttons...)
}

// blockedCall calls for a vessel that does not vent.
func (v Voice) blockedCall(x *kitchen.Block, vessel string, people []kitchen.Person, now kitchen.Moment) Message {
	vals := v.blockedValues(x, vessel)
	vals["ring"] = ring(people)
	head := phrase("blocked.call")
	if x.Fenced != nil {
		head = "blocked.call.fenced"
	}
	lines, buttons := v.blockedSteps(x, vessel, now)
	m := message(v.say(head, vals))
	m.Lines = append(append(m.Lines, lines...), v.say("safe.empty", nil))
	return m.with(buttons...)
}

// blockCall words the call for a vessel that does not vent and that no batch calls
// for.
func (v Voice) blockCall(k *kitchen.Kitchen, e kitchen.Entry, sent bool, now kitchen.Moment) (m Message, reason string) {
	x, vessel := k.Block(e.Turn)
	switch {
	case x == nil && sent:
		return message(v.say("blocked.over", nil)), ""
	case x == nil:
		return Message{}, "over"
	}
	return v.blockedCall(x, vessel, k.Head.Team.Managers, now), ""
}

// blockedSafety answers that a vessel does not vent: what to do now comes first.
func (v Voice) blockedSafety(k *kitchen.Kitchen, a kitchen.Answer, m Message) (Message, bool) {
	x := k.Vessels[a.Vessel].Blocked
	if x == nil {
		return m, false
	}
	lines, buttons := v.blockedSteps(x, a.Vessel, a.At)
	m.Lines = append(append(m.Lines[:1:1], lines...), v.say("safe.empty", nil))
	return m.with(buttons...), true
}

// blockedLines are the vessels on the board that do not vent and in which no batch
// is known.
func (v Voice) blockedLines(k *kitchen.Kitchen) []Line {
	var lines []Line
	for _, x := range k.Blockages() {
		if _, b := k.Look(x.Vessel); b == nil {
			lines = append(lines, v.say("board.blocked.only", values{"vessel": x.Vessel, "since": x.Since.Done, "blockedBy": x.Since.By}))
		}
	}
	return lines
}

// withdrawn gives the vessels that are out of use and hold nothing.
func withdrawn(k *kitchen.Kitchen) []string {
	var tags []string
	for tag := range k.Vessels {
		if state, _ := k.Look(tag); state == kitchen.VesselWithdrawn {
			tags = append(tags, tag)
		}
	}
	slices.Sort(tags)
	return tags
}
