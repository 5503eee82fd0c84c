package kitchen

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"ventbell/internal/request"
)

// Crew is what a kitchen knows of its people beside who said that they are on
// shift: who went, who may charge, who stands at a shared tablet; and which calls
// were made together.
type Crew struct {
	V int `cbor:"v"`
	// Off is who said that they go and took nothing on since, the latest last.
	Off []Duty `cbor:"o,omitempty"`
	// Named is when somebody was first named who may charge; Trained are those who
	// may. Before that nobody is limited.
	Named   *Mark    `cbor:"n,omitempty"`
	Trained []Person `cbor:"t,omitempty"`
	Tablets []Signed `cbor:"i,omitempty"`
	// Joint are the calls that were made together, the latest last, and LastJoint
	// is the number of the last.
	Joint     []Joint `cbor:"j,omitempty"`
	LastJoint uint16  `cbor:"k,omitempty"`
}

// Signed says who stands at a shared tablet.
type Signed struct {
	ID    string `cbor:"i"`           // of the tablet's account
	Text  string `cbor:"t,omitempty"` // the initials; empty = nobody gave any
	Since Moment `cbor:"s"`           // when they were given, or asked for
}

// CrewPage is what an answer tells of the crew.
type CrewPage struct {
	On       []Duty   `cbor:"o,omitempty"` // who counts as on shift; Since only where they said so
	ByWord   bool     `cbor:"w,omitempty"` // they said so; else they did something lately
	Managers []Person `cbor:"m,omitempty"`
	Named    bool     `cbor:"n,omitempty"` // somebody was named who may charge
	// Trained are those who may charge: of a start or a charge by somebody who may
	// not, those that are on shift.
	Trained []Person `cbor:"t,omitempty"`
	// Unsigned asks a shared tablet for the initials of who stands at it.
	Unsigned bool     `cbor:"u,omitempty"`
	Called   []Person `cbor:"c,omitempty"` // who was called instead
}

// The refusals about people.
const (
	RefuseNoTablet Code = "no tablet" // initials are for shared tablets
	RefuseInitials Code = "initials"  // initials are one to four letters
	RefuseNoVent   Code = "no vent"   // Vessel has nothing to vent
)

// trainedAtMost is how many people are kept that may charge.
const trainedAtMost = 40

// MayCharge says that somebody may charge vessels: was named as trained, or
// nobody ever was.
func (k *Kitchen) MayCharge(p Person) bool {
	return k.Crew.Named == nil || has(k.Crew.Trained, p.ID)
}

// Away says that somebody is off shift, and neither to be mentioned nor written
// to: who said so, whose shift is over, and who never said anything while
// somebody else did and has nothing open. Managers never are.
func (k *Kitchen) Away(p Person, now time.Time) bool { return k.away(p, At(now)) }

func (k *Kitchen) away(p Person, now Moment) bool {
	return !k.Head.Team.Manages(p) && k.offShift(p, now)
}

// offShift says the same of anybody, manager or not.
func (k *Kitchen) offShift(p Person, now Moment) bool {
	if onDuty(k.Crew.Off, p.ID) >= 0 {
		return true
	}
	if i := onDuty(k.Head.Shift, p.ID); i >= 0 {
		return now.Sub(k.Head.Shift[i].Since) >= dutyFor
	}
	return len(k.OnShift(now.Time())) > 0 && !k.owns(p)
}

// owns says that somebody has something open.
func (k *Kitchen) owns(p Person) bool {
	for _, b := range k.Batches {
		if b.Owner.ID == p.ID && !b.over() {
			return true
		}
	}
	return slices.ContainsFunc(k.Creams(), func(c Cream) bool { return c.By.ID == p.ID && c.Emptied == nil })
}

// Hands gives who counts as on shift, who did something last first: those who
// said so and the owners of what is open; where nobody said so, everybody who did
// something lately and did not go.
func (k *Kitchen) Hands(now time.Time) []Person { return k.hands(At(now)) }

func (k *Kitchen) hands(now Moment) []Person {
	people := slices.Clone(k.Head.People)
	for _, d := range slices.Backward(k.Head.Shift) {
		people = append(people, d.Person)
	}
	for _, b := range k.Open() {
		people = append(people, b.Owner)
	}
	var on []Person
	for _, p := range people {
		if p.ID != "" && !has(on, p.ID) && !k.offShift(p, now) {
			on = append(on, p)
		}
	}
	return on
}

// trainedOn gives those on shift who may charge; without any all who may and are
// not away.
func (k *Kitchen) trainedOn(now Moment) []Person {
	may := func(p Person) bool { return !k.MayCharge(p) || k.away(p, now) }
	people := slices.DeleteFunc(k.hands(now), may)
	if len(people) == 0 {
		people = slices.DeleteFunc(slices.Clone(k.Crew.Trained), may)
	}
	return people
}

// comes notes that somebody took something on: whoever does is there, whatever
// they said before.
func (s *scene) comes(p Person) {
	s.back(p)
	if i := onDuty(s.Head.Shift, p.ID); i >= 0 && s.now.Sub(s.Head.Shift[i].Since) >= dutyFor {
		list := slices.Clone(s.Head.Shift)
		list[i].Since = s.now
		s.Head.Shift = list
	}
}

// goes notes that somebody said that they go, and back that they did not or are
// here again.
func (s *scene) goes(p Person) {
	s.back(p)
	s.crew(func(c *Crew) {
		c.Off = append(c.Off, Duty{Person: p, Since: s.done})
		c.Off = c.Off[max(0, len(c.Off)-dutyAtMost):]
		c.Tablets = slices.DeleteFunc(slices.Clone(c.Tablets), func(x Signed) bool { return x.ID == p.ID })
	})
}

func (s *scene) back(p Person) {
	if onDuty(s.Crew.Off, p.ID) >= 0 {
		s.crew(func(c *Crew) {
			c.Off = slices.DeleteFunc(c.Off, func(d Duty) bool { return d.ID == p.ID })
		})
	}
}

// crew changes what is known of the crew.
func (s *scene) crew(change func(*Crew)) {
	c := s.Crew
	c.V, c.Off = version, slices.Clone(c.Off)
	change(&c)
	s.Crew = c
}

// trained notes that a manager names somebody who may charge, or no longer may.
func (s *scene) trained() Answer {
	p, known := s.somebody(s.req.Person, s.cmd.By)
	if !known {
		return Answer{Kind: Refuse, Code: RefuseNobody, Verb: s.req.Verb, Title: s.req.Person, Private: true}
	}
	may := s.req.Verb == request.Trained
	a := Answer{Kind: Done, Verb: s.req.Verb, Who: p, At: s.done, Private: true}
	if s.Crew.Named != nil && has(s.Crew.Trained, p.ID) == may {
		return a
	}
	s.crew(func(c *Crew) {
		if c.Named == nil {
			m := s.mark()
			c.Named = &m
		}
		c.Trained = slices.DeleteFunc(slices.Clone(c.Trained), func(q Person) bool { return q.ID == p.ID })
		if may {
			c.Trained = append(c.Trained, p)
		}
		c.Trained = c.Trained[max(0, len(c.Trained)-trainedAtMost):]
	})
	s.log(nil, string(s.req.Verb), "person", p.ID, "name", p.Name)
	return a
}

// dismiss takes somebody out of whom the crew may turn to.
func (s *scene) dismiss(p Person) {
	if s.Crew.V == 0 {
		return
	}
	s.crew(func(c *Crew) {
		c.Off = slices.DeleteFunc(c.Off, func(d Duty) bool { return d.ID == p.ID })
		c.Trained = slices.DeleteFunc(slices.Clone(c.Trained), func(q Person) bool { return q.ID == p.ID })
		c.Tablets = slices.DeleteFunc(slices.Clone(c.Tablets), func(x Signed) bool { return x.ID == p.ID })
	})
}

// initials notes who stands at a shared tablet for this shift.
func (s *scene) initials() Answer {
	text := strings.ToUpper(s.req.Text)
	letters := []rune(text)
	switch {
	case !slices.Contains(s.Head.Team.Tablets, s.cmd.By.ID):
		return Answer{Kind: Refuse, Code: RefuseNoTablet, Verb: s.req.Verb, Private: true}
	case len(letters) == 0 || len(letters) > 4:
		return Answer{Kind: Refuse, Code: RefuseInitials, Verb: s.req.Verb, Private: true}
	}
	s.initialled(Signed{ID: s.cmd.By.ID, Text: text, Since: s.now})
	s.cmd.By.Name = s.Signer(Person{ID: s.cmd.By.ID, Name: tabletName(s.cmd.By.Name)}, s.now.Time()).Name
	s.comes(s.cmd.By)
	s.log(nil, "initials", "text", text)
	return Answer{Kind: Done, Verb: s.req.Verb, Who: s.cmd.By, Line: text, At: s.now, Private: true}
}

func (s *scene) initialled(x Signed) {
	s.crew(func(c *Crew) {
		list := slices.DeleteFunc(slices.Clone(c.Tablets), func(y Signed) bool { return y.ID == x.ID })
		c.Tablets = append(list, x)
	})
}

// Signer gives the person who speaks from an account: at a shared tablet with the
// initials of this shift.
func (k *Kitchen) Signer(p Person, now time.Time) Person {
	if x, ok := k.signed(p.ID); ok && x.Text != "" && At(now).Sub(x.Since) < dutyFor {
		p.Name += " (" + x.Text + ")"
	}
	return p
}

// tabletName gives a tablet's own name.
func tabletName(name string) string {
	name, _, _ = strings.Cut(name, " (")
	return name
}

func (k *Kitchen) signed(id string) (Signed, bool) {
	if !slices.Contains(k.Head.Team.Tablets, id) {
		return Signed{}, false
	}
	i := slices.IndexFunc(k.Crew.Tablets, func(x Signed) bool { return x.ID == id })
	if i < 0 {
		return Signed{ID: id}, true
	}
	return k.Crew.Tablets[i], true
}

// crewed adds to an answer what the crew is to know about whoever did it: that
// somebody trained has to charge, that a tablet has no initials. Nothing waits
// for it, and no fact is refused for it.
func (s *scene) crewed(a Answer) Answer {
	a = s.untrained(a)
	x, tablet := s.signed(s.cmd.By.ID)
	if tablet && len(s.ch.Log) > 0 && s.now.Sub(x.Since) >= dutyFor {
		s.initialled(Signed{ID: x.ID, Since: s.now})
		a.Crew = cmp.Or(a.Crew, &CrewPage{})
		a.Crew.Unsigned, a.Quiet = true, false
	}
	return a
}

// untrained has somebody trained take over what was charged by one who is not.
// The gas is counted all the same.
func (s *scene) untrained(a Answer) Answer {
	if s.MayCharge(s.cmd.By) {
		return a
	}
	page := &CrewPage{Named: true, Trained: slices.DeleteFunc(s.trainedOn(s.now), func(p Person) bool { return p.ID == s.cmd.By.ID })}
	for _, line := range s.ch.Log {
		b := s.Batches[line.Batch]
		if b != nil && line.By.ID == s.cmd.By.ID && slices.Contains(gasEvents, line.Event) {
			s.askTrained(b)
			a.Crew, a.Quiet = page, false
			return a
		}
	}
	if a.Kind == Done && a.Verb == request.Start && len(a.Batches) > 0 {
		a.Crew = page
		if b := s.Batches[a.Batches[0]]; b != nil {
			c := s.choice(b, ChooseOffer, request.Offer, "")
			c.Tap.Line = request.Request{Verb: request.Offer, Vessel: b.Vessel}.String()
			a.Choices = append(a.Choices, c)
		}
	}
	return a
}

// gasEvents are the log lines of gas that somebody let in.
var gasEvents = []string{"charged", "charger told", "stopped", "gas went in"}

// askTrained asks for somebody trained to take a batch over, once.
func (s *scene) askTrained(b *Batch) {
	if b.Offered != nil && b.Skilled || b.Gas() == 0 && b.Told == nil {
		return
	}
	m := s.mark()
	b.Offered, b.Skilled = &m, true
	b.Offers++
	s.log(b, "trained asked for")
	s.post(b, OfferCall)
}

// onNow tells who is on shift.
func (s *scene) onNow() *CrewPage {
	page := &CrewPage{
		ByWord: len(s.OnShift(s.now.Time())) > 0, Managers: s.Head.Team.Managers,
		Named: s.Crew.Named != nil, Trained: slices.Clone(s.Crew.Trained),
	}
	for _, p := range s.hands(s.now) {
		d := Duty{Person: p}
		if i := onDuty(s.Head.Shift, p.ID); i >= 0 {
			d.Since = s.Head.Shift[i].Since
		}
		page.On = append(page.On, d)
	}
	return page
}

func has(people []Person, id string) bool {
	return slices.ContainsFunc(people, func(p Person) bool { return p.ID == id })
}

// onDuty gives where somebody stands in a list of duties; -1 = nowhere.
func onDuty(list []Duty, id string) int {
	return slices.IndexFunc(list, func(d Duty) bool { return d.ID == id })
}
