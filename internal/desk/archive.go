package desk

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/trace"
)

// records gives the batches that an answer lacks. None is an empty list, not nil.
func (d *Desk) records(ctx context.Context, k *kitchen.Kitchen, lacks kitchen.Lacks, now time.Time) ([]*kitchen.Batch, error) {
	list := []*kitchen.Batch{}
	if d.Archive == nil {
		return list, nil
	}
	r := trace.Reader{Ledger: d.Archive, Kitchen: k.ID, Zone: d.Zone}
	first, last := now.Add(-d.Keep), now.AddDate(0, 0, 1)
	if day, known := lacks.Day(d.Zone); known { // a batch code names it
		first, last = day, day
	}
	past, err := r.Left(ctx, k, first, last)
	if err != nil {
		return nil, fmt.Errorf("look for what left kitchen %s: %w", k.ID, err)
	}
	for _, b := range past {
		if lacks.Has(b, now) {
			list = append(list, b)
		}
	}
	slices.SortFunc(list, func(x, y *kitchen.Batch) int { return cmp.Compare(x.ID, y.ID) })
	return list, nil
}
