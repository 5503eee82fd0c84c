package ledger

import (
	"cmp"
	"context"
	_ "embed"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/redis/go-redis/v9"

	"ventbell/internal/kitchen"
)

// laneLook is how many available lanes one Take looks at, past those that are
// empty or that only a newer program can read.
const laneLook = 64

//go:embed take.lua
var takeLua string

//go:embed done.lua
var doneLua string

var (
	takeScript = script(takeLua)
	doneScript = script(doneLua)
)

// Take leases the lane that has been available longest, with what waits in it;
// or gives nil and the next moment at which a lane becomes available, zero if
// none is known. A lane that only a newer program can read is left alone; when
// no other is there, the error is kitchen.ErrNewer.
func (r *Redis) Take(ctx context.Context, holder string, lease time.Duration) (p *kitchen.Parcel, next time.Time, err error) {
	defer observe(r.observer, "take", time.Now(), &err)
	parts, err := r.byHead(ctx)
	if err != nil {
		return nil, time.Time{}, fmt.Errorf("take lane: %w", err)
	}
	var unread error
	for _, part := range parts {
		p, at, err := r.takeFrom(ctx, part, holder, lease)
		switch {
		case errors.Is(err, errUnread):
			unread = err
		case err != nil:
			return nil, time.Time{}, fmt.Errorf("take lane: %w", err)
		case p != nil:
			return p, time.Time{}, nil
		}
		next = earlier(next, at)
	}
	if unread != nil {
		return nil, next, fmt.Errorf("take lane: %w", unread)
	}
	return nil, next, nil
}

// byHead gives the partitions in the order in which their first lanes became
// available.
func (r *Redis) byHead(ctx context.Context) ([]part, error) {
	if r.partitions == 1 {
		return []part{0}, nil
	}
	pipe := r.client.Pipeline()
	heads := make([]*redis.ZSliceCmd, r.partitions)
	for i := range heads {
		heads[i] = pipe.ZRangeWithScores(ctx, part(i).lanes(), 0, 0)
	}
	if _, err := pipe.Exec(ctx); err != nil {
		return nil, err
	}
	var parts []part
	for i, head := range heads {
		if len(head.Val()) > 0 {
			parts = append(parts, part(i))
		}
	}
	slices.SortStableFunc(parts, func(a, b part) int {
		return cmp.Compare(heads[a].Val()[0].Score, heads[b].Val()[0].Score)
	})
	return parts, nil
}

// takeFrom takes a lane of one partition. It isn't tried again: a reply that
// was lost leaves a lease behind, and trying again would take another lane.
func (r *Redis) takeFrom(ctx context.Context, p part, holder string, lease time.Duration) (*kitchen.Parcel, time.Time, error) {
	token := holder + "/" + tail()
	reply, err := takeScript.Run(ctx, r.client, []string{p.lanes(), p.leases()},
		r.lead(), token, lease.Microseconds(), p.outboxes()).Slice()
	if err != nil {
		return nil, time.Time{}, err
	}
	if err := statusErr(reply); err != nil {
		return nil, time.Time{}, err
	}
	if len(reply) < 4 {
		return nil, time.Time{}, errReply
	}
	raw, err := scored(reply[1])
	if err != nil {
		return nil, time.Time{}, err
	}
	now := r.clock.read(raw)
	if reply[0] == "none" {
		next, err := scored(reply[2])
		if err != nil {
			return nil, time.Time{}, err
		}
		return nil, next, unreadErr(reply[3])
	}
	m, _ := reply[2].(string)
	id, lane, ok := splitMember(m)
	items, ok2 := reply[3].([]any)
	if !ok || !ok2 || len(reply) != 5 {
		return nil, time.Time{}, errReply
	}
	out := &kitchen.Parcel{
		Kitchen: id, Lane: lane, Token: token, Until: now.Add(lease), Now: now, Lost: reply[4] == int64(1),
	}
	for _, i := range items {
		text, _ := i.(string)
		e, err := decodeEntry([]byte(text))
		if err != nil {
			return nil, time.Time{}, err
		}
		out.Entries = append(out.Entries, e)
	}
	out.Entries = parcel(out.Entries)
	return out, time.Time{}, nil
}

// Done records what became of a parcel and gives its lane back. An entry that
// was queued anew in the meantime stays, and what was sent is recorded even
// when the lease was lost.
func (r *Redis) Done(ctx context.Context, p *kitchen.Parcel, d kitchen.Delivery) (err error) {
	defer observe(r.observer, "done", time.Now(), &err)
	part := r.partOf(p.Kitchen)
	keys := []string{part.lanes(), part.leases(), part.outbox(p.Kitchen), part.sent(p.Kitchen)}
	args := []any{r.lead(), p.Token, p.Kitchen, p.Lane, scoreOf(micros(d.Again)), len(d.Sent), len(d.Gone)}
	for _, s := range d.Sent {
		data, err := encodeSent(s)
		if err != nil {
			return fmt.Errorf("end lane of kitchen %q: %w", p.Kitchen, err)
		}
		args = append(args, s.Key, data)
	}
	for _, g := range d.Gone {
		args = append(args, g.Key, fmt.Sprintf("%020d", g.Seq))
	}
	reply, _, err := r.run(ctx, doneScript, keys, args)
	if err == nil && len(reply) != 2 {
		err = errReply
	}
	if err == nil {
		err = r.readClock(reply[1])
	}
	if err != nil {
		return fmt.Errorf("end lane of kitchen %q: %w", p.Kitchen, err)
	}
	return nil
}
