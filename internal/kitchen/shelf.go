package kitchen

import (
	"cmp"
	"maps"
	"slices"
	"time"
)

// Jar is what was labelled of a recipe and is to be gone on one day. What was used
// up of it since, nobody tells.
type Jar struct {
	Title string `cbor:"t"`
	UseBy Moment `cbor:"u"` // a moment of its last day
	N     int    `cbor:"n"` // batches
}

const (
	// ShelfAtMost is how many jars are remembered, those that end soonest: a bound
	// on what is stored (our choice).
	ShelfAtMost = 24
	// pastDays is how many days what ended is still told of: over a weekend.
	pastDays = 2
)

// shelved remembers until when a labelled batch is to be used, and forgets what
// ended long ago.
func (h *History) shelved(b *Batch, now time.Time) {
	if b.Labelled == nil || b.UseBy == 0 {
		return
	}
	last, today := dayNumber(b.UseBy.Time().In(now.Location())), dayNumber(now)
	h.V = version
	shelf := map[string][]uint32{}
	jars := 0
	for title, days := range h.Shelf {
		shelf[title] = slices.DeleteFunc(slices.Clone(days), func(d uint32) bool { return d+pastDays < today })
		jars += len(shelf[title])
	}
	shelf[b.Title] = append(shelf[b.Title], last)
	slices.Sort(shelf[b.Title])
	for ; jars >= ShelfAtMost; jars-- {
		title := slices.MaxFunc(slices.Sorted(maps.Keys(shelf)), func(x, y string) int { return cmp.Compare(end(shelf[x]), end(shelf[y])) })
		shelf[title] = shelf[title][:len(shelf[title])-1]
	}
	maps.DeleteFunc(shelf, func(_ string, days []uint32) bool { return len(days) == 0 })
	h.Shelf = shelf
}

// end gives the latest day of a list; 0 = none.
func end(days []uint32) uint32 {
	if len(days) == 0 {
		return 0
	}
	return days[len(days)-1]
}

// jars gives what is remembered of a recipe, of all where none is named, and ends
// on the day with this number at the latest; what ends soonest first.
func (h *History) jars(title string, until uint32, now time.Time) []Jar {
	var list []Jar
	for of, days := range h.Shelf {
		for _, d := range days {
			if title != "" && of != title || d > until || d+pastDays < dayNumber(now) {
				continue
			}
			last := At(dayOf(d, now.Location()))
			if n := len(list); n > 0 && list[n-1].Title == of && list[n-1].UseBy == last {
				list[n-1].N++
				continue
			}
			list = append(list, Jar{Title: of, UseBy: last, N: 1})
		}
	}
	slices.SortFunc(list, func(x, y Jar) int { return cmp.Or(cmp.Compare(x.UseBy, y.UseBy), cmp.Compare(x.Title, y.Title)) })
	return list
}

// binned takes the jars of a recipe that end on the day with this number off the
// shelf.
func (h *History) binned(title string, last uint32) {
	shelf := maps.Clone(h.Shelf)
	shelf[title] = slices.DeleteFunc(slices.Clone(shelf[title]), func(d uint32) bool { return d == last })
	if len(shelf[title]) == 0 {
		delete(shelf, title)
	}
	h.Shelf = shelf
}
