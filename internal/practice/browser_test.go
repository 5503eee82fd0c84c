package practice

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

// browser is a real Chromium that a test drives over its own debugging protocol.
type browser struct {
	t       *testing.T
	conn    *websocket.Conn
	session string
	id      int
}

// chromium starts a headless Chromium with one empty tab of phone size, or
// skips the test where there is none.
func chromium(t *testing.T) *browser {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if slices.Contains(strings.Split(os.Getenv("VENTBELL_REQUIRE"), ","), "chromium") {
			t.Fatal("chromium is required and not there")
		}
		t.Skip("skipped: chromium is not there")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cmd := exec.CommandContext(ctx, path, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
		"--remote-debugging-port=0", "--user-data-dir="+t.TempDir(), "about:blank")
	stderr, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	address := regexp.MustCompile(`DevTools listening on (ws://\S+)`)
	found := make(chan string, 1)
	drained := make(chan struct{})
	go func() {
		defer close(drained)
		for lines := bufio.NewScanner(stderr); lines.Scan(); {
			if m := address.FindStringSubmatch(lines.Text()); m != nil {
				found <- m[1]
			}
		}
	}()
	b := &browser{t: t}
	t.Cleanup(func() {
		// Its folder can be removed when it and all its children are gone:
		// then nobody holds its stderr.
		if b.conn != nil {
			_ = b.conn.WriteJSON(map[string]any{"id": 0, "method": "Browser.close"})
		}
		select {
		case <-drained:
		case <-time.After(10 * time.Second):
		}
		cancel()
		<-drained
		_ = cmd.Wait()
		if b.conn != nil {
			_ = b.conn.Close()
		}
	})
	select {
	case url := <-found:
		if b.conn, _, err = websocket.DefaultDialer.DialContext(t.Context(), url, nil); err != nil {
			t.Fatal(err)
		}
	case <-drained:
		t.Fatal("chromium ended before it said where to reach it")
	case <-time.After(time.Minute):
		t.Fatal("chromium did not say where to reach it")
	}
	var target struct{ TargetID string }
	b.do("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	var session struct{ SessionID string }
	b.do("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &session)
	b.session = session.SessionID
	b.size(390, 844)
	return b
}

func (b *browser) size(width, height int) {
	b.do("Emulation.setDeviceMetricsOverride", map[string]any{
		"width": width, "height": height, "deviceScaleFactor": 2, "mobile": width < 600,
	}, nil)
}

// do sends one command and reads on until its answer is there.
func (b *browser) do(method string, params, into any) {
	b.t.Helper()
	b.id++
	msg := map[string]any{"id": b.id, "method": method, "params": params}
	if b.session != "" {
		msg["sessionId"] = b.session
	}
	if err := b.conn.WriteJSON(msg); err != nil {
		b.t.Fatal(err)
	}
	for {
		var in struct {
			ID     int
			Result json.RawMessage
			Error  *struct{ Message string }
		}
		_ = b.conn.SetReadDeadline(time.Now().Add(time.Minute))
		if err := b.conn.ReadJSON(&in); err != nil {
			b.t.Fatalf("%s: %v", method, err)
		}
		if in.ID != b.id {
			continue
		}
		if in.Error != nil {
			b.t.Fatalf("%s: %s", method, in.Error.Message)
		}
		if into != nil {
			if err := json.Unmarshal(in.Result, into); err != nil {
				b.t.Fatal(err)
			}
		}
		return
	}
}

// eval runs an expression in the page and gives its value as text. A promise
// is waited for.
func (b *browser) eval(expression string) string {
	b.t.Helper()
	var out struct {
		Result struct {
			Value any `json:"value"`
		} `json:"result"`
		ExceptionDetails *struct {
			Exception struct{ Description string }
		} `json:"exceptionDetails"`
	}
	b.do("Runtime.evaluate", map[string]any{"expression": expression, "awaitPromise": true, "returnByValue": true}, &out)
	if out.ExceptionDetails != nil {
		b.t.Fatalf("in the page: %s\n%s", expression, out.ExceptionDetails.Exception.Description)
	}
	return fmt.Sprint(out.Result.Value)
}

// open loads a page and waits until it is complete.
func (b *browser) open(url string) {
	b.t.Helper()
	b.do("Page.navigate", map[string]any{"url": url}, nil)
	b.until(`document.readyState === 'complete' && location.href.startsWith(` + fmt.Sprintf("%q", url) + `)`)
}

// until waits, in the page, for a condition to hold: it looks again at every
// frame that the page draws.
func (b *browser) until(condition string) {
	b.t.Helper()
	got := b.eval(`new Promise(done => {
		const end = Date.now() + 20000;
		const look = () => {
			if (` + condition + `) return done('held');
			if (Date.now() > end) return done('never held; page says: ' + document.body.innerText);
			setTimeout(look, 20);
		};
		look();
	})`)
	if got != "held" {
		b.t.Fatalf("%s: %s", condition, got)
	}
}
