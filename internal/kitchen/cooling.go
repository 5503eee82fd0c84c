package kitchen

import (
	"slices"
	"time"

	"ventbell/internal/keeping"
	"ventbell/internal/quantity"
)

// The limits for what was hot and has to be cold: FDA Food Code 3-501.14(A) has
// 57 °C to 21 °C within two hours and to 5 °C within six in all.
const (
	// CoolFrom is where the clause begins to count.
	CoolFrom = 57 * quantity.Celsius
	// CoolFirst and CoolLast are what it has to come to, within CoolFirstIn and
	// CoolLastIn.
	CoolFirst   = 21 * quantity.Celsius
	CoolLast    = 5 * quantity.Celsius
	CoolFirstIn = 2 * time.Hour
	CoolLastIn  = 6 * time.Hour

	// coolAhead is how long before a limit its reading is called for: time enough for
	// an ice bath (our choice).
	coolAhead = 20 * time.Minute
	// coolsBelow is the strength below which a liquid that is kept cold counts as one
	// that has to cool in time: the line of common practice for spirits, no source.
	coolsBelow = 20
	// coolAtMost is how many logs and coolTimes how many readings of each are kept (our
	// choice).
	coolAtMost = 6
	coolTimes  = 5
	// coolKept is how long a log that failed is told of while nobody bins the batch.
	coolKept = 48 * time.Hour
)

// Cooling is the log of one batch that was made warm and is kept cold.
type Cooling struct {
	N      uint16 `cbor:"n"` // the Turn of its calls
	Batch  uint32 `cbor:"b"`
	Vessel string `cbor:"a"`
	Title  string `cbor:"t"`
	Owner  Person `cbor:"o"`
	// From is when it was warm last: the limits count from it.
	From     Moment    `cbor:"f"`
	Readings []Reading `cbor:"r,omitempty"` // the latest last
	First    *Reading  `cbor:"1,omitempty"` // at CoolFirst or below, in time
	Last     *Reading  `cbor:"2,omitempty"` // at CoolLast or below, in time
	// Failed says that it did not come there in time; Missed that nobody measured.
	Failed bool `cbor:"x,omitempty"`
	Missed bool `cbor:"m,omitempty"`
	// UseBy is the last day that its batch had, which is not offered once it failed.
	UseBy  Moment `cbor:"u,omitempty"`
	Told   bool   `cbor:"d,omitempty"` // a reading started it, not the plan
	Rung   uint8  `cbor:"q,omitempty"`
	CallAt Moment `cbor:"k"` // the next call, or when it leaves; never 0
}

// CoolingCall calls for a reading, or says that the batch was not cold in time.
const CoolingCall EntryKind = "cooling"

// RefuseNotWarm: what is in Vessel was not made warm, nothing is logged of it.
const RefuseNotWarm Code = "not warm"

// Limit gives the limit that comes next, and by when.
func (c *Cooling) Limit() (quantity.Temperature, Moment) {
	if c.First == nil {
		return CoolFirst, c.From.Add(CoolFirstIn)
	}
	return CoolLast, c.From.Add(CoolLastIn)
}

// Over says that a log needs no more readings.
func (c *Cooling) Over() bool { return c.Last != nil || c.Failed }

// CoolingOf gives the log of a batch; nil if there is none.
func (k *Kitchen) CoolingOf(batch uint32) *Cooling {
	i := slices.IndexFunc(k.Closing.Hot, func(c Cooling) bool { return c.Batch == batch })
	if i < 0 {
		return nil
	}
	return &k.Closing.Hot[i]
}

// coolingFailed says that a batch was not cold in time.
func (k *Kitchen) coolingFailed(batch uint32) bool {
	c := k.CoolingOf(batch)
	return c != nil && c.Failed
}

// madeWarm says that a batch was filled with a liquid above the first limit and is
// kept cold: weak enough for growth, and not on the shelf. No vessel is charged at
// CoolFrom or above, so that the clause is held to what is warm at all: our reading,
// stricter than its words.
func (b *Batch) madeWarm() bool {
	return b.Temp.Target > CoolFirst && b.ABVLow < coolsBelow && keeping.Storage(b.Storage) == keeping.Fridge && len(b.Charges) > 0
}

// coolings opens the log of what was made warm, and closes that of what is gone.
func (s *scene) coolings() {
	for _, b := range s.Open() {
		if b.madeWarm() && !b.over() && s.CoolingOf(b.ID) == nil && len(s.Closing.Hot) < coolAtMost {
			s.openCooling(b, b.Charges[0].Done, false)
		}
	}
	gone := func(c Cooling) bool {
		b := s.Batches[c.Batch]
		return b != nil && (b.Phase == Scrapped && b.Gas() == 0 || !c.Told && len(b.Charges) == 0)
	}
	if slices.ContainsFunc(s.Closing.Hot, gone) {
		for _, c := range s.Closing.Hot {
			if gone(c) {
				s.ch.Forget = append(s.ch.Forget, coolingNumber(c.N))
			}
		}
		s.Closing.Hot = slices.DeleteFunc(slices.Clone(s.Closing.Hot), gone)
	}
}

// openCooling begins a log.
func (s *scene) openCooling(b *Batch, from Moment, told bool) *Cooling {
	c := Cooling{Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Owner: b.Owner, From: from, UseBy: b.UseBy, Told: told}
	s.Closing.V = version
	s.Closing.Noted++
	c.N = s.Closing.Noted
	c.callNext(s.now)
	s.Closing.Hot = append(slices.Clone(s.Closing.Hot), c)
	return &s.Closing.Hot[len(s.Closing.Hot)-1]
}

// callNext puts the next call before the next limit, then at it.
func (c *Cooling) callNext(now Moment) {
	_, by := c.Limit()
	c.CallAt = by.Add(-coolAhead)
	if c.CallAt <= now {
		c.CallAt = max(by, now+1)
	}
}

// cooled logs a temperature of what was made warm. A first reading above the first
// limit begins a log.
func (s *scene) cooled() Answer {
	temp := *s.req.Temp
	c := s.coolingIn(s.req.Vessel)
	if c == nil {
		b := s.batch()
		if b == nil {
			return s.refuseNothing()
		}
		if temp <= CoolFirst {
			return s.refuse(b, RefuseNotWarm)
		}
		c = s.openCooling(b, s.done, true)
	}
	r := Reading{Mark: s.mark(), Temp: temp}
	list := append(slices.Clone(c.Readings), r)
	c.Readings = list[max(0, len(list)-coolTimes):]
	c.take(r)
	s.log(nil, "cooled", "vessel", c.Vessel, "title", c.Title, "batch", itoa(int(c.Batch)), "temperature", temp.String())
	s.settleCooling(c)
	a := s.aboutClosing(Done, "")
	copied := *c
	a.Vessel, a.Title, a.At, a.Closing.Hot = c.Vessel, c.Title, s.done, &copied
	return a
}

// coolingIn gives the log of what is in a vessel or came out of it, one that still
// wants readings before one that does not.
func (s *scene) coolingIn(tag string) *Cooling {
	var found *Cooling
	for i := range s.Closing.Hot {
		if c := &s.Closing.Hot[i]; c.Vessel == tag && (found == nil || found.Over() || !c.Over()) {
			found = c
		}
	}
	return found
}

// take reckons a reading in. One that was measured in time and told late still
// counts, where nothing but the reading was missing.
func (c *Cooling) take(r Reading) {
	if c.Failed && !c.Missed {
		return
	}
	if r.Temp > CoolFirst && r.Temp >= CoolFrom && c.Told && c.First == nil {
		c.From = max(c.From, r.Done) // it was still hot
	}
	limit, by := c.Limit()
	if r.Temp <= limit && r.Done <= by {
		c.Failed, c.Missed = false, false
		if c.First == nil {
			c.First = &r
		}
		if r.Temp <= CoolLast {
			c.Last = &r
		}
		return
	}
	if r.Done > by {
		c.Failed, c.Missed = true, false
	}
}

// settleCooling carries out what a log came to: the last day of a batch that was not
// cold in time is not offered, and the next call is put where it belongs.
func (s *scene) settleCooling(c *Cooling) {
	useBy := c.UseBy
	if c.Failed {
		useBy = 0
	}
	if b := s.Batches[c.Batch]; b != nil {
		b.UseBy = useBy
		if b.Latest != 0 {
			b.UseBy = min(useBy, b.Latest)
		}
		s.post(b, Slip)
	} else if c.Failed && c.UseBy != 0 {
		s.History.binned(c.Title, dayNumber(c.UseBy.Time().In(s.zone)))
		s.Diary.spoilt(c.Batch)
	}
	if c.Rung > 0 {
		s.putCooling(c, c.Rung-1, true)
	}
	switch {
	case c.Failed && !c.Missed:
		s.putCooling(c, c.Rung, false)
		c.Rung++
		c.CallAt = s.now.Add(coolKept)
	case c.Last != nil:
		c.CallAt = s.now.Add(undoFor)
	case !c.Failed:
		c.callNext(s.now)
	}
}

// coolingNumber gives the number under which the calls of a log are kept.
func coolingNumber(n uint16) uint32 { return ownNumber(rowCooling, n) }

// putCooling queues a call of a log, to the team; where the channel takes none, to
// whom it calls directly.
func (s *scene) putCooling(c *Cooling, rung uint8, edit bool) {
	id := coolingNumber(c.N)
	_, by := c.Limit()
	e := Entry{Key: Key(id, CoolingCall, c.N, rung), Kind: CoolingCall, Batch: id, Turn: c.N, Rung: rung, Due: by.Time(), Edit: edit}
	s.callTeam(e, append([]Person{c.Owner}, s.Head.Team.Managers...))
}

// ringCooling calls for a reading before its limit, and says at the limit that
// nobody measured.
func (s *scene) ringCooling(batch uint32) {
	c := s.CoolingOf(batch)
	_, by := c.Limit()
	switch {
	case c.Over() && s.Batches[batch] != nil && !s.Batches[batch].over(): // else its log would begin anew
		s.logRing(nil, "cooling kept", "batch", itoa(int(batch)))
		c.CallAt = s.now.Add(CoolLastIn)
		return
	case c.Over():
		n := c.N
		s.logRing(nil, "cooling left", "batch", itoa(int(batch)))
		s.Closing.Hot = slices.DeleteFunc(slices.Clone(s.Closing.Hot), func(x Cooling) bool { return x.N == n })
		s.ch.Forget = append(s.ch.Forget, coolingNumber(n))
		return
	case s.now < by:
		s.putCooling(c, c.Rung, false)
		c.Rung++
		c.CallAt = by
		s.logRing(nil, "cooling call", "vessel", c.Vessel, "batch", itoa(int(batch)))
		return
	}
	c.Failed, c.Missed = true, true
	s.logRing(nil, "cooling missed", "vessel", c.Vessel, "batch", itoa(int(batch)))
	s.settleCooling(c)
	s.putCooling(c, c.Rung, false)
	c.Rung++
	c.CallAt = s.now.Add(coolKept)
}

// coolingItems gives what is still warm, and what was not cold in time.
func (k *Kitchen) coolingItems() []ClosingItem {
	var list []ClosingItem
	for _, c := range k.Closing.Hot {
		if c.Last != nil {
			continue
		}
		_, by := c.Limit()
		x := ClosingItem{Code: ItemCooling, Batch: c.Batch, Vessel: c.Vessel, Title: c.Title, Who: c.Owner, UseBy: by}
		if c.Failed {
			x.UseBy = 0
		}
		list = append(list, x)
	}
	return list
}

// CoolingCircle gives who is called for a log: its owner, then more; all once it failed.
func (k *Kitchen) CoolingCircle(c *Cooling, rung uint8) []Person {
	if c.Failed {
		rung = lastRung
	}
	return k.CircleOf(c.Owner, rung)
}

// CoolingByNumber gives a log by the Turn of its calls; nil if it has left.
func (k *Kitchen) CoolingByNumber(n uint16) *Cooling {
	i := slices.IndexFunc(k.Closing.Hot, func(c Cooling) bool { return c.N == n })
	if i < 0 {
		return nil
	}
	return &k.Closing.Hot[i]
}
