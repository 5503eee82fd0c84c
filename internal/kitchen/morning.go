package kitchen

import (
	"slices"
	"time"
)

const (
	// MorningNote tells the team, once, what the day before left; LateCall tells the
	// closer and the managers that a day ended unsigned with something open in it.
	MorningNote EntryKind = "morning"
	LateCall    EntryKind = "late"
)

// MorningPage is what a morning note says; with nothing in it none is posted.
type MorningPage struct {
	Blocked []Blockage // vessels that do not vent, the first thing said
	Last    *Closed    // the day that was signed before, if it left or made anything
	Expires []Jar      // what is to be gone today, or was before
	// Open is what is still under pressure or on its solids.
	Open []ClosingItem
}

// Morning gives what is to be said on the morning of now, in the kitchen's own zone.
func (k *Kitchen) Morning(now time.Time) MorningPage {
	p := MorningPage{Blocked: k.Blockages(), Expires: k.History.jars("", dayNumber(now), now)}
	p.Open = slices.DeleteFunc(k.heldOvernight(), func(x ClosingItem) bool { return x.Code == ItemBlocked })
	yesterday := businessDay(now.AddDate(0, 0, -1))
	if last := k.Closing.Last; last != nil && !last.Shift && last.Day == yesterday {
		if last.Batches > 0 || last.Used > 0 || len(last.Left) > 0 || len(last.Fenced) > 0 {
			p.Last = last
		}
	}
	return p
}

// noteNumber gives the number under which the notes of a morning and of a night are
// kept.
func noteNumber(n uint16) uint32 { return ownNumber(rowNote, n) }

// noteNext makes the next message about a day.
func (s *scene) noteNext(kind EntryKind, due Moment) Entry {
	s.Closing.Noted++
	n := s.Closing.Noted
	s.ch.Forget = append(s.ch.Forget, noteNumber(n-daysKept))
	return s.ownEntry(noteNumber(n), kind, n, due)
}

// Empty says that there is nothing to say.
func (p MorningPage) Empty() bool {
	return len(p.Blocked)+len(p.Expires)+len(p.Open) == 0 && p.Last == nil
}

// morningOf gives the morning of a day, by the clock on the wall.
func morningOf(d time.Time) time.Time {
	return time.Date(d.Year(), d.Month(), d.Day(), morning, 0, 0, 0, d.Location())
}

// morningAfter gives the morning after the present business day.
func (s *scene) morningAfter() Moment {
	return At(morningOf(dayEnds(s.now.Time().In(s.zone)).Time().In(s.zone)))
}

// ringMorning posts the note, if there is something to say, and looks at the next
// morning on which something ends.
func (s *scene) ringMorning(at Moment) {
	c := &s.Closing
	now := s.now.Time().In(s.zone)
	c.Morning = 0
	s.logRing(nil, "morning looked at")
	if days := s.jarsAfter(now); len(days) > 0 {
		c.Morning = At(morningOf(days[0].UseBy.Time().In(s.zone)))
	}
	if businessDay(at.Time().In(s.zone)) != businessDay(now) || s.Morning(now).Empty() {
		return
	}
	s.queue(s.noteNext(MorningNote, at))
}

// jarsAfter gives what ends after the day of now, the soonest first.
func (s *scene) jarsAfter(now time.Time) []Jar {
	list := s.History.jars("", ^uint32(0), now)
	return slices.DeleteFunc(list, func(j Jar) bool { return dayNumber(j.UseBy.Time().In(s.zone)) <= dayNumber(now) })
}

// watchDay sees to it that a day does not end unnoticed with something open in it.
func (s *scene) watchDay() {
	c := &s.Closing
	switch open := len(s.heldOvernight()) > 0; {
	case !open:
		c.Ends = 0
	case c.Ends == 0:
		c.V, c.Ends = version, dayEnds(s.now.Time().In(s.zone))
	}
	if c.Ends == 0 && c.N == 0 && c.Noted == 0 && c.Fridge == nil && len(c.Hot) == 0 && c.Morning == 0 {
		c.V = 0
	}
}

// heldOvernight gives what is under pressure or not strained.
func (k *Kitchen) heldOvernight() []ClosingItem {
	return slices.DeleteFunc(slices.Concat(k.pressedItems(), k.batchItems()), func(x ClosingItem) bool { return x.Code == ItemUnlabelled })
}

// Overnight gives what a late word is about: after a day that was signed only what
// is under pressure and not fenced off.
func (k *Kitchen) Overnight(day string) []ClosingItem {
	list := k.heldOvernight()
	if last := k.Closing.Last; last != nil && !last.Shift && last.Day == day {
		list = slices.DeleteFunc(list, func(x ClosingItem) bool { return !x.Pressed() })
	}
	return list
}

// ringEnds tells the closer and the managers that the day ended with something open.
func (s *scene) ringEnds(at Moment) {
	c := &s.Closing
	c.Before = businessDay(at.Time().In(s.zone).Add(-time.Minute))
	c.Ends = dayEnds(s.now.Time().In(s.zone))
	s.logRing(nil, "day ended", "day", c.Before)
	items := s.Overnight(c.Before)
	if len(items) == 0 {
		return
	}
	if c.Morning == 0 {
		c.Morning = s.morningBefore()
	}
	e := s.noteNext(LateCall, at)
	e.Urgent = true
	s.directly(e, s.lateTo(items))
}

// morningBefore gives the next morning, of the business day that began.
func (s *scene) morningBefore() Moment {
	now := s.now.Time().In(s.zone)
	at := morningOf(now)
	if !at.After(now) {
		at = morningOf(now.AddDate(0, 0, 1))
	}
	return At(at)
}

// lateTo gives who hears that a day ended unsigned: who asked for its list, else who
// owns what is open, and the managers. Who is off shift does not, but for these.
func (s *scene) lateTo(items []ClosingItem) []Person {
	var people []Person
	add := func(p Person) {
		if p.ID != "" && !s.away(p, s.now) && !has(people, p.ID) {
			people = append(people, p)
		}
	}
	if l := s.Closing.List; l != nil {
		add(l.By)
	}
	for _, x := range items {
		add(x.Who)
	}
	managers := s.Head.Team.Managers
	for _, m := range managers[:min(len(managers), directAtMost)] {
		add(m)
	}
	return people
}

// closingChores gives what the end of a day waits for.
func (k *Kitchen) closingChores() []chore {
	c := &k.Closing
	list := []chore{{c.Ends, (*scene).ringEnds}, {c.Morning, (*scene).ringMorning}}
	for _, x := range c.Hot {
		list = append(list, chore{x.CallAt, func(s *scene, _ Moment) { s.ringCooling(x.Batch) }})
	}
	return list
}
