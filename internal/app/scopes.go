package app

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
)

// feature is something of Ventbell's that a house may do without, or with.
type feature string

const (
	// replies: a plain reply in a thread of ours is heard, and a post of which
	// nobody knows whether it was taken is looked for.
	replies feature = "replies"
	// private: channels that only their members see.
	private feature = "private channels"
	// groups: roles are given to groups of people.
	groups feature = "user groups"
	// extras: what a house can do without altogether; it tells `check` more.
	extras feature = "extras"
)

// scope is one thing that Slack lets a bot do, and what we want it for. The
// manifest and `check` both go by the table of these.
type scope struct {
	name string
	why  string
	lost string // what is lost without it
	must bool   // nothing works without it
	with []feature
	// methods and events are what it opens.
	methods []string
	events  []string
}

// scopes are all that Ventbell can use. Which scope opens what:
// github.com/slack-ruby/slack-api-ref, docs.slack.dev/methods and events (a
// daily copy of Slack's reference), read November 2026.
func scopes() []scope {
	return []scope{
		{
			name: "chat:write", must: true, why: "post, edit and leave for later: slips, calls, answers",
			lost: "nothing can be posted",
			methods: []string{
				"chat.postMessage", "chat.update", "chat.postEphemeral", "chat.scheduleMessage", "chat.deleteScheduledMessage",
			},
		},
		{
			name: "commands", must: true, why: "the slash command and the shortcuts",
			lost: "/bell and the shortcuts do not work",
		},
		{
			name: "app_mentions:read", why: "hear who mentions the bot",
			lost: "mentions are not heard", events: []string{"app_mention"},
		},
		{
			name: "im:history", why: "hear direct messages to the bot",
			lost:    "direct messages are not heard",
			methods: []string{"conversations.history", "conversations.replies"}, events: []string{"message.im"},
		},
		{
			name: "users:read", why: "call people by name, and tell guests", lost: "some are shown by their id, guests count as hands, and managers cannot be checked",
			methods: []string{"users.info"},
		},
		{
			name: "usergroups:read", why: "know who is a manager, a hand or a viewer by their group",
			lost: "nobody of a group is a manager or a viewer, and everybody is a hand", with: []feature{groups},
			methods: []string{"usergroups.users.list"}, events: []string{"subteam_members_changed", "subteam_updated"},
		},
		{
			name: "channels:history", why: "hear plain replies in threads; look for a post that may be doubled",
			lost: "replies in threads are not heard, and a doubtful post comes twice", with: []feature{replies},
			methods: []string{"conversations.history", "conversations.replies"}, events: []string{"message.channels"},
		},
		{
			name: "groups:history", why: "the same in private channels",
			lost: "replies in private channels are not heard, and a doubtful post comes twice", with: []feature{replies, private},
			methods: []string{"conversations.history", "conversations.replies"}, events: []string{"message.groups"},
		},
		{
			name: "channels:read", why: "let `check` see whether a channel is archived",
			lost: "an archived channel cannot be told", with: []feature{extras},
			methods: []string{"conversations.info"},
		},
		{
			name: "groups:read", why: "the same of private channels",
			lost: "an archived private channel cannot be told", with: []feature{extras, private},
			methods: []string{"conversations.info"},
		},
		{
			name: "im:write", why: "look for a direct message that may be doubled",
			lost: "a doubtful direct message comes twice", with: []feature{extras},
			methods: []string{"conversations.open"},
		},
	}
}

// unscoped are the methods that any token of the app may call, and the event
// that every app may have.
func unscoped() (methods, events []string) {
	return []string{"auth.test", "apps.connections.open", "views.open", "views.publish"}, []string{"app_home_opened"}
}

// wanted says that a scope is wanted where these features are on.
func (s scope) wanted(on []feature) bool {
	return !slices.ContainsFunc(s.with, func(f feature) bool { return !slices.Contains(on, f) })
}

// when says in words when a scope is wanted.
func (s scope) when() string {
	if len(s.with) == 0 {
		return "always"
	}
	var names []string
	for _, f := range s.with {
		names = append(names, string(f))
	}
	return strings.Join(names, ", ")
}

// features gives the features that the options switch on.
func (o Options) features() []feature {
	var on []feature
	if o.Replies {
		on = append(on, replies)
	}
	if o.Private {
		on = append(on, private)
	}
	if len(o.roles().groups()) > 0 {
		on = append(on, groups)
	}
	return on
}

// printScopes prints the table, each scope with what it opens.
func printScopes(w io.Writer) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "SCOPE\tWHEN\tFOR\tOPENS")
	for _, s := range scopes() {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\n", s.name, s.when(), s.why, strings.Join(slices.Concat(s.methods, s.events), " "))
	}
	methods, events := unscoped()
	fmt.Fprintf(t, "(none)\talways\tforms, the Home tab, who we are\t%s\n", strings.Join(slices.Concat(methods, events), " "))
	return t.Flush()
}
