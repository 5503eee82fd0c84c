package ledger

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/redis/go-redis/v9"
	bolt "go.etcd.io/bbolt"

	"ventbell/internal/kitchen"
)

// Rewriting is how what was written is to read from now on. Each says whether there
// is anything to change.
type Rewriting struct {
	Line   func(kitchen.Line) (kitchen.Line, bool)
	Record func(body []byte) ([]byte, bool, error)
	// Batches is the number of the kitchen's latest batch.
	Batches uint32
}

// lineOf rewrites one stored line of a kitchen; nil = it stays.
func (w Rewriting) lineOf(id string, data []byte) ([]byte, error) {
	line, err := decodeLine(data)
	if err != nil || line.Kitchen != id {
		return nil, err
	}
	line, changed := w.Line(line)
	if !changed {
		return nil, nil
	}
	return encodeLine(line)
}

// Rewrite writes anew what stands in the log and in the records of a kitchen, and
// says how many of them changed. A day of the log is changed whole or not at all;
// cut short, it can be done again.
func (f *File) Rewrite(ctx context.Context, id string, w Rewriting) (changed int, err error) {
	defer observe(f.observer, "rewrite", time.Now(), &err)
	var days []string
	err = f.read(ctx, func(s *step) error {
		s.scan(inLog, "", func(day string, _ []byte) bool {
			days = append(days, day)
			return true
		})
		return nil
	})
	for _, day := range days {
		if err != nil {
			break
		}
		err = f.write(ctx, func(s *step) error {
			n, err := s.rewriteDay(id, day, w)
			changed += n
			return err
		})
	}
	if err == nil {
		err = f.write(ctx, func(s *step) error {
			n, err := s.rewriteRecords(id, w)
			changed += n
			return err
		})
	}
	if err != nil {
		return changed, fmt.Errorf("rewrite the log of kitchen %q: %w", id, err)
	}
	return changed, nil
}

func (s *step) rewriteDay(id, day string, w Rewriting) (int, error) {
	log := s.tx.Bucket([]byte(inLog)).Bucket([]byte(day))
	if log == nil { // it was dropped meanwhile
		return 0, nil
	}
	return rewriteAll(log, log.Cursor(), nil, func(data []byte) ([]byte, error) { return w.lineOf(id, data) })
}

func (s *step) rewriteRecords(id string, w Rewriting) (int, error) {
	records := s.tx.Bucket([]byte(inRecords))
	return rewriteAll(records, records.Cursor(), []byte(member(id, "")), func(data []byte) ([]byte, error) {
		body, changed, err := w.Record(data)
		if err != nil || !changed {
			return nil, err
		}
		return body, nil
	})
}

// rewriteAll changes the values of a bucket whose keys begin with prefix.
func rewriteAll(bucket *bolt.Bucket, c *bolt.Cursor, prefix []byte, with func([]byte) ([]byte, error)) (int, error) {
	type pair struct{ key, value []byte }
	var list []pair // a cursor may lose its place when its bucket is written to
	for k, v := c.Seek(prefix); k != nil && string(k[:min(len(k), len(prefix))]) == string(prefix); k, v = c.Next() {
		value, err := with(v)
		if err != nil {
			return 0, err
		}
		if value != nil {
			list = append(list, pair{append([]byte{}, k...), value})
		}
	}
	for _, p := range list {
		if err := bucket.Put(p.key, p.value); err != nil {
			return 0, err
		}
	}
	return len(list), nil
}

// Rewrite writes anew what stands in the log and in the records of a kitchen, and
// says how many of them changed. A day of the log is changed whole or not at all;
// cut short, it can be done again.
func (r *Redis) Rewrite(ctx context.Context, id string, w Rewriting) (changed int, err error) {
	defer observe(r.observer, "rewrite", time.Now(), &err)
	p := r.partOf(id)
	now, err := r.client.Time(ctx).Result()
	back := max(r.keeps, KeepDefault) / dayLong // what was written before it was set shorter
	for age := time.Duration(-1); err == nil && age <= back+1; age++ {
		var n int
		n, err = r.rewriteDay(ctx, id, p.log(dayOf(now.Add(-age*dayLong))), w)
		changed += n
	}
	for batch := uint32(1); err == nil && batch <= w.Batches; batch++ {
		var did bool
		did, err = r.rewriteRecord(ctx, p.record(id, batch), w)
		if did {
			changed++
		}
	}
	if err != nil {
		return changed, fmt.Errorf("rewrite the log of kitchen %q: %w", id, err)
	}
	return changed, nil
}

const (
	dayLong = 24 * time.Hour
	// rewriteTries is how often a day is begun again that was written to meanwhile.
	rewriteTries = 20
)

// rewriteDay puts a stream of the same ids in the place of a day's: entries of a
// stream cannot be changed.
func (r *Redis) rewriteDay(ctx context.Context, id, key string, w Rewriting) (changed int, err error) {
	for range rewriteTries {
		err = r.client.Watch(ctx, func(tx *redis.Tx) (err error) {
			changed, err = swapDay(ctx, tx, id, key, w)
			return err
		}, key)
		if !errors.Is(err, redis.TxFailedErr) {
			break
		}
	}
	return changed, err
}

func swapDay(ctx context.Context, tx *redis.Tx, id, key string, w Rewriting) (changed int, err error) {
	all, err := tx.XRange(ctx, key, "-", "+").Result()
	if err != nil || len(all) == 0 {
		return 0, err
	}
	for i, m := range all {
		text, _ := m.Values["l"].(string)
		body, err := w.lineOf(id, []byte(text))
		if err != nil {
			return 0, fmt.Errorf("%s at %s: %w", key, m.ID, err)
		}
		if body != nil {
			all[i].Values["l"] = string(body)
			changed++
		}
	}
	if changed == 0 {
		return 0, nil
	}
	left, err := tx.PTTL(ctx, key).Result()
	if err != nil {
		return 0, err
	}
	fresh := key + ":new"
	_, err = tx.TxPipelined(ctx, func(pipe redis.Pipeliner) error {
		pipe.Del(ctx, fresh)
		for _, m := range all {
			pipe.XAdd(ctx, &redis.XAddArgs{Stream: fresh, ID: m.ID, Values: m.Values})
		}
		if left > 0 {
			pipe.PExpire(ctx, fresh, left)
		}
		pipe.Rename(ctx, fresh, key)
		return nil
	})
	return changed, err
}

func (r *Redis) rewriteRecord(ctx context.Context, key string, w Rewriting) (bool, error) {
	old, err := r.client.Get(ctx, key).Bytes()
	if errors.Is(err, redis.Nil) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	body, changed, err := w.Record(old)
	if err != nil || !changed {
		return false, err
	}
	return true, r.client.Set(ctx, key, body, redis.KeepTTL).Err()
}
