package practice

import (
	"context"
	"fmt"
	"maps"
	"slices"
)

// Shortcut is something that people find in a menu: for anywhere, or on a
// message.
type Shortcut struct {
	ID   string // its callback_id
	Name string
}

func (r *Room) offers(list []Shortcut, id string) error {
	if !slices.ContainsFunc(list, func(s Shortcut) bool { return s.ID == id }) || !r.scoped("commands") {
		return fmt.Errorf("there is no shortcut %q here", id)
	}
	return nil
}

// Shortcut has a person use a shortcut that stands anywhere.
func (r *Room) Shortcut(ctx context.Context, person, callbackID string) (Response, error) {
	r.mu.Lock()
	err := r.offers(r.cfg.Shortcuts, callbackID)
	if err == nil && (r.name(person) == "" || person == botUser) {
		err = fmt.Errorf("nobody has the id %q", person)
	}
	if err != nil {
		r.mu.Unlock()
		return Response{}, fmt.Errorf("shortcut: %w", err)
	}
	ts, _ := r.stamp()
	p := r.acted("shortcut", person, fields{
		"callback_id": callbackID, "trigger_id": r.openTrigger(person, false), "action_ts": ts,
	})
	r.mu.Unlock()
	return r.told(ctx, "shortcut", p)
}

// MessageShortcut has a person use a shortcut on a message that they see.
func (r *Room) MessageShortcut(ctx context.Context, person, channel, ts, callbackID string) (Response, error) {
	r.mu.Lock()
	p, err := r.shortcutOn(person, channel, ts, callbackID)
	r.mu.Unlock()
	if err != nil {
		return Response{}, fmt.Errorf("shortcut: %w", err)
	}
	return r.told(ctx, "shortcut", p)
}

func (r *Room) shortcutOn(person, channel, ts, callbackID string) (parcel, error) {
	if err := r.offers(r.cfg.MessageShortcuts, callbackID); err != nil {
		return parcel{}, err
	}
	ch, m, err := r.beheld(person, channel, ts)
	if err != nil {
		return parcel{}, err
	}
	now, _ := r.stamp()
	return r.acted("message_action", person, fields{
		"callback_id": callbackID, "trigger_id": r.openTrigger(person, false), "action_ts": now,
		"message_ts": m.TS, "message": r.wire(m), "channel": fields{"id": ch.id, "name": ch.shownName()},
		"response_url": r.openReply("app", &replyURL{channel: ch.id, person: person}),
	}), nil
}

// acted makes the parcel of something that a person did; r.mu is held.
func (r *Room) acted(kind, who string, more fields) parcel {
	payload := fields{
		"type": kind, "token": "practice", "api_app_id": appID,
		"team": fields{"id": teamID, "domain": teamDomain}, "enterprise": nil, "is_enterprise_install": false,
		"user": fields{"id": who, "username": r.name(who), "name": r.name(who), "team_id": r.team(who)},
	}
	maps.Copy(payload, more)
	return parcel{id: r.next("env-"), kind: kindTap, payload: payload}
}
