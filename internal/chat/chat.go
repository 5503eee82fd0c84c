// Package chat is the door to Slack. In: it verifies, decodes and acknowledges
// what people say and tap, over signed HTTP or over Socket Mode, and hands it
// on in the order it came. Out: it draws a voice.Message as blocks with the
// same words as plain text, posts it and edits it. It decides nothing about
// batches, holds no sentence of its own, and keeps no outbox: pace, order and
// repeats belong to the runner.
package chat

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/slack-go/slack"

	"ventbell/internal/book"
	"ventbell/internal/desk"
	"ventbell/internal/door"
	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// Desk carries out what somebody asked.
type Desk interface {
	Heard(ctx context.Context, kitchen string, cmd kitchen.Command) (desk.Reply, error)
	// Look gives a kitchen as it is, for somebody's own page.
	Look(ctx context.Context, kitchen string) (desk.Reply, error)
}

// Voice puts into words what came of it.
type Voice interface {
	Answer(k *kitchen.Kitchen, a kitchen.Answer) voice.Message
	// Form words a form that an answer opens.
	Form(k *kitchen.Kitchen, b *book.Book, a kitchen.Answer) voice.Form
	// Home words somebody's own page.
	Home(k *kitchen.Kitchen, b *book.Book, p kitchen.Person, now time.Time) voice.Page
	NotSaved() voice.Message
	Broken() voice.Message
	NoKitchen() voice.Message
	// TooLate says that a form could not be opened any more.
	TooLate() voice.Message
	// Edited says that an edited line is not read again.
	Edited() voice.Message
}

// Metrics counts what goes in and out. All labels come from fixed lists.
type Metrics interface {
	// Called reports one call of a Slack method.
	Called(method, outcome string, took time.Duration)
	// Heard reports one thing that arrived: how it came, what became of it.
	Heard(kind, outcome string)
}

// Config is what the door needs.
type Config struct {
	Token    string            // the bot's token
	AppToken string            // the app-level token; only for RunSocket
	Secret   string            // the signing secret; only for Handler
	API      string            // where the methods are; empty = Slack itself
	Client   *http.Client      // for calls out; nil = one that gives up after ten seconds
	Kitchens map[string]string // a channel's id to its kitchen
	Desk     Desk
	Voice    Voice
	// Guests has Slack asked, once for everybody who speaks, whether they are a guest
	// of the workspace.
	Guests bool
	// Regroup is called when Slack says that a group of people changed; nil = nobody
	// wants to know.
	Regroup func()
	// Patience is how long an acknowledgement waits for the outcome, from
	// receipt; 0 = 2.5 s. Slack waits for three seconds.
	Patience time.Duration
	Sockets  int              // connections that RunSocket keeps open; 0 = 2
	Now      func() time.Time // nil = time.Now; signatures are checked against it
	Metrics  Metrics          // nil = not counted
	Log      *slog.Logger     // nil = not logged
}

const (
	patience = 2500 * time.Millisecond // Slack gives up at 3 s
	// callLimit is for one call to Slack. A call that takes longer is as good
	// as lost, and the runner asks again.
	callLimit = 10 * time.Second
	// handLimit is how many kitchens are at work at once.
	handLimit = 64
	// twoSockets: each of the two covers for the other while that is renewed.
	twoSockets = 2
)

// Chat is the door to one Slack workspace. It is safe for use by several
// goroutines.
type Chat struct {
	cfg    Config
	api    *slack.Client
	queues map[string]*queue // by kitchen; never changed after New
	hands  chan struct{}     // one for each kitchen at work
	lately sync.Map          // by person: the kitchen they last did something in
	once   *once
	homes  homes
	names  names
	places places
	us     us
	intake door.Intake

	lines   []*line
	apart   time.Duration // between opening one line and the next
	silence time.Duration // after which an open socket counts as dead

	// life ends when Close gives up waiting: what outlives its
	// acknowledgement runs under it. open ends when Close begins.
	life context.Context
	die  context.CancelFunc
	open context.Context
	shut context.CancelFunc
}

var _ runner.Poster = (*Chat)(nil)

// New makes the door; nothing is called before something comes in or goes out.
func New(cfg Config) (*Chat, error) {
	switch {
	case cfg.Desk == nil || cfg.Voice == nil:
		return nil, errors.New("make chat: no desk or no voice")
	case cfg.Token == "":
		return nil, errors.New("make chat: no bot token")
	}
	if cfg.Client == nil {
		cfg.Client = ownClient()
	}
	if cfg.Patience == 0 {
		cfg.Patience = patience
	}
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	if cfg.Metrics == nil {
		cfg.Metrics = door.Uncounted{}
	}
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.DiscardHandler)
	}
	c := &Chat{
		cfg: cfg, api: newAPI(cfg), queues: map[string]*queue{}, hands: make(chan struct{}, handLimit),
		once: newOnce(), homes: newHomes(), apart: apart, silence: silence,
	}
	c.life, c.die = context.WithCancel(context.Background())
	c.open, c.shut = context.WithCancel(c.life)
	for _, kitchen := range cfg.Kitchens {
		c.queues[kitchen] = &queue{}
	}
	for range cmp.Or(max(cfg.Sockets, 0), twoSockets) {
		c.lines = append(c.lines, &line{})
	}
	return c, nil
}

// ownClient has connections of its own: nobody else closes them under us.
func ownClient() *http.Client {
	return &http.Client{Timeout: callLimit, Transport: http.DefaultTransport.(*http.Transport).Clone()}
}

// newAPI gives the library's client; nothing is called yet. No retry option:
// waiting and asking again belong to the runner, and a repeat below it could
// post twice.
func newAPI(cfg Config) *slack.Client {
	options := []slack.Option{slack.OptionHTTPClient(cfg.Client), slack.OptionAppLevelToken(cfg.AppToken)}
	if cfg.API != "" {
		// The library joins this and the method's name as they stand.
		options = append(options, slack.OptionAPIURL(strings.TrimSuffix(cfg.API, "/")+"/"))
	}
	return slack.New(cfg.Token, options...)
}

// LastHeard is when something last came from Slack; zero if nothing has.
func (c *Chat) LastHeard() time.Time { return c.intake.LastHeard() }

// Close takes nothing more in and waits until everything that was taken in is
// carried out and answered, or until ctx ends; then it lets go of the rest.
func (c *Chat) Close(ctx context.Context) error {
	c.intake.Shut()
	defer c.die()
	c.shut()
	if err := c.intake.Drain(ctx); err != nil {
		return fmt.Errorf("close chat: %w", err)
	}
	return nil
}

// begin notes that something was taken in; the caller calls c.intake.Done when
// it is through with it. It is false once the door is closed.
func (c *Chat) begin() bool { return c.intake.Begin(c.cfg.Now()) }

// later runs f beside its caller, who is inside begin; Close waits for it.
func (c *Chat) later(f func()) { c.intake.Go(f) }
