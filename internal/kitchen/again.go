package kitchen

import (
	"slices"
	"strings"
	"time"

	"ventbell/internal/request"
)

// Started is a start that can be asked for once more.
type Started struct {
	Title string `cbor:"t"`
	Line  string `cbor:"l"`
	At    Moment `cbor:"m"`
	By    Person `cbor:"w"`
}

const (
	// startsAtMost is how many starts are remembered, the latest.
	startsAtMost = 6
	// sameAtMost is how many of them a question offers.
	sameAtMost = 3
)

// started remembers a start as it was asked for. Which vessel it got is left
// out: another time another is free. The same by the same on one day is one.
func (h *History) started(title string, r request.Request, by Person, at time.Time) {
	r.Vessel = ""
	h.V = version
	x := Started{Title: title, Line: r.String(), At: At(at), By: by}
	list := slices.DeleteFunc(slices.Clone(h.Starts), func(y Started) bool {
		return y.Line == x.Line && y.By.ID == by.ID && businessDay(y.At.Time().In(at.Location())) == businessDay(at)
	})
	list = append(list, x)
	h.Starts = list[max(0, len(list)-startsAtMost):]
}

// sameAgain starts once more what was started before: at once where it can only
// mean one thing, else it asks, with a button for each that could be meant.
func (s *scene) sameAgain() Answer {
	list := s.sameAs()
	if len(list) == 1 && s.plainlySame(list[0]) {
		return s.answer(s.readLine(s.once(list[0])))
	}
	a := Answer{Verb: request.Again, Title: s.req.Recipe, Private: true}
	switch starts := s.History.Starts; {
	case len(list) > 0:
		a.Kind, a.Code = Ask, AskAgain
		a.Title, a.Who, a.At = list[0].Title, list[0].By, list[0].At
	case s.req.Recipe != "":
		a.Kind, a.Code = Ask, AskNever
		list = []Started{{Line: request.Request{Verb: request.Start, Recipe: s.req.Recipe}.String()}}
	case len(starts) > 0:
		a.Kind, a.Code = Ask, AskAgain
		list = starts[len(starts)-1:]
		a.Title, a.Who, a.At = list[0].Title, list[0].By, list[0].At
	default:
		a.Kind, a.Code = Refuse, RefuseNoAgain
	}
	for _, x := range list {
		a.Choices = append(a.Choices, Choice{Code: ChooseLine, Tap: Tap{Line: s.once(x)}})
	}
	return a
}

// sameAs gives the starts that can be meant, the latest first: of the recipe that
// is named its last one, of yesterday each that differs, else the last of all.
func (s *scene) sameAs() []Started {
	yesterday := businessDay(s.now.Time().In(s.zone).AddDate(0, 0, -1))
	most := 1
	if s.req.OfYesterday && s.req.Recipe == "" {
		most = sameAtMost
	}
	var list []Started
	for _, x := range slices.Backward(s.History.Starts) {
		of := s.req.Recipe == "" || strings.EqualFold(x.Title, s.req.Recipe)
		on := !s.req.OfYesterday || businessDay(x.At.Time().In(s.zone)) == yesterday
		known := slices.ContainsFunc(list, func(y Started) bool { return x.Line == y.Line })
		if of && on && !known && len(list) < most {
			list = append(list, x)
		}
	}
	return list
}

// plainlySame says that a start is meant without a doubt: its recipe was named,
// or the speaker's own was it, and it was today or on the day that was named.
func (s *scene) plainlySame(x Started) bool {
	today := businessDay(s.now.Time().In(s.zone)) == businessDay(x.At.Time().In(s.zone))
	return (s.req.Recipe != "" || x.By.ID == s.cmd.By.ID) && (today || s.req.OfYesterday)
}

// once gives the line of a start with what is asked otherwise this time.
func (s *scene) once(x Started) string {
	reading := s.readLine(x.Line)
	if reading.Request == nil {
		return x.Line // it says itself what is wrong with it
	}
	r := *reading.Request
	if s.req.Volume > 0 { // what was weighed went with the other volume
		r.Volume, r.Serves, r.Serve, r.Solids = s.req.Volume, 0, 0, 0
	}
	if s.req.Count > 0 {
		r.Count = s.req.Count
	}
	if s.req.Vessel != "" {
		r.Vessel = s.req.Vessel
	}
	return r.String()
}
