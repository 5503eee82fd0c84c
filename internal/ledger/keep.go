package ledger

import (
	"fmt"
	"strconv"
	"time"
)

const (
	// KeepDefault is how long a day of the log, and the record of a batch that left
	// its kitchen, are kept: 13 months, so that an inspector sees a whole year back
	// (common practice, no source).
	KeepDefault = 400 * 24 * time.Hour
	// KeepLeast and KeepMost bound what a house may set (our choice). What keeps
	// longer than its record does cannot be found again for a recall.
	KeepLeast = 31 * 24 * time.Hour
	KeepMost  = 3660 * 24 * time.Hour
)

// keepOf gives how long things are kept by what was set; 0 = by default.
func keepOf(set time.Duration) time.Duration {
	if set == 0 {
		return KeepDefault
	}
	return set
}

// KeepFor has the file keep its log and its records for so long. It is called
// before the first operation; 0 = by default.
func (f *File) KeepFor(d time.Duration) { f.keeps = d }

// endRecords takes away the records of the days that are past their time, and
// those days.
func (s *step) endRecords() {
	oldest := dayOf(s.now.Add(-keepOf(s.keeps)))
	over := map[string]string{} // key of a day's batch: key of its record
	s.scan(inDays, "", func(key string, _ []byte) bool {
		id, rest, ok := splitMember(key)
		day, batch, inner := splitMember(rest)
		if n, err := strconv.ParseUint(batch, 10, 32); ok && inner && err == nil && day < oldest {
			over[key] = member(id, fmt.Sprint(n))
		}
		return true
	})
	for day, record := range over {
		s.del(inDays, day)
		s.del(inRecords, record)
	}
}
