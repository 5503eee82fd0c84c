package practice

import (
	"net/http"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"
)

func TestCallsAreRefusedLikeSlackDoes(t *testing.T) {
	t.Parallel()
	const form = "application/x-www-form-urlencoded"
	tests := []struct {
		name, verb, method, contentType, bearer, body string
		want                                          string
	}{
		{"unknown method", "POST", "chat.shout", form, "xoxb-practice", "", "unknown_method"},
		{"no token", "POST", "auth.test", form, "", "", "not_authed"},
		{"wrong token", "POST", "auth.test", form, "xoxb-other", "", "invalid_auth"},
		{"two tokens that differ", "POST", "auth.test", form, "xoxb-practice", "token=xoxb-other", "invalid_auth"},
		{"token in a JSON body", "POST", "auth.test", "application/json", "", `{"token":"xoxb-practice"}`, "not_authed"},
		{"app token for a bot's method", "POST", "auth.test", form, "xapp-practice", "", "not_allowed_token_type"},
		{"bot token for a connection", "POST", "apps.connections.open", form, "xoxb-practice", "", "not_allowed_token_type"},
		{"GET for a connection", "GET", "apps.connections.open", "", "xapp-practice", "", "insecure_request"},
		{"body without a type", "POST", "chat.postMessage", "", "xoxb-practice", "channel=C1", "missing_post_type"},
		{"body of another type", "POST", "chat.postMessage", "text/csv", "xoxb-practice", "channel=C1", "invalid_post_type"},
		{"strange charset", "POST", "chat.postMessage", form + "; charset=utf-16", "xoxb-practice", "", "invalid_charset"},
		{"broken form", "POST", "chat.postMessage", form, "xoxb-practice", "channel=%zz", "invalid_form_data"},
		{"broken JSON", "POST", "chat.postMessage", "application/json", "xoxb-practice", `{"channel":`, "invalid_json"},
		{"JSON that is no object", "POST", "chat.postMessage", "application/json", "xoxb-practice", `[1]`, "json_not_object"},
		{"array argument", "POST", "chat.postMessage", form, "xoxb-practice", "channel[]=C1", "invalid_array_arg"},
		{"argument given twice", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C1&channel=C2", "invalid_array_arg"},
		{"impossible argument name", "POST", "chat.postMessage", form, "xoxb-practice", "chan%20nel=C1", "invalid_arg_name"},
		{"missing argument", "POST", "chat.postMessage", form, "xoxb-practice", "text=hi", "invalid_arguments"},
		{"unknown argument", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C00000001&text=hi&colour=red", "invalid_arguments"},
		{"boolean that is none", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C00000001&text=hi&mrkdwn=maybe", "invalid_arguments"},
		{"JSON body where none is read", "POST", "users.info", "application/json", "xoxb-practice", `{"user":"U00000001"}`, "invalid_arguments"},
		{"empty channel", "POST", "chat.postMessage", form, "xoxb-practice", "channel=&text=hi", "channel_not_found"},
		{"unknown channel", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C9&text=hi", "channel_not_found"},
		{"unknown person as channel", "POST", "chat.postMessage", form, "xoxb-practice", "channel=U9&text=hi", "channel_not_found"},
		{"direct message that is not the bot's", "POST", "chat.postMessage", form, "xoxb-practice", "channel=D9&text=hi", "channel_not_found"},
		{"channel without the bot", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C00000002&text=hi", "not_in_channel"},
		{"archived channel", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C00000003&text=hi", "is_archived"},
		{"nothing said", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C00000001", "no_text"},
		{"thread under nothing", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C00000001&text=hi&thread_ts=1.000001", "invalid_thread_ts"},
		{"metadata that is no JSON", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C00000001&text=hi&metadata=%7B", "invalid_arguments"},
		{"metadata of the wrong form", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C00000001&text=hi&metadata=%5B%5D", "invalid_metadata_format"},
		{"metadata without a type", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C00000001&text=hi&metadata=%7B%22event_payload%22%3A%7B%7D%7D", "invalid_metadata_schema"},
		{"blocks that are no list", "POST", "chat.postMessage", form, "xoxb-practice", "channel=C00000001&blocks=%7B%7D", "invalid_blocks_format"},
		{"update of nothing", "POST", "chat.update", form, "xoxb-practice", "channel=C00000001&ts=1.000001&text=hi", "message_not_found"},
		{"update by a person's id", "POST", "chat.update", form, "xoxb-practice", "channel=U00000001&ts=1.000001&text=hi", "channel_not_found"},
		{"delete of nothing", "POST", "chat.delete", form, "xoxb-practice", "channel=C00000001&ts=1.000001", "message_not_found"},
		{"whisper to somebody elsewhere", "POST", "chat.postEphemeral", form, "xoxb-practice", "channel=C00000001&user=U9&text=hi", "user_not_in_channel"},
		{"open with nobody", "POST", "conversations.open", form, "xoxb-practice", "", "users_list_not_supplied"},
		{"open with a stranger", "POST", "conversations.open", form, "xoxb-practice", "users=U9", "user_not_found"},
		{"open a channel", "POST", "conversations.open", form, "xoxb-practice", "channel=C00000001", "method_not_supported_for_channel_type"},
		{"members with a bad cursor", "POST", "conversations.members", form, "xoxb-practice", "channel=C00000001&cursor=!", "invalid_cursor"},
		{"members with a bad limit", "POST", "conversations.members", form, "xoxb-practice", "channel=C00000001&limit=0", "invalid_limit"},
		{"info on nobody", "POST", "users.info", form, "xoxb-practice", "user=U9", "user_not_found"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			c := open(t, Config{})
			c.AddChannel("cellar")
			c.Archive(c.AddChannel("last-winter"))
			out := c.raw(tt.verb, tt.method, tt.contentType, tt.bearer, tt.body)
			if out["ok"] != false || out["error"] != tt.want {
				t.Errorf("got %v, want error %s", out, tt.want)
			}
			if got := c.Counts().Refused[tt.want]; got != 1 {
				t.Errorf("counted %d refusals", got)
			}
			if got := c.Messages(""); len(got) != 0 {
				t.Errorf("a refused call left %v", got)
			}
		})
	}
}

func TestEveryScopeIsNeeded(t *testing.T) {
	t.Parallel()
	for method, m := range methods() {
		if m.scopes == nil {
			continue
		}
		c := open(t, Config{Scopes: []string{"commands"}})
		out := c.call(method, nil)
		want := map[string]any{"ok": false, "error": "missing_scope", "needed": strings.Join(m.scopes, ","), "provided": "commands"}
		if diff := cmp.Diff(want, out); diff != "" {
			t.Errorf("%s (-want +got):\n%s", method, diff)
		}
	}
}

func TestRefusalNamesWhatIsWrong(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	_, err := c.api().GetConversationInfoContext(t.Context(), &slack.GetConversationInfoInput{ChannelID: "C9"})
	if err == nil || err.Error() != "channel_not_found" {
		t.Errorf("slack-go sees %v", err)
	}
	out := c.call("chat.update", map[string]string{"chanel": "C1"})
	want := []any{
		"[ERROR] missing required field: channel", "[ERROR] missing required field: ts", "[ERROR] unexpected argument: chanel",
	}
	if diff := cmp.Diff(want, out["response_metadata"].(map[string]any)["messages"]); diff != "" {
		t.Error(diff)
	}
}

func TestAuthTestSaysWhoTheBotIs(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	who, err := c.api().AuthTestContext(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if who.BotID == "" || who.UserID != c.BotID() || who.TeamID == "" || who.User != "bell" || who.Team == "" || who.URL == "" {
		t.Errorf("got %+v", who)
	}
	if got := who.Header.Get("X-OAuth-Scopes"); got != strings.Join(DefaultScopes(), ",") {
		t.Errorf("scopes %q", got)
	}
}

func TestTokenMayComeInHeaderOrForm(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	inForm := c.raw(http.MethodPost, "auth.test", "application/x-www-form-urlencoded", "", "token=xoxb-practice")
	inHeader := c.raw(http.MethodPost, "auth.test", "application/json; charset=utf-8", "xoxb-practice", "{}")
	if diff := cmp.Diff(inForm, inHeader); diff != "" || inForm["ok"] != true {
		t.Errorf("got %v; differs %s", inForm, diff)
	}
}

func TestConversationsAndPeopleAreToldAbout(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	ctx, api := t.Context(), c.api()
	ch, err := api.GetConversationInfoContext(ctx, &slack.GetConversationInfoInput{ChannelID: c.bench, IncludeNumMembers: true})
	if err != nil || ch.Name != "prep-bench" || !ch.IsMember || ch.NumMembers != 3 || ch.IsIM {
		t.Errorf("info: %+v, %v", ch, err)
	}
	first, cursor, err := api.GetUsersInConversationContext(ctx, &slack.GetUsersInConversationParameters{ChannelID: c.bench, Limit: 2})
	if err != nil || cursor == "" {
		t.Fatalf("members: %v, %q, %v", first, cursor, err)
	}
	rest, end, err := api.GetUsersInConversationContext(ctx, &slack.GetUsersInConversationParameters{ChannelID: c.bench, Cursor: cursor})
	if diff := cmp.Diff([]string{c.BotID(), c.bar1, c.larder}, append(first, rest...)); diff != "" || end != "" || err != nil {
		t.Errorf("members %v then %v, %q, %v", first, rest, end, err)
	}
	who, err := api.GetUserInfoContext(ctx, c.larder)
	if err != nil || who.Name != "larder" || who.Profile.DisplayName != "larder" || who.TZ != "UTC" || who.IsBot {
		t.Errorf("person: %+v, %v", who, err)
	}
	im, _, already, err := api.OpenConversationContext(ctx, &slack.OpenConversationParameters{Users: []string{c.bar1}, ReturnIM: true})
	if err != nil || already || !im.IsIM || im.ID != c.Direct(c.bar1) || im.User != c.bar1 {
		t.Errorf("direct: %+v, %v, %v", im, already, err)
	}
	if _, _, already, err = api.OpenConversationContext(ctx, &slack.OpenConversationParameters{ChannelID: im.ID}); !already || err != nil {
		t.Errorf("opened again: %v, %v", already, err)
	}
}
