package voice

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

const (
	// recallLines is how many batches a recall's message and an answer tell one by
	// one, and recallPairs how many of them get buttons; the others are typed.
	recallLines = 8
	recallPairs = 5
)

// ofLot names what is asked for or taken back: a lot, or a batch by its code.
func (v Voice) ofLot(lot, code string) string {
	if lot == "" {
		return code
	}
	return v.word("recall.lot", values{"lot": lot})
}

// recallAnswer words an answer about what is taken back, about a lot, or about a
// batch code; false if an answer is about something else.
func (v Voice) recallAnswer(k *kitchen.Kitchen, a kitchen.Answer) (Message, bool) {
	vals := v.answerValues(k, a)
	vals["of"], vals["batches"] = v.ofLot(a.Lot, a.Line), v.count("batches", a.N, nil)
	p := phrase("")
	switch {
	case a.Kind == kitchen.Traced:
		return v.traced(k, a), true
	case a.Code == kitchen.AskRecall && a.N == 0:
		p = "ask.recall.none"
	case a.Code == kitchen.AskRecall, a.Code == kitchen.RefuseUntraced, a.Code == kitchen.RefuseBadLot:
		p = phrase(string(a.Kind) + "." + string(a.Code))
	case a.Kind == kitchen.Done && a.Verb == request.Recall && a.N == 0:
		p = "done.recall.none"
	case a.Kind == kitchen.Done && a.Verb == request.Recall:
		p = "done.recall"
	case a.Kind == kitchen.Already && a.Verb == request.Recall:
		p = "already.recall"
	case a.Kind == kitchen.Done && a.Verb == request.Binned && a.Closing == nil && a.Missing:
		p = "done.missing"
	case a.Kind == kitchen.Done && a.Verb == request.Binned && a.Closing == nil:
		p = "done.binned"
	case a.Kind == kitchen.Already && a.Verb == request.Binned && a.Who.ID != "":
		p = "already.binned"
	default:
		return Message{}, false
	}
	return message(v.say(p, vals)).with(v.choices(k, a)...), true
}

// traced words where a lot went, or everything that happened to one batch.
func (v Voice) traced(k *kitchen.Kitchen, a kitchen.Answer) Message {
	if a.Topic == request.TraceOf && len(a.Found) == 1 {
		return v.tracedOne(k, a.Found[0], a.At)
	}
	m := message(v.say("traced", values{"of": v.ofLot(a.Lot, a.Line), "batches": v.count("batches", len(a.Found), nil)}))
	open := false
	for i, b := range a.Found {
		x := k.Standing(b)
		open = open || !x.Done()
		if i < recallLines {
			m.Lines = append(m.Lines, v.standing(k, b, x, a.At))
		}
	}
	if more := len(a.Found) - recallLines; more > 0 {
		m.Lines = append(m.Lines, v.say("traced.more", values{"batches": v.count("batches", more, nil)}))
	}
	if open && a.Lot != "" {
		m.Lines = append(m.Lines, v.say("traced.recall", values{"lot": a.Lot}))
	}
	return m
}

// tracedOne words a batch: where it stands, of which lots it is, and its history.
func (v Voice) tracedOne(k *kitchen.Kitchen, b *kitchen.Batch, now kitchen.Moment) Message {
	m := v.history(b, now)
	head := []Line{m.Lines[0], v.standing(k, b, k.Standing(b), now)}
	for _, of := range slices.Sorted(maps.Keys(b.Lots)) {
		head = append(head, v.say("traced.lot", values{"of": v.term(of), "lot": b.Lots[of]}))
	}
	m.Lines = append(head, m.Lines[1:]...)
	return m
}

// standing says where a batch stands, first what is to be done about it. b is nil
// when it left the kitchen and nobody looked it up.
func (v Voice) standing(k *kitchen.Kitchen, b *kitchen.Batch, x kitchen.Recalled, now kitchen.Moment) Line {
	vals := values{"title": x.Title, "code": x.Code, "vessel": x.Vessel, "made": day(x.Made), "use": day(x.UseBy)}
	if own := k.Batches[x.Batch]; own != nil {
		b = own
	}
	mark := func(p phrase, m *kitchen.Mark) Line {
		vals["at"], vals["day"], vals["by"] = m.Done, day(m.Done), m.By
		return v.say(p, vals)
	}
	_, holder := k.Look(x.Vessel)
	switch {
	case b != nil && b.Gas() > 0:
		return v.say("standing.gas", vals)
	case x.Binned != nil:
		return mark("standing.binned", x.Binned)
	case b != nil && b.Phase == kitchen.Scrapped && b.Ended != nil:
		return mark("standing.binned", b.Ended)
	case x.Missing != nil:
		return mark("standing.missing", x.Missing)
	case b != nil && b.Labelled == nil && holder != nil && holder.ID == b.ID:
		return v.say("standing.open", vals)
	case b != nil && b.Labelled == nil:
		return v.say("standing.bench", vals)
	case x.UseBy == 0:
		return v.say("standing.shelf", vals)
	case pastDay(x.UseBy, now, v.zone):
		return v.say("standing.past", vals)
	}
	return v.say("standing.use", vals)
}

// pastDay says that the day of a moment is over.
func pastDay(m, now kitchen.Moment, zone *time.Location) bool {
	return m.Time().In(zone).Format(time.DateOnly) < now.Time().In(zone).Format(time.DateOnly)
}

// recallCall is the message of a recall, or its second call.
func (v Voice) recallCall(k *kitchen.Kitchen, e kitchen.Entry, sent bool, now time.Time) (Message, string) {
	r, known := k.RecallOf(e.Turn)
	if !known {
		return Message{}, "recall is long over"
	}
	left := r.Left()
	if len(left) == 0 && e.Rung > 0 && !sent {
		return Message{}, "all accounted for"
	}
	vals := values{
		"of": v.ofLot(r.Lot, r.Code), "by": r.By, "at": r.At, "why": r.Why, "left": v.count("batches", len(left), nil),
		"batches": v.count("batches", len(r.Items), nil), "ring": v.rings(k.RecallCircle(r, e.Rung, now)),
	}
	m := message(v.say(recallHead(r, left, e.Rung), vals))
	if r.Why != "" {
		m.Lines = append(m.Lines, v.say("recall.why", vals))
	}
	items := v.recallItems(k, r)
	if e.Rung > 0 && len(left) > 0 {
		items = slices.DeleteFunc(items, kitchen.Recalled.Done)
	}
	gas := false
	for i, x := range items {
		b := k.Batches[x.Batch]
		gas = gas || b != nil && b.Gas() > 0
		if i < recallLines {
			m.Lines = append(m.Lines, v.standing(k, b, x, kitchen.At(now)))
		}
	}
	if more := len(items) - recallLines; more > 0 {
		m.Lines = append(m.Lines, v.say("recall.more", values{"batches": v.count("batches", more, nil), "lot": r.Lot}))
	}
	if gas {
		m.Lines = append(m.Lines, v.say("safe.empty", nil))
	}
	return m.with(v.recallButtons(k, left)...), ""
}

// recallHead finds the first line of a recall: what to do now.
func recallHead(r kitchen.Recall, left []kitchen.Recalled, rung uint8) phrase {
	missing := slices.ContainsFunc(r.Items, func(x kitchen.Recalled) bool { return x.Missing != nil })
	switch {
	case len(r.Items) == 0:
		return "recall.none"
	case len(left) == 0 && missing:
		return "recall.over.missing"
	case len(left) == 0:
		return "recall.over"
	case rung > 0:
		return "recall.again"
	}
	return "recall.call"
}

// recallItems gives the batches of a recall: under pressure first, then those that
// are still to be found, then the others.
func (v Voice) recallItems(k *kitchen.Kitchen, r kitchen.Recall) []kitchen.Recalled {
	rank := func(x kitchen.Recalled) int {
		b := k.Batches[x.Batch]
		switch {
		case b != nil && b.Gas() > 0:
			return 0
		case x.Done():
			return 3
		case b != nil && b.Labelled == nil:
			return 1
		}
		return 2
	}
	items := slices.Clone(r.Items)
	slices.SortStableFunc(items, func(x, y kitchen.Recalled) int { return cmp.Compare(rank(x), rank(y)) })
	return items
}

// recallButtons gives what is left its taps. What is in a vessel is there: it is
// vented first, then binned. The many are typed.
func (v Voice) recallButtons(k *kitchen.Kitchen, left []kitchen.Recalled) []Button {
	var buttons []Button
	pairs := 0
	for _, x := range left {
		b := k.Batches[x.Batch]
		if b != nil && b.Gas() > 0 || pairs == recallPairs {
			continue
		}
		pairs++
		line, vals := request.Request{Verb: request.Binned, Code: x.Code}.String(), values{"code": short(x.Code)}
		buttons = append(buttons, Button{Label: v.word("button.binned", vals), Tap: kitchen.Tap{Line: line}, Main: len(buttons) == 0})
		if b == nil || b.Labelled != nil {
			buttons = append(buttons, Button{Label: v.word("button.missing", vals), Tap: kitchen.Tap{Line: line, With: "missing"}})
		}
	}
	return buttons
}

// binIt is in the place of the call for a label: what was taken back gets none.
func (c call) binIt() Message {
	scrap := c.button(c.b, "button.scrap", "scrap", 0)
	scrap.Tap.With = "sure"
	return message(c.say("label.recalled", c.vals())).with(main(scrap))
}
