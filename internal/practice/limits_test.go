package practice

import (
	"errors"
	"testing"
	"time"

	"github.com/slack-go/slack"
)

func TestChannelTakesOneMessageASecondInShortBursts(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	api := c.api()
	post := func() error {
		_, _, err := api.PostMessageContext(t.Context(), c.bench, slack.MsgOptionText("Vent A", false))
		return err
	}
	for i := range 3 {
		if err := post(); err != nil {
			t.Fatalf("message %d of a burst: %v", i+1, err)
		}
	}
	var slow *slack.RateLimitedError
	if err := post(); !errors.As(err, &slow) || slow.RetryAfter != time.Second {
		t.Fatalf("fourth at once: %v", err)
	}
	if _, _, err := api.PostMessageContext(t.Context(), c.bar1, slack.MsgOptionText("Vent A", false)); err != nil {
		t.Errorf("another conversation was held too: %v", err)
	}
	c.pass(slow.RetryAfter)
	if err := post(); err != nil {
		t.Errorf("after Retry-After: %v", err)
	}
	if err := post(); !errors.As(err, &slow) {
		t.Errorf("two in that second: %v", err)
	}
	if got := c.Counts().Refused["ratelimited"]; got != 2 {
		t.Errorf("counted %d", got)
	}
	if got := len(c.Messages(c.bench)); got != 4 {
		t.Errorf("%d messages stand", got)
	}
}

func TestMethodIsHeldToItsTier(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	ts := c.post("Rest")
	update := func() any {
		return c.call("chat.update", map[string]string{"channel": c.bench, "ts": ts, "text": "Rest"})["error"]
	}
	for i := range tier3 {
		if got := update(); got != nil {
			t.Fatalf("update %d: %v", i+1, got)
		}
	}
	if got := update(); got != "ratelimited" {
		t.Errorf("update %d in a minute: %v", tier3+1, got)
	}
	c.pass(2 * time.Second)
	if got := update(); got != nil {
		t.Errorf("two seconds later: %v", got)
	}
}
