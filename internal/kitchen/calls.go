package kitchen

import (
	"fmt"
	"time"
)

// unlabelled is how long a strained batch may stand without its label before
// it is called.
const unlabelled = 10 * time.Minute

// ladders give, for each call, how long after it its second calls come; the
// last step repeats. House habits, an estimate.
var ladders = map[EntryKind][]time.Duration{
	ChargeCall:  {2 * time.Minute, 5 * time.Minute},
	VentCall:    {30 * time.Second, 90 * time.Second, 3 * time.Minute, 6 * time.Minute},
	ContactCall: {2 * time.Minute, 5 * time.Minute, 10 * time.Minute},
	StrainCall:  {1 * time.Minute, 3 * time.Minute, 6 * time.Minute, 11 * time.Minute},
	ClearCall:   {5 * time.Minute, 15 * time.Minute},
	LabelCall:   {10 * time.Minute, 30 * time.Minute},
}

// after gives when the call of the given rung comes, for a first call at
// the moment first.
func after(kind EntryKind, first Moment, rung uint8) Moment {
	steps := ladders[kind]
	if rung == 0 {
		return first
	}
	if int(rung) <= len(steps) {
		return first.Add(steps[rung-1])
	}
	last := steps[len(steps)-1]
	gap := last
	if len(steps) > 1 {
		gap -= steps[len(steps)-2]
	}
	return first.Add(last + time.Duration(int(rung)-len(steps))*gap)
}

// Key gives the key of a message about a batch.
func Key(id uint32, kind EntryKind, turn uint16, rung uint8) string {
	switch {
	case kind == Slip:
		return fmt.Sprintf("%d/%s", id, kind)
	case rung > 0:
		return fmt.Sprintf("%d/%s.%d.%d", id, kind, turn, rung)
	}
	return fmt.Sprintf("%d/%s.%d", id, kind, turn)
}

// put queues one message about a batch.
func (s *scene) put(b *Batch, e Entry) {
	s.Head.Seq++
	e.V, e.Batch, e.Seq = version, b.ID, s.Head.Seq
	if e.Lane == "" {
		e.Lane = s.Head.Team.Channel
	}
	e.Key = Key(b.ID, e.Kind, e.Turn, e.Rung)
	s.ch.Outbox = append(s.ch.Outbox, e)
}

// post queues a message as it is now. There is one slip for a batch, and one
// stop message for each charger above the count, whatever the turn.
func (s *scene) post(b *Batch, kind EntryKind) {
	e := Entry{Kind: kind, Due: s.now.Time()}
	if kind == StopCall {
		e.Rung, e.Urgent = b.Stops, true
	}
	s.put(b, e)
}

// repost brings a call up to date, or posts it if it never went out.
func (s *scene) repost(b *Batch, kind EntryKind) {
	s.put(b, Entry{Kind: kind, Turn: b.Turn, Due: s.now.Time()})
	s.editRungs(b, kind)
}

// edit corrects what was posted of a kind of call, at all its rungs.
func (s *scene) edit(b *Batch, kind EntryKind) {
	if kind == StopCall {
		for rung := uint8(1); rung <= b.Stops; rung++ {
			s.put(b, Entry{Kind: kind, Rung: rung, Due: s.now.Time(), Edit: true})
		}
		return
	}
	s.put(b, Entry{Kind: kind, Turn: b.Turn, Due: s.now.Time(), Edit: true})
	s.editRungs(b, kind)
}

// editRungs corrects the second calls of the phase's call, or of the contact's.
func (s *scene) editRungs(b *Batch, kind EntryKind) {
	made := b.Rung
	if kind == ContactCall {
		made = b.ContactRung
	}
	for rung := uint8(1); rung < min(made, 9); rung++ {
		s.put(b, Entry{Kind: kind, Turn: b.Turn, Rung: rung, Due: s.now.Time(), Edit: true})
	}
}

// editAll corrects whatever was posted about a batch in its present turn.
func (s *scene) editAll(b *Batch) {
	for _, kind := range []EntryKind{ChargeCall, StopCall, VentCall, ContactCall, StrainCall, ClearCall, LabelCall} {
		s.edit(b, kind)
	}
}

// call queues a call to the team at its rung.
func (s *scene) call(b *Batch, kind EntryKind, rung uint8, due Moment) {
	urgent := kind == VentCall || kind == ChargeCall
	s.put(b, Entry{Kind: kind, Turn: b.Turn, Rung: rung, Due: due.Time(), Urgent: urgent})
}

// callVent makes the vent call, first at due.
func (s *scene) callVent(b *Batch, due Moment) {
	if b.Phase != Scrapped {
		b.Phase = Venting
	}
	b.CallAt, b.Rung = due, 0
	s.ringCall(b, VentCall, due)
}

// callStrain makes the strain call, first at due.
func (s *scene) callStrain(b *Batch, due Moment) {
	b.Phase = Straining
	b.CallAt, b.Rung = due, 0
	s.ringCall(b, StrainCall, due)
}

// toLabel makes a batch wait for its label. The request for it rides on the
// last call; a call of its own comes only when it stays unlabelled.
func (s *scene) toLabel(b *Batch, from Moment) {
	b.Phase, b.Rung = Labelling, 0
	b.CallAt = from.Add(unlabelled)
}
