package app_test

import (
	"encoding/json"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"ventbell/internal/app"
	"ventbell/internal/practice"
)

const (
	loadKitchens = 16
	loadClients  = 64
	// loadEvery is how long a client waits before each of its requests: all
	// together they ask a little more than 500 times a second.
	loadEvery = 115 * time.Millisecond
	loadFor   = 60 * time.Second
)

// BenchmarkSignedCommands shows what signed slash commands cost under load:
// the real service over HTTP with a real Redis, 500 commands a second for a
// minute, acknowledged by what the desk has kept, measured by a client outside
// this process (Debian's wrk). A third of the commands change something, a
// third look, a third are refused. Bodies are signed beforehand. An answer
// that is no 200, or a broken connection, fails it.
func BenchmarkSignedCommands(b *testing.B) {
	if _, err := exec.LookPath("wrk"); err != nil {
		b.Skip("wrk is not there")
	}
	a, secret := loaded(b)
	dir := b.TempDir()
	for b.Loop() {
		writeLoad(b, dir, secret)
		out, err := exec.CommandContext(b.Context(), "wrk", "--latency", "-t2", "-c"+strconv.Itoa(loadClients),
			fmt.Sprintf("-d%ds", int(loadFor.Seconds())), "-s", filepath.Join(dir, "load.lua"), "http://"+a.Address()+"/slack/commands").CombinedOutput()
		if err != nil {
			b.Fatalf("wrk: %v\n%s", err, out)
		}
		reportLoad(b, string(out))
	}
}

// loaded starts the service with a batch in vessel A of each of its kitchens.
func loaded(b *testing.B) (*app.App, string) {
	slackDouble := taking(b)
	var kitchens []string
	for i := range loadKitchens {
		kitchens = append(kitchens, fmt.Sprintf("k%d=C%08d", i, i))
	}
	const secret = "a-signing-secret"
	o, err := app.ReadOptions([]string{
		"VENTBELL_LEDGER=" + startRedis(b, "--appendfsync", "everysec"), "VENTBELL_TRANSPORT=http", "VENTBELL_BOT_TOKEN=xoxb-load",
		"VENTBELL_SIGNING_SECRET=" + secret, "VENTBELL_SLACK_API=" + slackDouble, "VENTBELL_LISTEN=127.0.0.1:0",
		"VENTBELL_KITCHENS=" + strings.Join(kitchens, ";"),
	})
	if err != nil {
		b.Fatal(err)
	}
	a, err := app.New(b.Context(), o, slog.New(slog.DiscardHandler))
	if err != nil {
		b.Fatal(err)
	}
	stopped := make(chan error, 1)
	go func() { stopped <- a.Run(b.Context()) }()
	b.Cleanup(func() {
		if err := <-stopped; err != nil {
			b.Error(err)
		}
	})
	for i := range loadKitchens {
		body := commandBody(i, 0, "start rhubarb gin 400ml in A")
		req, _ := http.NewRequestWithContext(b.Context(), http.MethodPost, "http://"+a.Address()+"/slack/commands", strings.NewReader(body))
		req.Header = signedHeader(secret, body)
		res, err := http.DefaultClient.Do(req)
		if err != nil || res.StatusCode != http.StatusOK {
			b.Fatalf("start in kitchen %d: %v, %v", i, res, err)
		}
		res.Body.Close()
	}
	return a, secret
}

// taking is a Slack that takes everything; it gives its address.
func taking(b *testing.B) string {
	var n atomic.Int64
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/json")
		_ = json.NewEncoder(w).Encode(map[string]any{
			"ok": true, "channel": r.FormValue("channel"), "ts": fmt.Sprintf("1764000000.%06d", n.Add(1)),
			"user_id": "U00000000", "user": map[string]string{"id": r.FormValue("user"), "name": "hand"},
		})
	}))
	b.Cleanup(s.Close)
	return s.URL + "/api/"
}

// commandBody is a slash command as a form; n tells it from all others.
func commandBody(kitchen, n int, line string) string {
	return url.Values{
		"command": {"/bell"}, "text": {line}, "channel_id": {fmt.Sprintf("C%08d", kitchen)}, "channel_name": {"prep"},
		"user_id": {fmt.Sprintf("U%08d", n%7+1)}, "user_name": {fmt.Sprintf("hand-%d", n%7+1)}, "team_id": {"T1"},
		"trigger_id": {fmt.Sprintf("%d.%d", kitchen, n)}, "response_url": {"http://127.0.0.1:1/none"},
	}.Encode()
}

func signedHeader(secret, body string) http.Header {
	now := time.Now()
	return http.Header{
		"Content-Type":              {"application/x-www-form-urlencoded"},
		"X-Slack-Request-Timestamp": {strconv.FormatInt(now.Unix(), 10)},
		"X-Slack-Signature":         {practice.Sign(secret, now, []byte(body))},
	}
}

// writeLoad signs more bodies than a run takes and writes them, with the
// script that sends each once, into dir.
func writeLoad(b *testing.B, dir, secret string) {
	b.Helper()
	lines := []string{"take A", "resting", "start bay vodka 200ml in A"}
	var all strings.Builder
	for n := range int(loadFor/loadEvery) * loadClients * 3 / 2 {
		body := commandBody(n%loadKitchens, n+1, lines[n/loadKitchens%len(lines)])
		h := signedHeader(secret, body)
		fmt.Fprintf(&all, "%s %s %s\n", h.Get("X-Slack-Request-Timestamp"), h.Get("X-Slack-Signature"), body)
	}
	script := fmt.Sprintf(loadScript, filepath.Join(dir, "bodies"), loadEvery.Milliseconds())
	for name, content := range map[string]string{"bodies": all.String(), "load.lua": script} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o600); err != nil {
			b.Fatal(err)
		}
	}
}

// loadScript has each of wrk's two threads send every second body.
const loadScript = `
local threads = 0
function setup(thread) thread:set("mine", threads); threads = threads + 1 end
function init()
  wrk.method = "POST"
  bodies = io.open(%q, "r")
  if mine == 1 then bodies:read("*l") end
end
function delay() return %d end
function request()
  local line = bodies:read("*l"); bodies:read("*l")
  local at, signature, body = line:match("(%%S+) (%%S+) (.*)")
  wrk.headers["Content-Type"] = "application/x-www-form-urlencoded"
  wrk.headers["X-Slack-Request-Timestamp"] = at
  wrk.headers["X-Slack-Signature"] = signature
  return wrk.format(nil, nil, nil, body)
end
function done(summary, latency)
  local e = summary.errors
  io.write(string.format("rate=%%f p50=%%f p99=%%f max=%%f errors=%%d\n", summary.requests / summary.duration * 1e6,
    latency:percentile(50) / 1e3, latency:percentile(99) / 1e3, latency.max / 1e3,
    e.connect + e.read + e.write + e.status + e.timeout))
end
`

var loadFigure = regexp.MustCompile(`(\w+)=([\d.]+)`)

// reportLoad reports what wrk measured, in requests a second and milliseconds.
func reportLoad(b *testing.B, out string) {
	b.Helper()
	units := map[string]string{"rate": "commands/s", "p50": "ms-p50", "p99": "ms-p99", "max": "ms-max", "errors": "errors"}
	found := loadFigure.FindAllStringSubmatch(out, -1)
	if len(found) != len(units) {
		b.Fatalf("wrk said:\n%s", out)
	}
	for _, f := range found {
		v, err := strconv.ParseFloat(f[2], 64)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(v, units[f[1]])
		if f[1] == "errors" && v > 0 {
			b.Errorf("%s errors of wrk:\n%s", f[2], out)
		}
	}
	b.ReportMetric(0, "ns/op") // a minute whatever happens
}
