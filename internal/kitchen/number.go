package kitchen

import "math"

// Messages that belong to no batch have numbers of their own, so that they are kept
// and forgotten as those of batches are: far above the batches', a row of 65,536 for
// each kind, counted down from its top. A row never changes its place: it stands in
// what is stored.
const (
	rowAsked = iota
	rowClosing
	rowCooling
	rowJoint
	_
	rowNote
)

// ownNumber gives the number of the nth message of a row.
func ownNumber(row uint32, n uint16) uint32 { return math.MaxUint32 - row<<16 - uint32(n) }

// ownEntry is a message to the team that belongs to no batch. Its turn tells it from
// others of its row.
func (s *scene) ownEntry(id uint32, kind EntryKind, turn uint16, due Moment) Entry {
	return Entry{Key: Key(id, kind, turn, 0), Lane: s.Head.Team.Channel, Kind: kind, Batch: id, Turn: turn, Due: due.Time()}
}
