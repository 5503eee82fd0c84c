package app

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/clock"
	"ventbell/internal/practice"
)

const (
	// demoSpeed is how fast the demo's clock runs while something happens; the
	// quiet in between is skipped.
	demoSpeed = 20
	// linger is how long the demo stays after something happened, for the
	// messages to arrive, before it skips on.
	linger = 3 * time.Second
	// place is how far from its moment a call may be and still be in its place.
	place = 5 * time.Second
)

// demo is `ventbell demo`: one prep shift through the whole service. It fails
// when a call is missing, early, late, doubled or out of order.
func demo(ctx context.Context, args []string, stdout, stderr io.Writer) (int, error) {
	flags := flag.NewFlagSet("demo", flag.ContinueOnError)
	flags.SetOutput(stderr)
	if err := flags.Parse(args); err != nil {
		return exitProblem, err
	}
	path, remove, err := dataFile("")
	if err != nil {
		return 1, err
	}
	defer remove()
	log := slog.New(slog.NewTextHandler(stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
	zone, err := zoneOf(book.Sample())
	if err != nil {
		return 1, err
	}
	start := time.Date(2026, 11, 24, 17, 57, 50, 0, zone)
	s, err := newStage(ctx, clock.Starting(start, demoSpeed), "127.0.0.1:0", path, log)
	if err != nil {
		return 1, err
	}
	defer s.room.Close()
	s.opts.Lease = 2 * time.Minute // of the demo's clock: some seconds of the world's

	var printing sync.WaitGroup
	watching, stopWatching := context.WithCancel(ctx)
	printing.Go(func() { s.print(watching, stdout) })
	d := &shift{stage: s, day: start}
	err = errors.Join(d.play(ctx), d.close())
	stopWatching()
	printing.Wait()
	if err != nil {
		return 1, fmt.Errorf("play the shift: %w", err)
	}
	worst, err := d.judge()
	if err != nil {
		return 1, err
	}
	fmt.Fprintf(stdout, "\n%d messages to the channel, each in its place; the latest by %.1f s.\n", len(d.wants), worst.Seconds())
	return 0, nil
}

// shift is one prep shift being played.
type shift struct {
	*stage
	day   time.Time
	app   *App
	stop  func() error
	wants []want
}

// want is a message that the channel must see, at its moment.
type want struct {
	due   time.Time
	words string // how its first line begins
}

// at gives a clock time of the shift's day.
func (d *shift) at(clock string) time.Time {
	t, err := time.ParseInLocation("15:04:05", clock, d.zone)
	if err != nil {
		panic(err) // the script is fixed; the demo's own test plays it
	}
	return time.Date(d.day.Year(), d.day.Month(), d.day.Day(), t.Hour(), t.Minute(), t.Second(), 0, d.zone)
}

// expect notes a message that must come.
func (d *shift) expect(due time.Time, words string) { d.wants = append(d.wants, want{due, words}) }

// until plays the clock to a moment. It skips the quiet between what is due.
func (d *shift) until(ctx context.Context, t time.Time) error {
	for {
		d.catchUp(ctx)
		now := d.clock.Now()
		if !now.Before(t) {
			return nil
		}
		due, _, err := d.app.ledger.Due(ctx, 0, 1)
		if err != nil {
			return fmt.Errorf("look at what is due: %w", err)
		}
		target := t
		if len(due) > 0 && due[0].At.Before(t) {
			target = due[0].At
		}
		if target.Sub(now) > 2*linger {
			if err := d.clock.Wait(ctx, now.Add(linger), nil); err != nil {
				return err
			}
			d.clock.Forward(target.Add(-time.Second))
		}
		// A moment that has come needs a little of the world's time to be carried out.
		if err := d.clock.Wait(ctx, maxTime(target, d.clock.Now().Add(500*time.Millisecond)), nil); err != nil {
			return err
		}
	}
}

// catchUp lets the clock run at the world's pace until what the channel must
// have seen by now is there, so that a busy machine makes nothing late. It
// gives up after a while: judge says what is missing.
func (d *shift) catchUp(ctx context.Context) {
	now := d.clock.Now()
	due := 0
	for _, w := range d.wants {
		if !w.due.After(now) {
			due++
		}
	}
	ctx, cancel := context.WithTimeout(ctx, 2*time.Second)
	defer cancel()
	d.clock.Pace(1)
	defer d.clock.Pace(demoSpeed)
	_ = d.room.Wait(ctx, d.channel, func([]practice.Message) bool { return len(d.seen()) >= due })
}

// seen gives what the service posted to the channel for all to see.
func (d *shift) seen() []practice.Message {
	return slices.DeleteFunc(d.room.Messages(d.channel), func(m practice.Message) bool {
		return m.Person != d.room.BotID() || m.For != "" || m.ThreadTS != ""
	})
}

func maxTime(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// says has somebody use the slash command.
func (d *shift) says(ctx context.Context, who, text string) error {
	if _, err := d.room.Command(ctx, d.crew[who], d.channel, "/bell", text); err != nil {
		return fmt.Errorf("%s says %q: %w", who, text, err)
	}
	return nil
}

// taps has somebody tap a button on the latest message that has it and begins
// with words.
func (d *shift) taps(ctx context.Context, who, words, label string) error {
	for _, m := range slices.Backward(d.room.Messages(d.channel)) {
		has := slices.ContainsFunc(m.Buttons(), func(b practice.Button) bool { return b.Text.Text == label })
		if !has || !strings.HasPrefix(d.first(m.Text), words) || m.For != "" && m.For != d.crew[who] {
			continue
		}
		if _, err := d.room.Tap(ctx, d.crew[who], d.channel, m.TS, label); err != nil {
			return fmt.Errorf("%s taps %q: %w", who, label, err)
		}
		return nil
	}
	return fmt.Errorf("%s finds no message %q with a button %q", who, words, label)
}

// first gives the first line of a message as people read it.
func (d *shift) first(text string) string {
	line, _, _ := strings.Cut(d.room.Plain(text), "\n")
	return line
}

// restart stops the service and starts it again on the same ledger.
func (d *shift) restart(ctx context.Context) error {
	if err := d.close(); err != nil {
		return fmt.Errorf("stop the service: %w", err)
	}
	return d.begin(ctx)
}

func (d *shift) begin(ctx context.Context) (err error) {
	d.app, d.stop, err = d.open(ctx)
	return err
}

func (d *shift) close() error {
	if d.stop == nil {
		return nil
	}
	stop := d.stop
	d.stop = nil
	return stop()
}

// judge compares what the channel saw with what it had to see: every message
// once, in order, in its place. It gives how late the latest was.
func (d *shift) judge() (worst time.Duration, err error) {
	slices.SortStableFunc(d.wants, func(a, b want) int { return a.due.Compare(b.due) })
	var errs []error
	n := 0
	for _, m := range d.seen() {
		text := m.Text
		if len(m.Edits) > 0 {
			text = m.Edits[0].Text
		}
		if n >= len(d.wants) {
			errs = append(errs, fmt.Errorf("one message too many at %s: %s", m.At.In(d.zone).Format(time.TimeOnly), d.first(text)))
			continue
		}
		w := d.wants[n]
		n++
		late := m.At.Sub(w.due)
		worst = max(worst, late)
		if !strings.HasPrefix(d.first(text), w.words) || late > place || late < -time.Second {
			errs = append(errs, fmt.Errorf("at %s the channel should see %q; at %s it saw %q",
				w.due.Format(time.TimeOnly), w.words, m.At.In(d.zone).Format(time.TimeOnly), d.first(text)))
		}
	}
	for _, w := range d.wants[n:] {
		errs = append(errs, fmt.Errorf("at %s the channel should see %q and saw nothing", w.due.Format(time.TimeOnly), w.words))
	}
	return worst, errors.Join(errs...)
}
