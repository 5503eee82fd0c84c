package kitchen

import (
	"time"

	"ventbell/internal/book"
)

// Order is how chargers are ordered, copied from the book: a moment that comes has
// none at hand.
type Order struct {
	Before int    `cbor:"c,omitempty"` // the supplier's cut-off, in minutes of the day; 0 = not entered
	Days   uint8  `cbor:"d,omitempty"` // on which it delivers, a bit each from Sunday on; 0 = any day
	Lead   int    `cbor:"l,omitempty"` // days from the order to the delivery at least
	Level  int    `cbor:"r,omitempty"` // how many are to be left at least; 0 = a day's use
	At     Moment `cbor:"a,omitempty"` // the next look at the forecast
	N      uint16 `cbor:"n,omitempty"` // the Turn of the last reminder
}

// orderAhead is how long before the cut-off the managers are reminded: time enough
// to count and to ring (our choice).
const orderAhead = time.Hour

// take copies the house's rules on ordering.
func (o *Order) take(h book.House, now time.Time) {
	is := Order{
		Before: int(h.ChargerCutoff / time.Minute), Days: h.ChargerDays, Lead: h.ChargerLead, Level: h.ChargerReorder,
		At: o.At, N: o.N,
	}
	if is.Before == 0 {
		is.At = 0
	} else if is.Before != o.Before || is.At == 0 {
		is.At = is.lookAfter(now)
	}
	*o = is
}

// cutoff gives the first cut-off after now.
func (o Order) cutoff(now time.Time) time.Time {
	for day := 0; ; day++ {
		at := time.Date(now.Year(), now.Month(), now.Day()+day, o.Before/60, o.Before%60, 0, 0, now.Location())
		if at.After(now) {
			return at
		}
	}
}

// lookAfter gives when the forecast is looked at next.
func (o Order) lookAfter(now time.Time) Moment {
	return At(o.cutoff(now.Add(orderAhead)).Add(-orderAhead))
}

// delivery gives the day on which an order comes that is in by a cut-off.
func (o Order) delivery(cutoff time.Time) time.Time {
	day := time.Date(cutoff.Year(), cutoff.Month(), cutoff.Day()+o.Lead, 0, 0, 0, 0, cutoff.Location())
	for o.Days != 0 && o.Days&(1<<day.Weekday()) == 0 {
		day = day.AddDate(0, 0, 1)
	}
	return day
}

// forecast adds to a page what is needed until the next delivery: what tonight
// takes, then what is wanted until then or, where that is more, what the days
// between take by the use of late.
func (k *Kitchen) forecast(p *StockPage, now time.Time) {
	o := k.Stock.Order
	p.Reorder = max(o.Level, k.Diary.daily(now))
	if o.Before == 0 {
		return
	}
	cutoff := o.cutoff(now)
	next := o.delivery(cutoff)
	p.Before, p.Next = At(cutoff), At(next)
	later := k.wished(At(next.AddDate(0, 0, 1))) - k.wished(dayEnds(now))
	days := max(0, int(dayNumber(next))-int(dayNumber(dayEnds(now).Time().In(now.Location()))))
	later = max(0, later, days*k.Diary.daily(now))
	p.Until = p.Need + p.Spoil + later + spoilage(later)
}

// Reorders says that chargers are to be ordered: what is left at the next delivery
// is less than the house wants to have.
func (p StockPage) Reorders() bool { return p.Known && p.Before != 0 && p.Full-p.Until < p.Reorder }

// daily gives how many chargers a day took of late, of the days that took any.
func (d *Diary) daily(now time.Time) int {
	days, n := 0, 0
	for _, u := range d.Used {
		if u.Day != businessDay(now) {
			days++
			n += u.Chargers
		}
	}
	if days == 0 {
		return 0
	}
	return (n + days - 1) / days
}

// ringOrder reminds the managers before the supplier's cut-off, if there is a need.
func (s *scene) ringOrder(at Moment) {
	now := s.now.Time().In(s.zone)
	o := &s.Stock.Order
	o.At = o.lookAfter(now)
	p := s.StockNow(now)
	missed := s.now.Sub(at) >= orderAhead // today's cut-off is over
	s.logRing(nil, "chargers looked at", "left", itoa(p.Full), "needed", itoa(p.Until))
	if missed || !p.Reorders() {
		return
	}
	o.N++
	s.toManagers(Entry{Kind: OrderCall, Turn: o.N, Key: Key(0, OrderCall, o.N, 0), Due: p.Before.Time()})
}
