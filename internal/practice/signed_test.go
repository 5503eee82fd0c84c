package practice

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"

	"ventbell/internal/clock"
)

// The example that Slack publishes: docs.slack.dev, "Verifying requests from
// Slack".
func TestSignatureOfSlacksPublishedExample(t *testing.T) {
	t.Parallel()
	const body = "token=xyzz0WbapA4vBCDEFasx0q6G&team_id=T1DC2JH3J&team_domain=testteamnow&channel_id=G8PSS9T3V&channel_name=foobar" +
		"&user_id=U2CERLKJA&user_name=roadrunner&command=%2Fwebhook-collect&text=&response_url=https%3A%2F%2Fhooks.slack.com" +
		"%2Fcommands%2FT1DC2JH3J%2F397700885554%2F96rGlfmibIGlgcZRskXaIFfN&trigger_id=398738663015.47445629121.803a0bc887a14d10d2c447fce8b6703c"
	got := Sign("8f742231b10e8888abcd99yyyzzz85a5", time.Unix(1531420618, 0), []byte(body))
	if want := "v0=a2114d57b48eac39b9ad189dd8316235a7b4a8d21a10bd27519666489c69b503"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// endpoint is a service's request URL. It answers with what reply gives, after
// slack-go has verified the signature.
type endpoint struct {
	*httptest.Server
	bodies chan *http.Request
	sped   atomic.Bool // the room's clock has left the world's, which is all that slack-go knows
}

func newEndpoint(t *testing.T, reply func(w http.ResponseWriter, r *http.Request, body string)) *endpoint {
	e := &endpoint{bodies: make(chan *http.Request, 100)}
	e.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		raw, _ := io.ReadAll(r.Body)
		v, err := slack.NewSecretsVerifier(r.Header, "practice-signing-secret")
		if err == nil {
			_, _ = v.Write(raw)
			err = v.Ensure()
		}
		if err != nil && !e.sped.Load() {
			t.Errorf("signature: %v", err)
		}
		r.Body = io.NopCloser(strings.NewReader(string(raw)))
		e.bodies <- r
		reply(w, r, string(raw))
	}))
	t.Cleanup(e.Close)
	return e
}

// overHTTP opens a room that speaks signed HTTP, at the world's time because
// slack-go's verifier knows no other.
func overHTTP(t *testing.T, cfg Config, reply func(w http.ResponseWriter, r *http.Request, body string)) (*crew, *endpoint) {
	t.Helper()
	e := newEndpoint(t, reply)
	cfg.Clock, cfg.RequestURL = clock.Wall(), e.URL+"/slack"
	return open(t, cfg), e
}

func TestSignedCommandTapAndEventReachTheService(t *testing.T) {
	t.Parallel()
	c, e := overHTTP(t, Config{}, func(w http.ResponseWriter, _ *http.Request, body string) {
		if strings.HasPrefix(body, "payload=") || strings.HasPrefix(body, "{") {
			return
		}
		_, _ = io.WriteString(w, "Nothing rests.")
	})
	resp, err := c.Command(soon(t), c.bar1, c.Direct(c.bar1), "/bell", "resting & more")
	if err != nil {
		t.Fatal(err)
	}
	cmd, err := slack.SlashCommandParse(<-e.bodies)
	if err != nil || cmd.Text != "resting &amp; more" || cmd.ChannelName != "directmessage" || cmd.UserID != c.bar1 {
		t.Errorf("command %+v, %v", cmd, err)
	}
	if resp.Message == nil || resp.Message.Text != "Nothing rests." || resp.Message.For != c.bar1 {
		t.Errorf("answer %+v", resp.Message)
	}

	ts := c.slip()
	posted, err := slackevents.ParseEvent(bodyOf(t, <-e.bodies), slackevents.OptionNoVerifyToken())
	if err != nil || posted.InnerEvent.Data.(*slackevents.MessageEvent).TimeStamp != ts {
		t.Errorf("event %+v, %v", posted, err)
	}
	if _, err := c.Tap(soon(t), c.larder, c.bench, ts, "Empty & silent"); err != nil {
		t.Fatal(err)
	}
	tap, err := slack.InteractionCallbackParse(<-e.bodies)
	if err != nil || tap.ActionCallback.BlockActions[0].Value != "A.1" || tap.User.ID != c.larder {
		t.Errorf("tap %+v, %v", tap, err)
	}
	if got := c.call("apps.connections.open", nil); got["ok"] != false {
		t.Errorf("Socket Mode is on besides: %v", got)
	}
}

func bodyOf(t *testing.T, r *http.Request) json.RawMessage {
	t.Helper()
	raw, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func TestEventIsSentThreeTimesMoreOverHTTP(t *testing.T) {
	t.Parallel()
	var count atomic.Int64
	c, e := overHTTP(t, Config{}, func(w http.ResponseWriter, _ *http.Request, _ string) {
		if count.Add(1) < 4 {
			w.WriteHeader(http.StatusServiceUnavailable)
		}
	})
	if _, err := c.Say(soon(t), c.bar1, c.Direct(c.bar1), "start", ""); err != nil {
		t.Fatal(err)
	}
	type attempt struct{ Num, Reason string }
	var got []attempt
	take := func() {
		r := <-e.bodies
		got = append(got, attempt{r.Header.Get("X-Slack-Retry-Num"), r.Header.Get("X-Slack-Retry-Reason")})
	}
	take()
	take()
	e.sped.Store(true)
	c.clock.Pace(600) // the minute and the five minutes in less than a second
	take()
	take()
	want := []attempt{{"", ""}, {"1", "http_error"}, {"2", "http_error"}, {"3", "http_error"}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestNoRetryHeaderStopsRetries(t *testing.T) {
	t.Parallel()
	var count atomic.Int64
	c, e := overHTTP(t, Config{}, func(w http.ResponseWriter, r *http.Request, body string) {
		if strings.HasPrefix(body, "{") && count.Add(1) == 1 {
			w.Header().Set("X-Slack-No-Retry", "1")
			w.WriteHeader(http.StatusInternalServerError)
		}
	})
	for _, text := range []string{"first", "second"} {
		if _, err := c.Say(soon(t), c.bar1, c.Direct(c.bar1), text, ""); err != nil {
			t.Fatal(err)
		}
	}
	<-e.bodies
	if got := string(bodyOf(t, <-e.bodies)); !strings.Contains(got, "second") || c.Counts().Redelivered != 0 {
		t.Errorf("after the first came %s", got)
	}
}

func TestFailuresOverHTTPHaveSlacksWords(t *testing.T) {
	t.Parallel()
	hang := make(chan struct{})
	c, e := overHTTP(t, Config{AckWithin: 500 * time.Millisecond}, func(w http.ResponseWriter, r *http.Request, _ string) {
		switch {
		case r.URL.Path == "/round":
			http.Redirect(w, r, "/round", http.StatusTemporaryRedirect)
		case r.URL.Path == "/slow":
			<-hang
		}
	})
	t.Cleanup(func() { close(hang) })
	for path, want := range map[string]string{"/round": "too_many_redirects", "/slow": "http_timeout"} {
		p := parcel{kind: kindEvent, payload: fields{}}
		c.cfg.RequestURL = e.URL + path
		if _, fail := c.overHTTP(t.Context(), p, 0, ""); fail == nil || fail.reason != want || fail.final {
			t.Errorf("%s: %+v", path, fail)
		}
	}
	c.cfg.RequestURL = "http://127.0.0.1:1/"
	if _, fail := c.overHTTP(t.Context(), parcel{kind: kindEvent, payload: fields{}}, 0, ""); fail.reason != "connection_failed" || !errors.Is(fail.err, ErrNobody) {
		t.Errorf("nobody there: %+v", fail)
	}
}

func TestCommandsAndTapsMayHaveTheirOwnURL(t *testing.T) {
	t.Parallel()
	e := newEndpoint(t, func(http.ResponseWriter, *http.Request, string) {})
	c := open(t, Config{Clock: clock.Wall(), RequestURL: e.URL + "/events", CommandURL: e.URL + "/commands", ActionURL: e.URL + "/actions"})
	ts := c.slip()
	if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", ""); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Tap(soon(t), c.bar1, c.bench, ts, "Empty & silent"); err != nil {
		t.Fatal(err)
	}
	paths := map[string]bool{}
	for range 3 {
		paths[(<-e.bodies).URL.Path] = true
	}
	if diff := cmp.Diff(map[string]bool{"/events": true, "/commands": true, "/actions": true}, paths); diff != "" {
		t.Error(diff)
	}
}

func TestRequestURLIsVerifiedByItsChallenge(t *testing.T) {
	t.Parallel()
	answers := true
	c, _ := overHTTP(t, Config{}, func(w http.ResponseWriter, r *http.Request, body string) {
		var in struct{ Type, Challenge string }
		if err := json.Unmarshal([]byte(body), &in); err != nil || in.Type != "url_verification" {
			t.Errorf("got %s", body)
		}
		if answers {
			_, _ = io.WriteString(w, in.Challenge)
		}
	})
	if err := c.VerifyURL(soon(t)); err != nil {
		t.Error(err)
	}
	answers = false
	if err := c.VerifyURL(soon(t)); err == nil {
		t.Error("an answer without the challenge was taken")
	}
}

func TestFormOfACommandHasEveryFieldOnce(t *testing.T) {
	t.Parallel()
	c, e := overHTTP(t, Config{}, func(http.ResponseWriter, *http.Request, string) {})
	if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "help"); err != nil {
		t.Fatal(err)
	}
	form, err := url.ParseQuery(string(bodyOf(t, <-e.bodies)))
	if err != nil {
		t.Fatal(err)
	}
	// Fields: api.slack.com, Slash commands.
	for _, name := range []string{
		"token", "team_id", "team_domain", "channel_id", "channel_name", "user_id", "user_name", "command", "text",
		"api_app_id", "is_enterprise_install", "response_url", "trigger_id",
	} {
		if len(form[name]) != 1 || form.Get(name) == "" {
			t.Errorf("%s is %q", name, form[name])
		}
	}
}
