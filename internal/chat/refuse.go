package chat

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/slack-go/slack"

	"ventbell/internal/door"
	"ventbell/internal/runner"
)

// Why Slack took no message: the whole list, fit for a metric's label.
const (
	rateLimited = "ratelimited"
	serverError = "server error" // Slack's own trouble
	unclear     = "unclear"      // an answer that says neither yes nor no

	messageGone  = "message gone"
	editClosed   = "edit closed"   // the workspace takes edits for a time only
	threadClosed = "thread closed" // it takes no replies
	tooLate      = "too late"      // what a form is opened with lives for three seconds
	badMessage   = "bad message"   // too long, or wrongly built: our mistake
	badTime      = "bad time"      // to be posted in the past, or too far ahead

	// These end only when somebody does something about them.
	channelArchived = "channel archived"
	channelGone     = "channel gone" // or a private one that the bot is not in
	notInChannel    = "not in channel"
	personGone      = "person gone"
	tokenRefused    = "token refused" // revoked, expired, or never right
	scopeMissing    = "scope missing"
	notAllowed      = "not allowed" // the app: its settings, or who may use it
	restricted      = "restricted"  // posting here is for some only, or for nobody

	refused = "refused" // anything else
)

// Reasons gives every reason that a Refusal of this room can have.
func Reasons() []string {
	return append(Stuck(),
		rateLimited, door.Unreachable, door.Timeout, door.Reset, door.Stopped, serverError, unclear,
		messageGone, editClosed, threadClosed, tooLate, badMessage, badTime, refused)
}

// Stuck gives the reasons that waiting does not mend.
func Stuck() []string {
	return []string{
		channelArchived, channelGone, notInChannel, personGone,
		tokenRefused, scopeMissing, notAllowed, restricted,
	}
}

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
		r.Err = codeSaid(answer)
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
	return door.NoAnswer(err, sent)
}

// codeSaid gives Slack's code and, where a scope is missing, which; what else
// stands beside it may repeat what people wrote.
func codeSaid(answer slack.SlackErrorResponse) error {
	if answer.Err == "missing_scope" && answer.Needed != "" {
		return fmt.Errorf("missing_scope: %s is needed", answer.Needed)
	}
	return errors.New(answer.Err)
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
// for good. Source of the codes: github.com/slack-ruby/slack-api-ref, methods
// (a daily copy of Slack's reference), as of August 2026.
func refuseCode(code string) *runner.Refusal {
	if reason := stuckReason(code); reason != "" {
		// Waiting loses nothing: a call to vent is still there when it is mended.
		return &runner.Refusal{Reason: reason, Retry: true, After: cure, Stuck: true}
	}
	switch code {
	case "ratelimited", "rate_limited", "restricted_too_many":
		return &runner.Refusal{Reason: rateLimited, Retry: true, After: unsaid}
	case "message_not_found", "cant_update_message", "invalid_scheduled_message_id":
		return &runner.Refusal{Reason: messageGone, Gone: true}
	case "edit_window_closed":
		return &runner.Refusal{Reason: editClosed, Gone: true}
	case "cannot_reply_to_message", "thread_not_found",
		"restricted_action_thread_locked", "restricted_action_non_threadable_channel":
		return &runner.Refusal{Reason: threadClosed}
	case "expired_trigger_id", "exchanged_trigger_id", "invalid_trigger_id":
		return &runner.Refusal{Reason: tooLate}
	case "time_in_past", "time_too_far", "invalid_time":
		return &runner.Refusal{Reason: badTime}
	case "msg_too_long", "msg_blocks_too_long", "no_text", "invalid_blocks", "invalid_blocks_format", "block_mismatch",
		"invalid_arguments", "invalid_arg_name", "invalid_form_data", "view_too_large",
		"metadata_too_large", "invalid_metadata_format", "invalid_metadata_schema":
		return &runner.Refusal{Reason: badMessage}
	case "internal_error", "fatal_error", "update_failed":
		// Slack says of these that part of the call may have succeeded.
		return &runner.Refusal{Reason: serverError, Retry: true, Unsure: true}
	case "service_unavailable", "request_timeout", "team_added_to_org", "org_login_required", "external_channel_migrating":
		return &runner.Refusal{Reason: serverError, Retry: true}
	}
	return &runner.Refusal{Reason: refused}
}

// stuckReason is for the codes behind which a person must act; empty for all
// others.
func stuckReason(code string) string {
	switch code {
	case "is_archived", "is_inactive":
		return channelArchived
	case "channel_not_found":
		return channelGone
	case "not_in_channel":
		return notInChannel
	case "user_not_found", "users_not_found", "user_disabled", "user_not_visible", "user_not_in_channel", "cannot_dm_bot":
		return personGone
	case "invalid_auth", "not_authed", "account_inactive", "token_revoked", "token_expired",
		"invalid_token", "bad_token", "not_allowed_token_type":
		return tokenRefused
	case "missing_scope":
		return scopeMissing
	case "no_permission", "access_denied", "accesslimited", "app_access_restricted", "enterprise_is_restricted",
		"messages_tab_disabled", "not_enabled":
		return notAllowed
	case "restricted_action", "restricted_action_read_only_channel", "restricted_action_thread_only_channel",
		"ekm_access_denied", "message_limit_exceeded":
		return restricted
	}
	return ""
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
