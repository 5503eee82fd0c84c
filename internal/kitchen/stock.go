package kitchen

import (
	"time"

	"ventbell/internal/request"
)

// Stock is the charger count. What is in the box is never written down by itself:
// it is what was there and came in, less what was taken out, so that the count
// balances to the last shell. What went into batches is read off the batches, so
// that no correction, undo or late word leaves it behind.
type Stock struct {
	V     int  `cbor:"v"`
	Known bool `cbor:"k,omitempty"` // full ones were counted once, or came in
	Start int  `cbor:"s,omitempty"` // full ones when the count began
	Got   int  `cbor:"g,omitempty"`
	// Found is what counts of the box found more than the log says, less what they
	// found missing.
	Found int   `cbor:"f,omitempty"`
	Spent Spent `cbor:"u"`
	// Left is what went into batches that are not here any more, and Booked what
	// all batches had taken when Spent was last brought up to date.
	Left   int    `cbor:"l,omitempty"`
	Booked int    `cbor:"b,omitempty"`
	Box    *Tally `cbor:"x,omitempty"` // the last count of full ones
	Shells *Tally `cbor:"y,omitempty"` // and of spent ones
	// Differs is the last message to the managers about a count that did not agree.
	Differs Reconciled `cbor:"t,omitzero"`
	// Wishes are what was asked to be ready later, the latest last.
	Wishes []Wish  `cbor:"w,omitempty"`
	Warned Warning `cbor:"n,omitzero"`
	Order  Order   `cbor:"o,omitzero"`
}

// Spent is what became of the chargers that left the box.
type Spent struct {
	Batches int `cbor:"b,omitempty"`
	Duds    int `cbor:"d,omitempty"` // spent, and let no gas in
	Foam    int `cbor:"f,omitempty"`
	Cream   int `cbor:"c,omitempty"`
}

// Sum gives how many shells there are of it.
func (u Spent) Sum() int { return u.Batches + u.Duds + u.Foam + u.Cream }

// Full gives how many full chargers are in the box. Below zero it says how many more
// went in than there can have been.
func (t *Stock) Full() int { return t.Start + t.Got + t.Found - t.Spent.Sum() }

// Taking is what a movement of the charger count was for.
type Taking string

// The movements.
const (
	TookBatch  Taking = "batch"
	TookDud    Taking = "dud"
	TookFoam   Taking = "foam"
	TookCream  Taking = "cream"
	CameIn     Taking = "got"
	CountedBox Taking = "counted" // the difference that a count found
)

// track begins to keep the count.
func (s *scene) track() {
	if s.Stock.V == 0 {
		s.Stock.V = version
		s.Stock.Booked = s.drawn()
	}
}

// drawn gives how many chargers all batches took, those that left as well.
func (k *Kitchen) drawn() int {
	n := k.Stock.Left
	for _, b := range k.Batches {
		n += len(b.Charges)
	}
	return n
}

// took brings the count up to date with what the batches took, b the last of them.
func (s *scene) took(b *Batch) {
	if s.Stock.V == 0 {
		return
	}
	if n := s.drawn() - s.Stock.Booked; n != 0 {
		s.Stock.Booked += n
		s.Stock.Spent.Batches += n
		s.moved(b, TookBatch, -n)
	}
}

// lastBatch gives the batch that the latest line of the log is about.
func (s *scene) lastBatch() *Batch {
	if len(s.ch.Log) == 0 {
		return nil
	}
	return s.Batches[s.ch.Log[len(s.ch.Log)-1].Batch]
}

// left books chargers whose batch does not count them any more.
func (s *scene) left(n int) {
	if s.Stock.V > 0 {
		s.Stock.Left += n
	}
}

// dud keeps a charger that let no gas in on the count: it left the box, and its
// shell is as spent as any.
func (s *scene) dud(b *Batch) {
	if s.Stock.V == 0 {
		return
	}
	s.Stock.Booked--
	s.Stock.Spent.Batches--
	s.Stock.Spent.Duds++
	s.moved(b, TookDud, 0)
}

// askUsed is the answer to a charger that let no gas in. Where chargers are counted
// it was spent all the same, unless none was screwed in: that is one tap.
func (s *scene) askUsed(b *Batch) Answer {
	a := s.did(b)
	if s.Stock.V > 0 {
		a.Quiet = false
		a.Choices = []Choice{s.choice(b, ChooseNotUsed, request.NoGas, "unused")}
	}
	return a
}

// notUsed takes a dud back: the charger was never screwed in.
func (s *scene) notUsed(b *Batch) Answer {
	if b.Last.Verb != request.NoGas || s.Stock.Spent.Duds == 0 || s.tap.Turn != b.Turn || s.tap.N != len(b.Charges)+1 {
		return s.refuse(b, RefuseOldButton)
	}
	s.Stock.Spent.Duds--
	s.moved(b, TookDud, 1)
	s.req.Verb = request.Undo
	s.fact(b)
	return Answer{
		Kind: Done, Verb: request.NoGas, Batch: b.ID, Vessel: b.Vessel, Who: s.cmd.By, At: s.done,
		Stock: s.page(), Private: true,
	}
}

// moved writes one line of the log for chargers that came into the box (n) or left
// it (-n).
func (s *scene) moved(b *Batch, what Taking, n int, more ...string) {
	details := append([]string{"what", string(what), "n", itoa(n)}, more...)
	if s.Stock.Known {
		details = append(details, "left", itoa(s.Stock.Full()))
	}
	if s.cmd.ID == "" { // nobody said so: a moment came
		s.logRing(b, "chargers", details...)
		return
	}
	s.log(b, "chargers", details...)
}

// stock carries out what is said of the chargers in the box.
func (s *scene) stock() Answer {
	switch s.req.Verb {
	case request.Got:
		return s.got()
	case request.Foam:
		return s.foam()
	case request.Counted:
		return s.counted()
	case request.Shells:
		return s.shells()
	}
	return s.cream()
}

// got books a delivery.
func (s *scene) got() Answer {
	s.track()
	if !s.Stock.Known { // nobody counted what there was: the count begins with the delivery
		s.Stock.Known, s.Stock.Start = true, s.Stock.Spent.Sum()
	}
	s.Stock.Got += s.req.Chargers
	s.moved(nil, CameIn, s.req.Chargers)
	return s.stockDone()
}

// foam books chargers that went into foam, in no batch.
func (s *scene) foam() Answer {
	s.track()
	s.Stock.Spent.Foam += s.req.Chargers
	s.Diary.spend(s.req.Chargers, s.now.Time().In(s.zone))
	s.moved(nil, TookFoam, -s.req.Chargers)
	return s.stockDone()
}

// stockDone is the answer to a movement.
func (s *scene) stockDone() Answer {
	return Answer{
		Kind: Done, Verb: s.req.Verb, N: s.req.Chargers, Who: s.cmd.By, At: s.done, Said: s.lateSaid(), Stock: s.page(), Private: true,
	}
}

// stocked begins and ends what a command does to the count.
func (s *scene) stocked() {
	if len(s.ch.Log) == 0 || s.Stock.V == 0 {
		return
	}
	s.took(s.lastBatch())
	if s.book != nil {
		s.Stock.Order.take(s.book.House, s.now.Time().In(s.zone))
	}
	s.watchStock()
}

// StockPage is what is known of the chargers at a moment.
type StockPage struct {
	Known  bool `cbor:"k,omitempty"` // else nothing was ever counted, and Full says nothing
	Full   int  `cbor:"f"`           // in the box, by the count; below zero the count is wrong
	Shells int  `cbor:"s,omitempty"` // spent since shells were last counted
	// Need is what tonight's open and wanted batches still take, Spoil what is added
	// for duds and leaks, and After what is left then.
	Need  int        `cbor:"n,omitempty"`
	Spoil int        `cbor:"p,omitempty"`
	After int        `cbor:"a"`
	Level StockLevel `cbor:"l,omitempty"`
	Box   *Tally     `cbor:"x,omitempty"`
	Tally *Tally     `cbor:"t,omitempty"` // of shells
	// Before is the supplier's next cut-off and Next the delivery it is for, each
	// zero where the book does not say; Until is what is needed until then.
	Before Moment `cbor:"b,omitempty"`
	Next   Moment `cbor:"d,omitempty"`
	Until  int    `cbor:"u,omitempty"`
	// Reorder is what the house wants to have left at least; 0 = a day's use.
	Reorder int `cbor:"r,omitempty"`
}

// StockNow gives what is known of the chargers. now is in the kitchen's own zone.
func (k *Kitchen) StockNow(now time.Time) StockPage {
	t := &k.Stock
	p := StockPage{Known: t.Known, Full: t.Full(), Shells: t.Spent.Sum() - t.shellsFrom(), Box: t.Box, Tally: t.Shells}
	p.Need = k.tonight(now)
	p.Spoil = spoilage(p.Need)
	p.After = p.Full - p.Need - p.Spoil
	if p.Known {
		p.Level = levelOf(p)
	}
	k.forecast(&p, now)
	return p
}

// page gives the same as of now.
func (s *scene) page() *StockPage {
	s.took(s.lastBatch())
	p := s.StockNow(s.now.Time().In(s.zone))
	return &p
}
