package app

import (
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/caarlos0/env/v11"

	"ventbell/internal/kitchen"
)

// Options is what `ventbell run` is told, by the environment. Every secret has
// a twin that names a file to read it from.
type Options struct {
	Ledger   string `env:"VENTBELL_LEDGER" envDefault:"redis://127.0.0.1:6379/0"` // redis://... or file:PATH
	Book     string `env:"VENTBELL_BOOK"`                                         // file; empty = the sample book
	Kitchens string `env:"VENTBELL_KITCHENS"`                                     // main=C1,C2;bar=C3
	Managers string `env:"VENTBELL_MANAGERS"`                                     // U1:prep-lead,U2:head
	Hands    string `env:"VENTBELL_HANDS"`                                        // U3,S0123: empty = everybody of the workspace
	Viewers  string `env:"VENTBELL_VIEWERS"`                                      // U4,S0456
	Listen   string `env:"VENTBELL_LISTEN" envDefault:":8080"`

	Transport     string `env:"VENTBELL_TRANSPORT" envDefault:"socket"` // socket, http or webhook
	BotToken      string `env:"VENTBELL_BOT_TOKEN"`
	BotTokenFile  string `env:"VENTBELL_BOT_TOKEN_FILE,file"`
	AppToken      string `env:"VENTBELL_APP_TOKEN"`
	AppTokenFile  string `env:"VENTBELL_APP_TOKEN_FILE,file"`
	Secret        string `env:"VENTBELL_SIGNING_SECRET"`
	SecretFile    string `env:"VENTBELL_SIGNING_SECRET_FILE,file"`
	SlackAPI      string `env:"VENTBELL_SLACK_API"` // where Slack's methods are; empty = Slack itself
	RedisPassword string `env:"VENTBELL_REDIS_PASSWORD_FILE,file"`

	// With webhooks: where a channel's messages go, and what commands carry.
	Webhooks         string `env:"VENTBELL_WEBHOOKS"` // C1=https://...;C2=https://...
	WebhooksFile     string `env:"VENTBELL_WEBHOOKS_FILE,file"`
	CommandToken     string `env:"VENTBELL_COMMAND_TOKEN"`
	CommandTokenFile string `env:"VENTBELL_COMMAND_TOKEN_FILE,file"`

	// WallKey is what a link to the wall's pages has to hold; empty = no such pages.
	WallKey     string `env:"VENTBELL_WALL_KEY"`
	WallKeyFile string `env:"VENTBELL_WALL_KEY_FILE,file"`
	wallOpen    bool   // no key is asked for: in a practice room only

	// Accounts that several people share, and what may page a whole channel.
	Tablets string `env:"VENTBELL_TABLETS"` // U7,U8
	Broad   string `env:"VENTBELL_BROAD"`   // pressurised,food; empty = nothing pages anybody but people

	Replies  toggle `env:"VENTBELL_REPLIES" envDefault:"on"` // hear plain replies in threads
	Private  toggle `env:"VENTBELL_PRIVATE_CHANNELS"`        // serve private channels
	Fallback toggle `env:"VENTBELL_FALLBACK"`                // leave each vent call with Slack, should this host die

	Replica    int `env:"VENTBELL_REPLICA"` // 0 for the first, 1 for the second, ...
	Partitions int `env:"VENTBELL_PARTITIONS" envDefault:"1"`

	Keep string `env:"VENTBELL_KEEP"` // how long the log and the records are kept, "13 months"; empty = so long

	LogLevel  slog.Level    `env:"VENTBELL_LOG_LEVEL" envDefault:"info"`
	LogFormat string        `env:"VENTBELL_LOG_FORMAT" envDefault:"json"` // json or text
	StopAfter time.Duration `env:"VENTBELL_STOP_AFTER" envDefault:"10s"`  // bound on a shutdown
	Lease     time.Duration `env:"VENTBELL_LEASE"`                        // of a lane to a runner; 0 = 10 s
}

// ReadOptions reads the options from an environment in the form of os.Environ.
func ReadOptions(environ []string) (Options, error) {
	o, err := parseOptions(environ)
	if err != nil {
		return o, err
	}
	return o, errors.Join(o.faults()...)
}

// parseOptions reads the options and lets them be whatever they are.
func parseOptions(environ []string) (Options, error) {
	o, err := env.ParseAsWithOptions[Options](env.Options{Environment: env.ToMap(environ)})
	if err != nil {
		return o, fmt.Errorf("read options: %w", err)
	}
	for value, file := range map[*string]string{
		&o.BotToken: o.BotTokenFile, &o.AppToken: o.AppTokenFile, &o.Secret: o.SecretFile,
		&o.Webhooks: o.WebhooksFile, &o.CommandToken: o.CommandTokenFile,
		&o.WallKey: o.WallKeyFile,
	} {
		if file != "" {
			*value = strings.TrimSpace(file)
		}
	}
	o.Ledger, err = withPassword(o.Ledger, strings.TrimSpace(o.RedisPassword))
	return o, err
}

// shortestKey is how long the key of the wall's pages is at least (our choice): with
// letters and digits drawn at random nobody guesses it.
const shortestKey = 16

// toggle is on or off.
type toggle bool

// UnmarshalText reads a toggle.
func (t *toggle) UnmarshalText(text []byte) error {
	switch strings.ToLower(string(text)) {
	case "on", "true", "yes", "1":
		*t = true
	case "off", "false", "no", "0", "":
		*t = false
	default:
		return fmt.Errorf("%q: say on or off", text)
	}
	return nil
}

// withPassword puts a Redis password into a ledger's URL that has none.
func withPassword(ledger, password string) (string, error) {
	if password == "" || strings.HasPrefix(ledger, "file:") {
		return ledger, nil
	}
	u, err := url.Parse(ledger)
	if err != nil {
		return "", errors.New("VENTBELL_LEDGER is no URL") // err would show a password in it
	}
	if _, has := u.User.Password(); !has {
		u.User = url.UserPassword(u.User.Username(), password)
	}
	return u.String(), nil
}

// faults says everything that is wrong at once.
func (o Options) faults() []error {
	var errs []error
	want := func(ok bool, format string, args ...any) {
		if !ok {
			errs = append(errs, fmt.Errorf(format, args...))
		}
	}
	h, err := o.houses()
	if err != nil {
		errs = append(errs, err)
	}
	if o.Transport != "webhook" {
		want(o.BotToken != "", "VENTBELL_BOT_TOKEN is empty: copy the bot token (xoxb-...) from the app's page")
	}
	switch o.Transport {
	case "socket":
		want(o.AppToken != "", "VENTBELL_APP_TOKEN is empty: Socket Mode needs an app-level token (xapp-...)")
	case "http":
		want(o.Secret != "", "VENTBELL_SIGNING_SECRET is empty: signed HTTP needs the app's signing secret")
	case "webhook":
		for _, id := range o.roles().groups() {
			want(false, "%s names a group of people, which only Slack has: name each person by their id", id)
		}
		want(o.CommandToken != "", "VENTBELL_COMMAND_TOKEN is empty: copy the token that the server sends with its slash command")
		webhooks, err := o.webhooks()
		if err != nil {
			errs = append(errs, err)
		}
		for _, channel := range slices.Sorted(maps.Keys(h.kitchens)) {
			want(err != nil || webhooks[channel] != "", "VENTBELL_WEBHOOKS names no address for channel %s: add %[1]s=https://...", channel)
		}
	default:
		want(false, "VENTBELL_TRANSPORT is %q: say socket, http or webhook", o.Transport)
	}
	want(o.WallKey == "" || len(o.WallKey) >= shortestKey, "VENTBELL_WALL_KEY is short: take %d letters and digits or more, drawn at random", shortestKey)
	_, keptErr := o.keep()
	want(keptErr == nil, "%v", keptErr)
	want(o.LogFormat == "json" || o.LogFormat == "text", "VENTBELL_LOG_FORMAT is %q: say json or text", o.LogFormat)
	want(o.Partitions == 1 || o.Partitions == 16, "VENTBELL_PARTITIONS is %d: say 1, or 16 for a Cluster", o.Partitions)
	want(o.Replica >= 0 && o.Replica < 100, "VENTBELL_REPLICA is %d: say 0 for the first, 1 for the second", o.Replica)
	return errs
}

// webhooks gives where a channel's messages go. What it complains of it does
// not show: whoever has such an address can post.
func (o Options) webhooks() (map[string]string, error) {
	found := map[string]string{}
	for part := range strings.SplitSeq(o.Webhooks, ";") {
		if strings.TrimSpace(part) == "" {
			continue
		}
		channel, address, _ := strings.Cut(part, "=")
		channel, address = strings.TrimSpace(channel), strings.TrimSpace(address)
		u, err := url.Parse(address)
		if err != nil || channel == "" || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
			return nil, fmt.Errorf("VENTBELL_WEBHOOKS: entry %d is not of the form channel=https://...", len(found)+1)
		}
		found[channel] = address
	}
	return found, nil
}

// houses says which channel belongs to which kitchen and where a kitchen's
// calls go.
type houses struct {
	kitchens map[string]string       // channel -> kitchen
	teams    map[string]kitchen.Team // kitchen -> team
}

func (o Options) houses() (houses, error) {
	h := houses{kitchens: map[string]string{}, teams: map[string]kitchen.Team{}}
	pages, err := o.pages()
	if err != nil {
		return h, err
	}
	named := o.roles()
	for part := range strings.SplitSeq(o.Kitchens, ";") {
		if strings.TrimSpace(part) == "" {
			continue
		}
		name, list, ok := strings.Cut(part, "=")
		name = strings.TrimSpace(name)
		if !ok || name == "" || strings.TrimSpace(list) == "" {
			return h, fmt.Errorf("VENTBELL_KITCHENS: %q is not of the form kitchen=channel,channel", part)
		}
		for channel := range strings.SplitSeq(list, ",") {
			channel = strings.TrimSpace(channel)
			if other, taken := h.kitchens[channel]; taken {
				return h, fmt.Errorf("VENTBELL_KITCHENS: channel %s is in %s and in %s", channel, other, name)
			}
			h.kitchens[channel] = name
			if h.teams[name].Channel == "" { // calls go to the first one
				h.teams[name] = named.team(kitchen.Team{
					Channel: channel, Fallback: bool(o.Fallback), Tablets: idsOf(people(o.Tablets)), Pages: pages,
				}, nil)
			}
		}
	}
	if len(h.teams) == 0 {
		return h, errors.New("VENTBELL_KITCHENS is empty: say which channel is the kitchen's, main=C0123456789")
	}
	return h, nil
}

// pages says for what a call may page a whole channel.
func (o Options) pages() (list []kitchen.Page, err error) {
	for part := range strings.SplitSeq(o.Broad, ",") {
		switch p := kitchen.Page(strings.TrimSpace(part)); p {
		case kitchen.PageNobody:
		case kitchen.PagePressurised, kitchen.PageFood:
			list = append(list, p)
		default:
			return nil, fmt.Errorf("VENTBELL_BROAD: %q is neither pressurised nor food", p)
		}
	}
	return list, nil
}

// people reads "U1:prep-lead,U2": ids with the names they are shown by.
func people(list string) []kitchen.Person {
	var found []kitchen.Person
	for part := range strings.SplitSeq(list, ",") {
		id, name, _ := strings.Cut(strings.TrimSpace(part), ":")
		if id == "" {
			continue
		}
		if name == "" {
			name = id
		}
		found = append(found, kitchen.Person{ID: id, Name: name})
	}
	return found
}
