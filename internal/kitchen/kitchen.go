// Package kitchen is the aggregate: one team's vessels and open batches, and
// every rule about them. Handle says what follows from what a person said,
// Ring what follows from a moment that has come. Both are pure: they are told
// the time and give back a Change that a ledger writes whole or not at all.
package kitchen

import (
	"cmp"
	"slices"

	"ventbell/internal/book"
)

// Kitchen is one team's vessels and open batches: the unit of consistency.
type Kitchen struct {
	ID      string
	Head    Head
	Vessels map[string]Vessel // by tag; only those that are not simply free
	Batches map[uint32]*Batch // by number
	History History
	Diary   Diary
	Edits   map[string]Edit // of the book, by part and folded name

	was map[string][]byte // the fields as they were loaded
}

// Head is what a kitchen knows of itself.
type Head struct {
	V      int      `cbor:"v"`
	Last   Moment   `cbor:"l,omitempty"` // the last entry: time never goes back before it
	Next   uint32   `cbor:"n,omitempty"` // the last batch number given
	Seq    uint64   `cbor:"s,omitempty"` // the last outbox entry's number
	Team   Team     `cbor:"t"`
	People []Person `cbor:"p,omitempty"` // who did something lately, latest first
	// Troubles are the lanes that take no messages, oldest first.
	Troubles []Trouble `cbor:"x,omitempty"`
	// LastTrouble is the number of the last one.
	LastTrouble uint16 `cbor:"y,omitempty"`
	// Beside is what stands beside the channel for a batch, by number.
	Beside map[uint32]Beside `cbor:"b,omitempty"`
	// Edition counts the edits of the book.
	Edition uint32 `cbor:"e,omitempty"`
	// Language is the house's own as it was last edited; empty = as in the file.
	Language string `cbor:"g,omitempty"`
	// Alarms are what the team was told of, the latest last, and LastAlarm is the
	// number of the last one.
	Alarms    []Alarm `cbor:"a,omitempty"`
	LastAlarm uint16  `cbor:"m,omitempty"`
	// Shift is who said that they are on shift.
	Shift []Duty `cbor:"d,omitempty"`
}

// Team is where a kitchen's calls go.
type Team struct {
	Channel  string   `cbor:"c,omitempty" json:"channel"`
	Managers []Person `cbor:"m,omitempty" json:"managers"`
	// Fallback has the platform call by itself should this host die.
	Fallback bool `cbor:"f,omitempty" json:"fallback"`
}

// Manages says that somebody is one of the team's managers.
func (t Team) Manages(p Person) bool {
	return slices.ContainsFunc(t.Managers, func(m Person) bool { return m.ID == p.ID })
}

// Vessel is what is kept of a vessel while it is not simply free or in a batch.
type Vessel struct {
	V     int    `cbor:"v"`
	Dirty Moment `cbor:"d"` // since when it waits to be washed
	By    Person `cbor:"b"` // who strained it
	Title string `cbor:"t"` // what was in it
}

// VesselState is what may be done with a vessel.
type VesselState string

// The states of a vessel; all follow from its batch but the last, which
// lasts until the vessel is washed.
const (
	VesselFree        VesselState = "free"
	VesselLoaded      VesselState = "loaded"
	VesselPressurised VesselState = "pressurised"
	VesselOpen        VesselState = "open"
	VesselDirty       VesselState = "dirty"
)

// Look gives the state of the vessel with this tag and the batch that holds
// it; nil if none does.
func (k *Kitchen) Look(tag string) (VesselState, *Batch) {
	for _, b := range k.Open() {
		if b.Vessel != tag || !b.holdsVessel() {
			continue
		}
		switch {
		case b.Gas() > 0:
			return VesselPressurised, b
		case b.Phase == Loading || b.Phase == Charging:
			return VesselLoaded, b
		default:
			return VesselOpen, b
		}
	}
	if _, dirty := k.Vessels[tag]; dirty {
		return VesselDirty, nil
	}
	return VesselFree, nil
}

// Open gives the batches in order of urgency: what holds gas and is due
// longest first, what only waits to be shelved last.
func (k *Kitchen) Open() []*Batch {
	list := make([]*Batch, 0, len(k.Batches))
	for _, b := range k.Batches {
		list = append(list, b)
	}
	slices.SortFunc(list, func(a, b *Batch) int {
		return cmp.Or(
			cmp.Compare(a.urgency(), b.urgency()),
			cmp.Compare(a.nextAt(), b.nextAt()),
			cmp.Compare(a.ID, b.ID),
		)
	})
	return list
}

// free gives the vessels of the book that may be used now, in its order.
func (k *Kitchen) free(b *book.Book) []book.Vessel {
	var list []book.Vessel
	for _, v := range b.Vessels {
		if state, _ := k.Look(v.Tag); state == VesselFree {
			list = append(list, v)
		}
	}
	return list
}

// saw remembers that p did something, latest first, a dozen people at most.
func (k *Kitchen) saw(p Person) {
	if p.ID == "" {
		return
	}
	rest := slices.DeleteFunc(slices.Clone(k.Head.People), func(q Person) bool { return q.ID == p.ID })
	k.Head.People = append([]Person{p}, rest[:min(len(rest), 11)]...)
}

// Circle gives who is called at the given rung: the owner, then the person
// who did something last besides, then the managers as well.
func (k *Kitchen) Circle(b *Batch, rung uint8) []Person {
	circle := []Person{b.Owner}
	add := func(people ...Person) {
		for _, p := range people {
			if p.ID != "" && !slices.ContainsFunc(circle, func(q Person) bool { return q.ID == p.ID }) {
				circle = append(circle, p)
			}
		}
	}
	if rung >= 1 {
		for _, p := range k.Head.People {
			if p.ID != b.Owner.ID {
				add(p)
				break
			}
		}
	}
	if rung >= 2 || (rung == 1 && len(circle) == 1) {
		add(k.Head.Team.Managers...)
	}
	return circle
}
