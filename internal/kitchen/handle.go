package kitchen

import (
	"cmp"
	"strings"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/request"
)

// oldest is how far back the platform's own time of an action is believed.
const oldest = 10 * time.Minute

// scene is one command being carried out: what was said, by whom, when it was
// done and when it was entered, and the change that grows from it.
type scene struct {
	*Kitchen
	reader *request.Reader
	book   *book.Book
	cmd    Command
	req    request.Request
	tap    Tap            // zero when the line was typed
	said   Moment         // when it was said or done, as far as anybody knows
	done   Moment         // when it was done, as far as it is believed: clocks run from it
	late   bool           // it reached us so late that said is not believed
	now    Moment         // when it is entered
	zone   *time.Location // the kitchen's own
	ch     Change
}

// Handle carries out what a person said. now is the ledger's time in the
// kitchen's own zone. The kitchen is changed in place; the Change says what to
// write, and a command that changes nothing gives only its answer.
func (k *Kitchen) Handle(read *request.Reader, b *book.Book, team Team, cmd Command, now time.Time) (Change, Answer) {
	s := &scene{Kitchen: k, reader: read, book: b, cmd: cmd, now: max(At(now), k.Head.Last), zone: now.Location()}
	s.timed()
	k.Head.Team = team
	s.cmd.By = k.Signer(cmd.By, s.now.Time())
	answer := s.crewed(s.keepAsked(s.hear()))
	if len(s.ch.Log) > 0 && s.role() != Viewer { // a viewer is nobody's stand-in
		k.saw(s.cmd.By)
	}
	s.keep()
	s.ch.Answer = EncodeAnswer(answer)
	return s.ch, answer
}

// keep makes the change of what was done, if anything was.
func (s *scene) keep() {
	if len(s.ch.Log) > 0 {
		s.Head.Last = s.now
		if s.Diary.V > 0 {
			s.Diary.turn(s.now.Time().In(s.zone))
		}
		s.recallsFollow()
		s.stocked()
		s.closings()
		s.fallbacks()
		s.diff(&s.ch)
	}
	if due := s.Next(); due != 0 {
		s.ch.Due = due.Time()
	}
}

// hear finds out what a command is and carries it out.
func (s *scene) hear() Answer {
	switch {
	case s.cmd.Trouble != nil:
		return s.trouble(*s.cmd.Trouble)
	case len(s.cmd.Rewritten) > 0:
		return s.cleansed(s.cmd.Rewritten)
	}
	if refused, is := s.denied(s.unread()); is {
		return refused
	}
	switch {
	case s.cmd.Open != "":
		return s.opened(s.cmd.Open, s.cmd.Text)
	case s.cmd.Form != nil:
		return s.filled(*s.cmd.Form)
	case s.cmd.Tap == nil:
		return s.typed()
	}
	s.tap = *s.cmd.Tap
	if s.tap.With == "change" {
		return s.change()
	}
	if form, asked := strings.CutPrefix(s.tap.With, "form:"); asked {
		return s.opened(FormName(form), s.tap.Line)
	}
	return s.answer(s.readLine(s.tap.Line))
}

// typed carries out a line that was typed, and says in which language.
func (s *scene) typed() Answer {
	if q := s.callsOff(); q != nil {
		return s.calledOff(q)
	}
	reading := s.readLine(s.cmd.Text)
	a := s.answer(reading)
	a.Language = reading.Language
	return a
}

// readLine reads a line as of now; what reached us late, as of when it was said.
func (s *scene) readLine(line string) request.Reading { return s.readAs(line, s.openFor(s.cmd.By)) }

// readAs reads a line as if these batches were open.
func (s *scene) readAs(line string, open []request.Open) request.Reading {
	at := s.now
	if s.late {
		at = s.said
	}
	return s.reader.Read(line, request.Context{
		Book: s.book, Now: at.Time().In(s.zone), Open: open, Language: cmp.Or(s.Head.Language, s.book.House.Language),
	})
}

// answer carries out a reading. In the correction of a reading its buttons
// correct as well.
func (s *scene) answer(r request.Reading) Answer {
	a := s.carryOut(r)
	if s.tap.With == "replace" && (a.Kind == Unclear || a.Kind == Impossible) {
		a.Carry = &Tap{Batch: s.tap.Batch, Turn: s.tap.Turn, With: s.tap.With}
	}
	return a
}

func (s *scene) carryOut(r request.Reading) Answer {
	switch {
	case r.Problem != nil:
		return Answer{Kind: Unread, Problem: r.Problem, Private: true}
	case r.Question != nil:
		return Answer{Kind: Unclear, Question: r.Question, Private: true}
	}
	s.req = *r.Request
	if !s.req.Done.IsZero() {
		s.done = min(At(s.req.Done), s.now)
		s.said = s.done
	}
	if refused, is := s.denied(s.read()); is {
		return refused
	}
	if s.tap.With == "replace" && s.req.Verb != request.Help {
		return s.replace()
	}
	if a, is := s.creamStep(); is {
		return a
	}
	if s.req.Verb == request.Binned && s.req.Topic == request.Expiring {
		return s.pastBinned()
	}
	switch s.req.Verb {
	case request.Start:
		return s.start()
	case request.Got, request.Foam, request.Counted, request.Shells, request.Cream:
		return s.stock()
	case request.Resting:
		return s.board()
	case request.Help:
		return s.help()
	case request.Washed, request.DeepWash:
		return s.washed()
	case request.Withdraw:
		return s.withdraw()
	case request.Return:
		return s.returned()
	case request.Checked:
		return s.checked()
	case request.Freed:
		return s.freed()
	case request.Fenced:
		return s.fenced()
	case request.Drink:
		return s.glass()
	case request.Asks:
		return s.asked()
	case request.Again:
		return s.sameAgain()
	case request.Taste:
		return s.taste()
	case request.Trouble:
		return s.wrong()
	case request.Emergency:
		return s.emergency()
	case request.OnShift, request.OffShift:
		return s.shift()
	case request.Trained, request.Untrain:
		return s.trained()
	case request.Initial:
		return s.initials()
	case request.Forget:
		return s.forget()
	case request.OpenLot:
		if refused, is := s.badLot(); is {
			return refused
		}
		return s.openLot()
	case request.Recall:
		return s.recall()
	case request.Binned:
		return s.binned()
	case request.CloseList, request.HandOver, request.Sign, request.Fridge, request.Cooled:
		return s.endOfDay()
	}
	b := s.batch()
	if b == nil && tellsGas(s.req.Verb) {
		b = s.lapsed()
	}
	switch told := s.req.Volume > 0 || s.req.Solids > 0; {
	case b == nil && s.req.Verb == request.Strained && told && s.tap.Batch == 0:
		return s.measuredLate()
	case b == nil:
		return s.refuseNothing()
	}
	if b.Expired && tellsGas(s.req.Verb) {
		if b = s.again(b); b == nil {
			return s.refuseNothing()
		}
	}
	if refused, is := s.outlived(b); is {
		return refused
	}
	if a, shut := s.shut(b); shut {
		return a
	}
	was := b.marks()
	a := s.step(b)
	if is := b.marks(); is != was && (is.emptied != nil || was.emptied != nil) {
		s.history(b)
	}
	return a
}

// step carries out a verb on its batch.
func (s *scene) step(b *Batch) Answer {
	switch s.req.Verb {
	case request.Why:
		return s.why(b)
	case request.Charged:
		return s.charged(b)
	case request.SetDown:
		return s.setDown(b)
	case request.NoGas:
		return s.noGas(b)
	case request.GasIn:
		return s.gasIn(b)
	case request.More:
		return s.more(b)
	case request.Vented:
		return s.vented(b)
	case request.Strained:
		return s.strained(b)
	case request.Cleared:
		return s.cleared(b)
	case request.Labelled:
		return s.labelled(b)
	case request.Take:
		return s.take(b)
	case request.Scrap:
		return s.scrap(b)
	case request.Undo:
		return s.undo(b)
	case request.MoreGas:
		return s.moreGas(b)
	case request.RestFor:
		return s.restFor(b)
	case request.Pause:
		return s.pause(b)
	case request.Offer:
		return s.offer(b)
	case request.Decline:
		return s.decline(b)
	}
	return s.refuseNothing()
}

// help says what can be done now: about the vessel that is named, else about
// what the speaker has that is most urgent.
func (s *scene) help() Answer {
	a := Answer{Kind: Helping, Vessel: s.req.Vessel, Private: true}
	if mine := s.Mine(s.cmd.By); a.Vessel == "" && len(mine) > 0 {
		a.Vessel = mine[0].Vessel
	}
	return a
}

// board gives what the board needs beside the open batches.
func (s *scene) board() Answer {
	a := Answer{Kind: Board, At: s.now, Private: true}
	for _, v := range s.book.Vessels {
		switch state, _ := s.Look(v.Tag); state {
		case VesselFree:
			if s.Holding(v.Tag) == nil { // else the board says for whom it is held
				a.Free = append(a.Free, v.Tag)
			}
		case VesselDirty:
			a.Dirty = append(a.Dirty, v.Tag)
		}
	}
	return a
}

// batch finds the batch that is meant: the button's, else the one in the
// named vessel, else the one last strained out of it.
func (s *scene) batch() *Batch {
	if s.tap.Batch != 0 {
		return s.Batches[s.tap.Batch]
	}
	if s.req.Verb == request.Pause && s.req.Vessel == "" {
		return s.pausable()
	}
	var best *Batch
	for _, b := range s.Open() {
		if b.Vessel == s.req.Vessel && meant(s.req.Verb, b) && (best == nil || s.rather(b, best)) {
			best = b
		}
	}
	return best
}

// meant says that a batch can be meant at all by a verb and its vessel's tag.
func meant(v request.Verb, b *Batch) bool {
	switch {
	case v == request.Undo, b.Phase != Scrapped, b.Gas() > 0:
		return true
	}
	return tellsGas(v) && b.Expired
}

// tellsGas says that a verb tells of gas that went in.
func tellsGas(v request.Verb) bool { return v == request.Charged || v == request.MoreGas }

// rather says that x is meant rather than y, which is more urgent. One tag can
// mean what was strained out of a vessel and what is in it since: undo is about
// what was done last, the rest about what waits for it, gas always about what
// is in the vessel.
func (s *scene) rather(x, y *Batch) bool {
	v := s.req.Verb
	if v == request.Undo {
		return cmp.Or(cmp.Compare(x.Last.Entered, y.Last.Entered), cmp.Compare(x.ID, y.ID)) > 0
	}
	return fits(v, x) && !fits(v, y)
}

// fits says that a batch waits for a verb, or holds the vessel it is about.
func fits(v request.Verb, b *Batch) bool {
	switch v {
	case request.Strained:
		return b.holdsVessel() && b.Phase != Loading
	case request.Cleared:
		return b.Phase == Clearing
	case request.Labelled:
		return b.Phase == Labelling || b.Phase == Clearing
	}
	return b.holdsVessel()
}

// openFor gives the open batches as the reader needs them.
func (s *scene) openFor(p Person) []request.Open {
	var list []request.Open
	for _, b := range s.Open() {
		list = append(list, request.Open{
			Batch: b.ID, Title: b.Title, Vessel: b.Vessel, Phase: string(b.Phase), Mine: b.Owner.ID == p.ID, Due: s.dueOf(b),
			Weighed: b.KeepsSolid(),
		})
	}
	return append(list, s.openCreams(p)...)
}

// dueOf gives the step of a batch that "done" ticks off: the one that was due
// when it was said. What reached us late may have meant another one.
func (s *scene) dueOf(b *Batch) request.Verb {
	since, verb := Moment(0), request.Verb("")
	switch kind := b.Waits(); {
	case kind == VentCall:
		since, verb = b.VentAt, request.Vented
	case kind == StrainCall:
		since, verb = b.StrainAt(), request.Strained
	case kind == ClearCall:
		since, verb = b.ClearAt(), request.Cleared
	case kind == LabelCall:
		since, verb = b.labelFrom(), request.Labelled
	case b.ContactRung > 0 && b.Gas() == 0 && b.Strained == nil:
		since, verb = b.SolidsOut(), request.Strained
	}
	if s.late || since > s.said {
		return ""
	}
	return verb
}
