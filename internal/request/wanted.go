package request

import "time"

// wanted reads when a batch is wanted: "for Saturday", "para las 7", "demain",
// "for 6" (the next six on the dial).
func (b *start) wanted() {
	for i := range b.toks {
		from, j := i, i
		said := b.is(i, byWord)
		if b.atAnHour(i) {
			said = true
		} else if said {
			j++
			for b.is(j, filler) && b.toks[j].role&atWord == 0 && j < from+3 && b.toks[j].kind == word && b.toks[j].known.number == 0 && b.toks[j].known.day == dayless {
				j++
			}
		}
		if b.soon(i) || !b.free(j) {
			continue
		}
		at, end, ok := b.dayAt(j)
		if ok {
			next := end
			if b.is(next, filler) && b.is(next+1, atWord) { // "mañana a las 5"
				next++
			}
			if b.is(next, atWord) {
				next++
			}
			if next > end || b.toldAsHour(next) {
				if clock, after, ok := b.hourAt(next, at); ok {
					at, end = clock, after
				}
			}
		} else if said {
			if b.is(j, atWord) {
				j++
			}
			at, end, ok = b.hourAt(j, time.Time{})
		}
		if !ok || !b.req.For.IsZero() {
			continue
		}
		b.req.For = at
		b.use(from, end)
	}
}

// soon reads "in 10 min": when the batch is wanted, to the minute.
func (b *start) soon(i int) bool {
	if !b.is(i, place) || b.toks[i].role&namer != 0 || !b.req.For.IsZero() {
		return false
	}
	span, end, ok := b.spanAt(i + 1)
	if !ok || b.toks[end-1].kind != word || span < time.Minute || span > longAgo || b.is(end, agoWord) {
		return false
	}
	b.req.For = b.now.Add(span).Truncate(time.Minute)
	b.use(i, end)
	return true
}

// atAnHour says that "at" stands at i before an hour: "at 7pm", "a las 7". A bare
// number after the English word may be a temperature.
func (b *start) atAnHour(i int) bool {
	if !b.is(i, atWord) || !b.free(i+1) || b.req.Serves != 0 {
		return false
	}
	return b.toldAsHour(i+1) || b.toks[i].text != "at" && b.toks[i+1].kind == number
}

// toldAsHour says that what stands at i can be nothing but a time of day.
func (b *start) toldAsHour(i int) bool {
	return b.free(i) && (b.toks[i].kind == clock || b.toks[i].kind == number && (b.halfDay(i+1) != 0 || b.free(i+1) && b.toks[i+1].text == "h"))
}

// dayAt reads a day from today on: its name, "tomorrow", a date.
func (b *start) dayAt(i int) (time.Time, int, bool) {
	t := b.toks[i]
	year, month, today := b.now.Date()
	on := func(days int) time.Time { return time.Date(year, month, today+days, 0, 0, 0, 0, b.now.Location()) }
	switch {
	case t.kind == date:
		day, ok := t.time.day(b.now)
		return day, i + 1, ok
	case t.kind != word:
	case t.known.day > 0:
		return on(int(t.known.day)), i + 1, true
	case t.known.week != dayless:
		return on((int(t.known.week) - int(b.now.Weekday()) + 7) % 7), i + 1, true
	}
	return time.Time{}, i, false
}

// hourAt reads a time of day that is to come: on a day, or without one the next
// that a clock will show. Hours up to twelve are those of a dial.
func (b *start) hourAt(i int, day time.Time) (time.Time, int, bool) {
	if !b.free(i) || b.tail(i+1) > i+1 && b.toks[i+1].text != "h" && b.halfDay(i+1) == 0 {
		return time.Time{}, i, false
	}
	t := b.toks[i]
	c, half := t.time, b.halfDay(i+1)
	end := i + 1
	if half != 0 {
		end++
	}
	_, _, measured := b.unitAt(i + 1)
	switch {
	case t.kind == clock:
	case t.kind != number || measured && b.toks[i+1].text != "h" || b.is(i+1, serveNoun|vesselNoun|chargerNoun):
		return time.Time{}, i, false
	default:
		if c = clockOf(t.text, half != 0); c.h == 99 {
			n, whole := t.num.whole()
			if !whole || n < 1 || n > 23 {
				return time.Time{}, i, false
			}
			c = clockTime{h: int16(n), padded: n > 12}
		}
		if measured {
			end++
		}
	}
	if !c.valid(half) {
		return time.Time{}, i, false
	}
	if half == 'p' && c.h < 12 {
		c.h += 12
	}
	return c.next(b.now, day, half != 0), end, true
}

// next gives the next moment that a clock shows c, on the day if one was said.
func (c clockTime) next(now, day time.Time, sure bool) time.Time {
	on := func(day time.Time, h int16) time.Time {
		y, m, d := day.Date()
		return time.Date(y, m, d, int(h), int(c.m), 0, 0, now.Location())
	}
	dial := !sure && !c.padded && c.h >= 1 && c.h <= 12
	if !day.IsZero() {
		if dial && c.h < 9 { // nobody wants a batch at four in the morning
			return on(day, c.h+12)
		}
		return on(day, c.h)
	}
	for _, days := range []int{0, 1} {
		for _, h := range []int16{c.h, (c.h + 12) % 24} {
			if at := on(now.AddDate(0, 0, days), h); at.After(now) {
				return at
			}
			if !dial {
				break
			}
		}
	}
	return on(now.AddDate(0, 0, 1), c.h)
}
