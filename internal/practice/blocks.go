package practice

import (
	"encoding/json"
	"fmt"
	"unicode/utf8"
)

// Block is one block of a message or view, of the kinds that the room can show.
type Block struct {
	Type      string   `json:"type"` // header, section, context, actions, divider or, in a form, input
	BlockID   string   `json:"block_id"`
	Text      *Text    `json:"text,omitempty"`
	Level     int      `json:"level,omitempty"`
	Fields    []Text   `json:"fields,omitempty"`
	Accessory *Button  `json:"accessory,omitempty"`
	Expand    bool     `json:"expand,omitempty"`
	Label     *Text    `json:"label,omitempty"`
	Hint      *Text    `json:"hint,omitempty"`
	Element   *Input   `json:"element,omitempty"`
	Optional  bool     `json:"optional,omitempty"`
	Texts     []Text   `json:"-"` // the elements of a context block
	Buttons   []Button `json:"-"` // the elements of an actions block
}

// Text is Slack's text object.
type Text struct {
	Type     string `json:"type"` // mrkdwn or plain_text
	Text     string `json:"text"`
	Emoji    *bool  `json:"emoji,omitempty"`
	Verbatim bool   `json:"verbatim,omitempty"`
}

// Button is Slack's button element.
type Button struct {
	Type     string   `json:"type"`
	ActionID string   `json:"action_id"`
	Text     Text     `json:"text"`
	Value    string   `json:"value,omitempty"`
	URL      string   `json:"url,omitempty"`
	Style    string   `json:"style,omitempty"`
	Confirm  *Confirm `json:"confirm,omitempty"`
	Label    string   `json:"accessibility_label,omitempty"`
}

// Confirm is what a button asks before it acts.
type Confirm struct {
	Title   Text   `json:"title"`
	Text    Text   `json:"text"`
	Confirm Text   `json:"confirm"`
	Deny    *Text  `json:"deny,omitempty"`
	Style   string `json:"style,omitempty"`
}

// MarshalJSON writes b as Slack does, its elements in one list.
func (b Block) MarshalJSON() ([]byte, error) {
	type plain Block
	switch b.Type {
	case "context":
		return json.Marshal(struct {
			plain
			Elements []Text `json:"elements"`
		}{plain(b), b.Texts})
	case "actions":
		return json.Marshal(struct {
			plain
			Elements []Button `json:"elements"`
		}{plain(b), b.Buttons})
	}
	return json.Marshal(plain(b))
}

// UnmarshalJSON reads b as Slack writes it.
func (b *Block) UnmarshalJSON(data []byte) error {
	type plain Block
	if err := json.Unmarshal(data, (*plain)(b)); err != nil {
		return fmt.Errorf("read block: %w", err)
	}
	var elements struct {
		Elements json.RawMessage `json:"elements"`
	}
	if err := json.Unmarshal(data, &elements); err != nil {
		return fmt.Errorf("read block: %w", err)
	}
	switch b.Type {
	case "context":
		return json.Unmarshal(elements.Elements, &b.Texts)
	case "actions":
		return json.Unmarshal(elements.Elements, &b.Buttons)
	}
	return nil
}

// buttons gives the block's buttons in order.
func (b Block) buttons() []Button {
	if b.Accessory != nil {
		return []Button{*b.Accessory}
	}
	return b.Buttons
}

// texts gives the block's own texts, buttons left out.
func (b Block) texts() []Text {
	var all []Text
	if b.Text != nil {
		all = append(all, *b.Text)
	}
	return append(append(all, b.Fields...), b.Texts...)
}

// readBlocks checks blocks as they came in, and gives them with the ids that
// Slack adds where none was given; or else why they are refused.
func readBlocks(raw string, fresh func(prefix string) string) ([]Block, *refusal) {
	var loose any
	if err := json.Unmarshal([]byte(raw), &loose); err != nil {
		return nil, refuse("invalid_blocks_format", "blocks is not JSON: "+err.Error())
	}
	list, ok := loose.([]any)
	if !ok {
		return nil, refuse("invalid_blocks_format", "blocks must be a list")
	}
	c := &check{}
	blockList(c, "/blocks", list)
	if len(c.faults) > 0 {
		return nil, refuse("invalid_blocks", c.faults...)
	}
	var blocks []Block
	if err := json.Unmarshal([]byte(raw), &blocks); err != nil {
		return nil, refuse("invalid_blocks", err.Error())
	}
	if total(blocks) > maxBlocksText {
		return nil, refuse("msg_blocks_too_long")
	}
	nameBlocks(blocks, fresh)
	return blocks, nil
}

// nameBlocks gives the ids that Slack adds where none was given.
func nameBlocks(blocks []Block, fresh func(prefix string) string) {
	for i := range blocks {
		b := &blocks[i]
		if b.BlockID == "" {
			b.BlockID = fresh("b")
		}
		if b.Accessory != nil && b.Accessory.ActionID == "" {
			b.Accessory.ActionID = fresh("a")
		}
		if b.Element != nil && b.Element.ActionID == "" {
			b.Element.ActionID = fresh("a")
		}
		for j := range b.Buttons {
			if b.Buttons[j].ActionID == "" {
				b.Buttons[j].ActionID = fresh("a")
			}
		}
	}
}

func total(blocks []Block) int {
	n := 0
	for _, b := range blocks {
		for _, t := range b.texts() {
			n += utf8.RuneCountInString(t.Text)
		}
	}
	return n
}
