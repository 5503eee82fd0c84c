package voice

import (
	"strings"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
)

// Slip words a batch's one message as the batch stands now.
func (v Voice) Slip(k *kitchen.Kitchen, b *kitchen.Batch) Message {
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
		return message(v.say("slip.labelling", v.about(b)), v.say("slip.judge", v.about(b))).
			with(v.button(b, "button.labelled", "labelled", 0))
	}
	return v.endSlip(b)
}

// about gives the values that sentences about a batch use.
func (v Voice) about(b *kitchen.Batch) values {
	vals := values{
		"vessel": b.Vessel, "title": b.Title, "base": b.Base, "owner": b.Owner, "started": b.Started.Done,
		"liquid": b.Liquid.String(), "of": b.Chargers, "n": len(b.Charges), "next": len(b.Charges) + 1, "gas": b.Gas(),
		"swirl": quantity.Words(b.Swirl), "rest": quantity.Clock(b.Rest.Target + b.Extra),
		"settle": quantity.Words(b.Settle), "contact": quantity.Words(b.Contact), "clear": quantity.Words(b.Clear),
		"vent": toSecond(b.VentAt), "settled": b.SettledAt(), "stood": b.ClearAt(), "out": b.SolidsOut(),
		"judge": b.JudgeAt(), "held": b.Started.Entered.Add(10 * time.Minute),
		"low": b.Temp.Min.Degrees(), "high": b.Temp.Max.Degrees(), "storage": b.Storage,
		"yield": b.Yield.String(), "made": day(b.Started.Done), "allergens": strings.Join(b.Allergens, ", "),
	}
	if len(b.Solids) > 0 {
		vals["grams"], vals["solid"], vals["prep"] = b.Solids[0].Mass.String(), b.Solids[0].Name, b.Solids[0].Prep
	}
	if b.Yield == 0 {
		vals["yield"] = v.word("unweighed", nil)
	}
	if b.Doubt != nil {
		vals["doubtBy"] = b.Doubt.By
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
	clocks := phrase("slip.clocks")
	if b.StrainFirst {
		clocks = "slip.clocks.first"
	}
	charge := main(v.button(b, "button.charged", "charged", 1))
	change := v.button(b, "button.change", "scrap", 0)
	change.Sure = v.word("sure.change", vals)
	return message(
		v.say("slip.weigh", vals),
		v.say("slip.pour", vals),
		v.say(clocks, vals),
		v.noteLine(b),
		v.say("safe.fill", vals),
		v.say("slip.held", vals),
	).with(charge, change)
}

// noteLine joins the notes that matter at the start, three at most.
func (v Voice) noteLine(b *kitchen.Batch) Line {
	var line Line
	shown := 0
	for _, n := range b.Notes {
		said := v.note(n)
		if len(said) == 0 || shown == 3 {
			continue
		}
		if shown > 0 {
			line = append(line, Piece{Text: " "})
		}
		line = append(line, said...)
		shown++
	}
	return line
}

// note words a plan's note.
func (v Voice) note(n plan.Note) Line {
	p := phrase("note." + string(n.Code))
	if _, ok := v.phrases[p]; !ok {
		return nil
	}
	return v.say(p, values{
		"vessel": n.Vessel, "volume": n.Volume.String(), "count": n.Count, "name": n.Name, "span": quantity.Words(n.Span),
	})
}

func (v Voice) gasSlip(b *kitchen.Batch) Message {
	vals := v.about(b)
	if b.Doubt != nil {
		return message(v.say("slip.doubt", vals), v.say("slip.full", vals), v.say("safe.empty", vals)).
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
	return message(v.say("slip.vent", vals), v.overCount(b), v.say("safe.vent", vals), v.say("safe.empty", vals)).
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
	return message(v.say("slip.strain", vals), v.say("safe.strain", vals), v.say("slip.contact", vals)).
		with(main(v.button(b, "button.strained", "strained", 0)))
}

// labelRequest asks for the label and says what goes on it.
func (v Voice) labelRequest(b *kitchen.Batch) Message {
	vals := v.about(b)
	return message(
		v.labelLine(b),
		v.allergens(b),
		v.say("slip.judge", vals),
		v.say("safe.label", vals),
	).with(main(v.button(b, "button.labelled", "labelled", 0)))
}

// labelLine is what goes on the label, with the volume when it was told.
func (v Voice) labelLine(b *kitchen.Batch) Line {
	if b.Yield == 0 {
		return v.say("label.unweighed", v.about(b))
	}
	return v.say("label", v.about(b))
}

func (v Voice) allergens(b *kitchen.Batch) Line {
	if len(b.Allergens) == 0 {
		return nil
	}
	return v.say("label.allergens", v.about(b))
}

func (v Voice) endSlip(b *kitchen.Batch) Message {
	vals := v.about(b)
	switch {
	case b.Phase == kitchen.Stored:
		return message(v.say("slip.stored", vals), v.allergens(b), v.say("safe.store", vals))
	case b.Gas() > 0:
		return message(v.say("slip.scrap.gas", vals), v.say("safe.vent", vals), v.say("safe.empty", vals)).
			with(v.emptyButton(b))
	case b.Expired:
		return message(v.say("slip.expired", vals))
	}
	return message(v.say("slip.scrapped", vals))
}
