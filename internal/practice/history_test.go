package practice

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"
)

// postIn posts with a second between, so that the channel's pace holds.
func (c *crew) postIn(args map[string]string) string {
	c.t.Helper()
	c.pass(time.Second)
	args["channel"] = c.bench
	out := c.call("chat.postMessage", args)
	ts, ok := out["ts"].(string)
	if !ok {
		c.t.Fatalf("post %v: %v", args, out)
	}
	return ts
}

func texts(list []slack.Message) []string {
	var all []string
	for _, m := range list {
		all = append(all, m.Text)
	}
	return all
}

func TestHistoryGivesTheNewestFirstWithoutReplies(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	slip := c.postIn(map[string]string{"text": "slip"})
	c.postIn(map[string]string{"text": "reply", "thread_ts": slip})
	c.postIn(map[string]string{"text": "reply aloud", "thread_ts": slip, "reply_broadcast": "true"})
	if _, err := c.Say(soon(t), c.bar1, c.bench, "mine", ""); err != nil {
		t.Fatal(err)
	}
	c.call("chat.postEphemeral", map[string]string{"channel": c.bench, "user": c.bar1, "text": "whisper"})
	out, err := c.api().GetConversationHistoryContext(t.Context(), &slack.GetConversationHistoryParameters{ChannelID: c.bench})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"mine", "reply aloud", "slip"}, texts(out.Messages)); diff != "" || out.HasMore {
		t.Errorf("%s; more %v", diff, out.HasMore)
	}
	aloud, parent := out.Messages[1], out.Messages[2]
	if aloud.SubType != "thread_broadcast" || aloud.ThreadTimestamp != slip || parent.ThreadTimestamp != slip || parent.ReplyCount != 2 ||
		parent.LatestReply != aloud.Timestamp || parent.BotID == "" || out.Messages[0].BotID != "" || out.Messages[0].User != c.bar1 {
		t.Errorf("got %+v", out.Messages)
	}
}

func TestHistoryShowsMetadataOnlyWhenAsked(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	c.postIn(map[string]string{"text": "Vent A", "metadata": `{"event_type":"call","event_payload":{"key":"7/vent.2"}}`})
	for _, all := range []bool{false, true} {
		out, err := c.api().GetConversationHistoryContext(t.Context(), &slack.GetConversationHistoryParameters{ChannelID: c.bench, IncludeAllMetadata: all})
		if err != nil {
			t.Fatal(err)
		}
		if got := out.Messages[0].Metadata.EventPayload["key"]; (got == "7/vent.2") != all {
			t.Errorf("asked for all %v: %v", all, got)
		}
	}
}

func TestHistoryIsReadBetweenTwoMomentsAndInPages(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	var ts []string
	for i := range 7 {
		ts = append(ts, c.postIn(map[string]string{"text": fmt.Sprint(i)}))
	}
	read := func(p slack.GetConversationHistoryParameters) *slack.GetConversationHistoryResponse {
		t.Helper()
		p.ChannelID = c.bench
		out, err := c.api().GetConversationHistoryContext(t.Context(), &p)
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	if diff := cmp.Diff([]string{"4", "3"}, texts(read(slack.GetConversationHistoryParameters{Oldest: ts[2], Latest: ts[5]}).Messages)); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"5", "4", "3", "2"}, texts(read(slack.GetConversationHistoryParameters{Oldest: ts[2], Latest: ts[5], Inclusive: true}).Messages)); diff != "" {
		t.Error(diff)
	}
	var pages [][]string
	p := slack.GetConversationHistoryParameters{Limit: 2, Oldest: ts[0]}
	for {
		out := read(p)
		pages = append(pages, texts(out.Messages))
		if len(pages) == 1 {
			c.postIn(map[string]string{"text": "posted meanwhile"})
		}
		if p.Cursor = out.ResponseMetaData.NextCursor; p.Cursor == "" {
			break
		}
	}
	if diff := cmp.Diff([][]string{{"6", "5"}, {"4", "3"}, {"2", "1"}}, pages); diff != "" {
		t.Error(diff)
	}
}

func TestThreadIsReadFromItsParent(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	slip := c.postIn(map[string]string{"text": "slip"})
	alone := c.postIn(map[string]string{"text": "alone"})
	var replies []string
	for i := range 3 {
		replies = append(replies, c.postIn(map[string]string{"text": fmt.Sprint("reply ", i), "thread_ts": slip}))
	}
	read := func(p slack.GetConversationRepliesParameters) ([]string, string) {
		t.Helper()
		p.ChannelID = c.bench
		list, _, cursor, err := c.api().GetConversationRepliesContext(t.Context(), &p)
		if err != nil {
			t.Fatal(err)
		}
		return texts(list), cursor
	}
	for ts, want := range map[string][]string{
		slip: {"slip", "reply 0", "reply 1", "reply 2"}, alone: {"alone"}, replies[1]: {"reply 1"},
	} {
		if got, _ := read(slack.GetConversationRepliesParameters{Timestamp: ts}); !cmp.Equal(want, got) {
			t.Errorf("got %v, want %v", got, want)
		}
	}
	if got, _ := read(slack.GetConversationRepliesParameters{Timestamp: slip, Oldest: replies[0]}); !cmp.Equal([]string{"slip", "reply 1", "reply 2"}, got) {
		t.Errorf("since the first: %v", got)
	}
	first, cursor := read(slack.GetConversationRepliesParameters{Timestamp: slip, Limit: 3})
	rest, end := read(slack.GetConversationRepliesParameters{Timestamp: slip, Limit: 3, Cursor: cursor})
	if len(first) != 3 || len(rest) != 1 || end != "" {
		t.Errorf("pages %v and %v, %q", first, rest, end)
	}
}

func TestHistoryIsRefusedLikeSlackDoes(t *testing.T) {
	t.Parallel()
	c := open(t, Config{Scopes: []string{"channels:history", "chat:write"}})
	cellar := c.AddChannel("cellar")
	for _, tt := range []struct {
		method string
		args   map[string]string
		want   string
	}{
		{"conversations.history", map[string]string{"channel": "C9"}, "channel_not_found"},
		{"conversations.history", map[string]string{"channel": cellar}, "not_in_channel"},
		{"conversations.history", map[string]string{"channel": c.Direct(c.bar1)}, "missing_scope"},
		{"conversations.history", map[string]string{"channel": c.bench, "oldest": "yesterday"}, "invalid_ts_oldest"},
		{"conversations.history", map[string]string{"channel": c.bench, "latest": "1.2.3"}, "invalid_ts_latest"},
		{"conversations.history", map[string]string{"channel": c.bench, "limit": "1000"}, "invalid_limit"},
		{"conversations.history", map[string]string{"channel": c.bench, "cursor": "MQ=="}, "invalid_cursor"},
		{"conversations.replies", map[string]string{"channel": c.bench, "ts": "1.000001"}, "thread_not_found"},
		{"conversations.replies", map[string]string{"channel": c.bench}, "invalid_arguments"},
	} {
		if out := c.call(tt.method, tt.args); out["error"] != tt.want {
			t.Errorf("%s %v: %v, want %s", tt.method, tt.args, out, tt.want)
		}
	}
}
