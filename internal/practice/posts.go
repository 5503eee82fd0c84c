package practice

import (
	"cmp"
	"encoding/json"
	"maps"
	"strings"
	"unicode/utf8"
)

// draft is what a call wants to have written.
type draft struct {
	text     string
	blocks   []Block
	raw      string // the blocks as they came
	metadata json.RawMessage

	hasBlocks bool
}

// draft reads what a message says; r.mu is held.
func (r *Room) draft(args map[string]string) (draft, *refusal) {
	d := draft{text: args["text"]}
	d.raw, d.hasBlocks = args["blocks"]
	if d.hasBlocks {
		var no *refusal
		if d.blocks, no = readBlocks(d.raw, r.next); no != nil {
			return d, no
		}
	}
	if raw, ok := args["metadata"]; ok {
		if no := checkMetadata(raw); no != nil {
			return d, no
		}
		d.metadata = json.RawMessage(raw)
	}
	if d.text == "" && len(d.blocks) == 0 {
		return d, refuse("no_text")
	}
	if utf8.RuneCountInString(d.text) > maxText {
		d.text = string([]rune(d.text)[:maxText])
	}
	return d, nil
}

// checkMetadata holds metadata to its two fields; {} takes it away.
func checkMetadata(raw string) *refusal {
	var meta struct {
		Type    string         `json:"event_type"`
		Payload map[string]any `json:"event_payload"`
	}
	d := json.NewDecoder(strings.NewReader(raw))
	d.DisallowUnknownFields()
	if err := d.Decode(&meta); err != nil {
		return refuse("invalid_metadata_format", err.Error())
	}
	if raw != "{}" && (meta.Type == "" || meta.Payload == nil) {
		return refuse("invalid_metadata_schema", "event_type must be a string, event_payload an object")
	}
	return nil
}

// place finds where a post goes: a conversation that the bot is in, or the
// direct message with a person given by id; r.mu is held.
func (r *Room) place(id string) (*channel, *refusal) {
	ch := r.channel(id)
	if ch == nil && id != "" && id[0] == 'U' {
		ch = r.direct(id)
	}
	switch {
	case ch == nil:
		return nil, refuse("channel_not_found")
	case ch.archived:
		return nil, refuse("is_archived")
	case !ch.has(botUser) && !r.scoped("chat:write.public"):
		return nil, refuse("not_in_channel")
	}
	return ch, nil
}

// thread gives the ts under which a reply stands: that of a message that is no
// reply itself. Under a deleted one Slack posts without a thread.
func (c *channel) thread(ts string) (string, *refusal) {
	if ts == "" || c.gone[ts] {
		return "", nil
	}
	if m := c.message(ts); m == nil || m.ThreadTS != "" || m.For != "" {
		return "", refuse("invalid_thread_ts", ts+" is not a valid thread_ts")
	}
	return ts, nil
}

func postMessage(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	ch, no := r.place(args["channel"])
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
	if no := r.paced(ch); no != nil {
		return nil, no
	}
	m := r.write(ch, Message{Person: botUser, ThreadTS: parent, Aloud: parent != "" && isTrue(args["reply_broadcast"])}, d)
	r.counts.Posts++
	r.countDouble(m, d)
	return fields{"channel": ch.id, "ts": m.TS, "message": r.wire(m)}, nil
}

func postEphemeral(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	ch, no := r.place(args["channel"])
	if no != nil {
		return nil, no
	}
	if !ch.has(args["user"]) || args["user"] == botUser {
		return nil, refuse("user_not_in_channel")
	}
	d, no := r.draft(args)
	if no != nil {
		return nil, no
	}
	parent, no := ch.thread(args["thread_ts"])
	if no != nil {
		return nil, no
	}
	m := r.write(ch, Message{Person: botUser, ThreadTS: parent, For: args["user"]}, d)
	r.counts.Whispers++
	return fields{"message_ts": m.TS}, nil
}

// own finds a message of the bot's that stands where args say; r.mu is held.
func (r *Room) own(args map[string]string, cant string) (*channel, *Message, *refusal) {
	ch := r.channel(args["channel"])
	if ch == nil || !ch.has(botUser) {
		return nil, nil, refuse("channel_not_found")
	}
	m := ch.message(args["ts"])
	switch {
	case m == nil || m.For != "":
		return nil, nil, refuse("message_not_found")
	case m.Person != botUser:
		return nil, nil, refuse(cant)
	}
	return ch, m, nil
}

func updateMessage(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	ch, m, no := r.own(args, "cant_update_message")
	if no != nil {
		return nil, no
	}
	if ch.archived {
		return nil, refuse("is_inactive")
	}
	if utf8.RuneCountInString(args["text"]) > maxUpdate {
		return nil, refuse("msg_too_long")
	}
	d, no := r.draft(args)
	if no != nil {
		return nil, no
	}
	r.rewrite(ch, m, d)
	r.counts.Updates++
	return fields{"channel": ch.id, "ts": m.TS, "text": m.Text, "message": r.wire(m)}, nil
}

func deleteMessage(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	ch, m, no := r.own(args, "cant_delete_message")
	if no != nil {
		return nil, no
	}
	r.remove(ch, m)
	r.counts.Deletes++
	return fields{"channel": ch.id, "ts": m.TS}, nil
}

// write puts a message into a channel and tells the service of it.
func (r *Room) write(ch *channel, m Message, d draft) *Message {
	m.Channel, m.Text, m.Blocks, m.Metadata = ch.id, d.text, d.blocks, d.metadata
	m.TS, m.At = r.stamp()
	ch.add(&m)
	r.note(Posted, &m)
	if m.For == "" {
		r.tell(ch, r.posted(ch, &m))
	}
	return &m
}

// rewrite edits a message. Blocks and metadata that a call leaves out stay.
func (r *Room) rewrite(ch *channel, m *Message, d draft) <-chan struct{} {
	before := r.wire(m)
	ts, now := r.stamp()
	m.Edits = append(m.Edits, Edit{now, m.Text, m.Blocks})
	m.Text = d.text
	if d.hasBlocks {
		m.Blocks = d.blocks
	}
	if d.metadata != nil {
		m.Metadata = d.metadata
	}
	r.note(Edited, m)
	if m.For != "" {
		return nil
	}
	return r.tell(ch, fields{
		"type": "message", "subtype": "message_changed", "hidden": true, "channel": ch.id,
		"channel_type": ch.kind(), "ts": ts, "event_ts": ts, "message": r.wire(m), "previous_message": before,
	})
}

func (r *Room) remove(ch *channel, m *Message) <-chan struct{} {
	before := r.wire(m)
	ts, _ := r.stamp()
	ch.drop(m)
	r.note(Deleted, m)
	if m.For != "" {
		return nil
	}
	return r.tell(ch, fields{
		"type": "message", "subtype": "message_deleted", "hidden": true, "channel": ch.id,
		"channel_type": ch.kind(), "ts": ts, "event_ts": ts, "deleted_ts": m.TS, "previous_message": before,
	})
}

// wire gives a message as Slack writes it.
func (r *Room) wire(m *Message) fields {
	out := fields{"type": "message", "user": m.Person, "text": m.Text, "ts": m.TS, "team": r.team(m.Person)}
	if m.Person != botUser {
		out["blocks"] = []fields{r.rich(m.Text)}
	} else {
		out["bot_id"], out["app_id"] = botID, appID
		out["bot_profile"] = fields{
			"id": botID, "app_id": appID, "user_id": botUser, "name": r.cfg.Name,
			"team_id": teamID, "deleted": false, "updated": 0, "icons": fields{},
		}
	}
	if len(m.Blocks) > 0 {
		out["blocks"] = m.Blocks
	}
	if m.ThreadTS != "" {
		out["thread_ts"] = m.ThreadTS
		if parent := r.channel(m.Channel).message(m.ThreadTS); parent != nil {
			out["parent_user_id"] = parent.Person
		}
	}
	if m.Aloud {
		out["subtype"] = "thread_broadcast"
	}
	maps.Copy(out, r.channel(m.Channel).threadOf(m))
	if m.Metadata != nil {
		out["metadata"] = m.Metadata
	}
	if n := len(m.Edits); n > 0 {
		out["edited"] = fields{"user": m.Person, "ts": stampOf(m.Edits[n-1].Until)}
	}
	return out
}

// countDouble counts a post that says what an earlier one said.
func (r *Room) countDouble(m *Message, d draft) {
	key := m.Channel + "\x00" + m.ThreadTS + "\x00" + cmp.Or(string(d.metadata), d.text+"\x00"+d.raw)
	if r.seen[key] {
		r.counts.Doubles++
	}
	r.seen[key] = true
}
