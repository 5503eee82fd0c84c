package kitchen

import (
	"slices"
	"strconv"
	"time"
)

const (
	// headsUp is how long before a vent its owner hears of it.
	headsUp = 30 * time.Second
	// shortRest is a rest too short for a heads-up: the vent's clock time
	// stands on the slip from the start.
	shortRest = 90 * time.Second
)

// nextAt gives the batch's next due moment; every batch of a kitchen has one.
func (b *Batch) nextAt() Moment {
	next := Moment(0)
	for _, m := range b.moments() {
		if m != 0 && (next == 0 || m < next) {
			next = m
		}
	}
	return next
}

// moments gives what a batch waits for: its next step, its contact cap, an
// unanswered doubt.
func (b *Batch) moments() [3]Moment {
	step, doubt := b.CallAt, Moment(0)
	switch b.Phase {
	case Loading:
		step = b.HeldUntil()
	case Charging:
		if b.Full() {
			step = b.RestFrom
		}
	case Resting:
		step = b.VentAt
		if h := b.VentAt.Add(-headsUp); !b.HeadsUp && b.Rest.Target > shortRest {
			step = max(h, b.RestFrom)
		}
	}
	if b.Told != nil {
		doubt = b.Told.Entered.Add(doubtFor)
	}
	if b.Doubt != nil && b.Phase != Venting && b.Phase != Scrapped {
		doubt = b.Doubt.Entered.Add(doubtFor)
	}
	return [3]Moment{step, b.ContactAt, doubt}
}

// chore is something that falls due in a kitchen and belongs to no one batch.
type chore struct {
	at Moment // 0 = not due
	do func(s *scene, at Moment)
}

// chores gives what waits for a moment beside the batches. Carrying one out must
// move its moment on.
func (k *Kitchen) chores() []chore {
	return slices.Concat(k.askedChores(), k.blockedChores(), k.stockChores(), k.closingChores(), k.recallChores())
}

// chore gives the chore that comes first; nil = none.
func (k *Kitchen) chore() *chore {
	var first *chore
	for _, c := range k.chores() {
		if c.at != 0 && (first == nil || c.at < first.at) {
			first = &c
		}
	}
	return first
}

// Next gives the kitchen's next due moment; zero when nothing is open.
func (k *Kitchen) Next() Moment {
	next := Moment(0)
	for _, b := range k.Batches {
		if m := b.nextAt(); m != 0 && (next == 0 || m < next) {
			next = m
		}
	}
	if c := k.chore(); c != nil && (next == 0 || c.at < next) {
		next = c.at
	}
	return next
}

// Ring carries out everything that has fallen due by now, each at its own
// moment and in order. It needs no book. A change without log lines found
// nothing due; its Due corrects a stale entry.
func (k *Kitchen) Ring(now time.Time) Change {
	s := &scene{Kitchen: k, now: max(At(now), k.Head.Last), zone: now.Location()}
	for {
		b, c := k.due(s.now), k.chore()
		switch {
		case c != nil && c.at <= s.now && (b == nil || c.at < b.nextAt()):
			s.done = c.at
			c.do(s, c.at)
			continue
		case b != nil:
			s.ring(b)
			s.took(b)
			continue
		}
		if b := s.soon(); b != nil {
			s.ring(b)
			s.took(b)
			continue
		}
		s.join()
		s.keep()
		return s.ch
	}
}

// due gives the batch whose moment came first, if one has come.
func (k *Kitchen) due(now Moment) *Batch {
	var first *Batch
	for _, b := range k.Batches {
		m := b.nextAt()
		if m == 0 || m > now {
			continue
		}
		if first == nil || m < first.nextAt() || m == first.nextAt() && b.ID < first.ID {
			first = b
		}
	}
	return first
}

// ring carries out one batch's earliest due moment.
func (s *scene) ring(b *Batch) {
	at := b.nextAt()
	s.done = at
	moments := b.moments()
	switch {
	case moments[2] == at && b.Told != nil:
		s.countTold(b)
	case moments[2] == at:
		s.believe(b)
	case b.ContactAt == at && moments[0] != at:
		s.ringContact(b, at)
	default:
		s.ringStep(b, at)
	}
}

// ringContact calls the contact cap, whatever was tapped or forgotten.
func (s *scene) ringContact(b *Batch, at Moment) {
	rung := s.rung(b, ContactCall, b.ContactRung)
	s.widen(b, rung)
	s.call(b, ContactCall, rung, b.CallDue(ContactCall, rung))
	b.ContactRung, b.ContactAt = s.next(b, ContactCall, rung)
	s.rang(b, ContactCall, rung, at)
	s.post(b, Slip)
}

// ringStep carries a batch to its next phase, or repeats its phase's call.
func (s *scene) ringStep(b *Batch, at Moment) {
	switch b.Phase {
	case Loading:
		s.expire(b)
	case Charging:
		s.ringCharging(b)
	case Resting:
		s.ringResting(b, at)
	case Venting:
		s.ringCall(b, VentCall)
	case Settling:
		s.ringSettled(b, at)
	case Straining:
		s.ringCall(b, StrainCall)
	case Clearing:
		s.ringCall(b, ClearCall)
	case Labelling:
		s.ringCall(b, LabelCall)
	case Scrapped:
		if b.Gas() > 0 {
			s.ringCall(b, VentCall)
			return
		}
		s.shelve(b)
	case Stored:
		s.shelve(b)
	}
}

// expire gives a vessel back that nobody charged, and tells the owner once.
func (s *scene) expire(b *Batch) {
	m := Mark{Done: s.done, Entered: s.now}
	b.Phase, b.Ended, b.Expired, b.Before = Scrapped, &m, true, nil
	b.ContactAt = 0
	b.CallAt = s.now.Add(undoFor)
	s.logRing(b, "expired")
	if !s.away(b.Owner, s.now) {
		s.put(b, Entry{Kind: Expired, Lane: "@" + b.Owner.ID, Turn: b.Turn, Due: s.done.Time()})
	}
	s.post(b, Slip)
}

// ringCharging starts the rest when the last swirl is over, or calls for
// charging that stands still.
func (s *scene) ringCharging(b *Batch) {
	if b.Full() {
		b.Phase, b.CallAt = Resting, 0
		s.logRing(b, "rest began", "assumed", "yes")
		s.post(b, Slip)
		return
	}
	s.ringCall(b, ChargeCall)
}

// ringResting gives the heads-up, then the vent call.
func (s *scene) ringResting(b *Batch, at Moment) {
	if at < b.VentAt && !b.HeadsUp {
		b.HeadsUp = true
		if p, there := s.first(b, s.now); there && s.now < b.VentAt { // too late to help once the vent is due
			s.put(b, Entry{Kind: HeadsUp, Lane: "@" + p.ID, Turn: b.Turn, Due: at.Time()})
		}
		s.logRing(b, "heads-up")
		return
	}
	s.callVent(b)
}

// ringSettled calls for the strain, or lets a batch that was strained first
// go on to stand or to its label.
func (s *scene) ringSettled(b *Batch, at Moment) {
	switch {
	case b.Strained == nil:
		s.callStrain(b)
		return
	case b.Clear > 0:
		b.Phase, b.Rung = Clearing, 0
		b.CallAt = b.ClearAt()
	default:
		s.toLabel(b, at)
	}
	s.logRing(b, "settled")
	s.repost(b, StrainCall)
	s.post(b, Slip)
}

// ringCall makes a call or its second call. Those that were missed meanwhile
// become one.
func (s *scene) ringCall(b *Batch, kind EntryKind) {
	due, rung := b.CallAt, s.rung(b, kind, b.Rung)
	if rung > b.Rung {
		due = b.CallDue(kind, rung)
	}
	s.widen(b, rung)
	s.call(b, kind, rung, due)
	b.Rung, b.CallAt = s.next(b, kind, rung)
	s.rang(b, kind, rung, due)
	s.post(b, Slip)
}

// shelve lets a batch leave the kitchen once it can no longer be undone.
func (s *scene) shelve(b *Batch) {
	b.Before = nil
	s.leaveJoint(b)
	s.logRing(b, "shelved")
	s.History.weighed(b, s.zone)
	if !s.gone(b.ID) {
		s.History.shelved(b, s.now.Time().In(s.zone))
	}
	s.History.lapse(b, s.now)
	s.Diary.shelved(b, s.now.Time().In(s.zone))
	s.left(len(b.Charges))
	s.ch.Archive = append(s.ch.Archive, Record{
		Batch: b.ID, Day: businessDay(b.Started.Done.Time().In(s.zone)), Body: EncodeBatch(b),
	})
	s.ch.Forget = append(s.ch.Forget, b.ID)
	s.beside(b.ID, func(x *Beside) { *x = Beside{} })
	delete(s.Batches, b.ID)
}

func (s *scene) rang(b *Batch, kind EntryKind, rung uint8, due Moment) {
	s.logRing(b, string(kind)+" call", "rung", strconv.Itoa(int(rung)), "due", due.Time().Format(time.RFC3339Nano))
}

// logRing writes a log line that no person stands behind.
func (s *scene) logRing(b *Batch, event string, details ...string) {
	m := Mark{Done: s.done, Entered: s.now}
	s.ch.Log = append(s.ch.Log, lineOf(s.Kitchen, b, event, m, "", details))
}
