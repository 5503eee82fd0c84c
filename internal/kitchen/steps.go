package kitchen

import (
	"time"

	"ventbell/internal/request"
)

// vented records that a vessel is confirmed empty: gas was heard to flow, then
// two presses were silent.
func (s *scene) vented(b *Batch) Answer {
	switch {
	case b.Emptied != nil && b.Gas() == 0:
		return s.already(b, *b.Emptied)
	case b.Phase == Stored || b.Phase == Scrapped && b.Gas() == 0:
		return s.refuseNothing()
	case b.Gas() == 0 && !s.yes(b, "counted"):
		return s.ask(b, AskNoCount, s.choice(b, ChooseCounted, request.Vented, "counted"))
	case s.before(b.lastGas()):
		return s.tooEarly(b, b.lastGas())
	}
	before := b.Moving
	s.empty(b)
	s.changed(b, before)
	s.post(b, Slip)
	return s.did(b)
}

// empty ends the pressure in a vessel and sets what follows.
func (s *scene) empty(b *Batch) {
	if b.Gas() == 0 {
		// The count was forgotten and is made good on the same plain word. Its
		// swirls and its rest went before.
		for range b.Chargers {
			b.Charges = append(b.Charges, Charge{Mark: s.mark(), Assumed: true})
		}
		went := time.Duration(b.Chargers)*b.Swirl + b.Rest.Target
		s.contactFrom(b, max(s.done.Add(-went), min(b.Started.Done, s.done)))
	}
	s.log(b, "vented")
	s.History.vented(b, s.done, s.now)
	s.edit(b, VentCall)
	s.edit(b, StopCall)
	s.edit(b, ChargeCall)
	s.answerClaim(b)
	m := s.mark()
	b.Emptied, b.Doubt, b.Told, b.CallAt, b.Rung = &m, nil, nil, 0, 0
	b.Declined = nil
	switch {
	case b.Phase == Scrapped:
		s.dirty(b)
		b.CallAt = s.now.Add(undoFor)
	case b.StrainFirst:
		s.callStrain(b)
	default:
		b.Phase = Settling
		b.CallAt = b.SettledAt()
	}
}

// dirty leaves the vessel to be washed. What its batch held of allergens stays in
// it until a deep wash.
func (s *scene) dirty(b *Batch) {
	s.record(b.Vessel, func(r *Vessel) {
		r.Dirty, r.By, r.Title = s.done, s.cmd.By, b.Title
		r.leave(b.Allergens, b.Title)
	})
}

// strained records that the solids are out.
func (s *scene) strained(b *Batch) Answer {
	switch {
	case b.Strained != nil && b.Phase != Scrapped && s.tellsMore(b):
		return s.measured(b)
	case b.Strained != nil:
		return s.already(b, *b.Strained)
	case b.Phase == Loading && b.Gas() == 0:
		return s.refuse(b, RefuseNotYet)
	case b.Phase == Scrapped:
		return s.refuseNothing()
	case s.before(b.Opened()):
		return s.tooEarly(b, b.Opened())
	case b.Gas() > 0 && !s.yes(b, "vented"):
		return s.ask(b, AskEmptied, s.choice(b, ChooseYes, request.Strained, "vented"))
	}
	before := b.Moving
	if b.Gas() > 0 {
		s.empty(b)
	}
	s.takeOut(b)
	s.changed(b, before)
	s.post(b, Slip)
	return s.did(b)
}

// measured adds what was measured to what was strained without it.
func (s *scene) measured(b *Batch) Answer {
	before := b.Moving
	s.measure(b)
	s.log(b, "measured", b.outcome()...)
	s.changed(b, before)
	for _, kind := range []EntryKind{StrainCall, ClearCall, LabelCall} {
		s.edit(b, kind)
	}
	s.post(b, Slip)
	return s.did(b)
}

// takeOut ends the contact, frees the vessel to be washed and sets what follows.
func (s *scene) takeOut(b *Batch) {
	m := s.mark()
	s.edit(b, ContactCall)
	s.repost(b, StrainCall)
	b.Strained = &m
	s.measure(b)
	b.CallAt, b.Rung, b.ContactAt = 0, 0, 0
	s.log(b, "strained", b.outcome()...)
	s.dirty(b)
	switch {
	case b.StrainFirst && b.Settle > 0:
		b.Phase = Settling
		b.CallAt = b.SettledAt()
	case b.Clear > 0:
		b.Phase = Clearing
		b.CallAt = b.ClearAt()
	default:
		s.toLabel(b, s.done)
	}
}

// cleared records that a batch has stood and was drawn off clear.
func (s *scene) cleared(b *Batch) Answer {
	switch {
	case b.Cleared != nil:
		return s.already(b, *b.Cleared)
	case b.Phase != Clearing && b.Phase != Settling || b.Strained == nil:
		return s.refuse(b, RefuseNotYet)
	case s.before(*b.Strained):
		return s.tooEarly(b, *b.Strained)
	}
	before := b.Moving
	s.drawOff(b)
	s.changed(b, before)
	s.post(b, Slip)
	return s.did(b)
}

func (s *scene) drawOff(b *Batch) {
	m := s.mark()
	b.Cleared = &m
	s.log(b, "cleared")
	s.askLabel(b)
	s.toLabel(b, s.done)
}

// askLabel puts the request for the label on the last call.
func (s *scene) askLabel(b *Batch) {
	if b.LabelOnClear() {
		s.repost(b, ClearCall)
		s.edit(b, StrainCall)
		return
	}
	s.repost(b, StrainCall)
}

// labelled records that the label is on: the batch is stored.
func (s *scene) labelled(b *Batch) Answer {
	switch {
	case b.Labelled != nil:
		return s.already(b, *b.Labelled)
	case b.Phase == Scrapped:
		return s.refuseNothing()
	case b.Gas() > 0:
		return s.refuse(b, RefusePressured)
	case s.TakenBack(b):
		return s.refuse(b, RefuseRecalled)
	case b.Emptied == nil:
		return s.refuse(b, RefuseNotYet)
	case s.before(b.Opened()):
		return s.tooEarly(b, b.Opened())
	case b.Strained == nil && s.tap.With != "strained":
		return s.ask(b, AskStrained, s.choice(b, ChooseYes, request.Labelled, "strained"))
	case b.Strained != nil && b.Clear > 0 && b.Cleared == nil && s.tap.With != "cleared":
		return s.ask(b, AskCleared, s.choice(b, ChooseYes, request.Labelled, "cleared"))
	}
	before := b.Moving
	if b.Strained == nil {
		s.takeOut(b)
	}
	if b.Clear > 0 && b.Cleared == nil && s.tap.With == "strained" {
		// One thing was confirmed; the other is asked for itself.
		s.changed(b, before)
		s.post(b, Slip)
		return s.ask(b, AskCleared, s.choice(b, ChooseYes, request.Labelled, "cleared"))
	}
	if b.Clear > 0 && b.Cleared == nil {
		s.drawOff(b)
	}
	m := s.mark()
	s.log(b, "labelled")
	s.edit(b, StrainCall)
	s.edit(b, ClearCall)
	s.edit(b, LabelCall)
	b.Labelled, b.Ended, b.Phase = &m, &m, Stored
	b.CallAt, b.Rung = m.Entered.Add(undoFor), 0
	s.changed(b, before)
	s.post(b, Slip)
	return s.did(b)
}

// take makes the speaker the owner.
func (s *scene) take(b *Batch) Answer {
	if b.Owner.ID == s.cmd.By.ID {
		return s.already(b, Mark{By: b.Owner, Done: b.Last.Done})
	}
	if b.Phase == Stored || b.Phase == Scrapped && b.Gas() == 0 {
		return s.refuseNothing()
	}
	if !b.Skilled || s.MayCharge(s.cmd.By) { // else somebody trained is still asked for
		s.answerOffers(b)
	}
	before := b.Moving
	b.Owner = s.cmd.By
	s.comes(b.Owner)
	s.log(b, "taken over", "from", before.Owner.Name)
	s.changed(b, before)
	s.post(b, Slip)
	return s.did(b)
}

// scrap ends a batch. What holds gas is called until it is empty all the same.
func (s *scene) scrap(b *Batch) Answer {
	if b.Phase == Scrapped || b.Phase == Stored {
		if b.Ended != nil {
			return s.already(b, *b.Ended)
		}
		return s.refuseNothing()
	}
	if b.Phase != Loading && s.tap.With != "sure" {
		return s.ask(b, AskReallyGone, s.choice(b, ChooseYes, request.Scrap, "sure"))
	}
	if b.Told != nil {
		s.countTold(b)
	}
	before := b.Moving
	m := s.mark()
	held := b.holdsVessel()
	b.Ended, b.ContactAt = &m, 0
	s.log(b, "scrapped", "phase", string(b.Phase))
	s.editAll(b)
	switch {
	case b.Gas() > 0:
		called := b.Phase == Venting
		b.Phase = Scrapped
		if !called {
			b.Turn++
			b.VentAt = s.now
			s.callVent(b)
		}
	default:
		if held && b.Phase != Loading {
			s.dirty(b)
		}
		b.Phase, b.Rung = Scrapped, 0
		b.CallAt = m.Entered.Add(undoFor)
	}
	s.changed(b, before)
	s.post(b, Slip)
	return s.did(b)
}
