package voice

import (
	"slices"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// lateFrom is how late a call must be to say so.
const lateFrom = 10 * time.Second

// Entry words what an outbox entry brings, from the kitchen as it is now. A
// reason instead of a message says why the entry no longer applies.
func (v Voice) Entry(k *kitchen.Kitchen, e kitchen.Entry, sent bool, now time.Time) (m Message, reason string) {
	v = v.of(k)
	b := k.Batches[e.Batch]
	switch {
	case e.Kind == kitchen.TroubleCall:
		return v.troubleCall(k, e, sent, now)
	case e.Kind == kitchen.AlarmCall:
		return v.alarm(k, e)
	case e.Kind == kitchen.BlockCall:
		return v.blockCall(k, e, sent, kitchen.At(now))
	case e.Kind == kitchen.RecallCall:
		return v.recallCall(k, e, sent, now)
	case e.Kind == kitchen.StockCall:
		return v.stockCall(k, e, sent, now)
	case e.Kind == kitchen.OrderCall:
		return v.orderCall(k, sent, now)
	case e.Kind == kitchen.CountNote:
		return v.countNote(k, sent, now)
	case e.Kind == kitchen.CreamSlip, e.Kind == kitchen.CreamCall:
		return v.creamEntry(k, e, sent, now)
	case e.Kind == kitchen.QuestionNote:
		return v.questionNote(k, e, sent)
	case e.Kind == kitchen.ClosingSlip:
		return v.closingSlip(k, e, sent, now)
	case e.Kind == kitchen.SummaryNote:
		return v.summary(k, e)
	case e.Kind == kitchen.LeftNote:
		return v.leftNote(k, e)
	case e.Kind == kitchen.MorningNote:
		return v.morningNote(k, now)
	case e.Kind == kitchen.LateCall:
		return v.lateCall(k)
	case e.Kind == kitchen.CoolingCall:
		return v.coolingCall(k, e, sent)
	case e.Kind == kitchen.JointCall:
		return v.joint(k, e, sent, kitchen.At(now))
	case b == nil:
		return Message{}, "batch has left"
	case e.Kind == kitchen.Slip:
		return v.Slip(k, b), ""
	case e.Kind == kitchen.HistoryNote:
		return v.history(b, kitchen.At(now)), ""
	case e.Kind == kitchen.FallbackCall:
		return v.fallback(k, b)
	case e.Kind == kitchen.StopCall:
		return v.stopCall(k, b), ""
	case e.Kind == kitchen.OfferCall:
		return v.offerCall(k, b, sent, now)
	case e.Kind == kitchen.ClaimCall:
		return v.claimCall(k, b, sent)
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
	p := phrase("anew")
	switch {
	case b.Undone == nil || b.Undone.Entered < b.Last.Entered:
	case b.Gas() > 0:
		p = "undone.gas"
	default:
		p = "undone"
	}
	return message(v.say(p, v.about(b)))
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
	if x := c.b.Blocked; x != nil && c.e.Kind != kitchen.HeadsUp && c.e.Kind != kitchen.Expired {
		return c.blockedCall(x, c.b.Vessel, c.k.Circle(c.b, c.e.Rung), c.now), ""
	}
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
	vals["ring"] = c.called(c.k, c.b, c.e.Kind, c.e.Rung)
	vals["due"] = kitchen.At(c.e.Due)
	if c.now < kitchen.At(c.e.Due) { // told a little early, together with others
		vals["due"] = toSecond(kitchen.At(c.e.Due))
	}
	return vals
}

// late says how late a call is and what to do now; nothing when it is on time.
// A second call is as late as the moment that the first one was about.
func (c call) late(p phrase) Line {
	late := c.now.Sub(c.b.CallDue(c.e.Kind, 0))
	if late < lateFrom {
		return nil
	}
	return c.say(p, values{"late": quantity.Clock(late.Truncate(time.Second)), "kept": c.b.KeepsSolid()})
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
	return message(c.say("charge.call", c.vals()), c.say("safe.charge", nil), c.say("safe.empty", nil)).with(
		main(c.button(c.b, "button.charged", "charged", len(c.b.Charges)+1)),
		c.button(c.b, "button.empty", "vented", 0),
		c.button(c.b, "button.nogas", "no gas", len(c.b.Charges)),
	), ""
}

func (c call) vent() (Message, string) {
	switch {
	case c.b.Gas() > 0:
	case c.b.Emptied != nil:
		return c.over("vent.over")
	case c.b.Phase == kitchen.Scrapped:
		return c.over("scrapped.over")
	default:
		return c.over("anew")
	}
	head, late := phrase("vent.call"), phrase("vent.late")
	switch {
	case c.b.Phase == kitchen.Scrapped:
		head, late = "vent.call.scrap", "vent.late.scrap"
	case c.b.VentsSlowly():
		head = "vent.call.slow"
	case pressShort(c.b):
		head = "vent.call.short"
	}
	m := message(c.say(head, c.vals()), c.late(late), c.overCount(c.b), c.longer(), c.say("safe.empty", nil)).
		with(c.emptyButton(c.b))
	if c.mayRest() {
		m = m.with(c.button(c.b, "button.more", "+15 s", 0))
	}
	return m.with(c.button(c.b, "button.help", "help", 0), c.button(c.b, "button.decline", "someone else vent", 0)), ""
}

// pressShort says that the lever is pressed in short presses: what is gentle
// or foams would spray, and so would what is full to the top or over its count.
func pressShort(b *kitchen.Batch) bool {
	return b.Gentle || b.Gas() > b.Chargers || slices.ContainsFunc(b.Notes, func(n plan.Note) bool {
		return n.Code == plan.NoteFoams || n.Code == plan.NoteNearlyFull || n.Code == plan.NoteSlowVent
	})
}

// mayRest says that fifteen seconds more would not be refused.
func (c call) mayRest() bool {
	longest := c.b.RestFrom.Add(c.b.Rest.Max)
	return c.b.Phase == kitchen.Venting && c.b.Gas() <= c.b.Chargers && c.now.Add(15*time.Second) <= longest
}

// longer says that somebody put the next call off, on the call that was made
// latest.
func (c call) longer() Line {
	last := c.b.Last
	if last.Verb != request.More || c.b.Phase != kitchen.Venting || !c.e.Edit || c.e.Rung+1 != c.b.Rung {
		return nil
	}
	vals := c.vals()
	vals["lastBy"] = last.By
	return c.say("vent.longer", vals)
}

func (c call) contact() (Message, string) {
	switch {
	case c.b.Strained != nil:
		return c.over("strain.over")
	case c.b.Phase == kitchen.Scrapped:
		return c.over("scrapped.over")
	case c.b.Gas() > 0:
		return message(c.say("contact.gas", c.vals()), c.overCount(c.b), c.safeVent(c.b), c.say("safe.empty", nil)).
			with(c.emptyButton(c.b), c.button(c.b, "button.help", "help", 0)), ""
	}
	return message(c.say("contact.call", c.vals()), c.late("strain.late"), c.safeStrain(c.b)).
		with(main(c.button(c.b, "button.strained", "strained", 0))), ""
}

func (c call) strain() (Message, string) {
	b := c.b
	switch {
	case b.Phase == kitchen.Scrapped:
		return c.over("scrapped.over")
	case b.Strained == nil:
		head := phrase("strain.call")
		if b.SolidsOut() <= kitchen.At(c.e.Due) {
			head = "strain.call.over"
		}
		return message(c.say(head, c.vals()), c.late("strain.late"), c.safeStrain(b)).
			with(main(c.button(b, "button.strained", "strained", 0)), c.button(b, "button.help", "help", 0)), ""
	case c.e.Rung > 0:
		return c.over("strain.over")
	case b.Phase == kitchen.Settling:
		return message(c.say("strain.settle", c.vals())), ""
	case b.Phase == kitchen.Clearing:
		return message(c.say("strain.clear", c.vals())), ""
	case b.Phase == kitchen.Labelling && !b.LabelOnClear():
		return c.labelRequest(), ""
	case b.Phase == kitchen.Labelling:
		return c.over("strain.over")
	}
	return c.over("stored.over")
}

// labelRequest asks for the label and says what goes on it.
func (c call) labelRequest() Message {
	if c.k.TakenBack(c.b) {
		return c.binIt()
	}
	var judge Line
	if c.b.JudgeAt() > c.now {
		judge = c.say("slip.judge", c.vals())
	}
	if warm := c.warned(c.k, c.b); warm != nil {
		judge = warm
	}
	return message(c.labelLine(c.b), c.sentence(c.labelFacts(c.b), c.code(c.b)), c.allergens(c.b), c.volumeLine(), judge, c.say("safe.label", nil)).
		with(main(c.button(c.b, "button.labelled", "labelled", 0)))
}

// volumeLine says how to tell what came out after the tap, as long as the
// vessel's tag means nothing else.
func (c call) volumeLine() Line {
	if _, holder := c.k.Look(c.b.Vessel); c.b.Measured() || holder != nil {
		return nil
	}
	return c.say("label.volume", c.vals())
}

func (c call) clear() (Message, string) {
	switch {
	case c.b.Phase == kitchen.Clearing:
		return message(c.say("clear.call", c.vals()), c.late("clear.late"), c.say("safe.clear", c.vals())).
			with(main(c.button(c.b, "button.cleared", "cleared", 0))), ""
	case c.b.Phase == kitchen.Scrapped:
		return c.over("scrapped.over")
	case c.b.Phase == kitchen.Labelling && c.e.Rung == 0 && c.b.LabelOnClear():
		return c.labelRequest(), ""
	case c.b.Phase == kitchen.Labelling:
		return c.over("clear.over")
	}
	return c.over("stored.over")
}

func (c call) label() (Message, string) {
	switch c.b.Phase {
	case kitchen.Labelling:
		if c.k.TakenBack(c.b) {
			return c.binIt(), ""
		}
		vals := c.vals()
		return message(c.say("label.call", vals), c.say("label.on", vals), c.allergens(c.b), c.volumeLine(), c.say("safe.label", nil)).
			with(main(c.button(c.b, "button.labelled", "labelled", 0))), ""
	case kitchen.Scrapped:
		return c.over("scrapped.over")
	}
	return c.over("stored.over")
}

// stopCall words a charger above the count, for the channel.
func (v Voice) stopCall(k *kitchen.Kitchen, b *kitchen.Batch) Message {
	vals := v.about(b)
	vals["ring"] = v.rings(k.Circle(b, 0))
	switch {
	case b.Doubt != nil:
		return v.stop(b, vals)
	case b.Gas() > b.Chargers:
		return message(v.say("stop.gas", vals), v.overCount(b), v.say("safe.empty", nil)).with(v.emptyButton(b))
	case b.Gas() == 0 && b.Emptied != nil:
		return message(v.say("vent.over", vals))
	}
	return message(v.say("stop.over", vals))
}

func (v Voice) stop(b *kitchen.Batch, vals values) Message {
	vals["who"] = b.Doubt.By
	head := phrase("stop.none")
	if b.Full() {
		head = "stop"
	}
	notMine := v.button(b, "button.notmine", "no gas", 0)
	notMine.Tap.With = "not-mine"
	return message(v.say(head, vals), v.say("stop.ask", nil), v.say("safe.empty", nil)).with(
		main(v.button(b, "button.gasin", "gas in", 0)), notMine, v.button(b, "button.empty", "vented", 0),
	)
}
