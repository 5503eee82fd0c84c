package practice

import (
	"context"
	"errors"
	"net/http"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/slack-go/slack/slackevents"
	"github.com/slack-go/slack/socketmode"

	"ventbell/internal/clock"
)

func TestNothingGetsThroughWhileTheServiceIsCutOff(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	heard := make(chan string, 10)
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		ack(sm, e)
		if event, ok := e.Data.(slackevents.EventsAPIEvent); ok {
			heard <- event.Data.(*slackevents.EventsAPICallbackEvent).EventID
		}
	})
	out := c.schedule(time.Hour, nil)
	c.Down(true)
	if _, err := c.api().AuthTestContext(t.Context()); err == nil || strings.Contains(err.Error(), "invalid") {
		t.Errorf("a method answered: %v", err)
	}
	if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "resting"); !errors.Is(err, ErrNobody) {
		t.Errorf("a command: %v", err)
	}
	ts, err := c.Say(soon(t), c.bar1, c.bench, "start", "")
	if err != nil {
		t.Errorf("people cannot talk: %v", err)
	}
	if status, _ := c.request("GET", "/", "", nil); status != http.StatusOK {
		t.Errorf("the page: %d", status)
	}
	c.pass(time.Hour) // and the event's second repeat comes due
	if err := c.Wait(soon(t), c.bench, func(m []Message) bool { return len(m) == 2 }); err != nil {
		t.Errorf("the scheduled message %v did not post: %v", out["scheduled_message_id"], err)
	}
	c.Down(false)
	if err := c.Connected(soon(t), 1); err != nil {
		t.Fatal(err)
	}
	c.pass(5 * time.Minute)
	select {
	case <-heard:
	case <-soon(t).Done():
		t.Errorf("%s was never delivered", ts)
	}
	if _, err := c.api().AuthTestContext(t.Context()); err != nil {
		t.Error(err)
	}
}

func TestDelayedEventsAreTriedHourlyForADay(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := New(Config{Clock: clock.Starting(evening(), 1), DelayedEvents: true})
		defer r.Close()
		who := r.AddPerson("bar-1")
		if _, err := r.Say(t.Context(), who, r.Direct(who), "start", ""); err != nil {
			t.Fatal(err)
		}
		for _, step := range []struct {
			wait time.Duration
			want int
		}{{6 * time.Minute, 3}, {59 * time.Minute, 3}, {time.Minute, 4}, {22 * time.Hour, 26}, {time.Hour, 27}, {48 * time.Hour, 27}} {
			time.Sleep(step.wait) // the bubble's time
			synctest.Wait()
			if got := r.Counts().Redelivered; got != step.want {
				t.Errorf("after %v more: sent again %d times, want %d", step.wait, got, step.want)
			}
		}
	})
}

func TestRevokedTokenIsRefusedEverywhere(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	c.Revoke(true)
	for name, m := range methods() {
		token := c.Config().BotToken
		if m.appToken {
			token = c.Config().AppToken
		}
		out := c.raw(http.MethodPost, name, "application/x-www-form-urlencoded", token, "")
		if out["error"] != "token_revoked" {
			t.Errorf("%s: %v", name, out)
		}
	}
	if out := c.raw(http.MethodPost, "auth.test", "application/x-www-form-urlencoded", "xoxb-other", ""); out["error"] != "invalid_auth" {
		t.Errorf("another token: %v", out)
	}
	c.Revoke(false)
	c.post("back again")
}

func TestScopesChangeAtRunTime(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	c.SetScopes("commands", "im:history")
	out := c.call("chat.postMessage", map[string]string{"channel": c.bench, "text": "x"})
	if out["error"] != "missing_scope" || out["needed"] != "chat:write" || out["provided"] != "commands,im:history" {
		t.Errorf("got %v", out)
	}
	who, err := c.api().AuthTestContext(t.Context())
	if err != nil || who.Header.Get("X-OAuth-Scopes") != "commands,im:history" {
		t.Errorf("%+v, %v", who, err)
	}
	c.SetScopes(DefaultScopes()...)
	c.post("back again")
}

func TestChannelIsLostAndFoundAgain(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	for _, tt := range []struct {
		lose, find func(string)
		want       string
	}{{c.Archive, c.Unarchive, "is_archived"}, {c.Expel, c.Readmit, "not_in_channel"}} {
		tt.lose(c.bench)
		if out := c.call("chat.postMessage", map[string]string{"channel": c.bench, "text": "x"}); out["error"] != tt.want {
			t.Errorf("got %v, want %s", out, tt.want)
		}
		tt.find(c.bench)
		c.post("back again")
	}
}

func TestChurnWarnsRefreshesAndBreaksInTurn(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	a, b := c.dial(), c.dial()
	c.read(a)
	c.read(b)
	ctx, stop := context.WithCancel(t.Context())
	over := make(chan struct{})
	go func() { c.Churn(ctx, 20*time.Millisecond); close(over) }()
	if f := c.read(a); f.Type != "disconnect" || f.Reason != "warning" {
		t.Errorf("first %+v", f)
	}
	if f := c.read(b); f.Type != "disconnect" || f.Reason != "refresh_requested" {
		t.Errorf("second %+v", f)
	}
	for _, conn := range []interface{ ReadJSON(any) error }{a, b} {
		if err := conn.ReadJSON(&frame{}); err == nil {
			t.Error("the third time a connection stood")
		}
	}
	stop()
	<-over
}

func TestServiceOutlivesChurn(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	c.service(ack)
	c.service(ack) // two connections, as the facts of such sockets ask for
	ctx, stop := context.WithCancel(t.Context())
	over := make(chan struct{})
	go func() { c.Churn(ctx, 30*time.Millisecond); close(over) }()
	for range 30 {
		if _, err := c.api().AuthTestContext(t.Context()); err != nil {
			t.Error(err)
		}
		if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "resting"); err != nil && !errors.Is(err, ErrNobody) && !errors.Is(err, ErrNotAnswered) {
			t.Error(err)
		}
	}
	stop()
	<-over
	if err := c.Connected(soon(t), 1); err != nil {
		t.Error(err)
	}
	if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "resting"); err != nil {
		t.Error(err)
	}
}

func TestStallLastsAsLongAsAsked(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r, _ := still(t)
		defer r.Close()
		f := Fault{Kind: Stall, After: 10 * time.Second}
		start := time.Now()
		req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, "/api/chat.postMessage", strings.NewReader("x"))
		if err != nil {
			t.Fatal(err)
		}
		if !f.before(r, nil, req) || time.Since(start) != 10*time.Second {
			t.Errorf("it took %v", time.Since(start))
		}
	})
}
