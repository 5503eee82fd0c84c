package chat

import (
	"cmp"
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"time"

	"ventbell/internal/kitchen"
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
	guests sync.Map    // by user id: whether they are a guest
	again  sync.Map    // by user id: Slack is not asked before
	denied atomic.Bool // we may not look names up
}

// person gives the one who asks as the kitchen knows them: with their name, and
// whether they are from outside.
func (c *Chat) person(ctx context.Context, a ask) kitchen.Person {
	p := kitchen.Person{ID: a.user, Name: c.name(ctx, a), Guest: a.stranger}
	if !p.Guest && c.cfg.Guests {
		p.Guest = c.guest(ctx, a.user)
	}
	return p
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
	c.lookUp(ctx, a.user)
	if name, ok := c.names.known.Load(a.user); ok {
		return name.(string)
	}
	return a.user
}

// guest says that somebody was let into this workspace for some channels only. Of
// whom nobody tells it is not said.
func (c *Chat) guest(ctx context.Context, user string) bool {
	if _, told := c.names.guests.Load(user); !told {
		c.lookUp(ctx, user)
	}
	guest, _ := c.names.guests.Load(user)
	is, _ := guest.(bool)
	return is
}

// lookUp asks Slack who somebody is, and keeps what it says. Slack's own flags:
// docs.slack.dev/reference/objects/user-object, is_restricted and is_ultra_restricted of
// guests, is_stranger of other workspaces.
func (c *Chat) lookUp(ctx context.Context, id string) {
	if c.names.denied.Load() {
		return
	}
	if again, ok := c.names.again.Load(id); ok && time.Now().Before(again.(time.Time)) {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, askLimit)
	defer cancel()
	var found string
	err := c.call(ctx, "users.info", func(ctx context.Context) error {
		user, err := c.api.GetUserInfoContext(ctx, id)
		if err != nil {
			return err
		}
		found = cmp.Or(user.Profile.DisplayName, user.RealName, user.Name)
		c.names.guests.Store(id, user.IsRestricted || user.IsUltraRestricted || user.IsStranger || c.elsewhere(user.TeamID))
		return nil
	})
	if r, ok := errors.AsType[*runner.Refusal](err); ok && r.Reason == scopeMissing {
		c.names.denied.Store(true)
	}
	if found == "" {
		c.names.again.Store(id, time.Now().Add(askAgain))
		return
	}
	c.names.again.Delete(id)
	c.names.known.LoadOrStore(id, found)
}

// elsewhere says that a team is another than ours. In a larger organisation we do
// not know which teams are.
func (c *Chat) elsewhere(team string) bool {
	c.self()
	ours := c.team()
	return team != "" && ours != "" && team != ours && !c.us.larger.Load()
}

// us is what we know of the bot's own user.
type us struct {
	id   atomic.Pointer[string]
	team atomic.Pointer[string]
	// larger says that our team belongs to a larger organisation.
	larger atomic.Bool
	again  atomic.Int64 // not asked before, in microseconds
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
		c.us.larger.Store(who.EnterpriseID != "")
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
