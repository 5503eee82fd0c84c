package voice

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// Answer words the answer to a command, from the kitchen as it is now. A quiet
// answer has no lines.
func (v Voice) Answer(k *kitchen.Kitchen, a kitchen.Answer) Message {
	v = v.of(k)
	return v.crewed(k, a, v.answer(k, a))
}

// answer words an answer in v's own language.
func (v Voice) answer(k *kitchen.Kitchen, a kitchen.Answer) Message {
	if a.Quiet {
		return Message{}
	}
	if m, is := v.recallAnswer(k, a); is {
		return m
	}
	if a.Closing != nil && a.Kind != kitchen.OpenForm {
		return v.closingAnswer(k, a)
	}
	switch a.Kind {
	case kitchen.Unread:
		return v.Problem(*a.Problem)
	case kitchen.Unclear:
		return v.askedFirst(k, a, v.Question(*a.Question).carry(a.Carry))
	case kitchen.Impossible:
		return v.PlanProblem(*a.Plan).carry(a.Carry)
	case kitchen.Board:
		return v.Board(k, a)
	case kitchen.Figured:
		head := []Line{v.say("why.title", v.answerValues(k, a))}
		if a.Since {
			head = append(head, v.say("why.since", v.answerValues(k, a)))
		}
		return message(append(head, v.Why(*a.Why)...)...)
	case kitchen.Helping:
		return v.help(k, a)
	case kitchen.Stop:
		return v.stopAnswer(k, a)
	case kitchen.Done:
		return v.doneAnswer(k, a)
	case kitchen.GlassAnswer:
		return v.glassAnswer(a)
	case kitchen.OpenForm:
		return v.formTyped(a)
	case kitchen.Told:
		return v.told(k, a)
	case kitchen.Safety:
		return v.safety(k, a)
	case kitchen.ForLater:
		return v.forLater(k, a)
	case kitchen.Saved:
		return v.savedAnswer(a)
	case kitchen.Registered:
		return v.registered(k, a)
	}
	return v.saidAnswer(k, a)
}

// answerValues gives the values that sentences about an answer use: those of
// its batch, if it is still there, under the answer's own.
func (v Voice) answerValues(k *kitchen.Kitchen, a kitchen.Answer) values {
	solid := a.Product == book.SolidKept
	vals := values{"yield": v.cameOut(solid, 0, 0), "gas": v.chargers(a.N), "kept": solid}
	if b := k.Batches[a.Batch]; b != nil {
		vals, solid = v.about(b), b.KeepsSolid()
	}
	maps.Copy(vals, values{
		"vessel": a.Vessel, "title": a.Title, "phase": v.phase(a.Phase, solid), "n": a.N, "of": a.Of, "next": a.N + 1,
		"chargers": v.chargers(a.Of), "who": a.Who, "at": a.At, "volume": v.amount(a.Volume),
		"verb": v.verb(a.Verb, solid), "say": toType(a.Verb, solid), "what": v.verb(request.Verb(a.Line), solid),
		"lot": a.Lot, "line": short(a.Line), "said": a.Said, "called": v.instead(a.Crew), "verdict": v.outcome(a), "day": day(a.At), "vessels": cmp.Or(vesselsOfThe(those(k, a.Batches)), a.Vessel),
	})
	return vals
}

// phase gives a phase as a word.
func (v Voice) phase(p kitchen.Phase, solid bool) string {
	if p == "" {
		return ""
	}
	return v.word(phrase("phase."+string(p)), kept(solid))
}

// verb gives a verb as what was done: "vented".
func (v Voice) verb(r request.Verb, solid bool) string {
	if r == "" {
		return ""
	}
	return v.word(phrase("verb."+string(r)), kept(solid))
}

// doneAnswer says that a thing was done, and what comes next.
func (v Voice) doneAnswer(k *kitchen.Kitchen, a kitchen.Answer) Message {
	vals := v.registerValues(k, a)
	b := k.Batches[a.Batch]
	state, _ := k.Look(a.Vessel)
	p := phrase("done." + string(a.Verb))
	switch {
	case a.Over != "":
		return v.saidAnswer(k, a)
	case a.Cream != 0:
		return v.creamDone(k, a)
	case a.Verb == request.NoGas && a.Stock != nil:
		return message(v.say("stock.notused", vals), v.stockHead(*a.Stock))
	case a.Stock != nil && a.Verb != request.Start:
		return v.stockDone(a)
	case a.Verb == request.Start:
		return v.started(k, a, vals)
	case a.Verb == request.More && b != nil && b.Phase == kitchen.Venting:
		p = "done.more.called"
	}
	m := message(v.say(p, vals))
	if a.Said != 0 {
		m.Lines = append(m.Lines, v.say("done.said", vals))
	}
	m.Lines = append(m.Lines, v.alsoDone(k, a, b)...)
	m.Lines = append(m.Lines, v.alsoVessel(k, a, b)...)
	switch {
	case b != nil && a.Verb == request.MoreGas && b.Phase == kitchen.Venting: // what to do about it comes first
		m.Lines = append(v.next(b), m.Lines...)
	case b != nil && !aboutVessels(a.Verb) && a.Verb != request.Offer && a.Verb != request.Decline:
		m.Lines = append(m.Lines, v.next(b)...)
	}
	if a.Verb == request.Labelled && state == kitchen.VesselDirty {
		m.Lines = append(m.Lines, v.say("done.wash", vals))
	}
	return m.with(v.choices(k, a)...)
}

// alsoDone says what goes with a thing that was done, beside what comes next.
func (v Voice) alsoDone(k *kitchen.Kitchen, a kitchen.Answer, b *kitchen.Batch) []Line {
	switch {
	case a.Verb == request.NoGas && len(a.Choices) > 0:
		return []Line{v.say("stock.dud", nil)}
	case a.Verb == request.RestFor && b != nil:
		lines := []Line{v.say("done.rest.now", v.about(b))}
		if a.Short {
			lines = append(lines, v.say("done.rest.short", v.about(b)))
		}
		return lines
	case a.Verb == request.OffShift && len(those(k, a.Batches)) > 0:
		list := those(k, a.Batches)
		return []Line{v.say("done.off.open", values{"vessels": vesselsOfThe(list), "vessel": list[0].Vessel})}
	}
	return nil
}

// next is what a batch waits for, after something was done.
func (v Voice) next(b *kitchen.Batch) []Line {
	vals := v.about(b)
	switch {
	case b.Blocked != nil:
		lines, _ := v.blockedSteps(b.Blocked, b.Vessel, b.Blocked.TryAt())
		return append(lines, v.say("safe.empty", nil))
	case b.Doubt != nil && b.Phase != kitchen.Venting && b.Phase != kitchen.Scrapped:
		return []Line{v.say("slip.doubt", vals), v.say("stop.ask", nil), v.say("safe.empty", nil)}
	case b.Phase == kitchen.Scrapped && b.Gas() > 0:
		return message(v.say("slip.scrap.gas", vals), v.overCount(b), v.say("safe.empty", nil)).Lines
	}
	switch b.Phase {
	case kitchen.Loading:
		return []Line{v.say("next.load", vals)}
	case kitchen.Charging:
		if !b.Full() {
			return []Line{v.say("next.charge", vals)}
		}
		return []Line{v.say("next.vent", vals)}
	case kitchen.Resting:
		return []Line{v.say("next.vent", vals)}
	case kitchen.Venting:
		return message(v.say("slip.vent", vals), v.overCount(b), v.say("safe.empty", nil)).Lines
	case kitchen.Settling:
		if b.Strained != nil {
			return []Line{v.say("next.settle.first", vals)}
		}
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
	head := phrase("done.start")
	if a.Replaced != 0 {
		head = "done.start.again"
	}
	m := message(v.say(head, vals), v.stockServes(a.Stock))
	var undo Line
	for _, id := range a.Batches {
		b := k.Batches[id]
		if b == nil {
			continue
		}
		if len(m.Lines) < 5 {
			m.Lines = append(m.Lines, v.startedRun(k, a, b))
		}
		if undo != nil {
			undo = append(undo, Piece{Text: ", "})
		}
		undo = append(undo, Piece{Text: "undo " + b.Vessel, Code: true})
	}
	if len(a.Were) > 0 && len(m.Lines) < 5 {
		m.Lines = append(m.Lines, v.say("done.start.were", values{"were": strings.Join(a.Were, ", ")}))
	}
	m.Lines = append(m.Lines, v.overdueLines(a)...)
	if undo != nil {
		vals["undo"] = undo
		m.Lines = append(m.Lines, v.say("done.start.next", vals))
	}
	return v.learned(k, a, m)
}

// startedRun echoes one run of a start, with its time where it is to wait for
// the first one's.
func (v Voice) startedRun(k *kitchen.Kitchen, a kitchen.Answer, b *kitchen.Batch) Line {
	leader := k.Batches[a.Batches[0]]
	if b.Later == 0 || leader == nil {
		return v.say("done.start.run", v.about(b))
	}
	vals := v.about(b)
	vals["after"], vals["leader"] = quantity.Clock(b.Later), leader.Vessel
	return v.say("done.start.later", vals)
}

// saidAnswer words what was done before, what is asked and what is refused.
func (v Voice) saidAnswer(k *kitchen.Kitchen, a kitchen.Answer) Message {
	if a.Title == "" && slices.Contains(aboutBook, a.Code) {
		a.Title = v.entryTitle(a)
	}
	m := message(v.say(v.said(k, a), v.registerValues(k, a)))
	b := k.Batches[a.Batch]
	m.Lines = append(m.Lines, v.aboutWash(a)...)
	switch a.Code {
	case kitchen.RefuseSilence, kitchen.AskEmptied, kitchen.AskNoCount, kitchen.AskGasAgain, kitchen.RefusePressured, kitchen.RefuseCalled,
		kitchen.RefuseShift, kitchen.AskHowMany, kitchen.RefuseCream:
		m.Lines = append(m.Lines, v.say("safe.empty", nil))
	case kitchen.AskTakeOver, kitchen.AskOneMore:
		m.Lines = append(m.Lines, v.say("safe.charge", nil))
	case kitchen.AskReallyGone:
		if b != nil && b.Gas() > 0 {
			m.Lines = append(m.Lines, v.say("ask.scrap.gas", nil))
		}
	case kitchen.RefuseTooLong, kitchen.RefuseNotYet, kitchen.RefusePause:
		if b != nil {
			m.Lines = append(m.Lines, v.next(b)...)
		}
	}
	return v.askedFirst(k, a, m.with(v.choices(k, a)...))
}

// said finds the sentence of an answer. Some codes have several, by what the
// answer is about.
func (v Voice) said(k *kitchen.Kitchen, a kitchen.Answer) phrase {
	b := k.Batches[a.Batch]
	switch {
	case a.Kind == kitchen.Already && a.Verb == request.Take:
		return "already.take"
	case a.Kind == kitchen.Already && a.Verb == request.OpenLot:
		return "already.lot"
	case a.Code == kitchen.RefuseWithdrawn && a.Line != "":
		return "refuse.withdrawn.why"
	case a.Code == kitchen.RefuseOccupied && b != nil && b.Gas() > 0:
		return "refuse.occupied.gas"
	case a.Code == kitchen.RefuseInUse && b != nil && b.Gas() > 0:
		return "refuse.in use.gas"
	case a.Code == kitchen.RefusePressured && b != nil && b.GasSince().Done != 0:
		return "refuse.pressured.gas"
	case a.Over == kitchen.AskedAnswered:
		return "already.chosen"
	case a.Over == kitchen.AskedCalled:
		return "already.off"
	case a.Kind == kitchen.Already && a.At == 0:
		return "already.plain"
	case a.Kind == kitchen.Already && a.Who.ID == "":
		return "already.nobody"
	case a.Kind == kitchen.Already:
		return "already"
	case a.Code == kitchen.RefuseTooLong && b == nil: // it has left since
		return "refuse.old button"
	case a.Code == kitchen.RefuseTooLong && b.Gas() > b.Chargers:
		return "refuse.too long.over"
	case a.Code == kitchen.RefuseTooLong && a.Phase == kitchen.Venting:
		return "refuse.too long.now"
	case a.Code == kitchen.RefuseHolding && a.Phase == kitchen.Loading:
		return "refuse.holding.loading"
	case a.Code == kitchen.RefuseForm && a.Field != "":
		return "refuse.form.field"
	case a.Code == kitchen.RefuseOldButton && a.Verb == request.Charged:
		return "refuse.old button.charged"
	case a.Code == kitchen.RefuseHand && a.Who.ID == "":
		return "refuse.hand.any"
	case a.Code == kitchen.RefuseManager && a.Verb != "" && a.Who.ID != "":
		return "refuse.manager.who"
	case a.Code == kitchen.RefuseManager && a.Verb != "":
		return "refuse.manager.any"
	case a.Code == kitchen.RefuseNothing && b != nil:
		return "refuse.nothing.gas"
	case a.Code == kitchen.AskAgain && len(a.Choices) > 1:
		return "ask.again.which"
	case a.Code == kitchen.RefusePause && b != nil && b.Gas() == 0 && b.ContactFrom != 0 && b.Strained == nil:
		return "refuse.pause.wet"
	case a.Code == kitchen.RefusePause && (b == nil || b.Gas() == 0):
		return "refuse.pause.calm"
	case a.Code == kitchen.RefuseNothing && a.Vessel != "" && (a.Verb == request.Charged || a.Verb == request.MoreGas):
		return "refuse.nothing.charged"
	case a.Code == kitchen.RefuseNothing && a.Vessel != "":
		return "refuse.nothing.vessel"
	}
	return phrase(string(a.Kind) + "." + string(a.Code))
}

// choices draws the buttons of a question.
func (v Voice) choices(k *kitchen.Kitchen, a kitchen.Answer) []Button {
	var buttons []Button
	for i, c := range a.Choices {
		vals := v.answerValues(k, a)
		vals["n"], vals["start"] = c.N, short(strings.TrimPrefix(c.Tap.Line, "start "))
		vals["other"] = strings.Join(a.Free, ", ")
		if b := k.Batches[c.Tap.Batch]; b != nil {
			vals["vessel"] = b.Vessel
		}
		buttons = append(buttons, Button{
			Label: v.word(phrase("choose."+string(c.Code)), vals), Tap: c.Tap, Main: i == 0,
		})
	}
	return buttons
}

func (v Voice) stopAnswer(k *kitchen.Kitchen, a kitchen.Answer) Message {
	head := phrase("stop.said.plain")
	if a.N >= a.Of {
		head = "stop.said"
	}
	return message(v.say(head, v.answerValues(k, a)), v.say("stop.ask", nil), v.say("safe.empty", nil)).
		with(v.choices(k, a)...)
}

// help says what can be typed, and first what the asker's vessel waits for.
func (v Voice) help(k *kitchen.Kitchen, a kitchen.Answer) Message {
	general := []phrase{"help.start", "help.steps", "help.mend", "help.look", "help.ask", "help.wrong"}
	var m Message
	if b := v.asked(k, a.Vessel); b != nil {
		m.Lines = v.next(b)
		if b.Gas() > 0 && len(m.Lines) == 1 {
			m.Lines = append(m.Lines, v.say("safe.empty", nil))
		}
		if b.Gas() > 0 {
			m.Lines = append(m.Lines, v.say("safe.blocked", nil))
		}
		general = general[1:]
	}
	vals := values{"vessel": cmp.Or(a.Vessel, "A")}
	if b := v.asked(k, a.Vessel); b != nil {
		vals["kept"] = b.KeepsSolid()
	}
	for _, p := range general {
		if len(m.Lines) < 6 {
			m.Lines = append(m.Lines, v.say(p, vals))
		}
	}
	return m
}

// asked finds the batch that is meant by a vessel: what is in it, else what
// came out of it and is still open.
func (v Voice) asked(k *kitchen.Kitchen, vessel string) *kitchen.Batch {
	if _, holder := k.Look(vessel); holder != nil {
		return holder
	}
	for _, b := range k.Open() {
		if b.Vessel == vessel && b.Ended == nil {
			return b
		}
	}
	return nil
}

// NotSaved says that a command is still being kept, and that the outcome follows.
func (v Voice) NotSaved() Message { return message(v.say("notsaved", nil)) }

// Broken says that a command could not be carried out now and changed nothing.
func (v Voice) Broken() Message { return message(v.say("broken", nil)) }

// NoKitchen says that the channel belongs to no kitchen.
func (v Voice) NoKitchen() Message { return message(v.say("nokitchen", nil)) }
