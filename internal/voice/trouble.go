package voice

import (
	"slices"
	"strings"
	"time"

	"ventbell/internal/kitchen"
)

// fallback words what the platform calls by itself should nothing be heard of
// this host: it stands alone, without buttons, and says how to go on by hand.
func (v Voice) fallback(k *kitchen.Kitchen, b *kitchen.Batch) (m Message, reason string) {
	switch {
	case b.Gas() == 0:
		return Message{}, "no gas in it"
	case k.FallbackAt(b.ID) == 0:
		return Message{}, "not wanted"
	}
	vals := v.about(b)
	vals["ring"], vals["due"] = v.rings(k.Circle(b, 0)), ventDue(b)
	if b.Blocked != nil {
		return message(v.say("fallback.blocked", vals), v.say("safe.empty", nil)), ""
	}
	var clock Line
	if b.Phase != kitchen.Scrapped && b.SolidsOut() != 0 {
		p := phrase("fallback.clock")
		if b.StrainFirst {
			p = "fallback.clock.first"
		}
		clock = v.say(p, vals)
	}
	return message(
		v.say("fallback", vals), v.say("fallback.down", nil), v.overCount(b), clock, v.safeVent(b), v.say("safe.empty", nil),
	), ""
}

// ventDue gives since when a vessel with gas in it is to be vented: its vent,
// or the call for charging that stands still.
func ventDue(b *kitchen.Batch) kitchen.Moment {
	if b.VentAt != 0 {
		return b.VentAt
	}
	if due := b.CallDue(kitchen.ChargeCall, 0); len(b.Charges) > 0 {
		return due
	}
	return b.LastGas()
}

// troubleCall words that a lane takes no messages, for one who can do something
// about it; that it takes them again, if the call stands there.
func (v Voice) troubleCall(k *kitchen.Kitchen, e kitchen.Entry, sent bool, now time.Time) (m Message, reason string) {
	i := slices.IndexFunc(k.Head.Troubles, func(t kitchen.Trouble) bool { return t.N == e.Turn })
	switch {
	case i >= 0:
		who := known(k, strings.TrimPrefix(e.Lane, "@"))
		return v.trouble(k, k.Head.Troubles[i], ring{who}, now), ""
	case sent:
		return message(v.say("trouble.over", nil)), ""
	}
	return Message{}, "over"
}

// trouble words a lane that takes no messages: since when and what to do about
// it; for whom it rings also what waits or holds gas meanwhile.
func (v Voice) trouble(k *kitchen.Kitchen, t kitchen.Trouble, r ring, now time.Time) Message {
	cure := phrase("trouble." + t.Reason)
	if _, ok := v.phrases[cure]; !ok {
		cure = "trouble.other"
	}
	head := phrase("trouble.page")
	if len(r) > 0 {
		head = "trouble"
	}
	m := message(
		v.say(head, values{"ring": r, "where": v.where(k, t.Lane), "since": t.Since}),
		inOne(v.say(cure, nil), v.say("trouble.waits", nil)),
	)
	if len(r) == 0 { // the page tells of the batches itself
		return m
	}
	list := slices.DeleteFunc(waiting(k, now), func(b *kitchen.Batch) bool { return b.Gas() == 0 && b.LateSince() == 0 })
	const most = 3
	gas := slices.ContainsFunc(list, func(b *kitchen.Batch) bool { return b.Gas() > 0 })
	for i, b := range list {
		if i == most-1 && len(list) > most {
			m.Lines = append(m.Lines, v.say("and.more", values{"n": len(list) - i}))
			break
		}
		m.Lines = append(m.Lines, v.boardLine(b))
	}
	if gas {
		m.Lines = append(m.Lines, v.say("safe.empty", nil))
	}
	return m
}

// where names a lane in words.
func (v Voice) where(k *kitchen.Kitchen, lane string) Line {
	if id, person := strings.CutPrefix(lane, "@"); person {
		return v.say("trouble.person", values{"name": known(k, id)})
	}
	if lane == k.Head.Team.Channel {
		return v.say("trouble.team", nil)
	}
	return v.say("trouble.place", values{"lane": lane})
}

// known gives a person of the kitchen by id.
func known(k *kitchen.Kitchen, id string) kitchen.Person {
	people := slices.Concat(k.Head.Team.Managers, k.Head.People)
	for _, b := range k.Open() {
		people = append(people, b.Owner)
	}
	if i := slices.IndexFunc(people, func(p kitchen.Person) bool { return p.ID == id }); i >= 0 {
		return people[i]
	}
	return kitchen.Person{ID: id, Name: id}
}

// The most that the message after an outage holds.
const (
	outageLines   = 12
	outageButtons = 5
)

// Outage words the calls that an outage held up as one message: what to do now,
// what holds gas first, then what waits longest; false when fewer than two still
// apply, which then had better go one by one.
func (v Voice) Outage(k *kitchen.Kitchen, held []kitchen.Entry, now time.Time) (Message, bool) {
	v = v.of(k)
	var list []*kitchen.Batch
	for _, b := range waiting(k, now) {
		if slices.ContainsFunc(held, func(e kitchen.Entry) bool { return e.Batch == b.ID && v.applies(k, e, now) }) {
			list = append(list, b)
		}
	}
	if len(list) < 2 {
		return Message{}, false
	}
	m := message(v.say("outage", values{"n": len(list)}))
	gas := slices.ContainsFunc(list, func(b *kitchen.Batch) bool { return b.Gas() > 0 })
	room := outageLines - 1
	if gas {
		room -= 2
	}
	for i, b := range list {
		if len(m.Lines) == room && i < len(list)-1 {
			m.Lines = append(m.Lines, v.say("and.more", values{"n": len(list) - i}))
			break
		}
		m.Lines = append(m.Lines, v.held(k, b))
		if button, ok := v.mainButton(b); ok && len(m.Buttons) < outageButtons {
			button.Label, button.Main = b.Vessel+": "+button.Label, len(m.Buttons) == 0
			m = m.with(button)
		}
	}
	if gas {
		m.Lines = append(m.Lines, v.say("safe.vent", nil), v.say("safe.empty", nil))
	}
	return m, true
}

// applies says that a held entry is a call that somebody has still to answer.
func (v Voice) applies(k *kitchen.Kitchen, e kitchen.Entry, now time.Time) bool {
	b := k.Batches[e.Batch]
	if b == nil || e.Edit || !slices.Contains(kitchenCalls, e.Kind) || len(v.held(k, b)) == 0 {
		return false
	}
	m, reason := v.Entry(k, e, false, now)
	return reason == "" && len(m.Buttons) > 0
}

// kitchenCalls are the messages that ask somebody to do something.
var kitchenCalls = []kitchen.EntryKind{
	kitchen.ChargeCall, kitchen.StopCall, kitchen.VentCall, kitchen.ContactCall, kitchen.StrainCall, kitchen.ClearCall, kitchen.LabelCall,
}

// held is one batch that was not called while messages could not go out: what
// is to be done about it now.
func (v Voice) held(k *kitchen.Kitchen, b *kitchen.Batch) Line {
	vals := v.about(b)
	vals["ring"], vals["due"] = v.rings(k.Circle(b, 0)), b.LateSince()
	called := b.Phase == kitchen.Venting || b.Phase == kitchen.Scrapped
	switch {
	case b.Gas() > 0 && b.Doubt != nil && !called:
		return v.say("outage.doubt", vals)
	case b.Gas() > 0 && b.Phase == kitchen.Charging && !b.Full():
		return v.say("outage.charge", vals)
	case b.Gas() > 0:
		vals["due"] = ventDue(b)
		return v.say("outage.vent", vals)
	case b.Phase == kitchen.Straining, b.Phase == kitchen.Settling && b.Strained == nil:
		vals["due"] = b.StrainAt()
		return v.say("outage.strain", vals)
	case b.Phase == kitchen.Clearing:
		vals["due"] = b.ClearAt()
		return v.say("outage.clear", vals)
	case b.Phase == kitchen.Labelling:
		return v.say("outage.label", vals)
	}
	return nil
}

// Repeat marks a message that may stand there already.
func (v Voice) Repeat(m Message) Message {
	if len(m.Lines) == 0 {
		return m
	}
	m.Lines = slices.Clone(m.Lines)
	m.Lines[0] = slices.Concat(m.Lines[0], Line{{Text: " "}}, v.say("again", nil))
	return m
}
