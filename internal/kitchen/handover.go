package kitchen

import "ventbell/internal/request"

const (
	// AskTakeShift: Who signed At as the one who goes; does the speaker take over?
	AskTakeShift Code = "take shift"
	// ChooseTakeShift takes it.
	ChooseTakeShift ChoiceCode = "take shift"
	// TakesShift is what the tap says besides of who takes the shift over.
	TakesShift = "takes"
)

// signShift signs the list between two shifts: first who goes, then one tap of who
// takes it. A vessel under pressure may be handed over, to a person by name: the
// one who takes it. Until then it stays with its owner, and so do its calls.
func (s *scene) signShift() Answer {
	c := &s.Closing
	a := s.aboutClosing(Done, "")
	takes := s.tap.With == TakesShift
	switch {
	case c.List.Gone == nil && takes:
		a.Kind, a.Code = Refuse, RefuseListGone
		return a
	case c.List.Gone == nil:
		list := *c.List
		m := s.mark()
		list.Gone = &m
		c.List = &list
		s.log(nil, "shift signed", "list", itoa(int(c.N)))
		a.Closing.List = c.List
		s.putList(c.N, false)
		return a
	case c.List.Gone.By.ID == s.cmd.By.ID && takes:
		a.Kind, a.Code = Refuse, RefuseNobodyElse
		return a
	case c.List.Gone.By.ID == s.cmd.By.ID:
		a.Kind, a.At = Already, c.List.Gone.Done
		return a
	case !takes: // somebody else may have meant to sign as the one who goes
		a.Kind, a.Code, a.Who, a.At = Ask, AskTakeShift, c.List.Gone.By, c.List.Gone.Done
		a.Choices = []Choice{{Code: ChooseTakeShift, Tap: Tap{Line: string(request.Sign), N: int(c.N), With: TakesShift}}}
		return a
	case c.List.To.ID != "" && c.List.To.ID != s.cmd.By.ID && !s.manages():
		a.Kind, a.Code, a.Who = Refuse, RefuseNotNamed, c.List.To
		return a
	}
	return s.takeShift(a)
}

// takeShift gives everything that who went had to who takes it.
func (s *scene) takeShift(a Answer) Answer {
	c := &s.Closing
	from := c.List.Gone.By
	asked := s.req
	for _, b := range s.Mine(from) {
		s.req = request.Request{Verb: request.Take, Vessel: b.Vessel}
		s.take(b)
		a.Batches = append(a.Batches, b.ID)
	}
	for _, x := range s.Creams() {
		if cream := s.CreamOf(x.N); x.By.ID == from.ID {
			s.takeCream(cream)
		}
	}
	s.req = asked
	x := s.sumUp()
	taken := s.mark()
	x.Shift, x.Signed, x.Taken = true, *c.List.Gone, &taken
	x.Left = append(x.Left, a.Closing.Items[:min(len(a.Closing.Items), leftAtMost)]...)
	x.More = len(a.Closing.Items) - len(x.Left)
	s.log(nil, "shift taken", "from", from.Name, "list", itoa(int(c.N)))
	s.archive(&x)
	s.putList(c.N, true)
	c.List = nil
	if c.Last == nil || c.Last.Day != x.Day || c.Last.Shift { // a day that was signed stays so
		c.Last = &x
	}
	a.Closing.Last = &x
	return a
}
