package door

import (
	"context"
	"errors"
	"net"
	"net/http/httptrace"
	"net/url"
	"sync/atomic"
	"time"

	"ventbell/internal/runner"
)

// Why a call got no answer, fit for a metric's label.
const (
	Unreachable = "unreachable" // no connection came about
	Timeout     = "timeout"
	Reset       = "reset"   // the connection broke
	Stopped     = "stopped" // we stopped waiting ourselves
)

// Watch gives a context for one HTTP call, and a function that says whether
// the request may have gone out: once there is a connection, it may have gone
// out on it.
func Watch(ctx context.Context) (_ context.Context, sent func() bool) {
	out := new(atomic.Bool)
	return httptrace.WithClientTrace(ctx, &httptrace.ClientTrace{
		GotConn: func(httptrace.GotConnInfo) { out.Store(true) },
	}), out.Load
}

// NoAnswer says what to do about a call that got no answer. sent says that the
// request may have gone out.
func NoAnswer(err error, sent bool) *runner.Refusal {
	timedOut := errors.Is(err, context.DeadlineExceeded)
	if wire, ok := errors.AsType[net.Error](err); ok {
		timedOut = timedOut || wire.Timeout()
	}
	// The outer error names the address, and that may be a secret.
	if outer, ok := errors.AsType[*url.Error](err); ok {
		err = outer.Err
	}
	r := &runner.Refusal{Reason: Unreachable, Retry: true, Unsure: sent, Err: err}
	switch {
	case errors.Is(err, context.Canceled):
		r.Reason = Stopped
	case timedOut:
		r.Reason = Timeout
	case sent:
		r.Reason = Reset
	}
	return r
}

// Uncounted takes what a door counts, for nobody.
type Uncounted struct{}

// Called is told of a call that went out.
func (Uncounted) Called(string, string, time.Duration) {}

// Heard is told of something that came in.
func (Uncounted) Heard(string, string) {}
