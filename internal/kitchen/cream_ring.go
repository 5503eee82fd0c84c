package kitchen

import (
	"slices"
	"time"

	"ventbell/internal/request"
)

// creamMore counts chargers that went into cream besides. Gas that somebody says is
// in counts; above the limit the vessel is to be emptied at once.
func (s *scene) creamMore(c *Cream, n int) Answer {
	if n <= 0 {
		return s.refuseCream(c, Refuse, RefuseCounted, Mark{By: c.By, Done: c.Last})
	}
	if s.tap.Batch != 0 && s.tap.Turn != c.Turn {
		return s.refuseCream(c, Refuse, RefuseOldButton, Mark{By: c.By, Done: c.Last})
	}
	c.Charged += n
	c.Last = max(c.Last, s.done)
	s.logCream(c, "charged", "charger", itoa(c.Charged), "of", itoa(c.Of))
	s.tookCream(c, n)
	if c.Charged > c.Of && !c.Amiss {
		c.Turn++
		c.Amiss, c.Until, c.CallAt, c.Rung = true, s.now, s.now, 0
		s.ringCream(c.N, s.now)
	}
	s.postCream(c)
	return s.creamDone(c)
}

// creamDud takes the last charger of cream back, on a person's plain word: it is
// spent, and let no gas in.
func (s *scene) creamDud(c *Cream) Answer {
	if s.said < c.Last {
		return s.refuseCream(c, Refuse, RefuseTooEarly, Mark{By: c.By, Done: c.Last})
	}
	c.Charged--
	s.track()
	s.Stock.Spent.Cream--
	s.Stock.Spent.Duds++
	s.logCream(c, "no gas", "charger", itoa(c.Charged+1))
	s.moved(nil, TookDud, 0, "vessel", c.Vessel)
	if c.Charged > 0 {
		s.postCream(c)
		return s.creamDone(c)
	}
	return s.endCream(c)
}

// takeCream makes the speaker the one who is called for it.
func (s *scene) takeCream(c *Cream) Answer {
	if c.By.ID == s.cmd.By.ID {
		return s.refuseCream(c, Already, "", Mark{By: c.By, Done: c.Since})
	}
	s.logCream(c, "taken over", "from", c.By.Name)
	c.By = s.cmd.By
	s.postCream(c)
	return s.creamDone(c)
}

// emptied ends the pressure in a vessel of cream: gas was heard to flow, then two
// presses were silent.
func (s *scene) emptied(c *Cream) Answer {
	switch {
	case s.Vessels[c.Vessel].Blocked != nil:
		return s.refuseCream(c, Refuse, RefuseBlocked, s.Vessels[c.Vessel].Blocked.Since)
	case s.said < c.Last:
		return s.refuseCream(c, Refuse, RefuseTooEarly, Mark{By: c.By, Done: c.Last})
	}
	s.logCream(c, "cream emptied")
	return s.endCream(c)
}

// endCream leaves the vessel to be washed.
func (s *scene) endCream(c *Cream) Answer {
	m := s.mark()
	c.Emptied = &m
	c.CallAt = s.now.Add(undoFor)
	s.record(c.Vessel, func(r *Vessel) {
		r.Dirty, r.By, r.Title = s.done, s.cmd.By, c.Title
		r.leave(c.Allergens, c.Title)
	})
	s.editCream(c)
	s.postCream(c)
	return s.creamDone(c)
}

// creamBack takes the word back that a vessel is empty: it is under pressure.
func (s *scene) creamBack(c *Cream) Answer {
	m := *c.Emptied
	switch {
	case s.now.Sub(m.Entered) > undoFor:
		return s.refuseCream(c, Refuse, RefuseUndoLate, m)
	case s.Vessels[c.Vessel].Dirty != m.Done:
		return s.refuseCream(c, Refuse, RefuseUndoUsed, m)
	case c.Charged == 0: // it ended for want of gas
		return s.refuseCream(c, Refuse, RefuseUndoGas, m)
	}
	s.record(c.Vessel, func(r *Vessel) { r.Dirty = 0 })
	c.Emptied = nil
	c.Turn++
	c.Rung, c.CallAt = 0, max(c.Until.Add(-creamAhead), s.now)
	if s.now >= c.Until {
		c.Rung = 1
	}
	s.logCream(c, "undone", "what", string(request.Emptied))
	s.postCream(c)
	return s.creamDone(c)
}

// CreamDue gives when the call for cream comes at a rung: 0 the word ahead, 1 its
// end, then the second calls.
func (c *Cream) CreamDue(rung uint8) Moment {
	switch {
	case rung == 0:
		return c.Until.Add(-creamAhead)
	case rung == 1:
		return c.Until
	}
	if i := int(rung) - 2; i < len(creamSteps) {
		return c.Until.Add(creamSteps[i])
	}
	last := len(creamSteps) - 1
	return c.Until.Add(creamSteps[last] + (creamSteps[last]-creamSteps[last-1])*time.Duration(int(rung)-2-last))
}

// CreamCircle gives who is called for cream at a rung: the owner, then more.
func (k *Kitchen) CreamCircle(c *Cream, rung uint8) []Person {
	return k.CircleOf(c.By, rung-min(rung, 1))
}

// ringCream makes the call for cream that has fallen due; those that were missed
// meanwhile become one. Ten minutes after its end it leaves.
func (s *scene) ringCream(n uint32, at Moment) {
	c := s.CreamOf(n)
	if c.Emptied != nil {
		s.Kept = slices.DeleteFunc(slices.Clone(s.Kept), func(x Cream) bool { return x.N == n })
		s.logRing(nil, "cream left", "cream", itoa(int(n)))
		s.ch.Forget = append(s.ch.Forget, n)
		return
	}
	rung := c.Rung
	for rung < lastRung && c.CreamDue(rung+1) <= s.now {
		rung++
	}
	if rung == lastRung {
		c.Turn++
	}
	e := Entry{
		Kind: CreamCall, Batch: n, Turn: c.Turn, Rung: rung, Lane: s.Head.Team.Channel, Due: c.CreamDue(rung).Time(),
		Key: Key(n, CreamCall, c.Turn, rung), Urgent: rung > 0,
	}
	if rung == 0 {
		e.Lane = "@" + c.By.ID
	}
	s.queueFor(e, s.CreamCircle(c, rung))
	s.logRing(nil, "cream call", "cream", itoa(int(n)), "vessel", c.Vessel, "rung", itoa(int(rung)))
	c.Rung = min(rung, lastRung-1) + 1
	c.CallAt = max(c.CreamDue(c.Rung), s.now+1)
	if rung == lastRung {
		c.CallAt = s.now.Add(creamSteps[0])
	}
}

// postCream brings the message of a vessel of cream up to date.
func (s *scene) postCream(c *Cream) {
	s.queue(Entry{
		Kind: CreamSlip, Batch: c.N, Lane: s.Head.Team.Channel, Due: s.now.Time(), Key: Key(c.N, CreamSlip, 0, 0), Turn: c.Turn,
	})
}

// editCream corrects the latest calls of cream.
func (s *scene) editCream(c *Cream) {
	const latest = 4
	for rung := max(0, int(c.Rung)-latest); rung < int(c.Rung); rung++ {
		r := uint8(rung)
		e := Entry{
			Kind: CreamCall, Batch: c.N, Turn: c.Turn, Rung: r, Lane: s.Head.Team.Channel, Due: c.CreamDue(r).Time(),
			Key: Key(c.N, CreamCall, c.Turn, r), Edit: true,
		}
		if r == 0 {
			e.Lane = "@" + c.By.ID
		}
		s.queue(e)
	}
}

// openCreams gives the cream that is kept charged as the reader needs it.
func (s *scene) openCreams(p Person) []request.Open {
	var list []request.Open
	for _, c := range s.Creams() {
		o := request.Open{Batch: c.N, Title: c.Title, Vessel: c.Vessel, Phase: request.KeptCharged, Mine: c.By.ID == p.ID}
		if c.Rung > 0 && !s.late && c.CreamDue(0) <= s.said {
			o.Due = request.Vented
		}
		list = append(list, o)
	}
	return list
}

// stockChores gives what chargers and cream wait for.
func (k *Kitchen) stockChores() []chore {
	list := []chore{{at: k.Stock.Order.At, do: (*scene).ringOrder}}
	for _, c := range k.Kept {
		list = append(list, chore{at: c.CallAt, do: func(s *scene, at Moment) { s.ringCream(c.N, at) }})
	}
	return list
}
