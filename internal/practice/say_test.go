package practice

import (
	"testing"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"
	"github.com/slack-go/slack/socketmode"
)

// listening runs a service that gives on every event of messages.
func (c *crew) listening() (next func() slackevents.EventsAPIEvent) {
	c.t.Helper()
	events := make(chan slackevents.EventsAPIEvent, 20)
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		ack(sm, e)
		if data, ok := e.Data.(slackevents.EventsAPIEvent); ok {
			events <- data
		}
	})
	return func() slackevents.EventsAPIEvent {
		c.t.Helper()
		select {
		case e := <-events:
			return e
		case <-soon(c.t).Done():
			c.t.Fatal("no event came")
			panic("unreachable")
		}
	}
}

func TestPeoplesEditsAndDeletionsAreEvents(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	next := c.listening()
	ts, err := c.Say(soon(t), c.bar1, c.bench, "start rhubarb gin 400ml", "")
	if err != nil {
		t.Fatal(err)
	}
	next()
	if err := c.Edit(soon(t), c.bar1, c.bench, ts, "start rhubarb gin 500ml & <more>"); err != nil {
		t.Fatal(err)
	}
	e := next().InnerEvent.Data.(*slackevents.MessageEvent)
	if e.SubType != "message_changed" || e.Channel != c.bench || e.Message.Timestamp != ts || e.Message.User != c.bar1 || e.Message.BotID != "" ||
		e.Message.Text != "start rhubarb gin 500ml &amp; &lt;more&gt;" || e.Message.Edited == nil || e.Message.Edited.User != c.bar1 ||
		e.PreviousMessage.Text != "start rhubarb gin 400ml" || e.EventTimeStamp == ts {
		t.Errorf("the edit %+v", e)
	}
	if err := c.Delete(soon(t), c.bar1, c.bench, ts); err != nil {
		t.Fatal(err)
	}
	if e := next().InnerEvent.Data.(*slackevents.MessageEvent); e.SubType != "message_deleted" || e.DeletedTimeStamp != ts || e.PreviousMessage.User != c.bar1 {
		t.Errorf("the deletion %+v", e)
	}
	if got := c.Messages(c.bench); len(got) != 0 {
		t.Errorf("stands %+v", got)
	}
	mine := c.post("Rest")
	if err := c.Edit(soon(t), c.bar1, c.bench, mine, "x"); err == nil {
		t.Error("somebody edited another's message")
	}
	if err := c.Delete(soon(t), c.bar1, c.bench, ts); err == nil {
		t.Error("a message was taken back twice")
	}
}

// That a mention edited in is an event of its own: slack-go,
// slackevents.AppMentionEvent, field Edited.
func TestMentionThatIsEditedInIsAMention(t *testing.T) {
	t.Parallel()
	c := open(t, Config{Scopes: []string{"app_mentions:read"}})
	next := c.listening()
	ts, err := c.Say(soon(t), c.bar1, c.bench, "start", "")
	if err != nil {
		t.Fatal(err)
	}
	for range 2 { // the second time it is no news
		if err := c.Edit(soon(t), c.bar1, c.bench, ts, "@bell start"); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := c.Say(soon(t), c.larder, c.bench, "@bell resting", ""); err != nil {
		t.Fatal(err)
	}
	first, second := next().InnerEvent.Data.(*slackevents.AppMentionEvent), next().InnerEvent.Data.(*slackevents.AppMentionEvent)
	if first.TimeStamp != ts || first.Edited == nil || first.User != c.bar1 || second.User != c.larder || second.Edited != nil {
		t.Errorf("heard %+v and %+v", first, second)
	}
}

func TestReplyAloudSaysWhatItAnswers(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	next := c.listening()
	parent := c.post("Rest 2:00, A")
	next()
	_, ts, err := c.api().PostMessageContext(t.Context(), c.bench, slack.MsgOptionText("Vent A", false), slack.MsgOptionTS(parent), slack.MsgOptionBroadcast())
	if err != nil {
		t.Fatal(err)
	}
	e := next().InnerEvent.Data.(*slackevents.MessageEvent)
	if e.SubType != "thread_broadcast" || e.TimeStamp != ts || e.ThreadTimeStamp != parent || e.Root == nil || e.Root.Timestamp != parent || e.BotID == "" {
		t.Errorf("heard %+v", e)
	}
	if m := c.Messages(c.bench)[1]; !m.Aloud || m.ThreadTS != parent {
		t.Errorf("stands %+v", m)
	}
}

func TestGuestIsOfAnotherWorkspace(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	guest := c.AddGuest("pastry", "T00000002")
	c.Join(c.bench, false)
	next := c.listening()
	if _, err := c.Say(soon(t), guest, c.bench, "resting", ""); err != nil {
		t.Fatal(err)
	}
	outer := next()
	e := outer.InnerEvent.Data.(*slackevents.MessageEvent)
	if e.UserTeam != "T00000002" || e.SourceTeam != "T00000002" || !outer.Data.(*slackevents.EventsAPICallbackEvent).IsExtSharedChannel || outer.TeamID == "T00000002" {
		t.Errorf("heard %+v in %+v", e, outer.Data)
	}
	who, err := c.api().GetUserInfoContext(t.Context(), guest)
	if err != nil || who.TeamID != "T00000002" {
		t.Errorf("%+v, %v", who, err)
	}
	ts := c.slip()
	c.mu.Lock()
	defer c.mu.Unlock()
	p, err := c.tapped(guest, c.bench, ts, labelled("Empty & silent"))
	if err != nil || p.payload["user"].(fields)["team_id"] != "T00000002" {
		t.Errorf("a tap %+v, %v", p, err)
	}
}
