package hatch

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"ventbell/internal/door"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// Why the server took no message, beside the reasons for no answer: fit for a metric's label and
// in the words that every door uses.
const (
	rateLimited = "ratelimited"
	serverError = "server error" // the server's own trouble
	messageGone = "message gone"
	channelGone = "channel gone" // it has no webhook, or the webhook leads nowhere
	notAllowed  = "not allowed"
	badMessage  = "bad message" // our mistake
	refused     = "refused"     // anything else
)

const (
	unsaid = 5 * time.Second  // to wait after a "slow down" that names no time
	cure   = 30 * time.Second // to wait for a person to do something about it
)

var errFixed = errors.New("what was posted here stays as it is")

// Can says what the server can do.
func (h *Hatch) Can() voice.Can { return voice.Can{Longest: longest} }

// Post shows a message in the channel of its lane. A direct one is shown in
// its kitchen's channel, with the name in front.
func (h *Hatch) Post(ctx context.Context, p runner.Posting) (runner.Posted, error) {
	channel, front := p.Lane, ""
	if id, direct := strings.CutPrefix(p.Lane, "@"); direct {
		channel, front = h.home(p.Kitchen), ring(h.name(id))+": "
	}
	if err := h.post(ctx, channel, text(front, p.Message, "")); err != nil {
		return runner.Posted{}, err
	}
	return runner.Posted{Channel: channel}, nil // where in it the server does not say
}

// Update cannot be done.
func (h *Hatch) Update(context.Context, string, string, voice.Message) error {
	return &runner.Refusal{Reason: messageGone, Gone: true, Err: errFixed}
}

// home gives the channel of a kitchen; of an unknown one that of any, since a
// message to one person is better seen by others than by nobody.
func (h *Hatch) home(kitchen string) string {
	if channel, known := h.cfg.Homes[kitchen]; known {
		return channel
	}
	for _, channel := range h.cfg.Homes {
		return channel
	}
	return ""
}

// post sends text to a channel's webhook.
func (h *Hatch) post(ctx context.Context, channel, text string) error {
	where, known := h.cfg.Webhooks[channel]
	if !known {
		// Somebody may add one: a call to vent is worth waiting for that.
		return &runner.Refusal{
			Reason: channelGone, Retry: true, After: cure, Stuck: true, Err: fmt.Errorf("channel %q has no webhook", channel),
		}
	}
	return h.send(ctx, "webhook", where, struct {
		Text string `json:"text"`
	}{text})
}

// sayLimit is for telling one outcome.
const sayLimit = 30 * time.Second

// tell says the outcome of an order to whom nothing could be answered yet:
// where the server asked for it, else in the channel, by name.
func (h *Hatch) tell(o order, m voice.Message) {
	if len(m.Lines) == 0 {
		return
	}
	ctx, cancel := context.WithTimeout(h.life, sayLimit)
	defer cancel()
	var err error
	// Only where messages go anyway: an address that came in from outside must
	// not make us call anything else in the house's network.
	if u, bad := url.Parse(o.replyURL); bad == nil && h.hosts[u.Host] {
		err = h.send(ctx, "response_url", o.replyURL, note{"ephemeral", text("", m, o.command)})
	} else {
		err = h.post(ctx, o.channel, text(ring(o.by.Name)+": ", m, o.command))
	}
	if err != nil {
		h.cfg.Log.Warn("an answer was not delivered", "kind", slash, "err", err)
	}
}

// send posts one JSON document, counts it, and turns a failure into a
// *runner.Refusal.
func (h *Hatch) send(ctx context.Context, method, where string, document any) error {
	body, err := json.Marshal(document)
	if err != nil {
		return &runner.Refusal{Reason: badMessage, Err: err}
	}
	ctx, sent := door.Watch(ctx)
	began := time.Now()
	r := h.deliver(ctx, where, body, sent)
	if r == nil {
		h.cfg.Metrics.Called(method, "ok", time.Since(began))
		return nil
	}
	h.cfg.Metrics.Called(method, r.Reason, time.Since(began))
	return r
}

func (h *Hatch) deliver(ctx context.Context, where string, body []byte, sent func() bool) *runner.Refusal {
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, where, bytes.NewReader(body))
	if err != nil {
		return &runner.Refusal{Reason: refused, Err: errors.New("no usable address")} // err would name it
	}
	req.Header.Set("Content-Type", "application/json; charset=utf-8")
	res, err := h.cfg.Client.Do(req)
	if err != nil {
		return door.NoAnswer(err, sent())
	}
	defer res.Body.Close()
	_, _ = io.CopyN(io.Discard, res.Body, bodyLimit) // so that the connection can be used again
	return refuseStatus(res)
}

// refuseStatus says what to do about an answer; nil = it was taken.
func refuseStatus(res *http.Response) *runner.Refusal {
	r := &runner.Refusal{Reason: refused, Err: fmt.Errorf("the server says %s", res.Status)}
	switch code := res.StatusCode; {
	case code >= 200 && code < 300:
		return nil
	case code == http.StatusTooManyRequests:
		r.Reason, r.Retry, r.After = rateLimited, true, unsaid
		if seconds, err := strconv.Atoi(res.Header.Get("Retry-After")); err == nil {
			r.After = time.Duration(max(seconds, 0)) * time.Second
		}
	case code == http.StatusUnauthorized, code == http.StatusForbidden:
		r.Reason, r.Retry, r.After, r.Stuck = notAllowed, true, cure, true
	case code == http.StatusNotFound, code == http.StatusGone, code < 400:
		r.Reason, r.Retry, r.After, r.Stuck = channelGone, true, cure, true
	case code == http.StatusBadRequest, code == http.StatusRequestEntityTooLarge:
		r.Reason = badMessage
	case code >= 500:
		r.Reason, r.Retry, r.Unsure = serverError, true, true
	}
	return r
}
