package kitchen

import (
	"maps"
	"slices"
	"time"
)

// Beside is what stands beside the channel's messages for a batch. It lies with
// the kitchen, not with the batch, because an undo takes none of it back.
type Beside struct {
	// Fallback is when the platform calls for the batch by itself.
	Fallback Moment `cbor:"f,omitempty"`
	// Copied are the ids of those who got the batch's calls directly.
	Copied []string `cbor:"c,omitempty"`
}

const (
	// fallbackAfter is how long after the vent's moment the platform calls by
	// itself, and how long after the next call at least: a host that lives has
	// called by then, and moves it. It is also time enough to take it back.
	fallbackAfter = 2 * time.Minute
	// fallbackOn is how long after the next call it is moved to. A longer step
	// than fallbackAfter makes about every other call move it, not each.
	fallbackOn = 5 * time.Minute
	// directAtMost is how many managers get a call directly while the channel
	// takes none: what one change writes is bounded.
	directAtMost = 5
)

// FallbackAt gives when the platform is to call for a batch by itself, should
// nothing be heard of this host; zero when it is not to.
func (k *Kitchen) FallbackAt(batch uint32) Moment { return k.Head.Beside[batch].Fallback }

// fallbacks brings the platform's own calls up to date. What falls due at the
// same moment as before is left alone: moving it costs calls to the platform.
func (s *scene) fallbacks() {
	for _, id := range slices.Sorted(maps.Keys(s.Batches)) {
		b, had := s.Batches[id], s.FallbackAt(id)
		at := Moment(0)
		if s.Head.Team.Fallback {
			at = b.fallback(had)
		}
		if at == had {
			continue
		}
		s.beside(id, func(x *Beside) { x.Fallback = at })
		due := at
		if due == 0 { // it is to be taken back
			due = s.now
		}
		s.put(b, Entry{Kind: FallbackCall, Turn: b.Turn, Due: due.Time()})
	}
}

// fallback gives when the platform is to call by itself, who has been told had.
func (b *Batch) fallback(had Moment) Moment {
	next := b.CallAt
	switch {
	case b.Gas() == 0, b.Phase == Charging && had == 0: // the rest's start is soon enough
		return 0
	case b.Phase == Resting, b.Phase == Charging && b.Full():
		return b.VentAt.Add(fallbackAfter)
	case had >= next.Add(fallbackAfter):
		return had
	}
	return next.Add(fallbackOn)
}

// beside changes what stands beside the channel for a batch.
func (s *scene) beside(id uint32, change func(*Beside)) {
	x := s.Head.Beside[id]
	change(&x)
	all := maps.Clone(s.Head.Beside)
	if all == nil {
		all = map[uint32]Beside{}
	}
	if all[id] = x; x.Fallback == 0 && len(x.Copied) == 0 {
		delete(all, id)
	}
	s.Head.Beside = all
}

// copies queues a call of the channel to people directly as well, while the
// channel takes no messages; and brings up to date what they got before.
func (s *scene) copies(b *Batch, e Entry) {
	if e.Lane != s.Head.Team.Channel || !slices.Contains(copied, e.Kind) {
		return
	}
	down := s.Head.inTrouble(e.Lane)
	if down && !e.Edit {
		s.beside(b.ID, func(x *Beside) { x.Copied = joined(x.Copied, s.direct(b)) })
	}
	made := int(b.Rung)
	if e.Kind == ContactCall {
		made = int(b.ContactRung)
	}
	if e.Edit && e.Rung > 0 && int(e.Rung) < made-2 {
		return // further back than anybody looks
	}
	for _, id := range s.Head.Beside[b.ID].Copied {
		if !e.Edit && s.away(Person{ID: id}, s.now) {
			continue
		}
		c := e
		c.Lane, c.Key, c.Edit = "@"+id, e.Key+"@"+id, e.Edit || !down
		s.queue(c)
	}
}

// copied are the calls that go to people directly when the channel is down:
// those about pressure and about solids that must come out.
var copied = []EntryKind{VentCall, ContactCall, StrainCall, ChargeCall, StopCall}

// direct gives the ids of those who are called for a batch when the channel
// takes nothing: its owner and the managers.
func (s *scene) direct(b *Batch) []string {
	var people []Person
	if p, there := s.first(b, s.now); there {
		people = append(people, p)
	}
	people = append(people, s.Head.Team.Managers[:min(len(s.Head.Team.Managers), directAtMost)]...)
	var ids []string
	for _, p := range people {
		ids = append(ids, p.ID)
	}
	return joined(nil, ids)
}

// joined adds ids to a list that are not in it yet.
func joined(list, more []string) []string {
	list = slices.Clone(list)
	for _, id := range more {
		if id != "" && !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	return list
}
