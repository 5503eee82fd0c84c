package kitchen

import (
	"cmp"
	"slices"
	"strconv"
	"time"

	"ventbell/internal/request"
)

const (
	// doubleTap is how soon a second press of the same charge button by the
	// same hand is one press.
	doubleTap = 15 * time.Second
	// doubtFor is how long a charger above the count may stay unanswered
	// before it is treated as gas.
	doubtFor = 20 * time.Second
	// stalled is how long charging may stand still after the swirl.
	stalled = 3 * time.Minute
)

// charged counts one charger into a vessel.
func (s *scene) charged(b *Batch) Answer {
	switch {
	case s.late && b.Gas() == 0 && b.Emptied != nil:
		return s.chargedLate(b)
	case b.Gas() == 0 && b.Phase != Loading:
		return s.chargedEmpty(b)
	case s.outOfUse(b):
		return s.stop(b)
	case s.tap.N > 0 && s.tap.N <= len(b.Charges):
		return s.oldCharge(b)
	case b.Full() || b.Doubt != nil || b.Phase == Venting || b.Phase == Scrapped:
		return s.stop(b)
	case b.Owner.ID != s.cmd.By.ID && s.tap.With != "take" && s.may(Act(request.Take)):
		return s.told(b)
	}
	b.Told = nil
	if b.Owner.ID != s.cmd.By.ID && s.may(Act(request.Take)) {
		b.Owner = s.cmd.By
		s.comes(b.Owner)
		s.answerOffers(b)
		s.log(b, "taken over")
	}
	s.count(b, Charge{Mark: s.mark()})
	s.fact(b)
	s.post(b, Slip)
	return s.did(b)
}

// count adds a charger to the count and sets the clocks that follow from it.
// One that is told late takes its place in time: gas that is in is counted,
// in whatever order it is told.
func (s *scene) count(b *Batch, c Charge) {
	b.Charges = append(b.Charges, c)
	s.sortCharges(b)
	s.log(b, "charged", "charger", strconv.Itoa(len(b.Charges)), "of", strconv.Itoa(b.Chargers))
	s.contactFrom(b, c.Done)
	if b.Phase == Loading || b.Phase == Charging {
		b.Phase, b.Rung = Charging, 0
		b.CallAt = b.SwirlEnds().Add(stalled)
		if b.Full() {
			b.CallAt = 0
			b.restFrom(b.SwirlEnds(), true)
		}
	}
}

func (s *scene) sortCharges(b *Batch) {
	slices.SortStableFunc(b.Charges, func(x, y Charge) int { return cmp.Compare(x.Done, y.Done) })
}

// contactFrom sets the clock of the contact, unless it runs from earlier.
func (s *scene) contactFrom(b *Batch, m Moment) {
	if b.ContactFrom == 0 || m < b.ContactFrom {
		b.ContactFrom = m
	}
	if b.ContactRung == 0 {
		b.ContactAt = b.SolidsOut()
	}
}

// restFrom starts the rest, and with it the clock of the vent.
func (b *Batch) restFrom(m Moment, assumed bool) {
	b.RestFrom, b.RestAssumed = m, assumed
	b.VentAt = m.Add(b.Rest.Target + b.Extra)
}

// oldCharge answers a charge button that was drawn before a charger went in:
// the same press twice, or one charger more?
func (s *scene) oldCharge(b *Batch) Answer {
	for _, c := range b.Charges {
		if s.pressedTwice(c.Mark) {
			return s.already(b, c.Mark)
		}
	}
	if b.Full() {
		return s.stop(b)
	}
	a := s.ask(b, AskOneMore, s.choice(b, ChooseCharger, request.Charged, s.with("take", b)))
	a.Who = b.FullSince().By
	return a
}

// pressedTwice says that a button comes again from the same hand, too soon
// after m to mean something new.
func (s *scene) pressedTwice(m Mark) bool {
	return s.tap.Batch != 0 && m.By.ID == s.cmd.By.ID && s.now.Sub(m.Entered) <= doubleTap
}

// with gives the addition when somebody else owns the batch.
func (s *scene) with(addition string, b *Batch) string {
	if b.Owner.ID == s.cmd.By.ID {
		return ""
	}
	return addition
}

// stop answers a charger above the count. Until somebody says that no gas went
// in, it counts as gas.
func (s *scene) stop(b *Batch) Answer {
	if b.Doubt == nil {
		b.Doubt = &Doubt{Mark: s.mark()}
	}
	b.Doubt.N++
	b.Stops++
	s.log(b, "stopped", "gas", strconv.Itoa(b.Gas()))
	s.fact(b)
	s.post(b, StopCall)
	s.editCalled(b)
	s.post(b, Slip)
	a := s.ask(b, "", s.choice(b, ChooseGasIn, request.GasIn, ""), s.choice(b, ChooseNotMine, request.NoGas, "not-mine"))
	a.Kind, a.Who, a.At = Stop, b.FullSince().By, b.FullSince().Done
	return a
}

// chargedEmpty answers a charge told of a vessel that is empty: gas in it
// again would be under pressure again.
func (s *scene) chargedEmpty(b *Batch) Answer {
	if !b.holdsVessel() {
		return s.refuseNothing()
	}
	a := s.ask(b, AskGasAgain, s.choice(b, ChooseGasIn, request.GasIn, "again"))
	a.Who, a.At = b.Emptied.By, b.Emptied.Done
	return a
}

// gasIn records that a charger above the count did let gas in: vent now.
func (s *scene) gasIn(b *Batch) Answer {
	again := s.tap.With == "again" && b.Gas() == 0 && b.holdsVessel()
	switch {
	case b.Last.Verb == request.GasIn && s.pressedTwice(b.Last.Mark):
		return s.already(b, b.Last.Mark)
	case b.Doubt == nil && !again:
		return s.refuse(b, RefuseNoDoubt)
	}
	if again {
		s.inAgain(b)
	} else {
		s.believe(b)
	}
	s.fact(b)
	return s.did(b)
}

// inAgain counts a charger into a vessel that was emptied: vent now.
func (s *scene) inAgain(b *Batch) {
	s.editAll(b)
	s.Diary.used(b.Charges, s.now.Time().In(s.zone))
	s.left(len(b.Charges))
	b.Charges, b.Emptied = nil, nil
	s.count(b, Charge{Mark: s.mark()})
	s.ventNow(b)
}

// told asks somebody who does not own the batch to take it over before their
// charger is counted. Without an answer it is counted all the same: gas that
// somebody said is in must not be lost.
func (s *scene) told(b *Batch) Answer {
	if b.Told != nil && !s.pressedTwice(*b.Told) {
		s.countTold(b)
		return s.charged(b)
	}
	if b.Told == nil {
		m := s.mark()
		b.Told = &m
		s.log(b, "charger told")
		s.fact(b)
	}
	return s.ask(b, AskTakeOver,
		s.choice(b, ChooseTake, request.Charged, "take"), s.choice(b, ChooseNotMine, request.NoGas, "not-mine"))
}

// countTold counts a charger whose teller never answered.
func (s *scene) countTold(b *Batch) {
	m := *b.Told
	b.Told = nil
	if b.Full() || b.Phase != Loading && b.Phase != Charging {
		if b.Doubt == nil {
			b.Doubt = &Doubt{Mark: m}
		}
		b.Doubt.N++
		b.Stops++
		s.log(b, "stopped", "gas", strconv.Itoa(b.Gas()))
		s.post(b, StopCall)
	} else {
		s.count(b, Charge{Mark: m})
	}
	s.post(b, Slip)
}

// believe turns a doubt into counted gas, which is to be vented at once.
func (s *scene) believe(b *Batch) {
	for range b.Doubt.N {
		b.Charges = append(b.Charges, Charge{Mark: b.Doubt.Mark})
	}
	b.Doubt = nil
	s.log(b, "gas went in", "gas", strconv.Itoa(b.Gas()))
	s.edit(b, StopCall)
	s.ventNow(b)
}

// ventNow calls the vent at once, whatever the rest had left.
func (s *scene) ventNow(b *Batch) {
	if b.Phase == Venting {
		s.editCalled(b)
		s.post(b, Slip)
		return
	}
	b.Turn++
	b.VentAt = s.now
	s.callVent(b)
}

// editCalled brings a standing vent call up to date: how to vent depends on
// how much gas is in.
func (s *scene) editCalled(b *Batch) {
	if b.Phase == Venting || b.Phase == Scrapped {
		s.edit(b, VentCall)
	}
}

// noGas takes the last counted charger back, on a person's plain word.
func (s *scene) noGas(b *Batch) Answer {
	switch {
	case s.tap.With == "unused":
		return s.notUsed(b)
	case b.Last.Verb == request.NoGas && s.pressedTwice(b.Last.Mark):
		return s.already(b, b.Last.Mark)
	case b.Doubt != nil:
		return s.notMine(b)
	case b.Told != nil && s.tap.With == "not-mine":
		b.Told = nil
		s.log(b, "no gas", "of", "the charger told")
		s.fact(b)
		return s.did(b)
	case s.tap.With == "not-mine":
		return s.refuse(b, RefuseNoDoubt)
	case b.Gas() == 0:
		return s.refuse(b, RefuseNothing)
	case s.tap.Batch != 0 && s.tap.Turn != b.Turn, s.tap.N > 0 && s.tap.N != len(b.Charges):
		return s.refuse(b, RefuseOldButton)
	}
	s.log(b, "no gas", "charger", strconv.Itoa(len(b.Charges)))
	s.editCalled(b)
	b.Charges = b.Charges[:len(b.Charges)-1]
	if b.Gas() == 0 {
		s.answerClaim(b)
	}
	s.dud(b)
	switch {
	case b.Phase != Scrapped && !b.Full():
		s.backToCharging(b)
	case b.Phase == Scrapped && b.Gas() == 0:
		s.dirty(b)
	}
	s.fact(b)
	s.post(b, Slip)
	return s.askUsed(b)
}

// notMine takes one charger above the count back. What others told stands.
func (s *scene) notMine(b *Batch) Answer {
	if b.Doubt.N--; b.Doubt.N == 0 {
		b.Doubt = nil
	}
	s.log(b, "no gas", "of", "the charger above the count")
	s.fact(b)
	s.edit(b, StopCall)
	s.editCalled(b)
	s.post(b, Slip)
	return s.did(b)
}

// backToCharging sets the clocks back after a charger was taken off the count.
func (s *scene) backToCharging(b *Batch) {
	b.Turn++
	b.Phase, b.Rung, b.RestFrom, b.VentAt, b.HeadsUp = Charging, 0, 0, 0, false
	b.CallAt = s.now.Add(stalled)
	if len(b.Charges) == 0 {
		// The contact goes on, but nothing can be strained until it is vented.
		b.Phase, b.CallAt, b.ContactAt, b.ContactRung = Loading, 0, 0, 0
	}
}

// setDown says when the vessel was set down: the rest counts from then.
func (s *scene) setDown(b *Batch) Answer {
	switch {
	case b.Phase == Loading || !b.Full() && b.Phase == Charging:
		return s.refuse(b, RefuseNotYet)
	case b.Phase != Charging && b.Phase != Resting:
		return s.refuse(b, RefuseOldButton)
	case !b.RestAssumed:
		return s.already(b, Mark{By: b.Last.By, Done: b.RestFrom})
	case s.before(b.lastGas()):
		return s.tooEarly(b, b.lastGas())
	}
	before := b.Moving
	b.Phase, b.HeadsUp = Resting, false
	b.Turn++
	b.restFrom(s.done, false)
	// Told late, it must not lengthen the rest past the recipe's longest.
	b.VentAt = min(b.VentAt, before.RestFrom.Add(b.Rest.Max))
	s.log(b, "set down")
	s.changed(b, before)
	s.post(b, Slip)
	return s.did(b)
}

// more lengthens a rest, inside the recipe's limits. Once the vent is called
// it puts off the next call only.
func (s *scene) more(b *Batch) Answer {
	extra := s.req.Extra
	if extra <= 0 {
		extra = 15 * time.Second
	}
	from := b.VentAt
	switch {
	case b.Full() && (b.Phase == Resting || b.Phase == Charging):
	case b.Phase == Venting:
		from = max(s.now, b.VentAt)
	case b.Phase == Loading, b.Phase == Charging, s.tap.Batch == 0:
		return s.refuse(b, RefuseNotYet)
	default:
		return s.refuse(b, RefuseOldButton)
	}
	if b.Gas() > b.Chargers || from.Add(extra).Sub(b.RestFrom) > b.Rest.Max {
		return s.refuse(b, RefuseTooLong)
	}
	before := b.Moving
	if b.Phase == Venting {
		b.CallAt = from.Add(extra)
		s.edit(b, VentCall)
	} else {
		b.Turn++
		b.HeadsUp = false
		b.Extra += extra
		b.VentAt = from.Add(extra)
	}
	s.log(b, "rest lengthened", "by", extra.String())
	s.changed(b, before)
	s.post(b, Slip)
	return s.did(b)
}
