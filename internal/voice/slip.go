package voice

import (
	"cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
)

// Slip words a batch's one message as the batch stands now.
func (v Voice) Slip(k *kitchen.Kitchen, b *kitchen.Batch) Message {
	if b.Blocked != nil {
		return v.blockedSlip(b, k.Head.Last)
	}
	switch b.Phase {
	case kitchen.Loading:
		return v.loadingSlip(b)
	case kitchen.Charging, kitchen.Resting:
		return v.gasSlip(b)
	case kitchen.Venting:
		return v.ventingSlip(b)
	case kitchen.Settling, kitchen.Straining:
		return v.openSlip(b)
	case kitchen.Clearing:
		return message(v.say("slip.clearing", v.about(b)), v.say("slip.jar", v.about(b))).
			with(v.button(b, "button.cleared", "cleared", 0))
	case kitchen.Labelling:
		return message(v.say("slip.labelling", v.about(b)), v.say("slip.judge", v.about(b)), v.openLine(b)).
			with(v.button(b, "button.labelled", "labelled", 0))
	}
	if b.Phase == kitchen.Stored {
		return v.tasteOn(k, b, v.endSlip(b))
	}
	return v.endSlip(b)
}

// about gives the values that sentences about a batch use.
func (v Voice) about(b *kitchen.Batch) values {
	vals := values{
		"vessel": b.Vessel, "title": b.Title, "base": v.term(b.Base), "owner": b.Owner, "started": b.Started.Done,
		"liquid": v.amount(b.Liquid), "of": b.Chargers, "n": len(b.Charges), "next": len(b.Charges) + 1,
		"chargers": v.chargers(b.Chargers), "gas": v.chargers(b.Gas()),
		"swirl": quantity.Words(b.Swirl), "rest": quantity.Clock(b.Rest.Target + b.Extra),
		"settle": quantity.Words(b.Settle), "contact": quantity.Words(b.Contact), "clear": quantity.Words(b.Clear),
		"vent": toSecond(b.VentAt), "settled": b.SettledAt(), "stood": b.ClearAt(), "out": b.SolidsOut(),
		"judge": b.JudgeAt(), "held": b.HeldUntil(), "first": toSecond(b.FirstAt()), "longest": quantity.Clock(b.Rest.Max), "least": quantity.Clock(b.Rest.Min), "next call": toSecond(b.CallAt),
		"low": b.Temp.Min.Degrees(), "high": b.Temp.Max.Degrees(), "storage": v.term(b.Storage),
		"yield": v.out(b), "kept": b.KeepsSolid(), "made": day(b.Started.Done), "allergens": v.terms(b.Allergens, ", "),
	}
	if len(b.Solids) > 0 {
		s := b.Solids[0]
		vals["grams"], vals["solid"], vals["prep"] = v.amount(s.Mass), v.term(s.Name), v.prepared(cmp.Or(s.Prep, s.Name))
	}
	if b.Doubt != nil {
		vals["doubtBy"], vals["more"] = b.Doubt.By, v.more(b.Doubt.N)
	}
	if last := b.FullSince(); last.Done != 0 {
		vals["last"], vals["by"] = last.Done, last.By
	}
	for name, m := range map[string]*kitchen.Mark{
		"emptied": b.Emptied, "strained": b.Strained, "cleared": b.Cleared, "labelled": b.Labelled,
		"ended": b.Ended, "undone": b.Undone,
	} {
		if m != nil {
			vals[name], vals[name+"By"] = m.Done, m.By
		}
	}
	return vals
}

func (v Voice) loadingSlip(b *kitchen.Batch) Message {
	vals := v.about(b)
	pour, clocks := phrase("slip.pour"), phrase("slip.clocks")
	if b.Chargers == 1 {
		pour = "slip.pour.one"
	}
	if b.StrainFirst {
		clocks = "slip.clocks.first"
	}
	held := phrase("slip.held")
	if b.Later > 0 {
		held = "slip.held.later"
	}
	charge := main(v.button(b, "button.charged", "charged", 1))
	change := v.button(b, "button.change", "scrap", 0)
	change.Tap.With = "change"
	giveUp := v.button(b, "button.giveup", "scrap", 0)
	giveUp.Sure, giveUp.Back = v.word("sure.giveup", vals), v.word("button.back", nil)
	lines := []Line{v.say("slip.weigh", vals), v.say(pour, vals)}
	notes := v.noteLines(b)
	if len(notes) == 1 { // else there is no room for what the next slips say again
		lines = append(lines, v.say(clocks, vals))
	}
	lines = append(lines, notes...)
	lines = append(lines, v.say("safe.fill", nil), v.say(held, vals))
	return message(lines...).with(charge, change, giveUp)
}

// noteLines joins the notes that matter at the start. Those that stand on
// another line or a later slip as well come last, where there is room for them.
func (v Voice) noteLines(b *kitchen.Batch) []Line {
	const room = 150 // characters of a line
	var must, may []Line
	if len(b.Allergens) > 0 {
		must = append(must, v.note(plan.Note{Code: plan.NoteAllergen, Name: v.terms(b.Allergens, ", ")}))
	}
	for _, n := range b.Notes {
		switch n.Code {
		case plan.NoteAllergen: // all of them are said
		case plan.NoteGasLeaves: // said when it is open
		case plan.NoteHouseBatch, plan.NoteWeaker, plan.NoteStrainFirst, plan.NoteStandClear, plan.NoteInsulated:
			may = append(may, v.note(n))
		default:
			must = append(must, v.note(n))
		}
	}
	lines := []Line{nil}
	for i, said := range append(must, may...) {
		last := len(lines) - 1
		switch full := len(lines[last].Plain())+len(said.Plain()) > room; {
		case len(said) == 0, full && i >= len(must):
			continue
		case full:
			lines = append(lines, said)
		case len(lines[last]) > 0:
			lines[last] = lines[last].with(Piece{Text: " "}).with(said...)
		default:
			lines[last] = said
		}
	}
	return lines
}

// openLine says until when what was vented stands open.
func (v Voice) openLine(b *kitchen.Batch) Line {
	for _, n := range b.Notes {
		if n.Code == plan.NoteGasLeaves && b.Emptied != nil {
			return v.say("slip.open", values{"open": b.Emptied.Done.Add(n.Span)})
		}
	}
	return nil
}

// note words a plan's note.
func (v Voice) note(n plan.Note) Line {
	p := phrase("note." + string(n.Code))
	if _, ok := v.phrases[p]; !ok {
		return nil
	}
	return v.say(p, values{
		"vessel": n.Vessel, "volume": v.amount(n.Volume), "count": n.Count, "name": v.term(n.Name), "span": quantity.Words(n.Span),
		"chargers": v.chargers(n.Count),
	})
}

func (v Voice) gasSlip(b *kitchen.Batch) Message {
	vals := v.about(b)
	if b.Doubt != nil {
		return message(v.say("slip.doubt", vals), v.say("stop.ask", vals), v.say("safe.empty", vals)).
			with(v.emptyButton(b))
	}
	noGas := v.button(b, "button.nogas", "no gas", len(b.Charges))
	if !b.Full() {
		return message(
			v.say("slip.swirl", vals),
			v.say("slip.next", vals),
			v.say("safe.charge", vals),
			v.say("slip.contact", vals),
		).with(main(v.button(b, "button.charged", "charged", len(b.Charges)+1)), noGas)
	}
	head := phrase("slip.swirlrest")
	if b.Phase == kitchen.Resting {
		head = "slip.rest"
	}
	m := message(v.say(head, vals), v.say("slip.full", vals), v.say("safe.rest", vals), v.say("slip.contact", vals))
	if b.RestAssumed {
		m = m.with(v.button(b, "button.setdown", "set down", 0))
	}
	return m.with(noGas)
}

func (v Voice) ventingSlip(b *kitchen.Batch) Message {
	vals := v.about(b)
	return message(v.say("slip.vent", vals), v.overCount(b), v.safeVent(b), v.say("safe.empty", vals)).
		with(v.emptyButton(b))
}

// overCount says that more gas may be in than the plan has.
func (v Voice) overCount(b *kitchen.Batch) Line {
	if b.Gas() <= b.Chargers {
		return nil
	}
	return v.say("over", v.about(b))
}

func (v Voice) emptyButton(b *kitchen.Batch) Button {
	if b.Blocked != nil { // only a manager says that it is empty
		_, buttons := v.blockedSteps(b.Blocked, b.Vessel, b.Blocked.TryAt())
		return buttons[0]
	}
	return main(v.button(b, "button.empty", "vented", 0))
}

func (v Voice) openSlip(b *kitchen.Batch) Message {
	vals := v.about(b)
	switch {
	case b.Strained != nil:
		return message(v.say("slip.settle.first", vals), v.say("slip.judge", vals)).
			with(v.button(b, "button.labelled", "labelled", 0))
	case b.Phase == kitchen.Settling:
		return message(v.say("slip.settle", vals), v.say("safe.settle", vals), v.say("slip.contact", vals)).
			with(v.button(b, "button.strained", "strained", 0))
	}
	return message(v.say("slip.strain", vals), v.safeStrain(b), v.say("slip.contact", vals)).
		with(main(v.button(b, "button.strained", "strained", 0)))
}

// safeStrain says what matters at the strain. Water left in an oil is a hazard.
func (v Voice) safeStrain(b *kitchen.Batch) Line {
	if b.Family == "oil" {
		return v.say("safe.strain.oil", nil)
	}
	return v.say("safe.strain", keptOf(b))
}

// labelLine is what goes on the label, with what came out when it was told.
func (v Voice) labelLine(b *kitchen.Batch) Line {
	if !b.Measured() {
		return v.say("label.unweighed", v.about(b))
	}
	return v.say("label", v.about(b))
}

func (v Voice) allergens(b *kitchen.Batch) Line {
	if len(b.Allergens) == 0 {
		return v.may(b)
	}
	return v.sentence(v.say("label.allergens", v.about(b)), v.may(b))
}

func (v Voice) endSlip(b *kitchen.Batch) Message {
	vals := v.about(b)
	switch {
	case b.Phase == kitchen.Stored:
		return message(v.say("slip.stored", vals), v.labelFacts(b), v.allergens(b), v.say("safe.store", vals))
	case b.Gas() > 0:
		return message(v.say("slip.scrap.gas", vals), v.overCount(b), v.safeVent(b), v.say("safe.empty", vals)).
			with(v.emptyButton(b))
	case b.Replaced != 0:
		return message(v.say("slip.replaced", vals))
	case b.Expired:
		return message(v.say("slip.expired", vals))
	}
	return message(v.say("slip.scrapped", vals))
}
