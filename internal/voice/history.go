package voice

import (
	"cmp"
	"slices"
	"time"

	"ventbell/internal/kitchen"
)

const (
	// historyCharges is how many chargers a history tells one by one.
	historyCharges = 5
	// enteredLater is how long after it was done a thing must be entered for
	// the history to say so.
	enteredLater = time.Minute
)

// past is one line of a history.
type past struct {
	at   kitchen.Moment
	line Line
}

// history words who did what to a batch and when, a line each, in the order in
// which it was done.
func (v Voice) history(b *kitchen.Batch, now kitchen.Moment) Message {
	var list []past
	add := func(p phrase, m *kitchen.Mark, vals values) {
		if m != nil {
			list = append(list, v.past(p, *m, vals))
		}
	}
	add("history.started", &b.Started, v.about(b))
	list = append(list, v.pastCharges(b)...)
	if b.Doubt != nil {
		add("history.doubt", &b.Doubt.Mark, values{"more": v.more(b.Doubt.N)})
	}
	if b.RestFrom != 0 && b.RestFrom <= now && len(b.Charges) > 0 && b.RestFrom >= b.Charges[0].Done {
		rest := phrase("history.rest")
		if b.RestAssumed {
			rest = "history.rest.assumed"
		}
		add(rest, &kitchen.Mark{Done: b.RestFrom}, nil)
	}
	add("history.emptied", b.Emptied, nil)
	add("history.strained", b.Strained, values{"yield": v.out(b), "kept": b.KeepsSolid()})
	if b.Strained != nil {
		told := &list[len(list)-1]
		told.line = inOne(told.line, v.liquidBeside(b))
	}
	add("history.cleared", b.Cleared, nil)
	add("history.labelled", b.Labelled, nil)
	if b.Phase == kitchen.Scrapped {
		end := phrase("history.scrapped")
		if b.Expired {
			end = "history.expired"
		}
		add(end, b.Ended, nil)
	}
	add("history.undone", b.Undone, nil)
	slices.SortStableFunc(list, func(x, y past) int { return cmp.Compare(x.at, y.at) })
	m := message(v.say("history", v.about(b)))
	for _, p := range list {
		m.Lines = append(m.Lines, p.line)
	}
	return m
}

// past words one thing that was done; what was entered much later says when.
func (v Voice) past(p phrase, m kitchen.Mark, vals values) past {
	all := values{"at": m.Done, "by": m.By, "entered": m.Entered}
	for name, value := range vals {
		if all[name] == nil {
			all[name] = value
		}
	}
	line := v.say(p, all)
	if m.Entered.Sub(m.Done) >= enteredLater {
		line = inOne(line, v.say("history.entered", all))
	}
	return past{m.Done, line}
}

// pastCharges tells the chargers one by one; of very many the last ones together.
func (v Voice) pastCharges(b *kitchen.Batch) []past {
	var list []past
	for i, c := range b.Charges {
		if left := len(b.Charges) - i; i == historyCharges-1 && left > 1 {
			last := b.FullSince()
			return append(list, v.past("history.charges", last.Mark, values{"more": v.more(left)}))
		}
		said := phrase("history.charge")
		if c.Assumed {
			said = "history.charge.assumed"
		}
		list = append(list, v.past(said, c.Mark, values{"n": i + 1, "of": b.Chargers}))
	}
	return list
}
