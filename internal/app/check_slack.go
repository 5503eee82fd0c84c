package app

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"ventbell/internal/chat"
)

// reinstall is the cure for a scope that is missing.
const reinstall = "Add it on the app's page under OAuth & Permissions, and install the app again"

// checkSlack asks Slack about the tokens, the channels and the managers.
func checkSlack(ctx context.Context, o Options) []finding {
	if o.BotToken == "" {
		return nil // the options say so
	}
	h, err := o.houses()
	if err != nil {
		h = houses{}
	}
	cfg := chat.Config{Token: o.BotToken, API: o.SlackAPI, Kitchens: h.kitchens}
	if o.Transport == "socket" {
		cfg.AppToken = o.AppToken
	}
	var ids []string
	for _, p := range o.roles().managers {
		if !isGroup(p.ID) {
			ids = append(ids, p.ID)
		}
	}
	got := chat.Inspect(ctx, cfg, ids)
	found := tokenFindings(got, o.Transport)
	if got.Bot != "" {
		return found
	}
	found = append(found, scopeFindings(got.Scopes, o.features())...)
	for _, c := range got.Channels {
		found = append(found, channelFindings(c)...)
	}
	for _, p := range got.People {
		found = append(found, personFindings(p)...)
	}
	for _, g := range chat.InspectGroups(ctx, cfg, o.roles().groups()) {
		found = append(found, groupFindings(g)...)
	}
	if len(o.roles().managers) == 0 {
		found = append(found, finding{
			look, "manager", "", "nobody is called when the crew does not answer", "Name somebody in VENTBELL_MANAGERS",
		})
	}
	return found
}

func tokenFindings(got chat.Inspection, transport string) []finding {
	var found []finding
	if got.Bot != "" {
		found = append(found, finding{blocks, "slack", "bot token", troubleSaid(got.Bot), troubleCure(got.Bot)})
	} else {
		found = append(found, finding{note, "slack", "", fmt.Sprintf("the bot is %s in %s", got.User, got.Team), ""})
	}
	if got.App != "" {
		found = append(found, finding{
			blocks, "slack", "app-level token", troubleSaid(got.App),
			"Make one on the app's page under Basic Information with the scope connections:write; VENTBELL_APP_TOKEN is it",
		})
	}
	ahead := max(got.Ahead, -got.Ahead)
	switch {
	case transport == "http" && ahead >= 5*time.Minute: // signatures are refused from there on
		found = append(found, finding{blocks, "slack", "clock", skew(got.Ahead), "Set this host's clock, and keep it set (NTP)"})
	case ahead >= 5*time.Second:
		found = append(found, finding{look, "slack", "clock", skew(got.Ahead), "Set this host's clock, and keep it set (NTP)"})
	}
	return found
}

func skew(ahead time.Duration) string {
	if ahead < 0 {
		return fmt.Sprintf("this host's clock is %s behind Slack's", -ahead)
	}
	return fmt.Sprintf("this host's clock is %s before Slack's", ahead)
}

// scopeFindings compares what the token may with the table of scopes.
func scopeFindings(has []string, on []feature) []finding {
	if has == nil {
		return []finding{{
			note, "slack", "scopes", "Slack does not say which the token has", "Compare with `ventbell manifest --scopes`",
		}}
	}
	var found []finding
	known := map[string]bool{}
	for _, s := range scopes() {
		useful := s.wanted(append(slices.Clone(on), extras))
		known[s.name] = useful
		if !s.wanted(on) || slices.Contains(has, s.name) {
			continue
		}
		w := look
		if s.must {
			w = blocks
		}
		found = append(found, finding{
			w, "slack", "scope " + s.name, fmt.Sprintf("missing; it is to %s. Without it %s", s.why, s.lost), reinstall,
		})
	}
	for _, name := range slices.Sorted(slices.Values(has)) {
		if !known[name] {
			found = append(found, finding{
				note, "slack", "scope " + name, "the token has it, and this set-up has no use for it",
				"Take it away on the app's page under OAuth & Permissions",
			})
		}
	}
	return found
}

func channelFindings(c chat.Found) []finding {
	what := named(c)
	switch {
	case c.Half:
		return []finding{{
			note, "channel", what, "the bot is in it; whether it is archived cannot be known without the scope channels:read", "",
		}}
	case c.Reason == "":
		return nil
	case c.Reason == "scope missing":
		return []finding{{
			look, "channel", what, "whether the bot is in it cannot be known without channels:history or channels:read",
			"Type /bell help there, and see whether it answers",
		}}
	}
	return []finding{{blocks, "channel", what, troubleSaid(c.Reason), troubleCure(c.Reason)}}
}

func personFindings(p chat.Found) []finding {
	switch p.Reason {
	case "":
		return nil
	case "scope missing":
		return []finding{{note, "manager", p.ID, "cannot be known without the scope users:read", ""}}
	case "person gone":
		return []finding{{
			look, "manager", named(p), "nobody of this workspace",
			"Correct VENTBELL_MANAGERS: the id is on a person's profile, under More, Copy member ID",
		}}
	}
	return []finding{{look, "manager", named(p), troubleSaid(p.Reason), troubleCure(p.Reason)}}
}

func groupFindings(g chat.Found) []finding {
	if g.Reason == "" {
		return []finding{{note, "group", named(g), "its members are read every few minutes", ""}}
	}
	return []finding{{
		look, "group", g.ID, "its members cannot be read: " + troubleSaid(g.Reason) + ". Until they are nobody is kept from being a hand",
		"Correct the id in VENTBELL_MANAGERS, VENTBELL_HANDS or VENTBELL_VIEWERS (a group's own page shows it), and see that the scope usergroups:read is there",
	}}
}

// named gives an id with the name it goes by.
func named(f chat.Found) string {
	if f.Name == "" {
		return f.ID
	}
	return f.ID + " (" + strings.TrimPrefix(f.Name, "#") + ")"
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
