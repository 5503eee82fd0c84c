package chat

import (
	"net/http"
	"testing"
	"time"

	"ventbell/internal/runner"
)

// clocked sets the door's clock.
func clocked(now time.Time) func(*Config) {
	return func(cfg *Config) { cfg.Now = func() time.Time { return now } }
}

func TestAScheduledMessageCarriesNoMetadata(t *testing.T) {
	t.Parallel()
	r := newRig(t, clocked(asked))
	r.slack.answer = func(call) (int, string) {
		return http.StatusOK, `{"ok":true,"channel":"C0BENCH","scheduled_message_id":"Q1298393284","post_at":1764000420}`
	}
	at, err := r.Schedule(t.Context(), runner.Posting{Lane: channel, Thread: "1.1", Mark: "m", Message: words("Vent A")}, asked.Add(2*time.Minute))
	if want := (runner.Posted{Channel: channel, TS: "Q1298393284"}); err != nil || at != want {
		t.Errorf("Schedule = %+v, %v", at, err)
	}
	form := r.slack.to("chat.scheduleMessage")[0].form
	// Never before its moment: 1764000420.7 becomes the next whole second.
	if form.Get("post_at") != "1764000421" || form.Get("channel") != channel || form.Get("thread_ts") != "1.1" || form.Get("parse") != "none" {
		t.Errorf("sent %v", form)
	}
	if form.Has("metadata") { // Slack takes such a message and never posts it
		t.Error("metadata went along")
	}
}

func TestAMessageIsScheduledAheadAndNotTooFar(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		ahead time.Duration
		taken bool
	}{
		"now":                   {0, false},
		"a moment ago":          {-time.Second, false},
		"in a moment":           {time.Nanosecond, true},
		"in 120 days":           {120 * 24 * time.Hour, true}, // docs.slack.dev, chat.scheduleMessage
		"in 120 days and a bit": {120*24*time.Hour + time.Second, false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t, clocked(asked))
			r.slack.answer = func(call) (int, string) { return http.StatusOK, `{"ok":true,"scheduled_message_id":"Q1"}` }
			_, err := r.Schedule(t.Context(), runner.Posting{Lane: channel, Message: words("Vent A")}, asked.Add(tc.ahead))
			calls := len(r.slack.to("chat.scheduleMessage"))
			if tc.taken {
				if err != nil || calls != 1 {
					t.Errorf("%d calls, %v", calls, err)
				}
				return
			}
			checkRefusal(t, err, runner.Refusal{Reason: badTime})
			if calls != 0 {
				t.Errorf("%d calls", calls)
			}
		})
	}
}

func TestAScheduleThatSlackRefusesSaysWhy(t *testing.T) {
	t.Parallel()
	for answer, want := range map[string]runner.Refusal{
		slackSays("time_in_past"):        {Reason: badTime},
		slackSays("restricted_too_many"): {Reason: rateLimited, Retry: true, After: unsaid},
		slackSays("is_archived"):         stuckAt(channelArchived),
		`{"ok":false}`:                   {Reason: unclear, Retry: true, Unsure: true},
	} {
		r := newRig(t, clocked(asked))
		r.slack.answer = func(call) (int, string) { return http.StatusOK, answer }
		_, err := r.Schedule(t.Context(), runner.Posting{Lane: channel, Message: words("Vent A")}, asked.Add(time.Minute))
		checkRefusal(t, err, want)
	}
	r := newRig(t, clocked(asked))
	_, err := r.Schedule(t.Context(), runner.Posting{Lane: channel, Message: words(x(5000))}, asked.Add(time.Minute))
	checkRefusal(t, err, runner.Refusal{Reason: badMessage})
}

func TestWhatIsScheduledIsTakenBack(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		answer string
		want   *runner.Refusal // nil = no error
	}{
		"in time":               {`{"ok":true}`, nil},
		"posted or taken back":  {slackSays("invalid_scheduled_message_id"), nil},
		"the channel is gone":   {slackSays("channel_not_found"), new(stuckAt(channelGone))},
		"no, without a reason":  {`{"ok":false}`, &runner.Refusal{Reason: unclear, Retry: true, Unsure: true}},
		"the token was revoked": {slackSays("token_revoked"), new(stuckAt(tokenRefused))},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			r.slack.answer = func(call) (int, string) { return http.StatusOK, tc.answer }
			err := r.Unschedule(t.Context(), runner.Posted{Channel: channel, TS: "Q1"})
			if form := r.slack.to("chat.deleteScheduledMessage")[0].form; form.Get("scheduled_message_id") != "Q1" || form.Get("channel") != channel {
				t.Errorf("sent %v", form)
			}
			if tc.want == nil {
				if err != nil {
					t.Error(err)
				}
				return
			}
			checkRefusal(t, err, *tc.want)
		})
	}
}
