package kitchen

import "time"

// Moment is an instant in whole microseconds since 1970 UTC, the grain in
// which a ledger keeps time. Zero is no moment.
type Moment int64

// At gives the moment of t; a zero t is no moment.
func At(t time.Time) Moment {
	if t.IsZero() {
		return 0
	}
	return Moment(t.UnixMicro())
}

// Add gives the moment d later.
func (m Moment) Add(d time.Duration) Moment { return m + Moment(d.Microseconds()) }

// Sub gives the span from earlier to m.
func (m Moment) Sub(earlier Moment) time.Duration {
	return time.Duration(m-earlier) * time.Microsecond
}

// Time gives m as a time in UTC; no moment is the zero time.
func (m Moment) Time() time.Time {
	if m == 0 {
		return time.Time{}
	}
	return time.UnixMicro(int64(m)).UTC()
}
