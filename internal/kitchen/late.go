package kitchen

import (
	"slices"
	"time"

	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// What is said can reach us late: the platform sends again what we did not
// take, for up to a day. What was said of gas counts whenever it comes. A vessel
// is empty only if nothing went in after it was said; a start is asked about.

// timed takes the times of a command. A thing was said when the platform says;
// clocks run from at most ten minutes back.
func (s *scene) timed() {
	s.said = s.now
	if !s.cmd.At.IsZero() {
		s.said = min(At(s.cmd.At), s.now)
	}
	s.done = max(s.said, s.now.Add(-oldest))
	s.late = s.said < s.done
}

// lateSaid gives when a thing was said that reached us late and counts from
// later on; zero if it counts from when it was said.
func (s *scene) lateSaid() Moment {
	if !s.late || s.said == s.done {
		return 0
	}
	return s.said
}

// doubtful says that a start reached us so late that it is asked about. An
// answer to a question is not: its button was shown to be tapped now, and where
// our clock is wrong nothing could be started any more.
func (s *scene) doubtful() bool {
	return s.late && (s.cmd.Tap == nil || s.tap.With == "")
}

// stillOn asks about a start that reached us late. The yes is a start of now.
func (s *scene) stillOn(p plan.Plan) Answer {
	yes := Tap{Line: s.req.String(), With: "now"}
	if s.tap.With == "replace" {
		yes.Batch, yes.Turn, yes.With = s.tap.Batch, s.tap.Turn, s.tap.With
	}
	return Answer{
		Kind: Ask, Code: AskStillOn, Verb: request.Start, Title: p.Title, Volume: p.Volume, Vessel: s.req.Vessel,
		Line: yes.Line, Who: s.cmd.By, At: s.said, Choices: []Choice{{Code: ChooseNow, Tap: yes}}, Private: true,
	}
}

// outlived refuses what was said before its batch was there, or before the
// thing that it would take back: it meant something else. Gas is never refused.
func (s *scene) outlived(b *Batch) (Answer, bool) {
	switch {
	case !s.late:
	case s.req.Verb == request.Charged, s.req.Verb == request.GasIn, s.req.Verb == request.MoreGas, s.req.Verb == request.Why:
	case s.said < b.Started.SaidAt():
		return s.tooEarly(b, b.Started), true
	case s.req.Verb == request.NoGas && s.said < b.lastGas().SaidAt():
		return s.tooEarly(b, b.lastGas()), true
	case s.req.Verb == request.Undo && s.said < b.Last.Entered:
		return s.refuse(b, RefuseUndoLate), true
	}
	return Answer{}, false
}

// chargedLate takes a charger that is told late of a vessel that was emptied.
// Said before the vent, it left with the rest of the gas: the count is put
// right. Said after it, gas may be in again, and who said it may be gone.
func (s *scene) chargedLate(b *Batch) Answer {
	switch after := s.said >= b.Emptied.SaidAt(); {
	case after && b.holdsVessel():
		s.inAgain(b)
		s.fact(b)
		return s.did(b)
	case after:
		return s.refuseNothing()
	}
	assumed := slices.IndexFunc(b.Charges, func(c Charge) bool { return c.Assumed })
	told := Charge{Mark: Mark{By: s.cmd.By, Done: s.said, Entered: s.now}}
	switch {
	case assumed >= 0:
		b.Charges[assumed] = told
	case b.Full(): // told twice: nobody answered the first time
		return s.already(b, b.FullSince().Mark)
	default:
		b.Charges = append(b.Charges, told)
		s.History.vented(b, b.Emptied.Done, s.now)
	}
	s.sortCharges(b)
	s.log(b, "charged", "when", "before the vent")
	s.fact(b)
	s.post(b, Slip)
	return s.did(b)
}

// Lapsed is a reservation that ran out and left the kitchen.
type Lapsed struct {
	Batch  uint32 `cbor:"b"`
	Vessel string `cbor:"a"`
	Line   string `cbor:"l"`
	From   Moment `cbor:"f"`
	Until  Moment `cbor:"u"` // until when a charger told of the vessel was meant for it
}

const (
	// lapsedAtMost is how many reservations that ran out are remembered.
	lapsedAtMost = 12
	// lapsedFor is how long: a platform sends again for a day, and two hours to
	// spare (our choice).
	lapsedFor = 26 * time.Hour
)

// lapse remembers a reservation that leaves.
func (h *History) lapse(b *Batch, now Moment) {
	if !b.Expired {
		return
	}
	h.V = version
	list := slices.DeleteFunc(slices.Clone(h.Lapsed), func(l Lapsed) bool { return l.Until < now.Add(-lapsedFor) })
	list = append(list, Lapsed{Batch: b.ID, Vessel: b.Vessel, Line: b.Line, From: b.Started.Done, Until: now})
	h.Lapsed = list[max(0, len(list)-lapsedAtMost):]
}

// opened forgets the reservations of a vessel that is opened to be filled anew.
func (h *History) opened(vessel string) {
	h.Lapsed = slices.DeleteFunc(slices.Clone(h.Lapsed), func(l Lapsed) bool { return l.Vessel == vessel })
}

// lapsed opens a batch like a reservation that ran out and left, since a
// charger is told only now that went in while it still stood. nil if there was
// none, or if its vessel is in use since.
func (s *scene) lapsed() *Batch {
	i := slices.IndexFunc(s.History.Lapsed, func(l Lapsed) bool {
		meant := l.Batch == s.tap.Batch || s.tap.Batch == 0 && l.Vessel == s.req.Vessel
		return meant && l.From <= s.said && s.said <= l.Until
	})
	if i < 0 {
		return nil
	}
	l := s.History.Lapsed[i]
	reading := s.readLine(l.Line)
	if reading.Request == nil {
		return nil
	}
	req := *reading.Request
	req.Vessel = l.Vessel
	p, problem := s.plan(req)
	if problem != nil {
		return nil
	}
	return s.open(s.fixed(p, p.Runs[0], l.Line))
}
