package app

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"net/url"
	"slices"
	"strings"
)

// manifest is an app as Slack's pages take it, pasted whole. Its form is that
// of github.com/slackapi/manifest-schema, schema 2.0.0.
type manifest struct {
	Metadata struct {
		Major int `json:"major_version"`
		Minor int `json:"minor_version"`
	} `json:"_metadata"`
	Display struct {
		Name        string `json:"name"`
		Description string `json:"description"`
	} `json:"display_information"`
	Features struct {
		Home struct {
			Tab      bool `json:"home_tab_enabled"`
			Messages bool `json:"messages_tab_enabled"`
			ReadOnly bool `json:"messages_tab_read_only_enabled"` // people write to the bot there
		} `json:"app_home"`
		Bot struct {
			Name   string `json:"display_name"`
			Online bool   `json:"always_online"`
		} `json:"bot_user"`
		Shortcuts []shortcut     `json:"shortcuts"`
		Commands  []slashCommand `json:"slash_commands"`
	} `json:"features"`
	OAuth struct {
		Scopes struct {
			Bot []string `json:"bot"`
		} `json:"scopes"`
	} `json:"oauth_config"`
	Settings struct {
		Events struct {
			URL string   `json:"request_url,omitempty"`
			Bot []string `json:"bot_events"`
		} `json:"event_subscriptions"`
		Interactivity struct {
			On  bool   `json:"is_enabled"`
			URL string `json:"request_url,omitempty"`
		} `json:"interactivity"`
		Org      bool `json:"org_deploy_enabled"`
		Socket   bool `json:"socket_mode_enabled"`
		Rotation bool `json:"token_rotation_enabled"`
	} `json:"settings"`
}

type shortcut struct {
	Name        string `json:"name"`
	Type        string `json:"type"`
	Callback    string `json:"callback_id"`
	Description string `json:"description"`
}

type slashCommand struct {
	Command     string `json:"command"`
	URL         string `json:"url,omitempty"`
	Description string `json:"description"`
	Hint        string `json:"usage_hint"`
	Escape      bool   `json:"should_escape"` // names that are typed arrive as ids
}

// shortcuts gives what the room chat answers to.
func shortcuts() []shortcut {
	return []shortcut{
		{"Start a batch", "global", "bell-start", "Fill in a form instead of typing a line"},
		{"Show the vessels", "global", "bell-board", "What is in every vessel now"},
		{"Read as a batch", "message", "bell-read", "Read this message as a line to the bell, and change it before it counts"},
	}
}

// longestName is how many characters an app's name may have.
const longestName = 35

// newManifest makes the manifest of one installation; base is where Slack
// reaches it over HTTP, empty = it opens sockets itself.
func newManifest(name, base string, on []feature) manifest {
	var m manifest
	m.Metadata.Major, m.Metadata.Minor = 2, 1
	m.Display.Name = name
	m.Display.Description = "The prep team's bell: plans fast infusions, keeps their clocks, calls the vent, the strain and the label."
	m.Features.Home.Tab, m.Features.Home.Messages = true, true
	m.Features.Bot.Name, m.Features.Bot.Online = "bell", true
	m.Features.Shortcuts = shortcuts()
	m.Features.Commands = []slashCommand{{
		Command: "/bell", Escape: true,
		Description: "Start a batch, say what is done, ask what is resting",
		Hint:        "start pepper tequila 500ml | charged A | vented A | strained A 345 | resting | help",
	}}
	_, m.Settings.Events.Bot = unscoped()
	for _, s := range scopes() {
		if s.wanted(on) {
			m.OAuth.Scopes.Bot = append(m.OAuth.Scopes.Bot, s.name)
			m.Settings.Events.Bot = append(m.Settings.Events.Bot, s.events...)
		}
	}
	m.Settings.Interactivity.On = true
	m.Settings.Socket = base == ""
	if base != "" {
		m.Features.Commands[0].URL = base + "/slack/commands"
		m.Settings.Events.URL = base + "/slack/events"
		m.Settings.Interactivity.URL = base + "/slack/actions"
	}
	return m
}

// printManifest is `ventbell manifest`: what to paste where Slack makes an app.
func printManifest(args, environ []string, stdout, stderr io.Writer) (int, error) {
	o, err := parseOptions(environ)
	if err != nil {
		return exitProblem, err
	}
	flags := flag.NewFlagSet("manifest", flag.ContinueOnError)
	flags.SetOutput(stderr)
	transport := flags.String("transport", o.Transport, "`socket`, or http for signed requests to --url")
	address := flags.String("url", "", "with http: the public https `address` of this service")
	name := flags.String("name", "Ventbell", "the app's `name`")
	heard := flags.Bool("replies", bool(o.Replies), "hear plain replies in threads")
	hidden := flags.Bool("private-channels", bool(o.Private), "serve private channels")
	grouped := flags.Bool("user-groups", len(o.roles().groups()) > 0, "give roles to groups of people")
	more := flags.Bool("extras", false, "scopes that only tell `check` more")
	table := flags.Bool("scopes", false, "print the table of scopes instead")
	if err := flags.Parse(args); err != nil {
		return exitProblem, err
	}
	if *table {
		return 0, printScopes(stdout)
	}
	base, err := publicAddress(*transport, *address)
	if err != nil {
		return exitProblem, err
	}
	if n := len([]rune(*name)); n < 1 || n > longestName {
		return exitProblem, fmt.Errorf("the name has %d characters: Slack takes 1 to %d", n, longestName)
	}
	o.Replies, o.Private = toggle(*heard), toggle(*hidden)
	on := o.features()
	on = slices.DeleteFunc(on, func(f feature) bool { return f == groups })
	if *grouped {
		on = append(on, groups)
	}
	if *more {
		on = append(on, extras)
	}
	out := json.NewEncoder(stdout)
	out.SetEscapeHTML(false)
	out.SetIndent("", "  ")
	return 0, out.Encode(newManifest(*name, base, on))
}

// publicAddress gives where Slack reaches this service; empty where it need
// not.
func publicAddress(transport, address string) (string, error) {
	switch transport {
	case "socket":
		if address != "" {
			return "", errors.New("--url is for --transport http: Socket Mode needs no address")
		}
		return "", nil
	case "http":
		u, err := url.Parse(address)
		if err != nil || u.Scheme != "https" || u.Host == "" || u.RawQuery != "" || u.Fragment != "" || u.User != nil {
			return "", fmt.Errorf("--url %q: say the public https address of this service, https://bell.example.org", address)
		}
		return strings.TrimSuffix(u.String(), "/"), nil
	case "webhook":
		return "", errors.New("there is no manifest for webhooks: see README, \"Another chat server\"")
	}
	return "", fmt.Errorf("--transport %q: say socket or http", transport)
}
