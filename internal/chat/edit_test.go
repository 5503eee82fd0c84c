package chat

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// changedEvent is the note that a message was changed. Shape: docs.slack.dev,
// message_changed; @slack/types, MessageChangedEvent.
func changedEvent(where, kind, before, after, more string) string {
	message := func(text string) string {
		quoted, _ := json.Marshal(text)
		return `{"type":"message","user":"` + bar1 + `","ts":"1764000200.000300","team":"T0HOUSE",` + more + `"text":` + string(quoted) + `}`
	}
	return `"type":"message","subtype":"message_changed","hidden":true,"channel":"` + where + `","channel_type":"` + kind + `",` +
		`"ts":"1764000220.000100","event_ts":"1764000220.000100","message":` + message(after) + `,"previous_message":` + message(before)
}

func TestAnEditedLineIsNotReadAgainAndThatIsSaidOnce(t *testing.T) {
	t.Parallel()
	said := time.Unix(1764000200, 0)
	inThread := `"thread_ts":"1764000100.000100","parent_user_id":"U0BOT",`
	for name, tc := range map[string]struct {
		event string
		after time.Duration
		want  []string // where and in which thread it is said; nil = not at all
	}{
		"a direct message":        {changedEvent("D0BAR1", "im", "vented A", "vented B", ""), time.Minute, []string{"D0BAR1 1764000200.000300"}},
		"a mention":               {changedEvent(channel, "channel", "<@U0BOT> vented A", "<@U0BOT> vented B", ""), time.Minute, []string{channel + " 1764000200.000300"}},
		"a mention taken out":     {changedEvent(channel, "channel", "<@U0BOT> vented A", "vented A", ""), time.Minute, nil},
		"a reply in our thread":   {changedEvent(channel, "channel", "vented A", "vented B", inThread), time.Minute, []string{channel + " 1764000100.000100"}},
		"one that was not for us": {changedEvent(channel, "channel", "vented A", "vented B", ""), time.Minute, nil},
		"one put to us only now":  {changedEvent(channel, "channel", "vented A", "<@U0BOT> vented A", ""), time.Minute, nil},
		"a preview of a link":     {changedEvent("D0BAR1", "im", "see http://x.test", "see <http://x.test>", ""), time.Minute, nil},
		"long ago":                {changedEvent("D0BAR1", "im", "vented A", "vented B", ""), 3 * time.Minute, nil},
		"our own slip":            {strings.ReplaceAll(changedEvent("D0BAR1", "im", "Rest", "Vent", ""), bar1, bot), time.Minute, nil},
		"another bot's":           {changedEvent("D0BAR1", "im", "x", "y", `"bot_id":"B9",`), time.Minute, nil},
		"nothing to compare with": {`"type":"message","subtype":"message_changed","channel_type":"im","channel":"D0BAR1","message":{"user":"U0BAR1","text":"x","ts":"1764000200.000300"}`, time.Minute, nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t, func(c *Config) { c.Now = func() time.Time { return said.Add(tc.after) } })
			for i := range 3 { // edited once more, and sent again
				body := strings.Replace(eventBody(tc.event), `"event_id":"Ev`, fmt.Sprintf(`"event_id":"Ev%d`, i), 1)
				req := signedRequest("/slack/events", jsonType, body, testSecret, said.Add(tc.after))
				if w := r.serve(req); w.Code != http.StatusOK || w.Body.Len() != 0 {
					t.Errorf("status %d, body %q", w.Code, w.Body)
				}
			}
			r.close(t)
			if heard := r.desk.commands(); len(heard) != 0 {
				t.Errorf("heard %v", heard)
			}
			var got []string
			for _, c := range r.slack.to("chat.postMessage") {
				got = append(got, c.form.Get("channel")+" "+c.form.Get("thread_ts"))
			}
			if diff := cmp.Diff(tc.want, got); diff != "" {
				t.Error(diff)
			}
			if said := r.slack.said(); len(said) != len(tc.want) || len(said) == 1 && said[0] != "edited" {
				t.Errorf("said %q", said)
			}
		})
	}
}

func TestADelayedEventIsTheSameRequestAtItsOwnTime(t *testing.T) {
	t.Parallel()
	fields := `"type":"app_mention","channel":"` + channel + `","user":"` + bar1 + `","text":"<@U0BOT> start gin","ts":"1764000200.000300"`
	asks := func(now time.Time) ask {
		var cb callback
		if err := json.Unmarshal([]byte(eventBody(fields)), &cb); err != nil {
			t.Fatal(err)
		}
		a, err := decodeEvent(cb, bot, now)
		if err != nil || a == nil {
			t.Fatal(err)
		}
		return *a
	}
	first, late := asks(time.Unix(1764000201, 0)), asks(time.Unix(1764000201, 0).Add(20*time.Hour))
	if first.id != late.id || first.event == "" || first.event != late.event || !first.at.Equal(late.at) || late.at.Unix() != 1764000200 {
		t.Errorf("first %+v, late %+v", first, late)
	}
}

func TestTheSameEventOrTheSameMessageIsHeardOnce(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	mention := func(event, ts string) {
		body := eventBody(`"type":"app_mention","channel":"` + channel + `","user":"` + bar1 + `","text":"<@U0BOT> resting","ts":"` + ts + `"`)
		start := strings.Index(body, `"event_id":"`)
		end := start + strings.Index(body[start:], `",`)
		r.send("/slack/events", jsonType, body[:start]+`"event_id":"`+event+body[end:])
	}
	mention("EvA", "1764000200.000300")
	mention("EvA", "1764000200.000300") // sent again
	mention("EvB", "1764000200.000300") // the same message by another event
	mention("EvA", "1764000200.000400") // no event comes under two messages
	mention("EvC", "1764000200.000500")
	r.close(t)
	var ids []string
	for _, cmd := range r.desk.commands() {
		ids = append(ids, cmd.ID)
	}
	want := []string{"msg:T0HOUSE/C0BENCH/1764000200.000300", "msg:T0HOUSE/C0BENCH/1764000200.000500"}
	if diff := cmp.Diff(want, ids); diff != "" {
		t.Error(diff)
	}
	if n := r.tally.count("mention repeat"); n != 3 {
		t.Errorf("counted %d repeats", n)
	}
}
