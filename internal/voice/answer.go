package voice

import (
	"strings"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// Answer words the answer to a command, from the kitchen as it is now. A quiet
// answer has no lines.
func (v Voice) Answer(k *kitchen.Kitchen, a kitchen.Answer) Message {
	if a.Quiet {
		return Message{}
	}
	switch a.Kind {
	case kitchen.Unread:
		return v.Problem(*a.Problem)
	case kitchen.Unclear:
		return v.Question(*a.Question)
	case kitchen.Impossible:
		return v.PlanProblem(*a.Plan)
	case kitchen.Board:
		return v.Board(k, a)
	case kitchen.Helping:
		return v.help(k, a)
	case kitchen.Stop:
		return v.stopAnswer(k, a)
	case kitchen.Done:
		return v.doneAnswer(k, a)
	}
	return v.saidAnswer(a)
}

// answerValues gives the values that sentences about an answer use.
func (v Voice) answerValues(a kitchen.Answer) values {
	return values{
		"vessel": a.Vessel, "title": a.Title, "phase": v.phase(a.Phase), "n": a.N, "of": a.Of, "next": a.N + 1,
		"who": a.Who, "at": a.At, "line": a.Line, "volume": a.Volume.String(), "verb": v.verb(a.Verb),
	}
}

// phase gives a phase as a word.
func (v Voice) phase(p kitchen.Phase) string {
	if p == "" {
		return ""
	}
	return v.word(phrase("phase."+string(p)), nil)
}

// verb gives a verb as what was done: "vented".
func (v Voice) verb(r request.Verb) string {
	if r == "" {
		return ""
	}
	return v.word(phrase("verb."+string(r)), nil)
}

// doneAnswer says that a thing was done, and what comes next.
func (v Voice) doneAnswer(k *kitchen.Kitchen, a kitchen.Answer) Message {
	vals := v.answerValues(a)
	b := k.Batches[a.Batch]
	if b != nil {
		for name, value := range v.about(b) {
			if _, has := vals[name]; !has {
				vals[name] = value
			}
		}
	}
	if a.Verb == request.Start {
		return v.started(k, a, vals)
	}
	m := message(v.say(phrase("done."+string(a.Verb)), vals))
	if b != nil {
		m.Lines = append(m.Lines, v.next(b)...)
	}
	return m
}

// next is the headline of what a batch waits for, after something was done.
func (v Voice) next(b *kitchen.Batch) []Line {
	vals := v.about(b)
	switch b.Phase {
	case kitchen.Charging:
		if !b.Full() {
			return []Line{v.say("next.charge", vals)}
		}
		return []Line{v.say("next.vent", vals)}
	case kitchen.Resting:
		return []Line{v.say("next.vent", vals)}
	case kitchen.Venting:
		return []Line{v.say("slip.vent", vals), v.say("safe.empty", vals)}
	case kitchen.Settling:
		return []Line{v.say("next.settle", vals)}
	case kitchen.Straining:
		return []Line{v.say("next.strain", vals)}
	case kitchen.Clearing:
		return []Line{v.say("next.clear", vals)}
	case kitchen.Labelling:
		return []Line{v.labelLine(b)}
	}
	return nil
}

// started echoes how a start was understood.
func (v Voice) started(k *kitchen.Kitchen, a kitchen.Answer, vals values) Message {
	m := message(v.say("done.start", vals))
	for _, id := range a.Batches {
		if b := k.Batches[id]; b != nil {
			m.Lines = append(m.Lines, v.say("done.start.run", v.about(b)))
		}
	}
	if len(m.Lines) > 5 {
		m.Lines = m.Lines[:5]
	}
	m.Lines = append(m.Lines, v.say("done.start.next", vals))
	return m
}

// saidAnswer words what was done before, what is asked and what is refused.
func (v Voice) saidAnswer(a kitchen.Answer) Message {
	p := phrase(string(a.Kind) + "." + string(a.Code))
	if a.Kind == kitchen.Already {
		p = "already"
		if a.At == 0 {
			p = "already.plain"
		}
	}
	m := message(v.say(p, v.answerValues(a)))
	if a.Kind == kitchen.Ask && a.Code == kitchen.AskEmptied {
		m.Lines = append(m.Lines, v.say("safe.empty", nil))
	}
	return m.with(v.choices(a)...)
}

// choices draws the buttons of a question.
func (v Voice) choices(a kitchen.Answer) []Button {
	var buttons []Button
	for i, c := range a.Choices {
		vals := v.answerValues(a)
		vals["n"] = c.N
		buttons = append(buttons, Button{
			Label: v.word(phrase("choose."+string(c.Code)), vals), Tap: c.Tap, Main: i == 0,
		})
	}
	return buttons
}

func (v Voice) stopAnswer(k *kitchen.Kitchen, a kitchen.Answer) Message {
	vals := v.answerValues(a)
	head := phrase("stop.said")
	if a.At == 0 {
		head = "stop.said.plain"
	}
	return message(v.say(head, vals), v.say("stop.ask", vals), v.say("safe.empty", vals)).with(v.choices(a)...)
}

// help says what can be typed, and first what the asker's vessel waits for.
func (v Voice) help(k *kitchen.Kitchen, a kitchen.Answer) Message {
	var m Message
	for _, b := range k.Open() {
		if a.Vessel != "" && b.Vessel == a.Vessel {
			m.Lines = append(m.Lines, v.next(b)...)
			if b.Gas() > 0 {
				m.Lines = append(m.Lines, v.say("safe.empty", nil), v.say("safe.blocked", nil))
			}
			break
		}
	}
	for _, p := range []phrase{"help.start", "help.steps", "help.mend", "help.look"} {
		m.Lines = append(m.Lines, v.say(p, nil))
	}
	return m
}

// NotSaved says that a command is still being kept, and that the outcome follows.
func (v Voice) NotSaved() Message { return message(v.say("notsaved", nil)) }

// Broken says that a command could not be carried out now and changed nothing.
func (v Voice) Broken() Message { return message(v.say("broken", nil)) }

// NoKitchen says that the channel belongs to no kitchen.
func (v Voice) NoKitchen() Message { return message(v.say("nokitchen", nil)) }

// Question words a question of the reader.
func (v Voice) Question(q request.Question) Message {
	m := message(v.say(phrase("question."+string(q.Code)), values{"word": q.Word}))
	for i, o := range q.Options {
		m.Buttons = append(m.Buttons, Button{Label: o.Label, Tap: kitchen.Tap{Line: o.Line}, Main: i == 0})
	}
	return m
}

// Problem words a line that was not understood, and what to type instead.
func (v Voice) Problem(p request.Problem) Message {
	return message(v.ProblemLine(p), v.Hint(p))
}

// ProblemLine says what was wrong with a line.
func (v Voice) ProblemLine(p request.Problem) Line {
	return v.say(phrase("problem."+string(p.Code)), values{"word": p.Word, "names": strings.Join(p.Names, ", ")})
}

// Hint says what to type instead.
func (v Voice) Hint(p request.Problem) Line {
	switch {
	case len(p.Names) > 0 && p.Code == request.UnknownRecipe && p.Example != "":
		return v.say("hint.names", values{"names": strings.Join(p.Names, ", "), "line": p.Example})
	case p.Example != "":
		return v.say("hint", values{"line": p.Example})
	}
	return v.say("hint.help", nil)
}

// PlanProblem words why no plan was made, with what works as buttons.
func (v Voice) PlanProblem(p plan.Problem) Message {
	m := message(v.PlanProblemLine(p), v.PlanHint(p))
	for i, o := range p.Offers {
		m.Buttons = append(m.Buttons, Button{
			Label: v.word("offer", offerValues(o)), Tap: kitchen.Tap{Line: o.Line}, Main: i == 0,
		})
	}
	return m
}

// PlanProblemLine says why no plan was made.
func (v Voice) PlanProblemLine(p plan.Problem) Line {
	return v.say(phrase("plan."+string(p.Code)), values{
		"vessel": p.Vessel, "volume": p.Volume.String(), "count": p.Count, "name": p.Name,
	})
}

// PlanHint says what works instead.
func (v Voice) PlanHint(p plan.Problem) Line {
	if len(p.Offers) == 0 {
		return v.say("hint.look", nil)
	}
	line := v.say("offers", nil)
	for i, o := range p.Offers {
		if i > 0 {
			line = append(line, Piece{Text: ", "})
		}
		line = append(line, v.say("offer.line", values{"offer": v.word("offer", offerValues(o)), "line": o.Line})...)
	}
	return append(line, Piece{Text: "."})
}

func offerValues(o plan.Offer) values {
	return values{"vessels": strings.Join(o.Vessel, " + "), "volume": o.Volume.String(), "runs": o.Runs}
}
