package practice

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"net"
	"net/http"
	"strconv"
	"strings"
	"time"
)

//go:embed page
var pageFiles embed.FS

// Handler serves the whole room: the Web API, sockets, response URLs and the
// page. It answers only under a loopback name and takes nothing from other
// sites' pages.
func (r *Room) Handler() http.Handler {
	files, err := fs.Sub(pageFiles, "page")
	if err != nil {
		panic(err) // the embedded folder is part of the program
	}
	front := template.Must(template.ParseFS(files, "index.html"))
	mux := http.NewServeMux()
	mux.Handle("/api/{method}", r.reachable(r.api()))
	mux.Handle("GET /link/", r.reachable(http.HandlerFunc(r.socket)))
	for _, kind := range []string{"commands", "actions", "app"} {
		mux.Handle("POST /"+kind+"/{team}/{id}", r.reachable(http.HandlerFunc(r.respond)))
	}
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, req *http.Request) { r.front(w, req, front) })
	mux.HandleFunc("GET /page/feed", r.stream)
	mux.HandleFunc("POST /page/say", r.pageSay)
	mux.HandleFunc("POST /page/tap", r.pageTap)
	mux.HandleFunc("POST /page/shortcut", r.pageShortcut)
	mux.HandleFunc("POST /page/home", r.pageHome)
	mux.HandleFunc("POST /page/tap-view", r.pageTapView)
	mux.HandleFunc("POST /page/submit", r.pageSubmit)
	mux.HandleFunc("POST /page/close", r.pageClose)
	for _, name := range []string{"room.css", "form.css", "room.js", "views.js", "blocks.js", "text.js"} {
		mux.HandleFunc("GET /page/"+name, func(w http.ResponseWriter, req *http.Request) {
			http.ServeFileFS(w, req, files, name)
		})
	}
	return loopbackOnly(http.NewCrossOriginProtection().Handler(mux))
}

// loopbackOnly keeps out requests that another site's name brought here.
func loopbackOnly(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		host := req.Host
		if name, _, err := net.SplitHostPort(host); err == nil {
			host = name
		}
		ip := net.ParseIP(strings.Trim(host, "[]"))
		if host != "localhost" && (ip == nil || !ip.IsLoopback()) {
			http.Error(w, "the practice room answers on loopback only", http.StatusForbidden)
			return
		}
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "+
			"base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, req)
	})
}

// sight is what one person sees when the page opens.
type sight struct {
	Me       string        `json:"me"`
	Bot      string        `json:"bot"`
	Command  string        `json:"command"`
	Zone     string        `json:"zone"`
	Clock    string        `json:"clock"`
	People   []named       `json:"people"`
	Channels []named       `json:"channels"`
	Messages []pageMessage `json:"messages"`
	Seen     int           `json:"seen"` // changes so far
	Views    pageViews     `json:"views"`
	Outside  *outside      `json:"-"`
	// The shortcuts that stand anywhere and those on a message.
	Shortcuts []named `json:"shortcuts"`
	OnMessage []named `json:"onMessage"`
}

// outside is a page of the service behind the room, linked on the room's own.
type outside struct{ Name, Address string }

// LinkTo puts a link to a page of the service behind the room on the room's page.
func (r *Room) LinkTo(name, address string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.outside = &outside{name, address}
}

type named struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	Direct bool   `json:"direct,omitempty"`
}

type pageMessage struct {
	Channel string  `json:"channel"`
	TS      string  `json:"ts"`
	Who     string  `json:"who"`
	Text    string  `json:"text"`
	Blocks  []Block `json:"blocks,omitempty"`
	Thread  string  `json:"thread,omitempty"`
	Private bool    `json:"private,omitempty"`
	Aloud   bool    `json:"aloud,omitempty"`
	At      string  `json:"at"`
	Edits   int     `json:"edits,omitempty"`
	Edited  string  `json:"edited,omitempty"`
	Gone    bool    `json:"gone,omitempty"`
}

func (r *Room) onPage(c Change) pageMessage {
	m := c.Message
	out := pageMessage{
		Channel: m.Channel, TS: m.TS, Who: m.Person, Text: m.Text, Blocks: m.Blocks, Thread: m.ThreadTS,
		Private: m.For != "", Aloud: m.Aloud, At: m.At.In(r.cfg.Zone).Format("15:04"), Edits: len(m.Edits), Gone: c.Kind == Deleted,
	}
	if n := len(m.Edits); n > 0 {
		out.Edited = m.Edits[n-1].Until.In(r.cfg.Zone).Format("15:04")
	}
	return out
}

// sees says whether a message is for a person's eyes; r.mu is held.
func (r *Room) sees(who string, m Message) bool {
	ch := r.channel(m.Channel)
	return ch != nil && ch.has(who) && (m.For == "" || m.For == who)
}

// sight gives what who sees; the first person when who is nobody.
func (r *Room) sight(who string) sight {
	r.mu.Lock()
	defer r.mu.Unlock()
	if (r.name(who) == "" || who == botUser) && len(r.people) > 1 {
		who = r.people[1].id
	}
	s := sight{
		Me: who, Bot: botUser, Command: r.cfg.Commands[0], Zone: r.cfg.Zone.String(), Clock: r.clockFace(),
		Seen: len(r.changes), Messages: []pageMessage{}, Channels: []named{}, Views: r.face(who).onPage(),
		Shortcuts: listed(r.cfg.Shortcuts), OnMessage: listed(r.cfg.MessageShortcuts), Outside: r.outside,
	}
	for _, p := range r.people {
		s.People = append(s.People, named{ID: p.id, Name: p.name})
	}
	r.direct(who)
	for _, ch := range r.rooms {
		if ch.has(who) {
			s.Channels = append(s.Channels, named{ch.id, ch.name, ch.direct != ""})
		}
	}
	for _, m := range r.standing("") {
		if r.sees(who, m) {
			s.Messages = append(s.Messages, r.onPage(Change{Posted, m}))
		}
	}
	return s
}

func (r *Room) clockFace() string { return r.cfg.Clock.Now().In(r.cfg.Zone).Format("15:04:05") }

// front serves the page with everything that stands, so that it is complete
// before anything else is loaded.
func (r *Room) front(w http.ResponseWriter, req *http.Request, page *template.Template) {
	var b bytes.Buffer
	if err := page.Execute(&b, r.sight(req.URL.Query().Get("as"))); err != nil {
		r.cfg.Log.Error("practice page not drawn", "err", err)
		http.Error(w, "the page could not be drawn", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(b.Bytes())
}

// stream sends what changes and, each second, the room's time, as server-sent
// events.
func (r *Room) stream(w http.ResponseWriter, req *http.Request) {
	who := req.URL.Query().Get("as")
	seen := req.URL.Query().Get("seen")
	if last := req.Header.Get("Last-Event-ID"); last != "" {
		seen = last
	}
	r.mu.Lock()
	all := len(r.changes)
	r.mu.Unlock()
	from, err := strconv.Atoi(seen)
	if err != nil || from < 0 || from > all {
		http.Error(w, "seen must be a count of changes", http.StatusBadRequest)
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	out := &lines{w: w, flush: http.NewResponseController(w).Flush}
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for turns := -1; ; {
		changes, more := r.since(from)
		for _, c := range changes {
			from++
			r.mu.Lock()
			sees := r.sees(who, c.Message)
			r.mu.Unlock()
			if sees && out.event("message", from, r.onPage(c)) != nil {
				return
			}
		}
		r.mu.Lock()
		face, clock := r.face(who), r.clockFace()
		views, now := face.onPage(), face.turns
		r.mu.Unlock()
		if now != turns && out.event("views", from, views) != nil {
			return
		}
		turns = now
		select {
		case <-more:
		case <-tick.C:
			if out.event("clock", from, clock) != nil {
				return
			}
		case <-req.Context().Done():
			return
		case <-r.ctx.Done():
			return
		}
	}
}

// lines writes server-sent events.
type lines struct {
	w     io.Writer
	flush func() error
}

func (l *lines) event(name string, id int, v any) error {
	data, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("write event: %w", err)
	}
	if _, err := fmt.Fprintf(l.w, "id: %d\nevent: %s\ndata: %s\n\n", id, name, data); err != nil {
		return fmt.Errorf("write event: %w", err)
	}
	return l.flush()
}

// pageSay takes a typed line: a slash command or a message.
func (r *Room) pageSay(w http.ResponseWriter, req *http.Request) {
	var in struct{ As, Channel, Text, Thread string }
	if !r.posting(w, req, &in) {
		return
	}
	line := strings.TrimSpace(in.Text)
	if line == "" {
		r.pageAnswer(w, nil)
		return
	}
	if command, text, _ := strings.Cut(line, " "); strings.HasPrefix(line, "/") {
		_, err := r.Command(req.Context(), in.As, in.Channel, command, text)
		r.pageAnswer(w, err)
		return
	}
	_, err := r.Say(req.Context(), in.As, in.Channel, line, in.Thread)
	r.pageAnswer(w, err)
}

func (r *Room) pageTap(w http.ResponseWriter, req *http.Request) {
	var in struct{ As, Channel, TS, Block, Action string }
	if !r.posting(w, req, &in) {
		return
	}
	_, err := r.tap(req.Context(), in.As, in.Channel, in.TS, func(block string, b Button) bool {
		return block == in.Block && b.ActionID == in.Action
	})
	r.pageAnswer(w, err)
}

func (r *Room) posting(w http.ResponseWriter, req *http.Request, in any) bool {
	if !isJSON(req) {
		http.Error(w, "the body must be JSON", http.StatusUnsupportedMediaType)
		return false
	}
	if err := json.NewDecoder(http.MaxBytesReader(w, req.Body, maxBody)).Decode(in); err != nil {
		http.Error(w, "the body must be JSON", http.StatusBadRequest)
		return false
	}
	return true
}

func (r *Room) pageAnswer(w http.ResponseWriter, err error) {
	w.Header().Set("Content-Type", "application/json")
	out := fields{}
	if err != nil {
		out["error"] = err.Error()
		w.WriteHeader(http.StatusBadGateway)
	}
	_ = json.NewEncoder(w).Encode(out)
}
