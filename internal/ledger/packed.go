package ledger

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"ventbell/internal/kitchen"
)

// Limits of one change: one commit is one step during which nobody else is
// served, so it stays a matter of milliseconds (our choice).
const (
	maxValues = 500
	maxValue  = 64 << 10  // bytes, of one value
	maxTotal  = 512 << 10 // bytes, of all values and names
	maxName   = 1 << 10   // bytes, of a name: a kitchen, a request, a field, a key, a lane, a day
)

// packed is a change as it is stored.
type packed struct {
	due     int64 // microseconds; 0 = none
	set     []named
	del     []string
	drop    []string
	out     []queued
	lines   [][]byte
	records []kitchen.Record
	forget  []string // "<batch>/"
	answer  []byte
}

type named struct {
	name  string
	value []byte
}

type queued struct {
	key, lane string
	item      []byte
}

// pack encodes a change. The error of a change above the limits is
// kitchen.ErrTooBig.
func pack(id, request string, ch kitchen.Change) (packed, error) {
	p := packed{due: micros(ch.Due), del: ch.Del, drop: ch.Drop, records: ch.Archive, answer: ch.Answer}
	for name, value := range ch.Set {
		p.set = append(p.set, named{name, value})
	}
	for _, e := range ch.Outbox {
		body, err := encodeEntry(e)
		if err != nil {
			return packed{}, err
		}
		p.out = append(p.out, queued{e.Key, e.Lane, body})
	}
	for _, l := range ch.Log {
		body, err := encodeLine(l)
		if err != nil {
			return packed{}, err
		}
		p.lines = append(p.lines, body)
	}
	for _, batch := range ch.Forget {
		p.forget = append(p.forget, prefixOf(batch))
	}
	return p, p.fits(id, request)
}

// prefixOf begins the keys of a batch's messages.
func prefixOf(batch uint32) string { return strconv.FormatUint(uint64(batch), 10) + "/" }

// fits measures a change; the script measures it again.
func (p packed) fits(id, request string) error {
	var s size
	s.name(id, request)
	s.name(p.del...)
	s.name(p.drop...)
	s.name(p.forget...)
	for _, f := range p.set {
		s.name(f.name)
		s.value(f.value)
	}
	for _, q := range p.out {
		s.name(q.key, q.lane)
		s.value(q.item)
	}
	for _, l := range p.lines {
		s.value(l)
	}
	for _, r := range p.records {
		s.name(r.Day)
		s.value(r.Body)
	}
	s.value(p.answer)
	switch n := p.values(); {
	case n > maxValues:
		return fmt.Errorf("%d values, at most %d: %w", n, maxValues, kitchen.ErrTooBig)
	case s.largestName > maxName:
		return fmt.Errorf("a name of %d bytes, at most %d: %w", s.largestName, maxName, kitchen.ErrTooBig)
	case s.largest > maxValue:
		return fmt.Errorf("a value of %d bytes, at most %d: %w", s.largest, maxValue, kitchen.ErrTooBig)
	case s.total > maxTotal:
		return fmt.Errorf("%d bytes, at most %d: %w", s.total, maxTotal, kitchen.ErrTooBig)
	}
	return nil
}

// values counts what a change writes or takes away, its answer apart.
func (p packed) values() int {
	return len(p.set) + len(p.del) + len(p.drop) + len(p.out) + len(p.lines) + len(p.records) + len(p.forget)
}

// size adds up lengths in bytes.
type size struct{ largestName, largest, total int }

func (s *size) name(names ...string) {
	for _, n := range names {
		s.largestName = max(s.largestName, len(n))
		s.total += len(n)
	}
}

func (s *size) value(v []byte) {
	s.largest = max(s.largest, len(v))
	s.total += len(v)
}

// parcel picks what one parcel holds of a lane's entries, by Seq: the earliest
// ones, and every urgent one with the older entries of its own batch.
func parcel(entries []kitchen.Entry) []kitchen.Entry {
	slices.SortFunc(entries, func(a, b kitchen.Entry) int { return cmp.Compare(a.Seq, b.Seq) })
	if len(entries) <= parcelSize {
		return entries
	}
	lifted := map[uint32]uint64{} // by batch, the Seq of its last urgent entry
	for _, e := range entries {
		if e.Urgent {
			lifted[e.Batch] = e.Seq
		}
	}
	first := func(e kitchen.Entry) bool {
		last, ok := lifted[e.Batch]
		return ok && e.Seq <= last
	}
	room := parcelSize
	for _, e := range entries {
		if first(e) {
			room--
		}
	}
	var picked []kitchen.Entry
	for _, e := range entries {
		switch {
		case first(e):
			picked = append(picked, e)
		case room > 0:
			picked = append(picked, e)
			room--
		}
	}
	return picked
}
