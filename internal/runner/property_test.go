package runner_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"pgregory.net/rapid"

	"ventbell/internal/clock"
	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
)

// What a platform may do with a message.
const (
	takes = iota
	refuses
	slows
	sticks
	losesAnswer  // it takes the message, and its answer is lost
	losesMessage // it doesn't, and nobody can tell
	killsRunner  // it takes the message, and the runner dies before it knows
	outcomes
)

// weather is a platform whose outcomes are drawn beforehand; then it takes
// everything.
type weather struct {
	*wall
	mu       sync.Mutex
	outcomes []int
	kill     func()
	unsure   map[string]int // by key, how often it was taken with nobody knowing
	killed   map[string]int // of these by a kill, together with others
}

func (w *weather) next() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.outcomes) == 0 {
		return takes
	}
	o := w.outcomes[0]
	w.outcomes = w.outcomes[1:]
	return o
}

func (w *weather) Post(ctx context.Context, p runner.Posting) (runner.Posted, error) {
	o := w.next()
	switch o {
	case refuses:
		return runner.Posted{}, &runner.Refusal{Reason: "unreachable", Retry: true}
	case slows:
		return runner.Posted{}, &runner.Refusal{Reason: "ratelimited", Retry: true, After: 3 * time.Second}
	case sticks:
		return runner.Posted{}, stuckFor("channel archived")
	case losesMessage:
		return runner.Posted{}, reset()
	}
	at, err := w.wall.Post(ctx, p)
	if o == takes {
		return at, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	keys := keysIn(p.Message.Plain())
	for _, k := range keys {
		w.unsure[k]++
		if o == killsRunner && len(keys) > 1 {
			w.killed[k]++
		}
	}
	if o == killsRunner {
		w.kill()
		return at, nil
	}
	return runner.Posted{}, reset()
}

// keysIn gives the calls that a message tells.
func keysIn(text string) []string {
	text = strings.TrimSuffix(text, "\n(repeat)")
	return strings.Split(strings.TrimPrefix(text, "was due: "), ", ")
}

// evening is one random run.
type evening struct {
	outcomes []int
	looks    int // 0 nobody can look, 1 it works, 2 it fails now and then
	blind    []bool
	entries  []kitchen.Entry
	gaps     []time.Duration // before each entry
}

func anyEvening(t *rapid.T) evening {
	e := evening{
		outcomes: rapid.SliceOfN(rapid.IntRange(0, outcomes-1), 0, 25).Draw(t, "outcomes"),
		looks:    rapid.IntRange(0, 2).Draw(t, "looks"),
		blind:    rapid.SliceOfN(rapid.Bool(), 0, 12).Draw(t, "blind"),
	}
	for i := range rapid.IntRange(1, 8).Draw(t, "entries") {
		batch := rapid.Uint32Range(1, 2).Draw(t, "batch")
		call := kitchen.Entry{
			Key: fmt.Sprintf("%d/call.%d", batch, i), Lane: "C1", Batch: batch, Seq: uint64(i + 1), Kind: kitchen.StrainCall,
			Urgent: rapid.Bool().Draw(t, "urgent"),
		}
		if rapid.IntRange(0, 3).Draw(t, "kind") == 0 {
			call.Kind, call.Urgent = kitchen.Slip, false
		}
		e.entries = append(e.entries, call)
		e.gaps = append(e.gaps, time.Duration(rapid.IntRange(0, 90).Draw(t, "gap"))*time.Second)
	}
	return e
}

// play runs an evening and gives what is wrong with it.
func (e evening) play(t *testing.T) (wrong string) {
	c := clock.Wall()
	h := &house{newOffice(c, -behind), newWall(c), page{}, newTally()}
	w := &weather{wall: h.wall, outcomes: e.outcomes, unsure: map[string]int{}, killed: map[string]int{}}
	f := &moody{finder: finder{wall: h.wall}, blind: e.blind}
	ctx, stop := context.WithCancel(t.Context())
	var ended sync.WaitGroup
	ended.Go(func() {
		for generation := 0; ctx.Err() == nil; generation++ {
			h.generation(ctx, generation, w, func(c *runner.Config) {
				collapsing(c)
				c.Repeat = again
				switch e.looks {
				case 1:
					c.Finder = &f.finder
				case 2:
					c.Finder = f
				}
			})
		}
	})
	for i, call := range e.entries {
		pass(e.gaps[i])
		call.Due = h.now()
		h.put("k", call)
	}
	pass(time.Hour)
	stop()
	ended.Wait()
	return e.judge(h, w)
}

// generation runs a runner until it is killed or ctx ends.
func (h *house) generation(ctx context.Context, n int, w *weather, change func(*runner.Config)) {
	ctx, kill := context.WithCancel(ctx)
	defer kill()
	m := &mortal{office: h.office}
	w.mu.Lock()
	w.kill = func() { m.dead.Store(true); kill() }
	w.mu.Unlock()
	cfg := runner.Config{
		Ledger: m, Poster: w, Word: words, Clock: h.clock, Log: slog.New(slog.DiscardHandler),
		Observe: h.tally, Holder: fmt.Sprint("runner ", n),
	}
	change(&cfg)
	_ = runner.New(cfg).Run(ctx)
}

// moody is a finder that fails now and then.
type moody struct {
	finder
	blind []bool
}

func (m *moody) Find(ctx context.Context, lane, mark string, since time.Time) (runner.Posted, bool, error) {
	m.mu.Lock()
	fails := len(m.blind) > 0 && m.blind[0]
	if len(m.blind) > 0 {
		m.blind = m.blind[1:]
	}
	m.mu.Unlock()
	if fails {
		return runner.Posted{}, false, errors.New("not now")
	}
	return m.finder.Find(ctx, lane, mark, since)
}

func (e evening) judge(h *house, w *weather) string {
	if n := h.left("k"); n > 0 {
		return fmt.Sprintf("%d entries left", n)
	}
	times := map[string]int{}
	for _, s := range h.wall.all() {
		if !s.Edit {
			for _, k := range keysIn(s.Text) {
				times[k]++
			}
		}
	}
	for _, call := range e.entries {
		// One that nobody knew of may be doubled, unless it could be looked up.
		// What a killed runner said of an outage is found only while the same
		// calls are held up.
		most := 1 + w.unsure[call.Key]
		if e.looks == 1 {
			most = 1 + w.killed[call.Key]
		}
		if n := times[call.Key]; n < 1 || n > most {
			return fmt.Sprintf("%s was shown %d times, want 1 to %d; shown %q, gone %v",
				call.Key, n, most, h.wall.texts(), slices.Collect(maps.Values(h.reasons())))
		}
	}
	return ""
}

func TestNoCallIsLostAndOnlyWhatNobodyCouldLookUpIsDoubled(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		e := anyEvening(rt)
		var wrong string
		synctest.Test(t, func(t *testing.T) { wrong = e.play(t) })
		if wrong != "" {
			rt.Fatal(wrong)
		}
	})
}
