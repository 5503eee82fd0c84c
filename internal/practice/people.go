package practice

import (
	"slices"
	"strings"
)

func authTest(r *Room, _ map[string]string) (fields, *refusal) {
	return fields{
		"url": r.cfg.BaseURL + "/", "team": teamName, "user": r.cfg.Name,
		"team_id": teamID, "user_id": botUser, "bot_id": botID, "is_enterprise_install": false,
	}, nil
}

// visible finds a conversation that the bot may look into; r.mu is held.
// Public channels are open to all, a direct message only to its two.
func (r *Room) visible(id string) (*channel, *refusal) {
	ch := r.channel(id)
	if ch == nil {
		return nil, refuse("channel_not_found")
	}
	needed := "channels:read"
	if ch.direct != "" {
		needed = "im:read"
	}
	if !r.scoped(needed) {
		return nil, &refusal{code: "missing_scope", needed: needed}
	}
	return ch, nil
}

func conversationInfo(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	ch, no := r.visible(args["channel"])
	if no != nil {
		return nil, no
	}
	about := ch.about()
	if ch.direct == "" && isTrue(args["include_num_members"]) {
		about["num_members"] = len(ch.members)
	}
	return fields{"channel": about}, nil
}

func isTrue(v string) bool { return v == "true" || v == "1" }

func (c *channel) about() fields {
	if c.direct != "" {
		return fields{
			"id": c.id, "is_im": true, "user": c.direct, "is_org_shared": false, "is_open": true,
			"created": 0, "is_archived": c.archived, "priority": 0,
		}
	}
	return fields{
		"id": c.id, "name": c.name, "name_normalized": c.name, "is_channel": true, "is_group": false, "is_im": false,
		"is_mpim": false, "is_private": false, "is_archived": c.archived, "is_general": false, "is_shared": false,
		"is_ext_shared": false, "is_org_shared": false, "is_member": c.has(botUser), "created": 0,
		"creator": botUser, "context_team_id": teamID, "shared_team_ids": []string{teamID},
		"topic":   fields{"value": "", "creator": "", "last_set": 0},
		"purpose": fields{"value": "", "creator": "", "last_set": 0},
	}
}

// openConversation opens the direct message with one person; the room has no
// conversations of several.
func openConversation(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	users, byUser := args["users"]
	id := args["channel"]
	var ch *channel
	already := true
	switch {
	case byUser && strings.Contains(users, ","):
		return nil, refuse("invalid_arguments", "the practice room opens direct messages with one person only")
	case byUser:
		already = slices.ContainsFunc(r.rooms, func(c *channel) bool { return c.direct == users })
		if isTrue(args["prevent_creation"]) && !already {
			return nil, refuse("channel_not_found")
		}
		if ch = r.direct(users); ch == nil {
			return nil, refuse("user_not_found")
		}
	case id == "":
		return nil, refuse("users_list_not_supplied")
	default:
		if ch = r.channel(id); ch == nil {
			return nil, refuse("channel_not_found")
		}
		if ch.direct == "" {
			return nil, refuse("method_not_supported_for_channel_type")
		}
	}
	about := fields{"id": ch.id}
	if isTrue(args["return_im"]) {
		about = ch.about()
	}
	out := fields{"channel": about}
	if already {
		out["no_op"], out["already_open"] = true, true
	}
	return out, nil
}

func conversationMembers(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	ch, no := r.visible(args["channel"])
	if no != nil {
		return nil, no
	}
	from, to, cursor, no := paged(len(ch.members), args, 1000)
	if no != nil {
		return nil, no
	}
	return fields{
		"members":           append([]string{}, ch.members[from:to]...),
		"response_metadata": fields{"next_cursor": cursor},
	}, nil
}

func userInfo(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	id := args["user"]
	name := r.name(id)
	if name == "" {
		return nil, refuse("user_not_found")
	}
	zone, offset := r.cfg.Clock.Now().In(r.cfg.Zone).Zone()
	return fields{"user": fields{
		"id": id, "team_id": r.team(id), "name": name, "real_name": name, "deleted": false,
		"tz": r.cfg.Zone.String(), "tz_label": zone, "tz_offset": offset,
		"profile":       fields{"real_name": name, "display_name": name, "team": r.team(id)},
		"is_restricted": r.restricted(id), "is_ultra_restricted": false, "is_stranger": false, // they share a channel with us
		"is_bot": id == botUser, "is_app_user": false, "is_admin": false, "is_owner": false, "updated": 0,
	}}, nil
}

// AddRestricted is AddPerson for a guest of this workspace, who is let into some
// channels only.
func (r *Room) AddRestricted(name string) string {
	id := r.add(name, teamID)
	r.mu.Lock()
	defer r.mu.Unlock()
	for i := range r.people {
		r.people[i].restricted = r.people[i].restricted || r.people[i].id == id
	}
	return id
}

// restricted says that somebody is a guest of this workspace; r.mu is held.
func (r *Room) restricted(id string) bool {
	return slices.ContainsFunc(r.people, func(p person) bool { return p.id == id && p.restricted })
}

// SetGroup says who is in the group of people with that id, new or known, and tells
// the service if it may know.
func (r *Room) SetGroup(id string, people ...string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	before := r.groups[id]
	r.groups[id] = slices.Clone(people)
	if !r.scoped("usergroups:read") {
		return
	}
	in := func(list []string) func(string) bool {
		return func(id string) bool { return slices.Contains(list, id) }
	}
	now, _ := r.stamp()
	r.deliver(fields{
		"type": "subteam_members_changed", "subteam_id": id, "team_id": teamID, "event_ts": now,
		"added_users":   slices.DeleteFunc(slices.Clone(people), in(before)),
		"removed_users": slices.DeleteFunc(slices.Clone(before), in(people)),
	})
}

func groupMembers(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	people, known := r.groups[args["usergroup"]]
	if !known {
		return nil, refuse("no_such_subteam")
	}
	return fields{"users": append([]string{}, people...)}, nil
}

// Allow gives the bot one scope more, as installing the app again does.
func (r *Room) Allow(scope string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.scoped(scope) {
		r.cfg.Scopes = append(slices.Clone(r.cfg.Scopes), scope)
	}
}
