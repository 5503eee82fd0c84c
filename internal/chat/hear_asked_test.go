package chat

import (
	"context"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"ventbell/internal/kitchen"
)

// A question that stands in the outbox is not said a second time: that copy could
// not be worded anew.
func TestAKeptQuestionIsAskedOnlyWhereItCanBeEdited(t *testing.T) {
	t.Parallel()
	for name, say := range map[string]func(r *rig) *httptest.ResponseRecorder{
		"typed":     func(r *rig) *httptest.ResponseRecorder { return r.command("start gin 400ml") },
		"mentioned": func(r *rig) *httptest.ResponseRecorder { return r.event(mentioned("start gin 400ml")) },
		"tapped":    func(r *rig) *httptest.ResponseRecorder { return r.press("0.0.0. start gin 400ml") },
	} {
		for _, asked := range []uint16{0, 1} {
			r := newRig(t)
			r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
				return kitchen.Answer{Kind: kitchen.Unclear, Asked: asked, Line: "which gin", Private: true}, nil
			}
			w := say(r)
			r.close(t)
			heard := strings.Contains(w.Body.String(), "which gin") || slices.Contains(r.slack.said(), "which gin")
			if w.Code != http.StatusOK || heard != (asked == 0) {
				t.Errorf("%s, kept as %d: status %d, body %q, said %q", name, asked, w.Code, w.Body, r.slack.said())
			}
		}
	}
}

func mentioned(text string) string {
	return `"type":"app_mention","channel":"C0BENCH","user":"U0BAR1","text":"<@U0BOT> ` + text + `","ts":"1764000200.000300","event_ts":"1764000200.000300"`
}
