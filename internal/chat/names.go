package chat

import (
	"cmp"
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"time"

	"ventbell/internal/runner"
)

const (
	// askLimit is for asking Slack who somebody is while their command waits.
	askLimit = time.Second
	// askAgain is how long after a failure Slack is asked again who somebody
	// is, and who we are: a command does not wait each time.
	askAgain = 10 * time.Second
)

// names holds the names of those who spoke to us. The first name heard stays,
// so that one person has one name on a slip whichever way they came in. A user
// id begins with U, or with W in a larger organisation; both are only looked up.
type names struct {
	known  sync.Map    // by user id
	again  sync.Map    // by user id: Slack is not asked before
	denied atomic.Bool // we may not look names up
}

// name gives the name of the one who asks: from the payload, from before, from
// Slack, or else their id.
func (c *Chat) name(ctx context.Context, a ask) string {
	if a.name != "" {
		name, _ := c.names.known.LoadOrStore(a.user, a.name)
		return name.(string)
	}
	if name, ok := c.names.known.Load(a.user); ok {
		return name.(string)
	}
	if c.names.denied.Load() {
		return a.user
	}
	if again, ok := c.names.again.Load(a.user); ok && time.Now().Before(again.(time.Time)) {
		return a.user
	}
	ctx, cancel := context.WithTimeout(ctx, askLimit)
	defer cancel()
	var found string
	err := c.call(ctx, "users.info", func(ctx context.Context) error {
		user, err := c.api.GetUserInfoContext(ctx, a.user)
		if err != nil {
			return err
		}
		found = cmp.Or(user.Profile.DisplayName, user.RealName, user.Name)
		return nil
	})
	if r, ok := errors.AsType[*runner.Refusal](err); ok && r.Reason == scopeMissing {
		c.names.denied.Store(true)
	}
	if found == "" {
		c.names.again.Store(a.user, time.Now().Add(askAgain))
		return a.user
	}
	c.names.again.Delete(a.user)
	name, _ := c.names.known.LoadOrStore(a.user, found)
	return name.(string)
}

// us is what we know of the bot's own user.
type us struct {
	id    atomic.Pointer[string]
	team  atomic.Pointer[string]
	again atomic.Int64 // not asked before, in microseconds
}

// self gives the bot's own user id; empty when Slack does not say. Without it
// mentions and direct messages are still heard, thread replies are not.
func (c *Chat) self() string {
	if id := c.us.id.Load(); id != nil {
		return *id
	}
	now := time.Now()
	if now.UnixMicro() < c.us.again.Load() {
		return ""
	}
	ctx, cancel := context.WithTimeout(c.life, askLimit)
	defer cancel()
	err := c.call(ctx, "auth.test", func(ctx context.Context) error {
		who, err := c.api.AuthTestContext(ctx)
		if err != nil {
			return err
		}
		if who.UserID == "" {
			return errNoID
		}
		c.us.team.Store(&who.TeamID)
		c.us.id.Store(&who.UserID)
		return nil
	})
	if err != nil {
		c.us.again.Store(now.Add(askAgain).UnixMicro())
		c.cfg.Log.Warn("Slack does not say who we are", "err", err)
		return ""
	}
	return *c.us.id.Load()
}

// team gives the team that let us in, if we know it already: an
// organisation's own is none of the teams in it.
func (c *Chat) team() string {
	if team := c.us.team.Load(); team != nil {
		return *team
	}
	return ""
}
