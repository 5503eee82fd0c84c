package chat

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gorilla/websocket"
)

const (
	// dialLimit is for opening one socket.
	dialLimit = 10 * time.Second
	// silence is how long an open socket may bring nothing, not even a ping:
	// Slack pings several times a minute. One that looks open and brings
	// nothing is the worst kind of broken.
	silence = time.Minute
	// farewell is how long a socket is read after Slack said that it goes; it
	// closes it itself after about ten seconds.
	farewell = 30 * time.Second
	// writeLimit is for handing over one acknowledgement.
	writeLimit = 2 * time.Second
	// frameLimit is for one message on the socket, in bytes.
	frameLimit = 4 << 20
	// replyLimit is for one acknowledgement, in bytes: Slack drops a larger
	// one without a word. Source: github.com/slack-go/slack, socketmode.
	replyLimit = 20 * 1024
)

// line is one standing connection to Slack. While it is renewed it has two
// sockets for a moment, the old and the new.
type line struct {
	heard atomic.Int64 // when something last came, in microseconds
	open  atomic.Int32 // sockets that Slack greeted and that are still open
}

// socket is one open socket.
type socket struct {
	line    *line
	conn    *websocket.Conn
	opened  time.Time
	silence time.Duration
	// Only the reader looks at these two.
	greeted bool
	ends    time.Time // when it is given up; zero = not known

	leaving chan struct{} // closed when another has to take its place
	once    sync.Once
	writing sync.Mutex
	owed    sync.WaitGroup // what was taken in and is not yet acknowledged
}

// dial opens a socket.
func (c *Chat) dial(ctx context.Context, l *line) (*socket, error) {
	ctx, cancel := context.WithTimeout(ctx, dialLimit)
	defer cancel()
	var conn *websocket.Conn
	err := c.call(ctx, "apps.connections.open", func(ctx context.Context) error {
		_, address, err := c.api.StartSocketModeContext(ctx)
		if err != nil {
			return err
		}
		d := websocket.Dialer{
			Proxy: http.ProxyFromEnvironment, HandshakeTimeout: dialLimit,
			// An acknowledgement goes out in one frame.
			WriteBufferSize: replyLimit + 1024,
		}
		// The address holds a ticket: no error may name it.
		var res *http.Response
		conn, res, err = d.DialContext(ctx, address, nil)
		if err != nil && res != nil {
			return fmt.Errorf("dial socket: %s: %w", res.Status, errNoSocket)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	conn.SetReadLimit(frameLimit)
	return &socket{line: l, conn: conn, opened: time.Now(), silence: c.silence, leaving: make(chan struct{})}, nil
}

var errNoSocket = errors.New("Slack opens no socket")

// alive notes that something came, and gives the next thing its time.
func (s *socket) alive() {
	s.line.heard.Store(time.Now().UnixMicro())
	s.arm()
}

// arm has the read that waits fail when nothing comes in time.
func (s *socket) arm() {
	until := time.Now().Add(s.silence)
	if !s.ends.IsZero() && s.ends.Before(until) {
		until = s.ends
	}
	_ = s.conn.SetReadDeadline(until) // on a closed one the read fails anyway
}

// leave has another socket take this one's place.
func (s *socket) leave() { s.once.Do(func() { close(s.leaving) }) }

// listen gives each envelope that comes to take, until the socket breaks, ctx
// ends, or Slack is through with it; then it waits until everything that came
// has been acknowledged, and closes.
func (s *socket) listen(ctx context.Context, take func(envelope)) error {
	defer func() {
		s.leave()
		s.owed.Wait()
		_ = s.conn.WriteControl(websocket.CloseMessage,
			websocket.FormatCloseMessage(websocket.CloseNormalClosure, ""), time.Now().Add(writeLimit))
		s.conn.Close()
		if s.greeted {
			s.line.open.Add(-1)
		}
	}()
	// The end of ctx breaks off the read that waits.
	stop := context.AfterFunc(ctx, func() { _ = s.conn.NetConn().SetReadDeadline(time.Unix(1, 0)) })
	defer stop()
	s.conn.SetPingHandler(func(data string) error {
		s.alive()
		// A pong that does not go out is no reason to stop reading.
		_ = s.conn.WriteControl(websocket.PongMessage, []byte(data), time.Now().Add(writeLimit))
		return ctx.Err()
	})
	s.arm()
	for ctx.Err() == nil {
		_, frame, err := s.conn.ReadMessage()
		if err != nil && ctx.Err() == nil {
			return fmt.Errorf("read socket: %w", err)
		}
		if err != nil {
			return nil
		}
		s.alive()
		var in envelope
		if err := json.Unmarshal(frame, &in); err != nil {
			in = envelope{Type: noEnvelope}
		}
		switch in.Type {
		case "hello":
			if !s.greeted {
				s.greeted = true
				s.line.open.Add(1)
			}
		case "disconnect":
			// Slack closes it in a few seconds. What was taken in is still
			// acknowledged here, while the next one opens.
			s.leave()
			s.ends = time.Now().Add(farewell)
			s.arm()
		}
		take(in)
	}
	return nil
}

// reply writes an acknowledgement.
func (s *socket) reply(body []byte) error {
	s.writing.Lock()
	defer s.writing.Unlock()
	if err := s.conn.SetWriteDeadline(time.Now().Add(writeLimit)); err != nil {
		return err
	}
	return s.conn.WriteMessage(websocket.TextMessage, body)
}
