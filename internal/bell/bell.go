// Package bell rings the kitchens: it sleeps until the next due moment of any
// kitchen and tells the desk whose moment it is. It keeps its own count of
// which kitchens are being rung and which ones trouble it; what follows from a
// moment, and whether there still is one, the desk and the kitchen decide.
package bell

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/kitchen"
)

// Ledger is where the bell reads whose moment comes next.
type Ledger interface {
	// Due lists kitchens with their next due moment, past or to come, the
	// earliest first: at most max of them, after the first skip. It gives the
	// ledger's time as well.
	Due(ctx context.Context, skip, max int) ([]kitchen.DueKitchen, time.Time, error)
	// Moments gives something when a moment has been added that comes before
	// all others. One that is missed costs at most the longest blind sleep.
	Moments() <-chan struct{}
}

// Desk is whom the bell tells.
type Desk interface {
	// Ring is told up to 150 ms ahead that the kitchen has something due at
	// at. It loads the kitchen, waits until then, carries out what is due and
	// commits it. When it finds nothing due it corrects the ledger's entry.
	Ring(ctx context.Context, kitchen string, at time.Time) error
}

// Observer is told what an operator wants to count.
type Observer interface {
	// SetAside tells how many kitchens are set aside now.
	SetAside(kitchens int)
}

// Config is what a bell needs. All but Stagger and Hands must be given.
type Config struct {
	Ledger  Ledger
	Desk    Desk
	Clock   *clock.Clock
	Log     *slog.Logger
	Observe Observer
	// Stagger is how long after a moment this replica looks for it. With 0
	// it is the first and hands kitchens over ahead of their moment; the
	// others find only what the first has left.
	Stagger time.Duration
	// Hands is how many kitchens are rung at once; 0 means 32.
	Hands int
}

const (
	ahead = 150 * time.Millisecond // a kitchen is handed over this early, to be loaded by its moment
	blind = 250 * time.Millisecond // longest sleep without a look, should a wake-up be lost
	gap   = 5 * time.Millisecond   // shortest time between looks that finished kitchens ask for
	// patience is the longest that one kitchen may occupy the desk, by the
	// world's time; also how long a stop takes at most.
	patience = 5 * time.Second
	// step is a jump of the ledger's clock that is worth a line in the log.
	step = 500 * time.Millisecond
)

// Bell rings kitchens. Make one with New.
type Bell struct {
	Config
	ledgerTime *clock.Reckoning
	done       chan ring     // kitchens that have been rung
	nudge      chan struct{} // ends the sleep
	added      chan struct{} // the ledger has an earlier moment
}

// ring is one kitchen handed over to the desk, and what came of it.
type ring struct {
	kitchen.DueKitchen
	err error
}

// New makes a bell; Run starts it.
func New(c Config) *Bell {
	if c.Hands == 0 {
		c.Hands = 32
	}
	return &Bell{
		Config:     c,
		ledgerTime: clock.Reckon(c.Clock),
		done:       make(chan ring, c.Hands), // never blocks: no more than Hands fly
		nudge:      make(chan struct{}, 1),
		added:      make(chan struct{}, 1),
	}
}

// Run rings kitchens until ctx ends; then it waits for those being rung, and
// gives nil. It is called once.
func (b *Bell) Run(ctx context.Context) error {
	var flying sync.WaitGroup
	defer flying.Wait()
	flying.Go(func() { b.listen(ctx) })

	w := newWatch(b)
	for {
		w.collect()
		if now := b.Clock.Now(); !w.lookAt.After(now) {
			w.look(ctx)
		}
		for d, ok := w.next(); ok; d, ok = w.next() {
			flying.Go(func() { b.ring(ctx, d) })
		}
		if err := b.Clock.Wait(ctx, w.lookAt, b.nudge); err != nil {
			return nil // told to stop, which is no failure
		}
	}
}

// listen passes the ledger's wake-ups on.
func (b *Bell) listen(ctx context.Context) {
	for {
		select {
		case <-b.Ledger.Moments():
			poke(b.added)
			poke(b.nudge)
		case <-ctx.Done():
			return
		}
	}
}

// ring hands one kitchen over. A stop doesn't cut it short.
func (b *Bell) ring(ctx context.Context, d kitchen.DueKitchen) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
	defer cancel()
	b.done <- ring{d, b.Desk.Ring(ctx, d.Kitchen, d.At)}
	poke(b.nudge)
}

// due reads one page of the due index and learns the ledger's time from it.
func (b *Bell) due(ctx context.Context, skip, count int) ([]kitchen.DueKitchen, error) {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	before := b.Clock.Now()
	page, told, err := b.Ledger.Due(ctx, skip, count)
	if err != nil {
		return nil, err
	}
	if moved := b.ledgerTime.Told(told, before, b.Clock.Now()); moved.Abs() > step {
		b.Log.Warn("ledger's clock jumped", "lag", moved)
	}
	return page, nil
}

// poke leaves a token in c if there is none.
func poke(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}
