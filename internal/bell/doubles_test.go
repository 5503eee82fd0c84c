package bell_test

import (
	"cmp"
	"context"
	"errors"
	"log/slog"
	"slices"
	"sync"
	"testing"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/kitchen"
)

// moments is a ledger's due index in memory: one moment per kitchen, in order.
type moments struct {
	clock  *clock.Clock
	offset time.Duration // of the ledger's clock

	mu    sync.Mutex
	order []kitchen.DueKitchen
	at    map[string]time.Time
	added chan struct{}
	deaf  bool // wake-ups are lost
	down  bool
	looks int
}

func newMoments(c *clock.Clock, ledgerAhead time.Duration) *moments {
	return &moments{clock: c, offset: ledgerAhead, at: map[string]time.Time{}, added: make(chan struct{}, 1)}
}

func (m *moments) now() time.Time { return m.clock.Now().Add(m.offset) }

func (m *moments) Moments() <-chan struct{} { return m.added }

func (m *moments) Due(_ context.Context, skip, count int) ([]kitchen.DueKitchen, time.Time, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.looks++
	if m.down {
		return nil, time.Time{}, errors.New("connection refused")
	}
	from := min(skip, len(m.order))
	to := min(from+count, len(m.order))
	return slices.Clone(m.order[from:to]), m.now(), nil
}

func byMoment(a, b kitchen.DueKitchen) int {
	return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Kitchen, b.Kitchen))
}

// set gives the kitchen a next moment, or none with a zero time.
func (m *moments) set(name string, at time.Time) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if was, ok := m.at[name]; ok {
		if i, found := slices.BinarySearchFunc(m.order, kitchen.DueKitchen{Kitchen: name, At: was}, byMoment); found {
			m.order = slices.Delete(m.order, i, i+1)
		}
		delete(m.at, name)
	}
	if at.IsZero() {
		return
	}
	d := kitchen.DueKitchen{Kitchen: name, At: at}
	i, _ := slices.BinarySearchFunc(m.order, d, byMoment)
	m.order = slices.Insert(m.order, i, d)
	m.at[name] = at
	if i == 0 && !m.deaf {
		select {
		case m.added <- struct{}{}:
		default:
		}
	}
}

func (m *moments) due(name string) (time.Time, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	at, ok := m.at[name]
	return at, ok
}

func (m *moments) lookCount() int {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.looks
}

func (m *moments) setDown(down bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.down = down
}

// shifting is an index that changes between pages: a full first page and the
// one after it list the same kitchen.
type shifting struct{ *moments }

func (s shifting) Due(ctx context.Context, skip, count int) ([]kitchen.DueKitchen, time.Time, error) {
	list, now, err := s.moments.Due(ctx, 0, count)
	for skip == 0 && len(list) > 0 && len(list) < count {
		list = append(list, list[len(list)-1])
	}
	return list, now, err
}

// attempt is one time that the desk was told of a kitchen.
type attempt struct {
	told time.Time // when it was told, ledger time
	at   time.Time // the moment
	done time.Time // when it was committed; zero if it never was
}

// prompt is a desk that does what a desk should: it waits for the moment and
// commits, which takes the moment out of the index.
type prompt struct {
	*moments
	takes time.Duration // for loading and committing
	then  func(name string) (next time.Time)

	mu      sync.Mutex
	rings   map[string][]*attempt
	flying  map[string]bool
	most    int // kitchens at once
	doubled []string
}

func newPrompt(m *moments, takes time.Duration) *prompt {
	return &prompt{moments: m, takes: takes, rings: map[string][]*attempt{}, flying: map[string]bool{}}
}

func (p *prompt) Ring(ctx context.Context, name string, at time.Time) error {
	a := p.begin(name, at)
	defer p.end(name)
	if err := p.clock.Wait(ctx, at.Add(-p.offset), nil); err != nil {
		return err
	}
	if p.takes > 0 {
		if err := p.clock.Wait(ctx, p.clock.Now().Add(p.takes), nil); err != nil {
			return err
		}
	}
	var next time.Time
	if p.then != nil {
		next = p.then(name)
	}
	p.set(name, next)
	p.mu.Lock()
	defer p.mu.Unlock()
	a.done = p.now()
	return nil
}

func (p *prompt) begin(name string, at time.Time) *attempt {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.flying[name] {
		p.doubled = append(p.doubled, name)
	}
	p.flying[name] = true
	p.most = max(p.most, len(p.flying))
	a := &attempt{told: p.now(), at: at}
	p.rings[name] = append(p.rings[name], a)
	return a
}

func (p *prompt) end(name string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.flying, name)
}

// of gives what the desk was told of a kitchen.
func (p *prompt) of(name string) []attempt {
	p.mu.Lock()
	defer p.mu.Unlock()
	all := make([]attempt, 0, len(p.rings[name]))
	for _, a := range p.rings[name] {
		all = append(all, *a)
	}
	return all
}

// failing is a desk that can't ring some of its kitchens.
type failing struct {
	*prompt
	mu     sync.Mutex
	broken map[string]error
}

func (f *failing) Ring(ctx context.Context, name string, at time.Time) error {
	f.mu.Lock()
	err := f.broken[name]
	f.mu.Unlock()
	if err != nil {
		f.begin(name, at)
		f.end(name)
		return err
	}
	return f.prompt.Ring(ctx, name, at)
}

func (f *failing) mend(name string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	delete(f.broken, name)
}

// idle is a desk that says it has rung and has not.
type idle struct{ *prompt }

func (i idle) Ring(_ context.Context, name string, at time.Time) error {
	i.begin(name, at)
	i.end(name)
	return nil
}

// stuck is a desk that holds on to one kitchen for as long as it is let.
type stuck struct {
	*prompt
	name string
}

func (s stuck) Ring(ctx context.Context, name string, at time.Time) error {
	if name != s.name {
		return s.prompt.Ring(ctx, name, at)
	}
	s.begin(name, at)
	defer s.end(name)
	<-ctx.Done()
	return ctx.Err()
}

// tally counts what the bell tells its observer.
type tally struct {
	mu    sync.Mutex
	aside []int
}

func (t *tally) SetAside(n int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.aside = append(t.aside, n)
}

// page keeps the log's messages.
type page struct {
	slog.Handler
	mu    *sync.Mutex
	lines *[]string
}

func newPage(t testing.TB) page {
	return page{slog.NewTextHandler(t.Output(), nil), &sync.Mutex{}, new([]string)}
}

func (p page) Handle(ctx context.Context, r slog.Record) error {
	p.mu.Lock()
	*p.lines = append(*p.lines, r.Level.String()+" "+r.Message)
	p.mu.Unlock()
	return p.Handler.Handle(ctx, r)
}

func (p page) WithAttrs(a []slog.Attr) slog.Handler {
	p.Handler = p.Handler.WithAttrs(a)
	return p
}

func (p page) count(line string) int {
	p.mu.Lock()
	defer p.mu.Unlock()
	n := 0
	for _, l := range *p.lines {
		if l == line {
			n++
		}
	}
	return n
}
