package metrics

import "ventbell/internal/kitchen"

// The values that labels take. The rooms that report them hold the words; a
// list here makes their series start at 0.
var (
	kinds = []kitchen.EntryKind{
		kitchen.Slip, kitchen.HeadsUp, kitchen.Expired, kitchen.ChargeCall, kitchen.StopCall,
		kitchen.VentCall, kitchen.ContactCall, kitchen.StrainCall, kitchen.ClearCall, kitchen.LabelCall,
	}
	carried = []string{"delivered", "edited", "dropped", "given_up", "retried"}

	methods  = []string{"auth.test", "chat.postMessage", "chat.update", "response_url", "users.info"}
	answered = []string{
		"ok", "ratelimited", "unreachable", "timeout", "reset", "stopped", "server error", "unclear", "message gone",
		"channel gone", "person gone", "not in channel", "not allowed", "bad message", "refused",
	}

	operations = []string{"commit", "day", "done", "due", "lines", "load", "peek", "ping", "record", "take"}
	ended      = []string{"ok", "cancelled", "error"}
	// endedToo are the ends that only some operations can have.
	endedToo = map[string][]string{
		"commit": {"stale", "newer", "too big"},
		"load":   {"newer"},
		"peek":   {"newer"},
		"take":   {"newer"},
		"done":   {"newer"},
	}

	// heard are the ways in, each with what can become of what came.
	heard = map[string][]string{
		"slash":   {"ok", "late", "broken", "no kitchen"},
		"tap":     {"ok", "late", "broken", "no kitchen", "unreadable"},
		"mention": {"ok", "late", "broken", "no kitchen", "repeat"},
		"thread":  {"ok", "late", "broken", "no kitchen", "repeat"},
		"direct":  {"ok", "late", "broken", "no kitchen", "repeat"},
		"event":   {"ignored", "unreadable"},
		"http":    {"unread", "unverified", "wrong type", "closed", "unreadable"},
		"socket":  {"unreadable", "unacknowledged"},
	}
)

// begin makes every series that can be expected.
func (m *Metrics) begin() {
	for _, kind := range kinds {
		m.callLate.WithLabelValues(string(kind))
		for _, outcome := range carried {
			m.calls.WithLabelValues(string(kind), outcome)
		}
	}
	for _, method := range methods {
		m.slackSeconds.WithLabelValues(method)
		for _, outcome := range answered {
			m.slackCalls.WithLabelValues(method, outcome)
		}
	}
	for _, op := range operations {
		for _, outcome := range ended {
			m.ledger.WithLabelValues(op, outcome)
		}
		for _, outcome := range endedToo[op] {
			m.ledger.WithLabelValues(op, outcome)
		}
	}
	for way, outcomes := range heard {
		for _, outcome := range outcomes {
			m.requests.WithLabelValues(way, outcome)
		}
	}
}
