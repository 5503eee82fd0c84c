package practice

import (
	"context"
	"fmt"
	"strings"
)

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
	ch.add(m)
	r.note(Posted, m)
	event := r.posted(ch, m)
	event["client_msg_id"] = r.next("msg-")
	told := []<-chan struct{}{r.tell(ch, event)}
	if ch.direct == "" && m.mentionsBot() {
		told = append(told, r.tell(ch, r.named(ch, m)))
	}
	ts := m.TS
	r.mu.Unlock()
	return ts, heard(ctx, told...)
}

func (m *Message) mentionsBot() bool { return strings.Contains(m.Text, "<@"+botUser+">") }

// named is the event of the bot being mentioned.
func (r *Room) named(ch *channel, m *Message) fields {
	event := r.posted(ch, m)
	event["type"] = "app_mention"
	delete(event, "channel_type")
	return event
}

// Edit has a person change what they wrote. It returns when the service was
// told of it once.
func (r *Room) Edit(ctx context.Context, person, channel, ts, text string) error {
	r.mu.Lock()
	ch, m, err := r.theirs(person, channel, ts)
	if err != nil {
		r.mu.Unlock()
		return fmt.Errorf("edit: %w", err)
	}
	before := m.mentionsBot()
	told := []<-chan struct{}{r.rewrite(ch, m, draft{text: r.typed(text, mention)})}
	if ch.direct == "" && m.mentionsBot() && !before { // a mention that was edited in is one; slack-go, AppMentionEvent.Edited
		event := r.named(ch, m)
		event["event_ts"], _ = r.stamp()
		told = append(told, r.tell(ch, event))
	}
	r.mu.Unlock()
	return heard(ctx, told...)
}

// Delete has a person take back what they wrote. It returns when the service
// was told of it once.
func (r *Room) Delete(ctx context.Context, person, channel, ts string) error {
	r.mu.Lock()
	ch, m, err := r.theirs(person, channel, ts)
	if err != nil {
		r.mu.Unlock()
		return fmt.Errorf("delete: %w", err)
	}
	told := r.remove(ch, m)
	r.mu.Unlock()
	return heard(ctx, told)
}

// theirs finds a message that the person wrote; r.mu is held.
func (r *Room) theirs(person, place, ts string) (*channel, *Message, error) {
	ch, m, err := r.beheld(person, place, ts)
	switch {
	case err != nil:
	case m.Person != person:
		err = fmt.Errorf("%s did not write %q", r.name(person), m.Text)
	case ch.archived:
		err = fmt.Errorf("%s is archived", place)
	}
	return ch, m, err
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
