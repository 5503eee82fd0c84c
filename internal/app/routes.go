package app

import (
	"context"
	"io"
	"net/http"
	"time"
)

// routes is what the port answers: health, metrics and, unless Socket Mode
// brings them, what people ask.
func (a *App) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) {
		_, _ = io.WriteString(w, "alive\n") // a reader that went away needs no answer
	})
	mux.HandleFunc("GET /readyz", a.readyz)
	mux.Handle("GET /metrics", a.metrics.Handler())
	pages := a.wall()
	mux.Handle("/wall", pages)
	mux.Handle("/wall/", pages)
	switch a.opts.Transport {
	case "http":
		mux.Handle("/slack/", a.door.Handler())
	case "webhook":
		mux.Handle("/hatch/", a.door.Handler())
	}
	return mux
}

// readyz says whether the service takes work: it does not while it stops,
// while its ledger does not answer, before Slack reaches it, or while the
// platform turns it away.
func (a *App) readyz(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), 2*time.Second)
	defer cancel()
	if why := a.unready(ctx); why != "" {
		http.Error(w, "not ready: "+why, http.StatusServiceUnavailable)
		return
	}
	_, _ = io.WriteString(w, "ready\n")
}

// unready says why the service takes no work; empty = it does.
func (a *App) unready(ctx context.Context) string {
	if !a.ready.Load() {
		return "starting or stopping"
	}
	if err := a.ledger.Ping(ctx); err != nil {
		a.log.Warn("ledger does not answer", "err", err)
		return "the ledger does not answer"
	}
	if a.opts.Transport == "socket" && !a.chat.Connected() {
		return "Slack has not opened a socket yet, or not again"
	}
	if reason := a.troubles.everywhere(); reason != "" {
		return troubleSaid(reason) + ". " + troubleCure(reason)
	}
	return ""
}
