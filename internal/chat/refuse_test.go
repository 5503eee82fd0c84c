package chat

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/door"
	"ventbell/internal/runner"
)

// refusalCase is one way in which Slack, or the way to it, fails.
type refusalCase struct {
	status int
	header map[string]string
	body   string
	want   runner.Refusal // without Err
}

func slackSays(code string) string { return `{"ok":false,"error":"` + code + `"}` }

func stuckAt(reason string) runner.Refusal {
	return runner.Refusal{Reason: reason, Retry: true, After: cure, Stuck: true}
}

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
	"too late to edit":      {body: slackSays("edit_window_closed"), want: runner.Refusal{Reason: editClosed, Gone: true}},
	"the channel is gone":   {body: slackSays("channel_not_found"), want: stuckAt(channelGone)},
	"the channel is closed": {body: slackSays("is_archived"), want: stuckAt(channelArchived)},
	"closed to edits":       {body: slackSays("is_inactive"), want: stuckAt(channelArchived)},
	"not in the channel":    {body: slackSays("not_in_channel"), want: stuckAt(notInChannel)},
	"the person left":       {body: slackSays("user_disabled"), want: stuckAt(personGone)},
	"the token is revoked":  {body: slackSays("token_revoked"), want: stuckAt(tokenRefused)},
	"the app was removed":   {body: slackSays("account_inactive"), want: stuckAt(tokenRefused)},
	"a scope is missing":    {body: `{"ok":false,"error":"missing_scope","needed":"chat:write","provided":"commands"}`, want: stuckAt(scopeMissing)},
	"the app may not":       {body: slackSays("app_access_restricted"), want: stuckAt(notAllowed)},
	"no messages to it":     {body: slackSays("messages_tab_disabled"), want: stuckAt(notAllowed)},
	"posting is for some":   {body: slackSays("restricted_action"), want: stuckAt(restricted)},
	"the channel is quiet":  {body: slackSays("restricted_action_read_only_channel"), want: stuckAt(restricted)},
	"no replies":            {body: slackSays("cannot_reply_to_message"), want: runner.Refusal{Reason: threadClosed}},
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
			_, posted := c.Post(t.Context(), runner.Posting{Lane: "C0BENCH", Message: words("Vent A")})
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
		_, err := c.Post(t.Context(), runner.Posting{Lane: "C0BENCH", Message: words("Vent A")})
		checkRefusal(t, err, runner.Refusal{Reason: door.Reset, Retry: true, Unsure: true})
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
		_, err := stall(t).Post(ctx, runner.Posting{Lane: "C0BENCH", Message: words("Vent A")})
		checkRefusal(t, err, runner.Refusal{Reason: door.Timeout, Retry: true, Unsure: true})
	})
	t.Run("no answer in the client's time", func(t *testing.T) {
		t.Parallel()
		c := stall(t)
		c.cfg.Client.Timeout = 50 * time.Millisecond
		_, err := c.Post(t.Context(), runner.Posting{Lane: "C0BENCH", Message: words("Vent A")})
		checkRefusal(t, err, runner.Refusal{Reason: door.Timeout, Retry: true, Unsure: true})
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
		_, err := c.Post(ctx, runner.Posting{Lane: "C0BENCH", Message: words("Vent A")})
		checkRefusal(t, err, runner.Refusal{Reason: door.Stopped, Retry: true, Unsure: true})
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
	_, err = c.Post(t.Context(), runner.Posting{Lane: "C0BENCH", Message: words("Vent A")})
	checkRefusal(t, err, runner.Refusal{Reason: door.Unreachable, Retry: true})
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
			_, posted := c.Post(t.Context(), runner.Posting{Lane: "C0BENCH", Message: words("our own recipe")})
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

func TestEveryRefusalHasAReasonOfTheList(t *testing.T) {
	t.Parallel()
	known := map[string]bool{}
	for _, reason := range Reasons() {
		if reason == "" || known[reason] {
			t.Errorf("%q stands twice", reason)
		}
		known[reason] = true
	}
	for _, reason := range Stuck() {
		if !known[reason] {
			t.Errorf("%q is no reason", reason)
		}
	}
	for name, tc := range refusalCases {
		if !known[tc.want.Reason] {
			t.Errorf("%s: %q is no reason", name, tc.want.Reason)
		}
	}
}

// TestWhatWaitingDoesNotMendIsStuck: every code behind which somebody must act
// is kept and tried again, and the list of reasons names it so.
func TestWhatWaitingDoesNotMendIsStuck(t *testing.T) {
	t.Parallel()
	named := map[string]bool{}
	for _, reason := range Stuck() {
		named[reason] = true
	}
	found := map[string]bool{}
	// The codes of chat.postMessage, chat.update and conversations.open in
	// github.com/slack-ruby/slack-api-ref of August 2026.
	for _, code := range strings.Fields(`access_denied accesslimited account_inactive app_access_restricted attachment_payload_limit_exceeded
		cannot_reply_to_message channel_not_found ekm_access_denied enterprise_is_restricted fatal_error invalid_arg_name invalid_blocks
		invalid_blocks_format invalid_charset invalid_form_data invalid_metadata_format is_archived is_bot is_inactive
		message_limit_exceeded message_not_found messages_tab_disabled metadata_too_large missing_scope msg_blocks_too_long msg_too_long
		no_permission no_text not_allowed_token_type not_authed not_in_channel org_login_required rate_limited ratelimited request_timeout
		restricted_action restricted_action_non_threadable_channel restricted_action_read_only_channel restricted_action_thread_locked
		restricted_action_thread_only_channel service_unavailable team_added_to_org team_not_found token_expired token_revoked
		two_factor_setup_required unknown_method update_failed user_disabled user_not_found user_not_visible edit_window_closed`) {
		r := refuseCode(code)
		if r.Stuck != named[r.Reason] || r.Stuck && (!r.Retry || r.After != cure || r.Gone || r.Unsure) {
			t.Errorf("%s: %+v", code, r)
		}
		if r.Stuck {
			found[r.Reason] = true
		}
	}
	if len(found) != len(named) {
		t.Errorf("found %v of %v", found, named)
	}
}

func TestAMissingScopeIsNamed(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.slack.answer = func(call) (int, string) { return http.StatusOK, refusalCases["a scope is missing"].body }
	_, err := r.Post(t.Context(), runner.Posting{Lane: channel, Message: words("Vent A")})
	if err == nil || !strings.Contains(err.Error(), "chat:write") {
		t.Errorf("error %v", err)
	}
}
