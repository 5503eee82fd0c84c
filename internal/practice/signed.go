package practice

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"
)

// maxRedirects is how many redirects are followed; docs.slack.dev, Events API.
const maxRedirects = 2

var errRedirects = errors.New("too many redirects")

// Sign gives the X-Slack-Signature (version v0) of a body sent at a time.
// Source: docs.slack.dev, Verifying requests from Slack.
func Sign(secret string, at time.Time, body []byte) string {
	mac := hmac.New(sha256.New, []byte(secret))
	fmt.Fprintf(mac, "v0:%d:%s", at.Unix(), body)
	return "v0=" + hex.EncodeToString(mac.Sum(nil))
}

// body gives a parcel's HTTP body, its content type and where it goes.
func (r *Room) body(p parcel) (body []byte, contentType, to string, err error) {
	const form = "application/x-www-form-urlencoded"
	switch p.kind {
	case kindCommand:
		values := url.Values{}
		for name, v := range p.payload {
			values.Set(name, fmt.Sprint(v))
		}
		return []byte(values.Encode()), form, r.cfg.CommandURL, nil
	case kindTap:
		raw, err := json.Marshal(p.payload)
		return []byte(url.Values{"payload": {string(raw)}}.Encode()), form, r.cfg.ActionURL, err
	}
	body, err = json.Marshal(p.payload)
	return body, "application/json", r.cfg.RequestURL, err
}

// signed makes a signed request.
func (r *Room) signed(ctx context.Context, to, contentType string, body []byte) (*http.Request, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, to, strings.NewReader(string(body)))
	if err != nil {
		return nil, err
	}
	now := r.cfg.Clock.Now()
	req.Header.Set("Content-Type", contentType)
	req.Header.Set("X-Slack-Request-Timestamp", strconv.FormatInt(now.Unix(), 10))
	req.Header.Set("X-Slack-Signature", Sign(r.cfg.SigningSecret, now, body))
	return req, nil
}

// newClient makes a client that opens a connection for each request, so that a
// service that was restarted is never met on an old one.
func newClient() *http.Client {
	return &http.Client{
		Transport: &http.Transport{DisableKeepAlives: true},
		CheckRedirect: func(_ *http.Request, via []*http.Request) error {
			if len(via) > maxRedirects {
				return errRedirects
			}
			return nil
		},
	}
}

// overHTTP sends a parcel as a signed request. It gives the answer's body as
// Socket Mode has it: a plain text becomes the text of a message.
func (r *Room) overHTTP(ctx context.Context, p parcel, attempt int, reason string) (json.RawMessage, *failure) {
	ctx, cancel := context.WithTimeout(ctx, r.cfg.AckWithin)
	defer cancel()
	body, contentType, to, err := r.body(p)
	if err != nil {
		return nil, &failure{reason: "unknown_error", final: true, err: err}
	}
	req, err := r.signed(ctx, to, contentType, body)
	if err != nil {
		return nil, &failure{reason: "unknown_error", final: true, err: err}
	}
	if attempt > 0 {
		req.Header.Set("X-Slack-Retry-Num", strconv.Itoa(attempt))
		req.Header.Set("X-Slack-Retry-Reason", reason)
	}
	resp, err := r.client.Do(req)
	if err != nil {
		return nil, failed(err)
	}
	defer func() { _ = resp.Body.Close() }()
	answer, err := io.ReadAll(io.LimitReader(resp.Body, maxBody))
	if err != nil {
		return nil, failed(err)
	}
	if resp.StatusCode < 200 || resp.StatusCode > 299 {
		return nil, &failure{
			reason: "http_error", final: resp.Header.Get("X-Slack-No-Retry") == "1",
			err: fmt.Errorf("the service answered %s", resp.Status),
		}
	}
	kind, _, _ := mime.ParseMediaType(resp.Header.Get("Content-Type"))
	if kind == "application/json" || len(answer) == 0 {
		return answer, nil
	}
	text, err := json.Marshal(fields{"text": string(answer)})
	if err != nil {
		return nil, &failure{reason: "unknown_error", err: err}
	}
	return text, nil
}

// failed sorts a failed request by Slack's words for why.
func failed(err error) *failure {
	f := &failure{reason: "connection_failed", err: fmt.Errorf("%w: %w", ErrNobody, err)}
	var slow net.Error
	switch {
	case errors.Is(err, errRedirects):
		f.reason, f.err = "too_many_redirects", err
	case errors.Is(err, context.Canceled):
		f.final, f.err = true, err
	case errors.As(err, &slow) && slow.Timeout():
		f.reason, f.err = "http_timeout", ErrNotAnswered
	}
	return f
}

// VerifyURL does what Slack does when a request URL is entered: it sends a
// signed challenge and looks for it in the answer.
func (r *Room) VerifyURL(ctx context.Context) error {
	const challenge = "practice-challenge-3eZbrw1aB1"
	body, err := json.Marshal(fields{"token": "practice", "challenge": challenge, "type": "url_verification"})
	if err != nil {
		return err
	}
	req, err := r.signed(ctx, r.cfg.RequestURL, "application/json", body)
	if err != nil {
		return fmt.Errorf("verify request URL: %w", err)
	}
	resp, err := r.client.Do(req)
	if err != nil {
		return fmt.Errorf("verify request URL: %w", err)
	}
	defer func() { _ = resp.Body.Close() }()
	answer, err := io.ReadAll(io.LimitReader(resp.Body, maxBody))
	if err != nil {
		return fmt.Errorf("verify request URL: %w", err)
	}
	if resp.StatusCode != http.StatusOK || !strings.Contains(string(answer), challenge) {
		return fmt.Errorf("verify request URL: answer %s without the challenge", resp.Status)
	}
	return nil
}
