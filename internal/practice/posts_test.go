package practice

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"
)

func TestPostStandsInTheChannelAsSent(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	button := slack.NewButtonBlockElement("vented", "A.1", slack.NewTextBlockObject("plain_text", "Empty, two silent presses", false, false))
	channel, ts, err := c.api().PostMessageContext(t.Context(), c.bench,
		slack.MsgOptionText("Vent 17:06, A, <@"+c.bar1+">: upright.", false),
		slack.MsgOptionBlocks(
			slack.NewHeaderBlock(slack.NewTextBlockObject("plain_text", "Vent A", false, false)),
			slack.NewSectionBlock(slack.NewTextBlockObject("mrkdwn", "*Vent 17:06*", false, true), nil, nil),
			slack.NewDividerBlock(),
			slack.NewContextBlock("note", slack.NewTextBlockObject("mrkdwn", "An estimate.", false, false)),
			slack.NewActionBlock("", button.WithStyle(slack.StylePrimary)),
		),
		slack.MsgOptionMetadata(slack.SlackMetadata{EventType: "call", EventPayload: map[string]any{"key": "vent:1"}}),
		slack.MsgOptionDisableLinkUnfurl(), slack.MsgOptionDisableMediaUnfurl(),
	)
	if err != nil || channel != c.bench {
		t.Fatalf("posted to %s: %v", channel, err)
	}
	got := c.Messages(c.bench)
	if len(got) != 1 || got[0].TS != ts || got[0].Person != c.BotID() || got[0].At.Sub(evening()).Abs() > time.Second {
		t.Fatalf("stands %+v", got)
	}
	m := got[0]
	if diff := cmp.Diff([]string{"Vent 17:06, A, @bar-1: upright.", "[Empty, two silent presses]"}, c.Lines(m)); diff != "" {
		t.Error(diff)
	}
	ids := map[string]bool{}
	for _, b := range m.Blocks {
		ids[b.BlockID] = true
	}
	if len(ids) != 5 || ids[""] || m.Buttons()[0].Style != "primary" || !strings.Contains(string(m.Metadata), "vent:1") {
		t.Errorf("blocks %+v, metadata %s", m.Blocks, m.Metadata)
	}
}

func TestPersonAsChannelOpensTheDirectMessage(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	channel, _, err := c.api().PostMessageContext(t.Context(), c.bar1, slack.MsgOptionText("Vent in 30 s, A.", false))
	if err != nil || channel != c.Direct(c.bar1) || channel[0] != 'D' {
		t.Fatalf("posted to %s: %v", channel, err)
	}
	if got := c.Messages(channel); len(got) != 1 || got[0].Text != "Vent in 30 s, A." {
		t.Errorf("stands %v", got)
	}
}

func TestTextLongerThanSlackKeepsIsCut(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	c.post(strings.Repeat("é", 40001))
	if got := []rune(c.Messages(c.bench)[0].Text); len(got) != 40000 {
		t.Errorf("kept %d characters", len(got))
	}
}

func TestUpdateReplacesTextAndKeepsHistory(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	ctx, api := t.Context(), c.api()
	block := slack.NewSectionBlock(slack.NewTextBlockObject("plain_text", "Rest", false, false), nil, nil)
	_, ts, err := api.PostMessageContext(ctx, c.bench, slack.MsgOptionText("Rest", false), slack.MsgOptionBlocks(block))
	if err != nil {
		t.Fatal(err)
	}
	c.pass(time.Minute)
	if _, _, text, err := api.UpdateMessageContext(ctx, c.bench, ts, slack.MsgOptionText("Vent", false)); err != nil || text != "Vent" {
		t.Fatalf("updated to %q: %v", text, err)
	}
	m := c.Messages(c.bench)[0]
	if m.Text != "Vent" || len(m.Edits) != 1 || m.Edits[0].Text != "Rest" || m.Edits[0].Until.Sub(m.At) < time.Minute {
		t.Errorf("stands %+v", m)
	}
	if len(m.Blocks) != 1 {
		t.Errorf("an update without blocks left %d", len(m.Blocks))
	}
	if _, _, _, err := api.UpdateMessageContext(ctx, c.bench, ts, slack.MsgOptionText("Strain", false), slack.MsgOptionBlocks()); err != nil {
		t.Fatal(err)
	}
	if m := c.Messages(c.bench)[0]; len(m.Blocks) != 0 {
		t.Errorf("an update with no blocks left %d", len(m.Blocks))
	}
	out := c.call("chat.update", map[string]string{"channel": c.bench, "ts": ts, "text": strings.Repeat("é", 4001)})
	if out["error"] != "msg_too_long" {
		t.Errorf("4001 characters: %v", out)
	}
	c.Archive(c.bench)
	if out := c.call("chat.update", map[string]string{"channel": c.bench, "ts": ts, "text": "x"}); out["error"] != "is_inactive" {
		t.Errorf("archived: %v", out)
	}
}

func TestOthersMessagesAreNotTheBotsToChange(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	ts, err := c.Say(soon(t), c.bar1, c.bench, "start rhubarb gin", "")
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]string{"channel": c.bench, "ts": ts}
	if out := c.call("chat.update", map[string]string{"channel": c.bench, "ts": ts, "text": "x"}); out["error"] != "cant_update_message" {
		t.Errorf("update: %v", out)
	}
	if out := c.call("chat.delete", at); out["error"] != "cant_delete_message" {
		t.Errorf("delete: %v", out)
	}
}

func TestEphemeralMessageIsForOnePersonAndIsNotEdited(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	ts, err := c.api().PostEphemeralContext(t.Context(), c.bench, c.larder, slack.MsgOptionText("bar-1 did this at 17:04.", false))
	if err != nil {
		t.Fatal(err)
	}
	if got := c.Messages(c.bench); len(got) != 1 || got[0].For != c.larder || got[0].TS != ts {
		t.Errorf("stands %+v", got)
	}
	if out := c.call("chat.update", map[string]string{"channel": c.bench, "ts": ts, "text": "x"}); out["error"] != "message_not_found" {
		t.Errorf("update: %v", out)
	}
	if out := c.call("chat.postMessage", map[string]string{"channel": c.bench, "thread_ts": ts, "text": "x"}); out["error"] != "invalid_thread_ts" {
		t.Errorf("thread: %v", out)
	}
}

func TestReplyStandsInItsThread(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	parent := c.post("Rest 2:00, A")
	out := c.call("chat.postMessage", map[string]string{"channel": c.bench, "thread_ts": parent, "text": "charged by bar-1"})
	reply, _ := out["ts"].(string)
	if got := c.Messages(c.bench)[1]; got.ThreadTS != parent || got.TS != reply {
		t.Errorf("reply %+v", got)
	}
	c.pass(10 * time.Second)
	under := map[string]string{"channel": c.bench, "thread_ts": reply, "text": "x"}
	if out := c.call("chat.postMessage", under); out["error"] != "invalid_thread_ts" {
		t.Errorf("a reply to a reply: %v", out)
	}
	if out := c.call("chat.delete", map[string]string{"channel": c.bench, "ts": parent}); out["ok"] != true {
		t.Fatal(out)
	}
	// Under a deleted parent the reply is posted without a thread, as
	// slack-go's PostMessageWithResponseContext warns.
	under["thread_ts"] = parent
	if out := c.call("chat.postMessage", under); out["ok"] != true || out["message"].(map[string]any)["thread_ts"] != nil {
		t.Errorf("under a deleted message: %v", out)
	}
}

func TestDoublesAreCountedByMetadataElseByContent(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	post := func(text, metadata string) {
		c.pass(5 * time.Second)
		args := map[string]string{"channel": c.bench, "text": text}
		if metadata != "" {
			args["metadata"] = metadata
		}
		if out := c.call("chat.postMessage", args); out["ok"] != true {
			t.Fatal(out)
		}
	}
	post("Vent A", "")
	post("Vent B", "")
	if got := c.Counts().Doubles; got != 0 {
		t.Errorf("%d doubles of two different messages", got)
	}
	post("Vent A", "")
	post("Vent C", `{"event_type":"call","event_payload":{"key":"vent:3"}}`)
	post("Vent C (repeat)", `{"event_type":"call","event_payload":{"key":"vent:3"}}`)
	if got := c.Counts(); got.Doubles != 2 || got.Posts != 5 {
		t.Errorf("counts %+v", got)
	}
}

func TestExpelledBotIsNotInTheChannel(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	c.Expel(c.bench)
	if out := c.call("chat.postMessage", map[string]string{"channel": c.bench, "text": "x"}); out["error"] != "not_in_channel" {
		t.Errorf("got %v", out)
	}
	open := open(t, Config{Scopes: append(DefaultScopes(), "chat:write.public")})
	open.Expel(open.bench)
	open.post("chat:write.public needs no membership")
}
