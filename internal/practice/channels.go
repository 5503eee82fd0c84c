package practice

import "slices"

type channel struct {
	id, name string
	direct   string // the person's id, in a direct message with the bot
	members  []string
	archived bool
	messages []*Message
	threads  map[string][]*Message // replies by their parent's ts
	gone     map[string]bool       // ts of deleted messages
	pace     bucket
}

func newChannel(id string) *channel {
	return &channel{id: id, threads: map[string][]*Message{}, gone: map[string]bool{}}
}

func (c *channel) has(person string) bool { return slices.Contains(c.members, person) }

func (c *channel) message(ts string) *Message {
	for _, m := range slices.Backward(c.messages) {
		if m.TS == ts {
			return m
		}
	}
	return nil
}

// kind is Slack's word for what sort of conversation c is.
func (c *channel) kind() string {
	if c.direct != "" {
		return "im"
	}
	return "channel"
}

// historyScope is the scope that reads c and hears what is said in it.
func (c *channel) historyScope() string {
	if c.direct != "" {
		return "im:history"
	}
	return "channels:history"
}

// shownName is c's name in what Slack sends.
func (c *channel) shownName() string {
	if c.direct != "" {
		return "directmessage"
	}
	return c.name
}

// add puts a message at the end, and under its parent.
func (c *channel) add(m *Message) {
	c.messages = append(c.messages, m)
	if m.ThreadTS != "" && m.For == "" {
		c.threads[m.ThreadTS] = append(c.threads[m.ThreadTS], m)
	}
}

// drop takes a message away.
func (c *channel) drop(m *Message) {
	is := func(o *Message) bool { return o == m }
	c.gone[m.TS] = true
	c.messages = slices.DeleteFunc(c.messages, is)
	if m.ThreadTS != "" {
		c.threads[m.ThreadTS] = slices.DeleteFunc(c.threads[m.ThreadTS], is)
	}
}

// threadOf is what Slack adds to a message that has replies.
func (c *channel) threadOf(m *Message) fields {
	replies := c.threads[m.TS]
	if len(replies) == 0 {
		return nil
	}
	users := []string{}
	for _, r := range replies {
		if !slices.Contains(users, r.Person) {
			users = append(users, r.Person)
		}
	}
	return fields{
		"thread_ts": m.TS, "reply_count": len(replies), "reply_users": users, "reply_users_count": len(users),
		"latest_reply": replies[len(replies)-1].TS, "is_locked": false, "subscribed": true,
	}
}
