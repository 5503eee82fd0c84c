package wall

import (
	"bufio"
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

var shots = flag.String("shots", "", "folder to leave pictures of the pages in")

// browser is a real Chromium, driven over its own debugging protocol.
type browser struct {
	t       *testing.T
	conn    *websocket.Conn
	session string
	id      int
}

// chromium starts a headless Chromium, or skips the test where there is none.
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
	found, ended := make(chan string, 1), make(chan struct{})
	go func() {
		defer close(ended)
		address := regexp.MustCompile(`DevTools listening on (ws://\S+)`)
		for lines := bufio.NewScanner(stderr); lines.Scan(); {
			if m := address.FindStringSubmatch(lines.Text()); m != nil {
				found <- m[1]
			}
		}
	}()
	b := &browser{t: t}
	t.Cleanup(func() { // its folder can be removed when it and its children are gone
		if b.conn != nil {
			_ = b.conn.WriteJSON(map[string]any{"id": 0, "method": "Browser.close"})
		}
		select {
		case <-ended:
		case <-time.After(10 * time.Second):
		}
		cancel()
		<-ended
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
	case <-ended:
		t.Fatal("chromium ended before it said where to reach it")
	case <-time.After(time.Minute):
		t.Fatal("chromium did not say where to reach it")
	}
	var target struct{ TargetID string }
	b.do("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	var session struct{ SessionID string }
	b.do("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &session)
	b.session = session.SessionID
	return b
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
		switch {
		case in.ID != b.id:
			continue
		case in.Error != nil:
			b.t.Fatalf("%s: %s", method, in.Error.Message)
		case into != nil:
			if err := json.Unmarshal(in.Result, into); err != nil {
				b.t.Fatal(err)
			}
		}
		return
	}
}

// value runs an expression in the page and gives its value as text.
func (b *browser) value(expression string) string {
	b.t.Helper()
	var out struct {
		Result struct{ Value any }
	}
	b.do("Runtime.evaluate", map[string]any{"expression": expression, "awaitPromise": true, "returnByValue": true}, &out)
	return fmt.Sprint(out.Result.Value)
}

// open loads a page in a window of a size.
func (b *browser) open(url string, width, height int) {
	b.t.Helper()
	b.do("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600}, nil)
	b.do("Page.navigate", map[string]any{"url": url}, nil)
	loaded := b.value(`new Promise(done => { const end = Date.now() + 20000; const look = () =>
		document.readyState === 'complete' && location.href === ` + strconv.Quote(url) + ` || Date.now() > end ? done(location.href) : setTimeout(look, 20); look() })`)
	if loaded != url {
		b.t.Fatalf("%s did not load: %s", url, loaded)
	}
}

// shot leaves a picture where the -shots flag says.
func (b *browser) shot(name string) {
	b.t.Helper()
	if *shots == "" {
		return
	}
	var out struct{ Data string }
	b.do("Page.captureScreenshot", map[string]any{"captureBeyondViewport": true}, &out)
	body, err := base64.StdEncoding.DecodeString(out.Data)
	if err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(*shots, name+".png"), body, 0o600); err != nil {
		b.t.Fatal(err)
	}
}

func TestTheWallReadsFromAcrossTheRoomAndInTheHand(t *testing.T) {
	t.Parallel()
	b := chromium(t)
	h := busy(t)
	for language := range map[string]bool{"en": true, "fr": true} {
		server := httptest.NewServer(h.pages(language, key, false))
		t.Cleanup(server.Close)
		for _, width := range []int{390, 1280} {
			for _, page := range []string{"/wall", "/wall/labels"} {
				b.open(server.URL+page+"?key="+key, width, 800)
				b.shot(fmt.Sprint(language, strings.ReplaceAll(page, "/", "-"), "-", width))
				if over := b.value(`Math.max(0, document.documentElement.scrollWidth - innerWidth)`); over != "0" {
					t.Errorf("%s in %s at %d px is %s px too wide", page, language, width, over)
				}
			}
		}
		// A letter read at 3 m is to be 15 mm high or so; 1280 px over a display of 24
		// inches, 530 mm wide, makes 40 px of it. The rule of thumb, height = distance/200,
		// is common practice, no source.
		b.open(server.URL+"/wall?key="+key, 1280, 800)
		for what, least := range map[string]int{".tag": 48, ".vessels .next": 36} {
			px, err := strconv.ParseFloat(strings.TrimSuffix(b.value(`getComputedStyle(document.querySelector('`+what+`')).fontSize`), "px"), 64)
			if err != nil || px < float64(least) {
				t.Errorf("%s is %v px high, want %d", what, px, least)
			}
		}
	}
}

// One label a page of 100 x 62 mm: 283.5 x 175.7 points of 1/72 inch.
func TestALabelPrintsOnItsOwnSheetWithNothingCutOff(t *testing.T) {
	t.Parallel()
	b := chromium(t)
	h := busy(t)
	k := h.kitchen()
	worst := k.Batches[1]
	worst.Allergens = []string{"gluten", "nuts", "sulphites", "celery", "milk"}
	worst.Carried.May = 0b1010_0000_0101
	worst.Latest = worst.UseBy
	worst.Carried.Law = 0
	worst.Lots = map[string]string{"brandy": "L20261124-0099", "hazelnut": "H2026/4"}
	h.fields = k.Encode()
	server := httptest.NewServer(h.pages("fr", "", true))
	t.Cleanup(server.Close)
	b.open(server.URL+"/wall/labels", 1280, 800)
	b.do("Emulation.setEmulatedMedia", map[string]any{"media": "print"}, nil)
	b.shot("worst-label")
	if cut := b.value(`document.querySelector('article').scrollHeight - document.querySelector('article').clientHeight`); cut != "0" {
		t.Errorf("%s px of the label are cut off", cut)
	}
	var out struct{ Data string }
	b.do("Page.printToPDF", map[string]any{"preferCSSPageSize": true}, &out)
	body, err := base64.StdEncoding.DecodeString(out.Data)
	if err != nil {
		t.Fatal(err)
	}
	boxes := regexp.MustCompile(`/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]`).FindAllSubmatch(body, -1)
	if len(boxes) != 1 {
		t.Fatalf("one label takes %d pages", len(boxes))
	}
	for i, want := range []float64{100 / 25.4 * 72, 62 / 25.4 * 72} {
		if got, err := strconv.ParseFloat(string(boxes[0][i+1]), 64); err != nil || math.Abs(got-want) > 1 {
			t.Errorf("a side of the page is %s points, want %.1f", boxes[0][i+1], want)
		}
	}
	if bytes.Count(body, []byte("/Type /Page\n")) > 1 {
		t.Error("there are more pages than labels")
	}
}
