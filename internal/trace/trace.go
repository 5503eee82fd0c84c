// Package trace reads what a ledger kept of a kitchen: the log, the batches that
// left it and those that are open. It changes nothing, and it names nobody who
// was forgotten.
package trace

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"ventbell/internal/kitchen"
)

// Ledger is what is read of a ledger.
type Ledger interface {
	Peek(ctx context.Context, kitchen string) (kitchen.State, error)
	// Lines gives the log of a day, counted in UTC, as far as the limit goes.
	Lines(ctx context.Context, day time.Time, limit int) ([]kitchen.Line, error)
	// Day gives the batches of a business day that left their kitchen.
	Day(ctx context.Context, kitchen, day string) ([]uint32, error)
	// Record gives the record of such a batch; nil if there is none.
	Record(ctx context.Context, kitchen string, batch uint32) ([]byte, error)
}

// Reader reads one kitchen.
type Reader struct {
	Ledger  Ledger
	Kitchen string
	Zone    *time.Location // the house's own
}

// everything is more lines than a day has.
const everything = 1 << 30

// present gives the kitchen as it is now.
func (r Reader) present(ctx context.Context) (*kitchen.Kitchen, time.Time, error) {
	s, err := r.Ledger.Peek(ctx, r.Kitchen)
	if err != nil {
		return nil, time.Time{}, fmt.Errorf("read kitchen %s: %w", r.Kitchen, err)
	}
	if s.Rev == "" {
		return nil, time.Time{}, fmt.Errorf("no kitchen %q has done anything in this ledger", r.Kitchen)
	}
	k, err := kitchen.Decode(r.Kitchen, s.Fields)
	return k, s.Now, err
}

// Events calls each with the kitchen's events that were entered from a moment up
// to, but not at, another, in the order in which they were entered. An error of
// each ends it.
func (r Reader) Events(ctx context.Context, from, to time.Time, each func(kitchen.Line) error) error {
	k, now, err := r.present(ctx)
	if err != nil {
		return err
	}
	if to.After(now.Add(time.Minute)) {
		to = now.Add(time.Minute)
	}
	for day := from.UTC().Truncate(24 * time.Hour); day.Before(to); day = day.Add(24 * time.Hour) {
		lines, err := r.Ledger.Lines(ctx, day, everything)
		if err != nil {
			return fmt.Errorf("trace kitchen %s: %w", r.Kitchen, err)
		}
		lines = slices.DeleteFunc(lines, func(l kitchen.Line) bool {
			return l.Kitchen != r.Kitchen || l.Entered.Before(from) || !l.Entered.Before(to)
		})
		slices.SortStableFunc(lines, func(x, y kitchen.Line) int { return x.Entered.Compare(y.Entered) })
		for _, l := range lines {
			l, _ = k.Forgotten.Line(l)
			if err := each(l); err != nil {
				return err
			}
		}
	}
	return nil
}

// Batches gives the batches that were started on the business days of from up to
// that of to, both told by their date, in the order of their numbers. Those that
// are still open are among them.
func (r Reader) Batches(ctx context.Context, from, to time.Time) ([]*kitchen.Batch, error) {
	k, _, err := r.present(ctx)
	if err != nil {
		return nil, err
	}
	first, last := from.Format(time.DateOnly), to.Format(time.DateOnly)
	var list []*kitchen.Batch
	for _, b := range k.Batches {
		if day := b.MadeDay(r.Zone); first <= day && day <= last {
			list = append(list, b)
		}
	}
	left, err := r.Left(ctx, k, from, to)
	if err != nil {
		return nil, err
	}
	list = append(list, left...)
	slices.SortFunc(list, func(x, y *kitchen.Batch) int { return cmp.Compare(x.ID, y.ID) })
	return list, nil
}

// Left gives the batches of the business days from one date to another that left
// the kitchen, the earliest day first.
func (r Reader) Left(ctx context.Context, k *kitchen.Kitchen, from, to time.Time) ([]*kitchen.Batch, error) {
	var list []*kitchen.Batch
	for day := from; day.Format(time.DateOnly) <= to.Format(time.DateOnly); day = day.AddDate(0, 0, 1) {
		batches, err := r.Ledger.Day(ctx, r.Kitchen, day.Format(time.DateOnly))
		if err != nil {
			return nil, fmt.Errorf("trace kitchen %s: %w", r.Kitchen, err)
		}
		for _, id := range batches {
			b, err := r.batch(ctx, k, id)
			if err != nil {
				return nil, err
			}
			if b != nil && k.Batches[id] == nil { // else it left between two looks
				list = append(list, b)
			}
		}
	}
	return list, nil
}

// batch gives a batch that left its kitchen; nil if its record is gone or is none
// of a batch.
func (r Reader) batch(ctx context.Context, k *kitchen.Kitchen, id uint32) (*kitchen.Batch, error) {
	body, err := r.Ledger.Record(ctx, r.Kitchen, id)
	if err != nil || body == nil {
		return nil, err
	}
	if _, is := kitchen.DecodeClosed(body); is {
		return nil, nil // a list that was signed
	}
	if body, _, err = k.Forgotten.Record(body); err != nil {
		return nil, fmt.Errorf("trace batch %d: %w", id, err)
	}
	return kitchen.DecodeBatch(body)
}
