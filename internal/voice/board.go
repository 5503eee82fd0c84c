package voice

import (
	"strings"

	"ventbell/internal/kitchen"
)

// Board words what is in every vessel now: the most urgent first, then what
// is to be washed and what is free.
func (v Voice) Board(k *kitchen.Kitchen, a kitchen.Answer) Message {
	m := message(v.say("board", values{"at": a.At}))
	for _, b := range k.Open() {
		if line := v.boardLine(b); len(line) > 0 {
			m.Lines = append(m.Lines, line)
		}
	}
	m.Lines = append(m.Lines, v.creamLines(k)...)
	m.Lines = append(m.Lines, v.blockedLines(k)...)
	if len(m.Lines) == 1 {
		m = message(v.say("board.empty", values{"at": a.At}))
	}
	var dirty []string
	for _, tag := range a.Dirty {
		dirty = append(dirty, tag)
		m = m.with(v.washedButton(tag))
	}
	if len(dirty) > 0 {
		m.Lines = append(m.Lines, v.say("board.dirty", values{"vessels": strings.Join(dirty, ", ")}))
	}
	m.Lines = append(m.Lines, v.heldLines(k)...)
	if out := withdrawn(k); len(out) > 0 {
		m.Lines = append(m.Lines, v.say("board.withdrawn", values{"vessels": strings.Join(out, ", ")}))
	}
	if len(a.Free) > 0 {
		m.Lines = append(m.Lines, v.say("board.free", values{"vessels": strings.Join(a.Free, ", ")}))
	}
	return m
}

// boardLine is one batch on the board; a stored one has none.
func (v Voice) boardLine(b *kitchen.Batch) Line {
	vals := v.about(b)
	switch {
	case b.Phase == kitchen.Stored, b.Phase == kitchen.Scrapped && b.Gas() == 0:
		return nil
	case b.Blocked != nil:
		vals["since"], vals["blockedBy"] = b.Blocked.Since.Done, b.Blocked.Since.By
		return v.say("board.blocked", vals)
	case b.Gas() > 0 && (b.Phase == kitchen.Venting || b.Phase == kitchen.Scrapped):
		return v.say("board.vent", vals)
	case b.Doubt != nil:
		return v.say("board.doubt", vals)
	case b.Gas() > 0 && b.Full():
		return v.say("board.rest", vals)
	case b.Gas() > 0:
		return v.say("board.charge", vals)
	case b.Phase == kitchen.Settling && b.Strained != nil:
		return v.say("board.settling.first", vals)
	}
	return v.say(phrase("board."+string(b.Phase)), vals)
}
