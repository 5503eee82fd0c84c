// Package practice is a practice room: a strict double of the parts of Slack's
// protocol that this service uses, a plain page on loopback to type and tap in,
// and a Go API by which tests and the demo act as the crew. The service speaks
// to it over the real wire, Socket Mode or signed HTTP, with nothing mocked.
// Where Slack is lenient or says nothing, the room takes the strict side. It
// keeps everything in memory, knows messages, direct messages, threads,
// buttons, forms, shortcuts, each person's own page and messages for later (no
// files, menus in messages or private channels), and knows nothing of batches.
package practice

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"slices"
	"sync"
	"time"

	"ventbell/internal/clock"
)

// Config says how a room is set up. The zero value is a room at the world's
// time that speaks Socket Mode.
type Config struct {
	Clock *clock.Clock   // message times, limits, retries, signatures; nil = the world's
	Log   *slog.Logger   // nil = silent
	Zone  *time.Location // the people's time zone; nil = UTC

	BotToken      string   // empty = "xoxb-practice"
	AppToken      string   // empty = "xapp-practice"
	SigningSecret string   // empty = "practice-signing-secret"
	Scopes        []string // the bot token's; nil = DefaultScopes

	// RequestURL is where signed HTTP requests go; empty = Socket Mode.
	// Commands and taps go to the same place unless they have their own.
	RequestURL, CommandURL, ActionURL string

	Name         string   // the bot's; empty = "bell"
	Commands     []string // the slash commands there are; nil = "/bell"
	ShouldEscape bool     // names typed after a slash command arrive as <@U1|name>

	Shortcuts        []Shortcut // those that stand anywhere
	MessageShortcuts []Shortcut // those on a message
	DelayedEvents    bool       // events are tried on, once an hour for a day

	BaseURL   string        // where the handler is served, for links; Start sets it
	PingEvery time.Duration // between a socket's pings, world time; 0 = 5 s
	AckWithin time.Duration // for an acknowledgement, world time; 0 = 3 s, Slack's figure
}

// DefaultScopes gives the scopes of a bot that hears mentions, direct messages
// and its channels, and posts.
func DefaultScopes() []string {
	return []string{
		"app_mentions:read", "channels:history", "channels:read", "chat:write",
		"commands", "im:history", "im:read", "im:write", "users:read",
	}
}

// Fixed ids of the room's one workspace.
const (
	teamID     = "T00000001"
	teamName   = "Practice"
	teamDomain = "practice"
	appID      = "A00000001"
	botID      = "B00000001"
	botUser    = "U00000000"
)

// Room is a practice room. Its methods may be called from several goroutines.
type Room struct {
	cfg    Config
	server *http.Server
	client *http.Client
	ctx    context.Context
	cancel context.CancelFunc

	mu      sync.Mutex
	closed  bool
	work    sync.WaitGroup
	serial  int
	lastTS  int64 // in microseconds; every message has its own
	people  []person
	groups  map[string][]string // of people, by their ids
	rooms   []*channel
	changes []Change
	changed chan struct{} // closed and made anew at each change

	links   []*link
	turn    int // whose turn it is among links
	joined  chan struct{}
	tickets map[string]time.Time
	awaited map[string]chan json.RawMessage // by envelope

	outside *outside // a page of the service behind the room
	replies map[string]*replyURL
	pace    map[string]*bucket // by method
	faults  []*armed
	counts  Counts
	seen    map[string]bool // what was posted, to know doubles

	faces    map[string]*face // by person
	triggers map[string]*trigger
	later    []*later // messages that wait for their time
	down     bool     // nothing gets through
	revoked  bool     // the tokens are
}

type person struct {
	id, name, team string
	restricted     bool // a guest of the workspace
}

// New makes a room with nobody in it.
func New(cfg Config) *Room {
	if cfg.Clock == nil {
		cfg.Clock = clock.Wall()
	}
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.DiscardHandler)
	}
	if cfg.Zone == nil {
		cfg.Zone = time.UTC
	}
	if cfg.Scopes == nil {
		cfg.Scopes = DefaultScopes()
	}
	if cfg.Commands == nil {
		cfg.Commands = []string{"/bell"}
	}
	fill(&cfg.BotToken, "xoxb-practice")
	fill(&cfg.AppToken, "xapp-practice")
	fill(&cfg.SigningSecret, "practice-signing-secret")
	fill(&cfg.Name, "bell")
	fill(&cfg.CommandURL, cfg.RequestURL)
	fill(&cfg.ActionURL, cfg.RequestURL)
	fill(&cfg.PingEvery, 5*time.Second)
	fill(&cfg.AckWithin, 3*time.Second)

	ctx, cancel := context.WithCancel(context.Background())
	return &Room{
		cfg: cfg, ctx: ctx, cancel: cancel, client: newClient(),
		people:   []person{{id: botUser, name: cfg.Name, team: teamID}},
		groups:   map[string][]string{},
		changed:  make(chan struct{}),
		joined:   make(chan struct{}),
		tickets:  map[string]time.Time{},
		awaited:  map[string]chan json.RawMessage{},
		replies:  map[string]*replyURL{},
		pace:     map[string]*bucket{},
		counts:   Counts{Refused: map[string]int{}},
		seen:     map[string]bool{},
		faces:    map[string]*face{},
		triggers: map[string]*trigger{},
	}
}

func fill[T comparable](field *T, otherwise T) {
	if *field == *new(T) {
		*field = otherwise
	}
}

// Start serves the room on l until Close.
func (r *Room) Start(l net.Listener) {
	r.cfg.BaseURL = "http://" + l.Addr().String()
	r.server = &http.Server{Handler: r.Handler(), ReadHeaderTimeout: 5 * time.Second}
	r.spawn(func() {
		if err := r.server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
			r.cfg.Log.Error("practice room stopped serving", "err", err)
		}
	})
}

// Close ends all connections and waits for what runs.
func (r *Room) Close() {
	r.mu.Lock()
	r.closed = true
	r.mu.Unlock()
	r.cancel()
	r.DropSockets()
	if r.server != nil {
		_ = r.server.Close()
	}
	r.work.Wait()
}

// spawn runs f and has Close wait for it.
func (r *Room) spawn(f func()) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.closed {
		r.work.Go(f)
	}
}

// Config gives the room's set-up with everything filled in: the tokens and the
// secret that the service needs.
func (r *Room) Config() Config {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.cfg
}

// APIURL is the base of the Web API, with the closing slash that slack-go needs.
func (r *Room) APIURL() string { return r.cfg.BaseURL + "/api/" }

// BotID gives the bot's id as a person.
func (r *Room) BotID() string { return botUser }

// AddPerson gives the id of the person with that name, new or known.
func (r *Room) AddPerson(name string) string { return r.add(name, teamID) }

// AddGuest is AddPerson for somebody of another workspace, by its id, with
// which the channels they join are shared.
func (r *Room) AddGuest(name, team string) string { return r.add(name, team) }

func (r *Room) add(name, team string) string {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, p := range r.people {
		if p.name == name {
			return p.id
		}
	}
	id := fmt.Sprintf("U%08d", len(r.people))
	r.people = append(r.people, person{id: id, name: name, team: team})
	return id
}

// AddChannel gives the id of the channel with that name, new or known. A new
// one is empty.
func (r *Room) AddChannel(name string) string {
	r.mu.Lock()
	defer r.mu.Unlock()
	n := 1
	for _, ch := range r.rooms {
		if ch.name == name {
			return ch.id
		}
		if ch.direct == "" {
			n++
		}
	}
	ch := newChannel(fmt.Sprintf("C%08d", n))
	ch.name = name
	r.rooms = append(r.rooms, ch)
	return ch.id
}

// Join has everybody known so far join the channel, and the bot too if asked.
func (r *Room) Join(channel string, botToo bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	ch := r.channel(channel)
	if ch == nil {
		return
	}
	for _, p := range r.people {
		if (p.id != botUser || botToo) && !ch.has(p.id) {
			ch.members = append(ch.members, p.id)
		}
	}
}

// Direct gives the id of the direct message between a person and the bot;
// empty for nobody.
func (r *Room) Direct(person string) string {
	r.mu.Lock()
	defer r.mu.Unlock()
	ch := r.direct(person)
	if ch == nil {
		return ""
	}
	return ch.id
}

// The lower-case finders want r.mu held.

func (r *Room) direct(person string) *channel {
	if r.name(person) == "" || person == botUser {
		return nil
	}
	id := "D" + person[1:]
	if ch := r.channel(id); ch != nil {
		return ch
	}
	ch := newChannel(id)
	ch.direct, ch.members = person, []string{person, botUser}
	r.rooms = append(r.rooms, ch)
	return ch
}

func (r *Room) channel(id string) *channel {
	for _, ch := range r.rooms {
		if ch.id == id {
			return ch
		}
	}
	return nil
}

// team gives a person's workspace; of nobody it is the room's own.
func (r *Room) team(id string) string {
	for _, p := range r.people {
		if p.id == id {
			return p.team
		}
	}
	return teamID
}

// name gives a person's name, empty for nobody.
func (r *Room) name(id string) string {
	for _, p := range r.people {
		if p.id == id {
			return p.name
		}
	}
	return ""
}

// stamp gives the next message time, as Slack writes it and as it is: the
// clock's, in microseconds, and never the same twice.
func (r *Room) stamp() (string, time.Time) {
	r.lastTS = max(r.cfg.Clock.Now().UnixMicro(), r.lastTS+1)
	at := time.UnixMicro(r.lastTS).In(r.cfg.Zone)
	return stampOf(at), at
}

func stampOf(t time.Time) string {
	return fmt.Sprintf("%d.%06d", t.Unix(), t.Nanosecond()/1000)
}

// next gives a fresh id that starts with prefix.
func (r *Room) next(prefix string) string {
	r.serial++
	return fmt.Sprintf("%s%06d", prefix, r.serial)
}

func (r *Room) scoped(any ...string) bool {
	return slices.ContainsFunc(any, func(s string) bool { return slices.Contains(r.cfg.Scopes, s) })
}
