package practice

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"
	"github.com/slack-go/slack/socketmode"
)

func TestPageIsOpenedShownAndTapped(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	opened := make(chan slackevents.AppHomeOpenedEvent, 2)
	taps := make(chan slack.InteractionCallback, 1)
	page := slack.HomeTabViewRequest{Type: slack.VTHomeTab, PrivateMetadata: "main", Blocks: slack.Blocks{BlockSet: []slack.Block{
		slack.NewHeaderBlock(slack.NewTextBlockObject("plain_text", "Yours", false, false)),
		slack.NewSectionBlock(slack.NewTextBlockObject("mrkdwn", "*A* rests\nuntil 18:06", false, false), nil, nil),
		slack.NewActionBlock("a", slack.NewButtonBlockElement("vented", "A.1", slack.NewTextBlockObject("plain_text", "Empty", false, false))),
		slack.NewDividerBlock(),
		slack.NewContextBlock("c", slack.NewTextBlockObject("mrkdwn", "Kitchen time.", false, false)),
	}}}
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		ack(sm, e)
		switch data := e.Data.(type) {
		case slack.InteractionCallback:
			taps <- data
		case slackevents.EventsAPIEvent:
			home := data.InnerEvent.Data.(*slackevents.AppHomeOpenedEvent)
			opened <- *home
			if _, err := c.api().PublishViewContext(t.Context(), slack.PublishViewContextRequest{UserID: home.User, View: page}); err != nil {
				t.Error(err)
			}
		}
	})
	for _, again := range []bool{false, true} {
		if err := c.OpenHome(soon(t), c.bar1); err != nil {
			t.Fatal(err)
		}
		home := <-opened
		if home.User != c.bar1 || home.Tab != "home" || home.Channel != c.Direct(c.bar1) || home.EventTimeStamp == "" || (home.View != nil) != again {
			t.Errorf("event %+v", home)
		}
		// The page comes when the service has published it.
		if err := c.Wait(soon(t), "", func([]Message) bool { return c.Home(c.bar1) != nil }); err != nil {
			t.Fatal(err)
		}
	}
	if diff := cmp.Diff([]string{"Yours", "A rests", "until 18:06", "[Empty]", "Kitchen time."}, c.HomeLines(c.bar1)); diff != "" {
		t.Error(diff)
	}
	if _, err := c.TapHome(soon(t), c.bar1, "Empty"); err != nil {
		t.Fatal(err)
	}
	tap := <-taps
	if tap.Type != slack.InteractionTypeBlockActions || tap.View.Type != slack.VTHomeTab || tap.View.PrivateMetadata != "main" || tap.Container.Type != "view" ||
		tap.Container.ViewID != tap.View.ID || tap.Channel.ID != "" || tap.Message.Timestamp != "" || tap.ActionCallback.BlockActions[0].Value != "A.1" {
		t.Errorf("the service got %+v", tap)
	}
	if out := c.call("views.open", map[string]string{"trigger_id": tap.TriggerID, "view": modal("")}); out["ok"] != true {
		t.Errorf("its trigger opens nothing: %v", out)
	}
	if _, err := c.TapHome(soon(t), c.larder, "Empty"); err == nil {
		t.Error("somebody tapped on a page that was never shown")
	}
	if err := c.OpenHome(soon(t), "U9"); err == nil {
		t.Error("nobody opened a page")
	}
}

func TestShortcutsReachTheService(t *testing.T) {
	t.Parallel()
	c := open(t, Config{Shortcuts: []Shortcut{{"start", "Start a batch"}}, MessageShortcuts: []Shortcut{{"read", "Start from this"}}})
	got := c.interactions(silent)
	ts, err := c.Say(soon(t), c.larder, c.bench, "pepper tequila 500ml <now>", "")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Shortcut(soon(t), c.bar1, "start"); err != nil {
		t.Fatal(err)
	}
	in := <-got
	if in.Type != slack.InteractionTypeShortcut || in.CallbackID != "start" || in.User.ID != c.bar1 || in.ActionTs == "" || in.Team.ID == "" || in.Token == "" ||
		in.Channel.ID != "" || in.ResponseURL != "" {
		t.Errorf("anywhere: %+v", in)
	}
	if out := c.call("views.open", map[string]string{"trigger_id": in.TriggerID, "view": modal("")}); out["ok"] != true {
		t.Errorf("its trigger opens nothing: %v", out)
	}
	if _, err := c.MessageShortcut(soon(t), c.bar1, c.bench, ts, "read"); err != nil {
		t.Fatal(err)
	}
	in = <-got
	if in.Type != slack.InteractionTypeMessageAction || in.CallbackID != "read" || in.MessageTs != ts || in.Message.Timestamp != ts ||
		in.Message.User != c.larder || in.Message.Text != "pepper tequila 500ml &lt;now&gt;" || in.Channel.ID != c.bench || in.Channel.Name != "prep-bench" || in.TriggerID == "" {
		t.Errorf("on a message: %+v", in)
	}
	if status, body := c.respondTo(in.ResponseURL, `{"text":"Which vessel?"}`); status != 200 {
		t.Errorf("its response_url: %d %s", status, body)
	}
	whispers := slices.DeleteFunc(c.Messages(c.bench), func(m Message) bool { return m.For != c.bar1 })
	if len(whispers) != 1 || whispers[0].Text != "Which vessel?" {
		t.Errorf("stands %+v", whispers)
	}
	for name, err := range map[string]error{
		"unknown":           second(c.Shortcut(soon(t), c.bar1, "read")),
		"unknown on one":    second(c.MessageShortcut(soon(t), c.bar1, c.bench, ts, "start")),
		"on nothing":        second(c.MessageShortcut(soon(t), c.bar1, c.bench, "1.000001", "read")),
		"where they're not": second(c.MessageShortcut(soon(t), c.bar1, c.AddChannel("cellar"), ts, "read")),
		"nobody":            second(c.Shortcut(soon(t), "U9", "start")),
	} {
		if err == nil || !strings.HasPrefix(err.Error(), "shortcut: ") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func second(_ Response, err error) error { return err }

func TestCommandsTriggerOpensAForm(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	triggers := make(chan string, 1)
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		ack(sm, e)
		if cmd, ok := e.Data.(slack.SlashCommand); ok {
			triggers <- cmd.TriggerID
		}
	})
	if _, err := c.Command(soon(t), c.bar1, c.bench, "/bell", "vessel"); err != nil {
		t.Fatal(err)
	}
	if out := c.call("views.open", map[string]string{"trigger_id": <-triggers, "view": modal("")}); out["ok"] != true {
		t.Error(out)
	}
}
