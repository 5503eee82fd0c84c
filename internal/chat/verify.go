package chat

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// window is how far a request's timestamp may lie from our clock, either way:
// Slack's own figure for the past; the future gets no more.
const window = 5 * time.Minute

var (
	errUnsigned = errors.New("no signature")
	errForged   = errors.New("wrong signature")
	errStale    = errors.New("signed at another time than ours")
)

// verify checks Slack's v0 signature over the raw body, and gives the time
// that was signed with it. The signature is looked at before the time, so that
// errStale tells of a genuine request: a clock is wrong, or it is a replay.
func verify(secret string, h http.Header, body []byte, now time.Time) (time.Time, error) {
	stamp, signature := h.Get("X-Slack-Request-Timestamp"), h.Get("X-Slack-Signature")
	// An empty secret would let anybody sign.
	if secret == "" || stamp == "" || signature == "" {
		return time.Time{}, errUnsigned
	}
	given, err := hex.DecodeString(strings.TrimPrefix(signature, "v0="))
	if err != nil || !strings.HasPrefix(signature, "v0=") {
		return time.Time{}, errForged
	}
	mac := hmac.New(sha256.New, []byte(secret))
	mac.Write([]byte("v0:" + stamp + ":"))
	mac.Write(body)
	if !hmac.Equal(given, mac.Sum(nil)) {
		return time.Time{}, errForged
	}
	seconds, err := strconv.ParseInt(stamp, 10, 64)
	if err != nil {
		return time.Time{}, errForged
	}
	at := time.Unix(seconds, 0)
	if off := now.Sub(at); off > window || off < -window {
		return time.Time{}, fmt.Errorf("%w: %s apart", errStale, off.Round(time.Second))
	}
	return at, nil
}
