// Package judge holds only tests: Slack's own Node kit talks to the practice
// room, and what we send is held against Slack's own types. What the judges
// need is in testdata/judge; `npm ci` there brings it.
package judge_test

import (
	"bufio"
	"context"
	"encoding/json"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/practice"
)

// kit gives the folder of the judges, or skips: they need Node 20 or later and
// what npm brings.
func kit(t *testing.T) string {
	t.Helper()
	dir, err := filepath.Abs(filepath.Join("..", "..", "testdata", "judge"))
	if err != nil {
		t.Fatal(err)
	}
	missing := ""
	version, err := exec.CommandContext(t.Context(), "node", "--version").Output()
	major, _, _ := strings.Cut(strings.TrimPrefix(string(version), "v"), ".")
	if n, _ := strconv.Atoi(major); err != nil || n < 20 {
		missing = "no Node 20 or later"
	} else if _, err := os.Stat(filepath.Join(dir, "node_modules", "@slack", "bolt")); err != nil {
		missing = "no Slack kit: run npm ci in testdata/judge"
	}
	switch {
	case missing == "":
	case slices.Contains(strings.Split(os.Getenv("VENTBELL_REQUIRE"), ","), "node"):
		t.Fatal(missing)
	default:
		t.Skip(missing)
	}
	return dir
}

// heard is what the kit's bot says that it understood.
type heard map[string]any

// bot is a bot made with Slack's kit, at work in a practice room.
type bot struct {
	*practice.Room
	t           *testing.T
	said        chan heard
	bench, bar1 string
}

// newBot opens a practice room and has the kit's bot join it, over Socket Mode
// or over HTTP.
func newBot(t *testing.T, mode string) *bot {
	dir := kit(t)
	cfg := practice.Config{
		Clock:            clock.Wall(),
		Shortcuts:        []practice.Shortcut{{ID: "bell-start", Name: "Start a batch"}},
		MessageShortcuts: []practice.Shortcut{{ID: "bell-read", Name: "Read as a line"}},
	}
	port := freePort(t)
	if mode == "http" {
		cfg.RequestURL = "http://127.0.0.1:" + port + "/slack"
	}
	b := &bot{Room: practice.New(cfg), t: t, said: make(chan heard, 100)}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	b.bar1, b.bench = b.AddPerson("bar-1"), b.AddChannel("bench")
	b.Join(b.bench, true)
	b.Start(l)
	t.Cleanup(b.Close)
	b.start(dir, mode, port)
	return b
}

// start runs the kit's bot until the test ends and reads what it says.
func (b *bot) start(dir, mode, port string) {
	ctx, cancel := context.WithCancel(context.Background())
	cmd := exec.CommandContext(ctx, "node", "bot.mjs")
	cmd.Dir = dir
	cmd.Stderr = b.t.Output()
	cmd.Env = append(os.Environ(), "MODE="+mode, "PORT="+port, "API="+b.APIURL(), "BOT_TOKEN="+b.Config().BotToken,
		"APP_TOKEN="+b.Config().AppToken, "SIGNING_SECRET="+b.Config().SigningSecret)
	in, err := cmd.StdinPipe()
	if err != nil {
		b.t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		b.t.Fatal(err)
	}
	read := make(chan struct{})
	go func() {
		defer close(read)
		for lines := bufio.NewScanner(out); lines.Scan(); {
			var h heard
			if json.Unmarshal(lines.Bytes(), &h) == nil {
				b.said <- h
			}
		}
	}()
	b.t.Cleanup(func() {
		in.Close()
		cancel()
		<-read
		_ = cmd.Wait() // it was killed
	})
	b.hears("ready", heard{})
}

// hears waits for what the kit says that it heard.
func (b *bot) hears(what string, want heard) heard {
	b.t.Helper()
	for timeout := time.After(30 * time.Second); ; {
		select {
		case h := <-b.said:
			if h["what"] != what {
				if h["what"] == "error" {
					b.t.Fatalf("the kit complains: %v", h["message"])
				}
				continue
			}
			if want["text"] != nil && what == "message" && h["text"] != want["text"] {
				continue // something else that was said in the channel
			}
			for key, value := range want {
				if h[key] != value {
					b.t.Errorf("%s: %s is %q, want %q", what, key, h[key], value)
				}
			}
			return h
		case <-timeout:
			b.t.Fatalf("the kit heard no %s", what)
		}
	}
}

func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	return port
}
