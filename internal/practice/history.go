package practice

import (
	"encoding/base64"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// How much is given at once: when nobody asks, and at most. Source:
// docs.slack.dev, Pagination, and conversations.history.
const (
	usualPage     = 100
	mostOfHistory = 999
)

// readable finds a conversation whose messages the bot may read; r.mu is held.
func (r *Room) readable(id string) (*channel, *refusal) {
	ch := r.channel(id)
	switch {
	case ch == nil:
		return nil, refuse("channel_not_found")
	case !r.scoped(ch.historyScope()):
		return nil, &refusal{code: "missing_scope", needed: ch.historyScope()}
	case !ch.has(botUser):
		return nil, refuse("not_in_channel")
	}
	return ch, nil
}

// span is a stretch of time, in microseconds.
type span struct {
	oldest, latest int64
	inclusive      bool
}

func (s span) holds(m *Message) bool {
	at, _ := micros(m.TS)
	if s.inclusive {
		return s.oldest <= at && at <= s.latest
	}
	return s.oldest < at && at < s.latest
}

var stampForm = regexp.MustCompile(`^(\d{1,12})(?:\.(\d{1,6}))?$`)

// micros reads a time as Slack writes it.
func micros(ts string) (int64, bool) {
	m := stampForm.FindStringSubmatch(ts)
	if m == nil {
		return 0, false
	}
	n, err := strconv.ParseInt(m[1]+(m[2] + "000000")[:6], 10, 64)
	return n, err == nil
}

func readSpan(args map[string]string) (span, *refusal) {
	s := span{oldest: -1, latest: math.MaxInt64, inclusive: isTrue(args["inclusive"])}
	for name, into := range map[string]*int64{"oldest": &s.oldest, "latest": &s.latest} {
		text := args[name]
		if text == "" {
			continue
		}
		at, ok := micros(text)
		if !ok {
			return s, refuse("invalid_ts_" + name)
		}
		*into = at
	}
	return s, nil
}

// limited gives how many things are asked for at once.
func limited(args map[string]string, most int) (int, *refusal) {
	limit := usualPage
	if v, ok := args["limit"]; ok {
		limit, _ = strconv.Atoi(v)
	}
	if limit < 1 || limit > most {
		return 0, refuse("invalid_limit")
	}
	return limit, nil
}

// paged gives the part of n things that a cursor and a limit ask for, and the
// cursor of the next part, empty at the end.
func paged(n int, args map[string]string, most int) (from, to int, next string, no *refusal) {
	limit, no := limited(args, most)
	if no != nil {
		return 0, 0, "", no
	}
	if cursor := args["cursor"]; cursor != "" {
		raw, bad := base64.StdEncoding.DecodeString(cursor)
		at, err := strconv.Atoi(string(raw))
		if bad != nil || err != nil || at < 0 || at > n {
			return 0, 0, "", refuse("invalid_cursor")
		}
		from = at
	}
	to = min(from+limit, n)
	if to < n {
		next = base64.StdEncoding.EncodeToString([]byte(strconv.Itoa(to)))
	}
	return from, to, next, nil
}

// conversationHistory gives what stands in a conversation, the newest first:
// no replies but those posted aloud, nothing that only one person sees.
func conversationHistory(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	ch, no := r.readable(args["channel"])
	if no != nil {
		return nil, no
	}
	within, no := readSpan(args)
	if no != nil {
		return nil, no
	}
	if cursor := args["cursor"]; cursor != "" { // a page goes on where the last ended, whatever was posted since
		raw, err := base64.StdEncoding.DecodeString(cursor)
		text, known := strings.CutPrefix(string(raw), "next_ts:")
		at, number := strconv.ParseInt(text, 10, 64)
		if err != nil || !known || number != nil {
			return nil, refuse("invalid_cursor")
		}
		within.latest = at
		if !within.inclusive {
			within.latest++
		}
	}
	all := slices.Clone(ch.messages)
	slices.Reverse(all)
	all = slices.DeleteFunc(all, func(m *Message) bool {
		return m.For != "" || m.ThreadTS != "" && !m.Aloud || !within.holds(m)
	})
	n, no := limited(args, mostOfHistory)
	if no != nil {
		return nil, no
	}
	if n >= len(all) {
		return r.pageOf(all, args, ""), nil
	}
	at, _ := micros(all[n].TS)
	return r.pageOf(all[:n], args, base64.StdEncoding.EncodeToString(fmt.Appendf(nil, "next_ts:%d", at))), nil
}

// conversationReplies gives a thread, its parent first; of a reply or of a
// message without any, that alone.
func conversationReplies(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	ch, no := r.readable(args["channel"])
	if no != nil {
		return nil, no
	}
	within, no := readSpan(args)
	if no != nil {
		return nil, no
	}
	parent := ch.message(args["ts"])
	if parent == nil || parent.For != "" {
		return nil, refuse("thread_not_found")
	}
	all := []*Message{parent}
	for _, m := range ch.threads[parent.TS] {
		if within.holds(m) {
			all = append(all, m)
		}
	}
	from, to, next, no := paged(len(all), args, mostOfHistory)
	if no != nil {
		return nil, no
	}
	return r.pageOf(all[from:to], args, next), nil
}

// pageOf gives messages as an answer. Metadata is left out unless asked for.
func (r *Room) pageOf(list []*Message, args map[string]string, next string) fields {
	messages := make([]fields, len(list))
	for i, m := range list {
		messages[i] = r.wire(m)
		if !isTrue(args["include_all_metadata"]) {
			delete(messages[i], "metadata")
		}
	}
	out := fields{"messages": messages, "has_more": next != "", "pin_count": 0}
	if next != "" {
		out["response_metadata"] = fields{"next_cursor": next}
	}
	return out
}
