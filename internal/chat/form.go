package chat

import (
	"context"
	"time"

	"github.com/slack-go/slack"

	"ventbell/internal/desk"
)

// openLimit is for opening a form: Slack takes a trigger for three seconds.
const openLimit = 5 * time.Second

// formView draws the form that an answer opens. It carries where it was opened
// from, so that its answer finds the way back.
func (c *Chat) formView(where string, a ask, reply desk.Reply) slack.ModalViewRequest {
	f := c.cfg.Voice.Form(reply.State, reply.Book, reply.Answer)
	m := meta{Kitchen: where, Channel: a.channel, Thread: a.thread, Form: f.Name, Carry: f.Carry}
	return drawForm(f, m.String())
}

// showForm opens a form. Somebody waits for it: if it does not open they are
// told what to do instead.
func (c *Chat) showForm(a ask, v slack.ModalViewRequest) {
	ctx, cancel := context.WithTimeout(c.life, openLimit)
	defer cancel()
	if err := c.openForm(ctx, a.trigger, v); err != nil {
		c.cfg.Log.Warn("a form was not opened", "kind", a.kind, "err", err)
		c.say(a, c.cfg.Voice.TooLate())
	}
}

// following puts another form in the place of the one that was sent in.
type following struct {
	Action string                 `json:"response_action"`
	View   slack.ModalViewRequest `json:"view"`
}

// followUp puts a form in the place of the one that was sent in. What is more
// than an acknowledgement may carry is opened anew.
func (c *Chat) followUp(a ask, v slack.ModalViewRequest, repeat bool, ack func(any) bool) {
	var reply any
	if formFits(v) == nil {
		reply = following{Action: "update", View: v}
	}
	if told := ack(reply); (!told || reply == nil) && !repeat {
		c.later(func() { c.showForm(a, v) })
	}
}

// objection keeps a form open and shows what is wrong beside its field.
type objection struct {
	Action string            `json:"response_action"`
	Errors map[string]string `json:"errors"` // by block_id
}

// object gives the objection to one field of a form.
func object(field, why string) objection {
	return objection{Action: "errors", Errors: map[string]string{fieldPrefix + field: why}}
}
