package kitchen

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"ventbell/internal/plan"
)

// Wish is what was asked to be ready at a later time, as far as chargers go.
type Wish struct {
	Title    string `cbor:"t"`
	Chargers int    `cbor:"n"` // still to go in
	For      Moment `cbor:"f"`
}

// StockLevel says how the box stands to what tonight still takes.
type StockLevel uint8

// The levels, each worse than the one before.
const (
	StockEnough  StockLevel = iota
	StockTight              // less than the plan and two
	StockShort              // the plan takes more than there is: zero by plan, not in fact
	StockCounted            // none is left by the count
)

// Warning is the last warning that chargers run low.
type Warning struct {
	Day   string     `cbor:"d,omitempty"` // the business day it was given on
	Level StockLevel `cbor:"l,omitempty"`
	N     uint16     `cbor:"n,omitempty"` // its Turn
	Full  int        `cbor:"f,omitempty"` // the figures that it told
	Need  int        `cbor:"e,omitempty"`
}

const (
	// spare is how many chargers there are to be beyond what tonight takes: a house
	// habit, an estimate.
	spare = 2
	// spoiled is how many of a hundred chargers leak or are duds: one in twenty, the
	// dear end of an estimate.
	spoiled = 5
	// wishesAtMost is how many wishes are remembered, a bound on what is stored (our
	// choice).
	wishesAtMost = 6
)

// spoilage gives what is added to n chargers for duds and leaks.
func spoilage(n int) int { return (n*spoiled + 99) / 100 }

// toCharge gives the chargers that are still to go into what is open.
func (k *Kitchen) toCharge() int {
	n := 0
	for _, b := range k.Batches {
		if b.Phase == Loading || b.Phase == Charging {
			n += max(b.Chargers-b.Gas(), 0)
		}
	}
	return n
}

// tonight gives the chargers that what is open still takes, and what is wanted by
// the end of the business day.
func (k *Kitchen) tonight(now time.Time) int { return k.toCharge() + k.wished(dayEnds(now)) }

// wished gives the chargers of what is wanted before a moment.
func (k *Kitchen) wished(before Moment) int {
	n := 0
	for _, w := range k.Stock.Wishes {
		if w.For < before {
			n += w.Chargers
		}
	}
	return n
}

// dayEnds gives when the business day of now ends.
func dayEnds(now time.Time) Moment {
	d := now
	if d.Hour() >= dayBegins {
		d = d.AddDate(0, 0, 1)
	}
	return At(time.Date(d.Year(), d.Month(), d.Day(), dayBegins, 0, 0, 0, now.Location()))
}

// wishes remembers what is wanted later, where chargers are counted: the newest wish
// for a recipe at a time is the one that counts.
func (s *scene) wishes(title string, chargers int, wanted Moment) {
	if s.Stock.V == 0 || wanted < s.now {
		return
	}
	list := slices.DeleteFunc(slices.Clone(s.Stock.Wishes), func(w Wish) bool {
		return w.For < s.now || strings.EqualFold(w.Title, title) && w.For == wanted
	})
	list = append(list, Wish{Title: title, Chargers: chargers, For: wanted})
	s.Stock.Wishes = list[max(0, len(list)-wishesAtMost):]
	s.log(nil, "wanted", "title", title, "for", wanted.Time().Format(time.RFC3339), "chargers", itoa(chargers))
}

// granted takes off the wishes what is started of them: the earliest first.
func (s *scene) granted(title string, runs []plan.Run) {
	n := 0
	for _, r := range runs {
		n += r.Chargers
	}
	list := slices.DeleteFunc(slices.Clone(s.Stock.Wishes), func(w Wish) bool { return dayEnds(w.For.Time().In(s.zone)) < s.now })
	slices.SortStableFunc(list, func(x, y Wish) int { return cmp.Compare(x.For, y.For) })
	for i := range list {
		if strings.EqualFold(list[i].Title, title) {
			less := min(n, list[i].Chargers)
			list[i].Chargers -= less
			n -= less
		}
	}
	s.Stock.Wishes = slices.DeleteFunc(list, func(w Wish) bool { return w.Chargers == 0 })
}

// levelOf judges a count.
func levelOf(p StockPage) StockLevel {
	switch {
	case p.Full <= 0:
		return StockCounted
	case p.After < 0:
		return StockShort
	case p.After < spare:
		return StockTight
	}
	return StockEnough
}

// watchStock warns the team that chargers run low: once a business day, again when
// it gets worse. What stands is brought up to date.
func (s *scene) watchStock() {
	if !s.Stock.Known {
		return
	}
	now := s.now.Time().In(s.zone)
	p, w, day := s.StockNow(now), s.Stock.Warned, businessDay(now)
	if w.Day != day {
		w.Day, w.Level = day, StockEnough
	}
	e := Entry{Kind: StockCall, Lane: s.Head.Team.Channel, Due: s.now.Time()}
	switch {
	case p.Level > w.Level:
		w.N++
		w.Level = p.Level
		s.log(nil, "chargers low", "left", itoa(p.Full), "needed", itoa(p.Need+p.Spoil))
	case w.Level == StockEnough, p.Full == w.Full && p.Need == w.Need:
		return
	default:
		e.Edit = true
	}
	w.Full, w.Need = p.Full, p.Need
	s.Stock.Warned = w
	e.Turn, e.Key = w.N, Key(0, StockCall, w.N, 0)
	s.queue(e)
}

// served takes a start off what was wished, and gives the chargers where the count
// cannot serve it: the count may be wrong, so nothing is refused for it. nil where
// there are enough, or nobody counts.
func (s *scene) served(p plan.Plan) *StockPage {
	if s.Stock.V == 0 {
		return nil
	}
	s.granted(p.Title, p.Runs)
	if page := s.page(); page.Known && page.Full < s.toCharge() {
		return page
	}
	return nil
}
