package chat

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"time"

	"ventbell/internal/kitchen"
)

// The ways in. They are also labels.
const (
	slash   = "slash"
	tap     = "tap"
	mention = "mention"
	thread  = "thread"
	direct  = "direct"
)

// ask is one thing that somebody said or tapped, whichever way it came.
type ask struct {
	kind     string
	id       string // the same for every time that the same thing arrives
	channel  string
	private  bool   // the channel is a direct message
	thread   string // where the answer hangs; empty = in the open
	user     string
	name     string // as the payload has it; may be empty
	text     string
	tap      *kitchen.Tap
	at       time.Time
	replyURL string    // where a private answer may be sent later
	received time.Time // on our own clock
}

// Our own decoding takes the few fields that we use and lets everything else
// be what it likes: Slack adds fields and events as it goes, and an event that
// a stricter reader refuses would be sent again and again.

// slashCommand is a slash command, as a form or as JSON.
type slashCommand struct {
	Channel     string `json:"channel_id"`
	ChannelName string `json:"channel_name"`
	User        string `json:"user_id"`
	UserName    string `json:"user_name"`
	Text        string `json:"text"`
	ResponseURL string `json:"response_url"`
	Trigger     string `json:"trigger_id"`
}

func slashForm(form url.Values) slashCommand {
	return slashCommand{
		Channel: form.Get("channel_id"), ChannelName: form.Get("channel_name"),
		User: form.Get("user_id"), UserName: form.Get("user_name"), Text: form.Get("text"),
		ResponseURL: form.Get("response_url"), Trigger: form.Get("trigger_id"),
	}
}

// ask gives a slash command as an ask; at is when it was sent.
func (s slashCommand) ask(at time.Time) (*ask, error) {
	if s.Channel == "" || s.User == "" || s.Trigger == "" {
		return nil, errors.New("decode slash command: channel, user or trigger missing")
	}
	return &ask{
		kind: slash, id: "cmd:" + s.Trigger, channel: s.Channel,
		private: isDirect(s.Channel) || s.ChannelName == "directmessage",
		user:    s.User, name: s.UserName, text: unmark(s.Text, ""), at: at, replyURL: s.ResponseURL,
	}, nil
}

// interaction is what Slack sends of a tap.
type interaction struct {
	Type string `json:"type"`
	User struct {
		ID       string `json:"id"`
		Name     string `json:"name"`
		Username string `json:"username"`
	} `json:"user"`
	Container struct {
		Channel string `json:"channel_id"`
		Message string `json:"message_ts"`
		Thread  string `json:"thread_ts"`
	} `json:"container"`
	Channel struct {
		ID string `json:"id"`
	} `json:"channel"`
	ResponseURL string `json:"response_url"`
	Actions     []struct {
		Type  string `json:"type"`
		ID    string `json:"action_id"`
		Value string `json:"value"`
		At    string `json:"action_ts"`
	} `json:"actions"`
}

// decodeTap gives a tap as an ask; nil if it is no tap of a button of ours.
// With an error it gives what is enough to tell the person so, if it can.
// Slack sends one action at a time for a button.
func decodeTap(payload []byte, now time.Time) (*ask, error) {
	var in interaction
	if err := json.Unmarshal(payload, &in); err != nil {
		return nil, fmt.Errorf("decode tap: %w", err)
	}
	if in.Type != "block_actions" || len(in.Actions) == 0 || !strings.HasPrefix(in.Actions[0].ID, actionPrefix) {
		return nil, nil
	}
	act := in.Actions[0]
	a := &ask{
		kind: tap, channel: cmp.Or(in.Container.Channel, in.Channel.ID), thread: in.Container.Thread,
		user: in.User.ID, name: cmp.Or(in.User.Username, in.User.Name), replyURL: in.ResponseURL,
	}
	a.private = isDirect(a.channel)
	if a.user == "" || a.channel == "" {
		return nil, errors.New("decode tap: channel or user missing")
	}
	var ok bool
	if a.at, ok = moment(act.At); !ok {
		a.at = now
	}
	press := sha256.Sum256([]byte(strings.Join(
		[]string{a.user, a.channel, in.Container.Message, act.ID, act.At}, "\x00")))
	a.id = "tap:" + hex.EncodeToString(press[:16])
	value, err := kitchen.ParseTap(act.Value)
	if err != nil {
		return a, errors.New("decode tap: the button carries nothing of ours")
	}
	a.tap = &value
	return a, nil
}

// callback is the outer form of an event.
type callback struct {
	Type      string          `json:"type"`
	Challenge string          `json:"challenge"`
	Team      string          `json:"team_id"`
	Event     json.RawMessage `json:"event"`
}

// said is a message or a mention.
type said struct {
	Type    string `json:"type"`
	Subtype string `json:"subtype"`
	Channel string `json:"channel"`
	Kind    string `json:"channel_type"`
	User    string `json:"user"`
	Bot     string `json:"bot_id"`
	Text    string `json:"text"`
	TS      string `json:"ts"`
	Thread  string `json:"thread_ts"`
	Parent  string `json:"parent_user_id"` // who wrote the thread's first message
}

// decodeEvent gives an event as an ask; nil if it is none of our business. us
// is the bot's own user; empty when it is not known.
func decodeEvent(cb callback, us string, now time.Time) (*ask, error) {
	var outer struct {
		Type string `json:"type"`
	}
	if err := json.Unmarshal(cb.Event, &outer); err != nil {
		return nil, fmt.Errorf("decode event: %w", err)
	}
	if outer.Type != "message" && outer.Type != "app_mention" {
		return nil, nil
	}
	var e said
	if err := json.Unmarshal(cb.Event, &e); err != nil {
		return nil, fmt.Errorf("decode event: %w", err)
	}
	kind := e.kind(us)
	// A subtype is a note about a message (edited, deleted, somebody joined),
	// not somebody speaking.
	if kind == "" || e.Subtype != "" || e.Bot != "" || e.User == "" || e.User == us || e.TS == "" || e.Channel == "" {
		return nil, nil
	}
	a := &ask{
		kind: kind, id: "msg:" + cb.Team + "/" + e.Channel + "/" + e.TS, channel: e.Channel,
		private: kind == direct, thread: e.Thread, user: e.User, text: unmark(e.Text, us),
	}
	if kind == mention && us == "" { // whoever we are, a mention begins with us
		a.text = unmark(leadingMention.ReplaceAllString(e.Text, ""), "")
	}
	if a.thread == "" && !a.private {
		a.thread = e.TS
	}
	var ok bool
	if a.at, ok = moment(e.TS); !ok {
		a.at = now
	}
	return a, nil
}

// kind says which way in a message is; "" for one that is not for us. In a
// channel only those who mention us, or answer in a thread that we began, talk
// to us.
func (e said) kind(us string) string {
	switch {
	case e.Kind == "im" || isDirect(e.Channel):
		return direct
	case e.Type == "app_mention":
		return mention
	case us == "":
		return ""
	case strings.Contains(e.Text, "<@"+us+">") || strings.Contains(e.Text, "<@"+us+"|"):
		return mention
	case e.Thread != "" && e.Thread != e.TS && e.Parent == us:
		return thread
	}
	return ""
}

// isDirect says that a channel is a direct message: Slack's ids of those begin
// with a D.
func isDirect(channel string) bool { return strings.HasPrefix(channel, "D") }

var (
	marked         = regexp.MustCompile(`<([^<>]*)>`)
	leadingMention = regexp.MustCompile(`^\s*<@[^<>]*>`)
	// Slack escapes just these three in what it sends.
	unescape = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&")
)

// unmark gives a message as it was typed: our own mention taken out, other
// mentions and links by their names, escapes undone.
func unmark(text, us string) string {
	text = marked.ReplaceAllStringFunc(text, func(s string) string {
		what, label, _ := strings.Cut(s[1:len(s)-1], "|")
		switch {
		case us != "" && what == "@"+us:
			return " "
		case strings.HasPrefix(what, "@"), strings.HasPrefix(what, "#"):
			return what[:1] + strings.TrimPrefix(cmp.Or(label, what[1:]), what[:1])
		}
		return cmp.Or(label, what)
	})
	return strings.TrimSpace(unescape.Replace(text))
}

// moment reads Slack's timestamps: seconds, a point and microseconds.
func moment(ts string) (time.Time, bool) {
	whole, part, _ := strings.Cut(ts, ".")
	seconds, err := strconv.ParseInt(whole, 10, 64)
	if err != nil || seconds <= 0 || len(part) > 6 {
		return time.Time{}, false
	}
	micros, err := strconv.ParseUint((part + "000000")[:6], 10, 32)
	if err != nil {
		return time.Time{}, false
	}
	return time.Unix(seconds, int64(micros)*1000), true
}
