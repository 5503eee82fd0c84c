package kitchen

import (
	"time"

	"ventbell/internal/book"
	"ventbell/internal/request"
)

// Registered is the answer that shows the vessels, or one of them: Register.
const Registered AnswerKind = "register"

// CheckEvery is how often gasket and valve are looked at where a vessel's entry
// says nothing: weekly, common practice, no source.
const CheckEvery = 7 * 24 * time.Hour

// Why a vessel may not be used, whatever is in it.
const (
	RefuseBlocked   Code = "blocked"   // Who said At that it does not vent
	RefuseWithdrawn Code = "withdrawn" // Who took it out of use At, Line says why
	RefusePlastic   Code = "plastic"   // its head is of plastic
	RefuseUnchecked Code = "unchecked" // gasket and valve were not looked at for twice the interval
)

// RefuseNotWithdrawn: Vessel was never taken out of use.
const RefuseNotWithdrawn Code = "not withdrawn"

// Withdrawal is that a vessel was taken out of use.
type Withdrawal struct {
	Mark
	Why string `cbor:"y,omitempty"`
}

// RegisterPage is what the register tells: every vessel of the book in its
// order, or the one that was asked for.
type RegisterPage struct {
	Vessels []RegisterLine `cbor:"v,omitempty"`
	Whole   bool           `cbor:"w,omitempty"` // one vessel's own page
}

// RegisterLine is what the register knows of one vessel.
type RegisterLine struct {
	Vessel book.Vessel `cbor:"v"`
	State  VesselState `cbor:"s"`
	Batch  uint32      `cbor:"b,omitempty"` // that holds it
	Record Vessel      `cbor:"r"`
	// CheckBy is when its gasket and valve are to be looked at; 0 = it was never
	// used here, and nothing counts yet.
	CheckBy Moment `cbor:"c,omitempty"`
	// Why says why it may not be used; empty = it may.
	Why Code `cbor:"y,omitempty"`
}

// Look gives the state of the vessel with this tag and the batch that holds
// it; nil if none does.
func (k *Kitchen) Look(tag string) (VesselState, *Batch) {
	record := k.Vessels[tag]
	b := k.heldBy(tag)
	switch {
	case record.Blocked != nil:
		return VesselBlocked, b
	case b != nil && b.Gas() > 0:
		return VesselPressurised, b
	case b != nil && (b.Phase == Loading || b.Phase == Charging):
		return VesselLoaded, b
	case b != nil:
		return VesselOpen, b
	case k.CreamIn(tag) != nil:
		return VesselPressurised, nil
	case record.Withdrawn != nil:
		return VesselWithdrawn, nil
	case record.Dirty != 0:
		return VesselDirty, nil
	}
	return VesselFree, nil
}

// heldBy gives the batch whose solids or gas are in a vessel; nil if none are.
func (k *Kitchen) heldBy(tag string) *Batch {
	for _, b := range k.Open() {
		if b.Vessel == tag && b.holdsVessel() {
			return b
		}
	}
	return nil
}

// free gives the vessels of the book that may be used now, in its order.
func (k *Kitchen) free(b *book.Book, now Moment) []book.Vessel {
	var list []book.Vessel
	for _, v := range b.Vessels {
		state, _ := k.Look(v.Tag)
		if usable, _ := k.Usable(v, now); usable && state == VesselFree {
			list = append(list, v)
		}
	}
	return list
}

// Usable says whether a vessel may be used at all, whatever is in it now, and
// why it may not.
func (k *Kitchen) Usable(v book.Vessel, now Moment) (ok bool, why Code) {
	r := k.Vessels[v.Tag]
	by := k.checkBy(v)
	switch {
	case r.Blocked != nil:
		return false, RefuseBlocked
	case r.Withdrawn != nil:
		return false, RefuseWithdrawn
	case v.Head == book.PlasticHead:
		return false, RefusePlastic
	case by != 0 && now >= by.Add(checkEvery(v)):
		return false, RefuseUnchecked
	}
	return true, ""
}

// checkEvery gives how often a vessel's gasket and valve are looked at.
func checkEvery(v book.Vessel) time.Duration {
	if v.CheckEvery > 0 {
		return time.Duration(v.CheckEvery) * 24 * time.Hour
	}
	return CheckEvery
}

// checkBy gives when a vessel's gasket and valve are to be looked at; 0 = it was
// never used here.
func (k *Kitchen) checkBy(v book.Vessel) Moment {
	r := k.Vessels[v.Tag]
	from := r.Since
	if r.Checked != nil {
		from = r.Checked.Done
	}
	if from == 0 {
		return 0
	}
	return from.Add(checkEvery(v))
}

// record changes what is kept of a vessel; nothing is kept of one that there is
// nothing to say about.
func (k *Kitchen) record(tag string, change func(*Vessel)) {
	r := k.Vessels[tag]
	change(&r)
	r.V = version
	if r.Dirty == 0 {
		r.By, r.Title = Person{}, ""
	}
	if len(r.Traces) == 0 {
		r.Left, r.Plain = "", nil
	}
	if r.empty() {
		delete(k.Vessels, tag)
		return
	}
	k.Vessels[tag] = r
}

// empty says that a record has nothing to say.
func (r Vessel) empty() bool {
	return r.Dirty == 0 && r.Withdrawn == nil && r.Checked == nil && r.Since == 0 && r.Blocked == nil && len(r.Traces) == 0
}

// vessel gives a vessel of the book by its tag; of one that the book has no more,
// the tag alone.
func (s *scene) vessel(tag string) (book.Vessel, bool) {
	v, known := s.book.Vessel(tag)
	v.Tag = tag
	return v, known
}

// registered shows the register.
func (s *scene) registered() Answer {
	a := Answer{Kind: Registered, Verb: request.Asks, Topic: request.Register, Vessel: s.req.Vessel, At: s.now, Private: true}
	a.Register = &RegisterPage{Whole: s.req.Vessel != ""}
	for _, v := range s.book.Vessels {
		if s.req.Vessel == "" || v.Tag == s.req.Vessel {
			a.Register.Vessels = append(a.Register.Vessels, s.registerLine(v))
		}
	}
	return a
}

func (s *scene) registerLine(v book.Vessel) RegisterLine {
	state, b := s.Look(v.Tag)
	line := RegisterLine{Vessel: v, State: state, Record: s.Vessels[v.Tag], CheckBy: s.checkBy(v)}
	line.Vessel.From, line.Vessel.FileLine = nil, 0
	_, line.Why = s.Usable(v, s.now)
	if b != nil {
		line.Batch = b.ID
	}
	return line
}

// note logs what was done to a vessel, with the batch in it, if there is one.
func (s *scene) note(b *Batch, event, tag string, details ...string) {
	if b == nil || b.Vessel != tag {
		b, details = nil, append([]string{"vessel", tag}, details...)
	}
	s.log(b, event, details...)
}

// aboutVessel is an answer about a vessel, with what is in it.
func (s *scene) aboutVessel(kind AnswerKind, code Code, tag string) Answer {
	a := Answer{Kind: kind, Code: code, Verb: s.req.Verb, Vessel: tag, Who: s.cmd.By, At: s.done, Said: s.lateSaid(), Private: true}
	if b := s.heldBy(tag); b != nil {
		a.Batch, a.Title, a.Phase, a.N, a.Of = b.ID, b.Title, b.Phase, b.Gas(), b.Chargers
	}
	return a
}

// unusable refuses a vessel that may not be used, whatever is in it.
func (s *scene) unusable(tag string) (Answer, bool) {
	v, _ := s.vessel(tag)
	usable, why := s.Usable(v, s.now)
	if usable {
		return Answer{}, false
	}
	a, r := s.aboutVessel(Refuse, why, tag), s.Vessels[tag]
	a.Said = 0
	switch why {
	case RefuseBlocked:
		a.Who, a.At = r.Blocked.Since.By, r.Blocked.Since.Done
	case RefuseWithdrawn:
		a.Who, a.At, a.Line = r.Withdrawn.By, r.Withdrawn.Done, r.Withdrawn.Why
	case RefuseUnchecked:
		a.At = s.checkBy(v)
	}
	return a, true
}

// withdraw takes a vessel out of use. What is under pressure in it keeps its
// calls. Said again, it adds the reason.
func (s *scene) withdraw() Answer {
	tag := s.req.Vessel
	old, why := s.Vessels[tag].Withdrawn, cutTo(s.req.Text, reasonAtMost)
	if old != nil && (why == "" || why == old.Why) {
		a := s.aboutVessel(Already, "", tag)
		a.Who, a.At = old.By, old.Done
		return a
	}
	s.record(tag, func(r *Vessel) { r.Withdrawn = &Withdrawal{Mark: s.mark(), Why: why} })
	b := s.heldBy(tag)
	s.note(b, "withdrawn", tag, "why", why)
	if b != nil {
		s.post(b, Slip)
	}
	a := s.aboutVessel(Done, "", tag)
	a.Line = why
	return a
}

// reasonAtMost is how many characters of a reason are kept.
const reasonAtMost = 120

// returned takes a vessel back into use, which a manager says. It frees none that
// is blocked.
func (s *scene) returned() Answer {
	tag := s.req.Vessel
	old := s.Vessels[tag].Withdrawn
	if old == nil {
		return s.aboutVessel(Refuse, RefuseNotWithdrawn, tag)
	}
	s.record(tag, func(r *Vessel) { r.Withdrawn = nil })
	s.note(s.heldBy(tag), "returned", tag, "why", s.req.Text, "withdrawn for", old.Why)
	a := s.aboutVessel(Done, "", tag)
	a.Line = old.Why
	return a
}

// checked notes that gasket and valve of a vessel were looked at, which nobody
// can while it is under pressure.
func (s *scene) checked() Answer {
	tag := s.req.Vessel
	switch b := s.heldBy(tag); {
	case s.Vessels[tag].Blocked != nil:
		a, _ := s.unusable(tag)
		return a
	case b != nil && b.Gas() > 0:
		return s.refuse(b, RefusePressured)
	}
	m := s.mark()
	s.record(tag, func(r *Vessel) { r.Checked, r.Since = &m, 0 })
	s.note(s.heldBy(tag), "checked", tag)
	v, _ := s.book.Vessel(tag)
	a := s.aboutVessel(Done, "", tag)
	a.Register = &RegisterPage{Vessels: []RegisterLine{s.registerLine(v)}}
	return a
}

// used notes that a vessel is used, from when on its checks count.
func (s *scene) used(tag string) {
	if r := s.Vessels[tag]; r.Checked == nil && r.Since == 0 {
		s.record(tag, func(r *Vessel) { r.Since = s.now })
	}
}

// overdue adds a vessel to a page when its gasket and valve are to be looked at.
func (s *scene) overdue(page *RegisterPage, tag string) *RegisterPage {
	v, _ := s.vessel(tag)
	if by := s.checkBy(v); by == 0 || by > s.now {
		return page
	}
	if page == nil {
		page = &RegisterPage{}
	}
	page.Vessels = append(page.Vessels, s.registerLine(v))
	return page
}
