package kitchen

import (
	"slices"
	"time"

	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// History is what a kitchen remembers between batches: the gas let go lately,
// for the room's air, and what was weighed, for the yield of the next plan.
type History struct {
	V       int                   `cbor:"v"`
	Vented  []Release             `cbor:"g,omitempty"` // oldest first
	Weighed map[string][]Weighing `cbor:"w,omitempty"` // by title, oldest first
	Lapsed  []Lapsed              `cbor:"l,omitempty"` // oldest first
	Starts  []Started             `cbor:"s,omitempty"` // oldest first
	// Shelf are the last days of what was labelled, by title, each as a day's number,
	// soonest first.
	Shelf map[string][]uint32 `cbor:"j,omitempty"`
}

// Release is the gas of one batch, let go at a moment.
type Release struct {
	Batch uint32        `cbor:"b"`
	At    Moment        `cbor:"a"`
	Gas   quantity.Mass `cbor:"g"`
}

// Weighing is what became of one batch. What nobody told is missing.
type Weighing struct {
	In     quantity.Volume `cbor:"i"`
	Solids quantity.Mass   `cbor:"s"`
	Out    quantity.Volume `cbor:"o"`
	// Drained is what the pieces weighed, of a batch that kept them: Out is not
	// told of it then.
	Drained quantity.Mass `cbor:"o1,omitempty"`

	Batch   uint32          `cbor:"b,omitempty"`
	Made    uint32          `cbor:"m,omitempty"` // the day it was started on, in days since 1970
	Meant   uint32          `cbor:"p,omitempty"` // the rest that was planned, in seconds
	Rest    uint32          `cbor:"r,omitempty"` // in seconds: really taken, up to the word that it is empty
	Contact uint32          `cbor:"c,omitempty"` // in seconds: really taken
	Taste   request.Verdict `cbor:"t,omitempty"`
	Solid   request.Verdict `cbor:"d,omitempty"` // of the solids
}

const (
	// airFor is how long a release matters to the air: limits are eight-hour means.
	airFor = 8 * time.Hour
	// weighings is how many results of a recipe are kept that were measured, and how
	// many that were tasted; untolds how many of the last day of which nothing was
	// told; weighedTitles of how many recipes, those made last: what a plan needs,
	// and a bound on what is stored (our choice).
	weighings     = 3
	untolds       = 2
	weighedTitles = 40
	// dayBegins is the hour at which a business day begins: a batch made after
	// midnight belongs to the shift's own day. An estimate, common to bars.
	dayBegins = 5
)

// vented remembers a batch's release; told anew after an undo, it replaces the
// earlier one.
func (h *History) vented(b *Batch, at, now Moment) {
	h.Vented = slices.DeleteFunc(slices.Clone(h.Vented), func(r Release) bool {
		return r.Batch == b.ID || r.At < now.Add(-airFor)
	})
	h.V = version
	gas := quantity.Mass(len(b.Charges)) * plan.GasPerCharger
	h.Vented = append(h.Vented, Release{Batch: b.ID, At: at, Gas: gas})
}

// Learned adds to what a plan rests on what the kitchen learned of its recipe, and
// the gas that was let go lately.
func (k *Kitchen) Learned(r request.Request, in plan.Input) plan.Input {
	own := k.History.input(titleOf(r), in.Now)
	in.Weighed, in.Results, in.Vented = own.Weighed, own.Results, own.Vented
	return in
}

// input gives what a plan made now rests on beside the book.
func (h *History) input(title string, now time.Time) plan.Input {
	in := plan.Input{Now: now, Opens: dayBegins}
	for _, r := range h.Vented {
		in.Vented = append(in.Vented, plan.Release{At: r.At.Time(), Gas: r.Gas})
	}
	for _, w := range h.Weighed[title] {
		in.Weighed = append(in.Weighed, plan.Weighing{In: w.In, Solids: w.Solids, Out: w.Out, Drained: w.Drained})
		in.Results = append(in.Results, w.result())
	}
	return in
}

// businessDate gives a moment of the day of the shift in which t falls, by the clock
// on the wall.
func businessDate(t time.Time) time.Time {
	if t.Hour() < dayBegins {
		return t.AddDate(0, 0, -1)
	}
	return t
}

// businessDay gives that day's date.
func businessDay(t time.Time) string { return businessDate(t).Format(time.DateOnly) }
