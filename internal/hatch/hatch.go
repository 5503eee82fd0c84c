// Package hatch is the plain door, for a chat server that knows only the
// oldest part of Slack's ways: slash commands come in as form posts with a
// token, messages go out to one incoming webhook a channel, as plain text.
// Nothing can be edited, threaded, tapped or whispered there; what would be a
// button is a line to type. It decides nothing about batches, holds no sentence
// of its own, and keeps no outbox: pace, order and repeats belong to the
// runner.
package hatch

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"sync"
	"time"

	"ventbell/internal/desk"
	"ventbell/internal/door"
	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// Desk carries out what somebody asked.
type Desk interface {
	Heard(ctx context.Context, kitchen string, cmd kitchen.Command) (desk.Reply, error)
}

// Voice puts into words what came of it.
type Voice interface {
	Answer(k *kitchen.Kitchen, a kitchen.Answer) voice.Message
	Slip(k *kitchen.Kitchen, b *kitchen.Batch) voice.Message
	NotSaved() voice.Message
	Broken() voice.Message
	NoKitchen() voice.Message
}

// Metrics counts what goes in and out. All labels come from fixed lists.
type Metrics interface {
	// Called reports one message out.
	Called(method, outcome string, took time.Duration)
	// Heard reports one thing that arrived: how it came, what became of it.
	Heard(kind, outcome string)
}

// Config is what the hatch needs. All but Names, Client, Patience, Now,
// Metrics and Log must be given.
type Config struct {
	Token    string            // what the server sends with each command
	Webhooks map[string]string // a channel's id to where its messages go; whoever has such an address can post
	Kitchens map[string]string // a channel's id to its kitchen
	Homes    map[string]string // a kitchen to the channel that its calls go to
	Names    map[string]string // a person's id to their name, as far as it is known
	Desk     Desk
	Voice    Voice
	Client   *http.Client // for posts; nil = one that gives up after ten seconds
	// Patience is how long a command waits for its outcome, from receipt;
	// 0 = 2.5 s. The servers meant here wait for three seconds or longer.
	Patience time.Duration
	Now      func() time.Time // nil = time.Now
	Metrics  Metrics          // nil = not counted
	Log      *slog.Logger     // nil = not logged
}

const (
	patience  = 2500 * time.Millisecond
	postLimit = 10 * time.Second // for one post
	// atOnce is how many commands may be under way. A crew types a few a
	// minute; more means that nothing is being carried out.
	atOnce = 256
)

// Hatch is the door to one chat server. It is safe for use by several
// goroutines.
type Hatch struct {
	cfg    Config
	hosts  map[string]bool // where answers may be sent later
	names  sync.Map        // a person's id to their name, as last heard
	recent recent
	busy   chan struct{} // one for each command under way
	intake door.Intake

	// life ends when Close gives up waiting.
	life context.Context
	die  context.CancelFunc
}

var _ runner.Poster = (*Hatch)(nil)

// New makes the hatch; nothing is called before something comes in or goes out.
func New(cfg Config) (*Hatch, error) {
	switch {
	case cfg.Desk == nil || cfg.Voice == nil:
		return nil, errors.New("make hatch: no desk or no voice")
	case cfg.Token == "":
		return nil, errors.New("make hatch: no token, so anybody could command")
	}
	h := &Hatch{cfg: cfg, hosts: map[string]bool{}, busy: make(chan struct{}, atOnce)}
	for channel, where := range cfg.Webhooks {
		u, err := url.Parse(where)
		if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
			// The address itself is a secret.
			return nil, fmt.Errorf("make hatch: the webhook of channel %s is no web address", channel)
		}
		h.hosts[u.Host] = true
	}
	for id, name := range cfg.Names {
		h.names.Store(id, name)
	}
	if h.cfg.Client == nil {
		// Connections of our own: nobody else closes them under us.
		h.cfg.Client = &http.Client{
			Timeout: postLimit, Transport: http.DefaultTransport.(*http.Transport).Clone(),
			// A post that is sent elsewhere arrives as something else.
			CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		}
	}
	if h.cfg.Patience == 0 {
		h.cfg.Patience = patience
	}
	if h.cfg.Now == nil {
		h.cfg.Now = time.Now
	}
	if h.cfg.Metrics == nil {
		h.cfg.Metrics = door.Uncounted{}
	}
	if h.cfg.Log == nil {
		h.cfg.Log = slog.New(slog.DiscardHandler)
	}
	h.life, h.die = context.WithCancel(context.Background())
	return h, nil
}

// LastHeard is when something last came from the server; zero if nothing has.
func (h *Hatch) LastHeard() time.Time { return h.intake.LastHeard() }

// Close takes nothing more in and waits until everything that was taken in is
// carried out and answered, or until ctx ends; then it lets go of the rest.
func (h *Hatch) Close(ctx context.Context) error {
	h.intake.Shut()
	defer h.die()
	if err := h.intake.Drain(ctx); err != nil {
		return fmt.Errorf("close hatch: %w", err)
	}
	return nil
}
