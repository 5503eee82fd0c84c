package app

import (
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/trace"
)

// exportCommand is `ventbell export`: every event of a kitchen, or a row for each
// batch, for whoever inspects it. It changes nothing.
func exportCommand(ctx context.Context, args, environ []string, stdout, stderr io.Writer) (int, error) {
	flags := flag.NewFlagSet("export", flag.ContinueOnError)
	flags.SetOutput(stderr)
	whose := whoseFlags(flags)
	from := flags.String("from", "", "the first `day`, as 2026-11-01")
	to := flags.String("to", "", "the last `day`, as 2026-11-24; the first one if missing")
	asCSV := flags.Bool("csv", false, "as comma-separated values")
	asJSON := flags.Bool("json", false, "as JSON")
	batches := flags.Bool("batches", false, "a row for each batch in place of each event")
	if err := flags.Parse(args); err != nil {
		return exitProblem, err
	}
	if *asCSV == *asJSON {
		return exitProblem, errors.New("export: say --csv or --json")
	}
	o, base, keep, status, err := whose.options(environ)
	if err != nil {
		return status, err
	}
	zone, err := zoneOf(base)
	if err != nil {
		return 1, err
	}
	first, err1 := time.ParseInLocation(time.DateOnly, *from, zone)
	last, err2 := time.ParseInLocation(time.DateOnly, cmp.Or(*to, *from), zone)
	if err := errors.Join(err1, err2); err != nil || last.Before(first) {
		return exitProblem, errors.Join(errors.New("export: say --from 2026-11-01 --to 2026-11-24"), err)
	}
	l, err := openLogbook(ctx, o)
	if err != nil {
		return 1, err
	}
	defer l.Close()
	if kept := time.Now().Add(-keep); first.Before(kept) {
		fmt.Fprintf(stderr, "what happened is kept for %d days: it may begin after %s only\n", days(keep), kept.Format(time.DateOnly))
	}
	e := export{Reader: trace.Reader{Ledger: l, Kitchen: whose.kitchen, Zone: zone}, first: first, last: last, open: trace.NewCSV}
	if *asJSON {
		e.open = trace.NewJSON
	}
	if *batches {
		return 0, e.batches(ctx, stdout)
	}
	return 0, e.events(ctx, stdout)
}

// export is one run of `ventbell export`.
type export struct {
	trace.Reader
	first, last time.Time // days
	open        func(io.Writer, []string) trace.Writer
}

// events writes the events that were entered on the days, by the house's clock.
func (e export) events(ctx context.Context, stdout io.Writer) error {
	w := e.open(stdout, trace.EventColumns)
	err := e.Events(ctx, e.first, e.last.AddDate(0, 0, 1), func(l kitchen.Line) error { return w.Row(e.EventCells(l)) })
	return errors.Join(err, w.Close())
}

// batches writes the batches that were made on the business days.
func (e export) batches(ctx context.Context, stdout io.Writer) error {
	w := e.open(stdout, trace.BatchColumns)
	list, err := e.Batches(ctx, e.first, e.last)
	if err != nil {
		return err
	}
	for _, b := range list {
		if err := w.Row(e.BatchCells(b)); err != nil {
			return err
		}
	}
	return w.Close()
}
