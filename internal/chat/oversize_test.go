package chat

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/slack-go/slack"
	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

// TestNothingIsEverSentOversize: whatever is drawn either keeps to the limits,
// by a count of its own over the JSON that is sent, or is refused.
func TestNothingIsEverSentOversize(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := anyMessage.Draw(t, "message")
		if s := draw(m); fits(s) == nil {
			if len(s.blocks) > 50 || len(s.blocks) == 0 || units(s.text) > 4000 {
				t.Fatalf("%d blocks, %d characters", len(s.blocks), units(s.text))
			}
			checkSizes(t, s.blocks)
		}
		page := drawHome(rapid.SliceOfN(anyMessage, 0, 40).Draw(t, "page"), x(rapid.IntRange(0, 4000).Draw(t, "meta")))
		if homeFits(page) == nil {
			if n := len(page.Blocks.BlockSet); n > 100 || n == 0 || len(page.PrivateMetadata) > 3000 {
				t.Fatalf("%d blocks, %d characters", n, len(page.PrivateMetadata))
			}
			checkSizes(t, page.Blocks.BlockSet)
		}
		form := drawForm(anyForm.Draw(t, "form"), x(rapid.IntRange(0, 4000).Draw(t, "carry")))
		if formFits(form) == nil {
			if n := len(form.Blocks.BlockSet); n > 100 || n == 0 || len(form.PrivateMetadata) > 3000 || units(form.Title.Text) > 24 {
				t.Fatalf("%d blocks, %d characters", n, len(form.PrivateMetadata))
			}
			checkSizes(t, form.Blocks.BlockSet)
		}
	})
}

// checkSizes reads the blocks as JSON and holds every text in it against the
// limit of where it stands.
func checkSizes(t *rapid.T, blocks []slack.Block) {
	body, err := json.Marshal(blocks)
	if err != nil {
		t.Fatal(err)
	}
	var list []map[string]any
	if err := json.Unmarshal(body, &list); err != nil {
		t.Fatal(err)
	}
	for _, b := range list {
		checkSize(t, b["type"].(string), b)
	}
}

func checkSize(t *rapid.T, where string, v any) {
	limits := map[string]int{
		"section.text.text": 3000, "actions.elements.text.text": 75, "actions.elements.accessibility_label": 75,
		"actions.elements.value": 2000, "actions.elements.action_id": 255,
		"actions.elements.confirm.title.text": 100, "actions.elements.confirm.text.text": 300,
		"actions.elements.confirm.confirm.text": 30, "actions.elements.confirm.deny.text": 30,
		"input.block_id": 255, "input.label.text": 2000, "input.hint.text": 2000, "input.element.action_id": 255,
		"input.element.initial_value": 3000, "input.element.options.text.text": 75, "input.element.options.value": 150,
		"input.element.initial_option.text.text": 75, "input.element.initial_option.value": 150,
	}
	switch v := v.(type) {
	case map[string]any:
		for key, inner := range v {
			if key != "type" {
				checkSize(t, where+"."+key, inner)
			}
		}
	case []any:
		if most := map[string]int{"actions.elements": 25, "input.element.options": 100}[where]; len(v) == 0 || len(v) > most {
			t.Fatalf("%s holds %d", where, len(v))
		}
		for _, inner := range v {
			checkSize(t, where, inner)
		}
	case string:
		switch limit, known := limits[where]; {
		case where == "actions.elements.style":
		case !known:
			t.Fatalf("%s has no limit here", where)
		case len(utf16.Encode([]rune(v))) > limit:
			t.Fatalf("%s has %d characters", where, len(v))
		}
	}
}

var (
	// anyLength is a text of any length, mostly near a limit.
	anyLength = rapid.Custom(func(t *rapid.T) string {
		n := rapid.OneOf(
			rapid.IntRange(0, 40),
			rapid.SampledFrom([]int{24, 25, 30, 31, 75, 76, 100, 101, 150, 151, 255, 256, 300, 301, 1999, 2001, 3000, 3001, 4001}),
		).Draw(t, "length")
		return strings.Repeat(rapid.SampledFrom([]string{"x", "ß", "𝄞", "<", " ", "\n", "𝄞 x"}).Draw(t, "letter"), n)
	})
	anyLongPiece = rapid.Custom(func(t *rapid.T) voice.Piece {
		if rapid.IntRange(0, 3).Draw(t, "long") > 0 {
			return anyPiece(t)
		}
		return voice.Piece{Text: anyLength.Draw(t, "text"), Strong: rapid.Bool().Draw(t, "strong")}
	})
	anyLine   = rapid.Custom(func(t *rapid.T) voice.Line { return rapid.SliceOfN(anyLongPiece, 0, 4).Draw(t, "line") })
	anyButton = rapid.Custom(func(t *rapid.T) voice.Button {
		return voice.Button{
			Label: anyLength.Draw(t, "label"), Sure: anyLength.Draw(t, "sure"), Main: rapid.Bool().Draw(t, "main"),
			Tap: kitchen.Tap{Line: anyLength.Draw(t, "tap"), Batch: rapid.Uint32().Draw(t, "batch")},
		}
	})
	anyMessage = rapid.Custom(func(t *rapid.T) voice.Message {
		return voice.Message{
			Lines:   rapid.SliceOfN(anyLine, 0, 8).Draw(t, "lines"),
			Buttons: rapid.SliceOfN(anyButton, 0, rapid.SampledFrom([]int{0, 2, 6, 30}).Draw(t, "most")).Draw(t, "buttons"),
		}
	})
	anyOption = rapid.Custom(func(t *rapid.T) voice.Option {
		return voice.Option{Value: anyLength.Draw(t, "value"), Label: anyLength.Draw(t, "label")}
	})
	anyForm = rapid.Custom(func(t *rapid.T) voice.Form {
		f := voice.Form{
			Title: anyLength.Draw(t, "title"), Submit: anyLength.Draw(t, "submit"),
			Lines: rapid.SliceOfN(anyLine, 0, 4).Draw(t, "lines"),
		}
		for range rapid.SampledFrom([]int{0, 1, 3, 110}).Draw(t, "fields") {
			field := voice.Field{
				ID: rapid.StringMatching("[a-z]{1,3}").Draw(t, "id"), Label: anyLength.Draw(t, "label"), Hint: anyLength.Draw(t, "hint"),
				Value: anyLength.Draw(t, "value"), Long: rapid.Bool().Draw(t, "long"), Optional: rapid.Bool().Draw(t, "optional"),
			}
			if rapid.Bool().Draw(t, "choose") {
				field.Options = rapid.SliceOfN(anyOption, 0, 3).Draw(t, "options")
			}
			f.Fields = append(f.Fields, field)
		}
		return f
	})
)
