package chat

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"ventbell/internal/kitchen"
)

// The shortcuts, by their callback_id in the manifest.
const (
	shortStart = "bell-start" // opens the form that starts a batch
	shortBoard = "bell-board" // what is in every vessel
	shortRead  = "bell-read"  // on a message: opens the form with how it is read
)

// interaction is what Slack sends when somebody taps a button, takes a
// shortcut or sends a form in.
type interaction struct {
	Type     string `json:"type"`
	Callback string `json:"callback_id"`
	Trigger  string `json:"trigger_id"`
	At       string `json:"action_ts"`
	User     struct {
		ID       string `json:"id"`
		Name     string `json:"name"`
		Username string `json:"username"`
		Team     string `json:"team_id"`
	} `json:"user"`
	// Team is null where the bot belongs to a whole organisation.
	Team       identified `json:"team"`
	Enterprise identified `json:"enterprise"`
	Container  struct {
		Type    string `json:"type"`
		Channel string `json:"channel_id"`
		Message string `json:"message_ts"`
		Thread  string `json:"thread_ts"`
		View    string `json:"view_id"`
	} `json:"container"`
	Channel     identified `json:"channel"`
	ResponseURL string     `json:"response_url"`
	Actions     []struct {
		ID    string `json:"action_id"`
		Value string `json:"value"`
		At    string `json:"action_ts"`
	} `json:"actions"`
	Message struct {
		Text   string `json:"text"`
		Thread string `json:"thread_ts"`
	} `json:"message"`
	View struct {
		ID       string `json:"id"`
		Type     string `json:"type"`
		Callback string `json:"callback_id"`
		Hash     string `json:"hash"`
		Meta     string `json:"private_metadata"`
		State    struct {
			Values map[string]map[string]filled `json:"values"` // by block, by action
		} `json:"state"`
	} `json:"view"`
}

type identified struct {
	ID         string `json:"id"`
	Enterprise string `json:"enterprise_id"` // of a team in a larger organisation
}

// filled is what stands in one field of a form.
type filled struct {
	Value  string `json:"value"` // typed; null when left empty
	Chosen struct {
		Value string `json:"value"`
	} `json:"selected_option"`
}

// decodeAct gives a tap, a shortcut or a filled form as an ask; nil if it is
// none of ours. With an error it gives what is enough to tell the person so,
// if it can. us gives the bot's own user.
func decodeAct(payload []byte, us func() string, now time.Time) (*ask, error) {
	var in interaction
	if err := json.Unmarshal(payload, &in); err != nil {
		return nil, fmt.Errorf("decode interaction: %w", err)
	}
	var decode func(a *ask) error
	switch {
	case in.Type == "block_actions" && len(in.Actions) > 0 && strings.HasPrefix(in.Actions[0].ID, actionPrefix):
		decode = in.tap
	case in.Type == "shortcut" && (in.Callback == shortStart || in.Callback == shortBoard):
		decode = in.shortcut
	case in.Type == "message_action" && in.Callback == shortRead:
		decode = func(a *ask) error { return in.reading(a, us()) }
	case in.Type == "view_submission" && in.View.Callback == formID:
		decode = in.submission
	default:
		return nil, nil
	}
	if in.User.ID == "" {
		return nil, fmt.Errorf("decode %s: no user", in.Type)
	}
	a := in.asker(now)
	return a, decode(a)
}

// asker gives what every interaction says of who and where.
func (in interaction) asker(now time.Time) *ask {
	a := &ask{
		user: in.User.ID, name: cmp.Or(in.User.Username, in.User.Name), channel: cmp.Or(in.Container.Channel, in.Channel.ID),
		thread: in.Container.Thread, trigger: in.Trigger, replyURL: in.ResponseURL, at: now, stranger: in.stranger(),
	}
	// A view of ours carries where it was opened from, and for which kitchen.
	m := parseMeta(in.View.Meta)
	a.kitchen = m.Kitchen
	if a.channel == "" {
		a.channel, a.thread = m.Channel, m.Thread
	}
	a.private = a.channel == "" || isDirect(a.channel)
	if in.Container.Channel != "" && in.Container.Message != "" {
		a.message = in.Container.Channel + "/" + in.Container.Message
	}
	return a
}

// stranger says that the one who acts belongs to another team than the one
// that the bot was let into: in a channel that two companies share.
func (in interaction) stranger() bool {
	home := in.User.Team
	return home != "" && in.Team.ID != "" && home != in.Team.ID && home != cmp.Or(in.Team.Enterprise, in.Enterprise.ID)
}

// tap reads a tapped button: on a message for all, on one for a single person,
// or on somebody's own page. Slack sends one action at a time for a button.
func (in interaction) tap(a *ask) error {
	act := in.Actions[0]
	a.kind = tap
	a.home = in.View.Type == "home"
	if a.channel == "" && in.View.ID == "" {
		return errors.New("decode tap: it names no place")
	}
	if at, ok := moment(act.At); ok {
		a.at = at
	}
	press := sha256.Sum256([]byte(strings.Join(
		[]string{a.user, a.channel, in.Container.Message, in.Container.View, act.ID, act.At}, "\x00")))
	a.id = "tap:" + hex.EncodeToString(press[:16])
	value, err := kitchen.ParseTap(act.Value)
	if err != nil {
		return errors.New("decode tap: the button carries nothing of ours")
	}
	a.tap = &value
	return nil
}

// shortcut reads a shortcut that is taken anywhere.
func (in interaction) shortcut(a *ask) error {
	if in.Callback == shortStart {
		a.open = kitchen.FormStart
	} else {
		a.text = "resting"
	}
	return in.taken(a)
}

// reading reads the shortcut that is taken on a message.
func (in interaction) reading(a *ask, us string) error {
	a.open, a.text, a.thread = kitchen.FormReading, unmark(in.Message.Text, us), in.Message.Thread
	return in.taken(a)
}

func (in interaction) taken(a *ask) error {
	a.kind, a.id = shortcut, "short:"+in.Trigger
	if at, ok := moment(in.At); ok {
		a.at = at
	}
	if in.Trigger == "" {
		return errors.New("decode shortcut: no trigger")
	}
	return nil
}

// submission reads a form that was sent in.
func (in interaction) submission(a *ask) error {
	a.kind = form
	// The trigger is another each time that somebody presses the button, and
	// the same each time that Slack sends the press.
	a.id = "form:" + in.Trigger
	if in.Trigger == "" {
		values, _ := json.Marshal(in.View.State.Values) // a map of strings: it can't fail
		press := sha256.Sum256([]byte(strings.Join([]string{a.user, in.View.ID, in.View.Hash, string(values)}, "\x00")))
		a.id = "form:" + hex.EncodeToString(press[:16])
	}
	m := parseMeta(in.View.Meta)
	if m.Form == "" {
		return errors.New("decode form: it does not say which it is")
	}
	a.form = &kitchen.Filled{Name: m.Form, Carry: m.Carry, Fields: map[string]string{}}
	for block, fields := range in.View.State.Values {
		id, ours := strings.CutPrefix(block, fieldPrefix)
		if !ours {
			continue
		}
		a.fields = append(a.fields, id)
		if text := keyed(cmp.Or(fields[fieldAction].Value, fields[fieldAction].Chosen.Value)); text != "" {
			a.form.Fields[id] = text
		}
	}
	return nil
}

// meta is what a view of ours carries along, to know it by when something
// comes from it. Slack takes 3,000 characters.
type meta struct {
	Kitchen string `json:"k,omitempty"`
	Channel string `json:"c,omitempty"` // where it was opened from; empty = nowhere
	Thread  string `json:"t,omitempty"`
	Form    string `json:"f,omitempty"`
	Carry   string `json:"y,omitempty"`
}

func (m meta) String() string {
	body, _ := json.Marshal(m) // strings: it can't fail
	return string(body)
}

// parseMeta reads what a view carries; what is none of ours reads as nothing.
func parseMeta(text string) (m meta) {
	_ = json.Unmarshal([]byte(text), &m)
	return m
}
