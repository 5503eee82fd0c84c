package kitchen

import "ventbell/internal/request"

// restFor sets how long an open batch rests, inside the recipe's limit. A rest
// that is shorter than what has passed ends now, never before.
func (s *scene) restFor(b *Batch) Answer {
	rest := s.req.Rest
	switch {
	case b.Phase == Venting || b.Phase == Scrapped && b.Gas() > 0:
		return s.refuse(b, RefuseCalled)
	case b.Phase != Loading && b.Phase != Charging && b.Phase != Resting:
		return s.refuse(b, RefuseNotYet)
	case rest > b.Rest.Max, b.Gas() > b.Chargers && rest > b.Rest.Target+b.Extra:
		return s.refuse(b, RefuseTooLong)
	case rest == b.Rest.Target+b.Extra:
		return s.already(b, Mark{By: s.cmd.By, Done: s.done})
	}
	before := b.Moving
	b.Extra = rest - b.Rest.Target
	if b.VentAt != 0 {
		b.Turn++
		b.HeadsUp = false
		b.VentAt = max(b.RestFrom.Add(rest), s.now)
	}
	s.log(b, "rest set", "to", rest.String())
	s.changed(b, before)
	s.post(b, Slip)
	a := s.did(b)
	a.Short = rest < b.Rest.Min
	return a
}

// pausable finds what a pause without a vessel is about: the speaker's most urgent
// batch, else the most urgent of all; nothing is held, whichever it is.
func (s *scene) pausable() *Batch {
	for _, b := range append(s.Mine(s.cmd.By), s.Open()...) {
		if !b.over() {
			return b
		}
	}
	return nil
}

// pause says why nothing is held: what is under gas goes on without us.
func (s *scene) pause(b *Batch) Answer {
	a := s.refuse(b, RefusePause)
	if b.Gas() > 0 {
		a.Choices = []Choice{s.choice(b, ChooseOffer, request.Offer, "")}
	}
	return a
}
