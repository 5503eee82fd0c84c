package chat

import (
	"fmt"
	"net/http"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/runner"
)

// ours gives a message of ours as Slack's history shows it.
func ours(ts, mark string) string {
	return fmt.Sprintf(`{"type":"message","user":%q,"bot_id":"B0","ts":%q,"text":"x",
		"metadata":{"event_type":"ventbell_message","event_payload":{"mark":%q}}}`, bot, ts, mark)
}

// asked is a moment in whole seconds and a bit.
var asked = time.Unix(1764000300, 700_000_000)

func TestAMessageIsFoundByItsMark(t *testing.T) {
	t.Parallel()
	foreign := `{"type":"message","user":"U0OTHER","ts":"9.1","metadata":{"event_type":"ventbell_message","event_payload":{"mark":"m"}}}`
	other := `{"type":"message","user":"` + bot + `","ts":"9.2","metadata":{"event_type":"other","event_payload":{"mark":"m"}}}`
	for name, tc := range map[string]struct {
		pages []string
		want  runner.Posted
		found bool
	}{
		"on the first page": {
			[]string{`{"ok":true,"messages":[{"ts":"3.1","user":"U0BAR1","text":"m"},` + ours("2.1", "m") + `]}`},
			runner.Posted{Channel: channel, TS: "2.1"}, true,
		},
		"on the second": {
			[]string{
				`{"ok":true,"messages":[` + ours("3.1", "n") + `],"has_more":true,"response_metadata":{"next_cursor":"c1"}}`,
				`{"ok":true,"messages":[` + ours("2.1", "m") + `]}`,
			},
			runner.Posted{Channel: channel, TS: "2.1"}, true,
		},
		"nowhere":              {[]string{`{"ok":true,"messages":[` + ours("3.1", "n") + `]}`}, runner.Posted{}, false},
		"nothing was said":     {[]string{`{"ok":true,"messages":[]}`}, runner.Posted{}, false},
		"another's, alike":     {[]string{`{"ok":true,"messages":[` + foreign + `]}`}, runner.Posted{}, false},
		"of another kind":      {[]string{`{"ok":true,"messages":[` + other + `]}`}, runner.Posted{}, false},
		"without any metadata": {[]string{`{"ok":true,"messages":[{"ts":"2.1","user":"` + bot + `"}]}`}, runner.Posted{}, false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			pages := tc.pages
			r.slack.answer = func(c call) (int, string) {
				if c.path != "conversations.history" {
					return http.StatusOK, ""
				}
				next := pages[0]
				pages = pages[1:]
				return http.StatusOK, next
			}
			at, found, err := r.Find(t.Context(), channel, "m", asked)
			if err != nil || found != tc.found || at != tc.want {
				t.Errorf("Find = %+v, %t, %v", at, found, err)
			}
			calls := r.slack.to("conversations.history")
			if len(calls) != len(tc.pages) {
				t.Fatalf("read %d pages", len(calls))
			}
			want := map[string]string{"channel": channel, "oldest": "1764000240", "limit": "100", "include_all_metadata": "1"}
			for name, value := range want {
				if got := calls[0].form.Get(name); got != value {
					t.Errorf("%s = %q, want %q", name, got, value)
				}
			}
			if last := calls[len(calls)-1].form.Get("cursor"); len(calls) == 2 && last != "c1" {
				t.Errorf("read on from %q", last)
			}
		})
	}
}

func TestWhereTheHistoryIsNotReadNothingIsKnown(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		answer string
		want   runner.Refusal
	}{
		"no scope":             {`{"ok":false,"error":"missing_scope","needed":"channels:history"}`, stuckAt(scopeMissing)},
		"not in the channel":   {slackSays("not_in_channel"), stuckAt(notInChannel)},
		"a channel not seen":   {slackSays("channel_not_found"), stuckAt(channelGone)},
		"no, without a reason": {`{"ok":false}`, runner.Refusal{Reason: unclear, Retry: true, Unsure: true}},
		"too much was said": {
			`{"ok":true,"messages":[],"has_more":true,"response_metadata":{"next_cursor":"on"}}`, runner.Refusal{Reason: unclear},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			r.slack.answer = func(call) (int, string) { return http.StatusOK, tc.answer }
			at, found, err := r.Find(t.Context(), channel, "m", asked)
			checkRefusal(t, err, tc.want)
			if found || at != (runner.Posted{}) {
				t.Errorf("found %+v", at)
			}
		})
	}
}

// TestAReplyThatMayHaveArrivedIsLookedForInItsThread: the history of a channel
// shows no replies.
func TestAReplyThatMayHaveArrivedIsLookedForInItsThread(t *testing.T) {
	t.Parallel()
	parent := `{"ts":"1.1","user":"` + bot + `","thread_ts":"1.1"}`
	for name, tc := range map[string]struct {
		replies, history string
		want             runner.Posted
		found            bool
		read             []string
	}{
		"in the thread": {
			`{"ok":true,"messages":[` + parent + `,` + ours("2.1", "m") + `]}`, "",
			runner.Posted{Channel: channel, TS: "2.1"}, true, []string{"conversations.replies"},
		},
		"in the open, below a message that is gone": {
			slackSays("thread_not_found"), `{"ok":true,"messages":[` + ours("2.1", "m") + `]}`,
			runner.Posted{Channel: channel, TS: "2.1", Loose: true}, true, []string{"conversations.replies", "conversations.history"},
		},
		"nowhere": {
			`{"ok":true,"messages":[` + parent + `]}`, `{"ok":true,"messages":[]}`,
			runner.Posted{}, false, []string{"conversations.replies", "conversations.history"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			var read []string
			r.slack.answer = func(c call) (int, string) {
				switch c.path {
				case "chat.postMessage":
					return http.StatusInternalServerError, "<html>"
				case "conversations.replies":
					read = append(read, c.path)
					if c.form.Get("ts") != "1.1" || c.form.Get("include_all_metadata") != "1" {
						t.Errorf("asked for %v", c.form)
					}
					return http.StatusOK, tc.replies
				case "conversations.history":
					read = append(read, c.path)
					return http.StatusOK, tc.history
				}
				return http.StatusOK, ""
			}
			_, err := r.Post(t.Context(), runner.Posting{Lane: channel, Thread: "1.1", Mark: "m", Message: words("Vent A")})
			checkRefusal(t, err, runner.Refusal{Reason: serverError, Retry: true, Unsure: true})
			at, found, err := r.Find(t.Context(), channel, "m", asked)
			if err != nil || found != tc.found || at != tc.want {
				t.Errorf("Find = %+v, %t, %v", at, found, err)
			}
			if diff := cmp.Diff(tc.read, read); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestADirectMessageIsLookedForInItsOwnChannel(t *testing.T) {
	t.Parallel()
	answer := func(c call) (int, string) {
		switch c.path {
		case "chat.postMessage":
			return http.StatusOK, `{"ok":true,"channel":"D0BAR1","ts":"1.1"}`
		case "conversations.open":
			return http.StatusOK, `{"ok":true,"channel":{"id":"D0BAR1"}}`
		case "conversations.history":
			return http.StatusOK, `{"ok":true,"messages":[` + ours("2.1", "m") + `]}`
		}
		return http.StatusOK, ""
	}
	for name, opened := range map[string]int{"known from a message before": 0, "asked for": 1} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			r.slack.answer = answer
			if opened == 0 {
				if _, err := r.Post(t.Context(), runner.Posting{Lane: "@" + bar1, Message: words("Vent A")}); err != nil {
					t.Fatal(err)
				}
			}
			for range 2 {
				at, found, err := r.Find(t.Context(), "@"+bar1, "m", asked)
				if want := (runner.Posted{Channel: "D0BAR1", TS: "2.1"}); err != nil || !found || at != want {
					t.Errorf("Find = %+v, %t, %v", at, found, err)
				}
			}
			if calls := r.slack.to("conversations.open"); len(calls) != opened {
				t.Errorf("opened %d times", len(calls))
			}
			if form := r.slack.to("conversations.history")[0].form; form.Get("channel") != "D0BAR1" {
				t.Errorf("read %v", form)
			}
		})
	}
}

func TestAPersonWhoseChannelIsNotKnownIsAnError(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		answer string
		want   runner.Refusal
	}{
		"no scope": {`{"ok":false,"error":"missing_scope","needed":"im:write"}`, stuckAt(scopeMissing)},
		"gone":     {slackSays("user_disabled"), stuckAt(personGone)},
		"unclear":  {`{"ok":true}`, runner.Refusal{Reason: unclear, Retry: true, Unsure: true}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			r.slack.answer = func(call) (int, string) { return http.StatusOK, tc.answer }
			_, _, err := r.Find(t.Context(), "@"+bar1, "m", asked)
			checkRefusal(t, err, tc.want)
		})
	}
}
