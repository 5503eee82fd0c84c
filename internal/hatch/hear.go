package hatch

import (
	"cmp"
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"mime"
	"net/http"
	"net/url"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"ventbell/internal/desk"
	"ventbell/internal/kitchen"
	"ventbell/internal/request"
	"ventbell/internal/voice"
)

const (
	bodyLimit = 64 << 10 // bytes of one command; one is some hundred
	// heardLimit is how long a command may take in all: a ledger can be
	// started again in that time, and the outcome still reaches who waits.
	heardLimit = 2 * time.Minute
	// slash is the one way in, as the metrics name it.
	slash = "slash"
)

// order is one command, as it came.
type order struct {
	id       string // the same for every time that the same command arrives
	channel  string
	by       kitchen.Person
	text     string
	tap      *kitchen.Tap // what a typed reply stands for
	command  string       // "/bell", as it is called there
	replyURL string       // where an answer may be sent later; may be empty
	at       time.Time
}

// Handler takes commands, at POST /hatch/command.
func (h *Hatch) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("POST /hatch/command", h.serve)
	return mux
}

func (h *Hatch) serve(w http.ResponseWriter, r *http.Request) {
	received := time.Now()
	if kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type")); kind != "application/x-www-form-urlencoded" {
		h.reject(w, http.StatusUnsupportedMediaType, "wrong type")
		return
	}
	r.Body = http.MaxBytesReader(w, r.Body, bodyLimit)
	if err := r.ParseForm(); err != nil {
		status := http.StatusBadRequest
		if _, tooLarge := errors.AsType[*http.MaxBytesError](err); tooLarge {
			status = http.StatusRequestEntityTooLarge
		}
		h.reject(w, status, "unread")
		return
	}
	if !h.admits(r) {
		h.reject(w, http.StatusUnauthorized, "unverified")
		return
	}
	if !h.intake.Begin(h.cfg.Now()) {
		h.reject(w, http.StatusServiceUnavailable, "closed")
		return
	}
	defer h.intake.Done()
	o, err := h.order(r.PostForm)
	if err != nil {
		h.reject(w, http.StatusBadRequest, "unreadable")
		return
	}
	h.settle(w, o, received)
}

func (h *Hatch) reject(w http.ResponseWriter, status int, outcome string) {
	h.cfg.Metrics.Heard("http", outcome)
	http.Error(w, http.StatusText(status), status)
}

// admits says that a request carries the token: in its header, else in its
// form. The comparison takes as long whatever was sent.
func (h *Hatch) admits(r *http.Request) bool {
	given := r.PostForm.Get("token")
	if scheme, value, ok := strings.Cut(r.Header.Get("Authorization"), " "); ok &&
		(strings.EqualFold(scheme, "Token") || strings.EqualFold(scheme, "Bearer")) {
		given = strings.TrimSpace(value)
	}
	ours, theirs := sha256.Sum256([]byte(h.cfg.Token)), sha256.Sum256([]byte(given))
	return given != "" && subtle.ConstantTimeCompare(ours[:], theirs[:]) == 1
}

// order reads a command's form.
func (h *Hatch) order(form url.Values) (order, error) {
	o := order{
		channel: form.Get("channel_id"), text: strings.TrimSpace(form.Get("text")),
		by:      kitchen.Person{ID: form.Get("user_id"), Name: form.Get("user_name")},
		command: form.Get("command"), replyURL: form.Get("response_url"), at: h.cfg.Now(),
	}
	if o.channel == "" || o.by.ID == "" {
		return o, errors.New("decode command: channel or user missing")
	}
	if o.by.Name != "" {
		h.names.Store(o.by.ID, o.by.Name)
	}
	o.by.Name = h.name(o.by.ID)
	if trigger := form.Get("trigger_id"); trigger != "" {
		o.id = "hatch:" + trigger
	} else {
		o.id = "hatch:" + h.recent.id(o.at, form.Get("team_id"), o.channel, o.by.ID, o.text)
	}
	o.text, o.tap = untyped(o.text)
	return o, nil
}

// name gives a person's name as last heard, else their id.
func (h *Hatch) name(id string) string {
	name, _ := h.names.Load(id)
	known, _ := name.(string)
	return cmp.Or(known, id)
}

// settle has an order carried out and answers it as soon as the outcome is
// known; at the end of its patience it answers that nothing is saved yet, and
// tells the outcome when it comes.
func (h *Hatch) settle(w http.ResponseWriter, o order, received time.Time) {
	where, known := h.cfg.Kitchens[o.channel]
	if !known {
		h.cfg.Metrics.Heard(slash, "no kitchen")
		h.answer(w, o, h.cfg.Voice.NoKitchen())
		return
	}
	select {
	case h.busy <- struct{}{}:
	default:
		h.answer(w, o, h.broken(where, errTooMany))
		return
	}
	outcome := make(chan voice.Message, 1)
	h.intake.Go(func() {
		outcome <- h.carryOut(where, o)
		<-h.busy
	})
	timer := time.NewTimer(h.cfg.Patience - time.Since(received))
	defer timer.Stop()
	select {
	case m := <-outcome:
		h.answer(w, o, m)
	case <-timer.C:
		h.cfg.Metrics.Heard(slash, "late")
		h.answer(w, o, h.cfg.Voice.NotSaved())
		h.intake.Go(func() { h.tell(o, <-outcome) })
	}
}

// carryOut has the desk carry out an order and words what came of it.
func (h *Hatch) carryOut(where string, o order) (m voice.Message) {
	// One line that trips over a mistake of ours must not end the process: the
	// calls of everybody else would be late.
	defer func() {
		if trip := recover(); trip != nil {
			m = h.broken(where, fmt.Errorf("panic: %v\n%s", trip, debug.Stack()))
		}
	}()
	ctx, cancel := context.WithTimeout(h.life, heardLimit)
	defer cancel()
	reply, err := h.cfg.Desk.Heard(ctx, where, kitchen.Command{ID: o.id, Text: o.text, Tap: o.tap, By: o.by, At: o.at})
	if err != nil {
		return h.broken(where, err)
	}
	h.cfg.Metrics.Heard(slash, "ok")
	return h.word(reply)
}

// word puts a reply into words. What was posted before stands as it was; so
// who has done a step is shown how its batch stands now, and what comes next.
func (h *Hatch) word(reply desk.Reply) voice.Message {
	m := h.cfg.Voice.Answer(reply.State, reply.Answer)
	if reply.Answer.Kind != kitchen.Done || reply.Answer.Verb == request.Start || reply.State == nil {
		return m
	}
	if b := reply.State.Batches[reply.Answer.Batch]; b != nil {
		slip := h.cfg.Voice.Slip(reply.State, b)
		m.Lines, m.Buttons = append(m.Lines, slip.Lines...), append(m.Buttons, slip.Buttons...)
	}
	return m
}

// broken notes that an order could not be carried out.
func (h *Hatch) broken(where string, err error) voice.Message {
	h.cfg.Metrics.Heard(slash, "broken")
	h.cfg.Log.Error("a command was not carried out", "kitchen", where, "kind", slash, "err", err)
	return h.cfg.Voice.Broken()
}

var errTooMany = errors.New("too many wait")

// note is an answer as such a server takes it, seen only by the one who asked.
type note struct {
	Type string `json:"response_type"`
	Text string `json:"text"`
}

func (h *Hatch) answer(w http.ResponseWriter, o order, m voice.Message) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	_ = json.NewEncoder(w).Encode(note{"ephemeral", text("", m, o.command)}) // it hung up: there is nobody to tell
}

// recent gives commands that carry no id of their own one id each. A command
// that is posted twice within a second is one command, also to another
// replica if it comes within the same second of the clock.
type recent struct {
	mu    sync.Mutex
	known map[string]once
}

type once struct {
	id string
	at time.Time
}

func (r *recent) id(now time.Time, parts ...string) string {
	r.mu.Lock()
	defer r.mu.Unlock()
	for key, o := range r.known {
		if now.Sub(o.at) >= time.Second {
			delete(r.known, key)
		}
	}
	key := strings.Join(parts, "\x00")
	if o, again := r.known[key]; again {
		return o.id
	}
	sum := sha256.Sum256([]byte(key + "\x00" + now.UTC().Format(time.DateTime)))
	if r.known == nil {
		r.known = map[string]once{}
	}
	o := once{id: hex.EncodeToString(sum[:16]), at: now}
	r.known[key] = o
	return o.id
}
