package runner

import "time"

// tellEvery is how often somebody is told that a lane is still stuck.
const tellEvery = 10 * time.Minute

// stuck is a lane that takes no messages, for a reason that waiting does not
// mend; with no reason, one that takes them.
type stuck struct {
	reason string
	told   time.Time
}

// news is that a lane is stuck, or with an empty reason that it no longer is.
type news struct{ reason string }

// stick leaves everything in a lane that is stuck, and sees to it that somebody
// is told. Nothing is given up; what goes stale meanwhile its words say.
func (l *lane) stick(e queued, r *Refusal) {
	if l.memory.stick(key{l.Kitchen, l.Lane}, r.Reason, l.ledgerTime.Now()) {
		l.news = &news{r.Reason}
		l.Log.Error("lane is stuck", "kitchen", l.Kitchen, "lane", l.Lane, "reason", r.Reason, "err", r)
	}
	l.retry(e, r, 0, max(r.After, stuckWait))
}

// free notes that a lane takes messages.
func (l *lane) free() {
	if l.memory.free(key{l.Kitchen, l.Lane}) {
		l.news = &news{}
	}
}

// stick notes that a lane is stuck and says whether that is news.
func (m *memory) stick(lane key, reason string, now time.Time) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	if s, ok := m.stuck[lane]; ok && s.reason == reason && now.Sub(s.told) < tellEvery {
		return false
	}
	m.stuck[lane] = stuck{reason, now}
	return true
}

// free notes that a lane takes messages and says whether that is news: a lane
// of which nothing is known was stuck perhaps when an earlier process ended,
// since a new token takes a new start.
func (m *memory) free(lane key) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	s, known := m.stuck[lane]
	m.stuck[lane] = stuck{}
	return !known || s.reason != ""
}
