package chat

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/gorilla/websocket"

	"ventbell/internal/kitchen"
)

// ack is an acknowledgement that came over the socket.
type ack struct {
	ID      string `json:"envelope_id"`
	Payload *struct {
		Type   string            `json:"response_type"`
		Text   string            `json:"text"`
		Blocks []json.RawMessage `json:"blocks"`
	} `json:"payload"`
}

// wire is the far end of the socket.
type wire struct {
	conns chan *websocket.Conn
	acks  chan ack
	ended chan error // RunSocket's
	stop  context.CancelFunc
}

// connect runs a rig's socket against a small server of our own.
func connect(t *testing.T, r *rig) (*wire, *websocket.Conn) {
	t.Helper()
	w := &wire{conns: make(chan *websocket.Conn, 10), acks: make(chan ack, 100), ended: make(chan error, 1)}
	up := websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}
	server := httptest.NewServer(http.HandlerFunc(func(rw http.ResponseWriter, req *http.Request) {
		conn, err := up.Upgrade(rw, req, nil)
		if err != nil {
			t.Error(err)
			return
		}
		defer conn.Close()
		if err := conn.WriteMessage(websocket.TextMessage, []byte(`{"type":"hello","num_connections":1}`)); err != nil {
			return
		}
		w.conns <- conn
		for {
			var a ack
			if conn.ReadJSON(&a) != nil {
				return
			}
			w.acks <- a
		}
	}))
	t.Cleanup(server.Close)
	usual := r.slack.answer
	r.slack.answer = func(c call) (int, string) {
		if c.path == "apps.connections.open" {
			return http.StatusOK, `{"ok":true,"url":"ws` + strings.TrimPrefix(server.URL, "http") + `/link?ticket=secret"}`
		}
		if usual != nil {
			return usual(c)
		}
		return http.StatusOK, ""
	}
	ctx, cancel := context.WithCancel(context.WithoutCancel(t.Context()))
	w.stop = cancel
	t.Cleanup(cancel)
	go func() { w.ended <- r.RunSocket(ctx) }()
	return w, take(t, w.conns)
}

// take waits for something to come.
func take[T any](t *testing.T, from <-chan T) T {
	t.Helper()
	select {
	case v := <-from:
		return v
	case <-time.After(10 * time.Second):
		t.Fatal("nothing came")
		panic("unreachable")
	}
}

func withSocket(c *Config) { c.AppToken = "xapp-test" }

func sendText(t *testing.T, conn *websocket.Conn, text string) {
	t.Helper()
	if err := conn.WriteMessage(websocket.TextMessage, []byte(text)); err != nil {
		t.Fatal(err)
	}
}

func slashEnvelope(id, text string) string {
	return fmt.Sprintf(`{"envelope_id":%q,"type":"slash_commands","accepts_response_payload":true,"payload":{"command":"/bell","text":%q,`+
		`"channel_id":%q,"user_id":%q,"user_name":"bar-1","team_id":"T0HOUSE","is_enterprise_install":"false","trigger_id":%q,"response_url":%q}}`,
		id, text, channel, bar1, "t"+id, replyURL)
}

func TestEveryEnvelopeIsAcknowledged(t *testing.T) {
	t.Parallel()
	r := newRig(t, withSocket)
	w, conn := connect(t, r)
	mentioned := `"type":"app_mention","channel":"` + channel + `","user":"` + bar1 + `","text":"<@U0BOT> resting","ts":"1764000200.000300"`
	for i, e := range []struct {
		name, envelope string
		answer         string // in the acknowledgement
		heard          int    // commands
	}{
		{"a command", slashEnvelope("%", "charged A"), "done: charged A", 1},
		{"a tap", `{"envelope_id":"%","type":"interactive","payload":` + tapBody(kitchen.Tap{Line: "charged A"}.String()) + `}`, "", 1},
		{"a mention", `{"envelope_id":"%","type":"events_api","payload":` + eventBody(mentioned) + `}`, "", 1},
		{"the same mention, sent again", `{"envelope_id":"%","type":"events_api","retry_attempt":1,"retry_reason":"timeout","payload":` + eventBody(mentioned) + `}`, "", 0},
		{
			"a mention that the library cannot read",
			`{"envelope_id":"%","type":"events_api","payload":` + eventBody(`"blocks":[{"type":"section","text":5}],`+strings.Replace(mentioned, "300", "301", 1)) + `}`, "", 1,
		},
		{"an event that nobody knows", `{"envelope_id":"%","type":"events_api","payload":` + eventBody(`"type":"from_the_future"`) + `}`, "", 0},
		{"an event that is none", `{"envelope_id":"%","type":"events_api","payload":"what?"}`, "", 0},
		{"an event with nothing in it", `{"envelope_id":"%","type":"events_api"}`, "", 0},
		{"a command of nobody", `{"envelope_id":"%","type":"slash_commands","payload":{"text":"x"}}`, "", 0},
		{"a command with a wrong field", `{"envelope_id":"%","type":"slash_commands","payload":{"text":7}}`, "", 0},
		{"another interaction", `{"envelope_id":"%","type":"interactive","payload":{"type":"view_closed"}}`, "", 0},
		{"a type that nobody knows", `{"envelope_id":"%","type":"telepathy","payload":{}}`, "", 0},
		{"an envelope that the library cannot read", `{"envelope_id":"%","type":"events_api","retry_attempt":"one","payload":` + eventBody(strings.Replace(mentioned, "300", "302", 1)) + `}`, "", 1},
	} {
		id := fmt.Sprintf("envelope-%d", i)
		before := len(r.desk.commands())
		sendText(t, conn, strings.Replace(strings.ReplaceAll(e.envelope, "t%", "t"+id), "%", id, 1))
		got := take(t, w.acks)
		if got.ID != id {
			t.Errorf("%s: acknowledged %q, want %q", e.name, got.ID, id)
		}
		answer := ""
		if got.Payload != nil {
			answer = got.Payload.Text
		}
		if answer != e.answer {
			t.Errorf("%s: answered %q, want %q", e.name, answer, e.answer)
		}
		if heard := len(r.desk.commands()) - before; heard != e.heard {
			t.Errorf("%s: heard %d commands, want %d", e.name, heard, e.heard)
		}
	}
	// What is no envelope at all leaves the connection as it was.
	sendText(t, conn, "not JSON")
	sendText(t, conn, `"a string"`)
	sendText(t, conn, slashEnvelope("last", "resting"))
	if got := take(t, w.acks); got.ID != "last" {
		t.Errorf("acknowledged %q", got.ID)
	}
	if r.LastHeard().IsZero() {
		t.Error("nothing was heard from Slack")
	}
	w.stop()
	if err := take(t, w.ended); err != nil {
		t.Error(err)
	}
	r.close(t)
	if strings.Contains(r.log.String(), "ticket=secret") {
		t.Error("the socket's address is in the log")
	}
}

func TestASlowDeskHoldsUpNoAcknowledgementOnTheSocket(t *testing.T) {
	t.Parallel()
	r := newRig(t, withSocket, func(c *Config) {
		c.Patience = 30 * time.Millisecond
		c.Kitchens["C0BAR"] = "bar"
	})
	gate := make(chan struct{})
	r.desk.answer = func(_ context.Context, cmd kitchen.Command) (kitchen.Answer, error) {
		if cmd.Text != "quick" {
			<-gate
		}
		return kitchen.Answer{Line: "kept " + cmd.Text}, nil
	}
	w, conn := connect(t, r)
	sendText(t, conn, slashEnvelope("1", "one"))
	sendText(t, conn, slashEnvelope("2", "two"))
	sendText(t, conn, strings.Replace(slashEnvelope("3", "quick"), channel, "C0BAR", 1))
	got := map[string]string{}
	for range 3 {
		a := take(t, w.acks)
		got[a.ID] = a.Payload.Text
	}
	want := map[string]string{"1": "not saved yet", "2": "not saved yet", "3": "kept quick"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	close(gate)
	w.stop()
	if err := take(t, w.ended); err != nil {
		t.Error(err)
	}
	r.close(t)
	said := r.slack.said()
	if len(said) != 2 || said[0]+said[1] != "kept onekept two" && said[0]+said[1] != "kept twokept one" {
		t.Errorf("said %q", said)
	}
	var heard []string
	for _, cmd := range r.desk.commands() {
		if cmd.Text != "quick" {
			heard = append(heard, cmd.Text)
		}
	}
	if diff := cmp.Diff([]string{"one", "two"}, heard); diff != "" {
		t.Error(diff)
	}
}

func TestTheOrderOfTheSocketIsKept(t *testing.T) {
	t.Parallel()
	r := newRig(t, withSocket)
	w, conn := connect(t, r)
	var want, got []string
	for i := range 60 {
		want = append(want, fmt.Sprintf("line %d", i))
		sendText(t, conn, slashEnvelope(fmt.Sprint(i), want[i]))
	}
	for range want {
		take(t, w.acks)
	}
	w.stop()
	take(t, w.ended)
	r.close(t)
	for _, cmd := range r.desk.commands() {
		got = append(got, cmd.Text)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestAnAnswerTooBigForTheSocketIsSentAfterwards(t *testing.T) {
	t.Parallel()
	r := newRig(t, withSocket)
	line := strings.Repeat("\u2713", 1990) // three bytes each; a socket carries 20 kB
	big := line + "\n" + line
	r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
		return kitchen.Answer{Line: big}, nil
	}
	w, conn := connect(t, r)
	sendText(t, conn, slashEnvelope("1", "resting"))
	if a := take(t, w.acks); a.Payload != nil {
		t.Error("the answer went along")
	}
	w.stop()
	take(t, w.ended)
	r.close(t)
	if diff := cmp.Diff([]string{big}, r.slack.said()); diff != "" {
		t.Error(diff)
	}
}

func TestWhatWasTakenInIsAcknowledgedBeforeTheSocketCloses(t *testing.T) {
	t.Parallel()
	r := newRig(t, withSocket)
	reached, gate := make(chan struct{}), make(chan struct{})
	r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
		close(reached)
		<-gate
		return kitchen.Answer{Line: "kept"}, nil
	}
	w, conn := connect(t, r)
	sendText(t, conn, slashEnvelope("1", "charged A"))
	take(t, reached)
	w.stop()
	close(gate)
	if a := take(t, w.acks); a.Payload == nil || a.Payload.Text != "kept" {
		t.Errorf("acknowledged with %+v", a.Payload)
	}
	if err := take(t, w.ended); err != nil {
		t.Error(err)
	}
	r.close(t)
}

func TestTheSocketIsOpenedAgainWhenSlackAsksForIt(t *testing.T) {
	t.Parallel()
	r := newRig(t, withSocket)
	w, conn := connect(t, r)
	sendText(t, conn, `{"type":"disconnect","reason":"refresh_requested"}`)
	conn = take(t, w.conns)
	sendText(t, conn, slashEnvelope("1", "resting"))
	if a := take(t, w.acks); a.ID != "1" {
		t.Errorf("acknowledged %+v", a)
	}
	w.stop()
	take(t, w.ended)
	r.close(t)
}

func TestRunSocketEndsWhenSlackTurnsUsAway(t *testing.T) {
	t.Parallel()
	r := newRig(t, withSocket)
	r.slack.answer = func(c call) (int, string) {
		if c.path == "apps.connections.open" {
			return http.StatusOK, slackSays("invalid_auth")
		}
		return http.StatusOK, ""
	}
	if err := r.RunSocket(t.Context()); err == nil || !strings.Contains(err.Error(), "invalid_auth") {
		t.Errorf("RunSocket gives %v", err)
	}
	if err := newRig(t).RunSocket(t.Context()); err == nil {
		t.Error("RunSocket without an app-level token gives no error")
	}
}
