package chat

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// inspect asks a double of Slack that answers each method as told, the rest
// with what is usual.
func inspect(t *testing.T, answers map[string]string, header map[string]string) (Inspection, []string) {
	t.Helper()
	usual := map[string]string{
		"auth.test":             `{"ok":true,"team":"Practice","user_id":"U0BOT"}`,
		"apps.connections.open": `{"ok":true,"url":"wss://one.test/?ticket=1"}`,
		"conversations.info":    `{"ok":true,"channel":{"id":"C1","name":"prep","is_member":true}}`,
		"users.info":            `{"ok":true,"user":{"id":"U1","name":"lead","profile":{"display_name":"prep-lead"}}}`,
	}
	var called []string
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		method := strings.TrimPrefix(r.URL.Path, "/api/")
		called = append(called, method)
		for name, value := range header {
			w.Header().Set(name, value)
		}
		body, told := answers[method]
		if !told {
			body = usual[method]
		}
		if body == "500" {
			w.WriteHeader(http.StatusInternalServerError)
		}
		fmt.Fprint(w, body)
	}))
	defer server.Close()
	return Inspect(t.Context(), Config{
		Token: "xoxb-test", AppToken: "xapp-test", API: server.URL + "/api", Kitchens: map[string]string{"C1": "main"},
	}, []string{"U1", "U1"}), called
}

func TestInspectSaysWhatSlackSays(t *testing.T) {
	t.Parallel()
	got, called := inspect(t, nil, map[string]string{"X-OAuth-Scopes": "chat:write, commands"})
	want := Inspection{
		Team: "Practice", User: "U0BOT", Scopes: []string{"chat:write", "commands"},
		Channels: []Found{{ID: "C1", Name: "prep"}}, People: []Found{{ID: "U1", Name: "prep-lead"}},
	}
	got.Ahead = 0 // it is what the machine needs for it, up to a second or two
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	for _, method := range called {
		if strings.HasPrefix(method, "chat.") {
			t.Errorf("it calls %s", method)
		}
	}
}

func TestInspectTellsOurClockFromSlacks(t *testing.T) {
	t.Parallel()
	got, _ := inspect(t, nil, map[string]string{"Date": time.Now().Add(-10 * time.Minute).UTC().Format(http.TimeFormat)})
	if got.Ahead < 9*time.Minute || got.Ahead > 12*time.Minute {
		t.Errorf("our clock is %v before Slack's", got.Ahead)
	}
}

func TestInspectGivesAReasonForEachRefusal(t *testing.T) {
	t.Parallel()
	no := slackSays
	for name, tc := range map[string]struct {
		answers  map[string]string
		bot, app string
		channel  Found
		person   string
	}{
		"token revoked":            {answers: map[string]string{"auth.test": no("token_revoked")}, bot: tokenRefused},
		"no without a word":        {answers: map[string]string{"auth.test": `{"ok":false}`}, bot: unclear},
		"trouble of its own":       {answers: map[string]string{"auth.test": "500"}, bot: serverError},
		"app token wrong":          {answers: map[string]string{"apps.connections.open": no("invalid_auth")}, app: tokenRefused},
		"app token without a word": {answers: map[string]string{"apps.connections.open": `{"ok":false}`}, app: unclear},
		"archived": {
			answers: map[string]string{"conversations.info": `{"ok":true,"channel":{"id":"C1","is_member":true,"is_archived":true}}`},
			channel: Found{ID: "C1", Reason: channelArchived},
		},
		"not in it": {
			answers: map[string]string{"conversations.info": `{"ok":true,"channel":{"id":"C1"}}`},
			channel: Found{ID: "C1", Reason: notInChannel},
		},
		"no such channel": {
			answers: map[string]string{"conversations.info": no("channel_not_found")}, channel: Found{ID: "C1", Reason: channelGone},
		},
		"known by its history": {
			answers: map[string]string{"conversations.info": no("missing_scope"), "conversations.history": `{"ok":true,"messages":[]}`},
			channel: Found{ID: "C1", Half: true},
		},
		"not in it, by its history": {
			answers: map[string]string{"conversations.info": no("missing_scope"), "conversations.history": no("not_in_channel")},
			channel: Found{ID: "C1", Reason: notInChannel},
		},
		"cannot be known": {
			answers: map[string]string{"conversations.info": no("missing_scope"), "conversations.history": no("missing_scope")},
			channel: Found{ID: "C1", Reason: scopeMissing},
		},
		"history without a word": {
			answers: map[string]string{"conversations.info": no("missing_scope"), "conversations.history": `{"ok":false}`},
			channel: Found{ID: "C1", Reason: unclear},
		},
		"somebody who left": {
			answers: map[string]string{"users.info": `{"ok":true,"user":{"id":"U1","deleted":true}}`}, person: personGone,
		},
		"nobody":                  {answers: map[string]string{"users.info": no("user_not_found")}, person: personGone},
		"names are not shown":     {answers: map[string]string{"users.info": no("missing_scope")}, person: scopeMissing},
		"a person without a word": {answers: map[string]string{"users.info": `{"ok":false}`}, person: unclear},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got, _ := inspect(t, tc.answers, nil)
			if got.Bot != tc.bot || got.App != tc.app {
				t.Errorf("bot %q, app %q, want %q and %q", got.Bot, got.App, tc.bot, tc.app)
			}
			if got.Bot != "" {
				return
			}
			if tc.channel.ID != "" && got.Channels[0] != tc.channel {
				t.Errorf("channel %+v, want %+v", got.Channels[0], tc.channel)
			}
			if got.People[0].Reason != tc.person {
				t.Errorf("person %+v, want %q", got.People[0], tc.person)
			}
		})
	}
}
