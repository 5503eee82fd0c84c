package chat

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/slack-go/slack"

	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

const (
	// sayLimit is for saying one thing, repeats and all; a response_url
	// lives for 30 minutes.
	sayLimit = 30 * time.Second
	// sayTries is how often an answer is tried; a response_url takes five.
	sayTries = 4
)

// settle waits for the outcome of an ask as long as the platform's patience
// lasts, acknowledges, and sees to it that the outcome is said. ack tells
// Slack that the ask was received; it takes along what Slack shows at once, if
// there is such a thing, and is false when that could not travel with it.
// settle returns as soon as it has acknowledged.
func (c *Chat) settle(a ask, h *hearing, repeat bool, ack func(reply any) bool) {
	timer := time.NewTimer(c.cfg.Patience - time.Since(a.received))
	defer timer.Stop()
	select {
	case <-h.done:
		if h.opens != nil && a.kind == form {
			c.followUp(a, *h.opens, repeat, ack)
			return
		}
		if h.opens != nil && !repeat { // its trigger does not last
			c.later(func() { c.showForm(a, *h.opens) })
		}
		told := c.acknowledge(a, h.message, h.field, ack) || h.shown
		if !repeat && (!told || a.home) {
			c.later(func() { c.follow(a, h, told) })
		}
	case <-timer.C:
		c.cfg.Metrics.Heard(a.kind, "late")
		told := c.acknowledge(a, c.cfg.Voice.NotSaved(), "", ack)
		if repeat {
			return
		}
		c.later(func() {
			if !told {
				c.say(a, c.cfg.Voice.NotSaved())
			}
			<-h.done
			if h.opens != nil {
				c.showForm(a, *h.opens)
			}
			// Who was told "not yet" is told the outcome, even where the slip
			// shows it.
			c.follow(a, h, false)
		})
	}
}

// follow sees to what is left once an ask was acknowledged and carried out.
func (c *Chat) follow(a ask, h *hearing, told bool) {
	if a.home {
		c.touched(a)
	}
	if !told {
		c.say(a, h.message)
	}
}

// acknowledge tells Slack that an ask was received, and says whether m went
// with it: only the answer to a slash command can, and what is wrong with one
// field of a form.
func (c *Chat) acknowledge(a ask, m voice.Message, field string, ack func(any) bool) (told bool) {
	switch {
	case field != "" && len(m.Lines) > 0:
		return ack(object(field, m.Lines[0].Plain()))
	case a.kind == slash:
		s := c.answerSheet(m)
		if s.text != "" {
			return ack(s.note(""))
		}
		ack(nil)
		return true
	}
	ack(nil)
	return false
}

// answerSheet draws an answer. One that Slack would refuse is better said
// short and plain than not at all.
func (c *Chat) answerSheet(m voice.Message) sheet {
	s := draw(m)
	if err := fits(s); err != nil && s.text != "" {
		c.cfg.Log.Error("an answer was cut short", "err", err)
		return sheet{text: cut(s.text, textLimit)}
	}
	return s
}

// say answers an ask after it was acknowledged: what was said to all is
// answered where it was said, everything else privately.
func (c *Chat) say(a ask, m voice.Message) {
	s := c.answerSheet(m)
	if s.text == "" {
		return
	}
	ctx, cancel := context.WithTimeout(c.life, sayLimit)
	defer cancel()
	for try := 1; ; try++ {
		err := c.sayOnce(ctx, a, s)
		if err == nil {
			return
		}
		r, ok := errors.AsType[*runner.Refusal](err)
		again := ok && r.Retry && !r.Unsure && try < sayTries
		if !again || !pause(ctx, max(r.After, time.Duration(try)*time.Second)) {
			c.cfg.Log.Warn("an answer was not delivered", "kind", a.kind, "attempt", try, "err", err)
			return
		}
	}
}

func (c *Chat) sayOnce(ctx context.Context, a ask, s sheet) error {
	spoken := a.kind == mention || a.kind == thread || a.kind == direct || a.kind == edit
	switch {
	case a.replyURL != "":
		return c.whisper(ctx, a.replyURL, s.note(a.thread))
	case a.channel != "" && (spoken || a.private):
		_, err := c.post(ctx, a.channel, a.thread, s)
		return err
	case a.channel != "":
		err := c.ephemeral(ctx, a.channel, a.user, a.thread, s)
		if r, ok := errors.AsType[*runner.Refusal](err); !ok || !elsewhere[r.Reason] {
			return err
		}
	}
	// Slack opens the direct message itself when it is given a person.
	_, err := c.post(ctx, a.user, "", s)
	return err
}

// elsewhere is why an answer is better said to the person directly: they or we
// are not in the channel.
var elsewhere = map[string]bool{channelGone: true, notInChannel: true, personGone: true, refused: true}

// note is an answer as Slack takes it in the response to a slash command and
// at a response_url: seen only by the one who asked.
type note struct {
	Type    string        `json:"response_type"`
	Replace bool          `json:"replace_original"`
	Text    string        `json:"text"`
	Blocks  []slack.Block `json:"blocks,omitempty"`
	Thread  string        `json:"thread_ts,omitempty"`
}

func (s sheet) note(thread string) note {
	return note{Type: slack.ResponseTypeEphemeral, Text: s.text, Blocks: s.blocks, Thread: thread}
}

// whisper sends an answer to a response_url. The library's own sender adds
// empty fields and puts the answer's body into its errors.
func (c *Chat) whisper(ctx context.Context, where string, n note) error {
	body, err := json.Marshal(n)
	if err != nil {
		return &runner.Refusal{Reason: badMessage, Err: err}
	}
	return c.call(ctx, "response_url", func(ctx context.Context) error {
		// The address is a secret, since whoever has it can answer: no error
		// may name it.
		if u, err := url.Parse(where); err != nil || u.Host == "" {
			return errNoURL
		}
		req, err := http.NewRequestWithContext(ctx, http.MethodPost, where, bytes.NewReader(body))
		if err != nil {
			return errNoURL
		}
		req.Header.Set("Content-Type", "application/json; charset=utf-8")
		res, err := c.cfg.Client.Do(req)
		if err != nil {
			return err
		}
		defer res.Body.Close()
		if res.StatusCode == http.StatusTooManyRequests {
			if seconds, err := strconv.Atoi(res.Header.Get("Retry-After")); err == nil {
				return &slack.RateLimitedError{RetryAfter: time.Duration(seconds) * time.Second}
			}
		}
		if res.StatusCode != http.StatusOK {
			return slack.StatusCodeError{Code: res.StatusCode, Status: res.Status}
		}
		return nil
	})
}

var errNoURL = errors.New("no usable response_url")

// pause waits, and says whether ctx lasted.
func pause(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-timer.C:
		return true
	case <-ctx.Done():
		return false
	}
}
