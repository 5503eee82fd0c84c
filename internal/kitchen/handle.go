package kitchen

import (
	"cmp"
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
	done   Moment         // when it was done, as said or as the platform says
	now    Moment         // when it is entered
	zone   *time.Location // the kitchen's own
	ch     Change
}

// Handle carries out what a person said. now is the ledger's time in the
// kitchen's own zone. The kitchen is changed in place; the Change says what to
// write, and a command that changes nothing gives only its answer.
func (k *Kitchen) Handle(read *request.Reader, b *book.Book, team Team, cmd Command, now time.Time) (Change, Answer) {
	s := &scene{Kitchen: k, reader: read, book: b, cmd: cmd, now: max(At(now), k.Head.Last), zone: now.Location()}
	s.done = min(max(At(cmd.At), s.now.Add(-oldest)), s.now)
	if cmd.At.IsZero() {
		s.done = s.now
	}
	k.Head.Team = team
	line := cmd.Text
	if cmd.Tap != nil {
		s.tap, line = *cmd.Tap, cmd.Tap.Line
	}
	reading := read.Read(line, request.Context{Book: b, Now: s.now.Time().In(now.Location()), Open: k.openFor(cmd.By)})
	answer := s.answer(reading)
	if len(s.ch.Log) > 0 {
		k.Head.Last = s.now
		k.saw(cmd.By)
		k.diff(&s.ch)
	}
	if due := k.Next(); due != 0 {
		s.ch.Due = due.Time()
	}
	s.ch.Answer = EncodeAnswer(answer)
	return s.ch, answer
}

// answer carries out a reading.
func (s *scene) answer(r request.Reading) Answer {
	switch {
	case r.Problem != nil:
		return Answer{Kind: Unread, Problem: r.Problem, Private: true}
	case r.Question != nil:
		return Answer{Kind: Unclear, Question: r.Question, Private: true}
	}
	s.req = *r.Request
	if !s.req.Done.IsZero() {
		s.done = min(At(s.req.Done), s.now)
	}
	switch s.req.Verb {
	case request.Start:
		return s.start()
	case request.Resting:
		return s.board()
	case request.Help:
		return Answer{Kind: Helping, Vessel: s.req.Vessel, Private: true}
	case request.Washed:
		return s.washed()
	case request.Drink:
		return s.glass()
	}
	b := s.batch()
	if b == nil {
		return s.refuseNothing()
	}
	if b.Expired && s.req.Verb == request.Charged {
		if b = s.again(b); b == nil {
			return s.refuseNothing()
		}
	}
	return s.step(b)
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
	}
	return s.refuseNothing()
}

// board gives what the board needs beside the open batches.
func (s *scene) board() Answer {
	a := Answer{Kind: Board, At: s.now, Private: true}
	for _, v := range s.book.Vessels {
		switch state, _ := s.Look(v.Tag); state {
		case VesselFree:
			a.Free = append(a.Free, v.Tag)
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
	return v == request.Charged && b.Expired
}

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
func (k *Kitchen) openFor(p Person) []request.Open {
	var list []request.Open
	for _, b := range k.Open() {
		list = append(list, request.Open{
			Batch: b.ID, Title: b.Title, Vessel: b.Vessel, Phase: string(b.Phase), Mine: b.Owner.ID == p.ID,
		})
	}
	return list
}

// mark is the mark of the one who speaks, now.
func (s *scene) mark() Mark { return Mark{By: s.cmd.By, Done: s.done, Entered: s.now} }

// log writes one line of the log; details come in pairs.
func (s *scene) log(b *Batch, event string, details ...string) {
	s.ch.Log = append(s.ch.Log, lineOf(s.Kitchen, b, event, s.mark(), s.cmd.ID, details))
}

func lineOf(k *Kitchen, b *Batch, event string, m Mark, requestID string, details []string) Line {
	line := Line{
		V: version, Kitchen: k.ID, Event: event, By: m.By,
		Done: m.Done.Time(), Entered: m.Entered.Time(), Request: requestID,
	}
	if b != nil {
		line.Batch = b.ID
		details = append([]string{"vessel", b.Vessel, "title", b.Title}, details...)
	}
	if len(details) > 0 {
		line.Details = map[string]string{}
		for i := 0; i+1 < len(details); i += 2 {
			line.Details[details[i]] = details[i+1]
		}
	}
	return line
}

// changed keeps what undo would bring back, and who did the last thing.
func (s *scene) changed(b *Batch, before Moving) {
	before.Before = nil
	b.Before = &before
	b.Last = Last{Verb: s.req.Verb, Mark: s.mark()}
}

// fact is changed for facts of gas, which are corrected but never undone.
func (s *scene) fact(b *Batch) {
	b.Before = nil
	b.Last = Last{Verb: s.req.Verb, Mark: s.mark()}
}

// did is the answer to a thing done. A plain button is answered by its own
// message, which changes.
func (s *scene) did(b *Batch) Answer {
	return Answer{
		Kind: Done, Verb: s.req.Verb, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Phase: b.Phase,
		N: len(b.Charges), Of: b.Chargers, Who: s.cmd.By, At: s.done, Private: true,
		Quiet: s.tap.Batch != 0 && s.tap.With == "",
	}
}

// already is the answer to a thing done before.
func (s *scene) already(b *Batch, m Mark) Answer {
	return Answer{
		Kind: Already, Verb: s.req.Verb, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Phase: b.Phase,
		Who: m.By, At: m.Done, Private: true,
	}
}

// ask is a question about a batch with its buttons.
func (s *scene) ask(b *Batch, code Code, choices ...Choice) Answer {
	return Answer{
		Kind: Ask, Code: code, Verb: s.req.Verb, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Phase: b.Phase,
		N: len(b.Charges), Of: b.Chargers, Who: b.Owner, At: b.FullSince().Done, Choices: choices, Private: true,
	}
}

// refuse is a refusal about a batch.
func (s *scene) refuse(b *Batch, code Code) Answer {
	return Answer{
		Kind: Refuse, Code: code, Verb: s.req.Verb, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Phase: b.Phase,
		N: len(b.Charges), Of: b.Chargers, Who: b.Owner, At: b.Last.Done, Private: true,
	}
}

// before says that what is told would come before a step that it must follow.
// A time told to the minute or the second means any moment of it; then it is
// taken to be the step's.
func (s *scene) before(step Moment) bool {
	// A signed request is timed by the whole second, so that grain holds untold.
	grains := []Moment{Moment(time.Second.Microseconds())}
	if !s.req.Done.IsZero() {
		grains = append(grains, Moment(time.Minute.Microseconds()))
	}
	for _, grain := range grains {
		if s.done%grain == 0 && s.done/grain == step/grain {
			s.done = max(s.done, step)
		}
	}
	return s.done < step
}

// tooEarly refuses what is told from before the step that it must follow.
func (s *scene) tooEarly(b *Batch, step Moment) Answer {
	a := s.refuse(b, RefuseTooEarly)
	a.At = step
	return a
}

// said says that a yes was tapped, and that no gas went in since it was asked.
func (s *scene) said(b *Batch, yes string) bool {
	return s.tap.With == yes && s.tap.N == len(b.Charges)+1 && s.tap.Turn == b.Turn
}

func (s *scene) refuseNothing() Answer {
	code := RefuseNothing
	if s.tap.Batch != 0 {
		code = RefuseOldButton
	}
	return Answer{Kind: Refuse, Code: code, Verb: s.req.Verb, Vessel: s.req.Vessel, Private: true}
}

// choice is a button that says the line again, with one thing more.
func (s *scene) choice(b *Batch, code ChoiceCode, verb request.Verb, with string) Choice {
	req := s.req
	req.Verb, req.Vessel = verb, b.Vessel
	n := len(b.Charges) + 1
	return Choice{Code: code, N: n, Tap: Tap{Line: req.String(), Batch: b.ID, Turn: b.Turn, N: n, With: with}}
}
