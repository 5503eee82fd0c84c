package chat

import (
	"errors"
	"net/http"
	"testing"
	"time"
)

// Slack's published example: docs.slack.dev, "Verifying requests from Slack".
const (
	exampleSecret    = "8f742231b10e8888abcd99yyyzzz85a5"
	exampleStamp     = "1531420618"
	exampleBody      = "token=xyzz0WbapA4vBCDEFasx0q6G&team_id=T1DC2JH3J&team_domain=testteamnow&channel_id=G8PSS9T3V&channel_name=foobar&user_id=U2CERLKJA&user_name=roadrunner&command=%2Fwebhook-collect&text=&response_url=https%3A%2F%2Fhooks.slack.com%2Fcommands%2FT1DC2JH3J%2F397700885554%2F96rGlfmibIGlgcZRskXaIFfN&trigger_id=398738663015.47445629121.803a0bc887a14d10d2c447fce8b6703c"
	exampleSignature = "v0=a2114d57b48eac39b9ad189dd8316235a7b4a8d21a10bd27519666489c69b503"
)

func exampleHeader() http.Header {
	h := http.Header{}
	h.Set("X-Slack-Request-Timestamp", exampleStamp)
	h.Set("X-Slack-Signature", exampleSignature)
	return h
}

func TestVerifyAcceptsSlacksPublishedExample(t *testing.T) {
	t.Parallel()
	at, err := verify(exampleSecret, exampleHeader(), []byte(exampleBody), time.Unix(1531420620, 0))
	if err != nil || at.Unix() != 1531420618 {
		t.Errorf("verify = %v, %v", at, err)
	}
}

func TestVerifyRefuses(t *testing.T) {
	t.Parallel()
	signed := time.Unix(1531420618, 0)
	for name, tc := range map[string]struct {
		secret string
		change func(http.Header)
		body   string
		now    time.Time
		want   error
	}{
		"another secret":       {secret: "8f742231b10e8888abcd99yyyzzz85a", want: errForged},
		"an empty secret":      {secret: "-", want: errUnsigned},
		"a changed body":       {body: exampleBody + "&text=scrap", want: errForged},
		"no timestamp":         {change: func(h http.Header) { h.Del("X-Slack-Request-Timestamp") }, want: errUnsigned},
		"no signature":         {change: func(h http.Header) { h.Del("X-Slack-Signature") }, want: errUnsigned},
		"another timestamp":    {change: func(h http.Header) { h.Set("X-Slack-Request-Timestamp", "1531420619") }, want: errForged},
		"another version":      {change: func(h http.Header) { h.Set("X-Slack-Signature", "v1="+exampleSignature[3:]) }, want: errForged},
		"no version":           {change: func(h http.Header) { h.Set("X-Slack-Signature", exampleSignature[3:]) }, want: errForged},
		"half a signature":     {change: func(h http.Header) { h.Set("X-Slack-Signature", exampleSignature[:35]) }, want: errForged},
		"no hexadecimal":       {change: func(h http.Header) { h.Set("X-Slack-Signature", "v0=zz") }, want: errForged},
		"more than 5 min old":  {now: signed.Add(5*time.Minute + time.Second), want: errStale},
		"more than 5 min soon": {now: signed.Add(-5*time.Minute - time.Second), want: errStale},
		"just 5 min old":       {now: signed.Add(5 * time.Minute)},
		"just 5 min soon":      {now: signed.Add(-5 * time.Minute)},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			h, secret, body, now := exampleHeader(), exampleSecret, exampleBody, signed
			if tc.change != nil {
				tc.change(h)
			}
			if tc.secret != "" {
				secret = tc.secret
			}
			if tc.secret == "-" {
				secret = ""
			}
			if tc.body != "" {
				body = tc.body
			}
			if !tc.now.IsZero() {
				now = tc.now
			}
			if _, err := verify(secret, h, []byte(body), now); !errors.Is(err, tc.want) {
				t.Errorf("verify gives %v, want %v", err, tc.want)
			}
		})
	}
}

func TestVerifyRefusesAnEmptySecretEvenWhenSignedWithIt(t *testing.T) {
	t.Parallel()
	now := time.Now()
	req := signedRequest("/slack/commands", formType, "a=b", "", now)
	if _, err := verify("", req.Header, []byte("a=b"), now); !errors.Is(err, errUnsigned) {
		t.Errorf("verify gives %v, want %v", err, errUnsigned)
	}
}
