package kitchen

import (
	"time"

	"ventbell/internal/request"
)

// mark is the mark of the one who speaks, now.
func (s *scene) mark() Mark {
	return Mark{By: s.cmd.By, Done: s.done, Entered: s.now, Said: s.lateSaid()}
}

// log writes one line of the log; details come in pairs.
func (s *scene) log(b *Batch, event string, details ...string) {
	if said := s.lateSaid(); said != 0 {
		details = append(details, "said", said.Time().Format(time.RFC3339Nano))
	}
	if m := s.mark(); s.afterSigning(m) {
		details = append(details, "after signing", s.Closing.Last.Day)
	}
	s.ch.Log = append(s.ch.Log, lineOf(s.Kitchen, b, event, s.mark(), s.cmd.ID, details))
	s.ch.Log[len(s.ch.Log)-1].Message = s.cmd.Message
}

func lineOf(k *Kitchen, b *Batch, event string, m Mark, requestID string, details []string) Line {
	line := Line{
		V: version, Kitchen: k.ID, Event: event, By: m.By,
		Done: m.Done.Time(), Entered: m.Entered.Time(), Request: requestID,
	}
	if b != nil {
		line.Batch = b.ID
		details = append([]string{"vessel", b.Vessel, "title", b.Title, "code", b.Code}, details...)
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
		Kind: Done, Verb: s.req.Verb, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Phase: b.Phase, Product: b.Product,
		N: len(b.Charges), Of: b.Chargers, Who: s.cmd.By, At: s.done, Private: true,
		Said: s.lateSaid(), Quiet: s.tap.Batch != 0 && s.tap.With == "" && !s.late,
	}
}

// already is the answer to a thing done before.
func (s *scene) already(b *Batch, m Mark) Answer {
	return Answer{
		Kind: Already, Verb: s.req.Verb, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Phase: b.Phase, Product: b.Product,
		Who: m.By, At: m.Done, Private: true,
	}
}

// ask is a question about a batch with its buttons.
func (s *scene) ask(b *Batch, code Code, choices ...Choice) Answer {
	return Answer{
		Kind: Ask, Code: code, Verb: s.req.Verb, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Phase: b.Phase, Product: b.Product,
		N: len(b.Charges), Of: b.Chargers, Who: b.Owner, At: b.FullSince().Done, Choices: choices, Private: true,
	}
}

// refuse is a refusal about a batch.
func (s *scene) refuse(b *Batch, code Code) Answer {
	return Answer{
		Kind: Refuse, Code: code, Verb: s.req.Verb, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Phase: b.Phase, Product: b.Product,
		N: len(b.Charges), Of: b.Chargers, Who: b.Owner, At: b.Last.Done, Private: true,
	}
}

// before says that what is told would come before a step that it must follow.
// A time told to the minute or the second means any moment of it; then it is
// taken to be the step's.
func (s *scene) before(m Mark) bool {
	step := m.SaidAt()
	// A signed request is timed by the whole second, so that grain holds untold.
	grains := []Moment{Moment(time.Second.Microseconds())}
	if !s.req.Done.IsZero() {
		grains = append(grains, Moment(time.Minute.Microseconds()))
	}
	for _, grain := range grains {
		if s.said%grain == 0 && s.said/grain == step/grain {
			s.said = max(s.said, step)
		}
	}
	if s.said < step {
		return true
	}
	s.done = max(s.done, m.Done)
	return false
}

// tooEarly refuses what is told from before the step that it must follow.
func (s *scene) tooEarly(b *Batch, step Mark) Answer {
	a := s.refuse(b, RefuseTooEarly)
	a.At = step.SaidAt()
	return a
}

// yes says that a yes was tapped, and that no gas went in since it was asked.
func (s *scene) yes(b *Batch, yes string) bool {
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
