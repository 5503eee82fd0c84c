package practice

import (
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/slack-go/slack"

	"ventbell/internal/clock"
)

// evening is when the tests' kitchens are at work.
func evening() time.Time { return time.Date(2026, 11, 24, 17, 0, 0, 0, time.UTC) }

// crew is a room with a channel, two people and the bot in it.
type crew struct {
	*Room
	t            *testing.T
	bench        string
	bar1, larder string
	clock        *clock.Clock
}

// open starts a room. Unless the test sets a clock, time in it moves only when
// the test moves it.
func open(t *testing.T, cfg Config) *crew {
	t.Helper()
	if cfg.Clock == nil {
		cfg.Clock = clock.Starting(evening(), 1e-6)
	}
	if testing.Verbose() {
		cfg.Log = slog.New(slog.NewTextHandler(t.Output(), nil))
	}
	r := New(cfg)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	r.Start(l)
	t.Cleanup(r.Close)
	c := &crew{Room: r, t: t, clock: cfg.Clock, bench: r.AddChannel("prep-bench")}
	c.bar1, c.larder = r.AddPerson("bar-1"), r.AddPerson("larder")
	r.Join(c.bench, true)
	return c
}

func (c *crew) pass(d time.Duration) { c.clock.Forward(c.clock.Now().Add(d)) }

// soon ends what a test waits for long before the test itself is ended.
func soon(t *testing.T) context.Context {
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	t.Cleanup(cancel)
	return ctx
}

// api is slack-go as the service uses it.
func (c *crew) api() *slack.Client {
	return slack.New(c.Config().BotToken, slack.OptionAPIURL(c.APIURL()), slack.OptionAppLevelToken(c.Config().AppToken))
}

// call makes one call with a form, as plain HTTP.
func (c *crew) call(method string, args map[string]string) map[string]any {
	c.t.Helper()
	form := url.Values{"token": {c.Config().BotToken}}
	for k, v := range args {
		form.Set(k, v)
	}
	return c.raw(http.MethodPost, method, "application/x-www-form-urlencoded", "", form.Encode())
}

func (c *crew) raw(verb, method, contentType, auth, body string) map[string]any {
	c.t.Helper()
	req, err := http.NewRequestWithContext(c.t.Context(), verb, c.APIURL()+method, strings.NewReader(body))
	if err != nil {
		c.t.Fatal(err)
	}
	if contentType != "" {
		req.Header.Set("Content-Type", contentType)
	}
	if auth != "" {
		req.Header.Set("Authorization", "Bearer "+auth)
	}
	status, raw := c.do(req)
	var out map[string]any
	if err := json.Unmarshal(raw, &out); err != nil {
		c.t.Fatalf("%s answered %d %s: %v", method, status, raw, err)
	}
	return out
}

func (c *crew) do(req *http.Request) (int, []byte) {
	c.t.Helper()
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		c.t.Fatal(err)
	}
	defer func() { _ = resp.Body.Close() }()
	raw, err := io.ReadAll(resp.Body)
	if err != nil {
		c.t.Fatal(err)
	}
	return resp.StatusCode, raw
}

func (c *crew) post(text string) string {
	c.t.Helper()
	out := c.call("chat.postMessage", map[string]string{"channel": c.bench, "text": text})
	ts, ok := out["ts"].(string)
	if !ok {
		c.t.Fatalf("post %q: %v", text, out)
	}
	return ts
}

func TestAddingTheSameNameTwiceGivesTheSameID(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	if got := c.AddPerson("bar-1"); got != c.bar1 {
		t.Errorf("bar-1 is %s, was %s", got, c.bar1)
	}
	if got := c.AddChannel("prep-bench"); got != c.bench {
		t.Errorf("prep-bench is %s, was %s", got, c.bench)
	}
	if a, b := c.Direct(c.bar1), c.Direct(c.bar1); a != b || a[0] != 'D' {
		t.Errorf("direct messages %s and %s", a, b)
	}
	if got := c.Direct("U99999999"); got != "" {
		t.Errorf("nobody's direct message is %s", got)
	}
}

func TestMessageTimesAreNeverTheSameTwice(t *testing.T) {
	t.Parallel()
	c := open(t, Config{}) // its clock stands still
	a, b := c.post("one"), c.post("two")
	if a == b || len(a) != len("1795539600.000000") {
		t.Errorf("times %s and %s", a, b)
	}
}
