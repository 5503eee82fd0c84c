package app

import (
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"ventbell/internal/chat"
	"ventbell/internal/metrics"
	"ventbell/internal/runner"
)

// A series that is not there from the start has no rate when it first matters.
func TestTheMetricsKnowEveryWordOfTheRooms(t *testing.T) {
	t.Parallel()
	m := metrics.New(metrics.Config{
		Open: func() (map[string]int, error) { return nil, nil }, LastHeard: func() time.Time { return time.Time{} },
	})
	w := httptest.NewRecorder()
	m.Handler().ServeHTTP(w, httptest.NewRequest("GET", "/metrics", nil))
	page := w.Body.String()
	want := func(series string) {
		t.Helper()
		if !strings.Contains(page, "\n"+series+" 0\n") {
			t.Errorf("no series %s", series)
		}
	}
	methods := append([]string{"webhook", "response_url"}, "auth.test", "apps.connections.open", "views.open", "views.publish")
	for _, s := range scopes() {
		for _, method := range s.methods {
			if method != "conversations.info" { // only `check` asks that
				methods = append(methods, method)
			}
		}
	}
	for _, method := range methods {
		for _, reason := range append(chat.Reasons(), "ok") {
			want(`ventbell_slack_calls_total{method="` + method + `",outcome="` + reason + `"}`)
		}
	}
	for _, reason := range chat.Stuck() {
		want(`ventbell_slack_trouble{reason="` + reason + `"}`)
	}
	for _, outcome := range runner.Outcomes() {
		want(`ventbell_calls_total{kind="vent",outcome="` + outcome + `"}`)
	}
}
