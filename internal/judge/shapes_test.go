package judge_test

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"ventbell/internal/app"
	"ventbell/internal/book"
	"ventbell/internal/chat"
	"ventbell/internal/desk"
	"ventbell/internal/kitchen"
	"ventbell/internal/practice"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// shape is one thing to be judged by Slack's types.
type shape struct {
	Name string `json:"name"`
	Kind string `json:"kind"` // message, modal, home, manifest
	Body any    `json:"body"`
}

// spoken is one thing that the room voice says, as its tests leave it.
type spoken struct {
	Name    string
	Message *voice.Message
	Form    *voice.Form
	Page    voice.Page
}

// Every message, form and page that we can produce, in every language, goes
// through the door as it would to Slack, and has the shape of Slack's types.
func TestAllThatWeSayHasTheShapeOfSlacksTypes(t *testing.T) {
	t.Parallel()
	dir := kit(t)
	d := newDoor(t)
	var shapes []shape
	for _, s := range everything(t) {
		at := d
		if s.Page != nil {
			at = newDoor(t) // the door keeps a page fresh that it once showed
		}
		shapes = append(shapes, at.draw(s))
	}
	shapes = append(shapes, manifests(t)...)
	kinds := map[string]int{}
	for _, s := range shapes {
		kinds[s.Kind]++
	}
	for _, kind := range []string{"message", "modal", "home", "manifest"} {
		if kinds[kind] == 0 {
			t.Errorf("no %s was judged", kind)
		}
	}
	for _, complaint := range judged(t, dir, shapes) {
		t.Error(complaint)
	}
	t.Logf("judged: %v", kinds)
}

// The judge must be able to say no.
func TestTheJudgeOfShapesRefusesWrongOnes(t *testing.T) {
	t.Parallel()
	wrong := []shape{
		{Name: "unknown style", Kind: "message", Body: map[string]any{"text": "x", "blocks": []any{map[string]any{
			"type": "actions", "elements": []any{map[string]any{
				"type": "button", "style": "loud", "text": map[string]any{"type": "plain_text", "text": "x"},
			}},
		}}}},
		{Name: "no title", Kind: "modal", Body: map[string]any{"type": "modal", "blocks": []any{}}},
		{Name: "a field too many", Kind: "home", Body: map[string]any{"type": "home", "blocks": []any{}, "colour": "red"}},
		{Name: "a word for yes", Kind: "manifest", Body: map[string]any{
			"display_information": map[string]any{"name": "x"}, "settings": map[string]any{"socket_mode_enabled": "yes"},
		}},
	}
	if got := judged(t, kit(t), wrong); len(got) != len(wrong) {
		t.Errorf("refused %d of %d: %v", len(got), len(wrong), got)
	}
}

// judged has shapes judged and gives the complaints.
func judged(t *testing.T, dir string, shapes []shape) []string {
	t.Helper()
	var in bytes.Buffer
	for _, s := range shapes {
		if err := json.NewEncoder(&in).Encode(s); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.CommandContext(t.Context(), "node", "shapes.mjs")
	cmd.Dir, cmd.Stdin, cmd.Stderr = dir, &in, t.Output()
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	last := lines[len(lines)-1]
	if last != fmt.Sprintf(`{"judged":%d}`, len(shapes)) {
		t.Fatalf("the judge ended with %s, of %d", last, len(shapes))
	}
	return lines[:len(lines)-1]
}

// everything gives all that voice says. Its own tests walk through every phase
// and state, and write down what they see when they are told where.
func everything(t *testing.T) []spoken {
	t.Helper()
	path := filepath.Join(t.TempDir(), "spoken")
	cmd := exec.CommandContext(t.Context(), "go", "test", "-count=1", "-run", "^(TestEveryMessageReadsWell|TestAPageOfFortyVesselsFits)$", "ventbell/internal/voice")
	cmd.Env = append(os.Environ(), "VENTBELL_SPOKEN="+path)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var all []spoken
	for lines := json.NewDecoder(bufio.NewReader(f)); lines.More(); {
		var s spoken
		if err := lines.Decode(&s); err != nil {
			t.Fatal(err)
		}
		all = append(all, s)
	}
	return all
}

// manifests gives the manifests that the program prints.
func manifests(t *testing.T) []shape {
	t.Helper()
	var shapes []shape
	for name, args := range map[string][]string{
		"socket": {"manifest"},
		"http":   {"manifest", "--transport", "http", "--url", "https://bell.example.com"},
		"extras": {"manifest", "--extras"},
	} {
		var out bytes.Buffer
		if status, err := app.Main(t.Context(), args, nil, &out, t.Output()); err != nil || status != 0 {
			t.Fatalf("%s: %d, %v", name, status, err)
		}
		shapes = append(shapes, shape{"manifest " + name, "manifest", json.RawMessage(out.Bytes())})
	}
	return shapes
}

// door is the way out to Slack, with a Slack behind it that writes down what
// comes. What it says is set by the test.
type door struct {
	t    *testing.T
	chat *chat.Chat
	came chan shape
	n    int

	mu   sync.Mutex
	next spoken
}

const secret = "a signing secret"

func newDoor(t *testing.T) *door {
	d := &door{t: t, came: make(chan shape, 1)}
	slack := httptest.NewServer(http.HandlerFunc(d.serve))
	t.Cleanup(slack.Close)
	var err error
	d.chat, err = chat.New(chat.Config{
		Token: "xoxb-judged", Secret: secret, API: slack.URL + "/api", Kitchens: map[string]string{"C1": "main"}, Desk: d, Voice: d,
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = d.chat.Close(context.Background()) })
	return d
}

// serve is Slack: it takes everything.
func (d *door) serve(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "application/json")
	fmt.Fprintf(w, `{"ok":true,"channel":"C1","ts":"1764000000.000100","user_id":"U0","user":{"id":"U1","name":"bar-1"}}`)
	var body struct {
		View json.RawMessage `json:"view"`
	}
	switch method := filepath.Base(r.URL.Path); method {
	case "chat.postMessage":
		d.comes(shape{"", "message", map[string]any{"text": r.FormValue("text"), "blocks": json.RawMessage(r.FormValue("blocks"))}})
	case "views.open", "views.publish":
		if err := json.NewDecoder(r.Body).Decode(&body); err != nil {
			d.t.Error(err)
		}
		kind := map[string]string{"views.open": "modal", "views.publish": "home"}[method]
		d.comes(shape{"", kind, body.View})
	}
}

// comes hands on what came. A page that is kept fresh comes again, and then nobody
// waits for it.
func (d *door) comes(s shape) {
	select {
	case d.came <- s:
	default:
	}
}

// draw has the door say one thing and gives what came of it at Slack.
func (d *door) draw(s spoken) shape {
	d.t.Helper()
	d.mu.Lock()
	d.next, d.n = s, d.n+1
	d.mu.Unlock()
	switch {
	case s.Message != nil:
		if _, err := d.chat.Post(d.t.Context(), runner.Posting{Lane: "C1", Message: *s.Message}); err != nil {
			d.t.Fatalf("%s: %v", s.Name, err)
		}
	case s.Form != nil:
		d.receive("/slack/commands", "application/x-www-form-urlencoded", url.Values{
			"command": {"/bell"}, "text": {"start"}, "channel_id": {"C1"}, "user_id": {"U1"}, "user_name": {"bar-1"},
			"trigger_id": {strconv.Itoa(d.n)}, "response_url": {"http://127.0.0.1:1/"},
		}.Encode())
	default:
		d.receive("/slack/events", "application/json", fmt.Sprintf(
			`{"type":"event_callback","team_id":"T1","event_id":"Ev%d","event":{"type":"app_home_opened","user":"U%d","tab":"home","event_ts":"1764000000.%06d"}}`,
			d.n, d.n, d.n))
	}
	select {
	case got := <-d.came:
		got.Name = s.Name
		return got
	case <-time.After(20 * time.Second):
		d.t.Fatalf("%s: nothing came", s.Name)
		return shape{}
	}
}

// receive has the door take a signed request.
func (d *door) receive(path, kind, body string) {
	d.t.Helper()
	now := time.Now()
	r := httptest.NewRequestWithContext(d.t.Context(), http.MethodPost, path, strings.NewReader(body))
	r.Header.Set("Content-Type", kind)
	r.Header.Set("X-Slack-Request-Timestamp", strconv.FormatInt(now.Unix(), 10))
	r.Header.Set("X-Slack-Signature", practice.Sign(secret, now, []byte(body)))
	w := httptest.NewRecorder()
	if d.chat.Handler().ServeHTTP(w, r); w.Code != http.StatusOK {
		d.t.Fatalf("%s answered %d", path, w.Code)
	}
}

func (d *door) Heard(context.Context, string, kitchen.Command) (desk.Reply, error) {
	return desk.Reply{Answer: kitchen.Answer{Kind: kitchen.OpenForm}}, nil
}
func (d *door) Look(context.Context, string) (desk.Reply, error) { return desk.Reply{}, nil }

func (d *door) Form(*kitchen.Kitchen, *book.Book, kitchen.Answer) voice.Form { return *d.saying().Form }
func (d *door) Home(*kitchen.Kitchen, *book.Book, kitchen.Person, time.Time) voice.Page {
	return d.saying().Page
}

func (d *door) saying() spoken {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.next
}

func (d *door) Answer(*kitchen.Kitchen, kitchen.Answer) voice.Message { return voice.Message{} }
func (d *door) NotSaved() voice.Message                               { return voice.Message{} }
func (d *door) Broken() voice.Message                                 { return voice.Message{} }
func (d *door) NoKitchen() voice.Message                              { return voice.Message{} }
func (d *door) TooLate() voice.Message                                { return voice.Message{} }
func (d *door) Edited() voice.Message                                 { return voice.Message{} }
