// Package desk carries out what the team asks for: it takes one kitchen's work
// in order, asks the kitchen what follows, and has the ledger keep it. It
// holds the use cases and no opinion: the kitchen decides, the desk obeys.
package desk

import (
	"context"
	crand "crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/clock"
	"ventbell/internal/kitchen"
	"ventbell/internal/request"
	"ventbell/internal/trace"
)

// Ledger keeps kitchens.
type Ledger interface {
	// Load gives a kitchen's fields, the ledger's time and, if the request is
	// known, its stored answer.
	Load(ctx context.Context, kitchen, request string) (kitchen.State, error)
	// Commit writes a change whole. A known request gives its stored answer
	// and writes nothing; a revision that is not the present one gives
	// kitchen.ErrStale.
	Commit(ctx context.Context, kitchen, rev, request string, ch kitchen.Change) (newRev string, known []byte, err error)
}

// Config is what a desk works with.
type Config struct {
	Ledger Ledger
	Book   *book.Book              // as in the file; each kitchen's own edits come on top
	Zone   *time.Location          // the house's own
	Teams  map[string]kitchen.Team // by kitchen
	Clock  *clock.Clock
	Log    *slog.Logger
	// Archive reads what left the kitchens; nil = nothing did.
	Archive trace.Ledger
	// Keep is how long Archive keeps them, and so how far back is looked.
	Keep time.Duration
	// Rang is told of each due moment that was carried out, and how late.
	Rang func(lag time.Duration)
}

// Desk carries out commands and due moments.
type Desk struct {
	Config
	reader     *request.Reader
	ledgerTime *clock.Reckoning
	teams      atomic.Pointer[map[string]kitchen.Team] // as told last; nil = as configured
	slots      sync.Map                                // kitchen -> chan struct{} of one: its work goes in order
	shelf      sync.Map                                // kitchen -> *edition: its book
}

// New gives a desk.
func New(c Config) *Desk {
	return &Desk{Config: c, reader: request.NewReader(c.Book), ledgerTime: clock.Reckon(c.Clock)}
}

// SetTeams tells who is of which team from now on. Nobody changes teams after it.
func (d *Desk) SetTeams(teams map[string]kitchen.Team) { d.teams.Store(&teams) }

// team gives a kitchen's team as it is known now.
func (d *Desk) team(id string) (kitchen.Team, bool) {
	teams := d.Teams
	if told := d.teams.Load(); told != nil {
		teams = *told
	}
	t, known := teams[id]
	return t, known
}

// Reply is what the desk gives back for a command: the answer as a value, and
// the kitchen as it was kept, for putting the answer into words.
type Reply struct {
	Answer kitchen.Answer
	State  *kitchen.Kitchen
	Book   *book.Book // the kitchen's, as it was read for this
	Now    time.Time  // the ledger's, in the house's own zone
}

// Look gives a kitchen as it is now, with its book; nothing is asked of it and
// the Answer is empty.
func (d *Desk) Look(ctx context.Context, id string) (Reply, error) {
	state, k, err := d.load(ctx, id, "")
	if err != nil {
		return Reply{}, fmt.Errorf("look into kitchen %s: %w", id, err)
	}
	return Reply{State: k, Book: d.bookOf(k).book, Now: state.Now.In(d.Zone)}, nil
}

// load gives a kitchen as the ledger has it, with its team as it is configured
// now, not as when somebody last spoke. Each load also tells the ledger's time.
func (d *Desk) load(ctx context.Context, id, request string) (kitchen.State, *kitchen.Kitchen, error) {
	before := d.Clock.Now()
	state, err := d.Ledger.Load(ctx, id, request)
	if err != nil {
		return state, nil, err
	}
	d.ledgerTime.Told(state.Now, before, d.Clock.Now())
	k, err := kitchen.Decode(id, state.Fields)
	if err != nil {
		return state, nil, err
	}
	if team, known := d.team(id); known {
		k.Head.Team = team
	}
	return state, k, nil
}

const (
	// tries is how often a command is decided again when another replica was
	// faster.
	tries = 8
	// restartWait is how much longer each further try waits for a ledger that
	// does not answer: eight tries outlast a restart.
	restartWait = 50 * time.Millisecond
	// ringTries is the same for a due moment, which the bell brings again anyway.
	ringTries = 3
)

// take waits for a kitchen's slot and gives what frees it.
func (d *Desk) take(ctx context.Context, id string) (release func(), err error) {
	slot, _ := d.slots.LoadOrStore(id, make(chan struct{}, 1))
	slots := slot.(chan struct{})
	select {
	case slots <- struct{}{}:
		return func() { <-slots }, nil
	case <-ctx.Done():
		return nil, fmt.Errorf("wait for kitchen %s: %w", id, ctx.Err())
	}
}

// Heard carries out what a person said or filled in, or what the runner found
// out about a lane, and gives the answer once it is kept.
// The same command id changes nothing a second time.
func (d *Desk) Heard(ctx context.Context, id string, cmd kitchen.Command) (Reply, error) {
	release, err := d.take(ctx, id)
	if err != nil {
		return Reply{}, err
	}
	defer release()
	cmd.Salt = salt()
	for try := 1; ; try++ {
		reply, err := d.hear(ctx, id, cmd)
		if err == nil || !again(err) || try == tries {
			return reply, err
		}
		jitter := time.Duration(rand.Int64N(int64(try) * int64(5*time.Millisecond)))
		if !errors.Is(err, kitchen.ErrStale) {
			jitter += time.Duration(try) * restartWait
		}
		if err := d.Clock.Wait(ctx, d.Clock.Now().Add(jitter), nil); err != nil {
			return Reply{}, fmt.Errorf("hear in kitchen %s: %w", id, err)
		}
	}
}

// again says that a command may be tried again: somebody was faster, or the
// ledger did not answer and it is not known whether the command was kept. The
// request's id makes a second try harmless: what was kept gives its answer.
func again(err error) bool {
	return !errors.Is(err, kitchen.ErrTooBig) && !errors.Is(err, kitchen.ErrNewer) &&
		!errors.Is(err, context.Canceled) && !errors.Is(err, context.DeadlineExceeded)
}

// hear is one try: load, read, decide, commit.
func (d *Desk) hear(ctx context.Context, id string, cmd kitchen.Command) (Reply, error) {
	state, k, err := d.load(ctx, id, cmd.ID)
	if err != nil {
		return Reply{}, fmt.Errorf("hear in kitchen %s: %w", id, err)
	}
	if state.Answer != nil {
		return d.known(k, state)
	}
	e := d.bookOf(k)
	team, _ := d.team(id)
	ch, answer := k.Handle(e.reader, e.book, team, cmd, state.Now.In(d.Zone))
	if answer.Lacks != nil {
		if cmd.Records, err = d.records(ctx, k, *answer.Lacks, state.Now.In(d.Zone)); err != nil {
			return Reply{}, err
		}
		ch, answer = k.Handle(e.reader, e.book, team, cmd, state.Now.In(d.Zone))
	}
	reply := Reply{Answer: answer, State: k, Book: e.book, Now: state.Now.In(d.Zone)}
	if len(ch.Log) == 0 {
		return reply, nil // nothing to keep
	}
	_, stored, err := d.Ledger.Commit(ctx, id, state.Rev, cmd.ID, ch)
	switch {
	case err != nil:
		return Reply{}, fmt.Errorf("commit in kitchen %s: %w", id, err)
	case stored != nil:
		state.Answer = stored
		return d.known(k, state)
	}
	return reply, nil
}

// known gives the reply to a request that was carried out before.
func (d *Desk) known(k *kitchen.Kitchen, state kitchen.State) (Reply, error) {
	answer, err := kitchen.DecodeAnswer(state.Answer)
	if err != nil {
		return Reply{}, err
	}
	return Reply{Answer: answer, State: k, Book: d.bookOf(k).book, Now: state.Now.In(d.Zone)}, nil
}

// Ring carries out what falls due in a kitchen at the given moment of the
// ledger's time. It loads ahead and waits for the moment, so that the moment
// itself costs one commit. Finding nothing due, it corrects the due entry.
func (d *Desk) Ring(ctx context.Context, id string, at time.Time) error {
	for try := 1; ; try++ {
		err := d.ring(ctx, id, at)
		switch {
		case err == nil:
			return nil
		case !errors.Is(err, kitchen.ErrStale):
			return fmt.Errorf("ring in kitchen %s: %w", id, err)
		case try == ringTries:
			return nil // somebody else is at it; the bell looks again
		}
	}
}

func (d *Desk) ring(ctx context.Context, id string, at time.Time) error {
	state, k, err := d.load(ctx, id, "")
	if err != nil {
		return err
	}
	if err := d.Clock.Wait(ctx, d.ledgerTime.Here(at), nil); err != nil {
		return err
	}
	release, err := d.take(ctx, id)
	if err != nil {
		return err
	}
	defer release()
	now := d.ledgerTime.Now()
	if now.Before(at) {
		now = at // the reckoning's own error must not make a moment miss itself
	}
	ch := k.Ring(now.In(d.Zone))
	if _, _, err := d.Ledger.Commit(ctx, id, state.Rev, "", ch); err != nil {
		return err
	}
	if len(ch.Log) > 0 && d.Rang != nil {
		d.Rang(max(0, d.ledgerTime.Now().Sub(at)))
	}
	for _, line := range ch.Log {
		d.Log.Debug("moment carried out", "kitchen", id, "batch", line.Batch, "kind", line.Event)
	}
	return nil
}

// salt gives chance that nobody can guess.
func salt() []byte {
	b := make([]byte, 16)
	_, _ = crand.Read(b) // it never fails: documented since Go 1.24
	return b
}
