package chat

import (
	"cmp"
	"context"
	"maps"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/slack-go/slack"
)

// Inspection is what Slack says of a set-up, as values. A reason is one of
// Reasons; an empty one says that there is nothing to complain of.
type Inspection struct {
	Bot    string        // why the bot's token is not taken
	App    string        // why the app-level token is not taken
	Team   string        // the workspace's name
	User   string        // the bot's own user
	Scopes []string      // what the bot's token may; nil = Slack does not say
	Ahead  time.Duration // our clock before Slack's, to the second; 0 = not known
	// Channels and People are those asked about, in order of their ids.
	Channels []Found
	People   []Found
}

// Found is what Slack says of a channel or a person.
type Found struct {
	ID, Name string
	Reason   string // why it is of no use; scope missing = it cannot be known
	// Half: the bot is in the channel, and more cannot be known.
	Half bool
}

// Inspect asks Slack what it knows of the tokens, of cfg's channels and of
// some people. It posts nothing and takes nothing in. Of cfg it needs the
// tokens, API, Client and Kitchens; without AppToken nothing is asked about it.
func Inspect(ctx context.Context, cfg Config, people []string) Inspection {
	if cfg.Client == nil {
		cfg.Client = ownClient()
	}
	i := inspector{api: newAPI(cfg)}
	found := i.tokens(ctx)
	if cfg.AppToken != "" {
		_, address, err := i.api.StartSocketModeContext(ctx)
		found.App = reason(taken(address, err))
	}
	if found.Bot != "" {
		return found
	}
	for _, id := range slices.Sorted(maps.Keys(cfg.Kitchens)) {
		found.Channels = append(found.Channels, i.channel(ctx, id))
	}
	for _, id := range slices.Compact(slices.Sorted(slices.Values(people))) {
		found.People = append(found.People, i.person(ctx, id))
	}
	return found
}

type inspector struct{ api *slack.Client }

// reason says in our words why Slack refused a call.
func reason(err error) string {
	if err == nil {
		return ""
	}
	return refuse(err, false).Reason
}

// tokens asks who the bot's token belongs to and what it may.
func (i inspector) tokens(ctx context.Context) Inspection {
	who, err := i.api.AuthTestContext(ctx)
	if err == nil {
		err = taken(who.UserID, nil)
	}
	if err != nil {
		return Inspection{Bot: reason(err)}
	}
	found := Inspection{Team: who.Team, User: who.UserID}
	if said := who.Header.Get("X-OAuth-Scopes"); said != "" {
		for scope := range strings.SplitSeq(said, ",") {
			found.Scopes = append(found.Scopes, strings.TrimSpace(scope))
		}
	}
	if at, err := http.ParseTime(who.Header.Get("Date")); err == nil {
		found.Ahead = time.Since(at).Truncate(time.Second)
	}
	return found
}

// channel asks whether messages can be posted in a channel.
func (i inspector) channel(ctx context.Context, id string) Found {
	about, err := i.api.GetConversationInfoContext(ctx, &slack.GetConversationInfoInput{ChannelID: id})
	if err == nil {
		err = taken(about.ID, nil)
	}
	if reason(err) == scopeMissing {
		return i.history(ctx, id)
	}
	f := Found{ID: id, Reason: reason(err)}
	if err != nil {
		return f
	}
	f.Name = about.Name
	switch {
	case about.IsArchived:
		f.Reason = channelArchived
	case !about.IsMember:
		f.Reason = notInChannel
	}
	return f
}

// history asks for one message of a channel. What it says is let be: Slack
// gives it only to a bot that is in the channel.
func (i inspector) history(ctx context.Context, id string) Found {
	got, err := i.api.GetConversationHistoryContext(ctx, &slack.GetConversationHistoryParameters{ChannelID: id, Limit: 1})
	if err == nil && !got.Ok {
		err = errNoID
	}
	return Found{ID: id, Reason: reason(err), Half: err == nil}
}

// person asks whether somebody is in the workspace.
func (i inspector) person(ctx context.Context, id string) Found {
	who, err := i.api.GetUserInfoContext(ctx, id)
	if err == nil {
		err = taken(who.ID, nil)
	}
	f := Found{ID: id, Reason: reason(err)}
	if err != nil {
		return f
	}
	f.Name = cmp.Or(who.Profile.DisplayName, who.RealName, who.Name)
	if who.Deleted || who.IsBot {
		f.Reason = personGone
	}
	return f
}

// Everywhere says that a reason holds for all of Slack, not for one lane.
func Everywhere(reason string) bool {
	return reason == tokenRefused || reason == scopeMissing || reason == notAllowed
}
