package chat

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/slack-go/slack"

	"ventbell/internal/runner"
)

// Why Slack took no message: the whole list, fit for a metric's label.
const (
	rateLimited  = "ratelimited"
	unreachable  = "unreachable" // no connection came about
	timeout      = "timeout"
	reset        = "reset"        // the connection broke
	stopped      = "stopped"      // we stopped waiting ourselves
	serverError  = "server error" // Slack's own trouble
	unclear      = "unclear"      // an answer that says neither yes nor no
	messageGone  = "message gone"
	channelGone  = "channel gone" // or a private one that the bot is not in
	personGone   = "person gone"
	notInChannel = "not in channel"
	notAllowed   = "not allowed" // the token, or one of its scopes
	badMessage   = "bad message" // too long, or wrongly built: our mistake
	refused      = "refused"     // anything else
)

const (
	// unsaid is how long to wait after a "slow down" that names no time. The
	// limit on posting is one message a second in a channel.
	unsaid = 5 * time.Second
	// cure is how long to wait for a person to do something about it: invite
	// the bot, mend a token.
	cure = 30 * time.Second
)

// refuse says what to do about a failed call. sent says that the request may
// have gone out.
func refuse(err error, sent bool) *runner.Refusal {
	if limited, ok := errors.AsType[*slack.RateLimitedError](err); ok {
		return &runner.Refusal{Reason: rateLimited, Retry: true, After: max(limited.RetryAfter, 0), Err: err}
	}
	if _, ok := errors.AsType[*strconv.NumError](err); ok { // the library could not read Retry-After
		return &runner.Refusal{Reason: rateLimited, Retry: true, After: unsaid, Err: err}
	}
	if answer, ok := errors.AsType[slack.SlackErrorResponse](err); ok {
		r := refuseCode(answer.Err)
		r.Err = errors.New(answer.Err) // only Slack's code, not what it says beside it
		return r
	}
	if status, ok := errors.AsType[slack.StatusCodeError](err); ok {
		return refuseStatus(status)
	}
	switch {
	case errors.Is(err, errNoURL):
		return &runner.Refusal{Reason: refused, Err: err}
	case errors.Is(err, errNoID), unreadable(err):
		return &runner.Refusal{Reason: unclear, Retry: true, Unsure: true, Err: err}
	}
	return refuseNet(err, sent)
}

// refuseStatus is for answers by status alone.
func refuseStatus(s slack.StatusCodeError) *runner.Refusal {
	switch {
	case s.Code == http.StatusTooManyRequests:
		return &runner.Refusal{Reason: rateLimited, Retry: true, After: unsaid, Err: s}
	case s.Code >= 500:
		return &runner.Refusal{Reason: serverError, Retry: true, Unsure: true, Err: s}
	}
	return &runner.Refusal{Reason: refused, Err: s}
}

// refuseCode is for Slack's own error codes; those not listed are refusals
// for good.
func refuseCode(code string) *runner.Refusal {
	switch code {
	case "ratelimited", "rate_limited":
		return &runner.Refusal{Reason: rateLimited, Retry: true, After: unsaid}
	case "message_not_found", "cant_update_message", "edit_window_closed":
		return &runner.Refusal{Reason: messageGone, Gone: true}
	case "channel_not_found", "is_archived", "is_inactive":
		// Somebody may open it again or invite the bot: a call to vent is
		// worth waiting for that.
		return &runner.Refusal{Reason: channelGone, Retry: true, After: cure}
	case "user_not_found", "users_not_found", "user_disabled", "cannot_dm_bot", "messages_tab_disabled":
		return &runner.Refusal{Reason: personGone}
	case "not_in_channel":
		return &runner.Refusal{Reason: notInChannel, Retry: true, After: cure}
	case "invalid_auth", "not_authed", "account_inactive", "token_revoked", "token_expired",
		"missing_scope", "no_permission", "access_denied", "ekm_access_denied":
		return &runner.Refusal{Reason: notAllowed, Retry: true, After: cure}
	case "msg_too_long", "msg_blocks_too_long", "no_text", "invalid_blocks", "invalid_blocks_format",
		"invalid_arguments", "invalid_arg_name", "invalid_form_data", "metadata_too_large":
		return &runner.Refusal{Reason: badMessage}
	case "internal_error", "fatal_error":
		// Slack says of these two that part of the call may have succeeded.
		return &runner.Refusal{Reason: serverError, Retry: true, Unsure: true}
	case "service_unavailable", "request_timeout", "team_added_to_org":
		return &runner.Refusal{Reason: serverError, Retry: true}
	}
	return &runner.Refusal{Reason: refused}
}

// refuseNet is for calls that got no answer.
func refuseNet(err error, sent bool) *runner.Refusal {
	timedOut := errors.Is(err, context.DeadlineExceeded)
	if wire, ok := errors.AsType[net.Error](err); ok {
		timedOut = timedOut || wire.Timeout()
	}
	// The outer error names the address, and a response_url is a secret.
	if outer, ok := errors.AsType[*url.Error](err); ok {
		err = outer.Err
	}
	r := &runner.Refusal{Reason: unreachable, Retry: true, Unsure: sent, Err: err}
	switch {
	case errors.Is(err, context.Canceled):
		r.Reason = stopped
	case timedOut:
		r.Reason = timeout
	case sent:
		r.Reason = reset
	}
	return r
}

// unreadable says that an answer came but was not what Slack sends. A call
// that got no answer ends in a *url.Error.
func unreadable(err error) bool {
	if _, ok := errors.AsType[*url.Error](err); ok {
		return false
	}
	_, syntax := errors.AsType[*json.SyntaxError](err)
	_, kind := errors.AsType[*json.UnmarshalTypeError](err)
	return syntax || kind || errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF)
}
