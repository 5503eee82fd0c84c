package app

import (
	"context"
	"io"
	"net/http"
	"time"
)

// routes is what the port answers: health, metrics and, with the HTTP
// transport, Slack's signed requests.
func (a *App) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) {
		_, _ = io.WriteString(w, "alive\n") // a reader that went away needs no answer
	})
	mux.HandleFunc("GET /readyz", a.readyz)
	mux.Handle("GET /metrics", a.metrics.Handler())
	if a.opts.Transport == "http" {
		mux.Handle("/slack/", a.chat.Handler())
	}
	return mux
}

// readyz says whether the service takes work: it does not while it stops or
// while its ledger does not answer.
func (a *App) readyz(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), 2*time.Second)
	defer cancel()
	if !a.ready.Load() {
		http.Error(w, "not ready: starting or stopping", http.StatusServiceUnavailable)
		return
	}
	if err := a.ledger.Ping(ctx); err != nil {
		a.log.Warn("ledger does not answer", "err", err)
		http.Error(w, "not ready: the ledger does not answer", http.StatusServiceUnavailable)
		return
	}
	_, _ = io.WriteString(w, "ready\n")
}
