package metrics

import "ventbell/internal/kitchen"

// The values that labels take. The rooms that report them hold the words; a
// list here makes their series start at 0.
var (
	kinds = []kitchen.EntryKind{
		kitchen.Slip, kitchen.HeadsUp, kitchen.Expired, kitchen.ChargeCall, kitchen.StopCall,
		kitchen.VentCall, kitchen.ContactCall, kitchen.StrainCall, kitchen.ClearCall, kitchen.LabelCall,
		kitchen.HistoryNote, kitchen.FallbackCall, kitchen.TroubleCall, kitchen.AlarmCall, kitchen.BlockCall, kitchen.OfferCall, kitchen.ClaimCall, kitchen.JointCall,
		kitchen.QuestionNote, kitchen.RecallCall, kitchen.StockCall, kitchen.OrderCall, kitchen.CountNote, kitchen.CreamSlip, kitchen.CreamCall,
		kitchen.ClosingSlip, kitchen.SummaryNote, kitchen.LeftNote, kitchen.MorningNote, kitchen.LateCall, kitchen.CoolingCall,
	}
	carried = []string{
		"delivered", "edited", "dropped", "given_up", "retried",
		"found", "repeated", "collapsed", "scheduled", "taken_back",
	}

	methods = []string{
		"apps.connections.open", "auth.test", "chat.deleteScheduledMessage", "chat.postEphemeral", "chat.postMessage",
		"chat.scheduleMessage", "chat.update", "conversations.history", "conversations.open", "conversations.replies",
		"response_url", "usergroups.users.list", "users.info", "views.open", "views.publish", "webhook",
	}
	// stuck are the answers that end only when somebody does something.
	stuck = []string{
		"channel archived", "channel gone", "not in channel", "person gone",
		"token refused", "scope missing", "not allowed", "restricted",
	}
	answered = append([]string{
		"ok", "ratelimited", "unreachable", "timeout", "reset", "stopped", "server error", "unclear", "message gone",
		"edit closed", "thread closed", "too late", "bad message", "bad time", "refused",
	}, stuck...)

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
		"slash":    {"ok", "late", "broken", "no kitchen", "repeat"},
		"tap":      {"ok", "late", "broken", "no kitchen", "repeat", "unreadable"},
		"mention":  {"ok", "late", "broken", "no kitchen", "repeat"},
		"thread":   {"ok", "late", "broken", "no kitchen", "repeat"},
		"direct":   {"ok", "late", "broken", "no kitchen", "repeat"},
		"form":     {"ok", "late", "broken", "no kitchen", "repeat"},
		"shortcut": {"ok", "late", "broken", "no kitchen", "repeat"},
		"home":     {"ok", "no kitchen", "repeat"},
		"edit":     {"ok", "repeat"},
		"event":    {"ignored", "unreadable"},
		"http":     {"unread", "unverified", "wrong type", "closed", "unreadable"},
		"socket":   {"unreadable", "unacknowledged"},
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
	for _, reason := range stuck {
		m.trouble.WithLabelValues(reason)
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
