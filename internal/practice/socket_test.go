package practice

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/gorilla/websocket"
	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"
	"github.com/slack-go/slack/socketmode"
)

// service runs slack-go's own Socket Mode client against the room, with each
// envelope given to do, until the test ends.
func (c *crew) service(do func(sm *socketmode.Client, e socketmode.Event)) {
	c.t.Helper()
	sm := socketmode.New(c.api(), socketmode.OptionPingInterval(2*time.Second))
	ctx, cancel := context.WithCancel(c.t.Context())
	over := make(chan struct{}, 2)
	go func() { _ = sm.RunContext(ctx); over <- struct{}{} }()
	go func() {
		for {
			select {
			case e := <-sm.Events:
				if e.Request != nil && e.Request.EnvelopeID != "" {
					do(sm, e)
				}
			case <-ctx.Done():
				over <- struct{}{}
				return
			}
		}
	}()
	c.t.Cleanup(func() { cancel(); <-over; <-over })
	if err := c.Connected(soon(c.t), 1); err != nil {
		c.t.Fatal(err)
	}
}

func ack(sm *socketmode.Client, e socketmode.Event) { _ = sm.Ack(*e.Request) }

func TestSlashCommandReachesTheServiceAndItsAnswerTheRoom(t *testing.T) {
	t.Parallel()
	c := open(t, Config{ShouldEscape: true})
	got := make(chan slack.SlashCommand, 1)
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		if e.Type == socketmode.EventTypeSlashCommand {
			got <- e.Data.(slack.SlashCommand)
			_ = sm.Ack(*e.Request, map[string]any{"text": "Two readings. Which?", "response_type": "ephemeral"})
		}
	})
	resp, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "start S&B <hot> for @larder")
	if err != nil {
		t.Fatal(err)
	}
	cmd := <-got
	if cmd.Command != "/bell" || cmd.UserID != c.bar1 || cmd.UserName != "bar-1" || cmd.ChannelID != c.bench || cmd.ChannelName != "prep-bench" ||
		cmd.TriggerID == "" || !strings.HasPrefix(cmd.ResponseURL, c.Config().BaseURL) {
		t.Errorf("the service got %+v", cmd)
	}
	if want := "start S&amp;B &lt;hot&gt; for <@" + c.larder + "|larder>"; cmd.Text != want {
		t.Errorf("text %q, want %q", cmd.Text, want)
	}
	if resp.Message == nil || resp.Message.For != c.bar1 || resp.Message.Text != "Two readings. Which?" {
		t.Errorf("answer %+v", resp.Message)
	}
	if _, err := c.Command(soon(t), c.bar1, c.bench, "/timer", "x"); err == nil {
		t.Error("an unknown command went through")
	}
}

func TestMessagesReachTheServiceAsEvents(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	events := make(chan slackevents.EventsAPIEvent, 10)
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		ack(sm, e)
		if e.Type == socketmode.EventTypeEventsAPI {
			events <- e.Data.(slackevents.EventsAPIEvent)
		}
	})
	take := func() any {
		select {
		case e := <-events:
			if cb := e.Data.(*slackevents.EventsAPICallbackEvent); cb.EventID == "" || cb.EventTime == 0 {
				t.Errorf("envelope %+v", cb)
			}
			return e.InnerEvent.Data
		case <-soon(t).Done():
			t.Fatal("no event came")
			return nil
		}
	}

	ts, err := c.Say(soon(t), c.bar1, c.bench, "@bell start <tea> & rum", "")
	if err != nil {
		t.Fatal(err)
	}
	want := "<@" + c.BotID() + "> start &lt;tea&gt; &amp; rum"
	seen := map[string]bool{}
	for range 2 { // the same message comes twice, as a mention and as a message
		switch e := take().(type) {
		case *slackevents.AppMentionEvent:
			seen["mention"] = e.Text == want && e.User == c.bar1 && e.Channel == c.bench && e.TimeStamp == ts
		case *slackevents.MessageEvent:
			seen["message"] = e.Text == want && e.User == c.bar1 && e.ChannelType == "channel" && e.TimeStamp == ts
		}
	}
	if diff := cmp.Diff(map[string]bool{"mention": true, "message": true}, seen); diff != "" {
		t.Error(diff)
	}

	if _, err := c.Say(soon(t), c.bar1, c.Direct(c.bar1), "resting", ""); err != nil {
		t.Fatal(err)
	}
	if e := take().(*slackevents.MessageEvent); e.ChannelType != "im" || e.Text != "resting" || e.Channel != c.Direct(c.bar1) {
		t.Errorf("direct message %+v", e)
	}

	mine := c.post("Rest 2:00, A")
	if e := take().(*slackevents.MessageEvent); e.BotID == "" || e.User != c.BotID() || e.TimeStamp != mine {
		t.Errorf("the bot's own message %+v", e)
	}
	c.call("chat.update", map[string]string{"channel": c.bench, "ts": mine, "text": "Vent"})
	if e := take().(*slackevents.MessageEvent); e.SubType != "message_changed" || e.Message.Text != "Vent" || e.PreviousMessage.Text != "Rest 2:00, A" {
		t.Errorf("the bot's own edit %+v", e)
	}
	if _, err := c.Say(soon(t), c.larder, c.bench, "jug ready", mine); err != nil {
		t.Fatal(err)
	}
	if e := take().(*slackevents.MessageEvent); e.ThreadTimeStamp != mine || e.User != c.larder {
		t.Errorf("thread reply %+v", e)
	}
	if _, err := c.Say(soon(t), c.larder, c.bench, "x", "1.000001"); err == nil {
		t.Error("somebody answered a message that is not there")
	}
	if _, err := c.Say(soon(t), c.larder, c.Direct(c.bar1), "x", ""); err == nil {
		t.Error("somebody wrote into another's direct message")
	}
}

func TestEventsNeedTheirScope(t *testing.T) {
	t.Parallel()
	c := open(t, Config{Scopes: []string{"chat:write", "im:history"}})
	texts := make(chan string, 10)
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		ack(sm, e)
		texts <- e.Data.(slackevents.EventsAPIEvent).InnerEvent.Data.(*slackevents.MessageEvent).Text
	})
	for channel, text := range map[string]string{c.bench: "@bell not heard", c.Direct(c.bar1): "heard"} {
		if _, err := c.Say(soon(t), c.bar1, channel, text, ""); err != nil {
			t.Fatal(err)
		}
	}
	if got := <-texts; got != "heard" || len(texts) != 0 {
		t.Errorf("heard %q and %d more", got, len(texts))
	}
	if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", ""); err == nil {
		t.Error("a slash command went through without its scope")
	}
}

func (c *crew) slip() string {
	c.t.Helper()
	button := slack.NewButtonBlockElement("vented", "A.1", slack.NewTextBlockObject("plain_text", "Empty & silent", false, false))
	_, ts, err := c.api().PostMessageContext(c.t.Context(), c.bench, slack.MsgOptionText("Vent A", false),
		slack.MsgOptionBlocks(slack.NewActionBlock("taps", button)))
	if err != nil {
		c.t.Fatal(err)
	}
	return ts
}

func TestTapReachesTheService(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	taps := make(chan slack.InteractionCallback, 2)
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		ack(sm, e)
		if e.Type == socketmode.EventTypeInteractive {
			taps <- e.Data.(slack.InteractionCallback)
		}
	})
	ts := c.slip()
	if _, err := c.Tap(soon(t), c.larder, c.bench, ts, "Empty & silent"); err != nil {
		t.Fatal(err)
	}
	tap := <-taps
	a := tap.ActionCallback.BlockActions[0]
	if tap.Type != slack.InteractionTypeBlockActions || a.ActionID != "vented" || a.Value != "A.1" || a.BlockID != "taps" || a.ActionTs == "" ||
		tap.User.ID != c.larder || tap.Container.MessageTs != ts || tap.Container.ChannelID != c.bench || tap.Container.IsEphemeral ||
		tap.Message.Text != "Vent A" || tap.Channel.ID != c.bench || tap.TriggerID == "" || tap.ResponseURL == "" {
		t.Errorf("the service got %+v", tap)
	}
	if _, err := c.Tap(soon(t), c.larder, c.bench, ts, "Strained"); err == nil {
		t.Error("a button that is not there was tapped")
	}

	_, err := c.api().PostEphemeralContext(t.Context(), c.bench, c.larder, slack.MsgOptionText("Sure?", false), slack.MsgOptionBlocks(
		slack.NewSectionBlock(slack.NewTextBlockObject("mrkdwn", "Sure?", false, false), nil, slack.NewAccessory(
			slack.NewButtonBlockElement("sure", "", slack.NewTextBlockObject("plain_text", "Yes", false, false))))))
	if err != nil {
		t.Fatal(err)
	}
	whisper := c.Messages(c.bench)[1]
	if _, err := c.Tap(soon(t), c.bar1, c.bench, whisper.TS, "Yes"); err == nil {
		t.Error("somebody tapped what only another sees")
	}
	if _, err := c.Tap(soon(t), c.larder, c.bench, whisper.TS, "Yes"); err != nil {
		t.Fatal(err)
	}
	if tap := <-taps; !tap.Container.IsEphemeral || tap.Message.Text != "" || tap.ActionCallback.BlockActions[0].ActionID != "sure" {
		t.Errorf("an ephemeral message's tap: %+v", tap)
	}
}

func TestPingsKeepTheConnection(t *testing.T) {
	t.Parallel()
	c := open(t, Config{PingEvery: 20 * time.Millisecond})
	pings := make(chan struct{}, 100)
	l := c.dial()
	l.SetPingHandler(func(string) error { pings <- struct{}{}; return nil })
	go func() {
		for {
			if _, _, err := l.ReadMessage(); err != nil {
				return
			}
		}
	}()
	for range 3 {
		select {
		case <-pings:
		case <-soon(t).Done():
			t.Fatal("no ping came")
		}
	}
}

// dial opens a bare connection.
func (c *crew) dial() *websocket.Conn {
	c.t.Helper()
	_, url, err := c.api().StartSocketModeContext(c.t.Context())
	if err != nil {
		c.t.Fatal(err)
	}
	conn, _, err := websocket.DefaultDialer.DialContext(c.t.Context(), url, nil)
	if err != nil {
		c.t.Fatal(err)
	}
	c.t.Cleanup(func() { _ = conn.Close() })
	return conn
}

type frame struct {
	Type           string          `json:"type"`
	Reason         string          `json:"reason"`
	NumConnections int             `json:"num_connections"`
	EnvelopeID     string          `json:"envelope_id"`
	RetryAttempt   int             `json:"retry_attempt"`
	RetryReason    string          `json:"retry_reason"`
	Payload        json.RawMessage `json:"payload"`
}

func (c *crew) read(conn *websocket.Conn) frame {
	c.t.Helper()
	var f frame
	_ = conn.SetReadDeadline(time.Now().Add(20 * time.Second))
	if err := conn.ReadJSON(&f); err != nil {
		c.t.Fatal(err)
	}
	return f
}

func TestTicketServesOnce(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	_, url, err := c.api().StartSocketModeContext(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	conn, _, err := websocket.DefaultDialer.DialContext(t.Context(), url, http.Header{"Origin": {"https://api.slack.com"}})
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = conn.Close() }()
	if hello := c.read(conn); hello.Type != "hello" || hello.NumConnections != 1 {
		t.Errorf("first frame %+v", hello)
	}
	_, resp, err := websocket.DefaultDialer.DialContext(t.Context(), url, nil)
	if err == nil || resp == nil || resp.StatusCode != http.StatusForbidden {
		t.Errorf("second use of a ticket: %v", err)
	}
}

func TestEleventhConnectionIsTurnedAway(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	for i := range maxLinks {
		if hello := c.read(c.dial()); hello.NumConnections != i+1 {
			t.Fatalf("connection %d: %+v", i+1, hello)
		}
	}
	if f := c.read(c.dial()); f.Type != "disconnect" || f.Reason != "too_many_websockets" {
		t.Errorf("got %+v", f)
	}
}

func TestEnvelopeGoesToOneOfTheOpenConnections(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	frames := make(chan string, 20)
	for _, name := range []string{"one", "two"} {
		conn := c.dial()
		go func() {
			for {
				var f frame
				if conn.ReadJSON(&f) != nil {
					return
				}
				if f.EnvelopeID != "" {
					frames <- name
					_ = conn.WriteJSON(map[string]string{"envelope_id": f.EnvelopeID})
				}
			}
		}()
	}
	if err := c.Connected(soon(t), 2); err != nil {
		t.Fatal(err)
	}
	for range 6 {
		if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "resting"); err != nil {
			t.Fatal(err)
		}
	}
	got := map[string]int{}
	for range len(frames) {
		got[<-frames]++
	}
	if got["one"]+got["two"] != 6 || got["one"] == 0 || got["two"] == 0 {
		t.Errorf("envelopes went to %v", got)
	}
}

func TestUnacknowledgedEventIsSentAgainAsItWas(t *testing.T) {
	t.Parallel()
	c := open(t, Config{AckWithin: 50 * time.Millisecond})
	conn := c.dial()
	c.read(conn) // hello
	if _, err := c.Say(soon(t), c.bar1, c.bench, "start", ""); err != nil {
		t.Fatal(err)
	}
	first := c.read(conn)
	if first.RetryAttempt != 0 || first.RetryReason != "" {
		t.Fatalf("first %+v", first)
	}
	c.clock.Pace(3000) // the minute and the five minutes in a moment
	for n := range 3 {
		again := c.read(conn)
		want := first
		want.RetryAttempt, want.RetryReason = n+1, "timeout"
		if diff := cmp.Diff(want, again); diff != "" {
			t.Error(diff)
		}
	}
}

func TestEventIsSentAgainAtOnceAfterOneAndAfterFiveMinutes(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r, _ := still(t)
		defer r.Close()
		r.cfg.Scopes = []string{"im:history"}
		who := r.AddPerson("bar-1")
		if _, err := r.Say(t.Context(), who, r.Direct(who), "start", ""); err != nil {
			t.Fatal(err)
		}
		for _, step := range []struct {
			wait time.Duration
			want int
		}{{0, 1}, {59 * time.Second, 1}, {time.Second, 2}, {299 * time.Second, 2}, {time.Second, 3}, {time.Hour, 3}} {
			time.Sleep(step.wait) // the bubble's time
			synctest.Wait()
			if got := r.Counts().Redelivered; got != step.want {
				t.Errorf("after %v more: sent again %d times, want %d", step.wait, got, step.want)
			}
		}
	})
}

func TestUnansweredCommandFailsForThePerson(t *testing.T) {
	t.Parallel()
	c := open(t, Config{AckWithin: 50 * time.Millisecond})
	if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "resting"); !errors.Is(err, ErrNobody) {
		t.Errorf("with no connection: %v", err)
	}
	conn := c.dial()
	c.read(conn)
	if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "resting"); !errors.Is(err, ErrNotAnswered) {
		t.Errorf("with a silent service: %v", err)
	}
	if a, b := c.read(conn), c.read(conn); a.RetryAttempt != 0 || b.RetryAttempt != 1 || a.EnvelopeID != b.EnvelopeID {
		t.Errorf("frames %+v and %+v", a, b)
	}
}

func TestEnvelopeOfABrokenConnectionGoesToAnother(t *testing.T) {
	t.Parallel()
	c := open(t, Config{AckWithin: time.Minute})
	dying := c.dial()
	c.read(dying)
	done := make(chan error, 1)
	go func() {
		_, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "resting")
		done <- err
	}()
	lost := c.read(dying)
	next := c.dial()
	c.read(next)
	_ = dying.Close()
	f := c.read(next)
	if f.EnvelopeID != lost.EnvelopeID || f.RetryAttempt != 1 {
		t.Errorf("sent again as %+v", f)
	}
	_ = next.WriteJSON(map[string]string{"envelope_id": f.EnvelopeID})
	if err := <-done; err != nil {
		t.Error(err)
	}
}

func TestOversizeAcknowledgementIsDropped(t *testing.T) {
	t.Parallel()
	c := open(t, Config{AckWithin: 200 * time.Millisecond})
	conn := c.dial()
	c.read(conn)
	go func() {
		for {
			var f frame
			if conn.ReadJSON(&f) != nil {
				return
			}
			_ = conn.WriteJSON(map[string]any{"envelope_id": f.EnvelopeID, "payload": map[string]string{"text": strings.Repeat("x", maxAck)}})
		}
	}()
	if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "resting"); !errors.Is(err, ErrNotAnswered) {
		t.Errorf("got %v", err)
	}
	if got := c.Counts().AcksDropped; got != 2 {
		t.Errorf("dropped %d", got)
	}
}

func TestServiceReconnectsWhenToldAndWhenDropped(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	c.service(ack)
	for _, cut := range []func(){func() { c.Disconnect("refresh_requested") }, c.DropSockets} {
		cut()
		// The next command may still meet the gap; a person would type it again.
		ctx := soon(t)
		for {
			_, err := c.Command(ctx, c.bar1, c.bench, "/bell", "resting")
			if err == nil {
				break
			}
			if !errors.Is(err, ErrNobody) {
				t.Fatal(err)
			}
			if err := c.Connected(ctx, 1); err != nil {
				t.Fatal(err)
			}
		}
	}
}

func TestAnswerThatSlackWouldRefuseIsAnError(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		_ = sm.Ack(*e.Request, map[string]any{"text": "x", "blocks": []any{map[string]string{"type": "timer"}}})
	})
	if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "resting"); err == nil || !strings.Contains(err.Error(), "unsupported type: timer") {
		t.Errorf("got %v", err)
	}
}
