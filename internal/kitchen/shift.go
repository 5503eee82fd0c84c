package kitchen

import (
	"slices"
	"time"

	"ventbell/internal/request"
)

// Duty is somebody who is on shift.
type Duty struct {
	Person
	Since Moment `cbor:"s"`
}

const (
	// dutyAtMost is how many people are kept, the latest.
	dutyAtMost = 20
	// dutyFor is when a shift that nobody ended counts as over (an estimate).
	dutyFor = 16 * time.Hour
	// offersAtMost is how many buttons a question about handing over has.
	offersAtMost = 3
	// namedAtMost is how many people an offer names.
	namedAtMost = 2
)

// OnShift gives who is on shift, as far as they said so.
func (k *Kitchen) OnShift(now time.Time) []Person {
	var people []Person
	for _, d := range k.Head.Shift {
		if At(now).Sub(d.Since) < dutyFor {
			people = append(people, d.Person)
		}
	}
	return people
}

// shift notes that the speaker comes or goes. Nobody goes from a vessel under
// pressure: it is vented or handed over first.
func (s *scene) shift() Answer {
	on := s.req.Verb == request.OnShift
	i := slices.IndexFunc(s.Head.Shift, func(d Duty) bool { return d.ID == s.cmd.By.ID })
	mine := s.Mine(s.cmd.By)
	if pressed := keepOnly(mine, (*Batch).pressed); !on && len(pressed) > 0 {
		a := Answer{Kind: Refuse, Code: RefuseShift, Verb: s.req.Verb, Vessel: pressed[0].Vessel, Who: s.cmd.By, At: s.now, Private: true}
		for _, b := range pressed {
			a.Batches = append(a.Batches, b.ID)
			if len(a.Choices) < offersAtMost {
				a.Choices = append(a.Choices, s.choice(b, ChooseOffer, request.Offer, ""))
			}
		}
		return a
	}
	a := Answer{Kind: Done, Verb: s.req.Verb, Who: s.cmd.By, At: s.done, Private: true}
	for _, b := range mine {
		a.Batches = append(a.Batches, b.ID)
	}
	list := slices.Clone(s.Head.Shift)
	if i >= 0 {
		list = slices.Delete(list, i, i+1)
	}
	if on {
		list = append(list, Duty{Person: s.cmd.By, Since: s.done})
		s.back(s.cmd.By)
	} else {
		s.goes(s.cmd.By)
	}
	s.Head.Shift = list[max(0, len(list)-dutyAtMost):]
	s.log(nil, string(s.req.Verb)+" shift")
	return a
}

// offer asks the team to take a batch over. Until somebody does, it stays with
// its owner, and so do its calls.
func (s *scene) offer(b *Batch) Answer {
	if b.Phase == Stored || b.Phase == Scrapped && b.Gas() == 0 {
		return s.refuseNothing()
	}
	m := s.mark()
	b.Offered, b.Skilled = &m, b.Skilled && b.Offered != nil
	b.Offers++
	s.log(b, "offered")
	s.post(b, OfferCall)
	a := s.did(b)
	a.Quiet = false
	return a
}

// answerOffers brings the messages that offer a batch up to date.
func (s *scene) answerOffers(b *Batch) {
	if b.Offered == nil {
		return
	}
	b.Offered, b.Skilled = nil, false
	for rung := uint8(1); rung <= b.Offers; rung++ {
		s.put(b, Entry{Kind: OfferCall, Rung: rung, Due: s.now.Time(), Edit: true})
	}
}

// StandIns gives who is asked to take a batch over, two at most: who is on shift,
// did something last and may charge where that is what is wanted, else the
// managers. Whoever offered it is not, nor its owner, unless somebody trained is
// wanted and the owner is.
func (k *Kitchen) StandIns(b *Batch, now time.Time) []Person {
	asked := func(people []Person) []Person {
		return slices.DeleteFunc(slices.Clone(people), func(p Person) bool {
			skilled := b.Skilled && k.MayCharge(p)
			return p.ID == b.Owner.ID && !skilled || b.Offered != nil && p.ID == b.Offered.By.ID || slices.Contains(b.Declined, p.ID)
		})
	}
	people := asked(k.hands(At(now)))
	if b.Skilled {
		people = asked(k.trainedOn(At(now)))
	}
	if len(people) == 0 {
		people = asked(k.Head.Team.Managers)
	}
	return people[:min(len(people), namedAtMost)]
}
