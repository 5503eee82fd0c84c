package ledger

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/redis/go-redis/v9"

	"ventbell/internal/kitchen"
)

// Due gives kitchens by the moment at which they are next due, whether or not
// it has come, and the ledger's time.
func (r *Redis) Due(ctx context.Context, skip, limit int) (list []kitchen.DueKitchen, now time.Time, err error) {
	defer observe(r.observer, "due", time.Now(), &err)
	_, err = again(ctx, func() error {
		pipe := r.client.Pipeline()
		clock := pipe.Time(ctx)
		heads := make([]*redis.ZSliceCmd, r.partitions)
		for i := range heads {
			heads[i] = pipe.ZRangeWithScores(ctx, part(i).due(), 0, int64(max(skip+limit-1, 0)))
		}
		if _, err := pipe.Exec(ctx); err != nil {
			return err
		}
		now, list = r.clock.read(clock.Val()), nil
		for _, head := range heads {
			for _, z := range head.Val() {
				id, _ := z.Member.(string)
				list = append(list, kitchen.DueKitchen{Kitchen: id, At: moment(int64(z.Score))})
			}
		}
		return nil
	})
	if err != nil {
		return nil, time.Time{}, fmt.Errorf("read due moments: %w", err)
	}
	slices.SortFunc(list, byMoment)
	return page(list, skip, limit), now, nil
}

// Record gives the record of a batch that left its kitchen; nil if there is none.
func (r *Redis) Record(ctx context.Context, id string, batch uint32) (body []byte, err error) {
	defer observe(r.observer, "record", time.Now(), &err)
	body, err = r.client.Get(ctx, r.partOf(id).record(id, batch)).Bytes()
	if errors.Is(err, redis.Nil) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read batch %d of kitchen %q: %w", batch, id, err)
	}
	return body, nil
}

// Day gives the batches that left a kitchen for a business day, by number.
func (r *Redis) Day(ctx context.Context, id, day string) (batches []uint32, err error) {
	defer observe(r.observer, "day", time.Now(), &err)
	texts, err := r.client.SMembers(ctx, r.partOf(id).day(id, day)).Result()
	if err != nil {
		return nil, fmt.Errorf("read day %s of kitchen %q: %w", day, id, err)
	}
	for _, text := range texts {
		n, err := strconv.ParseUint(text, 10, 32)
		if err != nil {
			return nil, fmt.Errorf("read day %s of kitchen %q: %w", day, id, err)
		}
		batches = append(batches, uint32(n))
	}
	slices.Sort(batches)
	return batches, nil
}

// Lines gives the first lines of the log of a day, in the order in which they
// were written. The day is counted in UTC and by the ledger's time; around
// midnight a line may stand on the day beside its own.
func (r *Redis) Lines(ctx context.Context, day time.Time, limit int) (lines []kitchen.Line, err error) {
	defer observe(r.observer, "lines", time.Now(), &err)
	if limit <= 0 {
		return nil, nil
	}
	pipe := r.client.Pipeline()
	streams := make([]*redis.XMessageSliceCmd, r.partitions)
	for i := range streams {
		streams[i] = pipe.XRangeN(ctx, part(i).log(dayOf(day)), "-", "+", int64(limit))
	}
	if _, err := pipe.Exec(ctx); err != nil {
		return nil, fmt.Errorf("read log of %s: %w", dayOf(day), err)
	}
	var found []redis.XMessage
	for _, s := range streams {
		found = append(found, s.Val()...)
	}
	slices.SortStableFunc(found, byWriting)
	for _, m := range found[:min(limit, len(found))] {
		text, _ := m.Values["l"].(string)
		line, err := decodeLine([]byte(text))
		if err != nil {
			return nil, fmt.Errorf("read log of %s at %s: %w", dayOf(day), m.ID, err)
		}
		lines = append(lines, line)
	}
	return lines, nil
}

// byWriting orders stream entries by their ids: a millisecond and a count.
func byWriting(a, b redis.XMessage) int {
	ms1, n1, _ := strings.Cut(a.ID, "-")
	ms2, n2, _ := strings.Cut(b.ID, "-")
	return cmp.Or(byNumber(ms1, ms2), byNumber(n1, n2))
}

// byNumber orders numbers written without leading zeros.
func byNumber(a, b string) int {
	return cmp.Or(cmp.Compare(len(a), len(b)), strings.Compare(a, b))
}
