package chat

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"sync"
	"time"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/socketmode"
)

const (
	// ackLimit is for handing over one acknowledgement; while the connection
	// is down nobody takes it.
	ackLimit = 2 * time.Second
	// lastWords is how long the connection stays after the last
	// acknowledgement was handed over: the library does not say when it left.
	lastWords = 200 * time.Millisecond
	// frameLimit is for one message on the socket, in bytes.
	frameLimit = 4 << 20
)

// envelope is what everything comes in on the socket.
type envelope struct {
	ID      string          `json:"envelope_id"`
	Type    string          `json:"type"`
	Payload json.RawMessage `json:"payload"`
}

// RunSocket takes what Slack sends over Socket Mode, until ctx ends or Slack
// turns us away for good. It returns when everything taken in has been
// acknowledged.
func (c *Chat) RunSocket(ctx context.Context) error {
	if c.cfg.AppToken == "" {
		return errors.New("run socket: no app-level token")
	}
	c.self()
	s := socketmode.New(c.api, socketmode.OptionReadLimit(frameLimit))
	// The connection outlives ctx, so that what was taken in can still be
	// acknowledged on it.
	line, hangUp := context.WithCancel(context.WithoutCancel(ctx))
	defer hangUp()
	ended := make(chan error, 1)
	go func() { ended <- s.RunContext(line) }()
	var open sync.WaitGroup
	for {
		select {
		case e := <-s.Events:
			c.socketEvent(s, e, &open)
		case err := <-ended:
			return fmt.Errorf("run socket: %w", err)
		case <-ctx.Done():
			open.Wait()
			pause(line, lastWords)
			hangUp()
			if err := <-ended; !errors.Is(err, context.Canceled) {
				return fmt.Errorf("run socket: %w", err)
			}
			return nil
		}
	}
}

// socketEvent handles one event of the library's. Its own decoding is not
// used: what it cannot read it does not acknowledge, and Slack would send that
// again and again.
func (c *Chat) socketEvent(s *socketmode.Client, e socketmode.Event, open *sync.WaitGroup) {
	var in envelope
	switch data := e.Data.(type) {
	case *socketmode.ErrorBadMessage:
		if err := json.Unmarshal(data.Message, &in); err != nil {
			c.cfg.Metrics.Heard("socket", "unreadable")
			return
		}
	case *slack.ConnectionErrorEvent:
		c.cfg.Log.Warn("Slack's socket does not open", "attempt", data.Attempt,
			"reason", refuse(data.ErrorObj, false).Reason)
	case *socketmode.ErrorWriteFailed:
		c.cfg.Metrics.Heard("socket", "unacknowledged")
	case *socketmode.ConnectedEvent:
		c.cfg.Log.Info("Slack's socket is open")
	}
	if e.Request != nil {
		in = envelope{ID: e.Request.EnvelopeID, Type: e.Request.Type, Payload: e.Request.Payload}
	}
	if in.ID == "" || !c.begin() {
		return
	}
	received := time.Now()
	a, err := c.open(in)
	if err != nil {
		c.spoiled("socket", a, err)
	}
	ack := func(words *sheet) bool { return c.ack(s, in.ID, words) }
	// What is heard keeps its order; what waits for it does not hold it up.
	settle := func() { ack(nil) }
	if a != nil && err == nil {
		a.received = received
		h, repeat := c.hear(*a)
		settle = func() { c.settle(*a, h, repeat, ack) }
	}
	open.Go(func() {
		defer c.work.Done()
		settle()
	})
}

// open reads what an envelope holds; nil if it is nothing for us.
func (c *Chat) open(in envelope) (*ask, error) {
	switch in.Type {
	case socketmode.RequestTypeSlashCommands:
		var cmd slashCommand
		if err := json.Unmarshal(in.Payload, &cmd); err != nil {
			return nil, fmt.Errorf("decode slash command: %w", err)
		}
		return cmd.ask(c.cfg.Now())
	case socketmode.RequestTypeInteractive:
		return decodeTap(in.Payload, c.cfg.Now())
	case socketmode.RequestTypeEventsAPI:
		var cb callback
		if err := json.Unmarshal(in.Payload, &cb); err != nil {
			return nil, fmt.Errorf("decode event: %w", err)
		}
		return c.decodeCallback(cb)
	}
	return nil, fmt.Errorf("open envelope: unknown type %q", in.Type)
}

// ack acknowledges one envelope, with words if there are any. It is false if
// they could not go along: no connection, or more than a socket may carry.
func (c *Chat) ack(s *socketmode.Client, id string, words *sheet) bool {
	ctx, cancel := context.WithTimeout(c.life, ackLimit)
	defer cancel()
	if words != nil && words.text != "" {
		if s.AckCtx(ctx, id, words.note("")) == nil {
			return true
		}
	}
	if err := s.AckCtx(ctx, id, nil); err != nil {
		c.cfg.Metrics.Heard("socket", "unacknowledged")
		return false
	}
	return words != nil && words.text == ""
}
