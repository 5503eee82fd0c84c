package ledger

import (
	"context"
	"errors"
	"fmt"
	"time"

	"ventbell/internal/kitchen"
)

// sweepAtOnce is how many answers past their time one commit takes away: more
// than one, so that they grow fewer.
const sweepAtOnce = 8

// errKnown ends a step whose request is known.
var errKnown = errors.New("request is known")

// Commit writes a change in one atomic step. A request that is known changes
// nothing: its answer comes back. Otherwise rev must be the kitchen's present
// revision. An empty request is never known and keeps no answer.
func (f *File) Commit(ctx context.Context, id, rev, request string, ch kitchen.Change) (newRev string, known []byte, err error) {
	defer observe(f.observer, "commit", time.Now(), &err)
	p, unfit := pack(id, request, ch)
	newRev = nextRev(rev)
	var sooner bool
	err = f.write(ctx, func(s *step) error {
		if request != "" {
			if known = s.answer(id, request); known != nil {
				return errKnown
			}
		}
		if err := s.version(id); err != nil {
			return err
		}
		if string(s.get(inKitchens, member(id, "rev"))) != rev {
			return kitchen.ErrStale
		}
		if unfit != nil {
			return unfit
		}
		sooner = s.setDue(id, p.due)
		s.setFields(id, newRev, p)
		if err := s.queue(id, p); err != nil {
			return err
		}
		s.archive(id, p)
		if request != "" {
			s.keep(id, request, p.answer)
		}
		return s.log(p.lines)
	})
	if errors.Is(err, errKnown) {
		return "", known, nil
	}
	if err != nil {
		return "", nil, fmt.Errorf("commit kitchen %q: %w", id, err)
	}
	f.wake(sooner, len(p.out) > 0)
	return newRev, nil, nil
}

// setDue sets a kitchen's next due moment, or takes it away; and says whether
// it is now the first of all and was not before.
func (s *step) setDue(id string, due int64) (sooner bool) {
	first := stamp(due)
	sooner = true
	s.scan(inDue, "", func(key string, _ []byte) bool {
		sooner = first < key[:len(first)]
		return false
	})
	key := member(id, "due")
	if old := s.get(inKitchens, key); old != nil {
		s.del(inDue, string(old)+id)
	}
	if due == 0 {
		s.del(inKitchens, key)
		return false
	}
	s.put(inKitchens, key, []byte(first))
	s.put(inDue, first+id, nil)
	return sooner
}

func (s *step) setFields(id, rev string, p packed) {
	s.put(inKitchens, member(id, "v"), fmt.Append(nil, version))
	s.put(inKitchens, member(id, "rev"), []byte(rev))
	for _, name := range p.del {
		s.del(inKitchens, member(id, "f"+name))
	}
	for _, f := range p.set {
		s.put(inKitchens, member(id, "f"+f.name), f.value)
	}
}

// queue takes entries out of the outbox and puts entries in.
func (s *step) queue(id string, p packed) error {
	for _, key := range p.drop {
		if s.newer(inOutbox, member(id, key)) {
			return kitchen.ErrNewer
		}
		s.del(inOutbox, member(id, key))
	}
	for _, q := range p.out {
		if s.newer(inOutbox, member(id, q.key)) {
			return kitchen.ErrNewer
		}
		s.put(inOutbox, member(id, q.key), q.item)
		if lane := member(id, q.lane); s.get(inLanes, lane) == nil {
			s.setLane(lane, micros(s.now), "")
		}
	}
	return nil
}

// newer says whether a newer program wrote an item.
func (s *step) newer(bucket, key string) bool {
	i, err := parseItem(s.get(bucket, key))
	return err == nil && i.v > version
}

// archive writes the records of batches that leave, and forgets what was sent
// of batches that left.
func (s *step) archive(id string, p packed) {
	for _, r := range p.records {
		s.put(inRecords, member(id, fmt.Sprint(r.Batch)), r.Body)
		s.put(inDays, member(id, member(r.Day, fmt.Sprintf("%010d", r.Batch))), nil)
	}
	var gone []string
	for _, prefix := range p.forget {
		s.scan(inSent, member(id, prefix), func(rest string, _ []byte) bool {
			gone = append(gone, member(id, prefix+rest))
			return true
		})
	}
	for _, key := range gone {
		s.del(inSent, key)
	}
}

// keep keeps the answer to a request, and sweeps answers past their time.
func (s *step) keep(id, request string, answer []byte) {
	ends := stamp(micros(s.now.Add(keepAnswer)))
	key := member(id, request)
	if old := s.get(inAnswers, key); old != nil { // known once, but past its time
		s.del(inEnds, string(old[:len(ends)])+key)
	}
	s.put(inAnswers, key, append([]byte(ends), answer...))
	s.put(inEnds, ends+key, nil)
	var over []string
	s.scan(inEnds, "", func(key string, _ []byte) bool {
		if at, _, ok := cutStamp([]byte(key)); !ok || at > micros(s.now) || len(over) == sweepAtOnce {
			return false
		}
		over = append(over, key)
		return true
	})
	for _, key := range over {
		s.del(inEnds, key)
		s.del(inAnswers, key[len(ends):])
	}
}

// log adds lines to the log of the day. With a new day, old ones go, and the
// records of old ones.
func (s *step) log(lines [][]byte) error {
	if len(lines) == 0 {
		return nil
	}
	log, day := s.tx.Bucket([]byte(inLog)), []byte(dayOf(s.now))
	today := log.Bucket(day)
	if today == nil {
		var err error
		if today, err = log.CreateBucket(day); err != nil {
			return fmt.Errorf("begin log of %s: %w", day, err)
		}
		if err := s.endLogs(); err != nil {
			return err
		}
		s.endRecords()
	}
	for _, line := range lines {
		n, err := today.NextSequence()
		if err != nil {
			return fmt.Errorf("number line: %w", err)
		}
		if err := today.Put([]byte(stamp(int64(n))), line); err != nil {
			return fmt.Errorf("write line: %w", err)
		}
	}
	return nil
}

// endLogs takes away the days of the log that are past their time.
func (s *step) endLogs() error {
	oldest := dayOf(s.now.Add(-keepOf(s.keeps)))
	var over []string
	s.scan(inLog, "", func(day string, _ []byte) bool {
		if day >= oldest {
			return false
		}
		over = append(over, day)
		return true
	})
	for _, day := range over {
		if err := s.tx.Bucket([]byte(inLog)).DeleteBucket([]byte(day)); err != nil {
			return fmt.Errorf("end log of %s: %w", day, err)
		}
	}
	return nil
}
