package chat

import (
	"context"
	"errors"
	"net/http/httptrace"
	"strings"
	"sync/atomic"
	"time"

	"github.com/slack-go/slack"

	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// Can says what Slack can do.
func (c *Chat) Can() voice.Can {
	return voice.Can{Edit: true, Thread: true, Button: true, Whisper: true, Longest: textLimit}
}

// Post shows a message and gives where it now stands. For a person's direct
// message that is another channel than the lane says.
func (c *Chat) Post(ctx context.Context, p runner.Posting) (runner.Posted, error) {
	s := draw(p.Message)
	if err := fits(s); err != nil {
		return runner.Posted{}, &runner.Refusal{Reason: badMessage, Err: err}
	}
	// Slack opens the direct message itself when it is given a person.
	channel, ts, err := c.post(ctx, strings.TrimPrefix(p.Lane, "@"), p.Thread, s)
	return runner.Posted{Channel: channel, TS: ts}, err
}

// Update replaces the message that stands at channel and ts.
func (c *Chat) Update(ctx context.Context, channel, ts string, m voice.Message) error {
	s := draw(m)
	if err := fits(s); err != nil {
		return &runner.Refusal{Reason: badMessage, Err: err}
	}
	return c.call(ctx, "chat.update", func(ctx context.Context) error {
		_, at, _, err := c.api.UpdateMessageContext(ctx, channel, ts, s.options()...)
		return taken(at, err)
	})
}

// post shows a sheet in a channel, in a thread if one is given.
func (c *Chat) post(ctx context.Context, where, thread string, s sheet) (channel, ts string, err error) {
	options := append(s.options(), slack.MsgOptionDisableLinkUnfurl(), slack.MsgOptionDisableMediaUnfurl())
	if thread != "" {
		options = append(options, slack.MsgOptionTS(thread))
	}
	err = c.call(ctx, "chat.postMessage", func(ctx context.Context) (err error) {
		channel, ts, err = c.api.PostMessageContext(ctx, where, options...)
		return taken(ts, err)
	})
	if err != nil {
		return "", "", err
	}
	return channel, ts, nil
}

// options gives a sheet as the library takes it. Blocks always go along: an
// edit without them would leave the old ones, buttons and all. The text is
// escaped already.
func (s sheet) options() []slack.MsgOption {
	return []slack.MsgOption{
		slack.MsgOptionText(s.text, false),
		slack.MsgOptionBlocks(s.blocks...),
	}
}

// errNoID is an answer without the one thing that was asked for: the library
// takes "ok": false without a reason for success.
var errNoID = errors.New("the answer names nothing")

func taken(ts string, err error) error {
	if err == nil && ts == "" {
		return errNoID
	}
	return err
}

// call makes one call to Slack, counts it, and turns its failure into a
// *runner.Refusal.
func (c *Chat) call(ctx context.Context, method string, f func(context.Context) error) error {
	// Once there is a connection, the request may have gone out on it.
	var out atomic.Bool
	ctx = httptrace.WithClientTrace(ctx, &httptrace.ClientTrace{
		GotConn: func(httptrace.GotConnInfo) { out.Store(true) },
	})
	began := time.Now()
	err := f(ctx)
	if err == nil {
		c.cfg.Metrics.Called(method, "ok", time.Since(began))
		return nil
	}
	r := refuse(err, out.Load())
	c.cfg.Metrics.Called(method, r.Reason, time.Since(began))
	return r
}
