package kitchen

import (
	"strconv"

	"ventbell/internal/request"
)

// mostAsked is how many chargers the buttons of AskHowMany go up to.
const mostAsked = 3

// moreGas counts chargers that somebody says went in beyond the count. It only
// ever adds. What is above the plan is gas that is in, and is vented at once.
func (s *scene) moreGas(b *Batch) Answer {
	emptied := b.Gas() == 0 && b.Emptied != nil
	switch {
	case s.tap.With == "again" && !emptied && b.Last.Verb == request.MoreGas && s.pressedTwice(b.Last.Mark):
		return s.already(b, b.Last.Mark)
	case !b.holdsVessel():
		return s.refuseNothing()
	case emptied && s.said < b.Emptied.SaidAt():
		return s.already(b, *b.Emptied) // it left with the rest of the gas
	case emptied && !s.late && s.tap.With != "again":
		s.req.Chargers = max(s.req.Chargers, 1)
		a := s.ask(b, AskGasAgain, s.choice(b, ChooseGasIn, request.MoreGas, "again"))
		a.Who, a.At = b.Emptied.By, b.Emptied.Done
		return a
	case s.req.Chargers == 0 && !emptied:
		return s.howMany(b)
	}
	more := max(s.req.Chargers, 1)
	if emptied {
		s.inAgain(b)
		more--
	} else {
		if b.Told != nil {
			s.countTold(b)
		}
		if more = s.beyond(b); more <= 0 && b.Doubt == nil {
			a := s.refuse(b, RefuseCounted)
			a.N = b.Gas()
			return a
		}
	}
	if b.Doubt != nil {
		s.believe(b)
	}
	s.add(b, more)
	s.fact(b)
	s.post(b, Slip)
	a := s.did(b)
	a.Quiet = false // the slip does not say how many were meant
	if all := b.Chargers + s.req.Chargers; !emptied && !s.req.InAll && b.Gas() <= b.Chargers && all > b.Gas() {
		a.Choices = []Choice{s.inAll(b, all)}
	}
	return a
}

// beyond gives how many chargers are to be added to those that are counted or in
// doubt. Whoever answers how many speaks of the count that stood when it was
// asked; whoever told of the doubt speaks of the same chargers.
func (s *scene) beyond(b *Batch) int {
	n := s.req.Chargers
	switch {
	case s.req.InAll:
		return n - b.Gas()
	case s.tap.Batch != 0 && s.tap.N > 0:
		return s.tap.N - 1 + n - b.Gas()
	case b.Doubt != nil && b.Doubt.By.ID == s.cmd.By.ID:
		return n - b.Doubt.N
	}
	return n
}

// add counts n chargers, those above the plan as gas that is vented at once.
func (s *scene) add(b *Batch, n int) {
	over := false
	for range n {
		if (b.Phase == Loading || b.Phase == Charging) && !b.Full() {
			s.count(b, Charge{Mark: s.mark()})
			continue
		}
		over = true
		b.Charges = append(b.Charges, Charge{Mark: s.mark()})
		s.contactFrom(b, s.done)
	}
	s.sortCharges(b)
	if over {
		s.log(b, "gas went in", "gas", strconv.Itoa(b.Gas()))
		s.ventNow(b)
	}
}

// howMany asks how many went in too many. One at least did: it counts as gas
// until somebody says, and is believed like any charger above the count.
func (s *scene) howMany(b *Batch) Answer {
	asked := len(b.Charges)
	if b.Doubt == nil && b.Gas() <= b.Chargers {
		b.Doubt = &Doubt{Mark: s.mark(), N: 1}
		b.Stops++
		s.log(b, "stopped", "gas", strconv.Itoa(b.Gas()))
		s.contactFrom(b, s.done)
		s.fact(b)
		s.post(b, StopCall)
		s.editCalled(b)
		s.post(b, Slip)
	}
	var choices []Choice
	for n := 1; n <= mostAsked; n++ {
		s.req.Chargers = n
		c := s.choice(b, ChooseMore, request.MoreGas, "")
		c.N, c.Tap.N = n, asked+1
		choices = append(choices, c)
	}
	s.req.Chargers = 0
	return s.ask(b, AskHowMany, choices...)
}

// inAll offers that n went in altogether.
func (s *scene) inAll(b *Batch, n int) Choice {
	said := s.req
	s.req.Chargers, s.req.InAll = n, true
	c := s.choice(b, ChooseInAll, request.MoreGas, "")
	c.N, s.req = n, said
	return c
}
