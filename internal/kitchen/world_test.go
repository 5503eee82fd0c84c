package kitchen_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

var (
	sample = sync.OnceValue(book.Sample)
	reader = sync.OnceValue(func() *request.Reader { return request.NewReader(sample()) })
)

// The crew of the tests, by role.
var (
	bar1   = kitchen.Person{ID: "U1", Name: "bar-1"}
	bar2   = kitchen.Person{ID: "U2", Name: "bar-2"}
	larder = kitchen.Person{ID: "U3", Name: "larder"}
	lead   = kitchen.Person{ID: "U9", Name: "prep-lead"}
)

var team = kitchen.Team{Channel: "C1", Managers: []kitchen.Person{lead}}

// six o'clock in the evening of an ordinary day
var six = time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC)

// world keeps one kitchen as a ledger would, and delivers every message at once.
type world struct {
	t      testing.TB
	fields map[string][]byte
	now    time.Time
	sent   map[string]int // by key: 1 for the post and 1 for every edit
	posted []string       // keys in the order in which they were posted
	lanes  map[string]int // new messages per lane, those in a thread apart
	team   kitchen.Team
	base   *book.Book // as in the file
	last   *book.Book // with these edits
	edits  []kitchen.Edit
	out    map[string]kitchen.Entry // what was queued last under each key
	log    []kitchen.Line
	stored []kitchen.Record
	each   func(kitchen.Change) // is shown every change once it is kept
	n      int
}

func newWorld(t testing.TB) *world {
	return &world{
		t: t, fields: map[string][]byte{}, now: six, base: sample(),
		sent: map[string]int{}, lanes: map[string]int{}, team: team, out: map[string]kitchen.Entry{},
	}
}

func (w *world) kitchen() *kitchen.Kitchen {
	w.t.Helper()
	k, err := kitchen.Decode("main", maps.Clone(w.fields))
	if err != nil {
		w.t.Fatal(err)
	}
	return k
}

// book gives the kitchen's own book.
func (w *world) book() *book.Book {
	w.t.Helper()
	edits := w.kitchen().Edited()
	if w.last != nil && slices.Equal(edits, w.edits) {
		return w.last
	}
	b, left := kitchen.Amended(w.base, edits)
	if len(left) > 0 {
		w.t.Fatalf("%d edits do not fit the book, the first is %+v", len(left), left[0])
	}
	w.last, w.edits = b, edits
	return b
}

// apply keeps a change.
func (w *world) apply(ch kitchen.Change) {
	w.t.Helper()
	if n := len(ch.Set) + len(ch.Del) + len(ch.Outbox) + len(ch.Log) + len(ch.Archive); n > 450 { // a ledger takes 500
		w.t.Fatalf("a change writes %d values", n)
	}
	maps.Copy(w.fields, ch.Set)
	for _, name := range ch.Del {
		delete(w.fields, name)
	}
	for _, e := range ch.Outbox {
		w.out[e.Key] = e
		switch {
		case e.Kind == kitchen.FallbackCall: // it is left with the platform, not shown
			w.sent[e.Key]++
		case w.sent[e.Key] > 0:
			w.sent[e.Key]++
		case !e.Edit:
			w.sent[e.Key] = 1
			if e.Kind != kitchen.HistoryNote {
				w.lanes[e.Lane]++
			}
			w.posted = append(w.posted, e.Key)
		}
	}
	w.log = append(w.log, ch.Log...)
	w.stored = append(w.stored, ch.Archive...)
	if w.each != nil {
		w.each(ch)
	}
}

// command carries out a command of now.
func (w *world) command(cmd kitchen.Command) kitchen.Answer {
	w.t.Helper()
	cmd.At = w.now
	return w.reach(cmd)
}

// reach carries out a command that reaches the kitchen now.
func (w *world) reach(cmd kitchen.Command) kitchen.Answer {
	w.t.Helper()
	w.n++
	cmd.ID = fmt.Sprint("req-", w.n)
	k := w.kitchen()
	read, b := reader(), w.book()
	if b != sample() && cmd.Text != "" {
		read = request.NewReader(b)
	}
	ch, answer := k.Handle(read, b, w.team, cmd, w.now)
	w.apply(ch)
	w.checkDue(ch)
	return answer
}

// say types a line.
func (w *world) say(p kitchen.Person, line string) kitchen.Answer {
	w.t.Helper()
	return w.command(kitchen.Command{Text: line, By: p})
}

// hear takes a line that was typed a while ago and reaches the kitchen now.
func (w *world) hear(p kitchen.Person, line string, at time.Time) kitchen.Answer {
	w.t.Helper()
	return w.reach(kitchen.Command{Text: line, By: p, At: at})
}

// fill sends a form.
func (w *world) fill(p kitchen.Person, name kitchen.FormName, carry string, fields map[string]string) kitchen.Answer {
	w.t.Helper()
	return w.command(kitchen.Command{Form: &kitchen.Filled{Name: string(name), Carry: carry, Fields: fields}, By: p})
}

// trouble tells the kitchen what the runner found out about a lane.
func (w *world) trouble(lane, reason string) {
	w.t.Helper()
	w.reach(kitchen.Command{Trouble: &kitchen.Trouble{Lane: lane, Reason: reason}})
}

// tap presses a button.
func (w *world) tap(p kitchen.Person, tap kitchen.Tap) kitchen.Answer {
	w.t.Helper()
	return w.command(kitchen.Command{Tap: &tap, By: p})
}

// choose presses the first button of an answer.
func (w *world) choose(p kitchen.Person, a kitchen.Answer) kitchen.Answer {
	w.t.Helper()
	if len(a.Choices) == 0 {
		w.t.Fatalf("answer %+v has no button", a)
	}
	return w.tap(p, a.Choices[0].Tap)
}

// checkDue wants the change's due moment to be the kitchen's own.
func (w *world) checkDue(ch kitchen.Change) {
	w.t.Helper()
	if next := w.kitchen().Next(); next.Time() != ch.Due {
		w.t.Fatalf("due %v, want the kitchen's next moment %v", ch.Due, next.Time())
	}
}

// pass lets time go by, ringing each moment as it comes.
func (w *world) pass(d time.Duration) {
	w.t.Helper()
	until := w.now.Add(d)
	for range 10_000 {
		next := w.kitchen().Next()
		if next == 0 || next.Time().After(until) {
			w.now = until
			return
		}
		if next.Time().After(w.now) {
			w.now = next.Time()
		}
		w.ring()
	}
	w.t.Fatal("the kitchen rings without end")
}

// ring carries out what is due now.
func (w *world) ring() {
	w.t.Helper()
	ch := w.kitchen().Ring(w.now)
	w.apply(ch)
	w.checkDue(ch)
	if !ch.Due.IsZero() && !ch.Due.After(w.now) {
		w.t.Fatalf("after ringing at %v the next moment is %v", w.now, ch.Due)
	}
}

// in gives the batch in a vessel, or the one last strained out of it.
func (w *world) in(tag string) *kitchen.Batch {
	w.t.Helper()
	for _, b := range w.kitchen().Open() {
		if b.Vessel == tag {
			return b
		}
	}
	w.t.Fatalf("no batch is in %s", tag)
	return nil
}

// calls gives the keys posted that hold a word.
func (w *world) calls(kind kitchen.EntryKind) []string {
	var keys []string
	for _, key := range w.posted {
		if strings.Contains(key, "/"+string(kind)+".") {
			keys = append(keys, key)
		}
	}
	return keys
}

// charged is a kitchen with rhubarb gin in A, full and resting.
func charged(t testing.TB) *world {
	w := newWorld(t)
	w.want(w.say(bar1, "start rhubarb gin 400ml in A"), kitchen.Done)
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	w.pass(40 * time.Second)
	w.want(w.say(bar1, "charged A"), kitchen.Done)
	return w
}

func (w *world) want(a kitchen.Answer, kind kitchen.AnswerKind) kitchen.Answer {
	w.t.Helper()
	if a.Kind != kind {
		w.t.Fatalf("answer is %+v, want %s", a, kind)
	}
	return a
}

func (w *world) wantCode(a kitchen.Answer, kind kitchen.AnswerKind, code kitchen.Code) kitchen.Answer {
	w.t.Helper()
	if a.Kind != kind || a.Code != code {
		w.t.Fatalf("answer is %s %q, want %s %q", a.Kind, a.Code, kind, code)
	}
	return a
}

func (w *world) wantPhase(tag string, p kitchen.Phase) *kitchen.Batch {
	w.t.Helper()
	b := w.in(tag)
	if b.Phase != p {
		w.t.Fatalf("%s is %s, want %s", tag, b.Phase, p)
	}
	return b
}
