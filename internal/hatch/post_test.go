package hatch

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/door"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

func TestAMessageGoesToItsChannelsWebhook(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	at, err := r.Post(t.Context(), runner.Posting{Kitchen: "main", Lane: channel, Message: words("Vent A")})
	if err != nil || at != (runner.Posted{Channel: channel}) {
		t.Errorf("posted at %+v, %v", at, err)
	}
	if got := r.server.posted(); !slices.Equal(got, []post{{"/hooks/one", "Vent A"}}) {
		t.Errorf("posted %q", got)
	}
}

func TestADirectMessageGoesToItsKitchensChannelByName(t *testing.T) {
	t.Parallel()
	r := newRig(t, func(c *Config) {
		c.Webhooks["C2"] = c.Webhooks[channel] + "/two"
		c.Homes["bar"] = "C2"
	})
	r.says(t, form("resting")) // so U1 is known by name
	for _, lane := range []string{"@U9", "@U1", "@U404"} {
		if _, err := r.Post(t.Context(), runner.Posting{Kitchen: "bar", Lane: lane, Message: words("Nobody answers.")}); err != nil {
			t.Fatal(err)
		}
	}
	want := []post{
		{"/hooks/one/two", "@prep-lead: Nobody answers."}, {"/hooks/one/two", "@bar-1: Nobody answers."},
		{"/hooks/one/two", "@U404: Nobody answers."},
	}
	if got := r.server.posted(); !slices.Equal(got, want) {
		t.Errorf("posted %q, want %q", got, want)
	}
}

func TestItSaysWhatTheServerCannotDo(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	if can := r.Can(); can != (voice.Can{Longest: longest}) {
		t.Errorf("it can %+v", can)
	}
	err := r.Update(t.Context(), channel, "1", words("Vent A"))
	if no, ok := errors.AsType[*runner.Refusal](err); !ok || !no.Gone {
		t.Errorf("an edit gives %v", err)
	}
}

func TestARefusalSaysWhatToDo(t *testing.T) {
	t.Parallel()
	status := func(code int, header ...string) func(http.ResponseWriter) bool {
		return func(w http.ResponseWriter) bool {
			for i := 0; i+1 < len(header); i += 2 {
				w.Header().Set(header[i], header[i+1])
			}
			w.WriteHeader(code)
			return true
		}
	}
	for name, tc := range map[string]struct {
		status func(http.ResponseWriter) bool
		want   runner.Refusal
	}{
		"slow down":          {status(429, "Retry-After", "7"), runner.Refusal{Reason: rateLimited, Retry: true, After: 7 * time.Second}},
		"slow down, no time": {status(429), runner.Refusal{Reason: rateLimited, Retry: true, After: unsaid}},
		"its own trouble":    {status(502), runner.Refusal{Reason: serverError, Retry: true, Unsure: true}},
		"no such hook":       {status(404), runner.Refusal{Reason: channelGone, Retry: true, After: cure, Stuck: true}},
		"moved": {
			status(302, "Location", "/elsewhere"), runner.Refusal{Reason: channelGone, Retry: true, After: cure, Stuck: true},
		},
		"not let in": {status(403), runner.Refusal{Reason: notAllowed, Retry: true, After: cure, Stuck: true}},
		"our fault":  {status(400), runner.Refusal{Reason: badMessage}},
		"anything":   {status(418), runner.Refusal{Reason: refused}},
		"reset": {
			func(http.ResponseWriter) bool { panic(http.ErrAbortHandler) }, runner.Refusal{Reason: door.Reset, Retry: true, Unsure: true},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := &counts{}
			r := newRig(t, func(cfg *Config) { cfg.Metrics = c })
			r.server.status = tc.status
			_, err := r.Post(t.Context(), runner.Posting{Lane: channel, Message: words("Vent A")})
			got, ok := errors.AsType[*runner.Refusal](err)
			if !ok {
				t.Fatalf("error %v", err)
			}
			if strings.Contains(err.Error(), r.server.URL) || strings.Contains(err.Error(), "/hooks/") {
				t.Errorf("the error names the address: %v", err)
			}
			bare := *got
			bare.Err = nil
			if bare != tc.want {
				t.Errorf("got %+v, want %+v", bare, tc.want)
			}
			if want := []string{"webhook " + tc.want.Reason}; !slices.Equal(c.list(), want) {
				t.Errorf("counted %q, want %q", c.list(), want)
			}
		})
	}
}

func TestAPostThatNeverWentOutIsSure(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.server.Close()
	_, err := r.Post(t.Context(), runner.Posting{Lane: channel, Message: words("Vent A")})
	if no, ok := errors.AsType[*runner.Refusal](err); !ok || no.Reason != door.Unreachable || !no.Retry || no.Unsure {
		t.Errorf("error %#v", err)
	}
	stopped, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = r.Post(stopped, runner.Posting{Lane: channel, Message: words("Vent A")})
	if no, ok := errors.AsType[*runner.Refusal](err); !ok || no.Unsure {
		t.Errorf("error %#v", err)
	}
}

func TestAChannelWithoutAWebhookWaitsForOne(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	_, err := r.Post(t.Context(), runner.Posting{Lane: "C7", Message: words("Vent A")})
	if no, ok := errors.AsType[*runner.Refusal](err); !ok || no.Reason != channelGone || !no.Stuck || !no.Retry {
		t.Errorf("error %#v", err)
	}
}
