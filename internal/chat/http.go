package chat

import (
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"net/url"
	"time"
)

// bodyLimit is for one request; Slack's are a few kilobytes.
const bodyLimit = 1 << 20

const (
	formType = "application/x-www-form-urlencoded"
	jsonType = "application/json"
)

// letter is one request that Slack signed.
type letter struct {
	body     []byte
	at       time.Time // as signed
	received time.Time // on our own clock
}

// Handler takes what Slack sends over HTTP, at POST /slack/commands,
// /slack/events and /slack/actions.
func (c *Chat) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("POST /slack/commands", c.signed(formType, c.serveCommand))
	mux.HandleFunc("POST /slack/actions", c.signed(formType, c.serveAction))
	mux.HandleFunc("POST /slack/events", c.signed(jsonType, c.serveEvent))
	return mux
}

// signed reads a request once, whole, and hands it on if Slack signed it and
// it is of the right type.
func (c *Chat) signed(want string, serve func(http.ResponseWriter, letter)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		l := letter{received: time.Now()}
		var err error
		if l.body, err = io.ReadAll(http.MaxBytesReader(w, r.Body, bodyLimit)); err != nil {
			c.reject(w, unread(err), "unread", err)
			return
		}
		kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
		if kind == formType && isProbe(l.body) {
			return
		}
		if l.at, err = verify(c.cfg.Secret, r.Header, l.body, c.cfg.Now()); err != nil {
			c.reject(w, http.StatusUnauthorized, "unverified", err)
			return
		}
		if kind != want {
			c.reject(w, http.StatusUnsupportedMediaType, "wrong type", nil)
			return
		}
		if !c.begin() {
			c.reject(w, http.StatusServiceUnavailable, "closed", nil)
			return
		}
		defer c.intake.Done()
		serve(w, l)
	}
}

// isProbe says that Slack only looks whether our certificate is in order; it
// does so unsigned, and wants an empty 200.
func isProbe(body []byte) bool {
	form, err := url.ParseQuery(string(body))
	return err == nil && form.Get("ssl_check") == "1"
}

func unread(err error) int {
	if tooLarge := new(http.MaxBytesError); errors.As(err, &tooLarge) {
		return http.StatusRequestEntityTooLarge
	}
	return http.StatusBadRequest
}

// reject refuses a request. It is logged only where somebody here can do
// something about it: a genuine request at the wrong time is a wrong clock, or
// a replay.
func (c *Chat) reject(w http.ResponseWriter, status int, outcome string, err error) {
	c.cfg.Metrics.Heard("http", outcome)
	if errors.Is(err, errStale) {
		c.cfg.Log.Warn("a signed request was refused: is the clock right?", "err", err)
	}
	http.Error(w, http.StatusText(status), status)
}

func (c *Chat) serveCommand(w http.ResponseWriter, l letter) {
	form, err := url.ParseQuery(string(l.body))
	if err != nil {
		c.reject(w, http.StatusBadRequest, "unreadable", err)
		return
	}
	a, err := slashForm(form).ask(l.at, c.team())
	if err != nil {
		c.reject(w, http.StatusBadRequest, "unreadable", err)
		return
	}
	c.serveAsk(w, a, l)
}

func (c *Chat) serveAction(w http.ResponseWriter, l letter) {
	form, err := url.ParseQuery(string(l.body))
	payload := []byte(form.Get("payload"))
	if err != nil || !json.Valid(payload) {
		c.reject(w, http.StatusBadRequest, "unreadable", err)
		return
	}
	a, err := decodeAct(payload, c.self, c.cfg.Now())
	if err != nil {
		c.spoiled(tap, a, err)
		return
	}
	c.serveAsk(w, a, l)
}

func (c *Chat) serveEvent(w http.ResponseWriter, l letter) {
	var cb callback
	if err := json.Unmarshal(l.body, &cb); err != nil {
		c.reject(w, http.StatusBadRequest, "unreadable", err)
		return
	}
	if cb.Type == "url_verification" {
		writeJSON(w, map[string]string{"challenge": cb.Challenge})
		return
	}
	a, err := c.decodeCallback(cb)
	if err != nil {
		c.spoiled("event", nil, err)
		return
	}
	c.serveAsk(w, a, l)
}

// serveAsk has an ask heard and acknowledges it; a nil one is nothing for us,
// and leaving without a word acknowledges that.
func (c *Chat) serveAsk(w http.ResponseWriter, a *ask, l letter) {
	if a == nil {
		return
	}
	a.received = l.received
	h, repeat := c.hear(*a)
	c.settle(*a, h, repeat, func(reply any) bool {
		if reply != nil {
			writeJSON(w, reply)
		}
		return true
	})
}

func writeJSON(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	_ = json.NewEncoder(w).Encode(v) // Slack hung up: there is nobody to tell
}
