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
}

func (r *Room) attempt(ctx context.Context, p parcel, n int, reason string) (json.RawMessage, *failure) {
	if n > 0 {
		r.mu.Lock()
		r.counts.Redelivered++
		r.mu.Unlock()
	}
	if r.cfg.RequestURL != "" {
		return r.overHTTP(ctx, p, n, reason)
	}
	return r.overSocket(ctx, p, n, reason)
}

// eventRetries are the waits before an event is sent again, by the room's
// clock. Source: docs.slack.dev, Events API, retries.
func eventRetries() []time.Duration { return []time.Duration{0, time.Minute, 5 * time.Minute} }

// send delivers an event in the background, again if need be. The channel it
// gives is closed when the first attempt is over.
func (r *Room) send(p parcel) <-chan struct{} {
	first := make(chan struct{})
	run := func() {
		_, fail := r.attempt(r.ctx, p, 0, "")
		close(first)
		for i, wait := range eventRetries() {
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
	scope := "channels:history"
	if ch.direct != "" {
		scope = "im:history"
	}
	if event["type"] == "app_mention" {
		scope = "app_mentions:read"
	}
	if !ch.has(botUser) || !r.scoped(scope) {
		return nil
	}
	return r.send(parcel{id: r.next("env-"), kind: kindEvent, payload: fields{
		"token": "practice", "team_id": teamID, "context_team_id": teamID, "api_app_id": appID,
		"type": "event_callback", "event": event, "event_id": r.next("Ev"),
		"event_time": r.cfg.Clock.Now().Unix(), "event_context": r.next("ctx-"), "is_ext_shared_channel": false,
		"authorizations": []fields{{
			"enterprise_id": nil, "team_id": teamID, "user_id": botUser, "is_bot": true, "is_enterprise_install": false,
		}},
	}})
}

// posted is the event of a new message.
func (r *Room) posted(ch *channel, m *Message) fields {
	event := r.wire(m)
	event["channel"], event["channel_type"], event["event_ts"] = ch.id, ch.kind(), m.TS
	return event
}

// Say has a person write in a channel or direct message, in a thread when
// threadTS is given, and gives the message's ts. Names typed as @name become
// mentions. It returns when the service was told of it once, heard or not.
func (r *Room) Say(ctx context.Context, person, channel, text, threadTS string) (string, error) {
	r.mu.Lock()
	ch, err := r.enter(person, channel)
	if err == nil && ch.archived {
		err = fmt.Errorf("say in %s: it is archived", channel)
	}
	if err == nil && threadTS != "" {
		if parent := ch.message(threadTS); parent == nil || parent.ThreadTS != "" {
			err = fmt.Errorf("say in a thread: %s starts none", threadTS)
		}
	}
	if err != nil {
		r.mu.Unlock()
		return "", err
	}
	m := &Message{Channel: ch.id, Person: person, ThreadTS: threadTS, Text: r.typed(text, mention)}
	m.TS, m.At = r.stamp()
	ch.messages = append(ch.messages, m)
	r.note(Posted, m)
	event := r.posted(ch, m)
	event["client_msg_id"] = r.next("msg-")
	event["blocks"] = []fields{r.rich(m.Text)}
	told := []<-chan struct{}{r.tell(ch, event)}
	if ch.direct == "" && strings.Contains(m.Text, "<@"+botUser+">") {
		named := r.posted(ch, m)
		named["type"], named["blocks"] = "app_mention", event["blocks"]
		delete(named, "channel_type")
		told = append(told, r.tell(ch, named))
	}
	ts := m.TS
	r.mu.Unlock()
	for _, first := range told {
		if first == nil {
			continue
		}
		select {
		case <-first:
		case <-ctx.Done():
			return ts, ctx.Err()
		}
	}
	return ts, nil
}

// enter finds a channel that the person is in; r.mu is held.
func (r *Room) enter(person, channel string) (*channel, error) {
	ch := r.channel(channel)
	switch {
	case r.name(person) == "" || person == botUser:
		return nil, fmt.Errorf("nobody has the id %q", person)
	case ch == nil || !ch.has(person):
		return nil, fmt.Errorf("%s is in no channel %q", r.name(person), channel)
	}
	return ch, nil
}

// typed gives what somebody typed as Slack passes it on: escaped, with each
// @name that is somebody's written as show has it.
func (r *Room) typed(text string, show func(person) string) string {
	var b strings.Builder
	for i := 0; i < len(text); i++ {
		if p, ok := r.mentioned(text, i); ok {
			b.WriteString(show(p))
			i += len(p.name)
			continue
		}
		b.WriteString(escape.Replace(text[i : i+1]))
	}
	return b.String()
}

// mentioned gives whose @name stands at text[i], the longest name that fits.
func (r *Room) mentioned(text string, i int) (person, bool) {
	var who person
	if text[i] != '@' || i > 0 && inName(text[i-1]) {
		return who, false
	}
	for _, p := range r.people {
		rest, ok := strings.CutPrefix(text[i+1:], p.name)
		if ok && (rest == "" || !inName(rest[0])) && len(p.name) > len(who.name) {
			who = p
		}
	}
	return who, who.name != ""
}

func inName(b byte) bool {
	return b == '-' || b == '_' || '0' <= b && b <= '9' || 'a' <= b && b <= 'z' || 'A' <= b && b <= 'Z'
}

func mention(p person) string { return "<@" + p.id + ">" }

// rich gives typed text as the rich_text block that Slack makes of it.
func (r *Room) rich(text string) fields {
	var parts []fields
	from := 0
	for _, at := range angled.FindAllStringIndex(text, -1) {
		if at[0] > from {
			parts = append(parts, fields{"type": "text", "text": unescape.Replace(text[from:at[0]])})
		}
		parts = append(parts, fields{"type": "user", "user_id": text[at[0]+2 : at[1]-1]})
		from = at[1]
	}
	if from < len(text) {
		parts = append(parts, fields{"type": "text", "text": unescape.Replace(text[from:])})
	}
	section := fields{"type": "rich_text_section", "elements": parts}
	return fields{"type": "rich_text", "block_id": r.next("b"), "elements": []fields{section}}
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
	name := ch.name
	if ch.direct != "" {
		name = "directmessage"
	}
	where := &replyURL{channel: ch.id, person: who}
	p := parcel{id: r.next("env-"), kind: kindCommand, payload: fields{
		"token": "practice", "team_id": teamID, "team_domain": teamDomain, "channel_id": ch.id, "channel_name": name,
		"user_id": who, "user_name": r.name(who), "command": command, "text": r.typed(text, show),
		"api_app_id": appID, "is_enterprise_install": "false",
		"response_url": r.openReply("commands", where), "trigger_id": r.next("trigger-"),
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
	return Response{m, took}, nil
}

// Tap has a person tap the button with that label on the message with that ts.
func (r *Room) Tap(ctx context.Context, person, channel, ts, label string) (Response, error) {
	return r.tap(ctx, person, channel, ts, func(_ string, b Button) bool { return unescape.Replace(b.Text.Text) == label })
}

func (r *Room) tap(ctx context.Context, person, channel, ts string, pick func(block string, b Button) bool) (Response, error) {
	r.mu.Lock()
	p, err := r.tapped(person, channel, ts, pick)
	r.mu.Unlock()
	if err != nil {
		return Response{}, err
	}
	start := time.Now()
	if _, err := r.request(ctx, p); err != nil {
		return Response{}, fmt.Errorf("tap: %w", err)
	}
	return Response{Took: time.Since(start)}, nil
}

// tapped makes the parcel of a tap; r.mu is held.
func (r *Room) tapped(person, channel, ts string, pick func(string, Button) bool) (parcel, error) {
	ch, err := r.enter(person, channel)
	if err != nil {
		return parcel{}, err
	}
	m := ch.message(ts)
	if m == nil || m.For != "" && m.For != person {
		return parcel{}, fmt.Errorf("tap: %s sees no message %s", r.name(person), ts)
	}
	block, b, ok := find(m.Blocks, pick)
	if !ok {
		return parcel{}, fmt.Errorf("tap: no such button on %q", m.Text)
	}
	now, _ := r.stamp()
	name := ch.name
	if ch.direct != "" {
		name = "directmessage"
	}
	action := fields{
		"type": "button", "block_id": block, "action_id": b.ActionID, "action_ts": now, "text": b.Text,
	}
	if b.Value != "" {
		action["value"] = b.Value
	}
	if b.Style != "" {
		action["style"] = b.Style
	}
	container := fields{"type": "message", "message_ts": m.TS, "channel_id": ch.id, "is_ephemeral": m.For != ""}
	payload := fields{
		"type": "block_actions", "token": "practice", "api_app_id": appID,
		"team": fields{"id": teamID, "domain": teamDomain}, "enterprise": nil, "is_enterprise_install": false,
		"user":    fields{"id": person, "username": r.name(person), "name": r.name(person), "team_id": teamID},
		"channel": fields{"id": ch.id, "name": name}, "container": container, "actions": []fields{action},
		"state": fields{"values": fields{}}, "trigger_id": r.next("trigger-"),
		"response_url": r.openReply("actions", &replyURL{channel: ch.id, person: person, original: m.TS}),
	}
	if m.ThreadTS != "" {
		container["thread_ts"] = m.ThreadTS
	}
	if m.For == "" { // an ephemeral message is not sent along
		payload["message"] = r.wire(m)
	}
	return parcel{id: r.next("env-"), kind: kindTap, payload: payload}, nil
}

func find(blocks []Block, pick func(string, Button) bool) (string, Button, bool) {
	for _, block := range blocks {
		buttons := block.Buttons
		if block.Accessory != nil {
			buttons = []Button{*block.Accessory}
		}
		for _, b := range buttons {
			if pick(block.BlockID, b) {
				return block.BlockID, b, true
			}
		}
	}
	return "", Button{}, false
}
