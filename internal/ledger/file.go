package ledger

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"strconv"
	"time"

	bolt "go.etcd.io/bbolt"
	bolterrors "go.etcd.io/bbolt/errors"

	"ventbell/internal/kitchen"
)

// File keeps kitchens in one file, for a single process; a second one that
// opens it is refused. It is safe for use by several goroutines.
//
// Its time is that of the now it was opened with, and never goes back: across
// a step back of that clock it goes on by the process's monotonic clock. Only a
// new process follows the clock back; a kitchen then takes the time of its own
// last entry as the present.
type File struct {
	wakes
	db       *bolt.DB
	now      func() time.Time
	clock    steady
	observer Observer
	keeps    time.Duration // see KeepFor
}

// The buckets, and what their keys and values are. A key "a+b" is member(a, b);
// a moment is eight bytes that sort by time.
const (
	inMeta     = "meta"     // "v": the layout's version
	inKitchens = "kitchens" // kitchen + "v", "rev", "due" or "f" and a field's name
	inDue      = "due"      // moment and kitchen, no value
	inAnswers  = "answers"  // kitchen + request: moment of its end and answer
	inEnds     = "ends"     // moment and key of an answer, no value
	inOutbox   = "outbox"   // kitchen + entry's key: item
	inLanes    = "lanes"    // kitchen + lane: moment from which it may be taken, and token of its lease
	inReady    = "ready"    // moment and key of a lane, no value
	inSent     = "sent"     // kitchen + entry's key: item
	inLog      = "log"      // a bucket a day: lines by number
	inRecords  = "records"  // kitchen + batch: body
	inDays     = "days"     // kitchen + (day + batch, ten digits), no value
)

var buckets = []string{
	inMeta, inKitchens, inDue, inAnswers, inEnds, inOutbox, inLanes, inReady, inSent, inLog, inRecords, inDays,
}

// openWait is how long a file is waited for that another process has open.
const openWait = 2 * time.Second

// OpenFile opens the ledger in the file at path, which is made if it isn't
// there. What the last process had leased is free again, since it is gone.
func OpenFile(path string, now func() time.Time) (*File, error) {
	db, err := bolt.Open(path, 0o600, &bolt.Options{Timeout: openWait, FreelistType: bolt.FreelistMapType})
	if errors.Is(err, bolterrors.ErrTimeout) {
		return nil, fmt.Errorf("open ledger %s: another process has it open", path)
	}
	if err != nil {
		return nil, fmt.Errorf("open ledger %s: %w", path, err)
	}
	f := &File{wakes: newWakes(), db: db, now: now}
	if err := db.Update(f.settle); err != nil {
		return nil, errors.Join(fmt.Errorf("open ledger %s: %w", path, err), db.Close())
	}
	return f, nil
}

// Observe has o told of every operation. It is called before the first one.
func (f *File) Observe(o Observer) { f.observer = o }

// settle makes the buckets, checks the layout and ends all leases.
func (f *File) settle(tx *bolt.Tx) error {
	if meta := tx.Bucket([]byte(inMeta)); meta != nil {
		v, err := strconv.Atoi(string(meta.Get([]byte("v"))))
		if err != nil {
			return fmt.Errorf("read layout: %w", err)
		}
		if err := readable(v); err != nil {
			return fmt.Errorf("read layout: %w", err)
		}
	}
	for _, name := range buckets {
		if _, err := tx.CreateBucketIfNotExists([]byte(name)); err != nil {
			return fmt.Errorf("make bucket %s: %w", name, err)
		}
	}
	s := f.step(tx)
	s.put(inMeta, "v", []byte(strconv.Itoa(version)))
	var leased []string
	s.scan(inLanes, "", func(lane string, value []byte) bool {
		if len(value) > len(stamp(0)) {
			leased = append(leased, lane)
		}
		return true
	})
	for _, lane := range leased {
		s.setLane(lane, micros(s.now), "")
	}
	return s.err
}

// Ping says whether the file can be read.
func (f *File) Ping(ctx context.Context) (err error) {
	defer observe(f.observer, "ping", time.Now(), &err)
	return f.read(ctx, func(*step) error { return nil })
}

// Close closes the file, once everything under way is done.
func (f *File) Close() error {
	if err := f.db.Close(); err != nil {
		return fmt.Errorf("close ledger: %w", err)
	}
	return nil
}

// step is one transaction. It remembers the first error of its writes.
type step struct {
	tx    *bolt.Tx
	now   time.Time
	keeps time.Duration
	err   error
}

func (f *File) step(tx *bolt.Tx) *step {
	return &step{tx: tx, now: f.clock.read(f.now()), keeps: f.keeps}
}

// read does something that only reads.
func (f *File) read(ctx context.Context, do func(*step) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return f.db.View(func(tx *bolt.Tx) error { return do(f.step(tx)) })
}

// write does something that writes, all of it or, on an error, nothing.
func (f *File) write(ctx context.Context, do func(*step) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return f.db.Update(func(tx *bolt.Tx) error {
		s := f.step(tx)
		return errors.Join(do(s), s.err)
	})
}

// get gives a value, which holds until the step ends; nil if there is none.
func (s *step) get(bucket, key string) []byte { return s.tx.Bucket([]byte(bucket)).Get([]byte(key)) }

func (s *step) put(bucket, key string, value []byte) {
	if s.err == nil {
		s.err = s.tx.Bucket([]byte(bucket)).Put([]byte(key), value)
	}
}

func (s *step) del(bucket, key string) {
	if s.err == nil {
		s.err = s.tx.Bucket([]byte(bucket)).Delete([]byte(key))
	}
}

// scan goes through what begins with prefix, in order and until do says no
// more. do gets the rest of each key; it must not write.
func (s *step) scan(bucket, prefix string, do func(rest string, value []byte) bool) {
	c := s.tx.Bucket([]byte(bucket)).Cursor()
	for k, v := c.Seek([]byte(prefix)); k != nil; k, v = c.Next() {
		if len(k) < len(prefix) || string(k[:len(prefix)]) != prefix || !do(string(k[len(prefix):]), v) {
			return
		}
	}
}

// stamp writes a moment in microseconds so that it sorts by time.
func stamp(us int64) string {
	return string(binary.BigEndian.AppendUint64(nil, uint64(us)^1<<63))
}

// cutStamp takes the moment off that data begins with.
func cutStamp(data []byte) (us int64, rest string, ok bool) {
	if len(data) < 8 {
		return 0, "", false
	}
	return int64(binary.BigEndian.Uint64(data) ^ 1<<63), string(data[8:]), true
}

// Load gives a kitchen's fields and, if the request is known, its answer.
func (f *File) Load(ctx context.Context, id, request string) (s kitchen.State, err error) {
	defer observe(f.observer, "load", time.Now(), &err)
	err = f.read(ctx, func(t *step) (err error) {
		if s, err = t.state(id); err == nil && request != "" {
			s.Answer = t.answer(id, request)
		}
		return err
	})
	if err != nil {
		return kitchen.State{}, fmt.Errorf("load kitchen %q: %w", id, err)
	}
	return s, nil
}

// Peek gives a kitchen's fields and what was sent of it.
func (f *File) Peek(ctx context.Context, id string) (s kitchen.State, err error) {
	defer observe(f.observer, "peek", time.Now(), &err)
	err = f.read(ctx, func(t *step) (err error) {
		if s, err = t.state(id); err != nil {
			return err
		}
		s.Sent = map[string]kitchen.Sent{}
		t.scan(inSent, member(id, ""), func(key string, value []byte) bool {
			s.Sent[key], err = decodeSent(value)
			return err == nil
		})
		return err
	})
	if err != nil {
		return kitchen.State{}, fmt.Errorf("peek at kitchen %q: %w", id, err)
	}
	return s, nil
}

// version gives an error if a kitchen's record can't be read.
func (s *step) version(id string) error {
	text := s.get(inKitchens, member(id, "v"))
	if text == nil {
		return nil // a kitchen never heard of
	}
	v, err := strconv.Atoi(string(text))
	if err != nil {
		return fmt.Errorf("read version: %w", err)
	}
	return readable(v)
}

func (s *step) state(id string) (kitchen.State, error) {
	if err := s.version(id); err != nil {
		return kitchen.State{}, err
	}
	st := kitchen.State{Now: s.now, Rev: string(s.get(inKitchens, member(id, "rev"))), Fields: map[string][]byte{}}
	s.scan(inKitchens, member(id, "f"), func(name string, value []byte) bool {
		st.Fields[name] = append([]byte{}, value...)
		return true
	})
	return st, nil
}

// answer gives the answer to a request that is known; else nil.
func (s *step) answer(id, request string) []byte {
	ends, answer, ok := cutStamp(s.get(inAnswers, member(id, request)))
	if !ok || ends <= micros(s.now) {
		return nil
	}
	return []byte(answer)
}
