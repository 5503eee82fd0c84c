package kitchen

import (
	"slices"
	"time"
)

// The widths of a circle, each with all before it.
const (
	ownerWide    uint8 = iota + 1
	standInWide        // and who is called in the owner's place
	handsWide          // and everybody on shift
	managersWide       // and the managers, on shift or not
)

// ring is one step of a circle: who joins it there.
type ring struct {
	wide   uint8
	people []Person
}

// rings gives who joins a circle, step by step; steps that bring nobody are left
// out, so that each grows. Nobody is in it who is off shift, but for the managers,
// nor anybody who would rather not, unless nobody else is there.
func (k *Kitchen) rings(b *Batch, now Moment) []ring {
	without := func(declined []string) (list []ring) {
		var in []Person
		join := func(wide uint8, people ...Person) {
			r := ring{wide: wide}
			for _, p := range people {
				if p.ID != "" && !has(in, p.ID) && !slices.Contains(declined, p.ID) && !k.away(p, now) {
					r.people = append(r.people, p)
					in = append(in, p)
				}
			}
			if len(r.people) > 0 {
				list = append(list, r)
			}
		}
		hands := slices.DeleteFunc(k.hands(now), func(p Person) bool {
			return p.ID == b.Owner.ID || slices.Contains(declined, p.ID)
		})
		join(ownerWide, b.Owner)
		join(standInWide, hands[:min(len(hands), 1)]...)
		join(handsWide, hands...)
		join(managersWide, k.Head.Team.Managers...)
		return list
	}
	if list := without(b.Declined); len(list) > 0 {
		return list
	}
	return without(nil)
}

// Circle gives who is called for a batch at the given rung: the owner, then the
// stand-in (who did something last besides), then everybody on shift, then the
// managers as well. Each second call reaches more people until it reaches all; a
// call that was made stays as wide as it was. It is empty only when nobody is on
// shift and the team names no manager.
func (k *Kitchen) Circle(b *Batch, rung uint8) []Person { return k.circle(b, rung, k.Head.Last) }

// CircleOf gives the same for what somebody has and is no batch.
func (k *Kitchen) CircleOf(owner Person, rung uint8) []Person {
	return k.Circle(&Batch{Moving: Moving{Owner: owner}}, rung)
}

func (k *Kitchen) circle(b *Batch, rung uint8, now Moment) (people []Person) {
	list := k.rings(b, now)
	if len(list) == 0 {
		return nil
	}
	wide := list[min(int(rung), len(list)-1)].wide
	if latest := int(rung) + 1; b.Wide > 0 && (latest == int(b.Rung) || latest == int(b.ContactRung)) {
		wide = max(b.Wide, list[0].wide)
	}
	for _, r := range list {
		if r.wide <= wide {
			people = append(people, r.people...)
		}
	}
	return people
}

// widen notes how wide the circle of a call is that is made now. One that
// repeats an unanswered call is wider, as long as anybody is left.
func (s *scene) widen(b *Batch, rung uint8) {
	if b.Rung == 0 && (b.ContactRung == 0 || b.ContactAt == 0) {
		b.Wide, b.Paged = 0, 0
	}
	list := s.rings(b, s.now)
	if len(list) == 0 {
		return
	}
	wide := max(list[min(int(rung), len(list)-1)].wide, wider(list, b.Wide))
	if b.Wide == 0 {
		wide = list[min(int(rung), len(list)-1)].wide
	}
	b.Wide = max(b.Wide, wide)
	if len(s.Head.Team.Pages) > 0 && b.Paged == 0 && rung >= pageFrom && b.Wide >= list[len(list)-1].wide {
		b.Paged = rung + 1
	}
}

// wider gives the next width that brings somebody; the widest when none is left.
func wider(list []ring, than uint8) uint8 {
	for _, r := range list {
		if r.wide > than {
			return r.wide
		}
	}
	return list[len(list)-1].wide
}

// pageFrom is the first rung at which a call may page the whole channel: an
// owner and a stand-in were called before.
const pageFrom = 2

// Page says whom in the channel a call pages beside those that it names.
type Page string

// What a house may turn on.
const (
	PageNobody Page = ""
	// PagePressurised pages everybody of the channel for a vessel under pressure.
	PagePressurised Page = "pressurised"
	// PageFood pages who is active there for food past its time.
	PageFood Page = "food"
)

// Pages says whom a call pages at its rung: only the one at which the managers
// join, only where the installer turned it on.
func (k *Kitchen) Pages(b *Batch, kind EntryKind, rung uint8) Page {
	page := PageNobody
	switch {
	case b.Paged == 0 || rung+1 != b.Paged:
	case b.Gas() > 0 && (kind == VentCall || kind == ContactCall || kind == ChargeCall):
		page = PagePressurised
	case b.Gas() == 0 && kind == ContactCall:
		page = PageFood
	}
	if !slices.Contains(k.Head.Team.Pages, page) {
		return PageNobody
	}
	return page
}

// first gives who is called first for a batch; false when nobody is there.
func (k *Kitchen) first(b *Batch, now Moment) (Person, bool) {
	list := k.rings(b, now)
	if len(list) == 0 {
		return Person{}, false
	}
	return list[0].people[0], true
}

// decline notes that the speaker will not vent a vessel. Nobody asks why. The
// batch stays with its owner until somebody takes it; the call goes to the next
// of its circle at once.
func (s *scene) decline(b *Batch) Answer {
	if b.Gas() == 0 {
		return s.refuse(b, RefuseNoVent)
	}
	called := b.Waits() == VentCall && b.Rung > 0
	if !slices.Contains(b.Declined, s.cmd.By.ID) {
		asked := called && has(s.circle(b, b.Rung-1, s.now), s.cmd.By.ID)
		b.Declined = append(slices.Clone(b.Declined), s.cmd.By.ID)
		s.log(b, "declined")
		if asked {
			s.callNext(b)
		}
		s.post(b, Slip)
	}
	rung := uint8(0)
	if called {
		rung = b.Rung - 1
	}
	a := s.did(b)
	a.Quiet, a.Crew = false, &CrewPage{}
	for _, p := range s.circle(b, rung, s.now) {
		if p.ID != s.cmd.By.ID {
			a.Crew.Called = append(a.Crew.Called, p)
		}
	}
	return a
}

// callNext makes the next vent call at once, to the next of its circle, and the
// one after it no later than usual.
func (s *scene) callNext(b *Batch) {
	at := b.CallAt
	b.CallAt = s.now
	rung := min(b.Rung, lastRung)
	if rung == lastRung {
		b.Turn++
	}
	s.call(b, VentCall, rung, s.now)
	b.Wide = max(b.Wide, wider(s.rings(b, s.now), b.Wide))
	b.Rung = rung + 1
	b.CallAt = max(min(at, s.now.Add(b.steps(VentCall)[0])), s.now.Add(time.Second))
	s.rang(b, VentCall, rung, s.now)
}
