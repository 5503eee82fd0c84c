package kitchen

import (
	"cmp"
	"math"
	"slices"
	"time"
)

const (
	// jointWithin is how far apart calls of one kitchen may be due and still be one
	// message: as far as one walk to the bench (our choice). The later ones come
	// that much early, with their own clock time.
	jointWithin = 5 * time.Second
	// jointLate is how late a call may be for it: what an outage held up longer is
	// told in another way.
	jointLate = time.Minute
	// jointAtMost is how many vessels one message names, jointsKept how many such
	// messages are remembered, for their edits.
	jointAtMost = 5
	jointsKept  = 6
)

// Joint is one message for calls that were due at about the same time.
type Joint struct {
	N     uint16   `cbor:"n"`
	Calls []Called `cbor:"c"`
}

// Called is one call of a batch. It is kept as a bare list: a kitchen stays small.
type Called struct {
	_     struct{} `cbor:",toarray"`
	Batch uint32
	Kind  EntryKind
	Turn  uint16
	Rung  uint8
	Due   Moment
}

// number gives the number under which a message is kept.
func (j Joint) number() uint32 { return ownNumber(rowJoint, -j.N) } // it counts up

// JointOf gives the calls that the message of this number tells; those whose
// batch has left are gone from it.
func (k *Kitchen) JointOf(number uint32) (Joint, bool) {
	i := slices.IndexFunc(k.Crew.Joint, func(j Joint) bool { return j.number() == number })
	if i < 0 {
		return Joint{}, false
	}
	return k.Crew.Joint[i], true
}

// joins says that a call may be told together with others.
func joins(kind EntryKind) bool { return kind == VentCall || kind == StrainCall || kind == ContactCall }

// soon gives a batch whose call is due so soon after one that was made just now
// that both are one message; nil if there is none.
func (s *scene) soon() *Batch {
	if s.Head.inTrouble(s.Head.Team.Channel) || !slices.ContainsFunc(s.ch.Outbox, s.joining) {
		return nil
	}
	var first *Batch
	for _, b := range s.Batches {
		at := b.nextAt()
		if at <= s.now || at.Sub(s.now) > jointWithin || !b.callsAt(at) || s.madeNow(b) {
			continue
		}
		if first == nil || cmp.Or(cmp.Compare(at, first.nextAt()), cmp.Compare(b.ID, first.ID)) < 0 {
			first = b
		}
	}
	return first
}

// callsAt says that what a batch does next is a call that may be told with others.
func (b *Batch) callsAt(at Moment) bool {
	moments := b.moments()
	switch {
	case moments[2] == at, b.Blocked != nil: // that is a message of its own
		return false
	case b.ContactAt == at && moments[0] != at:
		return true
	case b.Phase == Resting:
		return at == b.VentAt
	case b.Phase == Settling:
		return b.Strained == nil
	}
	return joins(b.Waits())
}

// madeNow says that a call of the batch was made just now: its next one is a
// second call, which is not to come at once.
func (s *scene) madeNow(b *Batch) bool {
	return slices.ContainsFunc(s.ch.Outbox, func(e Entry) bool { return e.Batch == b.ID && s.joining(e) })
}

// joining says that an entry is a call that was made just now and may be told
// with others.
func (s *scene) joining(e Entry) bool {
	late := s.now.Time().Sub(e.Due)
	if b := s.Batches[e.Batch]; b != nil && b.Blocked != nil {
		return false
	}
	return joins(e.Kind) && !e.Edit && e.Lane == s.Head.Team.Channel && late >= -jointWithin && late < jointLate
}

// join makes one message of the calls of several batches that were made just
// now, in the place of the first one.
func (s *scene) join() {
	if s.Head.inTrouble(s.Head.Team.Channel) {
		return
	}
	var calls []Entry
	for _, e := range s.ch.Outbox {
		if s.joining(e) {
			calls = append(calls, e)
		}
	}
	slices.SortStableFunc(calls, func(x, y Entry) int {
		return cmp.Or(cmp.Compare(s.rank(x), s.rank(y)), x.Due.Compare(y.Due), cmp.Compare(x.Batch, y.Batch))
	})
	for part := range slices.Chunk(calls, jointAtMost) {
		if slices.ContainsFunc(part, func(e Entry) bool { return e.Batch != part[0].Batch }) {
			s.joinPart(part)
		}
	}
}

// rank orders calls by urgency: what holds gas, what has its solids in too long,
// what is to be strained.
func (s *scene) rank(e Entry) int {
	switch {
	case s.Batches[e.Batch].Gas() > 0:
		return 0
	case e.Kind == ContactCall:
		return 1
	}
	return 2
}

func (s *scene) joinPart(calls []Entry) {
	j := Joint{}
	s.crew(func(c *Crew) {
		c.LastJoint++
		j.N = c.LastJoint
	})
	e := Entry{V: version, Kind: JointCall, Lane: s.Head.Team.Channel, Batch: j.number(), Key: Key(j.number(), JointCall, 0, 0)}
	seq := uint64(math.MaxUint64)
	for _, c := range calls {
		j.Calls = append(j.Calls, Called{Batch: c.Batch, Kind: c.Kind, Turn: c.Turn, Rung: c.Rung, Due: At(c.Due)})
		seq, e.Urgent = min(seq, c.Seq), e.Urgent || c.Urgent
		if e.Due.IsZero() || c.Due.Before(e.Due) {
			e.Due = c.Due
		}
	}
	e.Seq = seq
	var out []Entry
	for _, o := range s.ch.Outbox {
		switch {
		case o.Seq == seq:
			out = append(out, e)
		case !slices.ContainsFunc(calls, func(c Entry) bool { return c.Seq == o.Seq }):
			out = append(out, o)
		}
	}
	s.ch.Outbox = out
	s.crew(func(c *Crew) {
		c.Joint = append(slices.Clone(c.Joint), j)
		for _, old := range c.Joint[:max(0, len(c.Joint)-jointsKept)] {
			s.ch.Forget = append(s.ch.Forget, old.number())
		}
		c.Joint = c.Joint[max(0, len(c.Joint)-jointsKept):]
	})
}

// editJoint brings the messages up to date that tell a call of a batch.
func (s *scene) editJoint(b *Batch, e Entry) {
	for _, j := range s.Crew.Joint {
		if !slices.ContainsFunc(j.Calls, func(m Called) bool {
			return m.Batch == b.ID && m.Kind == e.Kind && (m.Turn < b.Turn || m.Turn == e.Turn && m.Rung == e.Rung)
		}) {
			continue
		}
		key := Key(j.number(), JointCall, 0, 0)
		if slices.ContainsFunc(s.ch.Outbox, func(o Entry) bool { return o.Key == key }) {
			continue // worded when it is delivered, it tells all of it
		}
		s.queue(Entry{Kind: JointCall, Lane: s.Head.Team.Channel, Batch: j.number(), Key: key, Due: e.Due, Edit: true})
	}
}

// leaveJoint takes a batch that leaves out of the messages that told its calls.
func (s *scene) leaveJoint(b *Batch) {
	if len(s.Crew.Joint) == 0 {
		return
	}
	s.crew(func(c *Crew) {
		var kept []Joint
		for _, j := range c.Joint {
			j.Calls = slices.DeleteFunc(slices.Clone(j.Calls), func(m Called) bool { return m.Batch == b.ID })
			if len(j.Calls) > 0 {
				kept = append(kept, j)
			} else {
				s.ch.Forget = append(s.ch.Forget, j.number())
			}
		}
		c.Joint = kept
	})
}
