package practice

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/socketmode"
)

// handed gives the response_url that a command and a tap hand out, and the ts
// of the tapped message.
func (c *crew) handed() (command, tap, ts string) {
	c.t.Helper()
	urls := make(chan string, 1)
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		switch data := e.Data.(type) {
		case slack.SlashCommand:
			urls <- data.ResponseURL
		case slack.InteractionCallback:
			urls <- data.ResponseURL
		}
		ack(sm, e)
	})
	if _, err := c.Command(soon(c.t), c.bar1, c.bench, "/bell", "resting"); err != nil {
		c.t.Fatal(err)
	}
	command = <-urls
	ts = c.slip()
	if _, err := c.Tap(soon(c.t), c.larder, c.bench, ts, "Empty & silent"); err != nil {
		c.t.Fatal(err)
	}
	return command, <-urls, ts
}

func (c *crew) respondTo(url, body string) (int, string) {
	c.t.Helper()
	req, err := http.NewRequestWithContext(c.t.Context(), http.MethodPost, url, strings.NewReader(body))
	if err != nil {
		c.t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	status, raw := c.do(req)
	return status, string(raw)
}

func TestResponseURLSpeaksToThePersonOrTheChannel(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	command, tap, ts := c.handed()
	ctx, api := t.Context(), c.api()
	for _, opts := range [][]slack.MsgOption{
		{slack.MsgOptionResponseURL(command, "ephemeral"), slack.MsgOptionText("Nothing rests.", false)},
		{slack.MsgOptionResponseURL(command, "in_channel"), slack.MsgOptionText("A rests.", false)},
		{slack.MsgOptionReplaceOriginal(tap), slack.MsgOptionText("Vented, larder 17:06.", false)},
	} {
		if _, _, err := api.PostMessageContext(ctx, "", opts...); err != nil {
			t.Fatal(err)
		}
	}
	got := c.Messages(c.bench)
	if len(got) != 3 || got[1].Text != "Nothing rests." || got[1].For != c.bar1 || got[2].Text != "A rests." || got[2].For != "" {
		t.Fatalf("stands %+v", got)
	}
	if slip := got[0]; slip.TS != ts || slip.Text != "Vented, larder 17:06." || len(slip.Blocks) != 0 || len(slip.Edits) != 1 {
		t.Errorf("the original %+v", slip)
	}
	if _, _, err := api.PostMessageContext(ctx, "", slack.MsgOptionDeleteOriginal(tap)); err != nil {
		t.Fatal(err)
	}
	if got := c.Messages(c.bench); len(got) != 2 {
		t.Errorf("stands %+v", got)
	}
}

func TestResponseURLServesFiveTimes(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	url, _, _ := c.handed()
	for i := range 5 {
		if status, body := c.respondTo(url, `{"text":"Nothing rests."}`); status != 200 || body != "ok" {
			t.Fatalf("use %d: %d %s", i+1, status, body)
		}
	}
	if status, body := c.respondTo(url, `{"text":"Nothing rests."}`); status != 404 || !strings.Contains(body, "used_url") {
		t.Errorf("sixth use: %d %s", status, body)
	}
}

func TestResponseURLServesHalfAnHour(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	url, _, _ := c.handed()
	c.pass(30*time.Minute - time.Second)
	if status, _ := c.respondTo(url, `{"text":"Nothing rests."}`); status != 200 {
		t.Errorf("just before: %d", status)
	}
	c.pass(2 * time.Second)
	if status, body := c.respondTo(url, `{"text":"Nothing rests."}`); status != 404 || !strings.Contains(body, "expired_url") {
		t.Errorf("just after: %d %s", status, body)
	}
}

func TestResponseURLRefusesWhatItCannotShow(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	url, _, _ := c.handed()
	for body, want := range map[string]string{
		`{`:                                    "invalid_payload",
		`{"txt":"x"}`:                          "invalid_payload",
		`{"text":"x","response_type":"loud"}`:  "invalid_payload",
		`{}`:                                   "no_text",
		`{"text":"x","replace_original":true}`: "message_not_found",
		`{"text":"x","thread_ts":"1.000001"}`:  "invalid_thread_ts",
		`{"text":"x","blocks":[{"type":"timer"}]}`: "invalid_blocks",
	} {
		if status, got := c.respondTo(url, body); status != 400 || !strings.Contains(got, want) {
			t.Errorf("%s: %d %s, want %s", body, status, got, want)
		}
	}
	if status, _ := c.respondTo(strings.Replace(url, "reply-", "other-", 1), `{"text":"x"}`); status != 404 {
		t.Errorf("an unknown URL answers %d", status)
	}
	if status, _ := c.respondTo(url, `{"text":"x"}`); status != 200 {
		t.Errorf("refusals used the URL up: %d", status)
	}
}

func TestResponseURLInChannelCountsAsAMessage(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	url, _, _ := c.handed()
	for range 2 { // the slip was the first of the burst
		c.respondTo(url, `{"text":"x","response_type":"in_channel"}`)
	}
	if status, body := c.respondTo(url, `{"text":"x","response_type":"in_channel"}`); status != 429 || !strings.Contains(body, "ratelimited") {
		t.Errorf("got %d %s", status, body)
	}
}
