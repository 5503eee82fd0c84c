package kitchen

import (
	"slices"
	"time"

	"ventbell/internal/keeping"
	"ventbell/internal/request"
)

// Safety is the answer to something wrong, with a vessel (request.Trouble) or
// with somebody or the house (request.Emergency): Wrong says what.
const Safety AnswerKind = "safety"

// Aid is whom to call and where first aid is to be had.
type Aid struct {
	Numbers []string `cbor:"n"`           // one, or several where the country is not known
	House   string   `cbor:"h,omitempty"` // the house's own line
}

// Alarm is something wrong that the team was told of.
type Alarm struct {
	N      uint16       `cbor:"n"` // the Turn of its AlarmCall
	Kind   request.Kind `cbor:"k"`
	Batch  uint32       `cbor:"b,omitempty"` // 0 = none, or none known
	Vessel string       `cbor:"a,omitempty"`
	By     Person       `cbor:"w"`
	At     Moment       `cbor:"m"`
	// Numbers are those to call when somebody is hurt or it burns.
	Numbers []string `cbor:"u,omitempty"`
}

const (
	// alarmsAtMost is how many alarms are remembered, the latest.
	alarmsAtMost = 8
	// troubleAgain and emergencyAgain are how soon the same alarm is no new one:
	// one message for what several people shout at once (our choice).
	troubleAgain   = 10 * time.Minute
	emergencyAgain = time.Minute
)

// The emergency numbers, where a house has entered none of its own.
//   - 112 is the European number: Directive (EU) 2018/1972, article 109; the
//     states of the EEA have it too (from memory).
//   - 911 is the universal number in the United States: 47 USC 251(e)(3); Canada
//     has the same (both from memory).
//   - 999 is the number in the United Kingdom, beside 112 (from memory).
var numbers = map[keeping.Region]string{keeping.Europe: "112", keeping.UnitedStates: "911", keeping.UnitedKingdom: "999"}

// aid gives whom to call. Where nothing is known of the country two numbers are
// given, which mobile networks the world over take (from memory).
func (s *scene) aid() *Aid {
	h := s.book.House
	a := &Aid{House: h.FirstAid}
	place, _ := keeping.Where(h.Country)
	number, known := numbers[place.Region]
	switch {
	case h.Emergency != "":
		number = h.Emergency
	case h.Country == "CA":
		number = "911"
	case !known:
		a.Numbers = []string{"112", "911"}
		return a
	}
	a.Numbers = []string{number}
	return a
}

// emergency answers that somebody is hurt or that it burns: whom to call comes
// first, then what is under pressure. The managers are called.
func (s *scene) emergency() Answer {
	a := Answer{
		Kind: Safety, Verb: request.Emergency, Wrong: s.req.Kind, Vessel: s.req.Vessel, Who: s.cmd.By, At: s.now,
		Aid: s.aid(), Private: true,
	}
	for _, b := range s.Open() {
		if b.Gas() > 0 {
			a.Batches = append(a.Batches, b.ID)
		}
	}
	b := s.holder()
	if b != nil {
		a.Batch, a.Title = b.ID, b.Title
	}
	s.log(b, "emergency", "kind", string(s.req.Kind))
	s.alarm(b, emergencyAgain)
	return a
}

// holder gives the batch in the vessel that a line names.
func (s *scene) holder() *Batch {
	if s.req.Vessel == "" {
		return nil
	}
	_, b := s.Look(s.req.Vessel)
	return b
}

// concerned gives the batch that trouble is about: the one in the vessel that is
// named; without a name the only one under pressure, else the speaker's only one.
func (s *scene) concerned() *Batch {
	if s.req.Vessel != "" {
		return s.holder()
	}
	list := keepOnly(s.Open(), (*Batch).pressed)
	if len(list) == 0 {
		list = keepOnly(s.Mine(s.cmd.By), (*Batch).holdsVessel)
	}
	if len(list) == 1 {
		return list[0]
	}
	return nil
}

// wrong answers trouble with a vessel. The vessel is marked in the log; its
// batch, its gas and its calls stay as they are.
func (s *scene) wrong() Answer {
	a := Answer{
		Kind: Safety, Verb: request.Trouble, Wrong: s.req.Kind, Vessel: s.req.Vessel, Who: s.cmd.By, At: s.now, Private: true,
	}
	b := s.concerned()
	for _, x := range s.Open() {
		if x.Gas() > 0 && b == nil {
			a.Batches = append(a.Batches, x.ID)
			if len(a.Choices) < offersAtMost {
				a.Choices = append(a.Choices, s.choice(x, ChooseWhich, request.Trouble, ""))
			}
		}
	}
	details := []string{"kind", string(s.req.Kind)}
	if s.req.Rest > 0 {
		details = append(details, "rested", s.req.Rest.String())
	}
	stepOn := s.tap.With == TapCold || s.tap.With == TapStill // of a block that the team knows of
	if b == nil {
		s.log(nil, "trouble", append(details, "vessel", s.req.Vessel)...)
	} else {
		a.Batch, a.Vessel, a.Title, a.Phase, a.N, a.Of = b.ID, b.Vessel, b.Title, b.Phase, b.Gas(), b.Chargers
		s.log(b, "trouble", details...)
		if b.Gas() == 0 && b.Emptied != nil && b.holdsVessel() && pressing(s.req.Kind) {
			a.Choices = []Choice{s.choice(b, ChooseStillGas, request.GasIn, "again")}
		}
	}
	if pressing(s.req.Kind) && (a.Vessel != "" || len(a.Batches) > 0) && !stepOn {
		s.alarm(b, troubleAgain)
	}
	if s.req.Kind == request.Blocked && a.Vessel != "" {
		s.blocked(b, a.Vessel)
	}
	return a
}

// pressing says that trouble of a kind tells of gas that is still in.
func pressing(kind request.Kind) bool {
	switch kind {
	case request.Blocked, request.Leaking, request.Hissing, request.Stuck:
		return true
	}
	return false
}

// alarm tells the team of what is wrong, once for what is said again soon.
func (s *scene) alarm(b *Batch, soon time.Duration) {
	x := Alarm{Kind: s.req.Kind, Vessel: s.req.Vessel, By: s.cmd.By, At: s.now}
	if s.req.Verb == request.Emergency {
		x.Numbers = s.aid().Numbers
	}
	if b != nil {
		x.Batch, x.Vessel = b.ID, b.Vessel
	}
	if slices.ContainsFunc(s.Head.Alarms, func(y Alarm) bool {
		return y.Kind == x.Kind && y.Vessel == x.Vessel && s.now.Sub(y.At) < soon
	}) {
		return
	}
	s.Head.LastAlarm++
	x.N = s.Head.LastAlarm
	list := append(slices.Clone(s.Head.Alarms), x)
	s.Head.Alarms = list[max(0, len(list)-alarmsAtMost):]
	e := Entry{
		Key: Key(x.Batch, AlarmCall, x.N, 0), Lane: s.Head.Team.Channel, Kind: AlarmCall, Batch: x.Batch,
		Turn: x.N, Due: s.now.Time(), Urgent: true,
	}
	s.queueFor(e, s.Called(x))
}

// Called gives who is called for an alarm: the owner of its batch, then the
// managers.
func (k *Kitchen) Called(x Alarm) []Person {
	var people []Person
	if b := k.Batches[x.Batch]; b != nil {
		people = k.Circle(b, 0)
	}
	for _, m := range k.Head.Team.Managers[:min(len(k.Head.Team.Managers), directAtMost)] {
		if !slices.ContainsFunc(people, func(p Person) bool { return p.ID == m.ID }) {
			people = append(people, m)
		}
	}
	return people
}
