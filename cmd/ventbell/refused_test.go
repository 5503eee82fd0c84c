package main_test

import (
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/practice"
)

const (
	form = "application/x-www-form-urlencoded"
	js   = "application/json"
)

// attempt is one request as somebody may send it. It is signed as Slack signs,
// unless it says otherwise.
type attempt struct {
	name   string
	method string // empty = POST
	path   string
	kind   string
	body   string
	at     time.Duration // how far from now it is signed
	secret string        // empty = the right one
	strip  string        // a header that is left out
	sign   string        // a signature of its own
	status int           // what it gets
}

// refusals are requests that must change nothing, with the status that each
// gets. What is signed and merely strange is taken, since Slack adds fields and
// events as it goes and would send what is refused again.
func refusals(slash string) []attempt {
	const event = `{"type":"event_callback","team_id":"T00000001","event":`
	return []attempt{
		{name: "wrong secret", path: "commands", kind: form, body: slash, secret: "somebody else's", status: 401},
		{name: "signature of another body", path: "commands", kind: form, body: slash, sign: practice.Sign("x", time.Now(), nil), status: 401},
		{name: "signature of another version", path: "commands", kind: form, body: slash, sign: "v1=00", status: 401},
		{name: "no signature", path: "commands", kind: form, body: slash, strip: "X-Slack-Signature", status: 401},
		{name: "no timestamp", path: "commands", kind: form, body: slash, strip: "X-Slack-Request-Timestamp", status: 401},
		{name: "stale by six minutes", path: "commands", kind: form, body: slash, at: -6 * time.Minute, status: 401},
		{name: "six minutes ahead", path: "commands", kind: form, body: slash, at: 6 * time.Minute, status: 401},
		{name: "oversized", path: "commands", kind: form, body: slash + "&more=" + strings.Repeat("x", 2<<20), status: 413},
		{name: "GET", method: http.MethodGet, path: "commands", kind: form, body: slash, status: 405},
		{name: "PUT", method: http.MethodPut, path: "events", kind: js, body: "{}", status: 405},
		{name: "nowhere", path: "elsewhere", kind: form, body: slash, status: 404},
		{name: "command as JSON", path: "commands", kind: js, body: `{"command":"/bell"}`, status: 415},
		{name: "event as form", path: "events", kind: form, body: slash, status: 415},
		{name: "command of nobody", path: "commands", kind: form, body: "command=%2Fbell&text=start+pepper+tequila+500ml", status: 400},
		{name: "broken form", path: "commands", kind: form, body: slash + "&x=%zz", status: 400},
		{name: "broken JSON event", path: "events", kind: js, body: event + `{"type":`, status: 400},
		{name: "no JSON event", path: "events", kind: js, body: "start pepper tequila 500ml", status: 400},
		{name: "broken JSON tap", path: "actions", kind: form, body: url.Values{"payload": {`{"type":"block_actions",`}}.Encode(), status: 400},
		{name: "no tap", path: "actions", kind: form, body: "pay=load", status: 400},
		{name: "unknown event", path: "events", kind: js, body: event + `{"type":"moon_rise","phase":{"full":[1,2]}},"novelty":7}`, status: 200},
		{name: "unknown kind of request", path: "events", kind: js, body: `{"type":"moon_rise","novelty":{"a":1}}`, status: 200},
		{name: "unknown kind of tap", path: "actions", kind: form, body: url.Values{"payload": {`{"type":"moon_tap","novelty":[{}]}`}}.Encode(), status: 200},
		{
			name: "a button of somebody else's", path: "actions", kind: form, status: 200,
			body: url.Values{"payload": {`{"type":"block_actions","novelty":1,"user":{"id":"U1"},"channel":{"id":"C1"},"actions":[{"type":"button","action_id":"theirs","value":"1.1.1. charged A"}]}`}}.Encode(),
		},
	}
}

func TestWhatIsNotInOrderIsRefusedAndChangesNothing(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "http", 1)
	b := h.run(0)
	h.says("bar-1", 0, "start pepper tequila 500ml in B")
	h.sees(0, "Weigh 60 g for B")
	h.quiet()
	before := h.redis.contents()
	slash := url.Values{
		"command": {"/bell"}, "text": {"start pepper tequila 500ml in A"}, "channel_id": {h.channels[0]}, "channel_name": {"prep-0"},
		"user_id": {h.crew["larder"]}, "user_name": {"larder"}, "trigger_id": {"once"}, "response_url": {"http://127.0.0.1:1/"},
	}.Encode()

	for _, a := range refusals(slash) {
		if status, _ := h.send(b, a); status != a.status {
			t.Errorf("%s: status %d, want %d", a.name, status, a.status)
		}
	}
	h.quiet()
	if diff := cmp.Diff(before, h.redis.contents()); diff != "" {
		t.Errorf("something was changed (-before +after):\n%s", diff)
	}

	// The same request in order is carried out, with a field that nobody knows yet ...
	good := attempt{path: "commands", kind: form, body: slash + "&novelty=1"}
	status, first := h.send(b, good)
	if status != http.StatusOK || !strings.Contains(first, "Read as: pepper tequila, 500 ml.") {
		t.Errorf("in order: status %d, answer %q", status, first)
	}
	h.sees(0, "Weigh 60 g for A")
	h.quiet()
	after := h.redis.contents()
	if cmp.Equal(before, after) {
		t.Error("in order, it changed nothing")
	}
	// ... and the second time it changes nothing and is answered the same.
	if status, again := h.send(b, good); status != http.StatusOK || again != first {
		t.Errorf("a second time: status %d, answer %q, want %q", status, again, first)
	}
	h.quiet()
	if diff := cmp.Diff(after, h.redis.contents()); diff != "" {
		t.Errorf("a second time something was changed (-before +after):\n%s", diff)
	}
}

// send sends a request and gives the answer's status and body.
func (h *house) send(b *bot, a attempt) (status int, body string) {
	h.t.Helper()
	method, secret, at := a.method, a.secret, time.Now().Add(a.at)
	if method == "" {
		method = http.MethodPost
	}
	if secret == "" {
		secret = h.room.Config().SigningSecret
	}
	req, err := http.NewRequestWithContext(h.soon(), method, b.url+"/slack/"+a.path, strings.NewReader(a.body))
	if err != nil {
		h.t.Fatal(err)
	}
	req.Header.Set("Content-Type", a.kind)
	req.Header.Set("X-Slack-Request-Timestamp", strconv.FormatInt(at.Unix(), 10))
	req.Header.Set("X-Slack-Signature", practice.Sign(secret, at, []byte(a.body)))
	if a.sign != "" {
		req.Header.Set("X-Slack-Signature", a.sign)
	}
	if a.strip != "" {
		req.Header.Del(a.strip)
	}
	resp, err := fresh.Do(req)
	if err != nil {
		h.t.Fatalf("%s: %v", a.name, err)
	}
	defer resp.Body.Close()
	answer, err := io.ReadAll(resp.Body)
	if err != nil {
		h.t.Fatalf("%s: %v", a.name, err)
	}
	return resp.StatusCode, string(answer)
}
