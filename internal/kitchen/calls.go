package kitchen

import (
	"fmt"
	"time"
)

// unlabelled is how long a strained batch may stand without its label before
// it is called.
const unlabelled = 10 * time.Minute

// ladders give, for each call, how long after it its second calls come; the
// last two steps say how they go on. House habits, an estimate. Those that the
// recipe paces are in pace.go.
var ladders = map[EntryKind][]time.Duration{
	ChargeCall: {2 * time.Minute, 5 * time.Minute},
	ClearCall:  {5 * time.Minute, 15 * time.Minute},
	LabelCall:  {10 * time.Minute, 30 * time.Minute},
	BlockCall:  {2 * time.Minute, 5 * time.Minute, 10 * time.Minute, 20 * time.Minute},
}

// lastRung is the highest rung of a call. One that nobody answers comes to it
// after half a day or so.
const lastRung = 250

// CallDue gives when the call of a kind comes at a rung; zero while what it
// counts from has not happened.
func (b *Batch) CallDue(kind EntryKind, rung uint8) Moment {
	first := b.firstCall(kind)
	if first == 0 || rung == 0 {
		return first
	}
	steps := b.steps(kind)
	if int(rung) <= len(steps) {
		return first.Add(steps[rung-1])
	}
	beyond := time.Duration(int(rung)-len(steps)) * pace(steps)
	return first.Add(steps[len(steps)-1] + beyond)
}

// firstCall gives when the first call of a kind comes.
func (b *Batch) firstCall(kind EntryKind) Moment {
	switch kind {
	case ChargeCall:
		return b.SwirlEnds().Add(stalled)
	case VentCall:
		return b.VentAt
	case ContactCall:
		return b.SolidsOut()
	case StrainCall:
		return b.StrainAt()
	case ClearCall:
		return b.ClearAt()
	case LabelCall:
		if from := b.labelFrom(); from != 0 {
			return from.Add(unlabelled)
		}
	}
	return 0
}

// labelFrom gives when a batch began to wait for its label.
func (b *Batch) labelFrom() Moment {
	switch {
	case b.Cleared != nil:
		return b.Cleared.Done
	case b.Strained == nil:
		return 0
	case b.StrainFirst:
		return b.SettledAt()
	}
	return b.Strained.Done
}

// rung gives the rung that a call has come to by now: those that were missed
// meanwhile become one. At the last rung each call opens a new turn, so that
// its key is new and it rings.
func (s *scene) rung(b *Batch, kind EntryKind, made uint8) uint8 {
	rung := min(made, lastRung)
	for rung < lastRung && b.CallDue(kind, rung+1) <= s.now {
		rung++
	}
	if rung == lastRung {
		b.Turn++
	}
	return rung
}

// next gives how many calls were made with the one at rung, and when the one
// after it comes.
func (s *scene) next(b *Batch, kind EntryKind, rung uint8) (made uint8, at Moment) {
	if s.fencedOff(b) {
		return rung + 1, s.nextMorning()
	}
	if rung == lastRung {
		return rung + 1, s.now.Add(pace(b.steps(kind)))
	}
	return rung + 1, max(b.CallDue(kind, rung+1), s.now.Add(time.Second))
}

// Key gives the key of a message about a batch.
func Key(id uint32, kind EntryKind, turn uint16, rung uint8) string {
	switch {
	case kind == Slip || kind == HistoryNote || kind == FallbackCall || kind == CreamSlip: // one for a batch
		return fmt.Sprintf("%d/%s", id, kind)
	case rung > 0:
		return fmt.Sprintf("%d/%s.%d.%d", id, kind, turn, rung)
	}
	return fmt.Sprintf("%d/%s.%d", id, kind, turn)
}

// put queues one message about a batch.
func (s *scene) put(b *Batch, e Entry) {
	e.Batch = b.ID
	if e.Lane == "" {
		e.Lane = s.Head.Team.Channel
	}
	e.Key = Key(b.ID, e.Kind, e.Turn, e.Rung)
	s.queue(e)
	s.copies(b, e)
	if joins(e.Kind) {
		s.editJoint(b, e)
	}
}

// queue puts an entry behind all others.
func (s *scene) queue(e Entry) {
	s.Head.Seq++
	e.V, e.Seq = version, s.Head.Seq
	s.ch.Outbox = append(s.ch.Outbox, e)
}

// queueFor queues a message; where its lane takes none, to these people directly.
func (s *scene) queueFor(e Entry, people []Person) {
	s.queue(e)
	if s.Head.inTrouble(e.Lane) {
		s.directly(e, people)
	}
}

// directly queues a message to each of these people.
func (s *scene) directly(e Entry, people []Person) {
	key := e.Key
	for _, p := range people {
		e.Lane, e.Key = "@"+p.ID, key+"@"+p.ID
		s.queue(e)
	}
}

// post queues a message as it is now. There is one slip for a batch, and one
// stop message for each charger above the count, whatever the turn.
func (s *scene) post(b *Batch, kind EntryKind) {
	e := Entry{Kind: kind, Due: s.now.Time()}
	switch kind {
	case StopCall:
		e.Rung, e.Urgent = b.Stops, true
	case OfferCall:
		e.Rung = b.Offers
	case ClaimCall:
		e.Rung, e.Urgent = b.Claims, true
	}
	s.put(b, e)
}

// repost brings a call up to date, or posts it if it never went out.
func (s *scene) repost(b *Batch, kind EntryKind) {
	s.put(b, Entry{Kind: kind, Turn: b.Turn, Due: s.now.Time()})
	s.editRungs(b, kind)
}

// edit corrects what was posted of a kind of call. Each message stays about
// its own moment.
func (s *scene) edit(b *Batch, kind EntryKind) {
	if kind == StopCall {
		for rung := uint8(1); rung <= b.Stops; rung++ {
			s.put(b, Entry{Kind: kind, Rung: rung, Due: s.now.Time(), Edit: true})
		}
		return
	}
	s.editRung(b, kind, 0)
	s.editRungs(b, kind)
}

// editRungs corrects the latest second calls of the phase's call, or of the
// contact's. Who scrolls further back sees old ones.
func (s *scene) editRungs(b *Batch, kind EntryKind) {
	const latest = 8
	made := b.Rung
	if kind == ContactCall {
		made = b.ContactRung
	}
	for rung := max(1, int(made)-latest); rung < int(made); rung++ {
		s.editRung(b, kind, uint8(rung))
	}
}

func (s *scene) editRung(b *Batch, kind EntryKind, rung uint8) {
	due := b.CallDue(kind, rung)
	if due == 0 { // it was never made
		due = s.now
	}
	s.put(b, Entry{Kind: kind, Turn: b.Turn, Rung: rung, Due: due.Time(), Edit: true})
}

// editAll corrects whatever was posted about a batch in its present turn.
func (s *scene) editAll(b *Batch) {
	for _, kind := range []EntryKind{ChargeCall, StopCall, VentCall, ContactCall, StrainCall, ClearCall, LabelCall} {
		s.edit(b, kind)
	}
}

// history brings a batch's history up to date, once it was emptied. It comes
// after everything else that is said about the batch.
func (s *scene) history(b *Batch) {
	s.put(b, Entry{Kind: HistoryNote, Turn: b.Turn, Due: s.now.Time(), Edit: b.Emptied == nil})
}

// call queues a call to the team at its rung.
func (s *scene) call(b *Batch, kind EntryKind, rung uint8, due Moment) {
	urgent := kind == VentCall || kind == ChargeCall
	s.put(b, Entry{Kind: kind, Turn: b.Turn, Rung: rung, Due: due.Time(), Urgent: urgent})
}

// callVent makes the vent call.
func (s *scene) callVent(b *Batch) {
	if b.Phase != Scrapped {
		b.Phase = Venting
	}
	b.CallAt, b.Rung = b.VentAt, 0
	s.ringCall(b, VentCall)
}

// callStrain makes the strain call.
func (s *scene) callStrain(b *Batch) {
	b.Phase = Straining
	b.CallAt, b.Rung = b.StrainAt(), 0
	s.ringCall(b, StrainCall)
}

// toLabel makes a batch wait for its label. The request for it rides on the
// last call; a call of its own comes only when it stays unlabelled.
func (s *scene) toLabel(b *Batch, from Moment) {
	b.Phase, b.Rung = Labelling, 0
	b.CallAt = from.Add(unlabelled)
}
