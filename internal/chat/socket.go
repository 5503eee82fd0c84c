package chat

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"sync"
	"time"

	"ventbell/internal/runner"
)

const (
	// apart is how long after one line the next is opened, so that Slack does
	// not renew both at once.
	apart = 5 * time.Second
	// steady is how long a socket lasts that is no reason to wait before the
	// next; Slack does not like to be asked for sockets in a loop.
	steady = 2 * time.Second
	// redialMost is the longest wait before another try.
	redialMost = 30 * time.Second
)

// envelope is what everything comes in on the socket.
type envelope struct {
	ID      string          `json:"envelope_id"`
	Type    string          `json:"type"`
	Payload json.RawMessage `json:"payload"`
}

// noEnvelope is the type of what is none.
const noEnvelope = "none"

// RunSocket takes what Slack sends over Socket Mode, on several lines, until
// ctx ends. It returns when everything taken in has been acknowledged; with an
// error if Slack turns us away at the first try. Turned away later it keeps
// trying: calls go out with another token, and must not end with this one.
func (c *Chat) RunSocket(ctx context.Context) error {
	if c.cfg.AppToken == "" {
		return errors.New("run socket: no app-level token")
	}
	c.self()
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	ended := make(chan error, len(c.lines))
	for i, l := range c.lines {
		go func() {
			if pause(ctx, time.Duration(i)*c.apart) {
				ended <- c.keepLine(ctx, l)
			} else {
				ended <- nil
			}
		}()
	}
	var first error
	for range c.lines {
		if err := <-ended; err != nil && first == nil {
			first = fmt.Errorf("run socket: %w", err)
			stop()
		}
	}
	return first
}

// keepLine keeps a socket open until ctx ends.
func (c *Chat) keepLine(ctx context.Context, l *line) error {
	var sockets sync.WaitGroup
	defer sockets.Wait()
	for tries := 0; ctx.Err() == nil; {
		s, err := c.dial(ctx, l)
		if err != nil {
			if ctx.Err() == nil && turnedAway(err) && !c.everOpen() {
				return err
			}
			tries++
			c.redial(ctx, tries, err)
			continue
		}
		c.cfg.Log.Info("Slack's socket is open")
		sockets.Go(func() {
			if err := s.listen(ctx, func(in envelope) { c.socketEvent(s, in) }); err != nil {
				c.cfg.Log.Info("Slack's socket is closed", "err", err)
			}
		})
		<-s.leaving
		if time.Since(s.opened) >= steady {
			tries = 0
			continue
		}
		tries++
		pause(ctx, redialAfter(tries))
	}
	return nil
}

// redial waits before another try to open a socket.
func (c *Chat) redial(ctx context.Context, tries int, err error) {
	wait, reason := redialAfter(tries), "unknown"
	if r, ok := errors.AsType[*runner.Refusal](err); ok {
		wait, reason = max(wait, r.After), r.Reason
	}
	if ctx.Err() == nil {
		c.cfg.Log.Warn("Slack's socket does not open", "attempt", tries, "reason", reason)
	}
	pause(ctx, wait)
}

// redialAfter is a second, doubled with each try, up to a limit; a part of it
// is left to chance, so that many do not come at once.
func redialAfter(tries int) time.Duration {
	wait := min(time.Second<<min(tries-1, 10), redialMost)
	return wait/2 + rand.N(wait/2)
}

// turnedAway says that another try can't help: the token is wrong, or this is
// not Slack.
func turnedAway(err error) bool {
	r, ok := errors.AsType[*runner.Refusal](err)
	return ok && (!r.Retry || r.Reason == tokenRefused || r.Reason == scopeMissing || r.Reason == notAllowed)
}

// everOpen says that Slack let us in before.
func (c *Chat) everOpen() bool {
	for _, l := range c.lines {
		if l.heard.Load() != 0 {
			return true
		}
	}
	return false
}

// Connected says that Slack can reach us over at least one socket.
func (c *Chat) Connected() bool {
	for _, l := range c.lines {
		if l.open.Load() > 0 {
			return true
		}
	}
	return false
}

// SocketHeard gives, for each line, when anything last came on it, if only a
// ping; zero before something has.
func (c *Chat) SocketHeard() []time.Time {
	list := make([]time.Time, len(c.lines))
	for i, l := range c.lines {
		if at := l.heard.Load(); at != 0 {
			list[i] = time.UnixMicro(at)
		}
	}
	return list
}

// socketEvent takes in what came on a socket, in its order, and acknowledges
// it there. Whatever it holds is acknowledged: sent again it would be no
// different.
func (c *Chat) socketEvent(s *socket, in envelope) {
	if in.ID == "" {
		if in.Type == noEnvelope {
			c.cfg.Metrics.Heard("socket", "unreadable")
		}
		return
	}
	if !c.begin() {
		return // Slack sends it again, to somebody who stays
	}
	received := time.Now()
	a, err := c.read(in)
	if err != nil {
		c.spoiled("socket", a, err)
	}
	ack := func(reply any) bool { return c.ack(s, in.ID, reply) }
	// What is heard keeps its order; what waits for it does not hold it up.
	settle := func() { ack(nil) }
	if a != nil && err == nil {
		a.received = received
		h, repeat := c.hear(*a)
		settle = func() { c.settle(*a, h, repeat, ack) }
	}
	s.owed.Go(func() {
		defer c.intake.Done()
		settle()
	})
}

// read reads what an envelope holds; nil if it is nothing for us.
func (c *Chat) read(in envelope) (*ask, error) {
	switch in.Type {
	case "slash_commands":
		var cmd slashCommand
		if err := json.Unmarshal(in.Payload, &cmd); err != nil {
			return nil, fmt.Errorf("decode slash command: %w", err)
		}
		return cmd.ask(c.cfg.Now(), c.team())
	case "interactive":
		return decodeAct(in.Payload, c.self, c.cfg.Now())
	case "events_api":
		var cb callback
		if err := json.Unmarshal(in.Payload, &cb); err != nil {
			return nil, fmt.Errorf("decode event: %w", err)
		}
		return c.decodeCallback(cb)
	}
	return nil, fmt.Errorf("read envelope: unknown type %q", in.Type)
}

// ack acknowledges one envelope, with what Slack shows at once if there is
// such a thing. It is false if that could not go along: the socket broke, or
// it is more than a socket may carry.
func (c *Chat) ack(s *socket, id string, reply any) bool {
	body, err := json.Marshal(struct {
		ID      string `json:"envelope_id"`
		Payload any    `json:"payload,omitempty"`
	}{id, reply})
	if err != nil || len(body) >= replyLimit {
		body, _ = json.Marshal(map[string]string{"envelope_id": id})
		reply = nil
	}
	if err := s.reply(body); err != nil {
		c.cfg.Metrics.Heard("socket", "unacknowledged")
		return false
	}
	return reply != nil
}
