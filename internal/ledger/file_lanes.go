package ledger

import (
	"context"
	"errors"
	"fmt"
	"time"

	"ventbell/internal/kitchen"
)

// lane gives the moment from which a lane may be taken and the token of its
// lease, empty if it has none.
func (s *step) lane(lane string) (at int64, token string, ok bool) {
	return cutStamp(s.get(inLanes, lane))
}

// setLane sets from when a lane may be taken and who holds it.
func (s *step) setLane(lane string, at int64, token string) {
	s.dropLane(lane)
	s.put(inLanes, lane, []byte(stamp(at)+token))
	s.put(inReady, stamp(at)+lane, nil)
}

func (s *step) dropLane(lane string) {
	if at, _, ok := s.lane(lane); ok {
		s.del(inReady, stamp(at)+lane)
		s.del(inLanes, lane)
	}
}

// ready gives lanes by the moment from which they may be taken, until do says
// no more.
func (s *step) ready(do func(at int64, lane string) bool) {
	s.scan(inReady, "", func(key string, _ []byte) bool {
		at, lane, ok := cutStamp([]byte(key))
		return ok && do(at, lane)
	})
}

// waiting gives a lane's entries. One that can't be read gives errUnread.
func (s *step) waiting(id, lane string) (entries []kitchen.Entry, err error) {
	s.scan(inOutbox, member(id, ""), func(_ string, value []byte) bool {
		var i item
		if i, err = parseItem(value); err != nil {
			return false
		}
		if i.lane != lane {
			return true
		}
		var e kitchen.Entry
		e, err = decodeEntry(value)
		entries = append(entries, e)
		return err == nil
	})
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errUnread, err)
	}
	return entries, nil
}

// Take leases the lane that has been available longest, with what waits in it;
// or gives nil and the next moment at which a lane becomes available, zero if
// none is known. A lane that only a newer program can read is left alone; when
// no other is there, the error is kitchen.ErrNewer.
func (f *File) Take(ctx context.Context, holder string, lease time.Duration) (p *kitchen.Parcel, next time.Time, err error) {
	defer observe(f.observer, "take", time.Now(), &err)
	var idle bool
	err = f.read(ctx, func(s *step) error { // a look costs much less than a write
		next = s.nextLane()
		idle = next.IsZero() || next.After(s.now)
		return nil
	})
	if err == nil && !idle {
		var unread error
		err = f.write(ctx, func(s *step) error {
			p, unread = s.take(holder, lease)
			next = s.nextLane()
			return nil
		})
		err = errors.Join(err, unread)
	}
	if err != nil {
		return nil, next, fmt.Errorf("take lane: %w", err)
	}
	if p != nil {
		return p, time.Time{}, nil
	}
	return nil, next, nil
}

// nextLane gives the first moment at which a lane may be taken.
func (s *step) nextLane() (next time.Time) {
	s.ready(func(at int64, _ string) bool {
		next = moment(at)
		return false
	})
	return next
}

// take leases the first lane that holds something that can be read.
func (s *step) take(holder string, lease time.Duration) (*kitchen.Parcel, error) {
	var open []string
	s.ready(func(at int64, lane string) bool {
		open = append(open, lane)
		return at <= micros(s.now) && len(open) <= laneLook
	})
	var unread error
	for _, m := range open {
		at, held, ok := s.lane(m)
		if !ok || at > micros(s.now) {
			continue
		}
		id, lane, ok := splitMember(m)
		if !ok {
			unread = errUnread
			continue
		}
		entries, err := s.waiting(id, lane)
		switch {
		case err != nil:
			unread = err
		case len(entries) == 0:
			s.dropLane(m)
		default:
			p := &kitchen.Parcel{
				Kitchen: id, Lane: lane, Token: holder + "/" + tail(),
				Until: s.now.Add(lease), Now: s.now, Entries: parcel(entries), Lost: held != "",
			}
			s.setLane(m, micros(p.Until), p.Token)
			return p, nil
		}
	}
	return nil, unread
}

// Done records what became of a parcel and gives its lane back. An entry that
// was queued anew in the meantime stays, and what was sent is recorded even
// when the lease was lost.
func (f *File) Done(ctx context.Context, p *kitchen.Parcel, d kitchen.Delivery) (err error) {
	defer observe(f.observer, "done", time.Now(), &err)
	err = f.write(ctx, func(s *step) error {
		for _, sent := range d.Sent {
			if err := s.recordSent(p.Kitchen, sent); err != nil {
				return err
			}
			s.unqueue(p.Kitchen, sent.Key, sent.Seq)
		}
		for _, gone := range d.Gone {
			s.unqueue(p.Kitchen, gone.Key, gone.Seq)
		}
		s.giveBack(p, d.Again)
		return nil
	})
	if err != nil {
		return fmt.Errorf("end lane of kitchen %q: %w", p.Kitchen, err)
	}
	return nil
}

// recordSent records a message that was sent, unless a later one was recorded.
func (s *step) recordSent(id string, sent kitchen.Sent) error {
	data, err := encodeSent(sent)
	if err != nil {
		return err
	}
	key := member(id, sent.Key)
	if s.newer(inSent, key) {
		return kitchen.ErrNewer
	}
	if old, err := parseItem(s.get(inSent, key)); err == nil && old.seq > sent.Seq {
		return nil
	}
	s.put(inSent, key, data)
	return nil
}

// unqueue takes an entry out of the outbox if it is still the same one.
func (s *step) unqueue(id, key string, seq uint64) {
	if i, err := parseItem(s.get(inOutbox, member(id, key))); err == nil && i.seq == seq {
		s.del(inOutbox, member(id, key))
	}
}

// giveBack ends a parcel's lease, if it still holds one.
func (s *step) giveBack(p *kitchen.Parcel, again time.Time) {
	m := member(p.Kitchen, p.Lane)
	if _, token, ok := s.lane(m); !ok || token != p.Token {
		return
	}
	at := max(micros(again), micros(s.now))
	if left, err := s.waiting(p.Kitchen, p.Lane); err == nil && len(left) == 0 && at == micros(s.now) {
		s.dropLane(m)
		return
	}
	s.setLane(m, at, "")
}
