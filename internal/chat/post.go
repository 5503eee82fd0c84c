package chat

import (
	"context"
	"errors"
	"strings"
	"time"

	"github.com/slack-go/slack"

	"ventbell/internal/door"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// Can says what Slack can do.
func (c *Chat) Can() voice.Can {
	return voice.Can{Edit: true, Thread: true, Button: true, Whisper: true, Longest: textLimit}
}

// Post shows a message and gives where it now stands. For a person's direct
// message that is another channel than the lane says. Where the thread takes
// no replies the message stands in the open: better there than nowhere.
func (c *Chat) Post(ctx context.Context, p runner.Posting) (runner.Posted, error) {
	s := draw(p.Message)
	if err := fits(s); err != nil {
		return runner.Posted{}, &runner.Refusal{Reason: badMessage, Err: err}
	}
	at, err := c.post(ctx, p.Lane, p.Thread, s, withMark(p.Mark)...)
	if r, ok := errors.AsType[*runner.Refusal](err); ok && p.Thread != "" && r.Reason == threadClosed {
		at, err = c.post(ctx, p.Lane, "", s, withMark(p.Mark)...)
		at.Loose = err == nil
	}
	c.places.sent(p, err)
	c.stirred(p.Lane)
	return at, err
}

// Update replaces the message that stands at channel and ts.
func (c *Chat) Update(ctx context.Context, channel, ts string, m voice.Message) error {
	s := draw(m)
	if err := fits(s); err != nil {
		return &runner.Refusal{Reason: badMessage, Err: err}
	}
	c.stirred(channel)
	return c.call(ctx, "chat.update", func(ctx context.Context) error {
		_, at, _, err := c.api.UpdateMessageContext(ctx, channel, ts, s.options()...)
		return taken(at, err)
	})
}

// post shows a sheet in a lane, in a thread if one is given.
func (c *Chat) post(ctx context.Context, lane, thread string, s sheet, more ...slack.MsgOption) (at runner.Posted, err error) {
	where, direct := conversation(lane)
	options := append(s.options(), slack.MsgOptionDisableLinkUnfurl(), slack.MsgOptionDisableMediaUnfurl())
	if thread != "" {
		options = append(options, slack.MsgOptionTS(thread))
	}
	options = append(options, more...)
	err = c.call(ctx, "chat.postMessage", func(ctx context.Context) error {
		channel, ts, m, err := c.api.PostMessageWithResponseContext(ctx, where, options...)
		// Below a message that was deleted Slack posts all the same, in the
		// open, and says so only by what it leaves out.
		at = runner.Posted{Channel: channel, TS: ts, Loose: thread != "" && m.Timestamp != "" && m.ThreadTimestamp == ""}
		return taken(ts, err)
	})
	if err != nil {
		return runner.Posted{}, personsOwn(err, direct)
	}
	if direct {
		c.places.direct.Store(where, at.Channel)
	}
	return at, nil
}

// conversation gives what Slack knows a lane by: a channel, or a person, for
// whom it opens the direct message itself.
func conversation(lane string) (id string, direct bool) {
	return strings.TrimPrefix(lane, "@"), strings.HasPrefix(lane, "@")
}

// personsOwn tells a person who is gone from a channel that is: Slack answers
// both alike.
func personsOwn(err error, direct bool) error {
	if r, ok := errors.AsType[*runner.Refusal](err); ok && direct && r.Reason == channelGone {
		r.Reason = personGone
	}
	return err
}

// options gives a sheet as the library takes it. Blocks always go along: an
// edit without them would leave the old ones, buttons and all. The text is
// escaped already, and nothing in it may become a mention or a link by itself:
// left unsaid, chat.update would look for them.
func (s sheet) options() []slack.MsgOption {
	return []slack.MsgOption{
		slack.MsgOptionText(s.text, false),
		slack.MsgOptionBlocks(s.blocks...),
		slack.MsgOptionParse(false),
		slack.MsgOptionLinkNames(false),
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
	ctx, sent := door.Watch(ctx)
	began := time.Now()
	err := f(ctx)
	if err == nil {
		c.cfg.Metrics.Called(method, "ok", time.Since(began))
		return nil
	}
	r := refuse(err, sent())
	c.cfg.Metrics.Called(method, r.Reason, time.Since(began))
	return r
}
