package request

import "time"

// longAgo is how far back a thing said late may lie.
const longAgo = 12 * time.Hour

// moment is when a thing was done, as a line says it, or why that can't be.
type moment struct {
	at   time.Time // zero = nothing was said
	code ProblemCode
	from int // the tokens
	to   int
}

// when reads when a thing was done: "40 s ago", "at 18:06", "18:06:20". A
// moment is cut to the second, so that it can be written and read again. "Just
// now" says nothing beyond the line's own time.
func (s *sentence) when() moment {
	for i := range s.toks {
		if !s.free(i) {
			continue
		}
		if from, ok := s.phraseAt(i, sinceWhen); ok {
			if span, end, ok := s.spanAt(from); ok {
				return s.ago(span, i, end)
			}
		}
		if span, end, ok := s.spanAt(i); ok && s.is(end, agoWord) {
			return s.ago(span, i, end+1)
		}
		if m, ok := s.clockAt(i); ok {
			return m
		}
	}
	return moment{}
}

func (s *sentence) ago(span time.Duration, from, to int) moment {
	s.use(from, to)
	m := moment{at: s.now.Add(-span).Truncate(time.Second), from: from, to: to}
	if span > longAgo {
		m.code = TooLongAgo
	}
	return m
}

// clockAt reads a time of day: with colons anywhere, as "1806" or "18.06" only
// after "at", with "am" or "pm" after it.
func (s *sentence) clockAt(i int) (moment, bool) {
	from, after := i, s.is(i, atWord)
	if after {
		i++
	}
	if !s.free(i) {
		return moment{}, false
	}
	t := s.toks[i]
	c, half := t.time, s.halfDay(i+1)
	switch {
	case t.kind == clock:
	case t.kind == number && (after || half != 0):
		c = clockOf(t.text, half != 0)
	default:
		return moment{}, false
	}
	to := i + 1
	if half != 0 {
		to++
	}
	m := moment{from: from, to: to}
	if !c.valid(half) {
		m.code = BadNumber
	} else {
		m.at, m.code = c.before(s.now, half)
	}
	s.use(from, to)
	return m, true
}

// halfDay says whether "am" or "pm" stands at i: 'a', 'p' or nothing.
func (s *sentence) halfDay(i int) byte {
	switch {
	case s.is(i, amWord):
		return 'a'
	case s.is(i, pmWord):
		return 'p'
	}
	return 0
}

// clockOf reads "1806" and "18.06", and "6" where am or pm follows.
func clockOf(text string, half bool) clockTime {
	switch n := digits(text); {
	case n == 4 && len(text) == 4:
		return clockTime{h: atoi(text[:2]), m: atoi(text[2:]), padded: text[0] == '0'}
	case (n == 1 || n == 2) && len(text) == n+3 && isDigits(text[n+1:]):
		return clockTime{h: atoi(text[:n]), m: atoi(text[n+1:]), padded: text[0] == '0'}
	case half && (n == 1 || n == 2) && len(text) == n:
		return clockTime{h: atoi(text)}
	}
	return clockTime{h: 99} // no time of day
}

// valid says that the numbers are a time of day.
func (c clockTime) valid(half byte) bool {
	if half != 0 {
		return c.h >= 1 && c.h <= 12 && c.m < 60 && c.s < 60
	}
	return c.h < 24 && c.m < 60 && c.s < 60
}

// day gives the day that a date names.
func (c clockTime) day(now time.Time) (time.Time, bool) {
	t := time.Date(int(c.h), time.Month(c.m), int(c.s), 0, 0, 0, 0, now.Location())
	return t, t.Day() == int(c.s) && int(t.Month()) == int(c.m)
}

// before gives the last time, up to now, that the clock on the wall showed c.
func (c clockTime) before(now time.Time, half byte) (time.Time, ProblemCode) {
	switch {
	case half == 'p' && c.h < 12:
		c.h += 12
	case half == 'a' && c.h == 12:
		c.h = 0
	}
	at, code := c.last(now)
	if half != 0 || c.padded || c.seconds || c.h < 1 || c.h > 12 {
		return at, code
	}
	// "6:06" in the evening is six minutes past six: where the other reading of
	// the dial lies within the hour and this one doesn't, it is meant.
	other := c
	other.h = (c.h + 12) % 24
	if code == "" && now.Sub(at) <= time.Hour {
		return at, code
	}
	late, why := other.last(now)
	if why == "" && now.Sub(late) <= time.Hour {
		return late, ""
	}
	if next, why := other.last(now.Add(time.Hour)); why == "" && next.After(now) {
		return next, Future
	}
	return at, code
}

// last gives the last time, up to now, that a clock in now's zone showed c. On
// a night when clocks change, a time can come twice (the later is meant unless
// the offset was said) or never.
func (c clockTime) last(now time.Time) (time.Time, ProblemCode) {
	var best time.Time
	today, later := false, false
	year, month, day := now.Date()
	for back := range 2 {
		for _, t := range instants(time.Date(year, month, day-back, int(c.h), int(c.m), int(c.s), 0, time.UTC), now.Location()) {
			if _, offset := t.Zone(); c.zoned && offset != int(c.offset) {
				continue
			}
			today = today || back == 0
			if t.After(now) {
				later = true
			} else if t.After(best) {
				best = t
			}
		}
	}
	switch {
	case !best.IsZero() && now.Sub(best) <= longAgo:
		return best, ""
	case later:
		return best, Future
	case !today:
		return best, BadNumber
	}
	return best, TooLongAgo
}

// instants gives the times at which a clock in the zone shows what wall says in
// UTC: mostly one, none where clocks skip it, two where they go back.
func instants(wall time.Time, zone *time.Location) []time.Time {
	var all []time.Time
	// No zone is further than 26 hours from UTC, so these are surely before and
	// after; a zone changes its clocks at most once between them.
	for _, probe := range []time.Time{wall.Add(-26 * time.Hour), wall.Add(26 * time.Hour)} {
		_, offset := probe.In(zone).Zone()
		t := wall.Add(-time.Duration(offset) * time.Second).In(zone)
		shows := time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), 0, time.UTC)
		if shows.Equal(wall) && (len(all) == 0 || !all[0].Equal(t)) {
			all = append(all, t)
		}
	}
	return all
}
