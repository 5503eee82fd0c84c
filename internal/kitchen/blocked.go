package kitchen

import (
	"cmp"
	"slices"
	"time"

	"ventbell/internal/request"
)

// Block is that a vessel does not vent. It counts as PRESSURISED until a manager
// says that gas was heard to flow and two presses after it were silent, whatever
// becomes of its batch.
type Block struct {
	N     uint16 `cbor:"n"` // tells it from other blocks: the Turn of its calls
	Batch uint32 `cbor:"b,omitempty"`
	Since Mark   `cbor:"s"`
	// Cold is that it stands upright and cold with its lever held; the next try
	// comes coldFor later.
	Cold *Mark `cbor:"c,omitempty"`
	// Tries counts how often it was tried again, in vain.
	Tries uint8 `cbor:"t,omitempty"`
	// Claimed is who said last that it is empty, and is no manager.
	Claimed *Mark `cbor:"m,omitempty"`
	// Fenced is the manager's word: cold, tagged, fenced off, its maker called.
	Fenced *Mark `cbor:"f,omitempty"`

	CallAt Moment `cbor:"a"`           // the next call of one that no batch calls for
	Rung   uint8  `cbor:"r,omitempty"` // calls made
}

// Blockage is a vessel that does not vent, as others need to know of it.
type Blockage struct {
	Vessel string
	Batch  uint32 // whose gas may be in it; 0 = none is known
	Since  Mark
	Fenced *Mark // cold, tagged, fenced off, its maker called; nil = not yet
}

// Blockages gives the vessels that do not vent, the one that is blocked longest
// first.
func (k *Kitchen) Blockages() []Blockage {
	var list []Blockage
	for tag, r := range k.Vessels {
		if x := r.Blocked; x != nil {
			list = append(list, Blockage{Vessel: tag, Batch: x.Batch, Since: x.Since, Fenced: x.Fenced})
		}
	}
	slices.SortFunc(list, func(x, y Blockage) int {
		return cmp.Or(cmp.Compare(x.Since.Done, y.Since.Done), cmp.Compare(x.Vessel, y.Vessel))
	})
	return list
}

// BlockCall calls for a vessel that does not vent and that no batch calls for.
// Its Turn is the block's number.
const BlockCall EntryKind = "blocked"

const (
	// ColdFor is how long a blocked vessel stands in ice water before it is tried
	// again: common practice, no source.
	ColdFor = 15 * time.Minute
	// morning is the hour of the day at which a vessel that is fenced off is called
	// for, and soonest how long after the fencing that is at the least (our choice).
	morning = 9
	soonest = 4 * time.Hour
	// saidAgain is how soon the same claim is no new one.
	saidAgain = time.Minute
)

// What is asked about a blocked vessel.
const (
	AskFreed  Code = "freed"  // was gas heard to flow, and were two presses silent after it?
	AskFenced Code = "fenced" // is it cold, tagged, fenced off, its maker called?
)

// Why something is refused about a vessel that does not vent.
const (
	RefuseNotBlocked Code = "not blocked"
	// RefuseClaim: Vessel is blocked, and only a manager says that it is empty; one
	// is called.
	RefuseClaim Code = "claim"
)

// The buttons about a blocked vessel.
const (
	ChooseHeard  ChoiceCode = "heard"  // gas flowed, then two presses were silent
	ChooseStill  ChoiceCode = "still"  // it does not vent
	ChooseFenced ChoiceCode = "fenced" // cold, tagged, fenced off, maker called
)

// What a tap says besides, of a vessel that is blocked.
const (
	TapCold  = "cold"  // it stands cold, its lever held
	TapStill = "still" // it was tried again, in vain
)

// Block gives the block with this number and its vessel; nil if it is over.
func (k *Kitchen) Block(n uint16) (*Block, string) {
	for tag, r := range k.Vessels {
		if r.Blocked != nil && r.Blocked.N == n {
			return r.Blocked, tag
		}
	}
	return nil, ""
}

// TryAt gives when a vessel that stands cold is to be tried again; zero while it
// does not.
func (x *Block) TryAt() Moment {
	if x.Cold == nil {
		return 0
	}
	return x.Cold.Done.Add(ColdFor)
}

// blocked begins or continues the procedure of a vessel that does not vent.
func (s *scene) blocked(b *Batch, tag string) {
	x := s.Vessels[tag].Blocked
	tried := x != nil && x.Cold != nil && s.tap.With == "" && s.now >= x.TryAt()
	switch {
	case x == nil:
		s.block(b, tag)
	case s.tap.With == TapCold && x.Cold == nil:
		s.stepOn(b, tag, "stands cold", func(x *Block) { m := s.mark(); x.Cold = &m })
	case s.tap.With == TapStill || tried:
		s.stepOn(b, tag, "tried in vain", func(x *Block) {
			x.Cold, x.Tries = nil, min(x.Tries, 254)+1
		})
	}
}

// block notes that a vessel does not vent. It is called for at once, whatever its
// rest had left, and nothing of it is undone.
func (s *scene) block(b *Batch, tag string) {
	s.Head.LastAlarm++
	x := Block{N: s.Head.LastAlarm, Since: s.mark()}
	x.CallAt = s.now.Add(ladders[BlockCall][0])
	if b != nil && b.holdsVessel() {
		x.Batch = b.ID
	}
	s.keepBlock(tag, &x)
	s.note(b, "blocked", tag)
	if x.Batch == 0 {
		return
	}
	s.fact(b)
	if b.Gas() > 0 && b.Doubt == nil && b.Told == nil && b.Phase != Venting && b.Phase != Scrapped {
		b.Turn++
		b.VentAt, b.Phase = s.now, Venting
		b.Rung, b.CallAt = 1, b.CallDue(VentCall, 1) // the alarm is its first call
	}
	s.editCalled(b)
	s.post(b, Slip)
}

// keepBlock keeps what is known of a vessel that does not vent, with the batch in
// it as well: its messages say so. nil = it vents.
func (s *scene) keepBlock(tag string, x *Block) {
	s.record(tag, func(r *Vessel) { r.Blocked = x })
	if b := s.heldBy(tag); b != nil {
		b.Blocked = x
	}
}

// stepOn changes the block of a vessel and puts its next call where it belongs.
func (s *scene) stepOn(b *Batch, tag, event string, change func(x *Block)) {
	x := *s.Vessels[tag].Blocked
	change(&x)
	at := s.now.Add(ladders[BlockCall][0])
	switch {
	case x.Fenced != nil:
		at = s.nextMorning()
	case x.Cold != nil:
		at = max(x.TryAt(), s.now)
	}
	x.CallAt = at
	s.keepBlock(tag, &x)
	s.note(b, event, tag)
	s.editBlock(x)
	if b != nil && b.Vessel == tag && b.calledForGas() {
		b.CallAt = at
		s.editCalled(b)
		s.post(b, Slip)
	}
}

// editBlock brings the last call for a block up to date.
func (s *scene) editBlock(x Block) {
	if x.Rung > 0 {
		s.queue(Entry{
			Key: Key(0, BlockCall, x.N, x.Rung-1), Lane: s.Head.Team.Channel, Kind: BlockCall, Turn: x.N, Rung: x.Rung - 1,
			Due: s.now.Time(), Edit: true,
		})
	}
}

// calledForGas says that a batch's own calls are those of the gas in its vessel.
func (b *Batch) calledForGas() bool {
	return b.Gas() > 0 && (b.Phase == Venting || b.Phase == Scrapped)
}

// fencedOff says that a batch's vessel is blocked and fenced off: its calls come
// slowly.
func (k *Kitchen) fencedOff(b *Batch) bool {
	x := k.Vessels[b.Vessel].Blocked
	return x != nil && x.Fenced != nil && b.holdsVessel()
}

// nextMorning gives when a vessel that is fenced off is called for next.
func (s *scene) nextMorning() Moment {
	now := s.now.Time().In(s.zone)
	at := morningOf(now)
	for at.Sub(now) < soonest {
		at = at.AddDate(0, 0, 1)
	}
	return At(at)
}

// blockedChores gives what the blocked vessels wait for that no batch calls for.
func (k *Kitchen) blockedChores() []chore {
	var list []chore
	for _, x := range k.Blockages() {
		if b := k.heldBy(x.Vessel); b != nil && b.calledForGas() {
			continue
		}
		tag := x.Vessel
		list = append(list, chore{k.Vessels[tag].Blocked.CallAt, func(s *scene, at Moment) { s.ringBlocked(tag, at) }})
	}
	return list
}

// ringBlocked calls for a blocked vessel, until a manager heard it empty.
func (s *scene) ringBlocked(tag string, due Moment) {
	x := *s.Vessels[tag].Blocked
	if x.Rung == lastRung {
		s.Head.LastAlarm++
		x.N, x.Rung = s.Head.LastAlarm, 0
	}
	s.callBlock(&x, due)
	x.CallAt = s.now.Add(blockPace(x.Rung))
	if x.Fenced != nil {
		x.CallAt = s.nextMorning()
	}
	s.keepBlock(tag, &x)
	s.logRing(nil, string(BlockCall)+" call", "vessel", tag)
}

// callBlock queues the next call for a block.
func (s *scene) callBlock(x *Block, due Moment) {
	s.callTeam(Entry{
		Key: Key(0, BlockCall, x.N, x.Rung), Kind: BlockCall, Turn: x.N, Rung: x.Rung, Due: due.Time(), Urgent: true,
	}, s.Head.Team.Managers)
	x.Rung++
}

// blockPace gives how long after so many calls the next one comes.
func blockPace(made uint8) time.Duration {
	steps := ladders[BlockCall]
	if int(made) < len(steps) {
		return steps[made] - steps[made-1]
	}
	return pace(steps)
}

// callTeam queues a message of no batch to the team; where the channel takes
// none, to these people directly.
func (s *scene) callTeam(e Entry, people []Person) {
	e.Lane = s.Head.Team.Channel
	s.queueFor(e, people[:min(len(people), directAtMost)])
}

// shut answers what may not be done to a batch while its vessel is blocked: only
// a manager says that it is empty, and nobody opens it before.
func (s *scene) shut(b *Batch) (Answer, bool) {
	if s.Vessels[b.Vessel].Blocked == nil || !b.holdsVessel() {
		return Answer{}, false
	}
	switch s.req.Verb {
	case request.Vented, request.Strained, request.Labelled, request.Cleared:
		s.req.Vessel = b.Vessel
		return s.freed(), true
	case request.More, request.RestFor, request.SetDown, request.Pause:
		return s.unusable(b.Vessel)
	}
	return Answer{}, false
}

// outOfUse says that a batch's vessel may not be charged: what is told to be in it
// all the same counts as gas that should not be.
func (s *scene) outOfUse(b *Batch) bool {
	r := s.Vessels[b.Vessel]
	return r.Blocked != nil || r.Withdrawn != nil
}

// freed records a manager's word that a blocked vessel is empty. Anybody else's
// calls one.
func (s *scene) freed() Answer {
	tag := s.req.Vessel
	x := s.Vessels[tag].Blocked
	b := s.heldBy(tag)
	switch {
	case x == nil:
		return s.aboutVessel(Refuse, RefuseNotBlocked, tag)
	case s.said < x.Since.SaidAt():
		a := s.aboutVessel(Refuse, RefuseTooEarly, tag)
		a.Who, a.At = x.Since.By, x.Since.SaidAt()
		return a
	case !s.may(Act(request.Freed)):
		return s.claimed(tag)
	case s.tap.With != string(ChooseHeard) || s.tap.N != int(x.N):
		a := s.aboutVessel(Ask, AskFreed, tag)
		a.Verb = request.Freed
		a.Choices = []Choice{
			{Code: ChooseHeard, Tap: s.blockTap(request.Request{Verb: request.Freed, Vessel: tag}, x, string(ChooseHeard))},
			{Code: ChooseStill, Tap: s.blockTap(request.Request{Verb: request.Trouble, Kind: request.Blocked, Vessel: tag}, x, TapStill)},
		}
		return a
	}
	s.req.Verb = request.Freed
	s.editBlock(*x)
	s.keepBlock(tag, nil)
	s.note(b, "freed", tag)
	if c := s.CreamIn(tag); c != nil {
		return s.emptied(c)
	}
	if b == nil {
		return s.aboutVessel(Done, "", tag)
	}
	if b.Gas() > 0 {
		s.empty(b)
	}
	s.fact(b)
	s.post(b, Slip)
	s.history(b)
	a := s.did(b)
	a.Quiet = false
	return a
}

// blockTap is a button about a block.
func (s *scene) blockTap(r request.Request, x *Block, with string) Tap {
	return Tap{Line: r.String(), N: int(x.N), With: with}
}

// claimed calls a manager to a vessel that somebody else says is empty.
func (s *scene) claimed(tag string) Answer {
	x := *s.Vessels[tag].Blocked
	if x.Claimed == nil || s.now.Sub(x.Claimed.Entered) >= saidAgain {
		m := s.mark()
		x.Claimed = &m
		if x.Rung == lastRung {
			s.Head.LastAlarm++
			x.N, x.Rung = s.Head.LastAlarm, 0
		}
		s.callBlock(&x, s.now)
		s.keepBlock(tag, &x)
		s.note(s.heldBy(tag), "said to be empty", tag)
	}
	return s.aboutVessel(Refuse, RefuseClaim, tag)
}

// fenced records a manager's word that a blocked vessel is cold, tagged, fenced
// off and that its maker was called: from then on its calls come slowly.
func (s *scene) fenced() Answer {
	tag := s.req.Vessel
	x := s.Vessels[tag].Blocked
	switch {
	case x == nil:
		return s.aboutVessel(Refuse, RefuseNotBlocked, tag)
	case x.Fenced != nil:
		a := s.aboutVessel(Already, "", tag)
		a.Who, a.At = x.Fenced.By, x.Fenced.Done
		return a
	case s.tap.With != string(ChooseFenced) || s.tap.N != int(x.N):
		a := s.aboutVessel(Ask, AskFenced, tag)
		a.Choices = []Choice{{Code: ChooseFenced, Tap: s.blockTap(s.req, x, string(ChooseFenced))}}
		return a
	}
	s.stepOn(s.heldBy(tag), tag, "fenced off", func(x *Block) { m := s.mark(); x.Fenced = &m })
	return s.aboutVessel(Done, "", tag)
}
