package voice

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// stockTold words how the chargers stand: what to do first, then what tonight takes,
// what went today, when to order, and what is in the shell box.
func (v Voice) stockTold(p kitchen.StockPage, used int) Message {
	vals := v.stockValues(p)
	vals["used"] = v.chargers(used)
	var today Line
	if used > 0 {
		today = v.say("stock.used", vals)
	}
	if !p.Known {
		m := message(v.say("stock.unknown", nil), today)
		if p.Need > 0 {
			m.Lines = append(m.Lines, v.say("told.chargers.need", values{"chargers": v.chargers(p.Need)}))
		}
		return m
	}
	m := message(v.stockHead(p), v.stockNeed(p), today, v.stockOrder(p))
	if p.Shells > 0 {
		m.Lines = append(m.Lines, v.say("stock.shells", vals))
	}
	return m
}

func (v Voice) stockValues(p kitchen.StockPage) values {
	some := func(n int) string { return v.chargers(max(n, 0)) }
	return values{
		"full": some(p.Full), "need": some(p.Need + p.Spoil), "spoil": p.Spoil, "after": p.After, "short": -p.After,
		"over": some(-p.Full), "shells": v.count("shells", max(p.Shells, 0), nil), "before": p.Before, "day": day(p.Before), "next": day(p.Next),
		"until": some(p.Until), "reorder": some(p.Reorder), "n": max(p.Full, 0),
	}
}

// stockHead says what to do about the chargers. None by the plan is not yet none in
// fact, and is said so.
func (v Voice) stockHead(p kitchen.StockPage) Line {
	vals := v.stockValues(p)
	switch {
	case p.Full < 0:
		return v.say("stock.below", vals)
	case p.Full == 0:
		return v.say("stock.zero", nil)
	case p.Level == kitchen.StockShort:
		return v.say("stock.short", vals)
	case p.Level == kitchen.StockTight:
		return v.say("stock.tight", vals)
	}
	return v.say("stock.enough", vals)
}

// stockNeed says what tonight still takes and what is left then.
func (v Voice) stockNeed(p kitchen.StockPage) Line {
	vals := v.stockValues(p)
	switch {
	case p.Need == 0:
		return v.say("stock.need.none", nil)
	case p.After < 0:
		return v.say("stock.need.short", vals)
	case p.After == 0:
		return v.say("stock.need.all", vals)
	}
	return v.say("stock.need", vals)
}

// stockServes warns that what is open takes more than there is; nothing where it
// does not.
func (v Voice) stockServes(p *kitchen.StockPage) Line {
	switch {
	case p == nil:
		return nil
	case p.Full <= 0:
		return v.say("stock.serve.none", nil)
	}
	return v.say("stock.serve", v.stockValues(*p))
}

// stockOrder says until when to order; nothing where the book does not say.
func (v Voice) stockOrder(p kitchen.StockPage) Line {
	switch {
	case p.Before == 0:
		return nil
	case p.Reorders() && p.Reorder > 0:
		return v.say("stock.order.now", v.stockValues(p))
	case p.Until == 0:
		return nil
	}
	return v.say("stock.order", v.stockValues(p))
}

// stockDone words a movement of the charger count.
func (v Voice) stockDone(a kitchen.Answer) Message {
	p := *a.Stock
	vals := values{"chargers": v.chargers(a.N), "n": a.N, "shells": v.count("shells", a.N, nil)}
	m := message(v.say(phrase("done."+string(a.Verb)), vals))
	switch a.Verb {
	case request.Counted:
		m.Lines = append(m.Lines, v.tally(p.Box)...)
	case request.Shells:
		m.Lines = append(m.Lines, v.tally(p.Tally)...)
		m.Lines = append(m.Lines, v.say("count.recycled", nil))
	}
	if !p.Known {
		m.Lines = append(m.Lines, v.say("stock.unknown", nil))
		return m
	}
	if a.Verb != request.Shells {
		m.Lines = append(m.Lines, v.stockHead(p))
		if p.Need > 0 {
			m.Lines = append(m.Lines, v.stockNeed(p))
		}
	}
	return m
}

// tally says how a count stands to the log.
func (v Voice) tally(t *kitchen.Tally) []Line {
	switch {
	case t == nil:
		return nil
	case t.First:
		return []Line{v.say("count.first", nil)}
	case t.Off() == 0:
		return []Line{v.say("count.same", nil)}
	}
	return []Line{v.say("count.off", values{"want": t.Want, "by": byHowMuch(t.Off())})}
}

// byHowMuch writes a difference with its sign.
func byHowMuch(n int) string {
	switch {
	case n > 0:
		return "+" + strconv.Itoa(n)
	case n < 0:
		return "−" + strconv.Itoa(-n)
	}
	return "±0"
}

// countNote tells the managers of counts that do not agree with the log: the bare
// difference, and nobody's name.
func (v Voice) countNote(k *kitchen.Kitchen, sent bool, now time.Time) (Message, string) {
	box, shells := k.Stock.Counts(now.In(v.zone))
	if box.Off() == 0 && shells.Off() == 0 {
		if !sent {
			return Message{}, "agrees"
		}
		return message(v.say("recon.agrees", nil)), ""
	}
	compared := box != nil && !box.First
	m := message(v.recon(box.Off(), shells.Off(), compared && shells != nil))
	if compared {
		m.Lines = append(m.Lines, v.say("recon.box", values{"n": box.N, "want": box.Want, "by": byHowMuch(box.Off())}))
	}
	if shells != nil {
		m.Lines = append(m.Lines, v.say("recon.shells", values{"n": shells.N, "want": shells.Want, "by": byHowMuch(shells.Off())}))
	}
	m.Lines = append(m.Lines, v.say("recon.control", nil))
	return m, ""
}

// recon says what a difference speaks for. Only both counts together tell a charger
// that was used and not told from one that is gone.
func (v Voice) recon(box, shells int, both bool) Line {
	vals := values{"chargers": v.chargers(max(box+shells, -box-shells)), "n": max(box, -box)}
	switch {
	case !both:
		return v.say("recon.one", nil)
	case box+shells < 0:
		return v.say("recon.missing", vals)
	case box+shells > 0:
		return v.say("recon.over", vals)
	case box < 0:
		return v.say("recon.untold", vals)
	}
	return v.say("recon.unused", vals)
}

// stockCall words the warning that chargers run low.
func (v Voice) stockCall(k *kitchen.Kitchen, e kitchen.Entry, sent bool, now time.Time) (Message, string) {
	p := k.StockNow(now.In(v.zone))
	switch {
	case e.Turn != k.Stock.Warned.N:
		return Message{}, "warned anew"
	case p.Level == kitchen.StockEnough && !sent:
		return Message{}, "enough again"
	case p.Level == kitchen.StockEnough:
		return message(v.stockHead(p)), ""
	}
	return message(v.stockHead(p), v.stockNeed(p), v.say("stock.wrong", nil)), ""
}

// orderCall reminds the managers to order.
func (v Voice) orderCall(k *kitchen.Kitchen, sent bool, now time.Time) (Message, string) {
	p := k.StockNow(now.In(v.zone))
	switch {
	case !p.Reorders() && !sent:
		return Message{}, "enough again"
	case !p.Reorders():
		return message(v.stockHead(p)), ""
	}
	vals := v.stockValues(p)
	m := message(inOne(v.say("stock.order.call", vals), v.fill(ring(k.Head.Team.Managers), false, false)))
	if p.Full <= 0 {
		m.Lines = append(m.Lines, v.stockHead(p))
	}
	if p.Until > 0 {
		m.Lines = append(m.Lines, v.say("stock.order.until", vals))
	}
	if p.Reorder > 0 {
		m.Lines = append(m.Lines, v.say("stock.order.least", vals))
	}
	return m, ""
}

// cream gives the values of a vessel of cream.
func (v Voice) cream(c *kitchen.Cream) values {
	vals := values{
		"vessel": c.Vessel, "title": c.Title, "gas": v.chargers(c.Charged), "of": v.chargers(c.Of), "owner": c.By, "since": c.Since,
		"from": day(c.Since), "until": c.Until, "day": day(c.Until), "allergens": v.terms(c.Allergens, ", "),
	}
	if c.Emptied != nil {
		vals["emptied"], vals["emptiedBy"] = c.Emptied.Done, c.Emptied.By
	}
	return vals
}

// creamSlip is the one message of a vessel of cream.
func (v Voice) creamSlip(c *kitchen.Cream) Message {
	vals := v.cream(c)
	contains := v.say("cream.contains", vals)
	empty := main(v.creamButton(c, "button.empty", request.Emptied))
	switch {
	case c.Emptied != nil:
		return message(v.say("cream.over", vals), v.say("done.wash", vals)).with(v.washedButton(c.Vessel))
	case c.Charged > c.Of:
		return message(v.say("cream.much", vals), v.say("safe.vent.foam", nil), v.say("safe.empty", nil), contains).with(empty)
	}
	return message(v.say("cream.slip", vals), v.say("cream.until", vals), v.say("safe.cream", nil), contains).
		with(empty, v.creamButton(c, "button.take", request.Take))
}

// creamButton draws a button about a vessel of cream.
func (v Voice) creamButton(c *kitchen.Cream, label phrase, verb request.Verb) Button {
	return Button{
		Label: v.word(label, v.cream(c)),
		Tap:   kitchen.Tap{Line: request.Request{Verb: verb, Vessel: c.Vessel}.String(), Batch: c.N, Turn: c.Turn},
	}
}

// creamEntry words what the outbox brings about cream.
func (v Voice) creamEntry(k *kitchen.Kitchen, e kitchen.Entry, sent bool, now time.Time) (Message, string) {
	c := k.CreamOf(e.Batch)
	switch {
	case c == nil:
		return Message{}, "cream has left"
	case e.Kind == kitchen.CreamSlip:
		return v.creamSlip(c), ""
	case c.Emptied != nil && !sent:
		return Message{}, "answered"
	case c.Emptied != nil:
		return message(v.say("cream.over", v.cream(c))), ""
	case e.Turn < c.Turn && !sent:
		return Message{}, "set anew"
	}
	vals := v.cream(c)
	vals["ring"] = ring(k.CreamCircle(c, e.Rung))
	empty := main(v.creamButton(c, "button.empty", request.Emptied))
	if e.Rung == 0 && kitchen.At(now) < c.Until {
		return message(v.say("cream.ahead", vals), v.say("safe.vent.foam", nil)).with(empty), ""
	}
	head := phrase("cream.call")
	if c.Amiss {
		head = "cream.call.much"
	}
	var late Line
	if span := kitchen.At(now).Sub(c.Until); span >= time.Minute && !c.Amiss {
		late = v.say("cream.late", values{"late": quantity.Words(span.Truncate(time.Minute))})
	}
	return message(v.say(head, vals), late, v.say("safe.vent.foam", nil), v.say("safe.empty", nil), v.say("safe.blocked", nil)).
		with(empty, v.creamButton(c, "button.take", request.Take)), ""
}

// creamDone words a thing done to cream.
func (v Voice) creamDone(k *kitchen.Kitchen, a kitchen.Answer) Message {
	c := k.CreamOf(a.Cream)
	if c == nil {
		return message(v.say("refuse.nothing.vessel", values{"vessel": a.Vessel}))
	}
	vals := v.cream(c)
	switch {
	case c.Emptied != nil:
		return message(v.say("done.emptied", vals), v.say("done.wash", vals)).with(v.washedButton(c.Vessel))
	case c.Amiss:
		return v.creamSlip(c)
	case a.Verb == request.Cream:
		return message(v.say("done.cream", vals), v.say("cream.until", vals), v.say("safe.cream", nil))
	}
	return message(v.say("board.cream", vals), v.say("cream.until", vals))
}

// creamLines are the vessels of cream on the board.
func (v Voice) creamLines(k *kitchen.Kitchen) []Line {
	var lines []Line
	for _, c := range k.Creams() {
		lines = append(lines, v.say("board.cream", v.cream(&c)))
	}
	return lines
}

// pageCreams are the vessels of cream on somebody's own page: whoever is there may
// empty one.
func (v Voice) pageCreams(k *kitchen.Kitchen) Page {
	var page Page
	for _, c := range k.Creams() {
		page = append(page, message(v.say("board.cream", v.cream(&c))).with(main(v.creamButton(&c, "button.empty", request.Emptied))))
	}
	return page
}

// creamTold words a question about a vessel of cream; false where it is about none.
func (v Voice) creamTold(k *kitchen.Kitchen, a kitchen.Answer) (Message, bool) {
	c := k.CreamIn(a.Vessel)
	if c == nil {
		return Message{}, false
	}
	vals := v.cream(c)
	switch a.Topic {
	case request.WhoHas, request.TimeLeft, request.Overnight, request.UseBy:
		return message(v.say("board.cream", vals), v.say("cream.until", vals), v.say("safe.cream", nil)), true
	case request.MayOpen:
		return message(v.say("told.open.gas", values{"vessels": c.Vessel}), v.say("safe.vent.foam", nil), v.say("safe.empty", nil), v.say("safe.blocked", nil)), true
	case request.Allergens:
		return message(v.say("cream.contains", vals), v.say("told.traces", nil)), true
	}
	return Message{}, false
}

// underGas names the vessels that are under pressure: batches and cream.
func underGas(k *kitchen.Kitchen, list []*kitchen.Batch) string {
	names := []string{}
	for _, b := range list {
		names = append(names, b.Vessel)
	}
	for _, c := range k.Creams() {
		names = append(names, c.Vessel)
	}
	return strings.Join(slices.Compact(names), ", ")
}
