package request

import (
	"testing"
	"time"
	_ "time/tzdata" // the tests need the zones wherever they run

	"pgregory.net/rapid"

	"ventbell/internal/book"
)

// said reads when a thing was done, at a moment in a zone.
func said(t *testing.T, now time.Time, words string) (time.Time, ProblemCode) {
	t.Helper()
	r := NewReader(&book.Book{Vessels: []book.Vessel{{Tag: "A"}}})
	g := r.Read("vented A "+words, Context{Now: now})
	switch {
	case g.Request != nil:
		return g.Request.Done, ""
	case g.Problem != nil:
		return time.Time{}, g.Problem.Code
	}
	t.Fatalf("%q reads as %s", words, show(g))
	return time.Time{}, ""
}

func TestAClockTimeIsTheLastOneUpToNow(t *testing.T) {
	t.Parallel()
	brussels := mustZone("Europe/Brussels")
	on := func(month time.Month, day, hour, minute, second int) time.Time {
		return time.Date(2026, month, day, hour, minute, second, 0, brussels)
	}
	for _, c := range []struct {
		now  time.Time
		said string
		want time.Time
		code ProblemCode
	}{
		{now: on(11, 24, 18, 6, 0), said: "at 18:06", want: on(11, 24, 18, 6, 0)},
		{now: on(11, 24, 18, 5, 59), said: "at 18:06", code: Future},
		{now: on(11, 24, 18, 6, 0), said: "at 18:06:01", code: Future},
		{now: on(11, 24, 0, 3, 0), said: "at 23:58", want: on(11, 23, 23, 58, 0)},
		{now: on(11, 24, 0, 3, 0), said: "23:58:30", want: on(11, 23, 23, 58, 30)},
		{now: on(11, 24, 11, 58, 0), said: "at 23:58", want: on(11, 23, 23, 58, 0)},
		{now: on(11, 24, 11, 59, 0), said: "at 23:58", code: Future},
		{now: on(11, 24, 18, 0, 0), said: "at 06:00", want: on(11, 24, 6, 0, 0)},
		{now: on(11, 24, 18, 0, 1), said: "at 06:00", code: TooLongAgo},
		{now: on(11, 24, 18, 0, 0), said: "12 h ago", want: on(11, 24, 6, 0, 0)},
		{now: on(11, 24, 18, 0, 0), said: "721 min ago", code: TooLongAgo},
		{now: on(11, 24, 18, 0, 0), said: "99999 h ago", code: TooLongAgo},
		{now: on(11, 24, 18, 0, 0), said: "1:30 ago", want: on(11, 24, 17, 58, 30)},
		{now: on(11, 24, 18, 0, 0), said: "1 min 30 ago", want: on(11, 24, 17, 58, 30)},
		// A dial with twelve hours: only where it is plainly the near one.
		{now: on(11, 24, 18, 8, 0), said: "at 6:06", want: on(11, 24, 18, 6, 0)},
		{now: on(11, 24, 6, 8, 0), said: "at 6:06", want: on(11, 24, 6, 6, 0)},
		{now: on(11, 24, 18, 8, 0), said: "at 6:10", code: Future},
		{now: on(11, 24, 18, 5, 0), said: "at 06:06", want: on(11, 24, 6, 6, 0)},
		{now: on(11, 24, 14, 0, 0), said: "at 9:05", want: on(11, 24, 9, 5, 0)},
		{now: on(11, 24, 0, 30, 0), said: "at 12:10", want: on(11, 24, 0, 10, 0)},
		{now: on(11, 24, 0, 30, 0), said: "at 12:10 am", want: on(11, 24, 0, 10, 0)},
		{now: on(11, 24, 12, 30, 0), said: "at 12:10 pm", want: on(11, 24, 12, 10, 0)},
		{now: on(11, 24, 18, 30, 0), said: "at 6pm", want: on(11, 24, 18, 0, 0)},
		{now: on(11, 24, 18, 30, 0), said: "at 13pm", code: BadNumber},
		{now: on(11, 24, 18, 30, 0), said: "at 18:60", code: BadNumber},
		// Clocks go from 3:00 back to 2:00 on the last Sunday of October and
		// from 2:00 on to 3:00 on that of March (Directive 2000/84/EC).
		{now: on(10, 25, 4, 0, 0), said: "at 01:30", want: on(10, 25, 1, 30, 0)},
		{now: on(10, 25, 4, 0, 0), said: "at 02:30", want: on(10, 25, 3, 0, 0).Add(-30 * time.Minute)},
		{now: on(10, 25, 4, 0, 0), said: "at 02:30:00+02:00", want: on(10, 25, 3, 0, 0).Add(-90 * time.Minute)},
		{now: on(10, 25, 3, 0, 0).Add(-80 * time.Minute), said: "at 02:30", want: on(10, 25, 3, 0, 0).Add(-90 * time.Minute)},
		{now: on(10, 25, 4, 0, 0), said: "at 02:30:00+05:00", code: BadNumber},
		{now: on(3, 29, 3, 10, 0), said: "at 02:30", code: BadNumber},
		{now: on(3, 29, 3, 10, 0), said: "at 01:55", want: on(3, 29, 1, 55, 0)},
		{now: on(3, 29, 3, 10, 0), said: "20 min ago", want: on(3, 29, 1, 50, 0)},
		{now: on(3, 29, 12, 30, 0), said: "at 23:45", want: on(3, 28, 23, 45, 0)},
	} {
		got, code := said(t, c.now, c.said)
		if code != c.code || !got.Equal(c.want) {
			t.Errorf("%q at %s is %s %q, want %s %q", c.said, c.now, got, code, c.want, c.code)
		}
	}
}

func TestAMomentSaidWithItsClockIsFoundAgain(t *testing.T) {
	t.Parallel()
	r := NewReader(&book.Book{Vessels: []book.Vessel{{Tag: "A"}}})
	rapid.Check(t, func(rt *rapid.T) {
		now := anyNow(rt)
		back := time.Duration(rapid.Int64Range(0, int64(longAgo/time.Second)).Draw(rt, "back")) * time.Second
		q := Request{Verb: Vented, Vessel: "A", Done: now.Truncate(time.Second).Add(-back)}
		if now.Sub(q.Done) > longAgo {
			return
		}
		got := r.Read(q.String(), Context{Now: now})
		if got.Request == nil || !got.Request.Done.Equal(q.Done) {
			rt.Fatalf("%q at %s reads as %s, want %s", q, now, show(got), q.Done)
		}
	})
}
