package app

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"ventbell/internal/bell"
	"ventbell/internal/book"
	"ventbell/internal/chat"
	"ventbell/internal/clock"
	"ventbell/internal/desk"
	"ventbell/internal/hatch"
	"ventbell/internal/kitchen"
	"ventbell/internal/ledger"
	"ventbell/internal/metrics"
	"ventbell/internal/plan"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// App is the whole service, put together. Two can run in one process.
type App struct {
	opts    Options
	clock   *clock.Clock
	log     *slog.Logger
	book    *book.Book
	voices  voice.Voices // the house's own for the channel, the line's own for answers
	houses  houses
	ledger  keeper
	keep    time.Duration // how long its log and its records are kept
	desk    *desk.Desk
	bell    *bell.Bell
	runner  *runner.Runner
	door    door
	chat    *chat.Chat // the door, when it is Slack's
	crews   *crews
	metrics *metrics.Metrics
	server  *http.Server
	socket  net.Listener
	ready   atomic.Bool

	troubles troubles

	cleanups []cleanup // undone in reverse
}

// cleanup is one named step of stopping.
type cleanup struct {
	name string
	stop func(context.Context) error
}

// keeper is a ledger as the app uses it; both kinds are one.
type keeper interface {
	desk.Ledger
	bell.Ledger
	runner.Ledger
	// Lines, Day and Record give what was kept of a kitchen's past.
	Lines(ctx context.Context, day time.Time, limit int) ([]kitchen.Line, error)
	Day(ctx context.Context, kitchen, day string) ([]uint32, error)
	Record(ctx context.Context, kitchen string, batch uint32) ([]byte, error)
	// Rewrite writes anew what stands in the log and the records of a kitchen.
	Rewrite(ctx context.Context, kitchen string, with ledger.Rewriting) (changed int, err error)
	Ping(ctx context.Context) error
	Close() error
}

// door is where people are heard and shown messages.
type door interface {
	runner.Poster
	Handler() http.Handler
	LastHeard() time.Time
	Close(ctx context.Context) error
}

// stagger is how long after a due moment each further replica looks for it.
const stagger = 25 * time.Millisecond

// Option changes how an app is put together.
type Option func(*App)

// WithClock makes the app run on a clock of its own; the demo's is fast.
func WithClock(c *clock.Clock) Option { return func(a *App) { a.clock = c } }

// WithBook makes the app use a book that is already read.
func WithBook(b *book.Book) Option { return func(a *App) { a.book = b } }

// New puts the service together and opens its ledger and its port. A failure
// undoes what was opened.
func New(ctx context.Context, o Options, log *slog.Logger, options ...Option) (*App, error) {
	a := &App{opts: o, clock: clock.Wall(), log: log}
	for _, option := range options {
		option(a)
	}
	for _, step := range []func(context.Context) error{a.openHouse, a.openLedger, a.openRooms, a.openPort} {
		if err := step(ctx); err != nil {
			return nil, errors.Join(err, a.close(ctx))
		}
	}
	return a, nil
}

// openHouse reads the book and finds the kitchens.
func (a *App) openHouse(context.Context) (err error) {
	if a.book == nil {
		if a.book, err = openBook(a.opts.Book); err != nil {
			return err
		}
	}
	if err := mayServe(a.book); err != nil {
		return err
	}
	for _, f := range plan.CheckBook(a.book) {
		a.log.Warn("book finding", "kind", string(f.Code), "key", f.What, "reason", f.Said)
	}
	if a.houses, err = a.opts.houses(); err != nil {
		return err
	}
	a.metrics = metrics.New(metrics.Config{
		Phases: phases(), Open: a.openByPhase, LastHeard: a.lastHeard, SocketHeard: a.socketHeard,
	})
	a.troubles = troubles{gauge: a.metrics.Trouble, now: a.clock.Now, log: a.log}
	return nil
}

// openLedger opens the ledger that the options name.
func (a *App) openLedger(ctx context.Context) (err error) {
	if a.keep, err = a.opts.keep(); err != nil {
		return err
	}
	if path, ok := strings.CutPrefix(a.opts.Ledger, "file:"); ok {
		a.ledger, err = a.openFile(path)
	} else {
		a.ledger, err = ledger.DialRedis(ctx, ledger.RedisConfig{
			URL: a.opts.Ledger, Cluster: a.opts.Partitions > 1, Partitions: a.opts.Partitions, Keep: a.keep,
			Log: a.log, Observe: a.metrics,
		})
	}
	if err != nil {
		return fmt.Errorf("open ledger: %w", err)
	}
	a.onStop("ledger", func(context.Context) error { return a.ledger.Close() })
	return nil
}

// openFile opens the ledger in a file.
func (a *App) openFile(path string) (keeper, error) {
	file, err := ledger.OpenFile(path, a.clock.Now)
	if err != nil {
		return nil, err
	}
	file.Observe(a.metrics)
	file.KeepFor(a.keep)
	return file, nil
}

// openRooms wires the desk, the bell, the door to the people and the runner.
func (a *App) openRooms(context.Context) error {
	zone, err := zoneOf(a.book)
	if err != nil {
		return err
	}
	if a.voices, err = voice.NewVoices(a.book.House.Language, zone); err != nil {
		return err
	}
	a.desk = desk.New(desk.Config{
		Ledger: a.ledger, Book: a.book, Zone: zone, Teams: a.houses.teams, Clock: a.clock, Log: a.log,
		Rang: a.metrics.Rang, Archive: a.ledger, Keep: a.keep,
	})
	a.crews = newCrews(a.opts.roles(), a.houses.teams, a.desk.SetTeams, a.log)
	a.bell = bell.New(bell.Config{
		Ledger: a.ledger, Desk: a.desk, Clock: a.clock, Log: a.log, Observe: a.metrics,
		Stagger: time.Duration(a.opts.Replica) * stagger,
	})
	if err := a.openDoor(); err != nil {
		return err
	}
	host, err := os.Hostname()
	if err != nil {
		host = "ventbell"
	}
	c := runner.Config{
		Ledger: a.ledger, Poster: a.door, Word: a.word, Collapse: a.collapse, Repeat: a.voices.Repeat, Stuck: a.stuck,
		Clock: a.clock, Log: a.log, Observe: a.metrics,
		Holder: host + "-" + strconv.Itoa(os.Getpid()) + "-" + strconv.Itoa(a.opts.Replica), Lease: a.opts.Lease,
	}
	if a.chat != nil {
		c.Scheduler = a.chat
		if a.opts.Replies { // else the scope to look is not there
			c.Finder = a.chat
		}
	}
	a.runner = runner.New(c)
	return nil
}

// openDoor opens the door that the options name.
func (a *App) openDoor() (err error) {
	if a.opts.Transport == "webhook" {
		a.door, err = a.openHatch()
		return err
	}
	a.chat, err = chat.New(chat.Config{
		Token: a.opts.BotToken, AppToken: a.opts.AppToken, Secret: a.opts.Secret, API: a.opts.SlackAPI,
		Kitchens: a.houses.kitchens, Desk: a.desk, Voice: a.voices, Now: a.clock.Now, Metrics: a.metrics, Log: a.log,
		Guests: true, Regroup: a.crews.want,
	})
	a.door = a.chat
	return err
}

// openHatch opens the door to a chat server that knows webhooks and slash
// commands only.
func (a *App) openHatch() (*hatch.Hatch, error) {
	webhooks, err := a.opts.webhooks()
	if err != nil {
		return nil, err
	}
	homes, names := map[string]string{}, map[string]string{}
	for id, team := range a.houses.teams {
		homes[id] = team.Channel
		for _, p := range team.Managers {
			names[p.ID] = p.Name
		}
	}
	return hatch.New(hatch.Config{
		Token: a.opts.CommandToken, Webhooks: webhooks, Kitchens: a.houses.kitchens, Homes: homes, Names: names,
		Desk: a.desk, Voice: a.voices, Now: a.clock.Now, Metrics: a.metrics, Log: a.log,
	})
}

// openPort opens the port for health, metrics and the HTTP transport.
func (a *App) openPort(ctx context.Context) (err error) {
	a.socket, err = (&net.ListenConfig{}).Listen(ctx, "tcp", a.opts.Listen)
	if err != nil {
		return fmt.Errorf("open port: %w", err)
	}
	a.server = &http.Server{
		Handler: a.routes(), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second,
		WriteTimeout: 30 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 64 << 10,
		ErrorLog: slog.NewLogLogger(a.log.Handler(), slog.LevelDebug),
	}
	a.onStop("port", a.server.Shutdown)
	return nil
}

// Address is where the port is open.
func (a *App) Address() string { return a.socket.Addr().String() }

// Run serves until ctx ends or something fails for good, then stops in order:
// nothing new comes in, what came in is answered, the bell and the runner
// finish what is in hand, the port closes, the ledger closes. Until the port
// closes whoever asks is told that we are stopping. It is bounded in time.
func (a *App) Run(ctx context.Context) error {
	loops, stopLoops := context.WithCancel(context.WithoutCancel(ctx))
	defer stopLoops()
	hearing, stopHearing := context.WithCancel(ctx)
	defer stopHearing()

	if a.chat != nil {
		a.crews.read(ctx, a.chat)
	}
	failed := make(chan error, 4)
	var inner, outer, port sync.WaitGroup
	inner.Go(func() { failed <- a.bell.Run(loops) })
	inner.Go(func() { failed <- a.runner.Run(loops) })
	if a.chat != nil {
		inner.Go(func() { a.crews.keep(loops, a.chat) })
	}
	inner.Go(func() { a.keepForgetting(loops) })
	port.Go(func() { failed <- a.serveHTTP() })
	if a.opts.Transport == "socket" {
		outer.Go(func() { failed <- a.chat.RunSocket(hearing) })
	}
	a.ready.Store(true)
	a.log.Info("serving", "address", a.Address(), "transport", a.opts.Transport, "kitchens", len(a.houses.teams))

	var err error
	select {
	case <-ctx.Done():
	case err = <-failed:
	}
	a.ready.Store(false)
	a.log.Info("stopping")
	bounded, cancel := context.WithTimeout(context.WithoutCancel(ctx), a.opts.StopAfter)
	defer cancel()
	a.onStop("loops", func(context.Context) error { stopLoops(); inner.Wait(); return nil })
	a.onStop("door", a.door.Close)
	a.onStop("hearing", func(context.Context) error { stopHearing(); outer.Wait(); return nil })
	err = errors.Join(err, a.close(bounded))
	port.Wait()
	return err
}

func (a *App) serveHTTP() error {
	if err := a.server.Serve(a.socket); !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("serve HTTP: %w", err)
	}
	return nil
}

func (a *App) onStop(name string, stop func(context.Context) error) {
	a.cleanups = append(a.cleanups, cleanup{name, stop})
}

// close undoes what was opened, in reverse, and says which step failed.
func (a *App) close(ctx context.Context) error {
	var errs []error
	for _, c := range slices.Backward(a.cleanups) {
		done := make(chan error, 1)
		go func() { done <- c.stop(ctx) }()
		select {
		case err := <-done:
			if err != nil {
				errs = append(errs, fmt.Errorf("stop %s: %w", c.name, err))
			}
		case <-ctx.Done():
			errs = append(errs, fmt.Errorf("stop %s: %w", c.name, ctx.Err()))
		}
	}
	a.cleanups = nil
	return errors.Join(errs...)
}

// word puts an outbox entry into words from its kitchen's present state.
func (a *App) word(s kitchen.State, e kitchen.Entry, now time.Time) (voice.Message, string, error) {
	k, err := kitchen.Decode("", s.Fields)
	if err != nil {
		return voice.Message{}, "", fmt.Errorf("word %s: %w", e.Key, err)
	}
	_, sent := s.Sent[e.Key]
	m, reason := a.voices.Entry(k, e, sent, now)
	return m, reason, nil
}

// collapse words calls that an outage held up as one message.
func (a *App) collapse(s kitchen.State, held []kitchen.Entry, now time.Time) (voice.Message, bool) {
	k, err := kitchen.Decode("", s.Fields)
	if err != nil {
		return voice.Message{}, false // one by one they say what is wrong
	}
	return a.voices.Outage(k, held, now)
}

// phases names the phases for the metrics.
func phases() []string {
	var names []string
	for _, p := range kitchen.Phases() {
		names = append(names, string(p))
	}
	return names
}

// openByPhase counts the open batches of all kitchens, for the metrics.
func (a *App) openByPhase() (map[string]int, error) {
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	counts := map[string]int{}
	for id := range a.houses.teams {
		state, err := a.ledger.Peek(ctx, id)
		if err != nil {
			return nil, fmt.Errorf("count open batches: %w", err)
		}
		k, err := kitchen.Decode(id, state.Fields)
		if err != nil {
			return nil, err
		}
		for _, b := range k.Batches {
			counts[string(b.Phase)]++
		}
	}
	return counts, nil
}

// lastHeard is when the platform was last heard, for the metrics.
func (a *App) lastHeard() time.Time {
	if a.door == nil {
		return time.Time{}
	}
	return a.door.LastHeard()
}

// socketHeard is when each standing connection was last heard, for the metrics.
func (a *App) socketHeard() []time.Time {
	if a.chat == nil || a.opts.Transport != "socket" {
		return nil
	}
	return a.chat.SocketHeard()
}
