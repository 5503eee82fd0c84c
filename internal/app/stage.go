package app

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"strings"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/clock"
	"ventbell/internal/practice"
)

// stage is a practice room with the service behind it: everything real but
// the workspace.
type stage struct {
	clock   *clock.Clock
	room    *practice.Room
	channel string
	crew    map[string]string // role -> id
	opts    Options
	log     *slog.Logger
	zone    *time.Location
}

// crew is who is in the practice room: the scenario's roles, the manager first.
var crew = []string{"prep-lead", "bar-1", "bar-2", "larder", "pastry", "closer", "floor"}

// newStage opens a practice room on listen, with its page, and says in the
// options how the service reaches it.
func newStage(ctx context.Context, clk *clock.Clock, listen, data string, log *slog.Logger) (*stage, error) {
	zone, err := zoneOf(book.Sample())
	if err != nil {
		return nil, err
	}
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", listen)
	if err != nil {
		return nil, fmt.Errorf("open practice room: %w", err)
	}
	s := &stage{clock: clk, crew: map[string]string{}, log: log, zone: zone}
	s.room = practice.New(installed(newManifest("Ventbell", "", []feature{replies}), practice.Config{Clock: clk, Log: log, Zone: zone}))
	for _, role := range crew {
		s.crew[role] = s.room.AddPerson(role)
	}
	s.channel = s.room.AddChannel("prep")
	s.room.Join(s.channel, true)
	s.room.Start(l)
	s.opts, err = ReadOptions([]string{
		"VENTBELL_LEDGER=file:" + data,
		"VENTBELL_KITCHENS=main=" + s.channel,
		"VENTBELL_MANAGERS=" + s.crew["prep-lead"] + ":prep-lead",
		"VENTBELL_LISTEN=127.0.0.1:0",
		"VENTBELL_TRANSPORT=socket",
		"VENTBELL_BOT_TOKEN=" + s.room.Config().BotToken,
		"VENTBELL_APP_TOKEN=" + s.room.Config().AppToken,
		"VENTBELL_SLACK_API=" + s.room.APIURL(),
	})
	s.opts.wallOpen = true // on this host only, and nobody's real kitchen
	return s, err
}

// installed gives a room's set-up with the app of a manifest in it, as Slack
// has it once somebody pasted it.
func installed(m manifest, cfg practice.Config) practice.Config {
	cfg.Name, cfg.Scopes = m.Features.Bot.Name, m.OAuth.Scopes.Bot
	for _, c := range m.Features.Commands {
		cfg.Commands, cfg.ShouldEscape = append(cfg.Commands, c.Command), c.Escape
	}
	for _, s := range m.Features.Shortcuts {
		short := practice.Shortcut{ID: s.Callback, Name: s.Name}
		if s.Type == "message" {
			cfg.MessageShortcuts = append(cfg.MessageShortcuts, short)
		} else {
			cfg.Shortcuts = append(cfg.Shortcuts, short)
		}
	}
	return cfg
}

// open starts the service behind the room; the function it gives stops it and
// waits until it is stopped.
func (s *stage) open(ctx context.Context) (a *App, stop func() error, err error) {
	a, err = New(ctx, s.opts, s.log, WithClock(s.clock))
	if err != nil {
		return nil, nil, err
	}
	running, cancel := context.WithCancel(ctx)
	done := make(chan error, 1)
	go func() { done <- a.Run(running) }()
	stop = func() error {
		cancel()
		return <-done
	}
	if err := s.room.Connected(ctx, 1); err != nil {
		return nil, nil, fmt.Errorf("wait for the service: %w", errors.Join(err, stop()))
	}
	s.room.LinkTo("Wall", "http://"+a.Address()+"/wall")
	return a, stop, nil
}

// print writes what happens in the room until ctx ends: new messages as they
// come, edits marked as such, direct messages with whom they are for.
func (s *stage) print(ctx context.Context, w io.Writer) {
	for c := range s.room.Watch(ctx) {
		m := c.Message
		mark := "  "
		switch {
		case c.Kind == practice.Deleted:
			continue
		case c.Kind == practice.Edited:
			mark = " ~"
		case m.For != "":
			mark = " >" // only one person sees it
		}
		at := s.clock.Now().In(s.zone).Format("15:04:05")
		who := s.room.Name(m.Person)
		if m.Channel != s.channel {
			who += " (direct)"
		}
		if m.For != "" {
			who += " to " + s.room.Name(m.For)
		}
		lines := s.room.Lines(m)
		fmt.Fprintf(w, "%s%s %-12s %s\n", at, mark, who, strings.Join(lines, "\n"+strings.Repeat(" ", 24)))
	}
}
