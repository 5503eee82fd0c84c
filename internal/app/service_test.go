package app

import (
	"context"
	"log/slog"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/clock"
	"ventbell/internal/kitchen"
	"ventbell/internal/practice"
)

// sixPM is six in the evening of an ordinary day in the sample's house.
var sixPM = time.Date(2026, 11, 24, 17, 0, 0, 0, time.UTC)

// service is the whole service behind a practice room, played step by step: its
// clock runs at the world's pace and is moved on where a scenario says so.
type service struct {
	*stage
	t    *testing.T
	ctx  context.Context
	app  *App
	stop func() error
}

func openService(t *testing.T, at time.Time) *service {
	t.Helper()
	s := newService(t, at)
	s.begin()
	return s
}

// newService sets up what begin then starts.
func newService(t *testing.T, at time.Time) *service {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.WithoutCancel(t.Context()), 3*time.Minute)
	t.Cleanup(cancel)
	stage, err := newStage(ctx, clock.Starting(at, 1), "127.0.0.1:0", filepath.Join(t.TempDir(), "kitchen.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(stage.room.Close)
	// A jump of the clock is no runner that died with a message in its hands.
	stage.opts.Lease = 100 * time.Hour
	s := &service{stage: stage, t: t, ctx: ctx}
	t.Cleanup(s.end)
	return s
}

func (s *service) begin() {
	s.t.Helper()
	var err error
	if s.app, s.stop, err = s.open(s.ctx); err != nil {
		s.t.Fatal(err)
	}
}

// end stops the service; what it kept can be read then.
func (s *service) end() {
	s.t.Helper()
	if s.stop == nil {
		return
	}
	if err := s.stop(); err != nil {
		s.t.Error(err)
	}
	s.stop = nil
	if n := s.room.Counts(); len(n.Refused) > 0 || n.Doubles > 0 {
		s.t.Errorf("the room refused %v and saw %d twice", n.Refused, n.Doubles)
	}
}

// says has somebody use the slash command, and gives what they alone see.
func (s *service) says(who, line string) practice.Message {
	s.t.Helper()
	got, err := s.room.Command(s.ctx, s.crew[who], s.channel, "/bell", line)
	if err != nil {
		s.t.Fatalf("%s says %q: %v", who, line, err)
	}
	if got.Message == nil {
		return practice.Message{}
	}
	return *got.Message
}

// hears has somebody say a line and wants all of the words in the direct answer.
func (s *service) hears(who, line string, words ...string) practice.Message {
	s.t.Helper()
	m := s.says(who, line)
	if text := s.text(m); !holdsAll(text, words) {
		s.t.Errorf("%s says %q and is answered without %q:\n%s", who, line, words, text)
	}
	return m
}

// taps has somebody tap a button of a message.
func (s *service) taps(who string, m practice.Message, label string) {
	s.t.Helper()
	if _, err := s.room.Tap(s.ctx, s.crew[who], m.Channel, m.TS, label); err != nil {
		s.t.Fatalf("%s taps %q on\n%s\n%v", who, label, s.text(m), err)
	}
}

// text gives a message as it stands, with its buttons.
func (s *service) text(m practice.Message) string { return strings.Join(s.room.Lines(m), "\n") }

// versions gives what a message ever said, oldest first.
func (s *service) versions(m practice.Message) []string {
	var list []string
	for _, e := range m.Edits {
		list = append(list, s.room.Plain(e.Text))
	}
	return append(list, s.text(m))
}

// sees waits for a message to the whole channel that says all of the words, or did
// when it was posted.
func (s *service) sees(words ...string) practice.Message {
	s.t.Helper()
	return s.await(words, func(m practice.Message) bool { return m.Channel == s.channel && m.For == "" })
}

// shown waits for a message in the channel that says all of the words as it stands,
// be it to one person only.
func (s *service) shown(words ...string) (found practice.Message) {
	s.t.Helper()
	eventually(s.t, strings.Join(words, " ... "), func() bool {
		list := s.room.Messages(s.channel)
		i := slices.IndexFunc(list, func(m practice.Message) bool { return holdsAll(s.text(m), words) })
		if i >= 0 {
			found = list[i]
		}
		return i >= 0
	})
	return found
}

// data is the path of the file that the ledger is kept in.
func (s *service) data() string { return strings.TrimPrefix(s.opts.Ledger, "file:") }

// told waits for a message that only one person sees.
func (s *service) told(who string, words ...string) practice.Message {
	s.t.Helper()
	id := s.crew[who]
	return s.await(words, func(m practice.Message) bool { return m.For == id || m.Channel == s.room.Direct(id) })
}

func (s *service) await(words []string, where func(practice.Message) bool) (found practice.Message) {
	s.t.Helper()
	end := time.After(20 * time.Second)
	for {
		for _, m := range s.room.Messages("") {
			said := func(text string) bool { return holdsAll(text, words) }
			if m.Person == s.room.BotID() && where(m) && slices.ContainsFunc(s.versions(m), said) {
				return m
			}
		}
		select {
		case <-end:
			s.t.Fatalf("nobody saw %q:\n%s", words, s.transcript())
		case <-time.After(5 * time.Millisecond):
		}
	}
}

func holdsAll(text string, words []string) bool {
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) })
}

func (s *service) transcript() string {
	var b strings.Builder
	for _, m := range s.room.Messages("") {
		b.WriteString(m.At.In(s.zone).Format(time.TimeOnly) + " to " + s.room.Name(m.Channel+m.For) + "\n  ")
		b.WriteString(strings.ReplaceAll(strings.Join(s.versions(m), "\n~ "), "\n", "\n  ") + "\n")
	}
	return b.String()
}

// kitchen gives the kitchen as it is now.
func (s *service) kitchen() *kitchen.Kitchen {
	s.t.Helper()
	look, err := s.app.desk.Look(s.ctx, "main")
	if err != nil {
		s.t.Fatal(err)
	}
	return look.State
}

// passes lets time go by: each moment that falls due is carried out before the
// clock moves on.
func (s *service) passes(d time.Duration) { s.t.Helper(); s.until(s.clock.Now().Add(d)) }

func (s *service) until(t time.Time) {
	s.t.Helper()
	for {
		at := s.due()
		if at.IsZero() || at.After(t) {
			break
		}
		s.clock.Forward(at)
		eventually(s.t, "what is due is carried out", func() bool {
			next := s.due()
			return next.IsZero() || next.After(s.clock.Now())
		})
	}
	s.clock.Forward(t)
}

func (s *service) due() time.Time {
	s.t.Helper()
	list, _, err := s.app.ledger.Due(s.ctx, 0, 1)
	if err != nil {
		s.t.Fatal(err)
	}
	if len(list) == 0 {
		return time.Time{}
	}
	return list[0].At
}

// charges starts a batch and charges it twice, half a minute apart.
func (s *service) charges(who, recipe, tag string) {
	s.t.Helper()
	s.says(who, "start "+recipe+" in "+tag)
	s.sees("Weigh ", " for "+tag)
	s.says(who, "charged "+tag)
	s.passes(30 * time.Second)
	s.says(who, "charged "+tag)
}

// ventsOnTime waits for the call of a vessel's vent and confirms it empty.
func (s *service) ventsOnTime(who, tag string) {
	s.t.Helper()
	s.until(s.batch(tag).VentAt.Time())
	s.sees("Vent ", ", "+tag+",")
	s.passes(5 * time.Second)
	s.says(who, "vented "+tag)
}

// makes carries a batch from the start to the washed vessel.
func (s *service) makes(who, recipe, tag, yield string) {
	s.t.Helper()
	s.charges(who, recipe, tag)
	s.ventsOnTime(who, tag)
	s.until(s.batch(tag).CallAt.Time())
	s.says(who, "strained "+tag+" "+yield)
	s.says(who, "labelled "+tag)
	s.says(who, "washed "+tag)
}

// batch gives what is open in a vessel.
func (s *service) batch(tag string) *kitchen.Batch {
	s.t.Helper()
	for _, b := range s.kitchen().Open() {
		if b.Vessel == tag {
			return b
		}
	}
	s.t.Fatalf("nothing is open in %s:\n%s", tag, s.transcript())
	return nil
}
