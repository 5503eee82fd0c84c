package voice

import (
	"slices"
	"strings"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// safety words the answer to something wrong: what to do first, then what goes
// with it, then what the vessel holds.
func (v Voice) safety(k *kitchen.Kitchen, a kitchen.Answer) Message {
	if a.Verb == request.Emergency {
		return v.harm(k, a)
	}
	b := k.Batches[a.Batch]
	vals := v.answerValues(k, a)
	vals["where"] = where(a.Vessel)
	gas := b != nil && b.Gas() > 0
	m := message(v.say(phrase("wrong."+string(a.Wrong)), vals))
	add := func(lines ...Line) { m.Lines = append(m.Lines, message(lines...).Lines...) }
	switch a.Wrong {
	case request.Blocked:
		if known, is := v.blockedSafety(k, a, m); is {
			m = known
		} else {
			add(v.say("safe.blocked", nil), v.say("safe.empty", nil))
		}
	case request.Leaking:
		add(v.say("wrong.leaking.next", nil), v.say("safe.empty", nil))
	case request.Hissing:
		add(v.say("wrong.hissing.next", nil), v.say("safe.empty", nil), v.say("safe.blocked", nil))
	case request.Stuck:
		add(v.say("wrong.stuck.next", nil), v.say("safe.empty", nil))
	case request.Foaming:
		add(v.say("wrong.foaming.next", nil))
		if gas || b == nil {
			add(v.say("safe.empty", nil))
		}
	case request.Overrun:
		m = v.overrun(b, len(a.Batches) > 0, vals)
	}
	if a.Wrong != request.Overrun && b != nil {
		add(v.stands(b, len(a.Choices) > 0))
	}
	if list := those(k, a.Batches); b == nil && len(list) > 0 {
		add(v.say("wrong.which", values{"vessels": vesselsOfThe(list)}))
	}
	if a.Wrong != request.Foaming && a.Wrong != request.Overrun && (a.Vessel != "" || len(a.Batches) > 0) {
		told := phrase("wrong.told")
		if !gas && len(a.Batches) == 0 { // nothing is called
			told = "wrong.told.only"
		}
		add(v.say(told, nil))
	}
	return m.with(v.choices(k, a)...)
}

// where names a vessel in the middle of a sentence, if one is known.
func where(vessel string) Line {
	if vessel == "" {
		return nil
	}
	return Line{{Text: ", " + vessel, Strong: true}}
}

// stands says what is counted in a vessel that something is wrong with. One that
// was told empty may be told charged again, by a button.
func (v Voice) stands(b *kitchen.Batch, again bool) Line {
	if again && b.Emptied != nil {
		return v.say("wrong.emptied", v.about(b))
	}
	return v.boardLine(b)
}

// overrun says what to do with what rested or stood too long.
func (v Voice) overrun(b *kitchen.Batch, pressed bool, vals values) Message {
	switch {
	case b == nil && pressed: // one of them
		return message(v.say("wrong.forgotten.any", nil), v.say("safe.vent", nil), v.say("safe.empty", nil))
	case b != nil && b.Gas() > 0:
		return message(v.say("wrong.forgotten.gas", vals), v.overCount(b), v.safeVent(b), v.say("safe.empty", nil)).
			with(v.emptyButton(b))
	case b != nil && b.Strained == nil && b.Ended == nil && b.Emptied != nil:
		return message(v.say("wrong.forgotten.wet", vals), v.safeStrain(b)).
			with(main(v.button(b, "button.strained", "strained", 0)))
	}
	return message(v.say("wrong.forgotten", vals))
}

// harm says whom to call, then what helps at once, then what is under pressure.
// It says nothing of what somebody may have.
func (v Voice) harm(k *kitchen.Kitchen, a kitchen.Answer) Message {
	call, held := phrase("harm.call"), phrase("harm.gas")
	if a.Wrong == request.Fire {
		call, held = "harm.call.fire", "harm.gas.fire"
	}
	m := message(v.say(call, values{"number": strings.Join(a.Aid.Numbers, " / ")}))
	if a.Aid.House != "" {
		m.Lines = append(m.Lines, Line{{Text: a.Aid.House}})
	}
	m.Lines = append(m.Lines, v.say(phrase("harm."+string(a.Wrong)), nil))
	if vessels := underGas(k, those(k, a.Batches)); vessels != "" {
		m.Lines = append(m.Lines, v.say(held, values{"vessels": vessels}))
	}
	told := phrase("harm.told")
	if len(k.Head.Team.Managers) == 0 {
		told = "harm.told.team"
	}
	m.Lines = append(m.Lines, v.say(told, nil))
	return m
}

// alarm tells the team what is wrong and rings those who can help.
func (v Voice) alarm(k *kitchen.Kitchen, e kitchen.Entry) (m Message, reason string) {
	i := slices.IndexFunc(k.Head.Alarms, func(x kitchen.Alarm) bool { return x.N == e.Turn })
	if i < 0 {
		return Message{}, "over"
	}
	x := k.Head.Alarms[i]
	b := k.Batches[x.Batch]
	vals := values{"vessel": x.Vessel, "who": x.By, "at": x.At, "what": v.word(phrase("kind."+string(x.Kind)), nil)}
	rung := v.fill(ring(k.Called(x)), false, false)
	if len(x.Numbers) > 0 {
		head, call, held := phrase("alarm.harm"), phrase("harm.call"), phrase("harm.gas")
		if x.Kind == request.Fire {
			head, call, held = "alarm.fire", "harm.call.fire", "harm.gas.fire"
		}
		m = message(inOne(v.say(head, vals), rung), v.say(call, values{"number": strings.Join(x.Numbers, " / ")}))
		pressed := slices.DeleteFunc(k.Open(), func(b *kitchen.Batch) bool { return b.Gas() == 0 })
		if vessels := underGas(k, pressed); vessels != "" {
			m.Lines = append(m.Lines, v.say(held, values{"vessels": vessels}))
		}
		return m, ""
	}
	head := phrase("alarm.vessel")
	if x.Vessel == "" {
		head = "alarm.any"
	}
	m = message(inOne(v.say(head, vals), rung))
	again := b != nil && b.Gas() == 0 && b.Emptied != nil && b.Strained == nil && b.Ended == nil
	if b != nil {
		m.Lines = append(m.Lines, message(v.stands(b, again), v.overCount(b)).Lines...)
	}
	next := v.safeVent(b)
	if x.Kind == request.Blocked {
		next = v.say("safe.blocked", nil)
		if y := k.Vessels[x.Vessel].Blocked; y != nil {
			lines, buttons := v.blockedSteps(y, x.Vessel, x.At)
			m.Lines = append(append(m.Lines, lines...), v.say("safe.empty", nil))
			return m.with(buttons...), ""
		}
	}
	m.Lines = append(m.Lines, next, v.say("safe.empty", nil))
	switch {
	case b != nil && b.Gas() > 0:
		m = m.with(v.emptyButton(b), v.button(b, "button.help", "help", 0))
	case again:
		still := v.button(b, "choose.still gas", "gas in", 0)
		still.Tap.With = "again"
		m = m.with(still)
	}
	return m, ""
}

// offerCall asks the team to take a batch over, until somebody did.
func (v Voice) offerCall(k *kitchen.Kitchen, b *kitchen.Batch, sent bool, now time.Time) (m Message, reason string) {
	switch {
	case b.Offered == nil && sent:
		return message(v.say("offer.over", v.about(b))), ""
	case b.Offered == nil:
		return Message{}, "answered"
	case len(v.boardLine(b)) == 0 && !sent:
		return Message{}, "over"
	}
	vals := v.about(b)
	vals["offeredBy"] = b.Offered.By
	head := phrase("offer.call")
	if b.Skilled {
		head = "offer.trained"
	}
	m = message(inOne(v.say(head, vals), v.fill(ring(k.StandIns(b, now)), false, false)), v.boardLine(b))
	take := main(v.button(b, "choose.take over", "take", 0))
	take.Label = v.word("choose.take over", vals)
	return m.with(take), ""
}
