package kitchen

import (
	"strconv"
	"time"
)

// Tally is one count by hand beside what the log says: shown plainly, as control
// against loss and misuse, and never with a name.
type Tally struct {
	N    int    `cbor:"n"`
	Want int    `cbor:"w"` // by the log
	At   Moment `cbor:"a"`
	// From is how many were spent when the shells of this count began to gather.
	From int `cbor:"f,omitempty"`
	// First says that there was nothing to compare with.
	First bool `cbor:"i,omitempty"`
}

// Off gives how many more were counted than the log says; below zero, fewer.
func (t *Tally) Off() int {
	if t == nil || t.First {
		return 0
	}
	return t.N - t.Want
}

// shellsFrom gives how many were spent when shells were last counted out.
func (t *Stock) shellsFrom() int {
	if t.Shells == nil {
		return 0
	}
	return t.Shells.From + t.Shells.Want
}

func itoa(n int) string { return strconv.Itoa(n) }

// counted books a count of the full ones in the box. The count wins, and the
// difference is kept.
func (s *scene) counted() Answer {
	s.track()
	s.took(s.lastBatch())
	t, n := &s.Stock, s.req.Chargers
	change := n - t.Full()
	x := Tally{N: n, Want: t.Full(), At: s.now, First: !t.Known}
	if again := t.Box; again != nil && t.Known && s.now.Sub(again.At) < undoFor { // counted once more: one difference
		x.Want += again.Want - again.N
		x.First = again.First
	}
	if t.Known {
		t.Found += change
	} else {
		t.Known, t.Start, change = true, n+t.Spent.Sum()-t.Got, 0
	}
	t.Box = &x
	s.moved(nil, CountedBox, change, "counted", itoa(n), "expected", itoa(x.Want))
	return s.reconciled()
}

// shells books a count of the spent ones, which then leave the house: the next
// count begins with none.
func (s *scene) shells() Answer {
	s.track()
	s.took(s.lastBatch())
	t := &s.Stock
	x := Tally{N: s.req.Chargers, From: t.shellsFrom(), At: s.now}
	if again := t.Shells; again != nil && s.now.Sub(again.At) < undoFor {
		x.From = again.From
	}
	x.Want = t.Spent.Sum() - x.From
	t.Shells = &x
	s.log(nil, "shells", "counted", itoa(x.N), "expected", itoa(x.Want))
	return s.reconciled()
}

// Reconciled is a message to the managers about the counts of one business day.
type Reconciled struct {
	Day string `cbor:"d,omitempty"`
	N   uint16 `cbor:"n,omitempty"` // its Turn
}

// reconciled tells what a count came to; what does not agree goes to the managers,
// one message for the counts of a business day.
func (s *scene) reconciled() Answer {
	a := s.stockDone()
	box, shells := s.Stock.Counts(s.now.Time().In(s.zone))
	off := box.Off() != 0 || shells.Off() != 0
	day := businessDay(s.now.Time().In(s.zone))
	switch {
	case s.Stock.Differs.Day == day:
	case !off:
		return a
	default:
		s.Stock.Differs = Reconciled{Day: day, N: s.Stock.Differs.N + 1}
	}
	n := s.Stock.Differs.N
	s.toManagers(Entry{Kind: CountNote, Turn: n, Key: Key(0, CountNote, n, 0), Due: s.now.Time(), Edit: !off})
	return a
}

// Counts gives the last counts of the business day of now: of full ones and of
// spent ones, nil where none was made.
func (t *Stock) Counts(now time.Time) (box, shells *Tally) {
	of := func(x *Tally) *Tally {
		if x == nil || businessDay(x.At.Time().In(now.Location())) != businessDay(now) {
			return nil
		}
		return x
	}
	return of(t.Box), of(t.Shells)
}

// toManagers queues an entry to each manager directly; to the team where it has none.
func (s *scene) toManagers(e Entry) {
	managers := s.Head.Team.Managers
	if len(managers) == 0 {
		e.Lane = s.Head.Team.Channel
		s.queue(e)
		return
	}
	s.directly(e, managers[:min(len(managers), directAtMost)])
}
