// Package kitchen is the aggregate: one team's vessels and open batches, and
// every rule about them. Handle says what follows from what a person said,
// Ring what follows from a moment that has come. Both are pure: they are told
// the time and give back a Change that a ledger writes whole or not at all.
package kitchen

import (
	"cmp"
	"slices"
)

// Kitchen is one team's vessels and open batches: the unit of consistency.
type Kitchen struct {
	ID      string
	Head    Head
	Vessels map[string]Vessel // by tag; only those that there is something to say about
	Batches map[uint32]*Batch // by number
	History History
	Diary   Diary
	Lots    Lots
	Recalls []Recall        // the latest last
	Edits   map[string]Edit // of the book, by part and folded name
	Crew    Crew
	Stock   Stock
	Kept    []Cream // kept charged for service
	Closing Closing
	// Forgotten is who was forgotten, until the log is written anew.
	Forgotten Forgotten

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
	// LastRecall is the number of the last recall.
	LastRecall uint16 `cbor:"lr,omitempty"`
	// Language is the house's own as it was last edited; empty = as in the file.
	Language string `cbor:"g,omitempty"`
	// Alarms are what the team was told of, the latest last, and LastAlarm is the
	// number of the last one.
	Alarms    []Alarm `cbor:"a,omitempty"`
	LastAlarm uint16  `cbor:"m,omitempty"`
	// Shift is who said that they are on shift.
	Shift []Duty `cbor:"d,omitempty"`
	// Asked are the questions back about a start, the latest last, and LastAsked is
	// the number of the last one.
	Asked     []Asked `cbor:"q,omitempty"`
	LastAsked uint16  `cbor:"r,omitempty"`
}

// Team is where a kitchen's calls go.
type Team struct {
	Channel  string   `cbor:"c,omitempty" json:"channel"`
	Managers []Person `cbor:"m,omitempty" json:"managers"`
	// Tablets are the ids of accounts that several people share.
	Tablets []string `cbor:"b,omitempty" json:"tablets"`
	// Pages says for what a call may page the channel once the managers join.
	Pages []Page `cbor:"p,omitempty" json:"pages"`
	// Fallback has the platform call by itself should this host die.
	Fallback bool `cbor:"f,omitempty" json:"fallback"`
	// Hands and Viewers are the ids of those who are named one. With HandsOnly
	// nobody else is a hand. They stand in the configuration and are never kept.
	Hands     []string `cbor:"-" json:"-"`
	Viewers   []string `cbor:"-" json:"-"`
	HandsOnly bool     `cbor:"-" json:"-"`
}

// Manages says that somebody is one of the team's managers.
func (t Team) Manages(p Person) bool {
	return slices.ContainsFunc(t.Managers, func(m Person) bool { return m.ID == p.ID })
}

// Vessel is what is kept of a vessel while there is something to say about it.
type Vessel struct {
	V     int    `cbor:"v"`
	Dirty Moment `cbor:"d,omitempty"` // since when it waits to be washed; 0 = it does not
	By    Person `cbor:"b,omitzero"`  // who strained it
	Title string `cbor:"t,omitempty"` // what was in it

	Withdrawn *Withdrawal `cbor:"w,omitempty"`
	Blocked   *Block      `cbor:"k,omitempty"`
	// Checked is when gasket and valve were looked at last; Since is when it was
	// first used without such a check.
	Checked *Mark  `cbor:"c,omitempty"`
	Since   Moment `cbor:"s,omitempty"`
	// Traces are the allergens that it carries until its deep wash, Left is what
	// left them and Plain the wash that was no deep one.
	Traces []string `cbor:"x,omitempty"`
	Left   string   `cbor:"l,omitempty"`
	Plain  *Mark    `cbor:"p,omitempty"`
}

// VesselState is what may be done with a vessel.
type VesselState string

// The states of a vessel. The first four follow from its batch; dirty lasts
// until it is washed, withdrawn until it is returned, and blocked until a
// manager heard it empty: that counts before all others.
const (
	VesselFree        VesselState = "free"
	VesselLoaded      VesselState = "loaded"
	VesselPressurised VesselState = "pressurised"
	VesselOpen        VesselState = "open"
	VesselDirty       VesselState = "dirty"
	VesselBlocked     VesselState = "blocked"
	VesselWithdrawn   VesselState = "withdrawn"
)

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

// saw remembers that p did something, latest first, a dozen people at most.
func (k *Kitchen) saw(p Person) {
	if p.ID == "" {
		return
	}
	rest := slices.DeleteFunc(slices.Clone(k.Head.People), func(q Person) bool { return q.ID == p.ID })
	k.Head.People = append([]Person{p}, rest[:min(len(rest), 11)]...)
}
