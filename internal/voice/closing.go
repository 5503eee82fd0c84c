package voice

import (
	"slices"
	"strings"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// listMost is how many vessels of a kind a closing list shows line by line.
const listMost = 4

// items are the short names of what can be open.
var items = map[kitchen.ItemCode]phrase{
	kitchen.ItemBlocked: "item.blocked", kitchen.ItemGas: "item.gas", kitchen.ItemCream: "item.gas", kitchen.ItemUnstrained: "item.unstrained",
	kitchen.ItemUnlabelled: "item.unlabelled", kitchen.ItemCooling: "item.cooling", kitchen.ItemPast: "item.past", kitchen.ItemDirty: "item.dirty",
	kitchen.ItemChargers: "item.chargers", kitchen.ItemShells: "item.shells", kitchen.ItemFridge: "item.fridge",
}

// itemNames names what is open, one after the other.
func (v Voice) itemNames(list []kitchen.ClosingItem) []string {
	var names []string
	for _, x := range list {
		names = append(names, v.word(items[x.Code], values{"vessel": x.Vessel, "title": x.Title}))
	}
	return names
}

// itemsOf gives the items of a list with one of these codes.
func itemsOf(list []kitchen.ClosingItem, codes ...kitchen.ItemCode) []kitchen.ClosingItem {
	return slices.DeleteFunc(slices.Clone(list), func(x kitchen.ClosingItem) bool { return !slices.Contains(codes, x.Code) })
}

// tags names the vessels of items.
func tags(list []kitchen.ClosingItem) string {
	var all []string
	for _, x := range list {
		all = append(all, x.Vessel)
	}
	return strings.Join(all, ", ")
}

// closingSlip words a closing list, or the one between two shifts, as it stands.
func (v Voice) closingSlip(k *kitchen.Kitchen, e kitchen.Entry, sent bool, now time.Time) (Message, string) {
	last := k.Closing.Last
	switch {
	case k.Closing.List != nil && e.Turn == k.Closing.N:
	case !sent:
		return Message{}, "list is over"
	case last != nil && last.N == e.Turn && last.Shift:
		return message(v.say("shift.over", v.closedValues(last))), ""
	case last != nil && last.N == e.Turn:
		return message(v.say("closing.over", v.closedValues(last))), ""
	default:
		return message(v.say("closing.moved", nil)), ""
	}
	p := k.ClosingList(now.In(v.zone))
	m := message(slices.Concat([]Line{v.listHead(p, now)}, v.listLines(k, p))...)
	return m.with(v.listButtons(k, p)...), ""
}

// listHead says what to do with a list.
func (v Voice) listHead(p kitchen.ClosingPage, now time.Time) Line {
	pressed := itemsOf(p.Items, kitchen.ItemGas, kitchen.ItemCream, kitchen.ItemBlocked)
	fenced := len(itemsOf(p.Items, kitchen.ItemBlocked)) - len(itemsOf(p.Pressed(), kitchen.ItemBlocked))
	vals := values{
		"n": len(p.Items) - fenced, "gas": len(pressed), "at": kitchen.At(now), "who": p.List.By, "to": v.fill(ring{p.List.To}, false, false),
	}
	switch {
	case p.List.Gone != nil:
		vals["who"], vals["at"] = p.List.Gone.By, p.List.Gone.Done
		if p.List.To.ID == "" {
			return v.say("shift.take", vals)
		}
		return v.say("shift.take.to", vals)
	case p.List.Shift:
		return v.say("shift.head", vals)
	case len(p.Items) == 0:
		return v.say("closing.ready", vals)
	case len(p.Items) == fenced:
		return v.say("closing.ready.fenced", vals)
	case len(p.Pressed()) == 0:
		return v.say("closing.head.reason", vals)
	}
	return v.say("closing.head", vals)
}

// listLines says what is open, the urgent first, each with what to type.
func (v Voice) listLines(k *kitchen.Kitchen, p kitchen.ClosingPage) []Line {
	var lines []Line
	for _, codes := range [][]kitchen.ItemCode{{kitchen.ItemBlocked, kitchen.ItemGas, kitchen.ItemCream}, {kitchen.ItemUnstrained}} {
		var some []Line
		for _, x := range itemsOf(p.Items, codes...) {
			some = append(some, v.itemLine(k, x))
		}
		if len(some) > listMost {
			some = append(some[:listMost-1], v.say("and.more", values{"n": len(some) - listMost + 1}))
		}
		lines = append(lines, some...)
	}
	if bare := itemsOf(p.Items, kitchen.ItemUnlabelled); len(bare) > 0 {
		var names []string
		for _, x := range bare {
			names = append(names, x.Vessel+" "+x.Title)
		}
		lines = append(lines, v.say("closing.label", values{"names": v.names(names), "vessel": bare[0].Vessel}))
	}
	for _, x := range itemsOf(p.Items, kitchen.ItemCooling) {
		lines = append(lines, v.itemLine(k, x))
	}
	if past := itemsOf(p.Items, kitchen.ItemPast); len(past) > 0 {
		var names []string
		for _, x := range past {
			names = append(names, x.Title)
		}
		lines = append(lines, v.say("closing.past", values{"names": v.names(names)}))
	}
	if dirty := itemsOf(p.Items, kitchen.ItemDirty); len(dirty) > 0 {
		lines = append(lines, v.say("closing.dirty", values{"vessels": tags(dirty), "vessel": dirty[0].Vessel}))
	}
	for _, x := range itemsOf(p.Items, kitchen.ItemChargers, kitchen.ItemShells, kitchen.ItemFridge) {
		lines = append(lines, v.itemLine(k, x))
	}
	if len(p.Pressed()) > 0 {
		lines = append(lines, v.say("safe.empty", nil))
	}
	return lines
}

// itemLine words one thing that is open.
func (v Voice) itemLine(k *kitchen.Kitchen, x kitchen.ClosingItem) Line {
	vals := values{"vessel": x.Vessel, "title": x.Title, "by": x.UseBy, "who": x.Who, "at": x.Since, "most": v.degrees(kitchen.MostFridge.Degrees())}
	switch x.Code {
	case kitchen.ItemBlocked:
		if x.Fenced != nil {
			vals["who"], vals["at"] = x.Fenced.By, x.Fenced.Done
			return v.say("closing.fenced", vals)
		}
		return v.say("closing.blocked", vals)
	case kitchen.ItemCream:
		if c := k.CreamOf(x.Batch); c != nil {
			return v.say("board.cream", v.cream(c))
		}
	case kitchen.ItemGas, kitchen.ItemUnstrained:
		if b := k.Batches[x.Batch]; b != nil {
			return v.boardLine(b)
		}
	case kitchen.ItemCooling:
		c := k.CoolingOf(x.Batch)
		if c == nil || c.Failed {
			return v.say("closing.cooling.failed", vals)
		}
		limit, _ := c.Limit()
		vals["limit"] = v.degrees(limit.Degrees())
		return v.say("closing.cooling", vals)
	case kitchen.ItemChargers:
		return v.say("closing.chargers", nil)
	case kitchen.ItemShells:
		return v.say("closing.shells", nil)
	case kitchen.ItemFridge:
		if x.Temp != nil {
			vals["temp"] = v.degrees(x.Temp.Degrees())
			return v.say("closing.fridge.warm", vals)
		}
		return v.say("closing.fridge", nil)
	}
	return v.say(items[x.Code], vals)
}

// listButtons gives the taps of a list: what is most urgent, then the signature,
// which waits for what is under pressure.
func (v Voice) listButtons(k *kitchen.Kitchen, p kitchen.ClosingPage) []Button {
	var buttons []Button
	past := false
	for _, x := range p.Items {
		if x.Code == kitchen.ItemPast && past {
			continue
		}
		past = past || x.Code == kitchen.ItemPast
		if b, ok := v.itemButton(k, x); ok && len(buttons) < buttonRow-1 {
			buttons = append(buttons, b)
		}
	}
	sign := Button{Label: v.word("closing.tap.sign", nil), Tap: kitchen.Tap{Line: string(request.Sign), N: int(p.N)}, Main: len(p.Pressed()) == 0}
	switch {
	case p.List.Gone != nil:
		sign.Label, sign.Tap.With, sign.Main = v.word("choose.take shift", nil), kitchen.TakesShift, true
	case p.List.Shift:
		sign.Label, sign.Main = v.word("shift.tap.sign", nil), true
	case len(p.Pressed()) > 0:
		return buttons
	}
	return append(buttons, sign)
}

// itemButton gives the tap of one thing that is open; false where it is typed.
func (v Voice) itemButton(k *kitchen.Kitchen, x kitchen.ClosingItem) (Button, bool) {
	about := func(label phrase, verb request.Verb) (Button, bool) {
		b := Button{Label: v.word(label, values{"vessel": x.Vessel}), Tap: kitchen.Tap{Line: request.Request{Verb: verb, Vessel: x.Vessel}.String()}}
		if batch := k.Batches[x.Batch]; batch != nil && verb != request.Fenced {
			b.Tap.Batch, b.Tap.Turn = batch.ID, batch.Turn
		} else if c := k.CreamOf(x.Batch); c != nil {
			b.Tap.Batch, b.Tap.Turn = c.N, c.Turn
		}
		return b, true
	}
	switch x.Code {
	case kitchen.ItemGas:
		if b := k.Batches[x.Batch]; b == nil || b.Gas() == 0 {
			return Button{}, false
		}
		return about("closing.tap.empty", request.Vented)
	case kitchen.ItemCream:
		return about("closing.tap.empty", request.Emptied)
	case kitchen.ItemBlocked:
		if x.Fenced == nil {
			return about("closing.tap.fenced", request.Fenced)
		}
	case kitchen.ItemUnstrained:
		if b := k.Batches[x.Batch]; b != nil && b.Phase != kitchen.Loading {
			return about("closing.tap.strained", request.Strained)
		}
	case kitchen.ItemUnlabelled:
		if b := k.Batches[x.Batch]; b != nil && b.Phase == kitchen.Labelling {
			return about("closing.tap.labelled", request.Labelled)
		}
	case kitchen.ItemCooling:
		if b := k.Batches[x.Batch]; b != nil && b.Gas() == 0 && x.UseBy == 0 {
			return about("closing.tap.scrap", request.Scrap)
		}
	case kitchen.ItemDirty:
		return v.washedButton(x.Vessel), true
	case kitchen.ItemPast:
		return Button{
			Label: v.word("closing.tap.binned", nil), Tap: kitchen.Tap{Line: request.Request{Verb: request.Binned, Topic: request.Expiring}.String()},
		}, true
	}
	return Button{}, false
}

// closingAnswer words an answer about the end of a day.
func (v Voice) closingAnswer(k *kitchen.Kitchen, a kitchen.Answer) Message {
	p := a.Closing
	vals := v.answerValues(k, a)
	switch {
	case a.Verb == request.Fridge:
		return v.fridgeDone(a)
	case a.Verb == request.Cooled && p.Hot != nil:
		return v.cooledDone(a)
	case a.Verb == request.Binned:
		return message(v.say("closing.binned", values{"n": a.N}))
	case a.Code == kitchen.RefuseSignGas:
		return v.signRefused(p.Items)
	case a.Kind == kitchen.Already:
		if a.Verb == request.Sign && p.Last != nil && p.Last.Shift && p.Last.Taken != nil {
			return message(v.say("shift.over", v.closedValues(p.Last)))
		}
		return message(v.say("already.sign", vals))
	case a.Kind != kitchen.Done:
		return v.saidAnswer(k, a)
	case a.Verb == request.Sign && p.Last != nil && p.Last.Shift:
		if len(those(k, a.Batches)) == 0 {
			return message(v.say("shift.taken.none", nil))
		}
		return message(v.say("shift.taken", vals))
	case a.Verb == request.Sign && p.List != nil:
		if p.List.Gone != nil {
			return message(v.say("shift.gone", nil))
		}
	case a.Verb == request.Sign:
		return message(v.say("done.sign", vals), v.shortenedLine(k))
	}
	list := message(v.say("done.closing", values{"n": len(p.Items), "gas": len(p.Pressed())}))
	if p.List != nil && p.List.Shift {
		list = message(v.say("done.hand over", values{"n": len(p.Items), "gas": len(p.Pressed())}))
	}
	return list
}

// signRefused says what is under pressure, and what to do about it.
func (v Voice) signRefused(list []kitchen.ClosingItem) Message {
	blocked := itemsOf(list, kitchen.ItemBlocked)
	rest := itemsOf(list, kitchen.ItemGas, kitchen.ItemCream)
	var m Message
	if len(rest) > 0 {
		m = message(v.say("refuse.sign gas", values{"vessels": tags(rest)}))
	}
	if len(blocked) > 0 {
		m.Lines = append(m.Lines, v.say("sign.blocked", values{"vessels": tags(blocked), "vessel": blocked[0].Vessel}))
	}
	m.Lines = append(m.Lines, v.say("safe.empty", nil))
	return m
}

// fridgeDone says what a reading comes to.
func (v Voice) fridgeDone(a kitchen.Answer) Message {
	p := a.Closing
	vals := values{"at": a.At, "temp": v.degrees(p.Fridge.Temp.Degrees()), "most": v.degrees(p.Most.Degrees()), "law": v.degrees(p.Law.Degrees())}
	if p.Fridge.Temp <= p.Most {
		return message(v.say("done.fridge", vals))
	}
	m := message(v.say("fridge.warm", vals), v.say("fridge.move", vals))
	if p.Law > p.Most {
		m.Lines = append(m.Lines, v.say("fridge.law", vals))
	}
	return m
}

// signForm asks why what is open is left.
func (v Voice) signForm(a kitchen.Answer) Form {
	reason := v.field(kitchen.FieldReason, "form.sign.reason", "form.sign.hint")
	reason.Long = true
	f := Form{
		Name: string(kitchen.FormSign), Title: v.word("form.sign", nil), Submit: v.word("closing.tap.sign", nil),
		Back: v.word("button.back", nil), Carry: a.Line, Fields: []Field{reason},
	}
	if a.Closing != nil {
		f.Lines = []Line{v.say("form.sign.left", values{"names": v.names(v.itemNames(a.Closing.Items))})}
	}
	return f
}
