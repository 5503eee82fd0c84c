package chat

import (
	"bufio"
	"context"
	"crypto/sha1"
	"encoding/base64"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"testing"
	"testing/synctest"
	"time"

	"github.com/gorilla/websocket"
)

// piped gives an open socket over a pipe, so that it works in a bubble, and
// its far end, which reads all that comes.
func piped(t *testing.T) (*socket, net.Conn) {
	t.Helper()
	near, far := net.Pipe()
	go func() {
		in := bufio.NewReader(far)
		req, err := http.ReadRequest(in)
		if err != nil {
			t.Error(err)
			return
		}
		// RFC 6455, section 4.2.2: the answer to the handshake.
		sum := sha1.Sum([]byte(req.Header.Get("Sec-WebSocket-Key") + "258EAFA5-E914-47DA-95CA-C5AB0DC85B11"))
		fmt.Fprintf(far, "HTTP/1.1 101 Switching Protocols\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Accept: %s\r\n\r\n",
			base64.StdEncoding.EncodeToString(sum[:]))
		io.Copy(io.Discard, in) //nolint:errcheck // it ends with the pipe
	}()
	conn, _, err := websocket.NewClient(near, &url.URL{Scheme: "ws", Host: "slack.test", Path: "/"}, nil, 1024, 1024)
	if err != nil {
		t.Fatal(err)
	}
	return &socket{line: &line{}, conn: conn, opened: time.Now(), silence: silence, leaving: make(chan struct{})}, far
}

// Frames as they travel: RFC 6455, section 5.2.
var pingFrame = []byte{0x89, 0}

func textFrame(text string) []byte { return append([]byte{0x81, byte(len(text))}, text...) }

func TestASocketIsGivenUpAfterAMinuteWithoutEvenAPing(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		s, far := piped(t)
		ended := make(chan error, 1)
		go func() { ended <- s.listen(t.Context(), func(envelope) {}) }()
		began := time.Now()
		for range 20 { // pings alone keep it
			time.Sleep(50 * time.Second) // in the bubble
			if _, err := far.Write(pingFrame); err != nil {
				t.Fatal(err)
			}
			synctest.Wait()
			if at := time.UnixMicro(s.line.heard.Load()); time.Since(at) > time.Millisecond {
				t.Fatalf("heard %v ago", time.Since(at))
			}
		}
		if err := <-ended; err == nil {
			t.Error("it ends without a reason")
		}
		if took := time.Since(began); took != 20*50*time.Second+time.Minute {
			t.Errorf("given up after %v", took)
		}
		<-s.leaving // another takes its place
	})
}

func TestASocketThatSaysGoodbyeIsReadForAWhileEvenIfItPings(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		s, far := piped(t)
		ended := make(chan error, 1)
		var heard []string
		go func() { ended <- s.listen(t.Context(), func(in envelope) { heard = append(heard, in.Type) }) }()
		send := func(frame []byte) {
			if _, err := far.Write(frame); err != nil {
				t.Error(err)
			}
			synctest.Wait()
		}
		send(textFrame(`{"type":"hello"}`))
		if s.line.open.Load() != 1 {
			t.Error("not open after the greeting")
		}
		began := time.Now()
		send(textFrame(`{"type":"disconnect","reason":"warning"}`))
		<-s.leaving
		for range 5 {
			time.Sleep(5 * time.Second) // in the bubble
			send(pingFrame)
		}
		send(textFrame(`{"type":"events_api"}`))
		<-ended
		if took := time.Since(began); took != farewell {
			t.Errorf("read for %v", took)
		}
		if len(heard) != 3 || s.line.open.Load() != 0 {
			t.Errorf("took %q, open %d", heard, s.line.open.Load())
		}
	})
}

func TestTheEndOfASocketWaitsForWhatIsOwed(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		s, _ := piped(t)
		ctx, stop := context.WithCancel(t.Context())
		ended := make(chan error, 1)
		go func() { ended <- s.listen(ctx, func(envelope) {}) }()
		synctest.Wait()
		s.owed.Add(1)
		stop()
		synctest.Wait()
		select {
		case err := <-ended:
			t.Fatalf("ended with %v while something was owed", err)
		default:
		}
		if err := s.reply([]byte(`{"envelope_id":"1"}`)); err != nil {
			t.Errorf("not acknowledged: %v", err)
		}
		s.owed.Done()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	})
}

func TestTheWaitBeforeAnotherTryGrowsAndEnds(t *testing.T) {
	t.Parallel()
	for tries, most := range map[int]time.Duration{1: time.Second, 2: 2 * time.Second, 5: 16 * time.Second, 6: redialMost, 1000: redialMost} {
		for range 50 {
			if got := redialAfter(tries); got < most/2 || got >= most {
				t.Fatalf("after %d tries it waits %v, want %v to %v", tries, got, most/2, most)
			}
		}
	}
}
