package voice

import (
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
)

// lateFrom is how late a call must be to say so.
const lateFrom = 10 * time.Second

// Entry words what an outbox entry brings, from the kitchen as it is now. A
// reason instead of a message says why the entry no longer applies.
func (v Voice) Entry(k *kitchen.Kitchen, e kitchen.Entry, sent bool, now time.Time) (m Message, reason string) {
	b := k.Batches[e.Batch]
	switch {
	case b == nil:
		return Message{}, "batch has left"
	case e.Kind == kitchen.Slip:
		return v.Slip(k, b), ""
	case e.Kind == kitchen.StopCall:
		return v.stopCall(b, e), ""
	case e.Turn < b.Turn && !sent:
		return Message{}, "set anew"
	case e.Turn < b.Turn:
		return v.setAnew(b), ""
	}
	c := call{Voice: v, k: k, b: b, e: e, now: kitchen.At(now), sent: sent}
	return c.word()
}

// setAnew is what becomes of a call whose moment was set anew.
func (v Voice) setAnew(b *kitchen.Batch) Message {
	if b.Undone != nil {
		return message(v.say("undone", v.about(b)))
	}
	return message(v.say("anew", v.about(b)))
}

// call is one call being worded.
type call struct {
	Voice
	k    *kitchen.Kitchen
	b    *kitchen.Batch
	e    kitchen.Entry
	now  kitchen.Moment
	sent bool
}

func (c call) word() (Message, string) {
	switch c.e.Kind {
	case kitchen.HeadsUp:
		if c.b.Phase != kitchen.Charging && c.b.Phase != kitchen.Resting {
			return Message{}, "vent was called"
		}
		return message(c.say("headsup", c.vals())), ""
	case kitchen.Expired:
		vals := c.vals()
		vals["line"] = c.b.Line
		return message(c.say("expired", vals)), ""
	case kitchen.ChargeCall:
		return c.charge()
	case kitchen.VentCall:
		return c.vent()
	case kitchen.ContactCall:
		return c.contact()
	case kitchen.StrainCall:
		return c.strain()
	case kitchen.ClearCall:
		return c.clear()
	case kitchen.LabelCall:
		return c.label()
	}
	return Message{}, "unknown kind"
}

// vals adds to a batch's values whom the call rings, when it was due and how late it is.
func (c call) vals() values {
	vals := c.about(c.b)
	vals["ring"] = ring(c.k.Circle(c.b, c.e.Rung))
	due := kitchen.At(c.e.Due)
	vals["due"] = due
	vals["late"] = quantity.Clock(c.now.Sub(due).Truncate(time.Second))
	return vals
}

// late says how late a call is and what to do now; nothing when it is on time.
func (c call) late(p phrase) Line {
	due := kitchen.At(c.e.Due)
	if c.e.Rung > 0 {
		due = c.firstDue()
	}
	if c.now.Sub(due) < lateFrom {
		return nil
	}
	vals := c.vals()
	vals["due"] = due
	vals["late"] = quantity.Clock(c.now.Sub(due).Truncate(time.Second))
	return c.say(p, vals)
}

// firstDue gives the moment that a second call is about.
func (c call) firstDue() kitchen.Moment {
	switch c.e.Kind {
	case kitchen.VentCall:
		return c.b.VentAt
	case kitchen.ContactCall:
		return c.b.SolidsOut()
	case kitchen.ClearCall:
		return c.b.ClearAt()
	case kitchen.StrainCall:
		return max(c.b.SettledAt(), c.b.Emptied.Done)
	}
	return kitchen.At(c.e.Due)
}

// over words a call that was answered: an edit of what stands, or nothing.
func (c call) over(p phrase) (Message, string) {
	if !c.sent {
		return Message{}, "answered"
	}
	return message(c.say(p, c.vals())), ""
}

func (c call) charge() (Message, string) {
	if c.b.Phase != kitchen.Charging || c.b.Full() {
		return c.over("charge.over")
	}
	return message(c.say("charge.call", c.vals()), c.say("safe.charge", c.vals())).with(
		main(c.button(c.b, "button.charged", "charged", len(c.b.Charges)+1)),
		c.button(c.b, "button.empty", "vented", 0),
		c.button(c.b, "button.nogas", "no gas", len(c.b.Charges)),
	), ""
}

func (c call) vent() (Message, string) {
	if c.b.Gas() == 0 {
		if c.b.Emptied == nil {
			return c.over("anew")
		}
		return c.over("vent.over")
	}
	head := phrase("vent.call")
	switch {
	case c.b.Phase == kitchen.Scrapped:
		head = "vent.call.scrap"
	case c.b.Gentle || c.b.Gas() > c.b.Chargers:
		head = "vent.call.short"
	}
	m := message(c.say(head, c.vals()), c.late("vent.late"), c.overCount(c.b), c.say("safe.empty", c.vals())).
		with(c.emptyButton(c.b))
	if c.b.Phase == kitchen.Venting && c.b.Gas() <= c.b.Chargers {
		m = m.with(c.button(c.b, "button.more", "+15 s", 0))
	}
	return m, ""
}

func (c call) contact() (Message, string) {
	switch {
	case c.b.Strained != nil || c.b.Ended != nil:
		return c.over("strain.over")
	case c.b.Gas() > 0:
		return message(c.say("contact.gas", c.vals()), c.say("safe.vent", c.vals()), c.say("safe.empty", c.vals())).
			with(c.emptyButton(c.b)), ""
	}
	return message(c.say("contact.call", c.vals()), c.say("safe.strain", c.vals())).
		with(main(c.button(c.b, "button.strained", "strained", 0))), ""
}

func (c call) strain() (Message, string) {
	b := c.b
	switch {
	case b.Phase == kitchen.Scrapped:
		return c.over("scrapped.over")
	case b.Strained == nil:
		m := message(c.say("strain.call", c.vals()), c.late("strain.late"), c.say("safe.strain", c.vals())).
			with(main(c.button(b, "button.strained", "strained", 0)), c.button(b, "button.help", "help", 0))
		return m, ""
	case c.e.Rung > 0:
		return c.over("strain.over")
	case b.Phase == kitchen.Settling:
		return message(c.say("strain.settle", c.vals())), ""
	case b.Phase == kitchen.Clearing:
		return message(c.say("strain.clear", c.vals())), ""
	case b.Phase == kitchen.Labelling && !c.ridesOnClear():
		return c.labelRequest(b), ""
	case b.Phase == kitchen.Labelling:
		return c.over("strain.over")
	}
	return c.over("stored.over")
}

// ridesOnClear says that the request for the label stands on the clear call.
func (c call) ridesOnClear() bool {
	return c.b.Cleared != nil && c.b.Cleared.Done >= c.b.ClearAt()
}

func (c call) clear() (Message, string) {
	switch {
	case c.b.Phase == kitchen.Clearing:
		return message(c.say("clear.call", c.vals()), c.late("clear.late"), c.say("safe.clear", c.vals())).
			with(main(c.button(c.b, "button.cleared", "cleared", 0))), ""
	case c.b.Phase == kitchen.Scrapped:
		return c.over("scrapped.over")
	case c.b.Phase == kitchen.Labelling && c.e.Rung == 0:
		return c.labelRequest(c.b), ""
	case c.b.Phase == kitchen.Labelling:
		return c.over("clear.over")
	}
	return c.over("stored.over")
}

func (c call) label() (Message, string) {
	switch c.b.Phase {
	case kitchen.Labelling:
		return message(c.say("label.call", c.vals()), c.labelLine(c.b), c.allergens(c.b), c.say("safe.label", c.vals())).
			with(main(c.button(c.b, "button.labelled", "labelled", 0))), ""
	case kitchen.Scrapped:
		return c.over("scrapped.over")
	}
	return c.over("stored.over")
}

// stopCall words a charger above the count, for the channel.
func (v Voice) stopCall(b *kitchen.Batch, e kitchen.Entry) Message {
	vals := v.about(b)
	vals["ring"] = ring{b.Owner}
	if b.Doubt != nil {
		vals["who"] = b.Doubt.By
		return v.stop(b, vals)
	}
	if b.Gas() > b.Chargers {
		return message(v.say("stop.gas", vals), v.overCount(b), v.say("safe.empty", vals)).with(v.emptyButton(b))
	}
	return message(v.say("stop.over", vals))
}

func (v Voice) stop(b *kitchen.Batch, vals values) Message {
	notMine := v.button(b, "button.notmine", "no gas", 0)
	notMine.Tap.With = "not-mine"
	return message(v.say("stop", vals), v.say("stop.ask", vals), v.say("safe.empty", vals)).with(
		main(v.button(b, "button.gasin", "gas in", 0)), notMine, v.button(b, "button.empty", "vented", 0),
	)
}
