package practice

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"time"
)

// How long and how often a response_url serves. Source: docs.slack.dev,
// Handling user interaction.
const (
	replyUses = 5
	replyLife = 30 * time.Minute
)

// replyURL is a response_url that was given out.
type replyURL struct {
	channel  string
	person   string
	original string // the message whose button was tapped
	uses     int
	until    time.Time
}

// reply is what a response_url or the acknowledgement of a slash command says.
// Fields that slack-go adds and that mean nothing are taken and left alone.
type reply struct {
	Text            string          `json:"text"`
	Blocks          json.RawMessage `json:"blocks"`
	ResponseType    string          `json:"response_type"`
	ReplaceOriginal bool            `json:"replace_original"`
	DeleteOriginal  bool            `json:"delete_original"`
	ThreadTS        string          `json:"thread_ts"`
	Metadata        json.RawMessage `json:"metadata"`
}

// openReply gives out a response_url; r.mu is held.
func (r *Room) openReply(kind string, u *replyURL) string {
	u.until = r.cfg.Clock.Now().Add(replyLife)
	id := r.next("reply-")
	r.replies[id] = u
	return r.cfg.BaseURL + "/" + kind + "/" + teamID + "/" + id
}

// respond serves response_urls.
func (r *Room) respond(w http.ResponseWriter, req *http.Request) {
	if !isJSON(req) {
		r.unheard(w, http.StatusBadRequest, refuse("invalid_payload", "the body must be JSON"))
		return
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, req.Body, maxBody))
	if err != nil {
		r.unheard(w, http.StatusBadRequest, refuse("invalid_payload"))
		return
	}
	r.mu.Lock()
	u := r.replies[req.PathValue("id")]
	now := r.cfg.Clock.Now()
	r.mu.Unlock()
	switch {
	case u == nil:
		r.unheard(w, http.StatusNotFound, refuse("no_service"))
		return
	case now.After(u.until):
		r.unheard(w, http.StatusNotFound, refuse("expired_url"))
		return
	}
	if no := r.reply(u, body); no != nil {
		status := http.StatusBadRequest
		if no.code == "used_url" {
			status = http.StatusNotFound
		}
		r.unheard(w, status, no)
		return
	}
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	_, _ = io.WriteString(w, "ok")
}

// unheard refuses a use of a response_url. The form of these refusals is from
// memory; clients only look at the status.
func (r *Room) unheard(w http.ResponseWriter, status int, no *refusal) {
	if no.after == 0 {
		w.Header().Set("Content-Type", "application/json; charset=utf-8")
		w.WriteHeader(status)
	}
	r.answer(w, method{}, nil, no)
}

// reply uses a response_url once.
func (r *Room) reply(u *replyURL, body []byte) *refusal {
	said, no := readReply(body)
	if no != nil {
		return no
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if u.uses >= replyUses {
		return refuse("used_url")
	}
	_, no = r.put(u, said)
	if no == nil {
		u.uses++
	}
	return no
}

func readReply(body []byte) (reply, *refusal) {
	var said reply
	d := json.NewDecoder(bytes.NewReader(body))
	d.DisallowUnknownFields()
	if err := d.Decode(&said); err != nil {
		return said, refuse("invalid_payload", err.Error())
	}
	switch said.ResponseType {
	case "", "ephemeral", "in_channel":
		return said, nil
	}
	return said, refuse("invalid_payload", "response_type must be ephemeral or in_channel")
}

// put puts what was said where it belongs; r.mu is held.
func (r *Room) put(u *replyURL, said reply) (*Message, *refusal) {
	ch := r.channel(u.channel)
	var original *Message
	if u.original != "" {
		original = ch.message(u.original)
	}
	if (said.ReplaceOriginal || said.DeleteOriginal) && original == nil {
		return nil, refuse("message_not_found", "there is no original message to replace or delete")
	}
	if said.DeleteOriginal {
		r.remove(ch, original)
		return nil, nil
	}
	args := map[string]string{"text": said.Text}
	if raw := string(said.Blocks); raw != "" && raw != "null" {
		args["blocks"] = raw
	}
	d, no := r.draft(args)
	if no != nil {
		return nil, no
	}
	if said.ReplaceOriginal {
		d.hasBlocks = true // what replaces a message replaces all of it
		r.rewrite(ch, original, d)
		return original, nil
	}
	parent, no := ch.thread(said.ThreadTS)
	if no != nil {
		return nil, no
	}
	m := Message{Person: botUser, ThreadTS: parent, For: u.person}
	if said.ResponseType == "in_channel" {
		m.For = ""
		if no := r.paced(ch); no != nil {
			return nil, no
		}
	}
	return r.write(ch, m, d), nil
}

// answered puts into the room what came with the acknowledgement of a slash
// command; nothing, null and {} say nothing.
func (r *Room) answered(u *replyURL, body json.RawMessage) (*Message, *refusal) {
	switch strings.TrimSpace(string(body)) {
	case "", "null", "{}":
		return nil, nil
	}
	said, no := readReply(body)
	if no != nil {
		r.refused(no.code)
		return nil, no
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	m, no := r.put(u, said)
	if no != nil {
		r.counts.Refused[no.code]++
		return nil, no
	}
	stands := *m
	return &stands, nil
}
