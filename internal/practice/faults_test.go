package practice

import (
	"context"
	"errors"
	"net/http/httptrace"
	"testing"
	"time"

	"github.com/slack-go/slack"
)

func TestFaultsLookToSlackGoAsSlacksDo(t *testing.T) {
	t.Parallel()
	var slow *slack.RateLimitedError
	tests := []struct {
		name  string
		fault Fault
		is    func(ts string, err error) bool
		left  int // messages that stand all the same
	}{
		{"429 with Retry-After", Fault{Kind: TooFast, After: 7 * time.Second}, func(_ string, err error) bool {
			return errors.As(err, &slow) && slow.RetryAfter == 7*time.Second
		}, 0},
		{"429 without", Fault{Kind: TooFastBare}, func(_ string, err error) bool {
			code, ok := errors.AsType[slack.StatusCodeError](err)
			return ok && code.Code == 429
		}, 0},
		{"ratelimited in a 200", Fault{Kind: TooFastPolite}, func(_ string, err error) bool {
			e, ok := errors.AsType[slack.SlackErrorResponse](err)
			return ok && e.Err == "ratelimited"
		}, 0},
		{"ok:false without an error", Fault{Kind: Wordless}, func(ts string, err error) bool { return err == nil && ts == "" }, 0},
		{"HTML 500", Fault{Kind: Broken}, func(_ string, err error) bool {
			code, ok := errors.AsType[slack.StatusCodeError](err)
			return ok && code.Code == 500
		}, 0},
		{"reset after the commit", Fault{Kind: ResetAfter}, func(ts string, err error) bool { return err != nil && ts == "" }, 1},
		{"stall", Fault{Kind: Stall, After: time.Millisecond}, func(ts string, err error) bool { return err == nil && ts != "" }, 1},
		{"for another method", Fault{Kind: Broken, Method: "chat.update"}, func(ts string, err error) bool { return err == nil && ts != "" }, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			c := open(t, Config{})
			c.Fail(1, tt.fault)
			_, ts, err := c.api().PostMessageContext(t.Context(), c.bench, slack.MsgOptionText("Vent A", false))
			if !tt.is(ts, err) {
				t.Errorf("slack-go sees ts %q, error %v", ts, err)
			}
			if got := len(c.Messages(c.bench)); got != tt.left {
				t.Errorf("%d messages stand, want %d", got, tt.left)
			}
			c.post("the next one goes through")
		})
	}
}

func TestFaultLastsForAsManyCallsAsAsked(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	c.Fail(2, Fault{Kind: TooFastPolite})
	for i, want := range []any{"ratelimited", "ratelimited", nil} {
		if got := c.call("chat.postMessage", map[string]string{"channel": c.bench, "text": "Vent A"})["error"]; got != want {
			t.Errorf("call %d: %v, want %v", i+1, got, want)
		}
	}
	if got := c.call("auth.test", nil)["ok"]; got != true {
		t.Error("a fault for chat methods hit another")
	}
}

func TestStalledMessageCountsThoughTheCallerLeft(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	c.Fail(1, Fault{Kind: Stall, After: 150 * time.Millisecond})
	ctx, leave := context.WithCancel(t.Context())
	defer leave()
	ctx = httptrace.WithClientTrace(ctx, &httptrace.ClientTrace{WroteRequest: func(httptrace.WroteRequestInfo) { leave() }})
	if _, _, err := c.api().PostMessageContext(ctx, c.bench, slack.MsgOptionText("Vent A", false)); !errors.Is(err, context.Canceled) {
		t.Fatalf("got %v", err)
	}
	if err := c.Wait(soon(t), c.bench, func(m []Message) bool { return len(m) == 1 }); err != nil {
		t.Error(err)
	}
}
