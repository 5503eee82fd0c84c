package practice

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"
)

// Lengths that Slack refuses to go beyond, in code points: its own unit is not
// stated. Source: docs.slack.dev, Block Kit reference, unless said otherwise.
const (
	maxBlocks     = 50
	maxBlocksText = 13200 // all blocks of a message; undocumented, observed in github.com/slackapi/bolt-js issue 2509
	maxText       = 40000 // a posted text, truncated beyond; chat.postMessage
	maxUpdate     = 4000  // an updated text, refused beyond; chat.update
	maxSection    = 3000
	maxField      = 2000
	maxFields     = 10
	maxHeader     = 150
	maxContext    = 10
	maxActions    = 25
	maxID         = 255 // action_id, block_id
	maxLabel      = 75  // a button's text and its accessibility_label
	maxValue      = 2000
	maxURL        = 3000
	maxSureTitle  = 100
	maxSureText   = 300
	maxSureAnswer = 30
)

// check collects what is wrong with blocks, each fault with a pointer to it.
// Where Slack's own wording is known from public reports it is kept, because
// people search for it.
type check struct {
	faults  []string
	actions map[string]bool // the action_ids of the block at hand
	blocks  map[string]bool // the block_ids of the message or view
	focused bool            // a field of the view has the focus
}

func (c *check) fault(at, format string, args ...any) {
	c.faults = append(c.faults, fmt.Sprintf(format, args...)+" [json-pointer:"+at+"]")
}

// rule checks one value that stands at a place.
type rule func(c *check, at string, v any)

// shape is a JSON object with these fields and no others.
type shape struct {
	need   []string
	fields map[string]rule
}

// check checks v; the field called known was checked before.
func (s shape) check(c *check, at string, v any, known string) {
	o, ok := v.(map[string]any)
	if !ok {
		c.fault(at, "must provide an object")
		return
	}
	for _, name := range s.need {
		if _, ok := o[name]; !ok {
			c.fault(at, "missing required field: %s", name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(o)) {
		if each, ok := s.fields[name]; ok {
			each(c, at+"/"+name, o[name])
		} else if name != known {
			c.fault(at, "invalid additional property: %s", name)
		}
	}
}

// typed checks an object by the shape that its type names.
func typed(shapes map[string]shape) rule {
	return func(c *check, at string, v any) {
		o, ok := v.(map[string]any)
		if !ok {
			c.fault(at, "must provide an object")
			return
		}
		kind, ok := o["type"].(string)
		s, known := shapes[kind]
		switch {
		case !ok:
			c.fault(at, "missing required field: type")
		case !known:
			c.fault(at+"/type", "unsupported type: %s", kind)
		default:
			s.check(c, at, v, "type")
		}
	}
}

func str(least, most int) rule {
	return func(c *check, at string, v any) {
		s, ok := v.(string)
		n := utf8.RuneCountInString(s)
		switch {
		case !ok:
			c.fault(at, "must provide a string")
		case n < least:
			c.fault(at, "must be more than %d characters", least-1)
		case n > most:
			c.fault(at, "must be less than %d characters", most+1)
		}
	}
}

func flag(c *check, at string, v any) {
	if _, ok := v.(bool); !ok {
		c.fault(at, "must provide a boolean")
	}
}

func oneOf(words ...string) rule {
	return func(c *check, at string, v any) {
		if s, ok := v.(string); !ok || !slices.Contains(words, s) {
			c.fault(at, "must be one of %s", strings.Join(words, ", "))
		}
	}
}

func list(least, most int, each rule) rule {
	return func(c *check, at string, v any) {
		l, ok := v.([]any)
		switch {
		case !ok:
			c.fault(at, "must provide an array")
		case len(l) < least:
			c.fault(at, "no fewer than %d items allowed", least)
		case len(l) > most:
			c.fault(at, "no more than %d items allowed", most)
		default:
			for i, v := range l {
				each(c, fmt.Sprintf("%s/%d", at, i), v)
			}
		}
	}
}

// plain is a plain_text object, either is that or a mrkdwn one.
func plain(most int) rule { return typed(textShapes(most, "plain_text")) }

func either(most int) rule { return typed(textShapes(most, "plain_text", "mrkdwn")) }

func textShapes(most int, kinds ...string) map[string]shape {
	shapes := map[string]shape{}
	for _, k := range kinds {
		fields := map[string]rule{"text": str(1, most)}
		if k == "plain_text" {
			fields["emoji"] = flag
		} else {
			fields["verbatim"] = flag
		}
		shapes[k] = shape{[]string{"text"}, fields}
	}
	return shapes
}

// actionID also holds that an action_id is there once in its block.
func actionID(c *check, at string, v any) {
	str(1, maxID)(c, at, v)
	s, _ := v.(string)
	if c.actions[s] {
		c.fault(at, "`action_id` %q already exists in this block", s)
	}
	c.actions[s] = true
}

// blockID also holds that a block_id is there once in its message.
func blockID(c *check, at string, v any) {
	str(1, maxID)(c, at, v)
	s, _ := v.(string)
	if c.blocks[s] {
		c.fault(at, "`block_id` %q already exists", s)
	}
	c.blocks[s] = true
}

func whole(least, most int) rule {
	return func(c *check, at string, v any) {
		if n, ok := v.(float64); !ok || n != float64(int(n)) || int(n) < least || int(n) > most {
			c.fault(at, "must be a whole number from %d to %d", least, most)
		}
	}
}

func buttonRule() rule {
	confirm := shape{[]string{"title", "text", "confirm"}, map[string]rule{
		"title": plain(maxSureTitle), "text": either(maxSureText),
		"confirm": plain(maxSureAnswer), "deny": plain(maxSureAnswer),
		"style": oneOf("primary", "danger"),
	}}
	sure := func(c *check, at string, v any) { confirm.check(c, at, v, "") }
	return typed(map[string]shape{"button": {[]string{"text"}, map[string]rule{
		"action_id": actionID, "text": plain(maxLabel), "value": str(0, maxValue), "url": str(1, maxURL),
		"style": oneOf("primary", "danger"), "confirm": sure, "accessibility_label": str(1, maxLabel),
	}}})
}

// blockList checks a message's blocks.
func blockList(c *check, at string, v any) { blocksOf(maxBlocks, nil)(c, at, v) }

// blocksOf checks a list of blocks: those that stand anywhere, and more.
func blocksOf(most int, more map[string]shape) rule {
	button := buttonRule()
	shapes := map[string]shape{
		"divider": {nil, map[string]rule{"block_id": blockID}},
		"header": {[]string{"text"}, map[string]rule{
			"block_id": blockID, "text": plain(maxHeader), "level": whole(1, 4),
		}},
		"section": {nil, map[string]rule{
			"block_id": blockID, "text": either(maxSection), "fields": list(1, maxFields, either(maxField)),
			"accessory": button, "expand": flag,
		}},
		"context": {[]string{"elements"}, map[string]rule{
			"block_id": blockID, "elements": list(1, maxContext, either(maxSection)),
		}},
		"actions": {[]string{"elements"}, map[string]rule{
			"block_id": blockID, "elements": list(1, maxActions, button),
		}},
	}
	maps.Copy(shapes, more)
	block := typed(shapes)
	each := func(c *check, at string, v any) {
		c.actions = map[string]bool{}
		block(c, at, v)
		if o, ok := v.(map[string]any); ok && o["type"] == "section" && o["text"] == nil && o["fields"] == nil {
			c.fault(at, "missing required field: text or fields")
		}
	}
	all := list(0, most, each)
	return func(c *check, at string, v any) {
		c.blocks = map[string]bool{}
		all(c, at, v)
	}
}
