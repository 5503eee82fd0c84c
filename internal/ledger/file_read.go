package ledger

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"ventbell/internal/kitchen"
)

// Due gives kitchens by the moment at which they are next due, whether or not
// it has come, and the ledger's time.
func (f *File) Due(ctx context.Context, skip, limit int) (list []kitchen.DueKitchen, now time.Time, err error) {
	defer observe(f.observer, "due", time.Now(), &err)
	err = f.read(ctx, func(s *step) error {
		now = s.now
		s.scan(inDue, "", func(key string, _ []byte) bool {
			if len(list) >= skip+limit {
				return false
			}
			at, id, ok := cutStamp([]byte(key))
			list = append(list, kitchen.DueKitchen{Kitchen: id, At: moment(at)})
			return ok
		})
		return nil
	})
	if err != nil {
		return nil, time.Time{}, fmt.Errorf("read due moments: %w", err)
	}
	return page(list, skip, limit), now, nil
}

// Record gives the record of a batch that left its kitchen; nil if there is none.
func (f *File) Record(ctx context.Context, id string, batch uint32) (body []byte, err error) {
	defer observe(f.observer, "record", time.Now(), &err)
	err = f.read(ctx, func(s *step) error {
		if value := s.get(inRecords, member(id, fmt.Sprint(batch))); value != nil {
			body = append([]byte{}, value...)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read batch %d of kitchen %q: %w", batch, id, err)
	}
	return body, nil
}

// Day gives the batches that left a kitchen for a business day, by number.
func (f *File) Day(ctx context.Context, id, day string) (batches []uint32, err error) {
	defer observe(f.observer, "day", time.Now(), &err)
	err = f.read(ctx, func(s *step) (err error) {
		s.scan(inDays, member(id, member(day, "")), func(rest string, _ []byte) bool {
			var n uint64
			n, err = strconv.ParseUint(rest, 10, 32)
			batches = append(batches, uint32(n))
			return err == nil
		})
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("read day %s of kitchen %q: %w", day, id, err)
	}
	return batches, nil
}

// Lines gives the first lines of the log of a day, in the order in which they
// were written. The day is counted in UTC and by the ledger's time.
func (f *File) Lines(ctx context.Context, day time.Time, limit int) (lines []kitchen.Line, err error) {
	defer observe(f.observer, "lines", time.Now(), &err)
	err = f.read(ctx, func(s *step) error {
		log := s.tx.Bucket([]byte(inLog)).Bucket([]byte(dayOf(day)))
		if log == nil {
			return nil
		}
		c := log.Cursor()
		for k, v := c.First(); k != nil && len(lines) < limit; k, v = c.Next() {
			line, err := decodeLine(v)
			if err != nil {
				return err
			}
			lines = append(lines, line)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read log of %s: %w", dayOf(day), err)
	}
	return lines, nil
}
