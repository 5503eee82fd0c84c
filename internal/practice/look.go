package practice

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"strings"
	"time"
)

// Message is a message as it stands in the room.
type Message struct {
	Channel  string
	TS       string // its time and its name, as Slack writes it
	Person   string // the author's id
	Text     string // in Slack's markup
	Blocks   []Block
	Metadata json.RawMessage
	ThreadTS string // the parent's ts, in a thread
	Aloud    bool   // a reply that stands in the channel as well
	For      string // the only person who sees it; empty = everybody
	At       time.Time
	Edits    []Edit // what it said before, oldest first
}

// Edit is what a message said until it was edited.
type Edit struct {
	Until  time.Time
	Text   string
	Blocks []Block
}

// Buttons gives the message's buttons in order.
func (m Message) Buttons() []Button {
	var all []Button
	for _, b := range m.Blocks {
		all = append(all, b.buttons()...)
	}
	return all
}

// Kind is what happened to a message.
type Kind int

// The kinds of change.
const (
	Posted Kind = iota + 1
	Edited
	Deleted
)

// Change is something that happened to a message, and the message after it.
type Change struct {
	Kind    Kind
	Message Message
}

// Counts is what the room has counted since it was made.
type Counts struct {
	Posts, Updates, Deletes, Whispers int            // taken from the service
	Views                             int            // forms and pages shown or changed by a call
	Scheduled                         int            // messages taken for later
	Refused                           map[string]int // by Slack's word for why
	Doubles                           int            // posts that repeat an earlier one: by metadata, else by text and blocks
	Redelivered                       int            // sent again for want of an acknowledgement
	AcksDropped                       int            // acknowledgements too big or of nothing that waits
}

// Counts gives what the room has counted so far.
func (r *Room) Counts() Counts {
	r.mu.Lock()
	defer r.mu.Unlock()
	c := r.counts
	c.Refused = maps.Clone(c.Refused)
	return c
}

// Messages gives what stands in the channel, oldest first, ephemeral messages
// and thread replies included; an empty channel means all channels.
func (r *Room) Messages(channel string) []Message {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.standing(channel)
}

func (r *Room) standing(channel string) []Message {
	var all []Message
	for _, ch := range r.rooms {
		if channel != "" && ch.id != channel {
			continue
		}
		for _, m := range ch.messages {
			all = append(all, *m)
		}
	}
	return all
}

// note records a change for all who watch; r.mu is held.
func (r *Room) note(kind Kind, m *Message) {
	r.changes = append(r.changes, Change{kind, *m})
	r.wake()
}

// wake tells all who watch to look again; r.mu is held.
func (r *Room) wake() {
	close(r.changed)
	r.changed = make(chan struct{})
}

// since gives the changes from the n-th on, and what is closed at the next one.
func (r *Room) since(n int) ([]Change, <-chan struct{}) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.changes[n:len(r.changes):len(r.changes)], r.changed
}

// Watch gives every change from now on, in order, until ctx or the room ends.
func (r *Room) Watch(ctx context.Context) <-chan Change {
	out := make(chan Change)
	r.mu.Lock()
	n := len(r.changes)
	r.mu.Unlock()
	r.spawn(func() {
		defer close(out)
		_ = r.follow(ctx, n, func(c Change) error {
			select {
			case out <- c:
				return nil
			case <-ctx.Done():
				return ctx.Err()
			case <-r.ctx.Done():
				return r.ctx.Err()
			}
		})
	})
	return out
}

// follow gives every change from the n-th on to each, until it fails or ctx or
// the room ends.
func (r *Room) follow(ctx context.Context, n int, each func(Change) error) error {
	for {
		list, more := r.since(n)
		for _, c := range list {
			if err := each(c); err != nil {
				return err
			}
		}
		n += len(list)
		select {
		case <-more:
		case <-ctx.Done():
			return ctx.Err()
		case <-r.ctx.Done():
			return r.ctx.Err()
		}
	}
}

// Wait waits until what stands in the channel (empty = all) satisfies cond.
// When ctx ends first, the error shows what stood there.
func (r *Room) Wait(ctx context.Context, channel string, cond func([]Message) bool) error {
	for {
		r.mu.Lock()
		now, more := r.standing(channel), r.changed
		r.mu.Unlock()
		if cond(now) {
			return nil
		}
		select {
		case <-more:
		case <-ctx.Done():
			return fmt.Errorf("wait for messages: %w; there stood:\n%s", ctx.Err(), r.transcript(now))
		case <-r.ctx.Done():
			return fmt.Errorf("wait for messages: the room was closed; there stood:\n%s", r.transcript(now))
		}
	}
}

func (r *Room) transcript(list []Message) string {
	var b strings.Builder
	for _, m := range list {
		fmt.Fprintf(&b, "  %s  %s\n", r.Name(m.Person), strings.Join(r.Lines(m), "\n    "))
	}
	return b.String()
}

// Name gives the name of a person or channel by id, or the id itself.
func (r *Room) Name(id string) string {
	r.mu.Lock()
	defer r.mu.Unlock()
	if n := r.name(id); n != "" {
		return n
	}
	if ch := r.channel(id); ch != nil && ch.direct != "" {
		return "direct " + r.name(ch.direct)
	} else if ch != nil {
		return ch.name
	}
	return id
}

// Lines gives a message as plain lines for a terminal: its text with names for
// mentions and fallbacks for times, then its buttons as [Label].
func (r *Room) Lines(m Message) []string {
	lines := strings.Split(r.Plain(m.Text), "\n")
	if m.Text == "" {
		lines = nil
		for _, b := range m.Blocks {
			for _, t := range b.texts() {
				lines = append(lines, strings.Split(r.Plain(t.Text), "\n")...)
			}
		}
	}
	if row := row(m.Buttons()); row != "" {
		lines = append(lines, row)
	}
	return lines
}

// row gives buttons as [Label] [Label].
func row(buttons []Button) string {
	labels := make([]string, len(buttons))
	for i, b := range buttons {
		labels[i] = "[" + unescape.Replace(b.Text.Text) + "]"
	}
	return strings.Join(labels, " ")
}

// angled is Slack's <...>: a mention, a channel, a time or a link.
var angled = regexp.MustCompile(`<([^<>]*)>`)

// strong is *text* that Slack shows bold.
var strong = regexp.MustCompile(`(^|[\s(\[,.:;])\*([^\s*](?:[^*\n]*[^\s*])?)\*`)

// Plain gives text in Slack's markup as a reader without markup sees it.
func (r *Room) Plain(text string) string {
	text = angled.ReplaceAllStringFunc(text, func(s string) string {
		what, label, labelled := strings.Cut(s[1:len(s)-1], "|")
		switch {
		case strings.HasPrefix(what, "@"):
			return "@" + r.Name(what[1:])
		case strings.HasPrefix(what, "#"):
			return "#" + r.Name(what[1:])
		case labelled:
			return label
		case strings.HasPrefix(what, "!"):
			return "@" + what[1:]
		}
		return what
	})
	text = strong.ReplaceAllString(text, "$1$2")
	return unescape.Replace(text)
}

var (
	escape   = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")
	unescape = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&")
)
