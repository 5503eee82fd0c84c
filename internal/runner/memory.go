package runner

import (
	"sync"
	"time"

	"golang.org/x/time/rate"

	"ventbell/internal/kitchen"
)

// forgetAfter is how long the memory keeps what nobody asks for again.
const forgetAfter = 10 * time.Minute

// key names an entry among all kitchens, or a lane.
type key struct{ kitchen, name string }

// memory is what one process remembers beside the ledger. Losing it costs
// patience and pace, never a message. Times are the ledger's.
type memory struct {
	mu    sync.Mutex
	tries map[key]tries
	edits map[key]*rate.Limiter // by lane
	taken map[key]time.Time     // by lane, when it last took a new message
	stuck map[key]stuck         // by lane
	lost  map[key]lost
	held  time.Time // the platform takes no edits before this
}

// tries are an entry's failures in a row.
type tries struct {
	n      int
	own    int       // those between which its lane took other messages
	last   time.Time // the last failure
	until  time.Time // not tried again before this
	repeat time.Time // when a repeat was no surer than what it repeated
	blind  time.Time // since when it can't be looked up
}

// lost is a message that was sent while the ledger could not record it.
type lost struct {
	kitchen.Sent
	since time.Time
}

func newMemory() *memory {
	return &memory{
		tries: map[key]tries{}, edits: map[key]*rate.Limiter{}, taken: map[key]time.Time{},
		stuck: map[key]stuck{}, lost: map[key]lost{},
	}
}

// until is when a failed entry may be tried again; zero if it hasn't failed.
func (m *memory) until(k key) time.Time {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.tries[k].until
}

// failed counts a failure and gives how many there were in a row, and how many
// of them are the entry's own: its lane took another message before each.
func (m *memory) failed(k, lane key, now time.Time) (n, own int) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for old, t := range m.tries {
		if now.Sub(t.until) > forgetAfter {
			delete(m.tries, old)
		}
	}
	t := m.tries[k]
	t.n++
	if t.n == 1 || m.taken[lane].After(t.last) {
		t.own++
	}
	t.last, t.until = now, now
	m.tries[k] = t
	return t.n, t.own
}

// took notes that a lane took a new message.
func (m *memory) took(lane key, now time.Time) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for old, at := range m.taken {
		if now.Sub(at) > forgetAfter {
			delete(m.taken, old)
		}
	}
	m.taken[lane] = now
}

// repeated notes that a repeat was no surer than what it repeated.
func (m *memory) repeated(k key, now time.Time) {
	m.mu.Lock()
	defer m.mu.Unlock()
	t := m.tries[k]
	t.repeat = now
	m.tries[k] = t
}

// blindSince gives since when an entry can't be looked up; now, the first time.
func (m *memory) blindSince(k key, now time.Time) time.Time {
	m.mu.Lock()
	defer m.mu.Unlock()
	t := m.tries[k]
	if t.blind.IsZero() {
		t.blind = now
		m.tries[k] = t
	}
	return t.blind
}

// mayRepeat says whether a message of which nobody knows may be posted again:
// once, and then when its lane has taken another one since, or after a long
// time.
func (m *memory) mayRepeat(k, lane key, now time.Time) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	last := m.tries[k].repeat
	return last.IsZero() || m.taken[lane].After(last) || !now.Before(last.Add(repeatEvery))
}

// wait sets when a failed entry may be tried again.
func (m *memory) wait(k key, until time.Time) {
	m.mu.Lock()
	defer m.mu.Unlock()
	t := m.tries[k]
	t.until = until
	m.tries[k] = t
}

// settled forgets the failures of an entry that is delivered or gone.
func (m *memory) settled(k key) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.tries, k)
}

// unsaved keeps what was sent and could not be recorded.
func (m *memory) unsaved(kitchen string, sent []kitchen.Sent, now time.Time) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for k, l := range m.lost {
		if now.Sub(l.since) > forgetAfter {
			delete(m.lost, k)
		}
	}
	for _, s := range sent {
		m.lost[key{kitchen, s.Key}] = lost{s, now}
	}
}

// saved forgets what has been recorded after all.
func (m *memory) saved(kitchen string, sent []kitchen.Sent) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, s := range sent {
		delete(m.lost, key{kitchen, s.Key})
	}
}

// recall adds to a kitchen's record what this process sent and could not save.
func (m *memory) recall(kitchen string, record map[string]kitchen.Sent) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for k, l := range m.lost {
		if k.kitchen != kitchen {
			continue
		}
		if known, ok := record[k.name]; !ok || known.Seq < l.Seq {
			record[k.name] = l.Sent
		}
	}
}

// holdEdits notes that the platform takes no edits until then: it counts them
// apart from new messages, for all lanes together.
func (m *memory) holdEdits(until time.Time) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if until.After(m.held) {
		m.held = until
	}
}

// editsHeld is until when the platform takes no edits.
func (m *memory) editsHeld() time.Time {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.held
}

// editPace gives the bucket of a lane's edits.
func (m *memory) editPace(lane key, now time.Time) *rate.Limiter {
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, ok := m.edits[lane]; !ok {
		for k, full := range m.edits {
			if full.TokensAt(now) >= editBurst {
				delete(m.edits, k) // a full bucket is as good as a new one
			}
		}
		m.edits[lane] = rate.NewLimiter(rate.Every(editEvery), editBurst)
	}
	return m.edits[lane]
}
