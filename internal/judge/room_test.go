package judge_test

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/practice"
)

func soon(t *testing.T) context.Context {
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	t.Cleanup(cancel)
	return ctx
}

// Slack's own kit lives in the practice room as it would in Slack: what the
// room sends it understands, what it calls the room takes.
func TestSlacksKitLivesInThePracticeRoom(t *testing.T) {
	t.Parallel()
	for _, mode := range []string{"socket", "http"} {
		t.Run(mode, func(t *testing.T) {
			t.Parallel()
			b := newBot(t, mode)
			b.commands()
			b.talks()
			b.fillsIn()
			b.looksAtHome()
		})
	}
}

func (b *bot) commands() {
	got, err := b.Command(soon(b.t), b.bar1, b.bench, "/bell", "start pepper tequila 500ml")
	if err != nil || got.Message == nil || got.Message.Text != "heard start pepper tequila 500ml" {
		b.t.Fatalf("answered %+v, %v", got.Message, err)
	}
	b.hears("command", heard{"text": "start pepper tequila 500ml", "user": b.bar1, "channel": b.bench})
}

// talks mentions the bot, gets a slip with a button in the thread, taps it and
// sees it edited.
func (b *bot) talks() {
	t := b.t
	ts, err := b.Say(soon(t), b.bar1, b.bench, "@bell rests what?", "")
	if err != nil {
		t.Fatal(err)
	}
	slip := b.hears("mention", heard{"text": "<@" + b.BotID() + "> rests what?", "thread": ts})["ts"].(string)
	if _, err := b.Tap(soon(t), b.bar1, b.bench, slip, "Done"); err != nil {
		t.Fatal(err)
	}
	tapped := b.hears("tap", heard{"value": "1"})
	if diff := cmp.Diff([]any{"m1"}, tapped["marks"]); diff != "" {
		t.Error("the kit found other marks in the thread: " + diff)
	}
	edited := func(all []practice.Message) bool {
		for _, m := range all {
			if m.TS == slip && m.Text == "done" {
				return true
			}
		}
		return false
	}
	if err := b.Wait(soon(t), b.bench, edited); err != nil {
		t.Error(err)
	}
	if _, err := b.Say(soon(t), b.bar1, b.Direct(b.bar1), "strained A & B", ""); err != nil {
		t.Fatal(err)
	}
	b.hears("message", heard{"text": "strained A &amp; B", "type": "im"})
}

func (b *bot) fillsIn() {
	t := b.t
	if _, err := b.Shortcut(soon(t), b.bar1, "bell-start"); err != nil {
		t.Fatal(err)
	}
	b.hears("shortcut", heard{"view": "modal"})
	if _, err := b.Submit(soon(t), b.bar1, map[string]string{"Recipe": "rhubarb gin", "Volume": "too much"}); err != nil {
		t.Fatal(err)
	}
	b.hears("form", heard{"recipe": "rhubarb gin", "volume": "too much", "kept": "kept"})
	if _, open := b.Form(b.bar1); !open {
		t.Error("a form with a mistake was closed")
	}
	if _, err := b.Submit(soon(t), b.bar1, map[string]string{"Recipe": "pepper tequila", "Volume": ""}); err != nil {
		t.Fatal(err)
	}
	b.hears("form", heard{"recipe": "pepper tequila", "volume": nil})
	if _, open := b.Form(b.bar1); open {
		t.Error("a form that was taken stays open")
	}
	ts, err := b.Say(soon(t), b.bar1, b.bench, "could you start pepper tequila", "")
	if err == nil {
		_, err = b.MessageShortcut(soon(t), b.bar1, b.bench, ts, "bell-read")
	}
	if err != nil {
		t.Fatal(err)
	}
	b.hears("message shortcut", heard{"text": "could you start pepper tequila"})
}

func (b *bot) looksAtHome() {
	if err := b.OpenHome(soon(b.t), b.bar1); err != nil {
		b.t.Fatal(err)
	}
	b.hears("home", heard{"tab": "home"})
	if _, err := b.TapHome(soon(b.t), b.bar1, "Fresh"); err != nil {
		b.t.Fatal(err)
	}
	b.hears("home tap", heard{"value": "home", "view": "home"})
}

// Slack's own receiver accepts what the practice room signs and refuses what
// somebody else made.
func TestSlacksReceiverTakesOurSignaturesOnly(t *testing.T) {
	t.Parallel()
	b := newBot(t, "http")
	b.commands()
	body := url.Values{
		"command": {"/bell"}, "text": {"resting"}, "user_id": {b.bar1}, "channel_id": {b.bench}, "team_id": {"T00000001"},
		"trigger_id": {"1"}, "response_url": {"http://127.0.0.1:1/"},
	}.Encode()
	secret := b.Config().SigningSecret
	now := time.Now()
	for name, c := range map[string]struct {
		at        time.Time
		signature string
		want      int
	}{
		"ours":           {now, practice.Sign(secret, now, []byte(body)), http.StatusOK},
		"another secret": {now, practice.Sign("other", now, []byte(body)), http.StatusUnauthorized},
		"another body":   {now, practice.Sign(secret, now, []byte(body+"x")), http.StatusUnauthorized},
		"another time":   {now, practice.Sign(secret, now.Add(-time.Second), []byte(body)), http.StatusUnauthorized},
		"too old":        {now.Add(-6 * time.Minute), practice.Sign(secret, now.Add(-6*time.Minute), []byte(body)), http.StatusUnauthorized},
		"unsigned":       {now, "", http.StatusUnauthorized},
	} {
		req, err := http.NewRequestWithContext(soon(t), http.MethodPost, b.Config().RequestURL, strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		req.Header.Set("X-Slack-Request-Timestamp", strconv.FormatInt(c.at.Unix(), 10))
		req.Header.Set("X-Slack-Signature", c.signature)
		res, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		if res.StatusCode != c.want {
			t.Errorf("%s: answered %d, want %d", name, res.StatusCode, c.want)
		}
	}
}
