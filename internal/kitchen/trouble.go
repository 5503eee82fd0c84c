package kitchen

import (
	"fmt"
	"slices"
)

// troublesAtMost is how many lanes in trouble are remembered, the latest.
const troublesAtMost = 16

// inTrouble says that a lane takes no messages.
func (h *Head) inTrouble(lane string) bool {
	return slices.ContainsFunc(h.Troubles, func(t Trouble) bool { return t.Lane == lane })
}

// trouble notes that a lane takes no messages, or takes them again. It tells
// those who can mend it, and the calls that the lane swallowed go to people
// directly. No batch changes.
func (s *scene) trouble(t Trouble) Answer {
	a := Answer{Kind: Done, At: s.now, Private: true, Quiet: true}
	i := slices.IndexFunc(s.Head.Troubles, func(old Trouble) bool { return old.Lane == t.Lane })
	switch {
	case i < 0 && t.Reason == "", i >= 0 && s.Head.Troubles[i].Reason == t.Reason:
		return a // nothing new
	case i >= 0:
		old := s.Head.Troubles[i]
		s.Head.Troubles = slices.Delete(slices.Clone(s.Head.Troubles), i, i+1)
		if t.Reason == "" {
			s.log(nil, "lane takes messages again", "lane", t.Lane, "reason", old.Reason)
			s.tellTrouble(old, true)
			return a
		}
	case len(s.Head.Troubles) == 0:
		s.ch.Forget = append(s.ch.Forget, 0) // what was said of troubles that are long over
	}
	s.Head.LastTrouble++
	t.N, t.Since, t.Told = s.Head.LastTrouble, s.now, s.whomToTell(t.Lane)
	list := append(slices.Clone(s.Head.Troubles), t)
	s.Head.Troubles = list[max(0, len(list)-troublesAtMost):]
	s.log(nil, "lane takes no messages", "lane", t.Lane, "reason", t.Reason)
	s.tellTrouble(t, false)
	if t.Lane == s.Head.Team.Channel {
		s.callDirectly()
		s.askedDirectly()
	}
	return a
}

// whomToTell gives the ids of those who hear of a lane's trouble: the managers,
// but not the one whom it cuts off; and while the channel is down, whoever owns
// a vessel under pressure.
func (s *scene) whomToTell(lane string) []string {
	var ids []string
	for _, p := range s.Head.Team.Managers {
		ids = append(ids, p.ID)
	}
	if lane == s.Head.Team.Channel {
		for _, b := range s.Open() {
			if p, there := s.first(b, s.now); there && b.Gas() > 0 {
				ids = append(ids, p.ID)
			}
		}
	}
	return slices.DeleteFunc(joined(nil, ids), func(id string) bool { return "@"+id == lane })
}

// tellTrouble queues the messages about a trouble; when it is over, what was
// said of it is corrected.
func (s *scene) tellTrouble(t Trouble, over bool) {
	for _, id := range t.Told {
		s.queue(Entry{
			Key: fmt.Sprintf("%s@%s", Key(0, TroubleCall, t.N, 0), id), Lane: "@" + id, Kind: TroubleCall,
			Turn: t.N, Due: t.Since.Time(), Urgent: true, Edit: over,
		})
	}
}

// callDirectly repeats the calls that stand unanswered to people directly: the
// channel may never have shown them.
func (s *scene) callDirectly() {
	for _, b := range s.Open() {
		if kind := b.Waits(); b.Rung > 0 && kind != "" {
			s.standing(b, kind, b.Rung-1)
		}
		if b.ContactRung > 0 && b.ContactAt != 0 {
			s.standing(b, ContactCall, b.ContactRung-1)
		}
		if b.Doubt != nil {
			s.copies(b, Entry{
				Key: Key(b.ID, StopCall, 0, b.Stops), Lane: s.Head.Team.Channel, Kind: StopCall, Batch: b.ID,
				Rung: b.Stops, Due: b.Doubt.Done.Time(), Urgent: true,
			})
		}
	}
}

// standing copies a call that was made, as it stands.
func (s *scene) standing(b *Batch, kind EntryKind, rung uint8) {
	s.copies(b, Entry{
		Key: Key(b.ID, kind, b.Turn, rung), Lane: s.Head.Team.Channel, Kind: kind, Batch: b.ID, Turn: b.Turn, Rung: rung,
		Due: b.CallDue(kind, rung).Time(), Urgent: kind == VentCall || kind == ChargeCall,
	})
}
