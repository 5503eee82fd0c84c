package chat

import (
	"encoding/json"
	"errors"
	"fmt"
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
	at, err := c.Post(t.Context(), runner.Posting{Lane: "@U0BAR1", Message: shown["vent-call"]})
	if want := (runner.Posted{Channel: "D0BAR1", TS: "1764000300.000700"}); err != nil || at != want {
		t.Errorf("Post = %+v, %v", at, err)
	}
	if got.path != "/api/chat.postMessage" {
		t.Errorf("called %s", got.path)
	}
	want := map[string]string{
		"token": testToken, "channel": "U0BAR1", "text": draw(shown["vent-call"]).text,
		"unfurl_links": "false", "unfurl_media": "false", "parse": "none", "link_names": "false",
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
	// chat.update has no arguments about unfurling, and where parse is left out
	// it makes mentions and links of plain words.
	if len(got.form) != 7 || got.form.Get("parse") != "none" || got.form.Get("link_names") != "false" {
		t.Errorf("sent %v", got.form)
	}
	var blocks []map[string]any
	if err := json.Unmarshal([]byte(got.form.Get("blocks")), &blocks); err != nil || len(blocks) != 1 {
		t.Errorf("blocks %q", got.form.Get("blocks"))
	}
}

func TestAMessageCarriesItsMarkAndHangsInItsThread(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.slack.answer = func(call) (int, string) {
		return http.StatusOK, `{"ok":true,"channel":"C0BENCH","ts":"2.1","message":{"ts":"2.1","thread_ts":"1.1"}}`
	}
	at, err := r.Post(t.Context(), runner.Posting{Lane: channel, Thread: "1.1", Mark: "7/vent.2", Message: words("Vent A")})
	if want := (runner.Posted{Channel: channel, TS: "2.1"}); err != nil || at != want {
		t.Errorf("Post = %+v, %v", at, err)
	}
	form := r.slack.to("chat.postMessage")[0].form
	if form.Get("thread_ts") != "1.1" || form.Get("reply_broadcast") != "" {
		t.Errorf("sent %v", form)
	}
	if want := `{"event_type":"ventbell_message","event_payload":{"mark":"7/vent.2"}}`; form.Get("metadata") != want {
		t.Errorf("metadata %s, want %s", form.Get("metadata"), want)
	}
}

func TestAReplyBelowAMessageThatIsGoneIsLoose(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		answers []string
		threads []string // that were tried
		want    runner.Posted
	}{
		"posted in the open by Slack": {
			[]string{`{"ok":true,"channel":"C0BENCH","ts":"2.1","message":{"ts":"2.1"}}`},
			[]string{"1.1"}, runner.Posted{Channel: channel, TS: "2.1", Loose: true},
		},
		"the thread takes no replies": {
			[]string{slackSays("restricted_action_thread_locked"), `{"ok":true,"channel":"C0BENCH","ts":"2.1","message":{"ts":"2.1"}}`},
			[]string{"1.1", ""}, runner.Posted{Channel: channel, TS: "2.1", Loose: true},
		},
		"an answer without the message says nothing": {
			[]string{`{"ok":true,"channel":"C0BENCH","ts":"2.1"}`},
			[]string{"1.1"}, runner.Posted{Channel: channel, TS: "2.1"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			answers := tc.answers
			r.slack.answer = func(call) (int, string) {
				next := answers[0]
				answers = answers[1:]
				return http.StatusOK, next
			}
			at, err := r.Post(t.Context(), runner.Posting{Lane: channel, Thread: "1.1", Mark: "m", Message: words("Vent A")})
			if err != nil || at != tc.want {
				t.Errorf("Post = %+v, %v", at, err)
			}
			var threads []string
			for _, c := range r.slack.to("chat.postMessage") {
				threads = append(threads, c.form.Get("thread_ts"))
				if c.form.Get("metadata") == "" {
					t.Error("a message without its mark")
				}
			}
			if diff := cmp.Diff(tc.threads, threads); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestAPersonWhoIsGoneIsNoChannelThatIs(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.slack.answer = func(call) (int, string) { return http.StatusOK, slackSays("channel_not_found") }
	_, err := r.Post(t.Context(), runner.Posting{Lane: "@" + bar1, Message: words("Vent A")})
	checkRefusal(t, err, stuckAt(personGone))
}

func TestAMessageThatDoesNotFitIsNotSent(t *testing.T) {
	t.Parallel()
	var calls atomic.Int32
	c := newWired(t, func(http.ResponseWriter, *http.Request) { calls.Add(1) })
	long := words(strings.Repeat("x", 5000))
	_, posted := c.Post(t.Context(), runner.Posting{Lane: "C0BENCH", Message: long})
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
	if _, err := r.Post(t.Context(), runner.Posting{Lane: channel, Message: words("Vent A")}); err != nil {
		t.Fatal(err)
	}
	r.slack.answer = func(call) (int, string) { return http.StatusOK, slackSays("is_archived") }
	if err := r.Update(t.Context(), channel, "1.1", words("Vent A")); err == nil {
		t.Fatal("no error")
	}
	want := map[string]int{"chat.postMessage ok": 1, "chat.update channel archived": 1}
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
