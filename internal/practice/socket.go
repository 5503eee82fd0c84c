package practice

import (
	"context"
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

const (
	maxLinks   = 10               // open connections of one app; docs.slack.dev, Socket Mode
	maxAck     = 20 * 1024        // bytes of an acknowledgement; Slack drops larger ones without a word (slack-go, socketmode)
	ticketLife = 30 * time.Second // from memory; world time
	noticeTime = 10 * time.Second // between a disconnect notice and the end; docs.slack.dev, Socket Mode
)

// link is one open connection of the service.
type link struct {
	conn    *websocket.Conn
	out     chan []byte
	gone    chan struct{}
	leave   sync.Once
	leaving bool // nothing new goes here: a disconnect notice was sent, or it is broken off
}

// close ends the connection without a goodbye, as a broken network does.
func (l *link) close() {
	l.leave.Do(func() {
		close(l.gone)
		_ = l.conn.Close()
	})
}

func openConnection(r *Room, _ map[string]string) (fields, *refusal) {
	if r.cfg.RequestURL != "" {
		return nil, refuse("forbidden_team", "Socket Mode is off here: requests go to the request URL")
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	ticket := r.next("ticket-")
	r.tickets[ticket] = time.Now().Add(ticketLife)
	base := strings.Replace(r.cfg.BaseURL, "http", "ws", 1)
	return fields{"url": base + "/link/?ticket=" + ticket + "&app_id=" + appID}, nil
}

// admit uses up a ticket.
func (r *Room) admit(ticket string) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	until, ok := r.tickets[ticket]
	delete(r.tickets, ticket)
	return ok && time.Now().Before(until)
}

// upgrader lets any origin in: clients name Slack's own, and the ticket decides.
func upgrader() websocket.Upgrader {
	return websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}
}

// socket serves one connection of the service for as long as it stands.
func (r *Room) socket(w http.ResponseWriter, req *http.Request) {
	if !r.admit(req.URL.Query().Get("ticket")) {
		http.Error(w, "ticket unknown, used or expired", http.StatusForbidden)
		return
	}
	up := upgrader()
	conn, err := up.Upgrade(w, req, nil)
	if err != nil {
		r.cfg.Log.Debug("practice socket not opened", "err", err)
		return
	}
	l := &link{conn: conn, out: make(chan []byte, 256), gone: make(chan struct{})}
	defer l.close()
	n, ok := r.join(l)
	if !ok {
		_ = conn.WriteJSON(goodbye("too_many_websockets"))
		return
	}
	defer r.part(l)
	hello, _ := json.Marshal(fields{
		"type": "hello", "num_connections": n, "connection_info": fields{"app_id": appID},
		"debug_info": fields{"host": "practice", "build_number": 1, "approximate_connection_time": 3600},
	})
	l.out <- hello
	r.spawn(func() { r.feed(l) })
	r.listen(l)
}

func goodbye(reason string) fields {
	return fields{"type": "disconnect", "reason": reason, "debug_info": fields{"host": "practice"}}
}

func (r *Room) join(l *link) (int, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closed || len(r.links) >= maxLinks {
		return 0, false
	}
	r.work.Add(1) // until it parts
	r.links = append(r.links, l)
	close(r.joined)
	r.joined = make(chan struct{})
	return len(r.links), true
}

func (r *Room) part(l *link) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.links = slices.DeleteFunc(r.links, func(o *link) bool { return o == l })
	r.work.Done()
}

// feed writes frames and pings until the link is gone.
func (r *Room) feed(l *link) {
	defer l.close()
	ping := time.NewTicker(r.cfg.PingEvery)
	defer ping.Stop()
	for {
		// A client that stopped reading must not hold the writer for ever.
		_ = l.conn.SetWriteDeadline(time.Now().Add(10 * time.Second))
		var err error
		select {
		case frame := <-l.out:
			err = l.conn.WriteMessage(websocket.TextMessage, frame)
		case <-ping.C:
			err = l.conn.WriteMessage(websocket.PingMessage, []byte("practice"))
		case <-l.gone:
			return
		}
		if err != nil {
			return
		}
	}
}

// listen takes acknowledgements until the link is gone.
func (r *Room) listen(l *link) {
	l.conn.SetReadLimit(maxBody)
	for {
		_, frame, err := l.conn.ReadMessage()
		if err != nil {
			return
		}
		var ack struct {
			EnvelopeID string          `json:"envelope_id"`
			Payload    json.RawMessage `json:"payload"`
		}
		if err := json.Unmarshal(frame, &ack); err != nil || len(frame) >= maxAck {
			r.dropped("too big or not readable", "bytes", len(frame), "err", err)
			continue
		}
		r.acked(ack.EnvelopeID, ack.Payload)
	}
}

func (r *Room) dropped(why string, args ...any) {
	r.mu.Lock()
	r.counts.AcksDropped++
	r.mu.Unlock()
	r.cfg.Log.Warn("practice dropped an acknowledgement", append([]any{"reason", why}, args...)...)
}

func (r *Room) acked(id string, payload json.RawMessage) {
	r.mu.Lock()
	ack := r.awaited[id]
	delete(r.awaited, id)
	r.mu.Unlock()
	if ack == nil {
		r.dropped("nothing waits for it", "envelope", id)
		return
	}
	ack <- payload
}

// overSocket sends a parcel over one of the open connections and waits for its
// acknowledgement.
func (r *Room) overSocket(ctx context.Context, p parcel, attempt int, reason string) (json.RawMessage, *failure) {
	r.mu.Lock()
	l := r.pick()
	ack := make(chan json.RawMessage, 1)
	r.awaited[p.id] = ack
	r.mu.Unlock()
	defer func() {
		r.mu.Lock()
		defer r.mu.Unlock()
		delete(r.awaited, p.id)
	}()
	if l == nil {
		return nil, &failure{reason: "connection_failed", err: ErrNobody}
	}
	frame, err := json.Marshal(fields{
		"envelope_id": p.id, "type": p.kind, "payload": p.payload, "accepts_response_payload": p.kind != kindEvent,
		"retry_attempt": attempt, "retry_reason": reason,
	})
	if err != nil {
		return nil, &failure{reason: "unknown_error", err: err}
	}
	late := time.NewTimer(r.cfg.AckWithin)
	defer late.Stop()
	select {
	case l.out <- frame:
	case <-l.gone:
		return nil, &failure{reason: "timeout", err: ErrNotAnswered}
	case <-late.C:
		return nil, &failure{reason: "timeout", err: ErrNotAnswered}
	}
	select {
	case payload := <-ack:
		return payload, nil
	case <-late.C:
	case <-l.gone:
	case <-ctx.Done():
		return nil, &failure{reason: "timeout", err: ctx.Err(), final: true}
	}
	return nil, &failure{reason: "timeout", err: ErrNotAnswered}
}

// pick gives the next open connection in turn, nil when there is none; r.mu is held.
func (r *Room) pick() *link {
	for range r.links {
		r.turn++
		if l := r.links[r.turn%len(r.links)]; !l.leaving {
			return l
		}
	}
	return nil
}

// Connected waits until the service has n connections open. Over signed HTTP
// there are none, and it returns at once.
func (r *Room) Connected(ctx context.Context, n int) error {
	for r.cfg.RequestURL == "" {
		r.mu.Lock()
		open, more := 0, r.joined
		for _, l := range r.links {
			if !l.leaving {
				open++
			}
		}
		r.mu.Unlock()
		if open >= n {
			break
		}
		select {
		case <-more:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}

// DropSockets breaks all open connections without a goodbye.
func (r *Room) DropSockets() {
	r.mu.Lock()
	links := slices.Clone(r.links)
	for _, l := range links {
		l.leaving = true
	}
	r.mu.Unlock()
	for _, l := range links {
		l.close()
	}
}

// Disconnect tells all open connections that they end soon, with Slack's
// reason: "warning", "refresh_requested" or "link_disabled". Nothing new goes
// to them, and they are closed ten seconds later.
func (r *Room) Disconnect(reason string) { r.disconnect(reason, maxLinks) }

// disconnect is Disconnect for the oldest most connections.
func (r *Room) disconnect(reason string, most int) {
	frame, _ := json.Marshal(goodbye(reason))
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, l := range r.links {
		if r.closed || l.leaving || most == 0 {
			continue
		}
		most--
		l.leaving = true
		r.work.Go(func() {
			select {
			case l.out <- frame:
			case <-l.gone:
			}
			timer := time.NewTimer(noticeTime)
			defer timer.Stop()
			select {
			case <-timer.C:
			case <-l.gone:
			case <-r.ctx.Done():
			}
			l.close()
		})
	}
}
