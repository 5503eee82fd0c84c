package practice

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// What a person sees when the service doesn't answer.
var (
	ErrNotAnswered = errors.New("the service did not answer in time")
	ErrNobody      = errors.New("the service is not connected")
)

// The kinds of parcel, in Socket Mode's words.
const (
	kindEvent   = "events_api"
	kindCommand = "slash_commands"
	kindTap     = "interactive"
)

// parcel is one thing on its way to the service.
type parcel struct {
	id      string // stays the same when sent again
	kind    string
	payload fields
}

// failure is an attempt that was not acknowledged.
type failure struct {
	reason string // Slack's word, for the next attempt
	final  bool   // don't try again
	err    error
}

// Response is what a person gets for a command or a tap.
type Response struct {
	// Message is what the service answered together with its
	// acknowledgement, as it now stands in the room; nil when it only
	// acknowledged. What it says later stands in Messages.
	Message *Message
	Took    time.Duration // until the acknowledgement, world time
	// Errors is what the service finds wrong with a form, by block_id.
	Errors map[string]string
}

func (r *Room) attempt(ctx context.Context, p parcel, n int, reason string) (json.RawMessage, *failure) {
	r.mu.Lock()
	if n > 0 {
		r.counts.Redelivered++
	}
	down := r.down
	r.mu.Unlock()
	if down {
		return nil, &failure{reason: "connection_failed", err: ErrNobody}
	}
	if r.cfg.RequestURL != "" {
		return r.overHTTP(ctx, p, n, reason)
	}
	return r.overSocket(ctx, p, n, reason)
}

// eventRetries are the waits before an event is sent again, by the room's
// clock. Source: docs.slack.dev, Events API, retries; its option Delayed Events
// adds one an hour for a day.
func (r *Room) eventRetries() []time.Duration {
	waits := []time.Duration{0, time.Minute, 5 * time.Minute}
	if r.cfg.DelayedEvents {
		waits = append(waits, slices.Repeat([]time.Duration{time.Hour}, 24)...)
	}
	return waits
}

// send delivers an event in the background, again if need be. The channel it
// gives is closed when the first attempt is over.
func (r *Room) send(p parcel) <-chan struct{} {
	first := make(chan struct{})
	run := func() {
		_, fail := r.attempt(r.ctx, p, 0, "")
		close(first)
		for i, wait := range r.eventRetries() {
			if fail == nil || fail.final {
				return
			}
			if err := r.cfg.Clock.Wait(r.ctx, r.cfg.Clock.Now().Add(wait), nil); err != nil {
				return
			}
			_, fail = r.attempt(r.ctx, p, i+1, fail.reason)
		}
		if fail != nil {
			r.cfg.Log.Warn("practice gave up on an event", "reason", fail.reason, "err", fail.err)
		}
	}
	if r.closed {
		close(first)
	} else {
		r.work.Go(run)
	}
	return first
}

// heard waits until each event was sent once; one that goes nowhere is nil.
func heard(ctx context.Context, told ...<-chan struct{}) error {
	for _, first := range told {
		if first == nil {
			continue
		}
		select {
		case <-first:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}

// request delivers a command or a tap and waits for the acknowledgement. Over
// Socket Mode an envelope that was not acknowledged is sent once more, at once.
func (r *Room) request(ctx context.Context, p parcel) (json.RawMessage, error) {
	body, fail := r.attempt(ctx, p, 0, "")
	if fail != nil && !fail.final && r.cfg.RequestURL == "" {
		body, fail = r.attempt(ctx, p, 1, fail.reason)
	}
	if fail != nil {
		return nil, fail.err
	}
	return body, nil
}

// tell sends the service an event of a channel that it hears; r.mu is held.
func (r *Room) tell(ch *channel, event fields) <-chan struct{} {
	scope := ch.historyScope()
	if event["type"] == "app_mention" {
		scope = "app_mentions:read"
	}
	if !ch.has(botUser) || !r.scoped(scope) {
		return nil
	}
	return r.deliver(event)
}

// deliver sends the service an event; r.mu is held.
func (r *Room) deliver(event fields) <-chan struct{} {
	who, _ := event["user"].(string)
	return r.send(parcel{id: r.next("env-"), kind: kindEvent, payload: fields{
		"token": "practice", "team_id": teamID, "context_team_id": teamID, "api_app_id": appID,
		"type": "event_callback", "event": event, "event_id": r.next("Ev"),
		"event_time": r.cfg.Clock.Now().Unix(), "event_context": r.next("ctx-"),
		"is_ext_shared_channel": r.team(who) != teamID,
		"authorizations": []fields{{
			"enterprise_id": nil, "team_id": teamID, "user_id": botUser, "is_bot": true, "is_enterprise_install": false,
		}},
	}})
}

// posted is the event of a new message.
func (r *Room) posted(ch *channel, m *Message) fields {
	event := r.wire(m)
	event["channel"], event["channel_type"], event["event_ts"] = ch.id, ch.kind(), m.TS
	if team := r.team(m.Person); team != teamID { // of another workspace that shares the channel
		event["user_team"], event["source_team"] = team, team
	}
	if m.Aloud {
		if parent := ch.message(m.ThreadTS); parent != nil {
			event["root"] = r.wire(parent)
		}
	}
	return event
}

// Command has a person use a slash command. The answer that comes with the
// acknowledgement is put into the room as Slack does.
func (r *Room) Command(ctx context.Context, who, channel, command, text string) (Response, error) {
	r.mu.Lock()
	ch, err := r.enter(who, channel)
	if err == nil && (!slices.Contains(r.cfg.Commands, command) || !r.scoped("commands")) {
		err = fmt.Errorf("%s is no command here", command)
	}
	if err != nil {
		r.mu.Unlock()
		return Response{}, err
	}
	show := func(p person) string { return "@" + escape.Replace(p.name) }
	if r.cfg.ShouldEscape {
		show = func(p person) string { return "<@" + p.id + "|" + p.name + ">" }
	}
	where := &replyURL{channel: ch.id, person: who}
	p := parcel{id: r.next("env-"), kind: kindCommand, payload: fields{
		"token": "practice", "team_id": teamID, "team_domain": teamDomain, "channel_id": ch.id, "channel_name": ch.shownName(),
		"user_id": who, "user_name": r.name(who), "command": command, "text": r.typed(text, show),
		"api_app_id": appID, "is_enterprise_install": "false",
		"response_url": r.openReply("commands", where), "trigger_id": r.openTrigger(who, false),
	}}
	r.mu.Unlock()

	start := time.Now()
	body, err := r.request(ctx, p)
	if err != nil {
		return Response{}, fmt.Errorf("%s: %w", command, err)
	}
	took := time.Since(start)
	m, no := r.answered(where, body)
	if no != nil {
		return Response{}, fmt.Errorf("%s: answer refused: %s %s", command, no.code, strings.Join(no.messages, "; "))
	}
	return Response{Message: m, Took: took}, nil
}
