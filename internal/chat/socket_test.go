package chat

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
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
		Action string            `json:"response_action"`
		Errors map[string]string `json:"errors"`
	} `json:"payload"`
}

// wire is the far end of the socket.
type wire struct {
	conns chan *websocket.Conn
	acks  chan ack
	by    sync.Map   // by envelope: the connection that its acknowledgement came on
	gone  chan error // why each connection ended
	// says is what Slack answers instead of opening a socket; refused tells
	// that it did.
	says    atomic.Pointer[string]
	refused chan struct{}
	ended   chan error // RunSocket's
	stop    context.CancelFunc
}

// connect runs a rig's socket against a small server of our own.
func connect(t *testing.T, r *rig) (*wire, *websocket.Conn) {
	t.Helper()
	w := &wire{conns: make(chan *websocket.Conn, 10), acks: make(chan ack, 100), gone: make(chan error, 10), refused: make(chan struct{}, 10), ended: make(chan error, 1)}
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
			if err := conn.ReadJSON(&a); err != nil {
				w.gone <- err
				return
			}
			w.by.Store(a.ID, conn)
			w.acks <- a
		}
	}))
	t.Cleanup(server.Close)
	usual := r.slack.answer
	r.slack.answer = func(c call) (int, string) {
		if says := w.says.Load(); says != nil && c.path == "apps.connections.open" {
			w.refused <- struct{}{}
			return http.StatusOK, *says
		}
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

func withSocket(c *Config) { c.AppToken, c.Sockets = "xapp-test", 1 }

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
		{"a shortcut", `{"envelope_id":"%","type":"interactive","payload":` + shortcutBody("bell-board", "t%") + `}`, "", 1},
		{"a shortcut on a message", `{"envelope_id":"%","type":"interactive","payload":` + readingBody("start gin", "t%") + `}`, "", 1},
		{"a look at the own page", `{"envelope_id":"%","type":"events_api","payload":` + eventBody(looked(bar1, "home", "")) + `}`, "", 0},
		{"an edit", `{"envelope_id":"%","type":"events_api","payload":` + eventBody(changedEvent("D0BAR1", "im", "vented A", "vented B", "")) + `}`, "", 0},
		{
			"a form", `{"envelope_id":"%","type":"interactive","payload":{"type":"view_submission","trigger_id":"t%","user":{"id":"U0BAR1","username":"bar-1"},` +
				`"view":{"callback_id":"bell-form","private_metadata":"{\"k\":\"bench\",\"f\":\"start\"}","state":{"values":{}}}}}`, "", 1,
		},
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

func TestARenewedSocketOverlapsAndEachAcknowledgesItsOwn(t *testing.T) {
	t.Parallel()
	r := newRig(t, withSocket)
	reached, gate := make(chan struct{}), make(chan struct{})
	r.desk.answer = func(_ context.Context, cmd kitchen.Command) (kitchen.Answer, error) {
		if cmd.Text == "slow" {
			close(reached)
			<-gate
		}
		return kitchen.Answer{Line: "kept"}, nil
	}
	w, first := connect(t, r)
	sendText(t, first, slashEnvelope("slow", "slow"))
	take(t, reached)
	// Disconnect reasons: docs.slack.dev, "Using Socket Mode".
	sendText(t, first, `{"type":"disconnect","reason":"refresh_requested","debug_info":{"host":"x"}}`)
	second := take(t, w.conns)
	// What still comes on the old one is taken in as well.
	sendText(t, first, slashEnvelope("old", "resting"))
	sendText(t, second, slashEnvelope("new", "resting"))
	close(gate)
	for range 3 {
		take(t, w.acks)
	}
	for id, want := range map[string]*websocket.Conn{"slow": first, "old": first, "new": second} {
		if got, _ := w.by.Load(id); got != want {
			t.Errorf("%q was not acknowledged on its own connection", id)
		}
	}
	first.Close()
	sendText(t, second, slashEnvelope("last", "resting"))
	take(t, w.acks)
	if !r.Connected() {
		t.Error("not connected")
	}
	w.stop()
	if err := take(t, w.ended); err != nil {
		t.Error(err)
	}
	r.close(t)
	if r.Connected() {
		t.Error("connected after the end")
	}
}

func TestTwoLinesStandAndOneCarriesOnForTheOther(t *testing.T) {
	t.Parallel()
	r := newRig(t, withSocket, func(c *Config) { c.Sockets = 0 })
	r.apart = 10 * time.Millisecond
	if r.Connected() {
		t.Error("connected before the start")
	}
	w, first := connect(t, r)
	second := take(t, w.conns)
	sendText(t, second, slashEnvelope("1", "resting"))
	take(t, w.acks)
	sendText(t, first, slashEnvelope("2", "resting"))
	take(t, w.acks)
	for i, at := range r.SocketHeard() {
		if age := time.Since(at); age < 0 || age > time.Minute {
			t.Errorf("line %d was heard %v ago", i, age)
		}
	}
	// One breaks without a word. The other has no gap, and a third comes.
	first.Close()
	sendText(t, second, slashEnvelope("3", "resting"))
	if a := take(t, w.acks); a.ID != "3" {
		t.Errorf("acknowledged %+v", a)
	}
	third := take(t, w.conns)
	sendText(t, third, slashEnvelope("4", "resting"))
	take(t, w.acks)
	w.stop()
	if err := take(t, w.ended); err != nil {
		t.Error(err)
	}
	r.close(t)
	if got := len(r.desk.commands()); got != 4 {
		t.Errorf("heard %d", got)
	}
}

func TestAnObjectionTravelsWithTheAcknowledgement(t *testing.T) {
	t.Parallel()
	r := newRig(t, withSocket)
	r.desk.answer = formDesk
	w, conn := connect(t, r)
	interact := func(id, payload string) ack {
		t.Helper()
		sendText(t, conn, `{"envelope_id":"`+id+`","type":"interactive","accepts_response_payload":true,"payload":`+payload+`}`)
		return take(t, w.acks)
	}
	if a := interact("1", shortcutBody("bell-start", "t1")); a.Payload != nil {
		t.Errorf("acknowledged with %+v", a.Payload)
	}
	view := call{body: `{"view":{"callback_id":"bell-form","private_metadata":"{\"k\":\"bench\",\"f\":\"start\"}"}}`}
	a := interact("2", submission(t, view, "t2", "bay vodka", ""))
	if a.Payload == nil || a.Payload.Action != "errors" || a.Payload.Errors["field-volume"] != "How much?" {
		t.Errorf("acknowledged with %+v", a.Payload)
	}
	if a := interact("3", submission(t, view, "t3", "bay vodka", "400ml")); a.Payload != nil {
		t.Errorf("acknowledged with %+v", a.Payload)
	}
	w.stop()
	take(t, w.ended)
	r.close(t)
	opened(t, r)
	if diff := cmp.Diff([]string{"started bay vodka"}, r.slack.said()); diff != "" {
		t.Error(diff)
	}
}

func TestASocketThatSlackTurnsAwayLaterIsTriedAgain(t *testing.T) {
	t.Parallel()
	r := newRig(t, withSocket)
	w, conn := connect(t, r)
	revoked := slackSays("token_revoked")
	w.says.Store(&revoked)
	conn.Close()
	take(t, w.refused)
	select { // what was let in once does not end: calls go out with another token
	case err := <-w.ended:
		t.Errorf("RunSocket gives %v", err)
	default:
	}
	w.stop()
	if err := take(t, w.ended); err != nil {
		t.Errorf("RunSocket gives %v", err)
	}
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
