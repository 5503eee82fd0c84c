package practice

import (
	"reflect"
	"unicode/utf8"
)

// Lengths of what stands in views only, in code points. Source: docs.slack.dev,
// Modal views, Home tab views and the input block; an option's value as
// @slack/types has it.
const (
	maxViewBlocks = 100
	maxView       = 250_000 // bytes of a view; views.open, view_too_large
	maxViewTitle  = 24      // the title and the two buttons
	maxPrivate    = 3000    // private_metadata
	maxFieldLabel = 2000    // a field's label and its hint
	maxTyped      = 3000    // what is typed into a field
	maxGhost      = 150     // a placeholder
	maxOptions    = 100
	maxOption     = 75 // an option's text, value and description
)

// Input is where something is typed or chosen.
type Input struct {
	Type        string   `json:"type"` // plain_text_input or static_select
	ActionID    string   `json:"action_id"`
	Placeholder *Text    `json:"placeholder,omitempty"`
	Value       string   `json:"initial_value,omitempty"`
	Multiline   bool     `json:"multiline,omitempty"`
	MinLength   int      `json:"min_length,omitempty"`
	MaxLength   int      `json:"max_length,omitempty"`
	Options     []Option `json:"options,omitempty"`
	Chosen      *Option  `json:"initial_option,omitempty"`
	Focus       bool     `json:"focus_on_load,omitempty"`
}

// Option is one thing to choose.
type Option struct {
	Text        Text   `json:"text"`
	Value       string `json:"value"`
	Description *Text  `json:"description,omitempty"`
}

// option gives the option with that value, nil when there is none.
func (in *Input) option(value string) *Option {
	for i := range in.Options {
		if in.Options[i].Value == value {
			return &in.Options[i]
		}
	}
	return nil
}

// first gives what stands in the field before anybody touched it.
func (in *Input) first() string {
	if in.Chosen != nil {
		return in.Chosen.Value
	}
	return in.Value
}

// state gives what stands in the field as Slack reports it.
func (in *Input) state(value string) fields {
	out := fields{"type": in.Type}
	if in.Type == "static_select" {
		out["selected_option"] = in.option(value)
		return out
	}
	out["value"] = value
	if value == "" {
		out["value"] = nil
	}
	return out
}

// viewShape is what a view of one kind may say.
func viewShape(kind string) shape {
	shared := map[string]rule{
		"blocks":           blocksOf(maxViewBlocks, nil),
		"private_metadata": str(0, maxPrivate), "callback_id": str(0, maxID), "external_id": str(0, maxID),
	}
	if kind == "home" {
		return shape{[]string{"blocks"}, shared}
	}
	shared["blocks"] = blocksOf(maxViewBlocks, map[string]shape{"input": inputShape()})
	for _, name := range []string{"title", "submit", "close"} {
		shared[name] = plain(maxViewTitle)
	}
	shared["clear_on_close"], shared["notify_on_close"] = flag, flag
	return shape{[]string{"title", "blocks"}, shared}
}

// checkView checks a view of one kind.
func checkView(c *check, at string, v any, kind string) {
	o, ok := v.(map[string]any)
	if !ok {
		c.fault(at, "must provide an object")
		return
	}
	if o["type"] != kind {
		c.fault(at+"/type", "must be %s", kind)
		return
	}
	viewShape(kind).check(c, at, v, "type")
	blocks, _ := o["blocks"].([]any)
	for _, b := range blocks {
		if b, ok := b.(map[string]any); ok && b["type"] == "input" && o["submit"] == nil {
			c.fault(at, "missing required field: submit (there are input blocks)")
			return
		}
	}
}

func inputShape() shape {
	element := typed(map[string]shape{
		"plain_text_input": {nil, map[string]rule{
			"action_id": actionID, "placeholder": plain(maxGhost), "initial_value": str(0, maxTyped), "multiline": flag,
			"min_length": whole(0, maxTyped), "max_length": whole(1, maxTyped), "focus_on_load": focus,
		}},
		"static_select": {[]string{"options"}, map[string]rule{
			"action_id": actionID, "placeholder": plain(maxGhost), "options": optionList, "initial_option": anything,
			"focus_on_load": focus,
		}},
	})
	return shape{[]string{"label", "element"}, map[string]rule{
		"block_id": blockID, "label": plain(maxFieldLabel), "hint": plain(maxFieldLabel), "optional": flag,
		"element": func(c *check, at string, v any) {
			element(c, at, v)
			if o, ok := v.(map[string]any); ok {
				initial(c, at, o)
			}
		},
	}}
}

func anything(*check, string, any) {}

// focus also holds that one field of a view has it.
func focus(c *check, at string, v any) {
	flag(c, at, v)
	if v == true && c.focused {
		c.fault(at, "only one element can have `focus_on_load`")
	}
	c.focused = c.focused || v == true
}

// optionList also holds that each value is there once.
func optionList(c *check, at string, v any) {
	option := shape{[]string{"text", "value"}, map[string]rule{
		"text": plain(maxOption), "value": str(1, maxOption), "description": plain(maxOption),
	}}
	seen := map[string]bool{}
	list(1, maxOptions, func(c *check, at string, v any) {
		option.check(c, at, v, "")
		if o, ok := v.(map[string]any); ok {
			value, _ := o["value"].(string)
			if value != "" && seen[value] {
				c.fault(at+"/value", "value %q already exists", value)
			}
			seen[value] = true
		}
	})(c, at, v)
}

// initial holds what a field begins with to what it may hold.
func initial(c *check, at string, o map[string]any) {
	if chosen, ok := o["initial_option"]; ok {
		options, _ := o["options"].([]any)
		among := false
		for _, option := range options {
			among = among || reflect.DeepEqual(option, chosen)
		}
		if !among {
			c.fault(at+"/initial_option", "must be one of the options")
		}
	}
	least, _ := o["min_length"].(float64)
	most, bounded := o["max_length"].(float64)
	if bounded && least > most {
		c.fault(at, "min_length must not be above max_length")
	}
	if s, ok := o["initial_value"].(string); ok && bounded && utf8.RuneCountInString(s) > int(most) {
		c.fault(at+"/initial_value", "must be less than %d characters", int(most)+1)
	}
}
