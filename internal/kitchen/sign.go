package kitchen

import (
	"cmp"
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"strings"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// Closed is a list that was signed. What it counts stays as it was then: what is
// told later of that day is told after signing.
type Closed struct {
	N     uint16 `cbor:"n"`
	Day   string `cbor:"d"` // business day
	Shift bool   `cbor:"h,omitempty"`
	// Signed is who signed; between two shifts who goes, and Taken who came.
	Signed Mark   `cbor:"s"`
	Taken  *Mark  `cbor:"k,omitempty"`
	Reason string `cbor:"r,omitempty"` // why something was left
	// Left is what was left open, Fenced what does not vent and is fenced off.
	Left   []ClosingItem `cbor:"l,omitempty"`
	Fenced []ClosingItem `cbor:"f,omitempty"`
	More   int           `cbor:"m,omitempty"` // left beside those of Left

	Made     []Made    `cbor:"a,omitempty"` // by recipe, as labelled
	Scrapped []string  `cbor:"x,omitempty"` // titles
	Overruns []Overrun `cbor:"o,omitempty"` // the longest first
	Batches  int       `cbor:"b,omitempty"` // labelled and scrapped
	Used     int       `cbor:"u,omitempty"` // chargers, as counted by the taps
	Shells   *Tally    `cbor:"e,omitempty"` // as counted by hand
	Box      *Tally    `cbor:"y,omitempty"`
	Lowest   *Reading  `cbor:"t,omitempty"` // the fridge
	// Record is the number under which it is archived.
	Record uint32 `cbor:"c,omitempty"`
}

// Made is what was labelled of one recipe.
type Made struct {
	Title   string          `cbor:"t"`
	N       int             `cbor:"n"`
	Yield   quantity.Volume `cbor:"y,omitempty"`
	Drained quantity.Mass   `cbor:"d,omitempty"`
	Product book.Product    `cbor:"k,omitempty"`
	Unknown int             `cbor:"u,omitempty"` // of which nobody told what came out
}

// Overrun is how long a batch rested or stood on its solids beyond its time.
type Overrun struct {
	Title  string        `cbor:"t"`
	Vessel string        `cbor:"a"`
	For    time.Duration `cbor:"d"`
}

const (
	// RefuseSignGas: Closing holds what is under pressure; nothing is signed.
	RefuseSignGas Code = "sign gas"
	// RefuseListGone: the list was changed or signed since the form was opened.
	RefuseListGone Code = "list gone"
	// RefuseNobodyElse: who goes does not take over from themselves.
	RefuseNobodyElse Code = "nobody else"
	// RefuseNotNamed: the list names Who to take over.
	RefuseNotNamed Code = "not named"

	// FormSign asks why what is open is left.
	FormSign FormName = "sign"
	// FieldReason is its one field.
	FieldReason = "reason"

	// SummaryNote sums a signed day up for the team; LeftNote tells the managers
	// what was left, and why. Their Turn is the list's number.
	SummaryNote EntryKind = "summary"
	LeftNote    EntryKind = "left"

	// leftAtMost bounds what is kept of a list (our choice).
	leftAtMost = 8
)

// sign signs the list that is open. While a vessel is under pressure and not fenced
// off no day is signed, whoever asks; anything else that is open takes a reason.
func (s *scene) sign() Answer {
	c := &s.Closing
	if c.List == nil || s.tap.N != 0 && s.tap.N != int(c.N) {
		return s.signedAlready()
	}
	if c.List.Shift {
		return s.signShift()
	}
	a := s.aboutClosing(Done, "")
	if pressed := a.Closing.Pressed(); len(pressed) > 0 {
		a.Kind, a.Code, a.Closing.Items = Refuse, RefuseSignGas, pressed
		return a
	}
	reason := cutTo(oneLine(s.req.Text), reasonAtMost)
	if left := notFenced(a.Closing.Items); len(left) > 0 && reason == "" {
		a.Kind, a.Form, a.Closing.Items = OpenForm, FormSign, left
		a.Line = s.signCarry()
		return a
	}
	s.signs(a.Closing.Items, reason)
	a.Closing.List, a.Closing.Last, a.Closing.Items = nil, c.Last, notFenced(a.Closing.Items)
	return a
}

// signedAlready answers where there is no list to sign: it was signed, it stands
// anew, or it was never asked for.
func (s *scene) signedAlready() Answer {
	last := s.Closing.Last
	switch {
	case last != nil && (int(last.N) == s.tap.N || s.tap.N == 0 && last.Day == businessDay(s.now.Time().In(s.zone))):
		return s.signedBefore(last)
	case s.tap.N != 0:
		return Answer{Kind: Refuse, Code: RefuseListGone, Verb: s.req.Verb, Private: true}
	}
	return s.closeList(false)
}

// signedBefore says that somebody signed before.
func (s *scene) signedBefore(last *Closed) Answer {
	a := s.aboutClosing(Already, "")
	a.Verb, a.Who, a.At, a.Closing.Last = request.Sign, last.Signed.By, last.Signed.Done, last
	return a
}

// notFenced gives what takes a reason.
func notFenced(items []ClosingItem) []ClosingItem {
	return slices.DeleteFunc(slices.Clone(items), func(x ClosingItem) bool { return x.Code == ItemBlocked && x.Fenced != nil })
}

// signCarry is what the form carries: which list it was opened for, and what was
// open on it then.
func (s *scene) signCarry() string {
	h := fnv.New32a()
	for _, x := range s.ClosingList(s.now.Time().In(s.zone)).Items {
		fmt.Fprintf(h, "%s %d %s %s;", x.Code, x.Batch, x.Vessel, x.Title)
	}
	return fmt.Sprintf("%d.%08x", s.Closing.N, h.Sum32())
}

// signForm signs with the reason that a form brings. What was opened since then is
// not covered by it.
func (s *scene) signForm(f Filled) Answer {
	s.req = request.Request{Verb: request.Sign, Text: f.Fields[FieldReason]}
	if refused, is := s.denied(s.read()); is {
		return refused
	}
	switch {
	case oneLine(s.req.Text) == "":
		return badForm(FieldReason)
	case s.Closing.List == nil:
		return s.signedAlready()
	case f.Carry != s.signCarry():
		a := s.aboutClosing(Refuse, RefuseListGone)
		a.Field = FieldReason
		return a
	}
	return s.sign()
}

// signs freezes the day and tells the team and the managers.
func (s *scene) signs(items []ClosingItem, reason string) {
	c := &s.Closing
	x := s.sumUp()
	x.Reason = reason
	for _, item := range items {
		switch {
		case item.Code == ItemBlocked:
			x.Fenced = append(x.Fenced, item)
		case len(x.Left) < leftAtMost:
			x.Left = append(x.Left, item)
		default:
			x.More++
		}
	}
	s.shortenUnlabelled()
	s.logSigned(x, items)
	s.archive(&x)
	c.List, c.Last = nil, &x
	if len(notFenced(items)) == 0 {
		c.Last.Reason = ""
	}
	c.Morning = s.morningAfter()
	s.putList(x.N, true)
	s.putNote(SummaryNote, x.N)
	if len(x.Left)+len(x.Fenced) > 0 {
		s.toManagers(s.noteOf(LeftNote, x.N))
	}
}

// logSigned writes what was signed into the log.
func (s *scene) logSigned(x Closed, items []ClosingItem) {
	var left []string
	for _, item := range items {
		left = append(left, strings.Trim(string(item.Code)+" "+item.Vessel+" "+item.Title, " "))
	}
	s.log(nil, "day signed", "day", x.Day, "left", strings.Join(left, "; "), "why", x.Reason, "batches", itoa(x.Batches),
		"scrapped", itoa(len(x.Scrapped)), "chargers", itoa(x.Used))
}

// noteOf is a message about a day.
func (s *scene) noteOf(kind EntryKind, n uint16) Entry {
	return s.ownEntry(closingNumber(n), kind, n, s.now)
}

func (s *scene) putNote(kind EntryKind, n uint16) { s.queue(s.noteOf(kind, n)) }

// sumUp counts the business day of now.
func (s *scene) sumUp() Closed {
	now := s.now.Time().In(s.zone)
	x := Closed{N: s.Closing.N, Day: businessDay(now), Signed: s.mark(), Used: s.ChargersUsed(now), Lowest: s.fridgeToday(now)}
	x.Box, x.Shells = s.Stock.Counts(now)
	for _, f := range s.Today(now) {
		x.Batches++
		if f.Over > 0 {
			x.Overruns = append(x.Overruns, Overrun{Title: f.Title, Vessel: f.Vessel, For: time.Duration(f.Over) * time.Minute})
		}
		if f.Scrapped {
			x.Scrapped = append(x.Scrapped, f.Title)
			continue
		}
		i := slices.IndexFunc(x.Made, func(m Made) bool { return m.Title == f.Title })
		if i < 0 {
			i = len(x.Made)
			x.Made = append(x.Made, Made{Title: f.Title, Product: f.Product})
		}
		m := &x.Made[i]
		m.N++
		m.Yield += f.Yield
		m.Drained += f.Drained
		if f.Yield == 0 && f.Drained == 0 {
			m.Unknown++
		}
	}
	slices.SortStableFunc(x.Overruns, func(a, b Overrun) int { return cmp.Compare(b.For, a.For) })
	x.Overruns = x.Overruns[:min(len(x.Overruns), leftAtMost)]
	return x
}

// ran gives how many minutes a batch rested or stood on its solids beyond its time:
// the more of both.
func (b *Batch) ran() uint16 {
	over := time.Duration(0)
	if b.Emptied != nil && b.VentAt != 0 {
		over = b.Emptied.Done.Sub(b.VentAt)
	}
	if b.Strained != nil && b.SolidsOut() != 0 {
		over = max(over, b.Strained.Done.Sub(b.SolidsOut()))
	}
	return uint16(min(max(over/time.Minute, 0), math.MaxUint16))
}

// closedRecord is a signed list as it is archived. It stands in the same row as the
// batches that left; DecodeBatch does not take it for one.
type closedRecord struct {
	V      int    `cbor:"v"`
	Closed Closed `cbor:"closed"`
}

// archive writes a signed list down for good.
func (s *scene) archive(x *Closed) {
	s.Head.Next++
	x.Record = s.Head.Next
	s.ch.Archive = append(s.ch.Archive, Record{
		Batch: x.Record, Day: x.Day, Body: encode(closedRecord{V: version, Closed: *x}),
	})
}

// DecodeClosed reads the record of a signed list; false if it is another record.
func DecodeClosed(body []byte) (Closed, bool) {
	var r closedRecord
	if err := decode(body, &r); err != nil || r.Closed.Day == "" {
		return Closed{}, false
	}
	return r.Closed, true
}

// afterSigning says that what was done at m belongs to a day that was signed before
// it was entered.
func (s *scene) afterSigning(m Mark) bool {
	last := s.Closing.Last
	return last != nil && !last.Shift && m.Entered > last.Signed.Entered && businessDay(m.Done.Time().In(s.zone)) == last.Day
}
