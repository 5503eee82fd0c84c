package practice

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"

	"ventbell/internal/clock"
)

// modal is a form of one field and whatever more says.
func modal(more string) string {
	return `{"type":"modal","title":{"type":"plain_text","text":"Reading"},"submit":{"type":"plain_text","text":"Enter"},"blocks":[` +
		field("ml", "") + `]` + more + `}`
}

func field(id, more string) string {
	return fmt.Sprintf(`{"type":"input","block_id":%q,"label":{"type":"plain_text","text":"Field %s"},"element":{"type":"plain_text_input","action_id":"field"%s}}`, id, id, more)
}

func choice(options, more string) string {
	return `{"type":"input","block_id":"c","label":{"type":"plain_text","text":"Vessel"},"element":{"type":"static_select","options":[` + options + `]` + more + `}}`
}

func oneOption(value string, n int) string {
	return fmt.Sprintf(`{"text":%s,"value":%q}`, text("plain_text", n), value)
}

func formOf(blocks ...string) string {
	return `{"type":"modal","title":{"type":"plain_text","text":"T"},"submit":{"type":"plain_text","text":"S"},"blocks":[` + strings.Join(blocks, ",") + `]}`
}

// trigger gives a trigger_id as a slash command hands it out.
func (c *crew) trigger(person string, inForm bool) string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.openTrigger(person, inForm)
}

func (c *crew) open(person, view string) map[string]any {
	c.t.Helper()
	return c.call("views.open", map[string]string{"trigger_id": c.trigger(person, false), "view": view})
}

// Limits: docs.slack.dev, Modal views, Home tab views, and the input block.
func TestViewsAreHeldToTheirShape(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	titled := func(name string, n int) string {
		return strings.Replace(modal(""), `"submit":{"type":"plain_text","text":"Enter"}`,
			`"submit":{"type":"plain_text","text":"Enter"},"`+name+`":`+text("plain_text", n), 1)
	}
	tests := []struct{ name, view, want string }{
		{"no object", `[]`, "must provide an object [json-pointer:/view]"},
		{"a page as a form", `{"type":"home","blocks":[]}`, "must be modal [json-pointer:/view/type]"},
		{"no title", `{"type":"modal","blocks":[]}`, "missing required field: title [json-pointer:/view]"},
		{"no blocks", `{"type":"modal","title":` + text("plain_text", 3) + `}`, "missing required field: blocks [json-pointer:/view]"},
		{"long title", strings.Replace(modal(""), "Reading", strings.Repeat("é", 25), 1), "must be less than 25 characters [json-pointer:/view/title/text]"},
		{"mrkdwn title", strings.Replace(modal(""), "plain_text", "mrkdwn", 1), "unsupported type: mrkdwn [json-pointer:/view/title/type]"},
		{"long close", titled("close", 25), "must be less than 25 characters [json-pointer:/view/close/text]"},
		{"long submit", strings.Replace(modal(""), "Enter", strings.Repeat("é", 25), 1), "must be less than 25 characters [json-pointer:/view/submit/text]"},
		{"inputs without submit", `{"type":"modal","title":` + text("plain_text", 3) + `,"blocks":[` + field("ml", "") + `]}`, "missing required field: submit (there are input blocks) [json-pointer:/view]"},
		{"long private_metadata", modal(`,"private_metadata":"` + strings.Repeat("m", 3001) + `"`), "must be less than 3001 characters [json-pointer:/view/private_metadata]"},
		{"long callback_id", modal(`,"callback_id":"` + strings.Repeat("m", 256) + `"`), "must be less than 256 characters [json-pointer:/view/callback_id]"},
		{"unknown property", modal(`,"colour":"red"`), "invalid additional property: colour [json-pointer:/view]"},
		{"flag that is none", modal(`,"notify_on_close":"yes"`), "must provide a boolean [json-pointer:/view/notify_on_close]"},
		{"101 blocks", formOf(many(101, func(int) string { return `{"type":"divider"}` })...), "no more than 100 items allowed [json-pointer:/view/blocks]"},
		{"same block_id twice", formOf(field("ml", ""), field("ml", "")), "`block_id` \"ml\" already exists [json-pointer:/view/blocks/1/block_id]"},
		{"input without a label", formOf(`{"type":"input","element":{"type":"plain_text_input"}}`), "missing required field: label [json-pointer:/view/blocks/0]"},
		{"input without an element", formOf(`{"type":"input","label":` + text("plain_text", 1) + `}`), "missing required field: element [json-pointer:/view/blocks/0]"},
		{"mrkdwn label", formOf(strings.Replace(field("ml", ""), `"plain_text"`, `"mrkdwn"`, 1)), "unsupported type: mrkdwn [json-pointer:/view/blocks/0/label/type]"},
		{"long label", formOf(strings.Replace(field("ml", ""), "Field ml", strings.Repeat("é", 2001), 1)), "must be less than 2001 characters [json-pointer:/view/blocks/0/label/text]"},
		{"unknown element", formOf(strings.Replace(field("ml", ""), "plain_text_input", "slider", 1)), "unsupported type: slider [json-pointer:/view/blocks/0/element/type]"},
		{"long first value", formOf(field("ml", `,"initial_value":"`+strings.Repeat("v", 3001)+`"`)), "must be less than 3001 characters [json-pointer:/view/blocks/0/element/initial_value]"},
		{"first value above its own limit", formOf(field("ml", `,"max_length":2,"initial_value":"345"`)), "must be less than 3 characters [json-pointer:/view/blocks/0/element/initial_value]"},
		{"shortest above longest", formOf(field("ml", `,"min_length":3,"max_length":2`)), "min_length must not be above max_length [json-pointer:/view/blocks/0/element]"},
		{"length beyond Slack's", formOf(field("ml", `,"max_length":3001`)), "must be a whole number from 1 to 3000 [json-pointer:/view/blocks/0/element/max_length]"},
		{"long placeholder", formOf(field("ml", `,"placeholder":`+text("plain_text", 151))), "must be less than 151 characters [json-pointer:/view/blocks/0/element/placeholder/text]"},
		{"focus twice", formOf(field("a", `,"focus_on_load":true`), field("b", `,"focus_on_load":true`)), "only one element can have `focus_on_load` [json-pointer:/view/blocks/1/element/focus_on_load]"},
		{"no options", formOf(choice("", "")), "no fewer than 1 items allowed [json-pointer:/view/blocks/0/element/options]"},
		{"101 options", formOf(choice(strings.Join(many(101, func(i int) string { return oneOption(fmt.Sprint(i), 1) }), ","), "")), "no more than 100 items allowed [json-pointer:/view/blocks/0/element/options]"},
		{"long option", formOf(choice(oneOption("A", 76), "")), "must be less than 76 characters [json-pointer:/view/blocks/0/element/options/0/text/text]"},
		{"long option value", formOf(choice(oneOption(strings.Repeat("v", 76), 1), "")), "must be less than 76 characters [json-pointer:/view/blocks/0/element/options/0/value]"},
		{"option value that is no string", formOf(choice(`{"text":`+text("plain_text", 1)+`,"value":[1]}`, "")), "must provide a string [json-pointer:/view/blocks/0/element/options/0/value]"},
		{"same option value twice", formOf(choice(oneOption("A", 1)+","+oneOption("A", 2), "")), "value \"A\" already exists [json-pointer:/view/blocks/0/element/options/1/value]"},
		{"first choice that is none", formOf(choice(oneOption("A", 1), `,"initial_option":`+oneOption("A", 2))), "must be one of the options [json-pointer:/view/blocks/0/element/initial_option]"},
	}
	for _, tt := range tests {
		c.pass(time.Minute) // views.open has its tier
		out := c.open(c.bar1, tt.view)
		faults, _ := out["errors"].([]any)
		if out["error"] != "invalid_arguments" || len(faults) == 0 || faults[0] != tt.want {
			t.Errorf("%s: got %v, want %s", tt.name, out, tt.want)
		}
	}
	if _, open := c.Form(c.bar1); open {
		t.Error("a refused form is open")
	}
	input := c.call("views.publish", map[string]string{"user_id": c.bar1, "view": `{"type":"home","blocks":[` + field("ml", "") + `]}`})
	if input["error"] != "invalid_arguments" {
		t.Errorf("a field on a page: %v", input)
	}
	titleOfPage := c.call("views.publish", map[string]string{"user_id": c.bar1, "view": `{"type":"home","title":` + text("plain_text", 1) + `,"blocks":[]}`})
	if titleOfPage["error"] != "invalid_arguments" {
		t.Errorf("a page with a title: %v", titleOfPage)
	}
	if out := c.open(c.bar1, `"`+strings.Repeat("x", 250_001)+`"`); out["error"] != "view_too_large" {
		t.Errorf("a huge view: %v", out)
	}
}

func TestFormAtItsLimitsOpensAndReadsBack(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	long := slack.NewTextBlockObject("plain_text", strings.Repeat("é", 75), false, false)
	options := make([]*slack.OptionBlockObject, 100)
	for i := range options {
		options[i] = slack.NewOptionBlockObject(fmt.Sprintf("%075d", i), long, nil)
	}
	choose := slack.NewOptionsSelectBlockElement(slack.OptTypeStatic, nil, "field", options...)
	choose.InitialOption = options[99]
	typed := slack.NewPlainTextInputBlockElement(nil, "field").WithInitialValue("345").WithMaxLength(3000)
	blocks := []slack.Block{
		slack.NewInputBlock("ml", long, long, typed),
		slack.NewInputBlock("vessel", long, nil, choose),
	}
	for range 98 {
		blocks = append(blocks, slack.NewDividerBlock())
	}
	title := slack.NewTextBlockObject("plain_text", strings.Repeat("é", 24), false, false)
	resp, err := c.api().OpenViewContext(t.Context(), c.trigger(c.bar1, false), slack.ModalViewRequest{
		Type: slack.VTModal, Title: title, Submit: title, Close: title, CallbackID: "bell-form",
		PrivateMetadata: strings.Repeat("m", 3000), Blocks: slack.Blocks{BlockSet: blocks},
	})
	if err != nil {
		t.Fatal(err)
	}
	v, ok := c.Form(c.bar1)
	if !ok || v.ID != resp.View.ID || v.Hash != resp.View.Hash || len(v.Blocks) != 100 || v.CallbackID != "bell-form" {
		t.Errorf("open is %+v", v)
	}
	if diff := cmp.Diff(map[string]string{"ml": "345", "vessel": fmt.Sprintf("%075d", 99)}, v.Values); diff != "" {
		t.Error(diff)
	}
	if got := resp.View.State.Values["vessel"]["field"].SelectedOption.Value; got != fmt.Sprintf("%075d", 99) {
		t.Errorf("the answer's state has %q", got)
	}
	if resp.View.RootViewID != v.ID || resp.View.TeamID == "" || resp.View.AppID == "" || resp.View.BotID == "" {
		t.Errorf("answer %+v", resp.View)
	}
	if _, other := c.Form(c.larder); other {
		t.Error("somebody else has it open too")
	}
}

func TestTriggerOpensOnceWithinThreeSeconds(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	openWith := func(id string) any {
		return c.call("views.open", map[string]string{"trigger_id": id, "view": modal("")})["error"]
	}
	id := c.trigger(c.bar1, false)
	c.pass(triggerLife - time.Millisecond)
	if got := openWith(id); got != nil {
		t.Fatalf("just in time: %v", got)
	}
	if got := openWith(id); got != "exchanged_trigger_id" {
		t.Errorf("again: %v", got)
	}
	late := c.trigger(c.bar1, false)
	c.pass(triggerLife + time.Second)
	if got := openWith(late); got != "expired_trigger_id" {
		t.Errorf("too late: %v", got)
	}
	if got := openWith("1.2.3"); got != "invalid_trigger_id" {
		t.Errorf("made up: %v", got)
	}
	if got := c.call("views.open", map[string]string{"view": modal("")})["error"]; got != "invalid_arguments" {
		t.Errorf("without one: %v", got)
	}
}

func TestQuickRoomStillGivesThreeSecondsOfTheWorld(t *testing.T) {
	t.Parallel()
	c := open(t, Config{Clock: clock.Starting(evening(), 1000)})
	id := c.trigger(c.bar1, false)
	c.pass(time.Minute)
	if out := c.call("views.open", map[string]string{"trigger_id": id, "view": modal("")}); out["ok"] != true {
		t.Errorf("a minute later on a clock a thousand times as fast: %v", out)
	}
}

func TestUpdateKeepsWhatWasTyped(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	id := c.open(c.bar1, formOf(field("ml", ""), field("why", "")))["view"].(map[string]any)["id"].(string)
	if _, err := c.Submit(t.Context(), c.bar1, map[string]string{"ml": "345", "why": "spilt"}); !errors.Is(err, ErrNobody) {
		t.Fatal(err)
	}
	before, _ := c.Form(c.bar1)
	renamed := strings.Replace(field("why", `,"initial_value":"anew"`), `"action_id":"field"`, `"action_id":"other"`, 1)
	out := c.call("views.update", map[string]string{"view_id": id, "hash": before.Hash, "view": formOf(field("ml", `,"initial_value":"1"`), renamed)})
	if out["ok"] != true {
		t.Fatal(out)
	}
	v, _ := c.Form(c.bar1)
	if diff := cmp.Diff(map[string]string{"ml": "345", "why": "anew"}, v.Values); diff != "" || v.ID != id || v.Hash == before.Hash {
		t.Errorf("after the update %s, %s; %s", v.ID, v.Hash, diff)
	}
	for name, args := range map[string]map[string]string{
		"hash_conflict":     {"view_id": id, "hash": before.Hash, "view": modal("")},
		"not_found":         {"view_id": "V9", "view": modal("")},
		"invalid_arguments": {"view": modal("")},
	} {
		if got := c.call("views.update", args)["error"]; got != name {
			t.Errorf("got %v, want %s", got, name)
		}
	}
}

func TestExternalIDNamesOneView(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	named := modal(`,"external_id":"reading-7"`)
	if out := c.open(c.bar1, named); out["ok"] != true {
		t.Fatal(out)
	}
	if out := c.open(c.larder, named); out["error"] != "duplicate_external_id" {
		t.Errorf("the same again: %v", out)
	}
	if out := c.call("views.update", map[string]string{"external_id": "reading-7", "view": named}); out["ok"] != true {
		t.Errorf("updated by it: %v", out)
	}
}

func TestFormsLieOnEachOtherThreeDeep(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	push := func(inForm bool) map[string]any {
		return c.call("views.push", map[string]string{"trigger_id": c.trigger(c.bar1, inForm), "view": modal("")})
	}
	if got := push(true)["error"]; got != "not_found" {
		t.Errorf("onto nothing: %v", got)
	}
	root := c.open(c.bar1, modal(""))["view"].(map[string]any)["id"]
	if got := push(false)["error"]; got != "not_found" {
		t.Errorf("by what was not done in a form: %v", got)
	}
	second := push(true)["view"].(map[string]any)
	third := push(true)["view"].(map[string]any)
	if second["root_view_id"] != root || second["previous_view_id"] != root || third["previous_view_id"] != second["id"] || third["root_view_id"] != root {
		t.Errorf("stacked %v, %v on %v", third, second, root)
	}
	if got := push(true)["error"]; got != "push_limit_reached" {
		t.Errorf("a fourth: %v", got)
	}
	for _, want := range []any{third["id"], second["id"], root} {
		if v, _ := c.Form(c.bar1); v.ID != want {
			t.Errorf("on top lies %s, want %v", v.ID, want)
		}
		if err := c.CloseForm(t.Context(), c.bar1); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.CloseForm(t.Context(), c.bar1); !errors.Is(err, ErrNoForm) {
		t.Errorf("closing nothing: %v", err)
	}
}

func TestPageIsPublishedForOnePerson(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	page := func(words string) string {
		return `{"type":"home","callback_id":"home","blocks":[` + section(`{"type":"mrkdwn","text":"`+words+`"}`) + `]}`
	}
	publish := func(person, words, hash string) map[string]any {
		args := map[string]string{"user_id": person, "view": page(words)}
		if hash != "" {
			args["hash"] = hash
		}
		return c.call("views.publish", args)
	}
	if out := publish("U9", "x", ""); out["error"] != "invalid_arguments" {
		t.Errorf("for nobody: %v", out)
	}
	if out := publish(c.bar1, "x", "1.2"); out["error"] != "hash_conflict" {
		t.Errorf("over a page that is not there: %v", out)
	}
	first := publish(c.bar1, "*A* rests", "")["view"].(map[string]any)
	second := publish(c.bar1, "*B* rests", first["hash"].(string))["view"].(map[string]any)
	if first["id"] != second["id"] || first["hash"] == second["hash"] {
		t.Errorf("published as %v then %v", first, second)
	}
	if out := publish(c.bar1, "x", first["hash"].(string)); out["error"] != "hash_conflict" {
		t.Errorf("over what was changed meanwhile: %v", out)
	}
	if diff := cmp.Diff([]string{"B rests"}, c.HomeLines(c.bar1)); diff != "" {
		t.Error(diff)
	}
	if got := c.Home(c.larder); got != nil {
		t.Errorf("somebody else's page has %v", got)
	}
	if raw, err := json.Marshal(second["state"]); err != nil || string(raw) != `{"values":{}}` {
		t.Errorf("state %s, %v", raw, err)
	}
	if got := c.Counts().Views; got != 2 {
		t.Errorf("counted %d", got)
	}
}
