package ledger

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/redis/go-redis/v9"

	"ventbell/internal/kitchen"
)

//go:embed prelude.lua
var prelude string

//go:embed commit.lua
var commitLua string

// script makes a script of a text: the limits, the prelude and the text.
func script(text string) *redis.Script {
	limits := fmt.Sprintf("local VERSION, MAX_VALUES, MAX_VALUE, MAX_TOTAL, LOOK = %d, %d, %d, %d, %d\n",
		version, maxValues, maxValue, maxTotal, laneLook)
	return redis.NewScript(limits + prelude + text)
}

var commitScript = script(commitLua)

// Load gives a kitchen's fields and, if the request is known, its answer, in
// one round trip.
func (r *Redis) Load(ctx context.Context, id, request string) (s kitchen.State, err error) {
	defer observe(r.observer, "load", time.Now(), &err)
	s, err = r.load(ctx, id, request)
	if err != nil {
		return kitchen.State{}, fmt.Errorf("load kitchen %q: %w", id, err)
	}
	return s, nil
}

func (r *Redis) load(ctx context.Context, id, request string) (s kitchen.State, err error) {
	p := r.partOf(id)
	_, err = again(ctx, func() error {
		pipe := r.client.Pipeline()
		fields := pipe.HGetAll(ctx, p.kitchen(id))
		now := pipe.Time(ctx)
		var answer *redis.StringCmd
		if request != "" {
			answer = pipe.Get(ctx, p.answer(id, request))
		}
		if _, err := pipe.Exec(ctx); err != nil && !errors.Is(err, redis.Nil) {
			return err
		}
		if s, err = r.state(fields.Val(), now.Val()); err != nil || answer == nil {
			return err
		}
		s.Answer, err = answer.Bytes()
		if errors.Is(err, redis.Nil) {
			s.Answer, err = nil, nil
		}
		return err
	})
	return s, err
}

// state makes a kitchen's state of what its hash holds.
func (r *Redis) state(hash map[string]string, now time.Time) (kitchen.State, error) {
	s := kitchen.State{Rev: hash["rev"], Now: r.clock.read(now), Fields: make(map[string][]byte, len(hash))}
	if len(hash) == 0 {
		return s, nil
	}
	v, err := strconv.Atoi(hash["v"])
	if err != nil {
		return kitchen.State{}, fmt.Errorf("read version: %w", err)
	}
	if err := readable(v); err != nil {
		return kitchen.State{}, err
	}
	for name, value := range hash {
		if name[:min(1, len(name))] == "f" {
			s.Fields[name[1:]] = []byte(value)
		}
	}
	return s, nil
}

// Peek gives a kitchen's fields and what was sent of it, in one round trip.
func (r *Redis) Peek(ctx context.Context, id string) (s kitchen.State, err error) {
	defer observe(r.observer, "peek", time.Now(), &err)
	p := r.partOf(id)
	_, err = again(ctx, func() error {
		pipe := r.client.Pipeline()
		fields, sent, now := pipe.HGetAll(ctx, p.kitchen(id)), pipe.HGetAll(ctx, p.sent(id)), pipe.Time(ctx)
		if _, err := pipe.Exec(ctx); err != nil {
			return err
		}
		if s, err = r.state(fields.Val(), now.Val()); err != nil {
			return err
		}
		s.Sent = make(map[string]kitchen.Sent, len(sent.Val()))
		for key, data := range sent.Val() {
			if s.Sent[key], err = decodeSent([]byte(data)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return kitchen.State{}, fmt.Errorf("peek at kitchen %q: %w", id, err)
	}
	return s, nil
}

// Commit writes a change in one atomic step. A request that is known changes
// nothing: its answer comes back. Otherwise rev must be the kitchen's present
// revision. An empty request is never known and keeps no answer.
func (r *Redis) Commit(ctx context.Context, id, rev, request string, ch kitchen.Change) (newRev string, known []byte, err error) {
	defer observe(r.observer, "commit", time.Now(), &err)
	newRev, known, err = r.commit(ctx, id, rev, request, ch)
	if err != nil {
		return "", nil, fmt.Errorf("commit kitchen %q: %w", id, err)
	}
	return newRev, known, nil
}

func (r *Redis) commit(ctx context.Context, id, rev, request string, ch kitchen.Change) (string, []byte, error) {
	p, err := pack(id, request, ch)
	if errors.Is(err, kitchen.ErrTooBig) {
		known, err := r.decline(ctx, id, rev, request, err)
		return "", known, err
	}
	if err != nil {
		return "", nil, err
	}
	newRev := nextRev(rev)
	reply, err := r.runCommit(ctx, id, rev, newRev, request, p)
	if err != nil {
		return "", nil, err
	}
	if reply[0] == "known" && len(reply) == 2 {
		answer, ok := reply[1].(string)
		if !ok {
			return "", nil, errReply
		}
		return "", []byte(answer), nil
	}
	if len(reply) != 2 {
		return "", nil, errReply
	}
	r.wake(reply[1] != "", len(p.out) > 0)
	return newRev, nil, nil
}

// decline answers for a change that is too big: a known request and a stale
// revision come first here as everywhere.
func (r *Redis) decline(ctx context.Context, id, rev, request string, tooBig error) ([]byte, error) {
	s, err := r.load(ctx, id, request)
	switch {
	case err != nil:
		return nil, err
	case s.Answer != nil:
		return s.Answer, nil
	case s.Rev != rev:
		return nil, kitchen.ErrStale
	}
	return nil, tooBig
}

// runCommit hands a change to the script.
func (r *Redis) runCommit(ctx context.Context, id, rev, newRev, request string, c packed) ([]any, error) {
	p := r.partOf(id)
	keys := []string{
		p.kitchen(id), p.answer(id, request), p.due(), p.lanes(), p.outbox(id), p.sent(id),
		p.log(dayOf(r.clock.guess())),
	}
	for _, rec := range c.records {
		keys = append(keys, p.record(id, rec.Batch), p.day(id, rec.Day))
	}
	args := []any{
		id, rev, newRev, request, c.answer, int64(keepAnswer / time.Second), scoreOf(c.due), r.lead(),
		r.sender, p.channel(), int64(r.keeps / time.Second),
		len(c.set), len(c.del), len(c.drop), len(c.out), len(c.lines), len(c.records), len(c.forget),
	}
	reply, repeated, err := r.run(ctx, commitScript, keys, c.append(args))
	if repeated {
		// The first try may have done it, and its wake-up was for us.
		r.wake(true, true)
	}
	return reply, err
}

// append adds the lists of a change to a script's arguments.
func (p packed) append(args []any) []any {
	for _, f := range p.set {
		args = append(args, f.name, f.value)
	}
	for _, name := range p.del {
		args = append(args, name)
	}
	for _, key := range p.drop {
		args = append(args, key)
	}
	for _, q := range p.out {
		args = append(args, q.key, q.lane, q.item)
	}
	for _, l := range p.lines {
		args = append(args, l)
	}
	for _, r := range p.records {
		args = append(args, r.Body, strconv.FormatUint(uint64(r.Batch), 10))
	}
	for _, prefix := range p.forget {
		args = append(args, prefix)
	}
	return args
}

// run runs a script that may run twice.
func (r *Redis) run(ctx context.Context, s *redis.Script, keys []string, args []any) (reply []any, repeated bool, err error) {
	repeated, err = again(ctx, func() error {
		reply, err = s.Run(ctx, r.client, keys, args...).Slice()
		return err
	})
	if err == nil {
		err = statusErr(reply)
	}
	return reply, repeated, err
}

// lead is what the scripts add to the ledger's clock, in microseconds.
func (r *Redis) lead() int64 { return r.clock.lead().Microseconds() }

// scoreOf writes a moment as a score; none is the empty text.
func scoreOf(us int64) string {
	if us == 0 {
		return ""
	}
	return strconv.FormatInt(us, 10)
}

// scored reads a score that a script has written out.
func scored(v any) (time.Time, error) {
	text, ok := v.(string)
	if !ok {
		return time.Time{}, errReply
	}
	if text == "" {
		return time.Time{}, nil
	}
	us, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return time.Time{}, fmt.Errorf("read moment: %w", err)
	}
	return moment(us), nil
}

// readClock takes the reading that came with a script's reply.
func (r *Redis) readClock(v any) error {
	now, err := scored(v)
	if err == nil {
		r.clock.read(now)
	}
	return err
}
