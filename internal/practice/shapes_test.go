package practice

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func text(kind string, n int) string {
	return fmt.Sprintf(`{"type":%q,"text":%q}`, kind, strings.Repeat("é", n))
}

func aButton(more string) string {
	return `{"type":"button","text":{"type":"plain_text","text":"Vented"}` + more + `}`
}

func actions(elements ...string) string {
	return `{"type":"actions","elements":[` + strings.Join(elements, ",") + `]}`
}

func section(text string) string { return `{"type":"section","text":` + text + `}` }

func many(n int, s func(i int) string) []string {
	all := make([]string, n)
	for i := range all {
		all[i] = s(i)
	}
	return all
}

func TestBlocksAreHeldToTheirShape(t *testing.T) {
	t.Parallel()
	button := func(i int) string { return aButton(fmt.Sprintf(`,"action_id":"a%d"`, i)) }
	confirm := func(title, ask, yes int) string {
		return fmt.Sprintf(`,"confirm":{"title":%s,"text":%s,"confirm":%s}`,
			text("plain_text", title), text("mrkdwn", ask), text("plain_text", yes))
	}
	tests := []struct{ name, block, want string }{
		{"unknown block", `{"type":"timer"}`, "unsupported type: timer [json-pointer:/blocks/0/type]"},
		{"no type", `{}`, "missing required field: type [json-pointer:/blocks/0]"},
		{"no object", `"x"`, "must provide an object [json-pointer:/blocks/0]"},
		{"extra property", `{"type":"divider","color":"red"}`, "invalid additional property: color [json-pointer:/blocks/0]"},
		{"mrkdwn header", `{"type":"header","text":` + text("mrkdwn", 3) + `}`, "unsupported type: mrkdwn [json-pointer:/blocks/0/text/type]"},
		{"long header", `{"type":"header","text":` + text("plain_text", 151) + `}`, "must be less than 151 characters [json-pointer:/blocks/0/text/text]"},
		{"header level", `{"type":"header","level":5,"text":` + text("plain_text", 1) + `}`, "must be a whole number from 1 to 4 [json-pointer:/blocks/0/level]"},
		{"empty section", `{"type":"section"}`, "missing required field: text or fields [json-pointer:/blocks/0]"},
		{"empty text", section(text("mrkdwn", 0)), "must be more than 0 characters [json-pointer:/blocks/0/text/text]"},
		{"long section", section(text("mrkdwn", 3001)), "must be less than 3001 characters [json-pointer:/blocks/0/text/text]"},
		{"text that is a string", section(`"hi"`), "must provide an object [json-pointer:/blocks/0/text]"},
		{"text that is a number", section(`{"type":"mrkdwn","text":5}`), "must provide a string [json-pointer:/blocks/0/text/text]"},
		{"emoji on mrkdwn", section(`{"type":"mrkdwn","text":"x","emoji":true}`), "invalid additional property: emoji [json-pointer:/blocks/0/text]"},
		{"verbatim on plain", section(`{"type":"plain_text","text":"x","verbatim":true}`), "invalid additional property: verbatim [json-pointer:/blocks/0/text]"},
		{"emoji that is no boolean", section(`{"type":"plain_text","text":"x","emoji":"yes"}`), "must provide a boolean [json-pointer:/blocks/0/text/emoji]"},
		{"long field", `{"type":"section","fields":[` + text("mrkdwn", 2001) + `]}`, "must be less than 2001 characters [json-pointer:/blocks/0/fields/0/text]"},
		{"eleven fields", `{"type":"section","fields":[` + strings.Join(many(11, func(int) string { return text("mrkdwn", 1) }), ",") + `]}`, "no more than 10 items allowed [json-pointer:/blocks/0/fields]"},
		{"eleven in a context", `{"type":"context","elements":[` + strings.Join(many(11, func(int) string { return text("mrkdwn", 1) }), ",") + `]}`, "no more than 10 items allowed [json-pointer:/blocks/0/elements]"},
		{"button in a context", `{"type":"context","elements":[` + aButton("") + `]}`, "unsupported type: button [json-pointer:/blocks/0/elements/0/type]"},
		{"no actions", actions(), "no fewer than 1 items allowed [json-pointer:/blocks/0/elements]"},
		{"26 actions", actions(many(26, button)...), "no more than 25 items allowed [json-pointer:/blocks/0/elements]"},
		{"menu", actions(`{"type":"static_select"}`), "unsupported type: static_select [json-pointer:/blocks/0/elements/0/type]"},
		{"button without text", actions(`{"type":"button","action_id":"a"}`), "missing required field: text [json-pointer:/blocks/0/elements/0]"},
		{"mrkdwn button", actions(`{"type":"button","text":` + text("mrkdwn", 1) + `}`), "unsupported type: mrkdwn [json-pointer:/blocks/0/elements/0/text/type]"},
		{"long label", actions(`{"type":"button","text":` + text("plain_text", 76) + `}`), "must be less than 76 characters [json-pointer:/blocks/0/elements/0/text/text]"},
		{"long value", actions(aButton(`,"value":"` + strings.Repeat("v", 2001) + `"`)), "must be less than 2001 characters [json-pointer:/blocks/0/elements/0/value]"},
		{"long action_id", actions(aButton(`,"action_id":"` + strings.Repeat("a", 256) + `"`)), "must be less than 256 characters [json-pointer:/blocks/0/elements/0/action_id]"},
		{"long url", actions(aButton(`,"url":"` + strings.Repeat("u", 3001) + `"`)), "must be less than 3001 characters [json-pointer:/blocks/0/elements/0/url]"},
		{"unknown style", actions(aButton(`,"style":"loud"`)), "must be one of primary, danger [json-pointer:/blocks/0/elements/0/style]"},
		{"long spoken label", actions(aButton(`,"accessibility_label":"` + strings.Repeat("a", 76) + `"`)), "must be less than 76 characters [json-pointer:/blocks/0/elements/0/accessibility_label]"},
		{"same action_id twice", actions(button(1), button(1)), "`action_id` \"a1\" already exists in this block [json-pointer:/blocks/0/elements/1/action_id]"},
		{"same block_id twice", `{"type":"divider","block_id":"b"},{"type":"divider","block_id":"b"}`, "`block_id` \"b\" already exists [json-pointer:/blocks/1/block_id]"},
		{"long confirm title", actions(aButton(confirm(101, 1, 1))), "must be less than 101 characters [json-pointer:/blocks/0/elements/0/confirm/title/text]"},
		{"long confirm text", actions(aButton(confirm(1, 301, 1))), "must be less than 301 characters [json-pointer:/blocks/0/elements/0/confirm/text/text]"},
		{"long confirm answer", actions(aButton(confirm(1, 1, 31))), "must be less than 31 characters [json-pointer:/blocks/0/elements/0/confirm/confirm/text]"},
		{"confirm without text", actions(aButton(`,"confirm":{}`)), "missing required field: title [json-pointer:/blocks/0/elements/0/confirm]"},
		{"51 blocks", strings.Join(many(51, func(int) string { return `{"type":"divider"}` }), ","), "no more than 50 items allowed [json-pointer:/blocks]"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			_, no := readBlocks("["+tt.block+"]", func(p string) string { return p })
			if no == nil || no.code != "invalid_blocks" || no.messages[0] != tt.want {
				t.Errorf("got %+v, want %s", no, tt.want)
			}
		})
	}
}

func TestBlocksAtTheirLimitsAreTaken(t *testing.T) {
	t.Parallel()
	button := func(i int) string {
		return aButton(fmt.Sprintf(`,"action_id":"%0255d","value":"%02000d","style":"danger"`, i, i))
	}
	raw := "[" + strings.Join([]string{
		`{"type":"header","level":1,"text":` + text("plain_text", 150) + `}`,
		section(text("mrkdwn", 3000)),
		`{"type":"section","expand":true,"fields":[` + text("plain_text", 2000) + `],"accessory":` + aButton("") + `}`,
		`{"type":"context","elements":[` + strings.Join(many(10, func(int) string { return text("mrkdwn", 10) }), ",") + `]}`,
		actions(many(25, button)...),
		`{"type":"divider","block_id":"end"}`,
	}, ",") + "]"
	n := 0
	blocks, no := readBlocks(raw, func(p string) string { n++; return fmt.Sprint(p, n) })
	if no != nil {
		t.Fatalf("refused: %+v", no)
	}
	if len(blocks) != 6 || len(blocks[4].Buttons) != 25 || blocks[2].Accessory.ActionID == "" || blocks[5].BlockID != "end" {
		t.Errorf("read %+v", blocks)
	}
	again, err := json.Marshal(blocks)
	if err != nil {
		t.Fatal(err)
	}
	back, no := readBlocks(string(again), nil)
	if no != nil {
		t.Fatalf("what the room writes it refuses: %+v", no)
	}
	if diff := cmp.Diff(blocks, back); diff != "" {
		t.Error(diff)
	}
}

func TestBlocksWithTooMuchTextAltogetherAreRefused(t *testing.T) {
	t.Parallel()
	raw := "[" + strings.Join(many(5, func(int) string { return section(text("mrkdwn", 2700)) }), ",") + "]"
	if _, no := readBlocks(raw, func(p string) string { return p }); no == nil || no.code != "msg_blocks_too_long" {
		t.Errorf("got %+v", no)
	}
}
