package app

import (
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/ledger"
)

// logbook is what `ventbell book` and `ventbell export` read of a ledger.
type logbook interface {
	Peek(ctx context.Context, kitchen string) (kitchen.State, error)
	Lines(ctx context.Context, day time.Time, limit int) ([]kitchen.Line, error)
	Day(ctx context.Context, kitchen, day string) ([]uint32, error)
	Record(ctx context.Context, kitchen string, batch uint32) ([]byte, error)
	Close() error
}

// bookCommand is `ventbell book export` and `ventbell book history`: a
// kitchen's book as it was changed from chat, and who changed what when. It
// changes no kitchen.
func bookCommand(ctx context.Context, args, environ []string, stdout, stderr io.Writer) (int, error) {
	flags := flag.NewFlagSet("book", flag.ContinueOnError)
	flags.SetOutput(stderr)
	whose := whoseFlags(flags)
	version := flags.Int("version", -1, "export the book as it was after that many changes; 0 = the file")
	what := ""
	if len(args) > 0 {
		what, args = args[0], args[1:]
	}
	if err := flags.Parse(args); err != nil {
		return exitProblem, err
	}
	if what != "export" && what != "history" {
		return exitProblem, fmt.Errorf("book %s: say `book export` or `book history`", what)
	}
	o, base, keep, status, err := whose.options(environ)
	if err != nil {
		return status, err
	}
	l, err := openLogbook(ctx, o)
	if err != nil {
		return 1, err
	}
	defer l.Close()
	b := &changes{base: base, log: l, days: days(keep)}
	if err := b.read(ctx, whose.kitchen); err != nil {
		return 1, err
	}
	if what == "history" {
		return 0, b.history(ctx, stdout)
	}
	return 0, b.export(ctx, *version, stdout, stderr)
}

// whose is which kitchen's past is asked for, as typed.
type whose struct{ kitchen, ledger, book string }

// whoseFlags adds the flags by which it is said.
func whoseFlags(flags *flag.FlagSet) *whose {
	var w whose
	flags.StringVar(&w.kitchen, "kitchen", "main", "whose: a `name` of VENTBELL_KITCHENS")
	flags.StringVar(&w.ledger, "ledger", "", "the `ledger`; VENTBELL_LEDGER. One in a file must not be in use")
	flags.StringVar(&w.book, "book", "", "the book's `file`; VENTBELL_BOOK, else the sample book")
	return &w
}

// options gives the options with what was typed in their place, the book as in its
// file and how long the past is kept; or the status to end with, and why.
func (w whose) options(environ []string) (o Options, base *book.Book, keep time.Duration, status int, err error) {
	if o, err = parseOptions(environ); err != nil {
		return o, nil, 0, exitProblem, err
	}
	o.Ledger, o.Book = cmp.Or(w.ledger, o.Ledger), cmp.Or(w.book, o.Book)
	if base, err = openBook(o.Book); err != nil {
		return o, nil, 0, 1, err
	}
	if keep, err = o.keep(); err != nil {
		return o, nil, 0, exitProblem, err
	}
	return o, base, keep, 0, nil
}

// openLogbook opens the ledger that the options name, for reading. One that is
// not there is not made.
func openLogbook(ctx context.Context, o Options) (logbook, error) {
	if path, ok := strings.CutPrefix(o.Ledger, "file:"); ok {
		if _, err := os.Stat(path); err != nil {
			return nil, fmt.Errorf("open ledger: %w", err)
		}
		f, err := ledger.OpenFile(path, time.Now)
		if err != nil {
			return nil, err
		}
		return f, nil
	}
	r, err := ledger.DialRedis(ctx, ledger.RedisConfig{
		URL: o.Ledger, Cluster: o.Partitions > 1, Partitions: o.Partitions, Log: slog.New(slog.DiscardHandler),
	})
	if err != nil {
		return nil, fmt.Errorf("open ledger: %w", err)
	}
	return r, nil
}

// changes are what one kitchen changed of its book.
type changes struct {
	base    *book.Book
	log     logbook
	days    int // as many as the log is kept
	kitchen *kitchen.Kitchen
	now     time.Time
}

func (c *changes) read(ctx context.Context, id string) error {
	s, err := c.log.Peek(ctx, id)
	if err != nil {
		return err
	}
	if s.Rev == "" {
		return fmt.Errorf("no kitchen %q has done anything in this ledger", id)
	}
	c.now = s.Now
	c.kitchen, err = kitchen.Decode(id, s.Fields)
	return err
}

// export prints the book after so many changes; less than none means all.
func (c *changes) export(ctx context.Context, version int, stdout, stderr io.Writer) error {
	edits := c.kitchen.Edited()
	if version >= 0 {
		var err error
		if edits, err = c.asOf(ctx, uint32(min(version, int(c.kitchen.Head.Edition)))); err != nil {
			return err
		}
	}
	b, left := kitchen.Amended(c.base, edits)
	for _, e := range left {
		fmt.Fprintf(stderr, "left out: %s %s, changed by %s: it does not fit the book's file any more\n", e.Part, e.Name, e.By.Name)
	}
	_, err := stdout.Write(b.Text)
	return err
}

// asOf gives the edits as they stood after the first n of them. Those made
// since are taken back by the log.
func (c *changes) asOf(ctx context.Context, n uint32) ([]kitchen.Edit, error) {
	var edits []kitchen.Edit
	var lines []kitchen.Line
	for _, e := range c.kitchen.Edited() {
		if e.N <= n {
			edits = append(edits, e)
			continue
		}
		if lines == nil {
			var err error
			if lines, err = c.lines(ctx); err != nil {
				return nil, err
			}
		}
		was, known := stood(lines, e, n)
		if !known {
			return nil, fmt.Errorf("the log does not reach back to version %d", n)
		}
		if was.YAML != book.EntryText(c.base.Text, e.Part, e.Name) {
			edits = append(edits, was)
		}
	}
	return edits, nil
}

// stood gives an entry as it stood after the first n changes, by the log: as
// the last of them left it, else as the first one after them found it.
func stood(lines []kitchen.Line, e kitchen.Edit, n uint32) (kitchen.Edit, bool) {
	known := false
	for _, l := range lines {
		switch of := edition(l); {
		case l.Details["part"] != string(e.Part) || book.Fold(l.Details["name"]) != book.Fold(e.Name):
		case of <= n:
			e.YAML, e.N, known = l.Details["after"], of, true
		case !known:
			e.YAML, e.N, known = l.Details["before"], 0, true
		}
	}
	return e, known
}

func edition(l kitchen.Line) uint32 {
	n, _ := strconv.ParseUint(l.Details["edition"], 10, 32) // the kitchen wrote it
	return uint32(n)
}

// lines gives the log's lines about the book, the earliest first.
func (c *changes) lines(ctx context.Context) ([]kitchen.Line, error) {
	const all = 1 << 20 // more than a day has
	var found []kitchen.Line
	for back := range c.days {
		if uint32(len(found)) >= c.kitchen.Head.Edition {
			break
		}
		day, err := c.log.Lines(ctx, c.now.AddDate(0, 0, -back), all)
		if err != nil {
			return nil, err
		}
		for _, l := range day {
			if l.Event == kitchen.EditEvent && l.Kitchen == c.kitchen.ID {
				l, _ = c.kitchen.Forgotten.Line(l)
				found = append(found, l)
			}
		}
	}
	slices.SortStableFunc(found, func(a, b kitchen.Line) int { return cmp.Compare(edition(a), edition(b)) })
	return found, nil
}

// history prints who changed what when, the earliest first.
func (c *changes) history(ctx context.Context, w io.Writer) error {
	lines, err := c.lines(ctx)
	if err != nil {
		return err
	}
	zone, err := zoneOf(c.base)
	if err != nil {
		return err
	}
	if missing := int(c.kitchen.Head.Edition) - len(lines); missing > 0 {
		fmt.Fprintf(w, "%d earlier, no longer in the log\n", missing)
	}
	var errs []error
	for _, l := range lines {
		_, err := fmt.Fprintf(w, "%4d  %s  %s  %s\n", edition(l), l.Entered.In(zone).Format("Mon 2 Jan 2006 15:04"), l.By.Name, changed(l))
		errs = append(errs, err)
	}
	return errors.Join(errs...)
}

// changed says what one change did.
func changed(l kitchen.Line) string {
	what := strings.TrimSpace(l.Details["part"] + " " + l.Details["name"])
	before, after := l.Details["before"], l.Details["after"]
	switch {
	case after == "":
		return what + ": taken out"
	case before == "":
		return what + ": added"
	}
	was, err1 := book.Values(before)
	is, err2 := book.Values(after)
	if err1 != nil || err2 != nil {
		return what + ": changed"
	}
	keys := maps.Clone(was)
	maps.Copy(keys, is)
	var list []string
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		if was[key] != is[key] {
			list = append(list, fmt.Sprintf("%s %s -> %s", key, cmp.Or(was[key], "nothing"), cmp.Or(is[key], "nothing")))
		}
	}
	return what + ": " + strings.Join(list, "; ")
}
