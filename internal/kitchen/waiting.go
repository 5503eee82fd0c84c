package kitchen

import (
	"cmp"
	"slices"
	"time"
)

// Mine gives the open batches that p owns, the most urgent first.
func (k *Kitchen) Mine(p Person) []*Batch {
	return slices.DeleteFunc(k.Open(), func(b *Batch) bool { return b.Owner.ID != p.ID || b.over() })
}

// Late gives the open batches that wait for somebody, those under pressure
// first, then those that wait longest.
func (k *Kitchen) Late(now time.Time) []*Batch {
	list := slices.DeleteFunc(k.Open(), func(b *Batch) bool {
		since := b.LateSince()
		return since == 0 || since >= At(now)
	})
	slices.SortStableFunc(list, func(x, y *Batch) int {
		return cmp.Or(-cmp.Compare(min(x.Gas(), 1), min(y.Gas(), 1)), cmp.Compare(x.LateSince(), y.LateSince()))
	})
	return list
}

// LateSince gives since when a batch waits for somebody: the moment of the
// first call that was made and is not answered; zero while none is.
func (b *Batch) LateSince() Moment {
	since := Moment(0)
	if kind := b.Waits(); b.Rung > 0 && kind != "" {
		since = b.CallDue(kind, 0)
	}
	if out := b.SolidsOut(); b.ContactRung > 0 && b.ContactAt != 0 && (since == 0 || out < since) {
		since = out
	}
	return since
}

// Waits gives the call of the step that a batch is at: empty while it waits
// only for time.
func (b *Batch) Waits() EntryKind {
	switch {
	case b.over():
		return ""
	case b.Phase == Charging && !b.Full():
		return ChargeCall
	case b.Phase == Venting || b.Phase == Scrapped:
		return VentCall
	case b.Phase == Straining:
		return StrainCall
	case b.Phase == Clearing:
		return ClearCall
	case b.Phase == Labelling:
		return LabelCall
	}
	return ""
}

// over says that a batch only waits to leave the kitchen.
func (b *Batch) over() bool { return b.Phase == Stored || b.Phase == Scrapped && b.Gas() == 0 }
