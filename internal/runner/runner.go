// Package runner carries the outbox to its readers. It takes one lane at a
// time from the ledger, has what waits there put into words, posts or edits it
// at the platform's pace, and tells the ledger what came of it. It keeps the
// order within a lane and lets no lane hold another. What to say it is told,
// and how to show it the Poster knows.
//
// Delivery is at least once. Where nobody knows whether the platform took a
// message, since its answer was lost or the process died before the record of
// it, the platform is asked; only where it can't be asked may a message come
// twice, and the second says so.
package runner

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

// Ledger is where messages wait.
type Ledger interface {
	// Take leases the lane that has been available longest to holder. With
	// none available it gives nil and when the next one will be, zero if
	// none is waiting.
	Take(ctx context.Context, holder string, lease time.Duration) (*kitchen.Parcel, time.Time, error)
	// Peek gives a kitchen as it is now, and what was sent for it.
	Peek(ctx context.Context, kitchen string) (kitchen.State, error)
	// Done records what came of a parcel and gives its lane back. What was
	// sent is recorded even when the lease has run out; an entry replaced
	// by a newer one in the meantime stays.
	Done(ctx context.Context, p *kitchen.Parcel, d kitchen.Delivery) error
	// Outgoing gives something when entries have been added. A signal that
	// is missed costs at most the longest blind sleep.
	Outgoing() <-chan struct{}
}

// Word puts an entry into words from its kitchen's present state. A reason in
// their place says why the entry no longer applies.
type Word func(s kitchen.State, e kitchen.Entry, now time.Time) (m voice.Message, reason string, err error)

// What became of an entry, as the Observer is told.
const (
	Delivered = "delivered"
	Edited    = "edited"
	Dropped   = "dropped"    // it no longer applied
	GivenUp   = "given_up"   // it could not be delivered
	Retried   = "retried"    // it was refused and will be tried again
	Found     = "found"      // it had been taken after all
	Repeated  = "repeated"   // delivered, and marked as what may stand there already
	Collapsed = "collapsed"  // said in one message with others
	Scheduled = "scheduled"  // left with the platform for later
	TakenBack = "taken_back" // no longer left there
)

// Outcomes gives every outcome that an Observer may be told.
func Outcomes() []string {
	return []string{
		Delivered, Edited, Dropped, GivenUp, Retried, Found, Repeated, Collapsed, Scheduled, TakenBack,
	}
}

// Observer is told what an operator wants to count.
type Observer interface {
	// Carried tells what became of an entry.
	Carried(kind kitchen.EntryKind, outcome string)
	// Late tells how long after its moment a message was posted.
	Late(kind kitchen.EntryKind, late time.Duration)
}

// Config is what a runner needs. All but Workers and Lease must be given.
type Config struct {
	Ledger Ledger
	Poster Poster
	Word   Word
	// Collapse words several calls that an outage held up as one message;
	// false = they go one by one. nil = never.
	Collapse func(s kitchen.State, held []kitchen.Entry, now time.Time) (voice.Message, bool)
	// Repeat marks a message that may stand there already; nil = they are not
	// told apart.
	Repeat    func(m voice.Message) voice.Message
	Finder    Finder    // nil = nobody can look
	Scheduler Scheduler // nil = the platform schedules nothing
	// Stuck is told when a lane takes no messages for a reason that waiting
	// does not mend, again every ten minutes, and, with an empty reason, when
	// it takes them again; also at the first message in a lane, since nothing
	// is known of an earlier process. nil = nobody is told.
	Stuck   func(ctx context.Context, kitchen, lane, reason string)
	Clock   *clock.Clock
	Log     *slog.Logger
	Observe Observer
	Holder  string // this runner's name on its leases, its own among all replicas
	// Workers is how many lanes are served at once; 0 means 32.
	Workers int
	// Lease is how long a lane is leased, by the clock; 0 means 10 s. A call
	// to the platform gets two fifths of it, then it is cut off. It is also
	// how long a lane waits when its runner has died.
	Lease time.Duration
}

const (
	blind = time.Second          // longest sleep without a look, should a wake-up be lost
	gap   = 5 * time.Millisecond // shortest sleep, should the ledger's clock be misjudged
	// patience is the longest wait for one operation of the ledger, by the
	// world's time; a stop waits that long for the last record.
	patience = 5 * time.Second
)

// Runner carries messages. Make one with New.
type Runner struct {
	Config
	ledgerTime *clock.Reckoning
	memory     *memory
	nudge      chan struct{} // ends the sleep
	down       bool          // the last Take failed
}

// New makes a runner; Run starts it.
func New(c Config) *Runner {
	if c.Workers == 0 {
		c.Workers = 32
	}
	if c.Lease == 0 {
		c.Lease = 10 * time.Second
	}
	return &Runner{
		Config:     c,
		ledgerTime: clock.Reckon(c.Clock),
		memory:     newMemory(),
		nudge:      make(chan struct{}, 1),
	}
}

// Run carries messages until ctx ends; then it waits for those on their way to
// be recorded, and gives nil. It is called once.
func (r *Runner) Run(ctx context.Context) error {
	var working sync.WaitGroup
	defer working.Wait()
	working.Go(func() { r.listen(ctx) })

	free := make(chan struct{}, r.Workers)
	for ctx.Err() == nil {
		select {
		case free <- struct{}{}:
		case <-ctx.Done():
			continue
		}
		l, wake := r.take(ctx)
		if l == nil {
			<-free
			_ = r.Clock.Wait(ctx, wake, r.nudge) // the loop looks whether ctx has ended
			continue
		}
		working.Go(func() {
			r.carry(ctx, l)
			<-free
			poke(r.nudge) // the lane may have more
		})
	}
	return nil
}

// take leases a lane; or gives nil and when to try next, by the runner's clock.
func (r *Runner) take(ctx context.Context) (*lane, time.Time) {
	// A Take cut short by a stop could leave a lease that nobody knows of.
	asking, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
	defer cancel()
	before := r.Clock.Now()
	p, next, err := r.Ledger.Take(asking, r.Holder, r.Lease)
	after := r.Clock.Now()
	if r.down != (err != nil) {
		r.down = err != nil
		if r.down {
			r.Log.Error("lanes not read", "err", err)
		} else {
			r.Log.Info("lanes are read again")
		}
	}
	if err == nil && p != nil {
		r.ledgerTime.Told(p.Now, before, after)
		// Counted from before the ledger was asked, the lease ends too early
		// rather than too late.
		return &lane{Runner: r, Parcel: p, end: before.Add(p.Until.Sub(p.Now))}, time.Time{}
	}
	wake := after.Add(blind)
	if !next.IsZero() {
		wake = earlier(wake, later(r.ledgerTime.Here(next), after.Add(gap)))
	}
	return nil, wake
}

// listen passes the ledger's wake-ups on.
func (r *Runner) listen(ctx context.Context) {
	for {
		select {
		case <-r.Ledger.Outgoing():
			poke(r.nudge)
		case <-ctx.Done():
			return
		}
	}
}

// carry works on a leased lane and gives it back.
func (r *Runner) carry(ctx context.Context, l *lane) {
	if ctx.Err() == nil { // else it goes back untouched
		l.work(ctx)
	}
	if l.Lost && !l.read {
		// Nobody has looked yet at what the last runner may have left. Given
		// back, the lane would no longer be a lost one.
		return
	}
	r.record(ctx, l.Parcel, l.Delivery)
	if l.news != nil && r.Stuck != nil {
		r.Stuck(ctx, l.Kitchen, l.Lane, l.news.reason)
	}
}

// record tells the ledger what came of a parcel. What was sent must not be
// forgotten: it is told again until patience ends, stop or no stop, and is then
// kept in memory for when the lane comes back.
func (r *Runner) record(ctx context.Context, p *kitchen.Parcel, d kitchen.Delivery) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
	defer cancel()
	for wait := 50 * time.Millisecond; ; wait *= 2 {
		err := r.Ledger.Done(ctx, p, d)
		if err == nil {
			r.memory.saved(p.Kitchen, d.Sent)
			return
		}
		if len(d.Sent) > 0 {
			select {
			case <-time.After(wait):
				continue
			case <-ctx.Done():
			}
		}
		r.Log.Error("lane not given back", "kitchen", p.Kitchen, "lane", p.Lane, "err", err)
		r.memory.unsaved(p.Kitchen, d.Sent, r.ledgerTime.Now())
		return
	}
}

// poke leaves a token in c if there is none.
func poke(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}
