package practice

import (
	"slices"
	"strconv"
	"strings"
	"time"
)

// What may be scheduled. Source: docs.slack.dev, chat.scheduleMessage; that a
// message is out of reach in its last minute is from memory.
const (
	mostAhead    = 120 * 24 * time.Hour
	windowSpan   = 5 * time.Minute
	mostInWindow = 30 // in one channel
	outOfReach   = time.Minute
)

// Scheduled is a message that waits for its time.
type Scheduled struct {
	ID, Channel, Text string
	ThreadTS          string
	Blocks            []Block
	At                time.Time // when it posts
	Made              time.Time // when it was scheduled
	// Never says that it carries metadata, with which Slack takes a message
	// and does not post it: an open bug on the page of chat.scheduleMessage.
	Never bool
}

type later struct {
	Scheduled
	draft   draft
	aloud   bool
	dropped chan struct{}
}

// Scheduled gives the messages that wait for their time, the next first.
func (r *Room) Scheduled() []Scheduled {
	r.mu.Lock()
	defer r.mu.Unlock()
	var all []Scheduled
	for _, l := range r.later {
		all = append(all, l.Scheduled)
	}
	return all
}

func scheduleMessage(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	ch, no := r.place(args["channel"])
	if no != nil {
		return nil, no
	}
	now := r.cfg.Clock.Now()
	at, no := r.postAt(ch, args["post_at"], now)
	if no != nil {
		return nil, no
	}
	d, no := r.draft(args)
	if no != nil {
		return nil, no
	}
	parent, no := ch.thread(args["thread_ts"])
	if no != nil {
		return nil, no
	}
	l := &later{
		Scheduled: Scheduled{
			ID: r.next("Q"), Channel: ch.id, Text: d.text, ThreadTS: parent, Blocks: d.blocks, At: at, Made: now,
			Never: d.metadata != nil,
		},
		draft: d, aloud: parent != "" && isTrue(args["reply_broadcast"]), dropped: make(chan struct{}),
	}
	r.later = append(r.later, l)
	slices.SortStableFunc(r.later, func(a, b *later) int { return a.At.Compare(b.At) })
	r.counts.Scheduled++
	if !r.closed {
		r.work.Go(func() { r.postLater(l) })
	}
	return fields{
		"channel": ch.id, "scheduled_message_id": l.ID, "post_at": at.Unix(),
		"message": fields{
			"type": "delayed_message", "subtype": "bot_message", "text": d.text, "bot_id": botID, "username": r.cfg.Name,
		},
	}, nil
}

// postAt reads when a message is to post, and holds it to Slack's bounds; r.mu
// is held.
func (r *Room) postAt(ch *channel, text string, now time.Time) (time.Time, *refusal) {
	seconds, err := strconv.ParseInt(text, 10, 64)
	at := time.Unix(seconds, 0)
	switch {
	case err != nil:
		return at, refuse("invalid_time")
	case !at.After(now):
		return at, refuse("time_in_past")
	case at.Sub(now) > mostAhead:
		return at, refuse("time_too_far")
	}
	times := []time.Time{at}
	for _, l := range r.later {
		if l.Channel == ch.id {
			times = append(times, l.At)
		}
	}
	for _, start := range times { // every window that at stands in begins with one of them
		in := 0
		for _, t := range times {
			if !t.Before(start) && t.Before(start.Add(windowSpan)) {
				in++
			}
		}
		if in > mostInWindow && !at.Before(start) && at.Before(start.Add(windowSpan)) {
			return at, refuse("restricted_too_many")
		}
	}
	return at, nil
}

// postLater posts a message at its time. Where the bot may no longer post then,
// nothing comes of it.
func (r *Room) postLater(l *later) {
	err := r.cfg.Clock.Wait(r.ctx, l.At, l.dropped)
	r.mu.Lock()
	defer r.mu.Unlock()
	if err != nil || !r.unschedule(l) {
		return
	}
	ch := r.channel(l.Channel)
	if l.Never || ch.archived || !ch.has(botUser) {
		r.wake()
		r.cfg.Log.Warn("practice did not post a scheduled message", "channel", l.Channel, "metadata", l.Never)
		return
	}
	parent := l.ThreadTS
	if ch.gone[parent] {
		parent = ""
	}
	r.write(ch, Message{Person: botUser, ThreadTS: parent, Aloud: l.aloud && parent != ""}, l.draft)
}

// unschedule takes a message out of those that wait; r.mu is held.
func (r *Room) unschedule(l *later) bool {
	at := slices.Index(r.later, l)
	if at < 0 {
		return false
	}
	r.later = slices.Delete(r.later, at, at+1)
	return true
}

func deleteScheduled(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.channel(args["channel"]) == nil {
		return nil, refuse("channel_not_found")
	}
	for _, l := range r.later {
		if l.ID != args["scheduled_message_id"] || l.Channel != args["channel"] {
			continue
		}
		if l.At.Sub(r.cfg.Clock.Now()) < outOfReach {
			break
		}
		r.unschedule(l)
		close(l.dropped)
		return nil, nil
	}
	return nil, refuse("invalid_scheduled_message_id")
}

func listScheduled(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if id := args["channel"]; id != "" && r.channel(id) == nil {
		return nil, refuse("invalid_channel")
	}
	within, no := readSpan(args)
	if no != nil {
		return nil, refuse("invalid_arguments", strings.TrimPrefix(no.code, "invalid_")+" is no time")
	}
	all := []fields{}
	for _, l := range r.later {
		at := l.At.UnixMicro()
		if id := args["channel"]; id != "" && id != l.Channel || at < within.oldest || at > within.latest {
			continue
		}
		all = append(all, fields{
			"id": l.ID, "channel_id": l.Channel, "post_at": l.At.Unix(), "date_created": l.Made.Unix(), "text": l.Text,
		})
	}
	from, to, next, no := paged(len(all), args, mostOfHistory)
	if no != nil {
		return nil, no
	}
	return fields{"scheduled_messages": all[from:to], "response_metadata": fields{"next_cursor": next}}, nil
}
