package chat

import (
	"context"
	"errors"
	"strconv"
	"sync"
	"time"

	"github.com/slack-go/slack"

	"ventbell/internal/runner"
)

const (
	// markEvent and markKey are where a message's mark stands in its metadata.
	// Everybody in the workspace may read it.
	markEvent = "ventbell_message"
	markKey   = "mark"

	// findBefore is how much earlier than told a message is looked for, should
	// Slack's clock and ours differ.
	findBefore = time.Minute
	// findLimit messages are read at once, findPages times at most: a channel
	// in which more was said since is not searched through.
	findLimit = 100
	findPages = 5
)

var _ runner.Finder = (*Chat)(nil)

// errTooMuch is for a message that is not among those read, and not all were.
var errTooMuch = errors.New("more was said since than is searched")

// withMark puts a mark on a message, to find it by; none if it is empty.
func withMark(mark string) []slack.MsgOption {
	if mark == "" {
		return nil
	}
	return []slack.MsgOption{slack.MsgOptionMetadata(slack.SlackMetadata{
		EventType: markEvent, EventPayload: map[string]any{markKey: mark},
	})}
}

// hasMark says whether a message is ours and carries a mark. Any app may write
// the same metadata, hence the author.
func (c *Chat) hasMark(m slack.Message, mark string) bool {
	if m.Metadata.EventType != markEvent || m.Metadata.EventPayload[markKey] != mark {
		return false
	}
	self := c.self()
	return self == "" || m.User == self
}

// places remembers where messages go that a lane alone does not tell.
type places struct {
	// direct holds the channel of a person's direct messages, by user id.
	direct sync.Map
	// threads holds the thread of a message that may or may not have been
	// taken, by its mark: the history of a channel does not show replies.
	threads sync.Map
}

// sent notes what came of a posting.
func (p *places) sent(what runner.Posting, err error) {
	if what.Thread == "" || what.Mark == "" {
		return
	}
	if r, ok := errors.AsType[*runner.Refusal](err); ok && r.Unsure {
		p.threads.Store(what.Mark, what.Thread)
	} else if err == nil {
		p.threads.Delete(what.Mark)
	}
}

// Find looks for our message with a mark: among what was said in the lane and,
// if it was to hang in a thread, there. It needs the scope to read the history.
func (c *Chat) Find(ctx context.Context, lane, mark string, since time.Time) (at runner.Posted, found bool, err error) {
	channel, err := c.channel(ctx, lane)
	if err != nil {
		return runner.Posted{}, false, err
	}
	oldest := strconv.FormatInt(since.Add(-findBefore).Unix(), 10)
	thread, threaded := c.places.threads.Load(mark)
	if threaded {
		at, found, err = c.search(ctx, mark, c.replies(channel, thread.(string), oldest))
	}
	if !found && err == nil {
		at, found, err = c.search(ctx, mark, c.history(channel, oldest))
		at.Loose = found && threaded
	}
	if found {
		at.Channel = channel
		c.places.threads.Delete(mark)
	}
	return at, found, err
}

// reading gives a page of messages from a cursor on, and the cursor of the
// next; empty = there is none.
type reading func(ctx context.Context, cursor string) (list []slack.Message, next string, err error)

// search looks for a mark page by page.
func (c *Chat) search(ctx context.Context, mark string, read reading) (at runner.Posted, found bool, err error) {
	cursor := ""
	for range findPages {
		list, next, err := read(ctx, cursor)
		if err != nil {
			return runner.Posted{}, false, err
		}
		for _, m := range list {
			if c.hasMark(m, mark) {
				return runner.Posted{TS: m.Timestamp}, true, nil
			}
		}
		if next == "" {
			return runner.Posted{}, false, nil
		}
		cursor = next
	}
	return runner.Posted{}, false, &runner.Refusal{Reason: unclear, Err: errTooMuch}
}

// history reads what was said in a channel, the newest first.
func (c *Chat) history(channel, oldest string) reading {
	return func(ctx context.Context, cursor string) (list []slack.Message, next string, err error) {
		err = c.call(ctx, "conversations.history", func(ctx context.Context) error {
			answer, err := c.api.GetConversationHistoryContext(ctx, &slack.GetConversationHistoryParameters{
				ChannelID: channel, Oldest: oldest, Cursor: cursor, Limit: findLimit, IncludeAllMetadata: true,
			})
			if err != nil {
				return err
			}
			if !answer.Ok {
				return errNoID
			}
			list, next = answer.Messages, answer.ResponseMetaData.NextCursor
			return nil
		})
		return list, next, err
	}
}

// replies reads what was said in a thread.
func (c *Chat) replies(channel, thread, oldest string) reading {
	return func(ctx context.Context, cursor string) (list []slack.Message, next string, err error) {
		err = c.call(ctx, "conversations.replies", func(ctx context.Context) (err error) {
			list, _, next, err = c.api.GetConversationRepliesContext(ctx, &slack.GetConversationRepliesParameters{
				ChannelID: channel, Timestamp: thread, Oldest: oldest, Cursor: cursor, Limit: findLimit, IncludeAllMetadata: true,
			})
			if err == nil && list == nil {
				return errNoID
			}
			return err
		})
		if r, ok := errors.AsType[*runner.Refusal](err); ok && r.Reason == threadClosed {
			return nil, "", nil // the thread is gone, and nothing hangs in it
		}
		return list, next, err
	}
}

// channel gives the channel that a lane stands for. A person's is known once
// something was posted there; else Slack is asked, which needs a scope more.
func (c *Chat) channel(ctx context.Context, lane string) (string, error) {
	where, direct := conversation(lane)
	if !direct {
		return where, nil
	}
	if known, ok := c.places.direct.Load(where); ok {
		return known.(string), nil
	}
	var opened string
	err := c.call(ctx, "conversations.open", func(ctx context.Context) error {
		channel, _, _, err := c.api.OpenConversationContext(ctx, &slack.OpenConversationParameters{Users: []string{where}})
		if err != nil {
			return err
		}
		if channel == nil || channel.ID == "" {
			return errNoID
		}
		opened = channel.ID
		return nil
	})
	if err != nil {
		return "", personsOwn(err, true)
	}
	c.places.direct.Store(where, opened)
	return opened, nil
}
