package app

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"ventbell/internal/clock"
)

// peer is a chat server that knows webhooks and slash commands and nothing
// else: it takes posts of plain text, and sends commands as forms.
type peer struct {
	t       *testing.T
	server  *httptest.Server
	app     string        // where commands go
	stop    func()        // has the app stop, and does not wait for it
	hold    chan struct{} // nil, or what each post waits for
	waiting atomic.Int32

	mu    sync.Mutex
	posts []string
	odd   []string // requests that such a server would not understand
}

func openPeer(t *testing.T) *peer {
	p := &peer{t: t}
	p.server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		var said map[string]any
		if err == nil {
			err = json.Unmarshal(body, &said)
		}
		text, ok := said["text"].(string)
		if p.hold != nil {
			p.waiting.Add(1)
			<-p.hold
		}
		p.mu.Lock()
		defer p.mu.Unlock()
		if err != nil || !ok || text == "" || len(said) != 1 || r.Method != http.MethodPost || r.URL.Path != "/hooks/prep" {
			p.odd = append(p.odd, fmt.Sprintf("%s %s: %s", r.Method, r.URL.Path, body))
			http.Error(w, "not understood", http.StatusBadRequest)
			return
		}
		p.posts = append(p.posts, text)
		io.WriteString(w, "ok")
	}))
	t.Cleanup(p.server.Close)
	return p
}

// posted gives what stands in the channel.
func (p *peer) posted() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.Clone(p.posts)
}

// says has somebody use the slash command and gives what they alone see.
func (p *peer) says(who, line string) string {
	p.t.Helper()
	form := url.Values{
		"token": {"a token of the server"}, "team_id": {"t1"}, "channel_id": {"prep"}, "channel_name": {"prep"},
		"user_id": {"id-of-" + who}, "user_name": {who}, "command": {"/bell"}, "text": {line},
	}
	res, err := http.PostForm(p.app+"/hatch/command", form)
	if err != nil {
		p.t.Fatal(err)
	}
	defer res.Body.Close()
	var answer struct {
		Type string `json:"response_type"`
		Text string `json:"text"`
	}
	if err := json.NewDecoder(res.Body).Decode(&answer); err != nil || res.StatusCode != http.StatusOK || answer.Type != "ephemeral" {
		p.t.Fatalf("%s says %q: %s, %v, %+v", who, line, res.Status, err, answer)
	}
	return answer.Text
}

// sees waits for a post that begins with words and holds others.
func (p *peer) sees(words string, others ...string) string {
	p.t.Helper()
	var found string
	eventually(p.t, fmt.Sprintf("the channel sees %q with %q", words, others), func() bool {
		for _, text := range p.posted() {
			holds := strings.HasPrefix(text, words)
			for _, o := range others {
				holds = holds && strings.Contains(text, o)
			}
			if holds {
				found = text
			}
		}
		return found != ""
	})
	return found
}

// openHatchApp runs the whole service behind a peer, on a clock of its own.
func openHatchApp(ctx context.Context, t *testing.T, clk *clock.Clock, hold chan struct{}) *peer {
	t.Helper()
	p := openPeer(t)
	p.hold = hold
	o, err := ReadOptions([]string{
		"VENTBELL_LEDGER=file:" + filepath.Join(t.TempDir(), "kitchen.db"),
		"VENTBELL_TRANSPORT=webhook", "VENTBELL_KITCHENS=main=prep", "VENTBELL_MANAGERS=id-of-prep-lead:prep-lead",
		"VENTBELL_WEBHOOKS=prep=" + p.server.URL + "/hooks/prep", "VENTBELL_COMMAND_TOKEN=a token of the server",
		"VENTBELL_LISTEN=127.0.0.1:0",
	})
	if err != nil {
		t.Fatal(err)
	}
	o.Lease = 2 * time.Minute // of the quick clock: some seconds of the world's
	a, err := New(ctx, o, slog.New(slog.DiscardHandler), WithClock(clk))
	if err != nil {
		t.Fatal(err)
	}
	p.app = "http://" + a.Address()
	running, stop := context.WithCancel(ctx)
	p.stop = stop
	ended := make(chan error, 1)
	go func() { ended <- a.Run(running) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		if len(p.odd) > 0 {
			t.Errorf("the server did not understand %q", p.odd)
		}
	})
	eventually(t, "it is ready", func() bool { return a.unready(ctx) == "" })
	return p
}

func TestABatchGoesAllTheWayWhereNothingCanBeTapped(t *testing.T) {
	t.Parallel()
	clk := clock.Starting(time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC), 4)
	p := openHatchApp(context.WithoutCancel(t.Context()), t, clk, nil)
	// Such a server gives a command no id of its own: the same again within a
	// second would be a double post.
	pause := func() {
		if err := clk.Wait(t.Context(), clk.Now().Add(2*time.Second), nil); err != nil {
			t.Fatal(err)
		}
	}

	if got := p.says("bar-1", "start pepper tequila 500ml"); !strings.HasPrefix(got, "Read as: pepper tequila, 500 ml.") {
		t.Errorf("the start is answered %q", got)
	}
	p.sees("Weigh 60 g for A", ": `/bell charged A`")
	holds := func(who, line string, words ...string) {
		t.Helper()
		got := p.says(who, line)
		for _, w := range words {
			if !strings.Contains(got, w) {
				t.Errorf("%s says %q and is answered without %q:\n%s", who, line, w, got)
			}
		}
	}
	holds("bar-1", "charged A", "Charger 1 of 2", "PRESSURISED", ": `/bell charged A`", ": `/bell no gas A`")
	pause()
	holds("bar-1", "charged A", "charger 2 of 2", "PRESSURISED, 2 of 2")
	holds("bar-1", "charged A", "charger 2 of 2") // posted twice
	holds("larder", "charged A", "Stop at 2", ": `/bell gas in A`")
	// A reply that says more than its line carries it along, to be typed as it stands.
	stop := p.sees("Stop at 2, A, @bar-1")
	_, reply, _ := strings.Cut(stop, "`/bell no gas A !")
	reply, _, _ = strings.Cut(reply, "`")
	holds("larder", "no gas A !"+reply, "counts 2 of 2")

	clk.Forward(clk.Now().Add(65 * time.Second)) // most of the swirl and the rest
	vent := p.sees("Vent 1", "@bar-1", ": `/bell vented A`")
	for _, markup := range []string{"<@", "<!", "*", "&lt;"} {
		if strings.Contains(vent, markup) {
			t.Errorf("the vent call holds %q: %s", markup, vent)
		}
	}
	holds("bar-1", "vented A", "Empty ")
	p.sees("Strain ", "@bar-1")
	holds("bar-1", "strained A 300", "Strained ", ": `/bell labelled A`")
	// What was posted stays as it was; a label that is missing is called.
	pause()
	clk.Forward(clk.Now().Add(15 * time.Minute))
	p.sees("Label A, @bar-1: pepper tequila", "300 ml", ": `/bell labelled A`")
	holds("bar-1", "labelled A", "Labelled ")
	if got := p.says("bar-1", "resting"); strings.Contains(got, "Vent") || strings.Contains(got, "Label 300") {
		t.Errorf("afterwards the board says %q", got)
	}
	doubles := p.posted()
	slices.Sort(doubles)
	if n := len(doubles); n != len(slices.Compact(doubles)) {
		t.Errorf("of %d posts some came twice: %q", n, p.posted())
	}
}

// While the last message is on its way, whoever asks is told that we stop, so
// that a proxy sends nothing more and a chat server tries again.
func TestWhoAsksDuringAStopIsToldSo(t *testing.T) {
	t.Parallel()
	hold := make(chan struct{})
	p := openHatchApp(context.WithoutCancel(t.Context()), t, clock.Wall(), hold)
	release := sync.OnceFunc(func() { close(hold) })
	defer release()
	p.says("bar-1", "start pepper tequila 500ml")
	eventually(t, "the slip is on its way", func() bool { return p.waiting.Load() > 0 })
	p.stop()
	status := func(ask func() (*http.Response, error)) int {
		res, err := ask()
		if err != nil {
			return 0
		}
		_ = res.Body.Close()
		return res.StatusCode
	}
	ready := func() (*http.Response, error) { return http.Get(p.app + "/readyz") }
	command := func() (*http.Response, error) {
		return http.PostForm(p.app+"/hatch/command", url.Values{
			"token": {"a token of the server"}, "channel_id": {"prep"}, "user_id": {"u"}, "text": {"resting"},
		})
	}
	eventually(t, "it is not ready", func() bool { return status(ready) == http.StatusServiceUnavailable })
	eventually(t, "it takes no command", func() bool { return status(command) == http.StatusServiceUnavailable })
	release()
	eventually(t, "the port is closed", func() bool { return status(ready) == 0 })
	if got := p.posted(); len(got) != 1 {
		t.Errorf("the channel saw %q", got)
	}
}

func TestTwoAppsServeSideBySide(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithTimeout(context.WithoutCancel(t.Context()), time.Minute)
	defer cancel()
	clk := clock.Wall()
	p := openHatchApp(ctx, t, clk, nil)
	s, err := newStage(ctx, clk, "127.0.0.1:0", filepath.Join(t.TempDir(), "kitchen.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	defer s.room.Close()
	_, stop, err := s.open(ctx)
	if err != nil {
		t.Fatal(err)
	}
	d := &shift{stage: s}
	if err := d.says(ctx, "bar-2", "start bay vodka 500ml"); err != nil {
		t.Fatal(err)
	}
	p.says("bar-1", "start pepper tequila 500ml")
	p.sees("Weigh 60 g for A: ", "pepper")
	eventually(t, "the other channel sees its slip", func() bool { return len(d.seen()) > 0 })
	if err := stop(); err != nil {
		t.Error(err)
	}
	// One has stopped, the other goes on.
	p.says("bar-1", "charged A")
	for _, text := range p.posted() {
		if strings.Contains(text, "bay") {
			t.Errorf("the hatch's channel sees the other's: %s", text)
		}
	}
	for _, m := range d.seen() {
		if strings.Contains(m.Text, "pepper") {
			t.Errorf("the stage's channel sees the other's: %s", m.Text)
		}
	}
}
