package practice

import (
	"context"
	"fmt"
	"time"
)

// picker says whether a button is the one that is meant.
type picker func(block string, b Button) bool

func labelled(label string) picker {
	return func(_ string, b Button) bool { return unescape.Replace(b.Text.Text) == label }
}

// Tap has a person tap the button with that label on the message with that ts.
func (r *Room) Tap(ctx context.Context, person, channel, ts, label string) (Response, error) {
	return r.tap(ctx, person, channel, ts, labelled(label))
}

func (r *Room) tap(ctx context.Context, person, channel, ts string, pick picker) (Response, error) {
	r.mu.Lock()
	p, err := r.tapped(person, channel, ts, pick)
	r.mu.Unlock()
	if err != nil {
		return Response{}, fmt.Errorf("tap: %w", err)
	}
	return r.told(ctx, "tap", p)
}

// told delivers what a person did and takes nothing but the acknowledgement.
func (r *Room) told(ctx context.Context, what string, p parcel) (Response, error) {
	start := time.Now()
	if _, err := r.request(ctx, p); err != nil {
		return Response{}, fmt.Errorf("%s: %w", what, err)
	}
	return Response{Took: time.Since(start)}, nil
}

// beheld finds a message that a person sees; r.mu is held.
func (r *Room) beheld(person, place, ts string) (*channel, *Message, error) {
	ch, err := r.enter(person, place)
	if err != nil {
		return nil, nil, err
	}
	m := ch.message(ts)
	if m == nil || m.For != "" && m.For != person {
		return nil, nil, fmt.Errorf("%s sees no message %s", r.name(person), ts)
	}
	return ch, m, nil
}

// tapped makes the parcel of a tap; r.mu is held.
func (r *Room) tapped(person, channel, ts string, pick picker) (parcel, error) {
	ch, m, err := r.beheld(person, channel, ts)
	if err != nil {
		return parcel{}, err
	}
	block, b, ok := find(m.Blocks, pick)
	if !ok {
		return parcel{}, fmt.Errorf("no such button on %q", m.Text)
	}
	container := fields{"type": "message", "message_ts": m.TS, "channel_id": ch.id, "is_ephemeral": m.For != ""}
	if m.ThreadTS != "" {
		container["thread_ts"] = m.ThreadTS
	}
	payload := fields{
		"channel": fields{"id": ch.id, "name": ch.shownName()}, "container": container,
		"actions": []fields{r.action(block, b)}, "state": fields{"values": fields{}},
		"trigger_id":   r.openTrigger(person, false),
		"response_url": r.openReply("actions", &replyURL{channel: ch.id, person: person, original: m.TS}),
	}
	if m.For == "" { // an ephemeral message is not sent along
		payload["message"] = r.wire(m)
	}
	return r.acted("block_actions", person, payload), nil
}

// action is a tapped button as Slack reports it; r.mu is held.
func (r *Room) action(block string, b Button) fields {
	now, _ := r.stamp()
	out := fields{"type": "button", "block_id": block, "action_id": b.ActionID, "action_ts": now, "text": b.Text}
	if b.Value != "" {
		out["value"] = b.Value
	}
	if b.Style != "" {
		out["style"] = b.Style
	}
	return out
}

func find(blocks []Block, pick picker) (string, Button, bool) {
	for _, block := range blocks {
		for _, b := range block.buttons() {
			if pick(block.BlockID, b) {
				return block.BlockID, b, true
			}
		}
	}
	return "", Button{}, false
}
