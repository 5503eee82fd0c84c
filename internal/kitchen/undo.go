package kitchen

import (
	"time"

	"ventbell/internal/request"
)

// undoFor is how long the last change of a batch can be taken back.
const undoFor = 10 * time.Minute

// undo takes back the last change of a batch, by anyone, if nothing later
// depends on it. Facts of gas are corrected instead: "no gas", "gas in".
func (s *scene) undo(b *Batch) Answer {
	switch {
	case b.Phase == Loading && b.Last.Verb == request.Start:
		s.tap.With = "sure"
		s.req.Verb = request.Scrap
		return s.scrap(b)
	case b.Before == nil && isGas(b.Last.Verb):
		return s.refuse(b, RefuseUndoGas)
	case b.Before == nil, s.now.Sub(b.Last.Entered) > undoFor:
		return s.refuse(b, RefuseUndoLate)
	case s.usedSince(b):
		return s.refuse(b, RefuseUndoUsed)
	}
	what, turn, calls := b.Last.Verb, b.Turn, *b
	calls.Rung = max(b.Rung, b.Before.Rung)
	calls.ContactRung = max(b.ContactRung, b.Before.ContactRung)
	held := b.holdsVessel()
	b.Moving = *b.Before
	b.Turn = turn + 1
	b.Before, b.HeadsUp = nil, false
	m := s.mark()
	b.Undone = &m
	if !held && b.holdsVessel() {
		s.record(b.Vessel, func(r *Vessel) { r.Dirty = 0 })
		b.Blocked = s.Vessels[b.Vessel].Blocked
		s.nowUsed(b.Vessel)
	}
	s.log(b, "undone", "what", string(what))
	s.editAll(&calls)
	s.rearm(b)
	s.post(b, Slip)
	a := s.did(b)
	a.Line = string(what)
	return a
}

// rearm makes calls that were made in an earlier turn be made again.
func (s *scene) rearm(b *Batch) {
	switch b.Phase {
	case Venting, Scrapped:
		if b.Gas() > 0 {
			b.CallAt, b.Rung = b.VentAt, 0
		}
	case Straining:
		b.CallAt, b.Rung = b.StrainAt(), 0
	case Clearing:
		b.CallAt, b.Rung = b.ClearAt(), 0
	case Labelling:
		b.CallAt, b.Rung = s.now.Add(unlabelled), 0
	}
	if b.ContactRung > 0 && b.ContactAt != 0 {
		b.ContactAt, b.ContactRung = b.SolidsOut(), 0
	}
}

func isGas(v request.Verb) bool {
	return v == request.Charged || v == request.NoGas || v == request.GasIn || v == request.MoreGas ||
		v == request.Freed || v == request.Trouble
}

// usedSince says that the batch's vessel was washed or taken after the change
// that undo would take back.
func (s *scene) usedSince(b *Batch) bool {
	before := Batch{ID: b.ID, Fixed: b.Fixed, Moving: *b.Before}
	if b.holdsVessel() || !before.holdsVessel() {
		return false
	}
	if b.Before.Phase == Loading {
		state, _ := s.Look(b.Vessel)
		return state != VesselFree
	}
	// dirty with this batch, not with one that went through it since
	dirty := s.Vessels[b.Vessel].Dirty
	return s.heldBy(b.Vessel) != nil || dirty == 0 || dirty != b.Last.Done
}
