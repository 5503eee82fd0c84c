package runner_test

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/runner"
	"ventbell/internal/voice"
)

// shown is one message that was posted or edited.
type shown struct {
	At     time.Duration // since the wall was made
	Lane   string
	Text   string
	Edit   bool
	Thread string
}

// wall is a platform that takes everything.
type wall struct {
	clock *clock.Clock
	began time.Time

	mu    sync.Mutex
	shown []shown
	ts    map[string]standing // by ts, what stands there
	can   voice.Can
}

// standing is a message that stands on a wall.
type standing struct {
	runner.Posting
	at time.Time // when it was posted, by the wall's clock
}

func newWall(c *clock.Clock) *wall {
	return &wall{
		clock: c, began: c.Now(), ts: map[string]standing{},
		can: voice.Can{Edit: true, Thread: true, Button: true, Whisper: true},
	}
}

func (w *wall) Can() voice.Can { return w.can }

func (w *wall) Post(_ context.Context, p runner.Posting) (runner.Posted, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.shown = append(w.shown, shown{At: w.clock.Now().Sub(w.began), Lane: p.Lane, Text: p.Message.Plain(), Thread: p.Thread})
	at := runner.Posted{Channel: channelOf(p.Lane), TS: fmt.Sprintf("ts%d", len(w.shown))}
	if _, stands := w.ts[p.Thread]; p.Thread != "" && !stands {
		at.Loose = true
	}
	w.ts[at.TS] = standing{p, w.clock.Now()}
	return at, nil
}

func channelOf(lane string) string {
	if person, ok := strings.CutPrefix(lane, "@"); ok {
		return "direct-" + person
	}
	return lane
}

func (w *wall) Update(_ context.Context, _, ts string, m voice.Message) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	p, ok := w.ts[ts]
	if !ok {
		return &runner.Refusal{Reason: "message gone", Gone: true}
	}
	w.shown = append(w.shown, shown{At: w.clock.Now().Sub(w.began), Lane: p.Lane, Text: m.Plain(), Edit: true})
	return nil
}

// tearDown takes a message off the wall, as anybody may.
func (w *wall) tearDown(ts string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	delete(w.ts, ts)
}

func (w *wall) all() []shown {
	w.mu.Lock()
	defer w.mu.Unlock()
	return slices.Clone(w.shown)
}

func (w *wall) texts() []string {
	var texts []string
	for _, s := range w.all() {
		texts = append(texts, s.Text)
	}
	return texts
}

// refusing is a platform that refuses some messages: those whose text begins
// with a key of refuse, as often as it has refusals for them; a nil refusal
// lets one through.
type refusing struct {
	*wall
	mu     sync.Mutex
	refuse map[string][]error
	asked  []time.Duration
}

func (r *refusing) no(m voice.Message) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	for prefix, errs := range r.refuse {
		if strings.HasPrefix(m.Plain(), prefix) && len(errs) > 0 {
			if len(errs) > 1 {
				r.refuse[prefix] = errs[1:]
			} else {
				delete(r.refuse, prefix)
			}
			r.asked = append(r.asked, r.clock.Now().Sub(r.began))
			return errs[0]
		}
	}
	return nil
}

// refusals gives when a message was refused.
func (r *refusing) refusals() []time.Duration {
	r.mu.Lock()
	defer r.mu.Unlock()
	return slices.Clone(r.asked)
}

func (r *refusing) Post(ctx context.Context, p runner.Posting) (runner.Posted, error) {
	if err := r.no(p.Message); err != nil {
		return runner.Posted{}, err
	}
	return r.wall.Post(ctx, p)
}

func (r *refusing) Update(ctx context.Context, channel, ts string, m voice.Message) error {
	if err := r.no(m); err != nil {
		return err
	}
	return r.wall.Update(ctx, channel, ts, m)
}

// stalling is a platform that never answers about one lane.
type stalling struct {
	*wall
	lane  string
	mu    sync.Mutex
	waits []time.Duration
	now   int // calls at this moment
	most  int // calls at any moment
}

func (s *stalling) Post(ctx context.Context, p runner.Posting) (runner.Posted, error) {
	if p.Lane != s.lane {
		return s.wall.Post(ctx, p)
	}
	return runner.Posted{}, s.stall(ctx)
}

func (s *stalling) Update(ctx context.Context, channel, ts string, m voice.Message) error {
	if channel != s.lane {
		return s.wall.Update(ctx, channel, ts, m)
	}
	return s.stall(ctx)
}

func (s *stalling) stall(ctx context.Context) error {
	began := s.clock.Now()
	s.mu.Lock()
	s.now++
	s.most = max(s.most, s.now)
	s.mu.Unlock()
	<-ctx.Done()
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now--
	s.waits = append(s.waits, s.clock.Now().Sub(began))
	return &runner.Refusal{Reason: "timeout", Retry: true, Unsure: true, Err: ctx.Err()}
}

// calls gives how long each call was waited for, and how many there were at once.
func (s *stalling) calls() (waits []time.Duration, most int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.waits), s.most
}

// slow is a platform that takes its time, and then takes the message.
type slow struct {
	*wall
	takes time.Duration
}

func (s slow) Post(ctx context.Context, p runner.Posting) (runner.Posted, error) {
	if err := s.clock.Wait(ctx, s.clock.Now().Add(s.takes), nil); err != nil {
		return runner.Posted{}, err
	}
	return s.wall.Post(ctx, p)
}

// lossy is a platform whose answers get lost: as often as it has errors, it
// takes a message all the same and then gives the error.
type lossy struct {
	*wall
	mu   sync.Mutex
	lose []error
}

func (l *lossy) Post(ctx context.Context, p runner.Posting) (runner.Posted, error) {
	at, err := l.wall.Post(ctx, p)
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(l.lose) > 0 {
		err, l.lose = l.lose[0], l.lose[1:]
		at = runner.Posted{}
	}
	return at, err
}

// reset is what is known of a call whose answer was lost.
func reset() *runner.Refusal { return &runner.Refusal{Reason: "reset", Retry: true, Unsure: true} }

// behind is by how much the ledger's clock is behind the runner's and the
// wall's in a bubble.
const behind = 10 * time.Minute

// finder looks for messages on a wall, and is told the time by the ledger.
type finder struct {
	*wall
	slack time.Duration // it looks back by so much more than it is told
	takes time.Duration // how long a look takes
	mu    sync.Mutex
	err   error
	since []time.Time
}

func (f *finder) Find(ctx context.Context, lane, mark string, since time.Time) (runner.Posted, bool, error) {
	if err := f.clock.Wait(ctx, f.clock.Now().Add(f.takes), nil); err != nil {
		return runner.Posted{}, false, err
	}
	f.mu.Lock()
	f.since = append(f.since, since)
	err := f.err
	f.mu.Unlock()
	if err != nil {
		return runner.Posted{}, false, err
	}
	f.wall.mu.Lock()
	defer f.wall.mu.Unlock()
	for _, ts := range slices.Sorted(maps.Keys(f.ts)) {
		if p := f.ts[ts]; p.Lane == lane && p.Mark == mark && !p.at.Before(since.Add(behind-f.slack)) {
			return runner.Posted{Channel: channelOf(lane), TS: ts}, true, nil
		}
	}
	return runner.Posted{}, false, nil
}

// fails sets what the finder fails with; nil = it no longer does.
func (f *finder) fails(err error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.err = err
}

// looks gives since when each look was.
func (f *finder) looks() []time.Time {
	f.mu.Lock()
	defer f.mu.Unlock()
	return slices.Clone(f.since)
}

// shelf keeps messages for later, and never posts them.
type shelf struct {
	clock *clock.Clock

	mu   sync.Mutex
	n    int
	lies map[string]string // by id, the words and the moment
	did  []string
	errs []error // given out one by one, nil lets one through
	// takes is how long each call takes.
	takes time.Duration
}

func newShelf(c *clock.Clock) *shelf {
	return &shelf{clock: c, lies: map[string]string{}}
}

func (s *shelf) fail() error {
	if len(s.errs) == 0 {
		return nil
	}
	err := s.errs[0]
	s.errs = s.errs[1:]
	return err
}

// cut notes what is asked for, takes its time, and says whether that was cut off.
func (s *shelf) cut(ctx context.Context, what string) bool {
	s.mu.Lock()
	s.did = append(s.did, what)
	end := s.clock.Now().Add(s.takes)
	s.mu.Unlock()
	return s.clock.Wait(ctx, end, nil) != nil
}

func (s *shelf) Schedule(ctx context.Context, p runner.Posting, at time.Time) (runner.Posted, error) {
	if s.cut(ctx, "schedule "+p.Message.Plain()) {
		return runner.Posted{}, reset()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.fail(); err != nil {
		return runner.Posted{}, err
	}
	if p.Mark != "" {
		return runner.Posted{}, errors.New("what is scheduled with a mark is never posted")
	}
	s.n++
	id := fmt.Sprint("Q", s.n)
	s.lies[id] = p.Message.Plain() + " " + at.UTC().Format(time.TimeOnly)
	return runner.Posted{Channel: channelOf(p.Lane), TS: id}, nil
}

func (s *shelf) Unschedule(ctx context.Context, at runner.Posted) error {
	if s.cut(ctx, "unschedule "+at.Channel+" "+at.TS) {
		return reset()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.fail(); err != nil {
		return err
	}
	delete(s.lies, at.TS)
	return nil
}

// all gives what lies there, by id, and what was asked for in order.
func (s *shelf) all() (lies map[string]string, did []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return maps.Clone(s.lies), slices.Clone(s.did)
}
