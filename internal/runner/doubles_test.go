package runner_test

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"sync"
	"testing"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

type laneName struct{ kitchen, lane string }

type laneState struct {
	at    time.Time // when it may be taken
	token string    // of the lease, if it is leased
}

// office is a ledger's outbox in memory. It keeps leases as a ledger does.
type office struct {
	clock  *clock.Clock
	offset time.Duration // of the ledger's clock

	mu       sync.Mutex
	fields   map[string]map[string][]byte
	outbox   map[string]map[string]kitchen.Entry
	sent     map[string]map[string]kitchen.Sent
	gone     map[string]string // key to reason
	lanes    map[laneName]laneState
	tokens   int
	outgoing chan struct{}
	deaf     bool // wake-ups are lost
	down     bool // nothing works
	doneDown bool // only Done doesn't
	peekErr  error
	takes    int
}

func newOffice(c *clock.Clock, ledgerAhead time.Duration) *office {
	return &office{
		clock: c, offset: ledgerAhead,
		fields:   map[string]map[string][]byte{},
		outbox:   map[string]map[string]kitchen.Entry{},
		sent:     map[string]map[string]kitchen.Sent{},
		gone:     map[string]string{},
		lanes:    map[laneName]laneState{},
		outgoing: make(chan struct{}, 1),
	}
}

var errDown = errors.New("connection refused")

func (o *office) now() time.Time { return o.clock.Now().Add(o.offset) }

func (o *office) Outgoing() <-chan struct{} { return o.outgoing }

// put queues entries of a kitchen as a commit does: the newest of a key wins,
// and a lane that is leased or resting isn't pulled forward.
func (o *office) put(name string, entries ...kitchen.Entry) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.outbox[name] == nil {
		o.outbox[name] = map[string]kitchen.Entry{}
		o.sent[name] = map[string]kitchen.Sent{}
	}
	for _, e := range entries {
		o.outbox[name][e.Key] = e
		at := laneName{name, e.Lane}
		if _, ok := o.lanes[at]; !ok {
			o.lanes[at] = laneState{at: o.now()}
		}
	}
	if !o.deaf {
		select {
		case o.outgoing <- struct{}{}:
		default:
		}
	}
}

// say sets what the entry with this key says; "" makes it no longer apply.
func (o *office) say(name, key, text string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	said := map[string][]byte{key: []byte(text)}
	for k, v := range o.fields[name] {
		if k != key {
			said[k] = v
		}
	}
	o.fields[name] = said // whoever reads keeps what was read
}

func (o *office) Take(_ context.Context, holder string, lease time.Duration) (*kitchen.Parcel, time.Time, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.takes++
	if o.down {
		return nil, time.Time{}, errDown
	}
	names := slices.SortedFunc(maps.Keys(o.lanes), func(a, b laneName) int {
		return cmp.Or(o.lanes[a].at.Compare(o.lanes[b].at), cmp.Compare(a.kitchen+a.lane, b.kitchen+b.lane))
	})
	now := o.now()
	for _, at := range names {
		if o.lanes[at].at.After(now) {
			return nil, o.lanes[at].at, nil
		}
		entries := o.waiting(at)
		if len(entries) == 0 {
			delete(o.lanes, at)
			continue
		}
		lost := o.lanes[at].token != ""
		o.tokens++
		token := fmt.Sprintf("%s/%d", holder, o.tokens)
		o.lanes[at] = laneState{at: now.Add(lease), token: token}
		return &kitchen.Parcel{
			Kitchen: at.kitchen, Lane: at.lane, Token: token,
			Until: now.Add(lease), Now: now, Entries: entries, Lost: lost,
		}, time.Time{}, nil
	}
	return nil, time.Time{}, nil
}

func (o *office) waiting(at laneName) []kitchen.Entry {
	var entries []kitchen.Entry
	for _, e := range o.outbox[at.kitchen] {
		if e.Lane == at.lane {
			entries = append(entries, e)
		}
	}
	slices.SortFunc(entries, func(a, b kitchen.Entry) int { return cmp.Compare(a.Seq, b.Seq) })
	return entries
}

func (o *office) Peek(_ context.Context, name string) (kitchen.State, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.down {
		return kitchen.State{}, errDown
	}
	return kitchen.State{Now: o.now(), Fields: o.fields[name], Sent: maps.Clone(o.sent[name])}, o.peekErr
}

func (o *office) Done(ctx context.Context, p *kitchen.Parcel, d kitchen.Delivery) error {
	o.mu.Lock()
	defer o.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return err
	}
	if o.down || o.doneDown {
		return errDown
	}
	for _, s := range d.Sent {
		if o.sent[p.Kitchen][s.Key].Seq <= s.Seq {
			o.sent[p.Kitchen][s.Key] = s
		}
		o.remove(p.Kitchen, s.Key, s.Seq)
	}
	for _, g := range d.Gone {
		o.gone[g.Key] = g.Reason
		o.remove(p.Kitchen, g.Key, g.Seq)
	}
	at := laneName{p.Kitchen, p.Lane}
	if o.lanes[at].token == p.Token {
		o.lanes[at] = laneState{at: d.Again}
	}
	return nil
}

func (o *office) remove(name, key string, seq uint64) {
	if o.outbox[name][key].Seq == seq {
		delete(o.outbox[name], key)
	}
}

// record gives what is recorded of a message.
func (o *office) record(name, key string) kitchen.Sent {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.sent[name][key]
}

// reasons gives why entries are gone, by key.
func (o *office) reasons() map[string]string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return maps.Clone(o.gone)
}

func (o *office) left(name string) int {
	o.mu.Lock()
	defer o.mu.Unlock()
	return len(o.outbox[name])
}

func (o *office) takeCount() int {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.takes
}

// set changes how the office behaves.
func (o *office) set(change func()) {
	o.mu.Lock()
	defer o.mu.Unlock()
	change()
}

// words says what office.say was told, else the key.
func words(s kitchen.State, e kitchen.Entry, _ time.Time) (voice.Message, string, error) {
	text := e.Key
	if said, ok := s.Fields[e.Key]; ok {
		text = string(said)
	}
	if text == "" {
		return voice.Message{}, "over", nil
	}
	return voice.Message{Lines: []voice.Line{{{Text: text}}}}, "", nil
}

// tally counts what the runner tells its observer.
type tally struct {
	mu      sync.Mutex
	carried map[string]int // "kind outcome"
	late    map[kitchen.EntryKind][]time.Duration
}

func newTally() *tally {
	return &tally{carried: map[string]int{}, late: map[kitchen.EntryKind][]time.Duration{}}
}

func (t *tally) Carried(kind kitchen.EntryKind, outcome string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.carried[string(kind)+" "+outcome]++
}

// counts gives what was counted, by "kind outcome".
func (t *tally) counts() map[string]int {
	t.mu.Lock()
	defer t.mu.Unlock()
	return maps.Clone(t.carried)
}

func (t *tally) Late(kind kitchen.EntryKind, late time.Duration) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.late[kind] = append(t.late[kind], late)
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
