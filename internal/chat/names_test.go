package chat

import (
	"net/http"
	"testing"
	"testing/synctest"
	"time"
)

func TestANameIsAskedOnceAndKept(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	for range 2 {
		if got := r.name(t.Context(), ask{user: "W0BAR1"}); got != "bar-1" { // an id of a larger organisation
			t.Errorf("name %q", got)
		}
	}
	// The first name stays, whichever way its person comes in.
	if got := r.name(t.Context(), ask{user: "W0BAR1", name: "b1"}); got != "bar-1" {
		t.Errorf("name %q", got)
	}
	if calls := r.slack.to("users.info"); len(calls) != 1 {
		t.Errorf("asked %d times", len(calls))
	}
}

func TestWithoutTheScopeNamesAreNotAskedAgain(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.slack.answer = func(call) (int, string) { return http.StatusOK, slackSays("missing_scope") }
	for _, user := range []string{"U1", "U2", "U1"} {
		if got := r.name(t.Context(), ask{user: user}); got != user {
			t.Errorf("name %q", got)
		}
	}
	if calls := r.slack.to("users.info"); len(calls) != 1 {
		t.Errorf("asked %d times", len(calls))
	}
}

func TestANameThatIsNotToldIsAskedAgainLater(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t)
		r.slack.answer = func(call) (int, string) { return http.StatusServiceUnavailable, "<html>" }
		for range 3 {
			if got := r.name(t.Context(), ask{user: bar1}); got != bar1 {
				t.Errorf("name %q", got)
			}
		}
		if calls := r.slack.to("users.info"); len(calls) != 1 {
			t.Errorf("asked %d times", len(calls))
		}
		time.Sleep(askAgain)
		r.slack.answer = nil
		if got := r.name(t.Context(), ask{user: bar1}); got != "bar-1" {
			t.Errorf("name %q", got)
		}
	})
}
