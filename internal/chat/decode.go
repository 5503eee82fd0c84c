package chat

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"strconv"
	"strings"
	"time"

	"ventbell/internal/kitchen"
)

// The ways in. They are also labels.
const (
	slash    = "slash"
	tap      = "tap"
	mention  = "mention"
	thread   = "thread"
	direct   = "direct"
	form     = "form"     // sent in
	shortcut = "shortcut" // taken anywhere, or on a message
	home     = "home"     // somebody looks at their own page
	edit     = "edit"     // somebody changed what they had said to us
)

// ask is one thing that somebody said or did, whichever way it came.
type ask struct {
	kind     string
	id       string // the same for every time that the same thing arrives
	event    string // Slack's id of the event, where there is one
	channel  string // empty = there was none: the answer goes to the person
	private  bool   // no channel of a team's: a direct message, or none at all
	thread   string // where the answer hangs; empty = in the open
	kitchen  string // as a view of ours carried it; empty = go by the channel
	user     string
	name     string // as the payload has it; may be empty
	stranger bool   // of another team than the one that let us in
	text     string
	message  string // where it was said or tapped, as "channel/timestamp"; empty = in no message
	tap      *kitchen.Tap
	form     *kitchen.Filled
	fields   []string // the ids of the fields that stood in the form
	open     kitchen.FormName
	home     bool // tapped on the person's own page
	fresh    bool // of home: Slack shows no page yet
	at       time.Time
	trigger  string    // lets us open a form, for three seconds
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
	Team        string `json:"team_id"`
	Whole       yes    `json:"is_enterprise_install"` // the bot belongs to a whole organisation
}

// yes is yes or no as Slack writes it: as JSON's own in one place, as text in
// another.
type yes bool

// UnmarshalJSON takes both; anything else is no.
func (f *yes) UnmarshalJSON(body []byte) error {
	*f = yes(strings.Trim(string(body), `"`) == "true")
	return nil
}

func slashForm(form url.Values) slashCommand {
	return slashCommand{
		Channel: form.Get("channel_id"), ChannelName: form.Get("channel_name"),
		User: form.Get("user_id"), UserName: form.Get("user_name"), Text: form.Get("text"),
		ResponseURL: form.Get("response_url"), Trigger: form.Get("trigger_id"),
		Team: form.Get("team_id"), Whole: form.Get("is_enterprise_install") == "true",
	}
}

// ask gives a slash command as an ask; at is when it was sent, team the one
// that let us in, empty when it is not known.
func (s slashCommand) ask(at time.Time, team string) (*ask, error) {
	if s.Channel == "" || s.User == "" || s.Trigger == "" {
		return nil, errors.New("decode slash command: channel, user or trigger missing")
	}
	return &ask{
		kind: slash, id: "cmd:" + s.Trigger, channel: s.Channel,
		private: isDirect(s.Channel) || s.ChannelName == "directmessage",
		user:    s.User, name: s.UserName, text: unmark(s.Text, ""), at: at, trigger: s.Trigger, replyURL: s.ResponseURL,
		stranger: team != "" && s.Team != "" && s.Team != team && !bool(s.Whole),
	}, nil
}

// callback is the outer form of an event.
type callback struct {
	Type       string          `json:"type"`
	Challenge  string          `json:"challenge"`
	ID         string          `json:"event_id"`
	Team       string          `json:"team_id"`
	Context    string          `json:"context_team_id"`
	Enterprise string          `json:"enterprise_id"`
	Shared     bool            `json:"is_ext_shared_channel"` // with another company
	Event      json.RawMessage `json:"event"`
	// Authorizations name who let us in and sees the event: the first one.
	Authorizations []struct {
		Team       string `json:"team_id"`
		Enterprise string `json:"enterprise_id"`
		Whole      bool   `json:"is_enterprise_install"`
	} `json:"authorizations"`
}

// stranger says that the one whose home this team is belongs to another than
// the one that let us in. Of a whole organisation we do not know the teams:
// there only those in a channel that two companies share can be strangers.
func (cb callback) stranger(home string) bool {
	team, enterprise, whole := cmp.Or(cb.Context, cb.Team), cb.Enterprise, false
	if len(cb.Authorizations) > 0 {
		by := cb.Authorizations[0]
		team, enterprise, whole = cmp.Or(by.Team, team), cmp.Or(by.Enterprise, enterprise), by.Whole
	}
	if strings.HasPrefix(home, "E") && !cb.Shared { // an account of the organisation's own
		return false
	}
	return home != "" && home != team && home != enterprise && (cb.Shared || !whole)
}

// said is a message or a mention, or the note that a message was changed.
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
	Root    struct {
		User string `json:"user"`
	} `json:"root"` // that message itself, where a reply is shown to the channel as well
	Home   string `json:"user_team"` // whose team the speaker belongs to
	Source string `json:"source_team"`
	Now    *said  `json:"message"` // what it says now
	Before *said  `json:"previous_message"`
}

// speech are the subtypes of somebody speaking. The others are notes about a
// message: it was deleted, somebody joined.
var speech = map[string]bool{"": true, "thread_broadcast": true, "file_share": true}

// decodeEvent gives an event as an ask; nil if it is none of our business. us
// is the bot's own user; empty when it is not known.
func decodeEvent(cb callback, us string, now time.Time) (*ask, error) {
	var outer struct {
		Type string `json:"type"`
	}
	if err := json.Unmarshal(cb.Event, &outer); err != nil {
		return nil, fmt.Errorf("decode event: %w", err)
	}
	switch outer.Type {
	case "app_home_opened":
		return decodeLook(cb, now)
	case "message", "app_mention":
	default:
		return nil, nil
	}
	var e said
	if err := json.Unmarshal(cb.Event, &e); err != nil {
		return nil, fmt.Errorf("decode event: %w", err)
	}
	if e.Subtype == "message_changed" {
		return cb.edited(e, us, now), nil
	}
	return cb.spoken(e, us, now), nil
}

// spoken gives a message as an ask.
func (cb callback) spoken(e said, us string, now time.Time) *ask {
	kind := e.kind(us)
	if kind == "" || !speech[e.Subtype] || e.Bot != "" || e.User == "" || e.User == us || e.TS == "" || e.Channel == "" {
		return nil
	}
	a := &ask{
		kind: kind, id: "msg:" + cb.Team + "/" + e.Channel + "/" + e.TS, event: cb.ID, channel: e.Channel,
		private: kind == direct, thread: e.Thread, user: e.User, text: unmark(e.Text, us),
		stranger: cb.stranger(cmp.Or(e.Home, e.Source)), message: e.Channel + "/" + e.TS,
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
	return a
}

// editWindow is how long after a message its edit is answered. Later, people
// mend what stands there for the record.
const editWindow = 2 * time.Minute

// edited gives the edit of what was said to us; nil where nothing need be said
// about it. Slack sends the same note when a link in a message gets a preview.
func (cb callback) edited(e said, us string, now time.Time) *ask {
	if e.Now == nil || e.Before == nil || unmark(e.Now.Text, us) == unmark(e.Before.Text, us) {
		return nil
	}
	before := *e.Before
	before.Type, before.Channel, before.Kind = e.Type, e.Channel, e.Kind
	before.Thread, before.Parent = cmp.Or(before.Thread, e.Now.Thread), cmp.Or(before.Parent, e.Now.Parent)
	a := cb.spoken(before, us, now)
	if a == nil || now.Sub(a.at) > editWindow {
		return nil
	}
	a.kind, a.id, a.text = edit, "edit"+strings.TrimPrefix(a.id, "msg"), ""
	a.thread = cmp.Or(before.Thread, before.TS) // its own thread, in a direct message too
	return a
}

// decodeLook gives somebody's look at their own page.
func decodeLook(cb callback, now time.Time) (*ask, error) {
	var e struct {
		User string          `json:"user"`
		Tab  string          `json:"tab"`
		At   string          `json:"event_ts"`
		View json.RawMessage `json:"view"`
	}
	if err := json.Unmarshal(cb.Event, &e); err != nil {
		return nil, fmt.Errorf("decode event: %w", err)
	}
	if e.User == "" || e.Tab != "home" {
		return nil, nil
	}
	shown := len(e.View) > 0 && string(e.View) != "null"
	return &ask{kind: home, id: "look:" + cmp.Or(cb.ID, e.User+"/"+e.At), user: e.User, private: true, fresh: !shown, at: now}, nil
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
	case e.Thread != "" && e.Thread != e.TS && cmp.Or(e.Parent, e.Root.User) == us:
		return thread
	}
	return ""
}

// isDirect says that a channel is a direct message: Slack's ids of those begin
// with a D.
func isDirect(channel string) bool { return strings.HasPrefix(channel, "D") }

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
