package chat

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/slack-go/slack"

	"ventbell/internal/runner"
)

// scheduleLimit is how far ahead Slack takes a message.
const scheduleLimit = 120 * 24 * time.Hour

var _ runner.Scheduler = (*Chat)(nil)

// Schedule leaves a message with Slack, to be posted at a moment even if
// nothing of ours runs then. It carries no mark: a scheduled message with
// metadata is taken and never posted.
func (c *Chat) Schedule(ctx context.Context, p runner.Posting, at time.Time) (runner.Posted, error) {
	s := draw(p.Message)
	if err := fits(s); err != nil {
		return runner.Posted{}, &runner.Refusal{Reason: badMessage, Err: err}
	}
	if ahead := at.Sub(c.cfg.Now()); ahead <= 0 || ahead > scheduleLimit {
		return runner.Posted{}, &runner.Refusal{Reason: badTime, Err: fmt.Errorf("check message: to be posted in %v", ahead)}
	}
	channel, err := c.channel(ctx, p.Lane)
	if err != nil {
		return runner.Posted{}, err
	}
	options := append(s.options(), slack.MsgOptionDisableLinkUnfurl(), slack.MsgOptionDisableMediaUnfurl())
	if p.Thread != "" {
		options = append(options, slack.MsgOptionTS(p.Thread))
	}
	// Whole seconds, and never before the moment.
	second := at.Add(time.Second - time.Nanosecond).Unix()
	var id string
	err = c.call(ctx, "chat.scheduleMessage", func(ctx context.Context) (err error) {
		_, id, err = c.api.ScheduleMessageContext(ctx, channel, strconv.FormatInt(second, 10), options...)
		return taken(id, err)
	})
	if err != nil {
		return runner.Posted{}, err
	}
	return runner.Posted{Channel: channel, TS: id}, nil
}

// Unschedule takes a scheduled message back. One that was posted, or taken
// back before, is no error.
func (c *Chat) Unschedule(ctx context.Context, at runner.Posted) error {
	err := c.call(ctx, "chat.deleteScheduledMessage", func(ctx context.Context) error {
		ok, err := c.api.DeleteScheduledMessageContext(ctx, &slack.DeleteScheduledMessageParameters{
			Channel: at.Channel, ScheduledMessageID: at.TS,
		})
		if err == nil && !ok {
			return errNoID
		}
		return err
	})
	if r, ok := errors.AsType[*runner.Refusal](err); ok && r.Gone {
		return nil
	}
	return err
}
