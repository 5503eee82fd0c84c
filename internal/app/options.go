package app

import (
	"errors"
	"fmt"
	"log/slog"
	"net/url"
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
	Listen   string `env:"VENTBELL_LISTEN" envDefault:":8080"`

	Transport     string `env:"VENTBELL_TRANSPORT" envDefault:"socket"` // socket or http
	BotToken      string `env:"VENTBELL_BOT_TOKEN"`
	BotTokenFile  string `env:"VENTBELL_BOT_TOKEN_FILE,file"`
	AppToken      string `env:"VENTBELL_APP_TOKEN"`
	AppTokenFile  string `env:"VENTBELL_APP_TOKEN_FILE,file"`
	Secret        string `env:"VENTBELL_SIGNING_SECRET"`
	SecretFile    string `env:"VENTBELL_SIGNING_SECRET_FILE,file"`
	SlackAPI      string `env:"VENTBELL_SLACK_API"` // where Slack's methods are; empty = Slack itself
	RedisPassword string `env:"VENTBELL_REDIS_PASSWORD_FILE,file"`

	Replica    int `env:"VENTBELL_REPLICA"` // 0 for the first, 1 for the second, ...
	Partitions int `env:"VENTBELL_PARTITIONS" envDefault:"1"`

	LogLevel  slog.Level    `env:"VENTBELL_LOG_LEVEL" envDefault:"info"`
	LogFormat string        `env:"VENTBELL_LOG_FORMAT" envDefault:"json"` // json or text
	StopAfter time.Duration `env:"VENTBELL_STOP_AFTER" envDefault:"10s"`  // bound on a shutdown
	Lease     time.Duration `env:"VENTBELL_LEASE"`                        // of a lane to a runner; 0 = 10 s
}

// ReadOptions reads the options from an environment in the form of os.Environ.
func ReadOptions(environ []string) (Options, error) {
	o, err := env.ParseAsWithOptions[Options](env.Options{Environment: env.ToMap(environ)})
	if err != nil {
		return o, fmt.Errorf("read options: %w", err)
	}
	for value, file := range map[*string]string{
		&o.BotToken: o.BotTokenFile, &o.AppToken: o.AppTokenFile, &o.Secret: o.SecretFile,
	} {
		if file != "" {
			*value = strings.TrimSpace(file)
		}
	}
	if o.Ledger, err = withPassword(o.Ledger, strings.TrimSpace(o.RedisPassword)); err != nil {
		return o, err
	}
	return o, o.validate()
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

// validate says everything that is wrong at once.
func (o Options) validate() error {
	var errs []error
	want := func(ok bool, format string, args ...any) {
		if !ok {
			errs = append(errs, fmt.Errorf(format, args...))
		}
	}
	want(o.BotToken != "", "VENTBELL_BOT_TOKEN is empty: copy the bot token (xoxb-...) from the app's page")
	switch o.Transport {
	case "socket":
		want(o.AppToken != "", "VENTBELL_APP_TOKEN is empty: Socket Mode needs an app-level token (xapp-...)")
	case "http":
		want(o.Secret != "", "VENTBELL_SIGNING_SECRET is empty: signed HTTP needs the app's signing secret")
	default:
		want(false, "VENTBELL_TRANSPORT is %q: say socket or http", o.Transport)
	}
	want(o.LogFormat == "json" || o.LogFormat == "text", "VENTBELL_LOG_FORMAT is %q: say json or text", o.LogFormat)
	want(o.Partitions == 1 || o.Partitions == 16, "VENTBELL_PARTITIONS is %d: say 1, or 16 for a Cluster", o.Partitions)
	want(o.Replica >= 0 && o.Replica < 100, "VENTBELL_REPLICA is %d: say 0 for the first, 1 for the second", o.Replica)
	_, err := o.houses()
	return errors.Join(append(errs, err)...)
}

// houses says which channel belongs to which kitchen and where a kitchen's
// calls go.
type houses struct {
	kitchens map[string]string       // channel -> kitchen
	teams    map[string]kitchen.Team // kitchen -> team
}

func (o Options) houses() (houses, error) {
	h := houses{kitchens: map[string]string{}, teams: map[string]kitchen.Team{}}
	managers := people(o.Managers)
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
				h.teams[name] = kitchen.Team{Channel: channel, Managers: managers}
			}
		}
	}
	if len(h.teams) == 0 {
		return h, errors.New("VENTBELL_KITCHENS is empty: say which channel is the kitchen's, main=C0123456789")
	}
	return h, nil
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
