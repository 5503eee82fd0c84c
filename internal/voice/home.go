package voice

import (
	"slices"
	"strings"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
)

const (
	// pageRoom is how many blocks a page of somebody's own takes: a platform's
	// hundred, less a few for what it adds itself.
	pageRoom = 95
	// pageTroubles and pageDone are how many troubles and finished batches a
	// page tells of; the others are counted.
	pageTroubles = 3
	pageDone     = 12
	// buttonRow is how many buttons stand in a row.
	buttonRow = 5
)

// Home words somebody's own page: for a manager what waits and what rests, the
// latest first, today's batches, chargers and vessels; for the crew what is
// theirs, what is under pressure with others, and the free vessels. It tells
// moments, no spans and not the present time, so that it changes only when the
// kitchen does.
func (v Voice) Home(k *kitchen.Kitchen, b *book.Book, p kitchen.Person, now time.Time) Page {
	v = v.of(k)
	page := v.pageTroubles(k, now)
	if k.Head.Team.Manages(p) {
		tail := append(Page{v.pageToday(k, now)}, v.pageVessels(k, b, true)...)
		tail = append(tail, v.pageBook(k))
		page = append(append(page, v.pageHead(k, v.counted(k, now))), v.pageCreams(k)...)
		return append(v.pageBatches(page, tail, waiting(k, now)), tail...)
	}
	mine := k.Mine(p)
	head := v.pageHead(k, v.say("home.mine", values{"n": len(mine)}))
	tail := v.pageVessels(k, b, false)
	page = v.pageBatches(append(append(page, head), v.pageCreams(k)...), tail, mine)
	others := slices.DeleteFunc(k.Open(), func(b *kitchen.Batch) bool { return b.Gas() == 0 || b.Owner.ID == p.ID })
	if len(others) > 0 {
		page = append(page, message(v.say("home.others", values{"n": len(others)})))
		page = v.pageBatches(page, tail, others)
	}
	return append(page, tail...)
}

// waiting gives the open batches: those that wait for somebody, those that rest,
// the others.
func waiting(k *kitchen.Kitchen, now time.Time) []*kitchen.Batch {
	list := k.Late(now)
	for _, b := range k.Open() {
		if !slices.Contains(list, b) {
			list = append(list, b)
		}
	}
	return list
}

// counted counts what waits and what is under pressure.
func (v Voice) counted(k *kitchen.Kitchen, now time.Time) Line {
	if len(k.Creams()) == 0 && !slices.ContainsFunc(k.Open(), func(b *kitchen.Batch) bool { return len(v.boardLine(b)) > 0 }) {
		return v.say("home.quiet", nil)
	}
	return v.say("home.head", values{"n": len(k.Late(now)), "gas": pressurised(k)})
}

func pressurised(k *kitchen.Kitchen) int {
	n := 0
	for _, b := range k.Batches {
		n += min(b.Gas(), 1)
	}
	return n + len(k.Creams())
}

// pageHead begins a page: what empty means, while anything is under pressure,
// and the buttons that begin a batch and draw the page anew.
func (v Voice) pageHead(k *kitchen.Kitchen, head Line) Message {
	m := message(head)
	if pressurised(k) > 0 {
		m.Lines = append(m.Lines, v.say("safe.empty", nil))
	}
	return m.with(
		Button{Label: v.word("button.start", nil), Tap: kitchen.Tap{Line: "start", With: "form:" + string(kitchen.FormStart)}},
		Button{Label: v.word("button.refresh", nil), Tap: kitchen.Tap{Line: "resting", With: "home"}},
	)
}

// pageBatches adds a message for each batch, with its one main button, as long
// as the tail still fits on the page.
func (v Voice) pageBatches(page, tail Page, list []*kitchen.Batch) Page {
	list = slices.DeleteFunc(list, func(b *kitchen.Batch) bool { return len(v.boardLine(b)) == 0 })
	more := func(n int) Message { return message(v.say("and.more", values{"n": n})) }
	room := pageRoom - page.blocks() - tail.blocks() - more(1).blocks()
	for i, b := range list {
		m := v.pageBatch(b)
		if room -= m.blocks(); room < 0 {
			return append(page, more(len(list)-i))
		}
		page = append(page, m)
	}
	return page
}

// pageBatch is one batch on a page: where it stands, since when it waits.
func (v Voice) pageBatch(b *kitchen.Batch) Message {
	line := v.boardLine(b)
	if since := b.LateSince(); since != 0 {
		line = inOne(line, v.say("home.late", values{"since": since}))
	}
	m := message(line)
	if button, ok := v.mainButton(b); ok {
		m = m.with(button)
	}
	return m
}

// mainButton is the one thing to do next about a batch; none while it only
// takes time.
func (v Voice) mainButton(b *kitchen.Batch) (Button, bool) {
	switch {
	case b.Gas() > 0 && (b.Doubt != nil || b.Phase == kitchen.Venting || b.Phase == kitchen.Scrapped):
		return v.emptyButton(b), true
	case b.Phase == kitchen.Loading, b.Phase == kitchen.Charging && !b.Full():
		return main(v.button(b, "button.charged", "charged", len(b.Charges)+1)), true
	case b.Gas() > 0:
		return Button{}, false
	case b.Phase == kitchen.Settling && b.Strained == nil, b.Phase == kitchen.Straining:
		return main(v.button(b, "button.strained", "strained", 0)), true
	case b.Phase == kitchen.Clearing:
		return main(v.button(b, "button.cleared", "cleared", 0)), true
	case b.Phase == kitchen.Settling, b.Phase == kitchen.Labelling:
		return main(v.button(b, "button.labelled", "labelled", 0)), true
	}
	return Button{}, false
}

// pageTroubles tells of the lanes that take no messages.
func (v Voice) pageTroubles(k *kitchen.Kitchen, now time.Time) Page {
	var page Page
	troubles := k.Head.Troubles
	for _, t := range troubles[max(0, len(troubles)-pageTroubles):] {
		page = append(page, v.trouble(k, t, nil, now))
	}
	return page
}

// pageToday tells what was finished today, the latest first, and how many
// chargers went.
func (v Voice) pageToday(k *kitchen.Kitchen, now time.Time) Message {
	list := k.Today(now)
	m := message(v.say("home.today", values{"n": len(list), "used": k.ChargersUsed(now)}))
	for i, f := range slices.Backward(list) {
		if len(m.Lines) > pageDone {
			m.Lines = append(m.Lines, v.say("home.earlier", values{"n": i + 1}))
			break
		}
		m.Lines = append(m.Lines, v.finished(f))
	}
	return m
}

func (v Voice) finished(f kitchen.Finished) Line {
	vals := values{
		"at": f.At, "title": f.Title, "vessel": f.Vessel, "by": f.By, "liquid": v.amount(f.Liquid),
		"yield": v.finishedOut(f), "use": day(f.UseBy),
	}
	switch {
	case f.Scrapped:
		return v.say("home.done.scrapped", vals)
	case f.UseBy != 0:
		return inOne(v.say("home.done", vals), v.say("home.done.use", vals))
	}
	return v.say("home.done", vals)
}

// pageVessels lists the vessels by what they are, all of them or the free and
// the dirty; nothing when there are none.
func (v Voice) pageVessels(k *kitchen.Kitchen, b *book.Book, all bool) Page {
	tags := map[kitchen.VesselState][]string{}
	for _, vessel := range b.Vessels {
		state, _ := k.Look(vessel.Tag)
		if state == kitchen.VesselFree && k.Holding(vessel.Tag) != nil {
			continue // said for whom it is held
		}
		tags[state] = append(tags[state], vessel.Tag)
	}
	m := message(v.say("home.vessels", nil))
	for _, kind := range []struct {
		state kitchen.VesselState
		said  phrase
		all   bool
	}{
		{kitchen.VesselPressurised, "home.pressurised", true},
		{kitchen.VesselBlocked, "home.blocked", false},
		{kitchen.VesselLoaded, "home.loaded", true},
		{kitchen.VesselOpen, "home.open", true},
		{kitchen.VesselDirty, "board.dirty", false},
		{kitchen.VesselWithdrawn, "board.withdrawn", false},
		{kitchen.VesselFree, "board.free", false},
	} {
		if list := tags[kind.state]; len(list) > 0 && (all || !kind.all) {
			m.Lines = append(m.Lines, v.say(kind.said, values{"vessels": strings.Join(list, ", ")}))
		}
	}
	m.Lines = append(m.Lines, v.heldLines(k)...)
	for _, tag := range tags[kitchen.VesselDirty][:min(buttonRow, len(tags[kitchen.VesselDirty]))] {
		m = m.with(v.washedButton(tag))
	}
	if len(m.Lines) == 1 {
		return nil
	}
	return Page{m}
}

// washedButton says that a vessel is washed.
func (v Voice) washedButton(tag string) Button {
	return Button{Label: v.word("button.washed", values{"vessel": tag}), Tap: kitchen.Tap{Line: "washed " + tag}}
}

// blocks gives how much of a page a message takes up: its headline, what stands
// below it, each row of buttons, and what divides it from the next.
func (m Message) blocks() int {
	return 1 + min(len(m.Lines), 2) + (len(m.Buttons)+buttonRow-1)/buttonRow
}

func (p Page) blocks() int {
	n := 0
	for _, m := range p {
		n += m.blocks()
	}
	return n
}
