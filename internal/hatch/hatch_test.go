package hatch

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"ventbell/internal/desk"
	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

const (
	token   = "a token for tests"
	channel = "C1"
)

// listener is a desk that answers as told and notes what it heard.
type listener struct {
	answer func(ctx context.Context, cmd kitchen.Command) (kitchen.Answer, error)
	state  *kitchen.Kitchen

	mu    sync.Mutex
	heard []kitchen.Command
}

func (l *listener) Heard(ctx context.Context, _ string, cmd kitchen.Command) (desk.Reply, error) {
	l.mu.Lock()
	l.heard = append(l.heard, cmd)
	l.mu.Unlock()
	if l.answer == nil {
		return desk.Reply{Answer: kitchen.Answer{Line: "done: " + cmd.Text}}, nil
	}
	a, err := l.answer(ctx, cmd)
	return desk.Reply{Answer: a, State: l.state}, err
}

func (l *listener) commands() []kitchen.Command {
	l.mu.Lock()
	defer l.mu.Unlock()
	return append([]kitchen.Command(nil), l.heard...)
}

// plainVoice says an answer's line and nothing else.
type plainVoice struct{}

func (plainVoice) Answer(_ *kitchen.Kitchen, a kitchen.Answer) voice.Message { return words(a.Line) }
func (plainVoice) Slip(_ *kitchen.Kitchen, b *kitchen.Batch) voice.Message {
	return words("slip of " + b.Title)
}
func (plainVoice) NotSaved() voice.Message  { return words("not saved yet") }
func (plainVoice) Broken() voice.Message    { return words("broken") }
func (plainVoice) NoKitchen() voice.Message { return words("no kitchen") }

func words(text string) voice.Message {
	var m voice.Message
	for line := range strings.SplitSeq(text, "\n") {
		m.Lines = append(m.Lines, voice.Line{{Text: line}})
	}
	return m
}

// server is the chat server's side: it takes what is posted to webhooks.
type server struct {
	*httptest.Server
	status func(w http.ResponseWriter) bool // true = it has answered

	mu    sync.Mutex
	posts []post
	more  chan struct{}
}

// post is one document that was posted, and where to.
type post struct{ path, text string }

func newServer(t *testing.T) *server {
	s := &server{more: make(chan struct{}, 100)}
	s.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if s.status != nil && s.status(w) {
			return
		}
		var body struct{ Text string }
		if err := json.NewDecoder(r.Body).Decode(&body); err != nil || r.Header.Get("Content-Type") != "application/json; charset=utf-8" {
			http.Error(w, "unreadable", http.StatusBadRequest)
			return
		}
		s.mu.Lock()
		s.posts = append(s.posts, post{r.URL.Path, body.Text})
		s.mu.Unlock()
		s.more <- struct{}{}
		io.WriteString(w, "ok")
	}))
	t.Cleanup(s.Close)
	return s
}

func (s *server) posted() []post {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]post(nil), s.posts...)
}

// rig is a hatch with its doubles.
type rig struct {
	*Hatch
	desk   *listener
	server *server
}

func newRig(t *testing.T, change ...func(*Config)) *rig {
	t.Helper()
	r := &rig{desk: &listener{}, server: newServer(t)}
	cfg := Config{
		Token: token, Desk: r.desk, Voice: plainVoice{},
		Webhooks: map[string]string{channel: r.server.URL + "/hooks/one"},
		Kitchens: map[string]string{channel: "main"}, Homes: map[string]string{"main": channel},
		Names: map[string]string{"U9": "prep-lead"},
	}
	for _, f := range change {
		f(&cfg)
	}
	var err error
	if r.Hatch, err = New(cfg); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
		defer cancel()
		if err := r.Hatch.Close(ctx); err != nil {
			t.Error(err)
		}
	})
	return r
}

// form is a command as such a server posts it.
func form(text string, more ...string) url.Values {
	v := url.Values{
		"token": {token}, "team_id": {"T1"}, "channel_id": {channel}, "user_id": {"U1"}, "user_name": {"bar-1"},
		"command": {"/bell"}, "text": {text},
	}
	for i := 0; i+1 < len(more); i += 2 {
		v.Set(more[i], more[i+1])
	}
	return v
}

// send posts a form to the hatch.
func (r *rig) send(v url.Values, header ...string) *httptest.ResponseRecorder {
	req := httptest.NewRequest(http.MethodPost, "/hatch/command", strings.NewReader(v.Encode()))
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	for i := 0; i+1 < len(header); i += 2 {
		req.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	r.Handler().ServeHTTP(w, req)
	return w
}

// says sends a line and gives what is answered.
func (r *rig) says(t *testing.T, v url.Values) string {
	t.Helper()
	w := r.send(v)
	var n note
	if err := json.Unmarshal(w.Body.Bytes(), &n); err != nil || w.Code != http.StatusOK || n.Type != "ephemeral" {
		t.Fatalf("status %d, %v: %s", w.Code, err, w.Body)
	}
	return n.Text
}

func TestNewWantsATokenAndUsableAddresses(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*Config){
		"no token":  func(c *Config) { c.Token = "" },
		"no desk":   func(c *Config) { c.Desk = nil },
		"no scheme": func(c *Config) { c.Webhooks[channel] = "chat.example.org/hooks/sesame" },
		"no host":   func(c *Config) { c.Webhooks[channel] = "https:///hooks/sesame" },
		"no URL":    func(c *Config) { c.Webhooks[channel] = "https://chat:sesame/hooks" },
	} {
		cfg := Config{Token: token, Desk: &listener{}, Voice: plainVoice{}, Webhooks: map[string]string{}}
		change(&cfg)
		if _, err := New(cfg); err == nil || strings.Contains(err.Error(), "sesame") {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

func TestCloseWaitsForWhatWasTakenIn(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	begun, finish := make(chan struct{}), make(chan struct{})
	r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
		close(begun)
		<-finish
		return kitchen.Answer{Line: "done"}, nil
	}
	answered := make(chan string, 1)
	go func() { answered <- r.send(form("resting")).Body.String() }()
	<-begun
	closed := make(chan error, 1)
	go func() { closed <- r.Close(t.Context()) }()
	eventually(t, "the hatch is closed", func() bool { return r.send(form("resting")).Code == http.StatusServiceUnavailable })
	select {
	case err := <-closed:
		t.Fatalf("closed while a command was under way: %v", err)
	default:
	}
	close(finish)
	if got := <-answered; !strings.Contains(got, "done") {
		t.Errorf("the command under way was answered %s", got)
	}
	if err := <-closed; err != nil {
		t.Error(err)
	}
}

func TestTooManyAtOnceAreTurnedAway(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	for range atOnce {
		r.busy <- struct{}{}
	}
	if got := r.says(t, form("resting")); got != "broken" || len(r.desk.commands()) != 0 {
		t.Errorf("answered %q", got)
	}
	<-r.busy
	if got := r.says(t, form("resting")); got != "done: resting" {
		t.Errorf("with room for it answered %q", got)
	}
}

// eventually waits until a condition holds.
func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	end := time.After(30 * time.Second)
	look := time.NewTicker(2 * time.Millisecond)
	defer look.Stop()
	for !holds() {
		select {
		case <-end:
			t.Fatalf("it never came to this: %s", what)
		case <-look.C:
		}
	}
}

// counts notes what is counted.
type counts struct {
	mu  sync.Mutex
	all []string
}

func (c *counts) Called(method, outcome string, _ time.Duration) { c.add(method, outcome) }
func (c *counts) Heard(kind, outcome string)                     { c.add(kind, outcome) }

func (c *counts) add(what, outcome string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.all = append(c.all, fmt.Sprintf("%s %s", what, outcome))
}

func (c *counts) list() []string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return append([]string(nil), c.all...)
}
