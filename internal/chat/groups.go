package chat

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
)

// Group gives the ids of those in a group of people, by its id.
func (c *Chat) Group(ctx context.Context, id string) (members []string, err error) {
	err = c.call(ctx, "usergroups.users.list", func(ctx context.Context) (err error) {
		members, err = c.api.GetUserGroupMembersContext(ctx, id)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("read group %s: %w", id, err)
	}
	return members, nil
}

// NameOf gives the name of somebody by their id, or the id where it is not known.
func (c *Chat) NameOf(ctx context.Context, id string) string { return c.name(ctx, ask{user: id}) }

// regroups are the events that tell of a group's members: docs.slack.dev/reference/events,
// subteam_members_changed and subteam_updated.
var regroups = []string{"subteam_members_changed", "subteam_updated"}

// regrouped says that an event tells of a group of people, and passes it on.
func (c *Chat) regrouped(cb callback) bool {
	var event struct {
		Type string `json:"type"`
	}
	if json.Unmarshal(cb.Event, &event) != nil || !slices.Contains(regroups, event.Type) {
		return false
	}
	if c.cfg.Regroup != nil {
		c.cfg.Regroup()
	}
	return true
}

// InspectGroups asks Slack whether the members of groups can be read, in order of
// their ids.
func InspectGroups(ctx context.Context, cfg Config, groups []string) []Found {
	if cfg.Client == nil {
		cfg.Client = ownClient()
	}
	api := newAPI(cfg)
	var found []Found
	for _, id := range slices.Compact(slices.Sorted(slices.Values(groups))) {
		members, err := api.GetUserGroupMembersContext(ctx, id)
		found = append(found, Found{ID: id, Name: fmt.Sprintf("%d people", len(members)), Reason: reason(err)})
	}
	return found
}
