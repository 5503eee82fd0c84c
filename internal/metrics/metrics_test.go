package metrics

import (
	"errors"
	"flag"
	"fmt"
	"maps"
	"net/http/httptest"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/prometheus/client_golang/prometheus/testutil"

	"ventbell/internal/kitchen"
)

var update = flag.Bool("update", false, "write the golden file anew")

func counted() *Metrics {
	return New(Config{
		Phases:      []string{"resting", "venting"},
		Open:        func() (map[string]int, error) { return map[string]int{"resting": 3}, nil },
		LastHeard:   func() time.Time { return time.UnixMilli(1_764_000_000_500) },
		SocketHeard: func() []time.Time { return []time.Time{time.UnixMilli(1_764_000_001_500), {}} },
	})
}

// read gives what a scrape gives.
func read(t *testing.T, m *Metrics) string {
	t.Helper()
	w := httptest.NewRecorder()
	m.Handler().ServeHTTP(w, httptest.NewRequest("GET", "/metrics", nil))
	if w.Code != 200 {
		t.Fatalf("status %d: %s", w.Code, w.Body)
	}
	return w.Body.String()
}

func wantLines(t *testing.T, got string, lines ...string) {
	t.Helper()
	for _, line := range lines {
		if !strings.Contains(got, "\n"+line+"\n") {
			name, _, _ := strings.Cut(line, "{")
			t.Errorf("no line %q among:\n%s", line, grep(got, strings.Fields(name)[0]))
		}
	}
}

func grep(text, word string) string {
	var found []string
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, word) {
			found = append(found, line)
		}
	}
	return strings.Join(found, "")
}

// The names follow the rules that the client library's own linter checks.
func TestNamesPassTheLinter(t *testing.T) {
	t.Parallel()
	problems, err := testutil.GatherAndLint(counted().registry)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range problems {
		if strings.HasPrefix(p.Metric, "ventbell_") {
			t.Errorf("%s: %s", p.Metric, p.Text)
		}
	}
}

// Dashboards and alert rules lean on names, labels and label values alike.
func TestNamesAndLabelsAreAsWritten(t *testing.T) {
	t.Parallel()
	const golden = "testdata/names.golden"
	got := names(t, counted())
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("names and labels (-want +got; -update writes them anew):\n%s", diff)
	}
}

// names lists our metrics, a line each, and below it each label's values.
func names(t *testing.T, m *Metrics) string {
	t.Helper()
	families, err := m.registry.Gather()
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, f := range families {
		if !strings.HasPrefix(f.GetName(), "ventbell_") {
			continue
		}
		fmt.Fprintf(&b, "%s %s\n", f.GetName(), strings.ToLower(f.GetType().String()))
		values := map[string]map[string]bool{}
		for _, metric := range f.GetMetric() {
			for _, l := range metric.GetLabel() {
				if values[l.GetName()] == nil {
					values[l.GetName()] = map[string]bool{}
				}
				values[l.GetName()][l.GetValue()] = true
			}
		}
		for _, label := range slices.Sorted(maps.Keys(values)) {
			if f.GetName() == "ventbell_build_info" {
				fmt.Fprintf(&b, "    %s\n", label)
				continue
			}
			fmt.Fprintf(&b, "    %s: %s\n", label, strings.Join(slices.Sorted(maps.Keys(values[label])), ", "))
		}
	}
	return b.String()
}

func TestEverySeriesStartsAtZero(t *testing.T) {
	t.Parallel()
	wantLines(t, read(t, counted()),
		`ventbell_calls_total{kind="vent",outcome="given_up"} 0`,
		`ventbell_call_lateness_seconds_count{kind="vent"} 0`,
		`ventbell_ring_lateness_seconds_count 0`,
		`ventbell_kitchens_set_aside 0`,
		`ventbell_slack_calls_total{method="chat.postMessage",outcome="ratelimited"} 0`,
		`ventbell_slack_seconds_count{method="chat.update"} 0`,
		`ventbell_ledger_seconds_count{op="commit",outcome="stale"} 0`,
		`ventbell_requests_total{outcome="late",way="slash"} 0`,
		`ventbell_batches_open{phase="venting"} 0`,
		`ventbell_slack_trouble{reason="token refused"} 0`,
	)
}

func TestWhatIsReportedIsRead(t *testing.T) {
	t.Parallel()
	m := counted()
	m.Carried(kitchen.VentCall, "delivered")
	m.Carried(kitchen.VentCall, "delivered")
	m.Late(kitchen.VentCall, 400*time.Millisecond)
	m.Rang(3 * time.Millisecond)
	m.SetAside(2)
	m.Called("chat.postMessage", "ok", 120*time.Millisecond)
	m.Heard("tap", "ok")
	m.Operation("commit", "ok", 2*time.Millisecond)
	m.Trouble("channel archived", 2)
	wantLines(t, read(t, m),
		`ventbell_calls_total{kind="vent",outcome="delivered"} 2`,
		`ventbell_call_lateness_seconds_bucket{kind="vent",le="0.25"} 0`,
		`ventbell_call_lateness_seconds_bucket{kind="vent",le="0.5"} 1`,
		`ventbell_ring_lateness_seconds_sum 0.003`,
		`ventbell_kitchens_set_aside 2`,
		`ventbell_slack_calls_total{method="chat.postMessage",outcome="ok"} 1`,
		`ventbell_slack_seconds_sum{method="chat.postMessage"} 0.12`,
		`ventbell_requests_total{outcome="ok",way="tap"} 1`,
		`ventbell_ledger_seconds_sum{op="commit",outcome="ok"} 0.002`,
		`ventbell_batches_open{phase="resting"} 3`,
		`ventbell_last_heard_timestamp_seconds 1.7640000005e+09`,
		`ventbell_socket_heard_timestamp_seconds{line="0"} 1.7640000015e+09`,
		`ventbell_socket_heard_timestamp_seconds{line="1"} 0`,
		`ventbell_slack_trouble{reason="channel archived"} 2`,
	)
}

func TestWhatCannotBeCountedDoesNotHideTheRest(t *testing.T) {
	t.Parallel()
	got := read(t, New(Config{
		Open:      func() (map[string]int, error) { return nil, errors.New("connection refused") },
		LastHeard: func() time.Time { return time.Time{} },
	}))
	wantLines(t, got, `ventbell_kitchens_set_aside 0`, `ventbell_last_heard_timestamp_seconds 0`)
	if strings.Contains(got, "ventbell_batches_open{") {
		t.Error("open batches are given although they could not be counted")
	}
}

func TestTwoServicesInOneProcessCountApart(t *testing.T) {
	t.Parallel()
	one, two := counted(), counted()
	one.SetAside(1)
	wantLines(t, read(t, two), `ventbell_kitchens_set_aside 0`)
}
