package chat

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// newWired gives a door that calls a real server.
func newWired(t *testing.T, serve http.HandlerFunc) *Chat {
	t.Helper()
	server := httptest.NewServer(serve)
	t.Cleanup(server.Close)
	c, err := New(Config{Token: testToken, API: server.URL + "/api", Desk: &listener{}, Voice: plainVoice{}})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestPostSaysWhereTheMessageStands(t *testing.T) {
	t.Parallel()
	var got call
	c := newWired(t, func(w http.ResponseWriter, r *http.Request) {
		if err := r.ParseForm(); err != nil {
			t.Error(err)
		}
		got = call{path: r.URL.Path, form: r.PostForm}
		fmt.Fprint(w, `{"ok":true,"channel":"D0BAR1","ts":"1764000300.000700"}`)
	})
	channel, ts, err := c.Post(t.Context(), "@U0BAR1", shown["vent-call"])
	if err != nil || channel != "D0BAR1" || ts != "1764000300.000700" {
		t.Errorf("Post = %q, %q, %v", channel, ts, err)
	}
	if got.path != "/api/chat.postMessage" {
		t.Errorf("called %s", got.path)
	}
	want := map[string]string{
		"token": testToken, "channel": "U0BAR1", "text": draw(shown["vent-call"]).text,
		"unfurl_links": "false", "unfurl_media": "false",
	}
	for name, value := range want {
		if got.form.Get(name) != value {
			t.Errorf("%s = %q, want %q", name, got.form.Get(name), value)
		}
	}
	if len(got.form) != len(want)+1 || !json.Valid([]byte(got.form.Get("blocks"))) {
		t.Errorf("sent %v", got.form)
	}
}

func TestUpdateAlwaysSendsTheBlocks(t *testing.T) {
	t.Parallel()
	var got call
	c := newWired(t, func(w http.ResponseWriter, r *http.Request) {
		if err := r.ParseForm(); err != nil {
			t.Error(err)
		}
		got = call{path: r.URL.Path, form: r.PostForm}
		fmt.Fprint(w, `{"ok":true,"channel":"C0BENCH","ts":"1764000300.000700"}`)
	})
	if err := c.Update(t.Context(), "C0BENCH", "1764000300.000700", words("Vented 18:07, A.")); err != nil {
		t.Fatal(err)
	}
	if got.path != "/api/chat.update" || got.form.Get("ts") != "1764000300.000700" || got.form.Get("channel") != "C0BENCH" {
		t.Errorf("called %s with %v", got.path, got.form)
	}
	if len(got.form) != 5 { // chat.update has no arguments about unfurling
		t.Errorf("sent %v", got.form)
	}
	var blocks []map[string]any
	if err := json.Unmarshal([]byte(got.form.Get("blocks")), &blocks); err != nil || len(blocks) != 1 {
		t.Errorf("blocks %q", got.form.Get("blocks"))
	}
}

func TestAMessageThatDoesNotFitIsNotSent(t *testing.T) {
	t.Parallel()
	var calls atomic.Int32
	c := newWired(t, func(http.ResponseWriter, *http.Request) { calls.Add(1) })
	long := words(strings.Repeat("x", 5000))
	_, _, posted := c.Post(t.Context(), "C0BENCH", long)
	updated := c.Update(t.Context(), "C0BENCH", "1.1", voice.Message{})
	for _, err := range []error{posted, updated} {
		var r *runner.Refusal
		if !errors.As(err, &r) || r.Reason != badMessage || r.Retry || r.Gone || r.Unsure {
			t.Errorf("refused as %#v", err)
		}
	}
	if calls.Load() != 0 {
		t.Errorf("called %d times", calls.Load())
	}
}

// refusalCase is one way in which Slack, or the way to it, fails.
type refusalCase struct {
	status int
	header map[string]string
	body   string
	want   runner.Refusal // without Err
}

func slackSays(code string) string { return `{"ok":false,"error":"` + code + `"}` }

var refusalCases = map[string]refusalCase{
	"429 with a time":       {status: 429, header: map[string]string{"Retry-After": "7"}, want: runner.Refusal{Reason: rateLimited, Retry: true, After: 7 * time.Second}},
	"429 without one":       {status: 429, want: runner.Refusal{Reason: rateLimited, Retry: true, After: unsaid}},
	"429 with a date":       {status: 429, header: map[string]string{"Retry-After": "Tue, 24 Nov 2026 18:06:20 GMT"}, want: runner.Refusal{Reason: rateLimited, Retry: true, After: unsaid}},
	"200 ratelimited":       {body: slackSays("ratelimited"), want: runner.Refusal{Reason: rateLimited, Retry: true, After: unsaid}},
	"no, without a reason":  {body: `{"ok":false}`, want: runner.Refusal{Reason: unclear, Retry: true, Unsure: true}},
	"neither yes nor no":    {body: `{}`, want: runner.Refusal{Reason: unclear, Retry: true, Unsure: true}},
	"a page instead":        {body: `<html>Login</html>`, want: runner.Refusal{Reason: unclear, Retry: true, Unsure: true}},
	"nothing":               {body: "", want: runner.Refusal{Reason: unclear, Retry: true, Unsure: true}},
	"half an answer":        {body: `{"ok":true,"ts":"17`, want: runner.Refusal{Reason: unclear, Retry: true, Unsure: true}},
	"an answer of lists":    {body: `[]`, want: runner.Refusal{Reason: unclear, Retry: true, Unsure: true}},
	"500 with a page":       {status: 500, body: "<html>Oops</html>", want: runner.Refusal{Reason: serverError, Retry: true, Unsure: true}},
	"503":                   {status: 503, want: runner.Refusal{Reason: serverError, Retry: true, Unsure: true}},
	"403":                   {status: 403, want: runner.Refusal{Reason: refused}},
	"the message is gone":   {body: slackSays("message_not_found"), want: runner.Refusal{Reason: messageGone, Gone: true}},
	"not ours to edit":      {body: slackSays("cant_update_message"), want: runner.Refusal{Reason: messageGone, Gone: true}},
	"too late to edit":      {body: slackSays("edit_window_closed"), want: runner.Refusal{Reason: messageGone, Gone: true}},
	"the channel is gone":   {body: slackSays("channel_not_found"), want: runner.Refusal{Reason: channelGone, Retry: true, After: cure}},
	"the channel is closed": {body: slackSays("is_archived"), want: runner.Refusal{Reason: channelGone, Retry: true, After: cure}},
	"not in the channel":    {body: slackSays("not_in_channel"), want: runner.Refusal{Reason: notInChannel, Retry: true, After: cure}},
	"the person left":       {body: slackSays("user_disabled"), want: runner.Refusal{Reason: personGone}},
	"the token is revoked":  {body: slackSays("token_revoked"), want: runner.Refusal{Reason: notAllowed, Retry: true, After: cure}},
	"a scope is missing":    {body: `{"ok":false,"error":"missing_scope","needed":"chat:write","provided":"commands"}`, want: runner.Refusal{Reason: notAllowed, Retry: true, After: cure}},
	"too long":              {body: slackSays("msg_too_long"), want: runner.Refusal{Reason: badMessage}},
	"wrong blocks":          {body: slackSays("invalid_blocks"), want: runner.Refusal{Reason: badMessage}},
	"Slack's own trouble":   {body: slackSays("fatal_error"), want: runner.Refusal{Reason: serverError, Retry: true, Unsure: true}},
	"Slack is away":         {body: slackSays("service_unavailable"), want: runner.Refusal{Reason: serverError, Retry: true}},
	"anything else":         {body: slackSays("some_new_reason"), want: runner.Refusal{Reason: refused}},
}

func TestARefusalSaysWhatToDo(t *testing.T) {
	t.Parallel()
	for name, tc := range refusalCases {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var calls atomic.Int32
			c := newWired(t, func(w http.ResponseWriter, _ *http.Request) {
				calls.Add(1)
				for k, v := range tc.header {
					w.Header().Set(k, v)
				}
				if tc.status != 0 {
					w.WriteHeader(tc.status)
				}
				fmt.Fprint(w, tc.body)
			})
			_, _, posted := c.Post(t.Context(), "C0BENCH", words("Vent A"))
			updated := c.Update(t.Context(), "C0BENCH", "1.1", words("Vent A"))
			for _, err := range []error{posted, updated} {
				checkRefusal(t, err, tc.want)
			}
			if calls.Load() != 2 {
				t.Errorf("called %d times for two messages", calls.Load())
			}
		})
	}
}

func checkRefusal(t *testing.T, err error, want runner.Refusal) {
	t.Helper()
	var r *runner.Refusal
	if !errors.As(err, &r) {
		t.Fatalf("error %#v", err)
	}
	if r.Err == nil {
		t.Error("no cause")
	}
	got := *r
	got.Err = nil
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("%v:\n%s", err, diff)
	}
}

func TestARequestThatMayHaveGoneOutIsUnsure(t *testing.T) {
	t.Parallel()
	t.Run("reset after it was read", func(t *testing.T) {
		t.Parallel()
		c := newWired(t, func(w http.ResponseWriter, _ *http.Request) {
			conn, _, err := http.NewResponseController(w).Hijack()
			if err != nil {
				t.Error(err)
				return
			}
			conn.Close()
		})
		_, _, err := c.Post(t.Context(), "C0BENCH", words("Vent A"))
		checkRefusal(t, err, runner.Refusal{Reason: reset, Retry: true, Unsure: true})
	})
	stall := func(t *testing.T) *Chat {
		end := make(chan struct{})
		c := newWired(t, func(_ http.ResponseWriter, r *http.Request) {
			select {
			case <-end:
			case <-r.Context().Done():
			}
		})
		t.Cleanup(func() { close(end) }) // before the server closes
		return c
	}
	t.Run("no answer in time", func(t *testing.T) {
		t.Parallel()
		ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
		defer cancel()
		_, _, err := stall(t).Post(ctx, "C0BENCH", words("Vent A"))
		checkRefusal(t, err, runner.Refusal{Reason: timeout, Retry: true, Unsure: true})
	})
	t.Run("no answer in the client's time", func(t *testing.T) {
		t.Parallel()
		c := stall(t)
		c.cfg.Client.Timeout = 50 * time.Millisecond
		_, _, err := c.Post(t.Context(), "C0BENCH", words("Vent A"))
		checkRefusal(t, err, runner.Refusal{Reason: timeout, Retry: true, Unsure: true})
	})
	t.Run("we were stopped", func(t *testing.T) {
		t.Parallel()
		ctx, cancel := context.WithCancel(t.Context())
		c := newWired(t, func(_ http.ResponseWriter, r *http.Request) {
			if err := r.ParseForm(); err != nil { // read, so that the end is seen
				t.Error(err)
			}
			cancel()
			<-r.Context().Done()
		})
		_, _, err := c.Post(ctx, "C0BENCH", words("Vent A"))
		checkRefusal(t, err, runner.Refusal{Reason: stopped, Retry: true, Unsure: true})
	})
}

func TestARequestThatNeverWentOutIsSure(t *testing.T) {
	t.Parallel()
	server := httptest.NewServer(http.NotFoundHandler())
	server.Close()
	c, err := New(Config{Token: testToken, API: server.URL, Desk: &listener{}, Voice: plainVoice{}})
	if err != nil {
		t.Fatal(err)
	}
	_, _, err = c.Post(t.Context(), "C0BENCH", words("Vent A"))
	checkRefusal(t, err, runner.Refusal{Reason: unreachable, Retry: true})
}

// TestNoSecretIsEverLogged: tokens, addresses to answer at and what people
// wrote stay out of errors and logs.
func TestNoSecretIsEverLogged(t *testing.T) {
	t.Parallel()
	for name, tc := range refusalCases {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				if tc.status != 0 {
					w.WriteHeader(tc.status)
				}
				fmt.Fprint(w, tc.body)
			}))
			address := server.URL + "/hooks/once-only-address"
			if name == "403" {
				server.Close() // nobody at home
			} else {
				t.Cleanup(server.Close)
			}
			var log bytes.Buffer
			c, err := New(Config{
				Token: testToken, API: server.URL, Secret: testSecret, Desk: &listener{}, Voice: plainVoice{},
				Log: slog.New(slog.NewTextHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug})),
			})
			if err != nil {
				t.Fatal(err)
			}
			_, _, posted := c.Post(t.Context(), "C0BENCH", words("our own recipe"))
			whispered := c.whisper(t.Context(), address, note{Text: "our own recipe"})
			c.cfg.Log.Error("x", "err", errors.Join(posted, whispered))
			c.self()
			for _, secret := range []string{testToken, testSecret, "once-only-address", "our own recipe"} {
				if strings.Contains(log.String(), secret) {
					t.Errorf("%q is in the log:\n%s", secret, log.String())
				}
			}
		})
	}
}

func TestAnswersThatSlackSlowsDownAreSaidAgain(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t)
		var tries []time.Time
		r.slack.answer = func(c call) (int, string) {
			if c.path != "chat.postMessage" {
				return http.StatusOK, ""
			}
			tries = append(tries, time.Now())
			switch len(tries) {
			case 1:
				return http.StatusOK, slackSays("service_unavailable")
			case 2:
				return http.StatusTooManyRequests, ""
			}
			return http.StatusOK, ""
		}
		began := time.Now()
		r.event(`"type":"app_mention","channel":"` + channel + `","user":"U0BAR1","text":"<@U0BOT> resting","ts":"1764000201.0"`)
		r.close(t)
		want := []time.Time{began, began.Add(time.Second), began.Add(time.Second + unsaid)}
		if diff := cmp.Diff(want, tries); diff != "" {
			t.Error(diff)
		}
	})
}

func TestAnAnswerThatMayHaveArrivedIsNotSaidTwice(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.slack.answer = func(c call) (int, string) {
		if c.path == "chat.postMessage" {
			return http.StatusInternalServerError, "<html>"
		}
		return http.StatusOK, ""
	}
	r.event(`"type":"app_mention","channel":"` + channel + `","user":"U0BAR1","text":"<@U0BOT> resting","ts":"1764000201.0"`)
	r.close(t)
	if calls := r.slack.to("chat.postMessage"); len(calls) != 1 {
		t.Errorf("said %d times", len(calls))
	}
}

func TestAnAnswerThatDoesNotFitIsCutShort(t *testing.T) {
	t.Parallel()
	s := newRig(t).answerSheet(words(strings.Repeat("x", 5000)))
	if units(s.text) != textLimit || len(s.blocks) != 0 {
		t.Errorf("%d characters, %d blocks", units(s.text), len(s.blocks))
	}
}

func TestAResponseURLThatIsNoneIsRefusedForGood(t *testing.T) {
	t.Parallel()
	for _, address := range []string{"", "once", "http://[", "mailto:x"} {
		err := newRig(t).whisper(t.Context(), address, note{Text: "x"})
		checkRefusal(t, err, runner.Refusal{Reason: refused})
	}
}

func TestCallsAreCountedByMethodAndOutcome(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	if _, _, err := r.Post(t.Context(), channel, words("Vent A")); err != nil {
		t.Fatal(err)
	}
	r.slack.answer = func(call) (int, string) { return http.StatusOK, slackSays("is_archived") }
	if err := r.Update(t.Context(), channel, "1.1", words("Vent A")); err == nil {
		t.Fatal("no error")
	}
	want := map[string]int{"chat.postMessage ok": 1, "chat.update channel gone": 1}
	if diff := cmp.Diff(want, r.tally.called); diff != "" {
		t.Error(diff)
	}
}

func TestNewRefusesWhatCannotWork(t *testing.T) {
	t.Parallel()
	for name, cfg := range map[string]Config{
		"no token": {Desk: &listener{}, Voice: plainVoice{}},
		"no desk":  {Token: testToken, Voice: plainVoice{}},
		"no voice": {Token: testToken, Desk: &listener{}},
	} {
		if _, err := New(cfg); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
