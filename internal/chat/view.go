package chat

import (
	"cmp"
	"context"

	"github.com/slack-go/slack"

	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

const (
	// formID is the callback_id of every form of ours.
	formID = "bell-form"
	// fieldPrefix and a field's id make its block_id; fieldAction is the
	// action_id of every field. The way in finds a field by the two.
	fieldPrefix = "field-"
	fieldAction = "field"
)

// drawForm draws a form. meta comes back with it as it is.
func drawForm(f voice.Form, meta string) slack.ModalViewRequest {
	v := slack.ModalViewRequest{
		Type:            slack.VTModal,
		Title:           label(f.Title, viewTitleLimit),
		Submit:          label(f.Submit, viewTitleLimit),
		Close:           label(cmp.Or(f.Back, stay), viewTitleLimit),
		CallbackID:      formID,
		PrivateMetadata: meta,
	}
	for _, text := range sections(f.Lines) {
		v.Blocks.BlockSet = append(v.Blocks.BlockSet, section(text))
	}
	for _, field := range f.Fields {
		v.Blocks.BlockSet = append(v.Blocks.BlockSet, input(field))
	}
	return v
}

// input draws a field.
func input(f voice.Field) *slack.InputBlock {
	b := slack.NewInputBlock(fieldPrefix+f.ID, label(f.Label, inputLimit), nil, nil)
	b.Optional = f.Optional
	if f.Hint != "" {
		b.Hint = label(f.Hint, inputLimit)
	}
	if len(f.Options) == 0 {
		e := slack.NewPlainTextInputBlockElement(nil, fieldAction)
		e.Multiline, e.InitialValue = f.Long, f.Value
		b.Element = e
		return b
	}
	e := slack.NewOptionsSelectBlockElement(slack.OptTypeStatic, nil, fieldAction)
	for _, o := range f.Options {
		option := slack.NewOptionBlockObject(o.Value, label(o.Label, optionLimit), nil)
		e.Options = append(e.Options, option)
		if o.Value == f.Value {
			e.InitialOption = option
		}
	}
	b.Element = e
	return b
}

// drawHome draws somebody's own page: its messages one below the other, a rule
// between them. What no longer fits is left out at the end, and it shows: the
// page begins with what is most pressing.
func drawHome(p voice.Page, meta string) slack.HomeTabViewRequest {
	v := slack.HomeTabViewRequest{Type: slack.VTHomeTab, PrivateMetadata: meta}
	used := map[string]int{}
	for _, m := range p {
		blocks := messageBlocks(m, used)
		if len(blocks) == 0 {
			continue
		}
		if len(v.Blocks.BlockSet) > 0 {
			blocks = append([]slack.Block{slack.NewDividerBlock()}, blocks...)
		}
		if len(v.Blocks.BlockSet)+len(blocks) > viewBlockLimit-1 {
			v.Blocks.BlockSet = append(v.Blocks.BlockSet, section("…"))
			break
		}
		v.Blocks.BlockSet = append(v.Blocks.BlockSet, blocks...)
	}
	return v
}

// openForm opens a form for the one who asked; trigger is theirs, and Slack
// takes it for three seconds.
func (c *Chat) openForm(ctx context.Context, trigger string, v slack.ModalViewRequest) error {
	if err := formFits(v); err != nil {
		return &runner.Refusal{Reason: badMessage, Err: err}
	}
	return c.call(ctx, "views.open", func(ctx context.Context) error {
		answer, err := c.api.OpenViewContext(ctx, trigger, v)
		if err != nil {
			return err
		}
		return taken(answer.View.ID, nil)
	})
}

// publishHome shows somebody their own page.
func (c *Chat) publishHome(ctx context.Context, user string, v slack.HomeTabViewRequest) error {
	if err := homeFits(v); err != nil {
		return &runner.Refusal{Reason: badMessage, Err: err}
	}
	return c.call(ctx, "views.publish", func(ctx context.Context) error {
		answer, err := c.api.PublishViewContext(ctx, slack.PublishViewContextRequest{UserID: user, View: v})
		if err != nil {
			return err
		}
		return taken(answer.View.ID, nil)
	})
}

// ephemeral shows a sheet to one person in a channel. Slack shows it only to
// who is there, and forgets it: it is for what may be lost.
func (c *Chat) ephemeral(ctx context.Context, channel, user, thread string, s sheet) error {
	if err := fits(s); err != nil {
		return &runner.Refusal{Reason: badMessage, Err: err}
	}
	options := s.options()
	if thread != "" {
		options = append(options, slack.MsgOptionTS(thread))
	}
	return c.call(ctx, "chat.postEphemeral", func(ctx context.Context) error {
		ts, err := c.api.PostEphemeralContext(ctx, channel, user, options...)
		return taken(ts, err)
	})
}
