package chat

import (
	"encoding/json"
	"fmt"
	"strings"
	"unicode/utf16"

	"github.com/slack-go/slack"
)

// Slack's limits. It does not say in what it counts; we count UTF-16 units,
// the most that it can mean, and count what is sent, escapes and all. Sources:
// docs.slack.dev (blocks, composition objects, modal views, chat.update) and
// the package @slack/types, in November 2026.
const (
	textLimit    = 4000  // chat.update refuses more; chat.postMessage advises it
	sectionLimit = 3000  // text of a section
	allLimit     = 12000 // text of all blocks; undocumented, refused from about 13,200
	blockLimit   = 50    // blocks of a message
	rowLimit     = 25    // buttons of an actions block
	buttonLimit  = 25    // buttons of a message; ours
	labelLimit   = 75    // a button's label, and its accessibility label
	valueLimit   = 2000  // what a button carries
	idLimit      = 255   // block_id, action_id, callback_id
	titleLimit   = 100   // of the box that asks "sure?"
	sureLimit    = 300   // what it asks
	confirmLimit = 30    // its two buttons

	viewBlockLimit   = 100     // blocks of a form or a page
	viewLimit        = 250_000 // bytes of the whole as JSON
	viewTitleLimit   = 24      // a form's title, and its two buttons
	metaLimit        = 3000    // private_metadata
	inputLimit       = 2000    // a field's label, and its hint
	typedLimit       = 3000    // what stands in a field: its longest input, from memory
	optionsLimit     = 100     // options of a field
	optionLimit      = 75      // an option's label
	optionValueLimit = 150     // what it carries; from memory, and @slack/types still says 75
)

// measure is one thing that Slack limits, and how much of it there is.
type measure struct {
	what               string
	least, size, limit int
	text               bool // counts towards the text of the whole
}

// fits says why Slack would refuse a message, before it is sent.
func fits(s sheet) error {
	list := blocks(s.blocks)
	all, buttons := 0, 0
	for _, m := range list {
		if m.text {
			all += m.size
		}
		if m.what == buttonLabel {
			buttons++
		}
	}
	return check("message", append(list,
		needed("text", s.text, textLimit),
		measure{what: "blocks", least: 1, size: len(s.blocks), limit: blockLimit},
		measure{what: "text of all blocks", size: all, limit: allLimit},
		measure{what: "buttons", size: buttons, limit: buttonLimit},
	))
}

// formFits says why Slack would refuse a form.
func formFits(v slack.ModalViewRequest) error {
	return check("form", append(blocks(v.Blocks.BlockSet),
		textObject("title", v.Title, viewTitleLimit),
		textObject("submit", v.Submit, viewTitleLimit),
		textObject("close", v.Close, viewTitleLimit),
		needed("callback_id", v.CallbackID, idLimit),
		maybe("private_metadata", v.PrivateMetadata, metaLimit),
		measure{what: "blocks", least: 1, size: len(v.Blocks.BlockSet), limit: viewBlockLimit},
		measure{what: "bytes", size: bytesOf(v), limit: viewLimit},
	))
}

// homeFits says why Slack would refuse somebody's page.
func homeFits(v slack.HomeTabViewRequest) error {
	return check("page", append(blocks(v.Blocks.BlockSet),
		maybe("private_metadata", v.PrivateMetadata, metaLimit),
		measure{what: "blocks", least: 1, size: len(v.Blocks.BlockSet), limit: viewBlockLimit},
		measure{what: "bytes", size: bytesOf(v), limit: viewLimit},
	))
}

// check gives the first thing of which there is too little or too much.
func check(whole string, list []measure) error {
	for _, m := range list {
		switch {
		case m.size < m.least:
			return fmt.Errorf("check %s: %s is empty", whole, m.what)
		case m.size > m.limit:
			return fmt.Errorf("check %s: %s has %d, at most %d", whole, m.what, m.size, m.limit)
		}
	}
	return nil
}

const buttonLabel = "a button's label"

// blocks measures all blocks of a message or a view.
func blocks(set []slack.Block) []measure {
	var list []measure
	ids := map[string]bool{}
	for _, b := range set {
		if id := b.ID(); id != "" {
			list = append(list, needed("a block_id", id, idLimit), unique("a block_id", id, ids))
		}
		switch b := b.(type) {
		case *slack.DividerBlock:
		case *slack.SectionBlock:
			list = append(list, textObject("a section", b.Text, sectionLimit))
		case *slack.ActionBlock:
			list = append(list, row(b.Elements)...)
		case *slack.InputBlock:
			list = append(list, field(b)...)
		default:
			list = append(list, alien(b))
		}
	}
	return list
}

// row measures a row of buttons.
func row(elements *slack.BlockElements) []measure {
	if elements == nil {
		elements = &slack.BlockElements{}
	}
	list := []measure{{what: "a row", least: 1, size: len(elements.ElementSet), limit: rowLimit}}
	ids := map[string]bool{}
	for _, e := range elements.ElementSet {
		b, ok := e.(*slack.ButtonBlockElement)
		if !ok {
			list = append(list, alien(e))
			continue
		}
		list = append(list,
			needed("an action_id", b.ActionID, idLimit),
			unique("an action_id", b.ActionID, ids),
			textObject(buttonLabel, b.Text, labelLimit),
			needed("a button's value", b.Value, valueLimit),
			needed("an accessibility label", b.AccessibilityLabel, labelLimit),
		)
		if sure := b.Confirm; sure != nil {
			list = append(list,
				textObject("a confirmation's title", sure.Title, titleLimit),
				textObject("a confirmation's text", sure.Text, sureLimit),
				textObject("a confirmation's yes", sure.Confirm, confirmLimit),
				textObject("a confirmation's no", sure.Deny, confirmLimit),
			)
		}
	}
	return list
}

// field measures a field of a form.
func field(b *slack.InputBlock) []measure {
	list := []measure{textObject("a field's label", b.Label, inputLimit)}
	if b.Hint != nil {
		list = append(list, textObject("a hint", b.Hint, inputLimit))
	}
	switch e := b.Element.(type) {
	case *slack.PlainTextInputBlockElement:
		return append(list,
			needed("an action_id", e.ActionID, idLimit),
			maybe("what stands in a field", e.InitialValue, typedLimit))
	case *slack.SelectBlockElement:
		list = append(list,
			needed("an action_id", e.ActionID, idLimit),
			measure{what: "options", least: 1, size: len(e.Options), limit: optionsLimit})
		values := map[string]bool{}
		for _, o := range e.Options {
			list = append(list,
				textObject("an option's label", o.Text, optionLimit),
				needed("an option's value", o.Value, optionValueLimit),
				unique("an option's value", o.Value, values))
		}
		return list
	}
	return append(list, alien(b.Element))
}

// needed measures a text that must say something; spaces do not.
func needed(what, text string, limit int) measure {
	m := maybe(what, text, limit)
	m.least = 1
	if strings.TrimSpace(text) == "" {
		m.size = 0
	}
	return m
}

// maybe measures a text that may be missing.
func maybe(what, text string, limit int) measure {
	return measure{what: what, size: units(text), limit: limit}
}

// textObject measures a text object that must be there.
func textObject(what string, o *slack.TextBlockObject, limit int) measure {
	if o == nil {
		o = &slack.TextBlockObject{}
	}
	m := needed(what, o.Text, limit)
	m.text = true
	return m
}

// unique counts an id that was there before.
func unique(what, id string, before map[string]bool) measure {
	m := measure{what: what + " that stands twice"}
	if before[id] {
		m.size = 1
	}
	before[id] = true
	return m
}

// alien is what we do not draw, and so do not know the limits of.
func alien(what any) measure {
	return measure{what: fmt.Sprintf("%T", what), size: 1}
}

// bytesOf gives the length of a view as it is sent.
func bytesOf(view any) int {
	body, err := json.Marshal(view)
	if err != nil {
		return viewLimit + 1
	}
	return len(body)
}

// units counts a text as Slack counts it at most.
func units(text string) int {
	n := 0
	for _, r := range text {
		n += utf16.RuneLen(r)
	}
	return n
}

// cut shortens a text to at most limit units, and shows that it did.
func cut(text string, limit int) string {
	if units(text) <= limit {
		return text
	}
	n := 1 // the dots
	for i, r := range text {
		if n += utf16.RuneLen(r); n > limit {
			return text[:i] + "…"
		}
	}
	return text
}
