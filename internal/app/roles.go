package app

import (
	"context"
	"errors"
	"log/slog"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"ventbell/internal/kitchen"
)

const (
	// regroupEvery is how often the members of groups are read again (our choice: a
	// method of Slack's that takes 20 calls a minute).
	regroupEvery = 5 * time.Minute
	// regroupFor bounds one reading of them all, so that a start does not hang.
	regroupFor = 5 * time.Second
)

// roles is who is named what: people, and groups of people by their ids.
type roles struct{ managers, hands, viewers []kitchen.Person }

func (o Options) roles() roles {
	return roles{managers: people(o.Managers), hands: people(o.Hands), viewers: people(o.Viewers)}
}

// isGroup says that an id is that of a group of people: Slack's begin with an S.
func isGroup(id string) bool {
	return len(id) > 1 && id[0] == 'S' && strings.Trim(id, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789") == ""
}

// groups gives the groups that are named, each once.
func (r roles) groups() []string {
	var ids []string
	for _, p := range slices.Concat(r.managers, r.hands, r.viewers) {
		if isGroup(p.ID) && !slices.Contains(ids, p.ID) {
			ids = append(ids, p.ID)
		}
	}
	return ids
}

// team puts the people of each role into a team. Of a group that was never read
// nobody is known: then those by id count, and nobody is kept from being a hand.
// Nor is anybody where nobody at all could say that a vessel is empty.
func (r roles) team(t kitchen.Team, members map[string][]kitchen.Person) kitchen.Team {
	t.Managers, _ = spread(r.managers, members)
	hands, whole := spread(r.hands, members)
	viewers, _ := spread(r.viewers, members)
	t.Hands, t.Viewers, t.HandsOnly = idsOf(hands), idsOf(viewers), whole && len(r.hands) > 0 && len(hands)+len(t.Managers) > 0
	return t
}

// spread puts a group's members in its place; whole says that all groups are known.
func spread(named []kitchen.Person, members map[string][]kitchen.Person) (list []kitchen.Person, whole bool) {
	whole = true
	for _, p := range named {
		in, known := []kitchen.Person{p}, true
		if isGroup(p.ID) {
			in, known = members[p.ID]
		}
		whole = whole && known
		for _, q := range in {
			if !slices.ContainsFunc(list, func(x kitchen.Person) bool { return x.ID == q.ID }) {
				list = append(list, q)
			}
		}
	}
	return list, whole
}

func idsOf(people []kitchen.Person) []string {
	var ids []string
	for _, p := range people {
		ids = append(ids, p.ID)
	}
	return ids
}

// grouper tells who is in a group of people.
type grouper interface {
	Group(ctx context.Context, id string) ([]string, error)
	NameOf(ctx context.Context, id string) string
}

// crews keeps every team's people up to date with the groups that are named.
type crews struct {
	roles  roles
	teams  map[string]kitchen.Team // as configured
	told   func(map[string]kitchen.Team)
	log    *slog.Logger
	wanted chan struct{} // a group changed

	mu      sync.Mutex
	members map[string][]kitchen.Person // by group, as read last
	failed  map[string]string           // by group: why it could not be read, as logged
}

func newCrews(r roles, teams map[string]kitchen.Team, told func(map[string]kitchen.Team), log *slog.Logger) *crews {
	return &crews{
		roles: r, teams: teams, told: told, log: log, wanted: make(chan struct{}, 1),
		members: map[string][]kitchen.Person{}, failed: map[string]string{},
	}
}

// want has the groups read again soon.
func (c *crews) want() {
	select {
	case c.wanted <- struct{}{}:
	default:
	}
}

// keep reads the groups every few minutes and when one changed, until ctx ends.
func (c *crews) keep(ctx context.Context, from grouper) {
	if len(c.roles.groups()) == 0 {
		return
	}
	tick := time.NewTicker(regroupEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		case <-c.wanted:
		}
		c.read(ctx, from)
	}
}

// read reads the groups and tells who is of each team. A group that cannot be read
// stays as it was read last.
func (c *crews) read(ctx context.Context, from grouper) {
	groups := c.roles.groups()
	if len(groups) == 0 {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, regroupFor)
	defer cancel()
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, id := range groups {
		ids, err := from.Group(ctx, id)
		if err != nil {
			c.unread(id, err)
			continue
		}
		delete(c.failed, id)
		c.members[id] = c.named(ctx, from, id, ids)
	}
	teams := maps.Clone(c.teams)
	for id, t := range teams {
		teams[id] = c.roles.team(t, c.members)
	}
	c.told(teams)
}

// named gives the members of a group; a manager's name is looked up, since the calls
// say it.
func (c *crews) named(ctx context.Context, from grouper, group string, ids []string) []kitchen.Person {
	manages := slices.ContainsFunc(c.roles.managers, func(p kitchen.Person) bool { return p.ID == group })
	list := []kitchen.Person{}
	for _, id := range ids {
		p := kitchen.Person{ID: id, Name: id}
		if manages {
			p.Name = from.NameOf(ctx, id)
		}
		list = append(list, p)
	}
	return list
}

// unread says once why a group cannot be read, and what counts meanwhile.
func (c *crews) unread(id string, err error) {
	if c.failed[id] == err.Error() || errors.Is(err, context.Canceled) {
		return
	}
	c.failed[id] = err.Error()
	meanwhile := "its people stay as they were read last"
	if _, known := c.members[id]; !known {
		meanwhile = "nobody is kept from being a hand until it is read"
	}
	c.log.Warn("a group of people cannot be read: `ventbell check` says more", "key", id, "reason", meanwhile, "err", err)
}
