package voice

import (
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// listed is how many lines of a list are told; what is over is counted.
const listed = 3

// told words the answer to a question.
func (v Voice) told(k *kitchen.Kitchen, a kitchen.Answer) Message {
	list := those(k, a.Batches)
	f := a.Facts
	if m, ok := v.creamTold(k, a); ok {
		return m
	}
	switch a.Topic {
	case request.HowBrim:
		return v.brim(a)
	case request.OnNow:
		return v.onNow(*a.Crew)
	case request.WhoHas, request.TimeLeft:
		return v.whose(k, a, list)
	case request.OwnBoard:
		return v.list(v.say("home.mine", values{"n": len(list)}), v.say("told.mine.none", values{"at": a.At}), v.boardLines(list))
	case request.Unstrained:
		return v.list(v.say("told.unstrained", values{"n": len(list), "kept": slices.ContainsFunc(list, solid)}), v.say("told.unstrained.none", values{"at": a.At}), v.boardLines(list))
	case request.ChargersFor, request.StockLeft:
		return v.stockTold(*a.Stock, f.Used)
	case request.Expiring:
		lines := slices.Concat(v.boardLines(list), v.shelf(f.Shelf), v.jars(f.Jars))
		m := message(v.say("told.expiring", values{"n": len(lines)}))
		if len(lines) == 0 {
			m = message(v.say("told.expiring.none", nil))
		}
		m.Lines = append(append(m.Lines, v.few("told.and", lines)...), v.say("told.expiring.covers", values{"n": kitchen.ShelfAtMost}))
		return m
	case request.Allergens:
		return v.allergensTold(a, list)
	case request.UseBy:
		return v.useBy(a, list)
	case request.Strength:
		if f.ABVHigh == 0 {
			return message(v.say("told.strength.none", nil))
		}
		return message(v.say("told.strength", values{
			"abv": v.strength(f.ABVLow, f.ABVHigh), "title": a.Title, "kept": f.Product == book.SolidKept,
		}))
	case request.TheLabel:
		return v.theLabel(k, a, list)
	case request.Overnight:
		pressed := slices.DeleteFunc(list, func(b *kitchen.Batch) bool { return b.Gas() == 0 })
		m := message(append([]Line{v.say("told.overnight", nil)}, v.few("and.more", v.boardLines(pressed))...)...)
		m.Lines = append(m.Lines, v.say("safe.vent", nil), v.say("safe.empty", nil))
		return m
	}
	return v.mayOpen(k, a, list)
}

// those gives the batches of an answer that are still open.
func those(k *kitchen.Kitchen, ids []uint32) []*kitchen.Batch {
	var list []*kitchen.Batch
	for _, id := range ids {
		if b := k.Batches[id]; b != nil {
			list = append(list, b)
		}
	}
	return list
}

// list words a list below its heading, or that there is nothing in it.
func (v Voice) list(head, none Line, lines []Line) Message {
	if len(lines) == 0 {
		return message(none)
	}
	return message(append([]Line{head}, v.few("and.more", lines)...)...)
}

// few keeps a list short and says how many more there are.
func (v Voice) few(more phrase, lines []Line) []Line {
	if len(lines) <= listed {
		return lines
	}
	return append(slices.Clone(lines[:listed-1]), v.say(more, values{"n": len(lines) - listed + 1}))
}

func (v Voice) boardLines(list []*kitchen.Batch) []Line {
	var lines []Line
	for _, b := range list {
		if line := v.boardLine(b); len(line) > 0 {
			lines = append(lines, line)
		}
	}
	return lines
}

func (v Voice) shelf(list []kitchen.Finished) []Line {
	var lines []Line
	for _, f := range list {
		lines = append(lines, v.finished(f))
	}
	return lines
}

// jars words until when what was labelled before is to be used.
func (v Voice) jars(list []kitchen.Jar) []Line {
	var lines []Line
	for _, j := range list {
		p := phrase("told.jar")
		if j.N > 1 {
			p = "told.jars"
		}
		lines = append(lines, v.say(p, values{"title": j.Title, "use": day(j.UseBy), "n": j.N}))
	}
	return lines
}

// vesselsOfThe names the vessels of batches.
func vesselsOfThe(list []*kitchen.Batch) string {
	var tags []string
	for _, b := range list {
		tags = append(tags, b.Vessel)
	}
	return strings.Join(tags, ", ")
}

// nothingOpen says that nothing is open of what was asked.
func (v Voice) nothingOpen(a kitchen.Answer) Message {
	if a.Vessel != "" {
		return message(v.say("refuse.nothing.vessel", values{"vessel": a.Vessel}))
	}
	return message(v.say("refuse.nothing", nil))
}

// whose says who has what is asked about, and when it comes to what.
func (v Voice) whose(k *kitchen.Kitchen, a kitchen.Answer, list []*kitchen.Batch) Message {
	switch len(list) {
	case 0:
		return v.nothingOpen(a)
	case 1:
		b := list[0]
		head := v.boardLine(b)
		if b.Full() && b.Doubt == nil && (b.Phase == kitchen.Charging || b.Phase == kitchen.Resting) {
			head = v.say("told.left", v.about(b))
		}
		m := message(head)
		if b.SolidsOut() != 0 && b.Strained == nil && b.Ended == nil {
			m.Lines = append(m.Lines, v.say("slip.contact", v.about(b)))
		}
		return m.with(v.choices(k, a)...)
	}
	return v.list(v.say("board", values{"at": a.At}), nil, v.boardLines(list))
}

// allergensTold never says that something is free of an allergen: traces are not
// known, and lists are written by people.
func (v Voice) allergensTold(a kitchen.Answer, list []*kitchen.Batch) Message {
	f := a.Facts
	vals := values{"title": a.Title, "allergen": v.term(a.Allergen), "allergens": v.terms(f.Allergens, ", ")}
	traces := v.say("told.traces", nil)
	switch {
	case a.Title == "" && a.Vessel != "":
		m := v.nothingOpen(a)
		m.Lines = append(m.Lines, traces)
		return m
	case a.Title == "" || a.Allergen != "" && len(f.Book) > 0:
		return v.holding(a, list, vals)
	case len(f.Allergens) == 0:
		return message(v.say("told.allergens.none", vals), traces)
	case a.Allergen == "":
		return message(v.say("told.allergens", vals), traces)
	case slices.Contains(f.Allergens, a.Allergen):
		return message(v.say("told.allergen.has", vals), traces)
	}
	return message(v.say("told.allergen.not", vals), v.say("told.allergens", vals), traces)
}

// holding lists what holds an allergen: open, labelled today, in the book.
func (v Voice) holding(a kitchen.Answer, list []*kitchen.Batch, vals values) Message {
	head, none := phrase("told.holding"), phrase("told.holding.none")
	if a.Allergen == "" {
		head, none = "told.holding.any", "told.holding.nothing"
	}
	lines := append(v.boardLines(list), v.shelf(a.Facts.Shelf)...)
	vals["n"] = len(lines) + len(a.Facts.Book)
	if vals["n"] == 0 {
		return message(v.say(none, vals), v.say("told.traces", nil))
	}
	m := message(append([]Line{v.say(head, vals)}, v.few("told.and", lines)...)...)
	if names := a.Facts.Book; len(names) > 0 {
		m.Lines = append(m.Lines, v.say("told.holding.book", values{"names": v.names(names)}))
	}
	m.Lines = append(m.Lines, v.say("told.traces", nil))
	return m
}

// names joins names, as many as a line takes.
func (v Voice) names(names []string) string {
	const room = 90 // characters
	n, length := 0, 0
	for n < len(names) && length < room {
		length += len(names[n]) + 2
		n++
	}
	said := strings.Join(names[:n], ", ")
	if n == len(names) {
		return said
	}
	return v.word("told.more", values{"names": said, "n": len(names) - n})
}

// useBy says until when a thing is to be used: by its batch, by today's label,
// else how long its recipe keeps.
func (v Voice) useBy(a kitchen.Answer, list []*kitchen.Batch) Message {
	f := a.Facts
	var lines []Line
	for _, b := range list {
		if b.UseBy != 0 {
			lines = append(lines, v.say("told.useby", values{
				"title": b.Title, "vessel": b.Vessel, "use": day(b.UseBy), "storage": v.term(b.Storage),
			}))
		}
	}
	for _, x := range f.Shelf {
		lines = append(lines, v.finished(x))
	}
	lines = append(lines, v.jars(f.Jars)...)
	switch {
	case len(lines) > 0:
		lines = v.few("told.and", lines)
	case f.Days > 0:
		lines = []Line{v.say("told.useby.days", values{
			"title": a.Title, "days": v.count("days", f.Days, nil), "storage": v.term(f.Storage),
		})}
	default:
		lines = []Line{v.say("told.useby.none", nil)}
	}
	return message(append(lines, v.say("safe.store", nil))...)
}

// theLabel says what goes onto a label.
func (v Voice) theLabel(k *kitchen.Kitchen, a kitchen.Answer, list []*kitchen.Batch) Message {
	switch {
	case len(list) == 1:
		b := list[0]
		m := v.labelMessage(b)
		if warm := v.warned(k, b); warm != nil { // what is to be done comes first
			m.Lines = slices.Insert(m.Lines, 0, warm)
		}
		if b.Phase == kitchen.Labelling {
			m = m.with(main(v.button(b, "button.labelled", "labelled", 0)))
		}
		return m
	case len(list) > 1:
		return v.list(v.say("board", values{"at": a.At}), nil, v.boardLines(list))
	case len(a.Facts.Shelf) > 0:
		m := message(v.shelf(a.Facts.Shelf)...)
		if f := a.Facts; f.ABVHigh > 0 {
			m.Lines = append(m.Lines, v.say("label.strength", values{
				"abv": v.strength(f.ABVLow, f.ABVHigh), "kept": f.Product == book.SolidKept,
			}))
		}
		if len(a.Facts.Allergens) > 0 {
			m.Lines = append(m.Lines, v.say("label.allergens", values{
				"allergens": v.terms(a.Facts.Allergens, ", "), "kept": a.Facts.Product == book.SolidKept,
			}))
		}
		m.Lines = append(m.Lines, v.say("safe.label", nil))
		return m
	}
	return v.nothingOpen(a)
}

// mayOpen never says yes: a vessel may be opened when gas was heard to flow and
// two presses were silent, and only who stands before it hears that.
func (v Voice) mayOpen(k *kitchen.Kitchen, a kitchen.Answer, list []*kitchen.Batch) Message {
	pressed := slices.DeleteFunc(slices.Clone(list), func(b *kitchen.Batch) bool { return b.Gas() == 0 })
	var head Line
	switch {
	case len(pressed) > 0:
		return message(
			v.say("told.open.gas", values{"vessels": vesselsOfThe(pressed)}), v.say("safe.vent", nil), v.say("safe.empty", nil),
			v.say("safe.blocked", nil),
		)
	case len(list) == 1 && list[0].Emptied != nil:
		head = v.say("told.open.emptied", v.about(list[0]))
	case a.Vessel != "":
		head = v.say("told.open.loaded", values{"vessel": a.Vessel})
	default:
		head = v.say("told.open.any", nil)
	}
	return message(head, v.say("safe.empty", nil))
}

// forLater words the plan for what is wanted at a later time.
func (v Voice) forLater(k *kitchen.Kitchen, a kitchen.Answer) Message {
	w := a.Wanted
	when := v.fill(day(w.For), true, false)
	if !w.Day {
		when = append(append(when, Piece{Text: " ", Strong: true}), v.fill(w.For, true, false)...)
	}
	fillings := v.count("wanted.fills", w.Fillings, nil)
	if w.Rounds > 1 {
		fillings = v.word("wanted.rounds", values{"fillings": fillings, "n": w.Rounds})
	}
	vals := values{
		"for": when, "title": a.Title, "serves": v.count("echo.serves", w.Serves, nil), "liquid": v.amount(w.Liquid),
		"base": v.term(w.Base), "grams": v.amount(w.Solids), "solid": v.term(w.Solid), "chargers": v.chargers(w.Chargers),
		"fillings": fillings, "takes": quantity.Words(w.Takes), "start": w.StartBy, "ready": a.At.Add(w.Takes),
		"first": day(w.NotBefore), "days": v.count("days", w.Days, nil), "line": a.Line,
	}
	head, start := phrase("wanted.head"), phrase("wanted.start")
	if w.Serves > 0 {
		head = "wanted.serves"
	}
	switch {
	case w.Day:
		start = "wanted.day"
	case w.StartBy < a.At:
		start = "wanted.late"
	}
	m := message(v.say(head, vals), v.say("wanted.amounts", vals), v.say(start, vals))
	if w.NotBefore != 0 {
		m.Lines = append(m.Lines, v.say("wanted.before", vals))
	}
	m.Lines = append(m.Lines, v.say("wanted.held", vals))
	return m.with(v.choices(k, a)...)
}
