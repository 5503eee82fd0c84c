package practice

import (
	"bytes"
	"io"
	"net"
	"net/http"
	"strings"
	"time"
)

// FaultKind is a way in which Slack lets a caller down.
type FaultKind int

// The faults that a call can be given.
const (
	TooFast       FaultKind = iota + 1 // HTTP 429 with Retry-After
	TooFastBare                        // HTTP 429 without it
	TooFastPolite                      // HTTP 200, ok:false, ratelimited
	Wordless                           // HTTP 200, ok:false and no error
	Broken                             // HTTP 500 with a page of HTML
	ResetAfter                         // done, but the connection breaks before the answer
	Stall                              // done and answered, but only after a while
)

// Fault is a fault for calls to come.
type Fault struct {
	Kind   FaultKind
	Method string        // "chat.update"; empty = every chat method
	After  time.Duration // Retry-After by the room's clock, or how long a stall lasts, world time
}

type armed struct {
	Fault
	left int
}

// Fail gives the next n calls that f is for this fault. Faults are used up in
// the order in which they were set.
func (r *Room) Fail(n int, f Fault) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.faults = append(r.faults, &armed{f, n})
}

// fault uses up one fault for a call, nil when there is none.
func (r *Room) fault(method string) *Fault {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, a := range r.faults {
		meant := a.Method == method || a.Method == "" && strings.HasPrefix(method, "chat.")
		if meant && a.left > 0 {
			a.left--
			return &a.Fault
		}
	}
	return nil
}

// before does what the fault does before the call is carried out, and says
// whether it is carried out at all.
func (f *Fault) before(r *Room, w http.ResponseWriter, req *http.Request) bool {
	switch f.Kind {
	case TooFast:
		r.answer(w, method{}, nil, &refusal{code: "ratelimited", after: max(f.After, time.Second)})
	case TooFastBare:
		r.refused("ratelimited")
		w.WriteHeader(http.StatusTooManyRequests)
		_, _ = io.WriteString(w, `{"ok":false,"error":"ratelimited"}`)
	case TooFastPolite:
		r.answer(w, method{}, nil, refuse("ratelimited"))
	case Wordless:
		r.refused("")
		w.Header().Set("Content-Type", "application/json; charset=utf-8")
		_, _ = io.WriteString(w, `{"ok":false}`)
	case Broken:
		r.refused("http 500")
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.WriteHeader(http.StatusInternalServerError)
		_, _ = io.WriteString(w, "<html><body>Something went wrong.</body></html>")
	case Stall:
		// The request is read first, so that it counts even if the caller leaves.
		if body, err := io.ReadAll(http.MaxBytesReader(w, req.Body, maxBody)); err == nil {
			req.Body = io.NopCloser(bytes.NewReader(body))
		}
		timer := time.NewTimer(f.After)
		defer timer.Stop()
		select {
		case <-timer.C:
		case <-r.ctx.Done():
		}
		return true
	default:
		return true
	}
	return false
}

// reset breaks the connection without a word.
func reset(w http.ResponseWriter) {
	conn, _, err := http.NewResponseController(w).Hijack()
	if err != nil {
		panic(http.ErrAbortHandler) // ends the connection too, if less rudely
	}
	if tcp, ok := conn.(*net.TCPConn); ok {
		_ = tcp.SetLinger(0)
	}
	_ = conn.Close()
}
