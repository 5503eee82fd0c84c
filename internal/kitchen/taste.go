package kitchen

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// dayNumber counts the days since 1970 by the calendar that t is written in.
func dayNumber(t time.Time) uint32 {
	y, m, d := t.Date()
	return uint32(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / int64(24*time.Hour/time.Second))
}

// dayOf gives noon of a day with this number.
func dayOf(n uint32, zone *time.Location) time.Time {
	return time.Date(1970, 1, 1+int(n), 12, 0, 0, 0, zone)
}

// Tasted gives what became of the batch with this number, as far as it is
// remembered.
func (h *History) Tasted(batch uint32) (Weighing, bool) {
	_, w, found := h.resultOf(batch)
	return w, found
}

// resultOf finds the result of a batch, and under which title.
func (h *History) resultOf(batch uint32) (title string, w Weighing, found bool) {
	for title, list := range h.Weighed {
		if i := slices.IndexFunc(list, func(w Weighing) bool { return w.Batch == batch }); i >= 0 && batch != 0 {
			return title, list[i], true
		}
	}
	return "", Weighing{}, false
}

// weighed remembers what became of a batch, once it can no longer be undone. One
// that was never labelled came to nothing.
func (h *History) weighed(b *Batch, zone *time.Location) {
	if b.Labelled == nil {
		h.forget(b.ID)
		return
	}
	h.remember(b.Title, h.weighingOf(b, zone))
}

// weighingOf gives what a batch tells of itself, and what was said of it.
func (h *History) weighingOf(b *Batch, zone *time.Location) Weighing {
	w, _ := h.Tasted(b.ID)
	w.Batch, w.In, w.Solids = b.ID, b.Liquid, 0
	w.Out, w.Drained = cmp.Or(b.Yield, w.Out), cmp.Or(b.Drained, w.Drained) // told with the taste, an undo keeps it
	if b.KeepsSolid() {                                                     // the liquid beside it teaches nothing
		w.Out = 0
	}
	w.Made = dayNumber(b.Started.Done.Time().In(zone))
	w.Meant = seconds(b.Rest.Target + b.Extra)
	for _, s := range b.Solids {
		w.Solids += s.Mass
	}
	assumed := slices.ContainsFunc(b.Charges, func(c Charge) bool { return c.Assumed })
	if b.Emptied != nil && b.RestFrom != 0 && !assumed {
		w.Rest = seconds(b.Emptied.Done.Sub(b.RestFrom))
	}
	if b.Strained != nil && b.ContactFrom != 0 && !assumed {
		w.Contact = seconds(b.Strained.Done.Sub(b.ContactFrom))
	}
	return w
}

func seconds(d time.Duration) uint32 { return uint32(max(d, 0) / time.Second) }

// remember keeps a result under its title, in place of what was kept of the same
// batch, and with it those that still teach something. Of the recipes above the
// bound the one goes that was not made for longest.
func (h *History) remember(title string, w Weighing) {
	h.V = version
	if h.Weighed == nil {
		h.Weighed = map[string][]Weighing{}
	}
	list := slices.Clone(h.Weighed[title])
	if i := slices.IndexFunc(list, func(o Weighing) bool { return o.Batch == w.Batch }); i >= 0 {
		list[i] = w
	} else {
		list = append(list, w)
	}
	h.Weighed[title] = teaching(list)
	for len(h.Weighed) > weighedTitles {
		delete(h.Weighed, h.longestAgo())
	}
}

// teaching keeps of a recipe's results the latest that were measured and the
// latest that were tasted, mostly the same ones; and of the day it was made last
// those of which nothing was told yet.
func teaching(list []Weighing) []Weighing {
	var kept []Weighing
	measured, tasted, untold := 0, 0, 0
	for _, w := range slices.Backward(list) {
		isMeasured, isTasted := w.Out > 0 || w.Drained > 0, w.Taste != ""
		isUntold := !isMeasured && !isTasted && w.Made == list[len(list)-1].Made
		if isMeasured && measured < weighings || isTasted && tasted < weighings || isUntold && untold < untolds {
			kept = append(kept, w)
		}
		measured, tasted, untold = measured+one(isMeasured), tasted+one(isTasted), untold+one(isUntold)
	}
	slices.Reverse(kept)
	return kept
}

func one(is bool) int {
	if is {
		return 1
	}
	return 0
}

// longestAgo gives the recipe that was not made for longest.
func (h *History) longestAgo() string {
	oldest, last := "", uint32(0)
	for title, list := range h.Weighed {
		made := list[len(list)-1].Batch
		if oldest == "" || made < last || made == last && title < oldest {
			oldest, last = title, made
		}
	}
	return oldest
}

// forget drops what was kept of a batch.
func (h *History) forget(batch uint32) {
	title, _, found := h.resultOf(batch)
	if !found {
		return
	}
	list := slices.DeleteFunc(slices.Clone(h.Weighed[title]), func(w Weighing) bool { return w.Batch == batch })
	if h.Weighed[title] = list; len(list) == 0 {
		delete(h.Weighed, title)
	}
}

// result gives a weighing as the plan takes it.
func (w Weighing) result() plan.Result {
	r := plan.Result{
		In: w.In, Solids: w.Solids, Out: w.Out, Drained: w.Drained, Taste: w.Taste, Solid: w.Solid,
		Meant: time.Duration(w.Meant) * time.Second,
		Rest:  time.Duration(w.Rest) * time.Second, Contact: time.Duration(w.Contact) * time.Second,
	}
	if w.Made != 0 {
		r.Made = dayOf(w.Made, time.UTC)
	}
	return r
}

// taste records how a batch came out: what was said of it and of its solids, and
// how much it gave. Said again it corrects, as long as the batch is remembered; it
// moves no clock and is never undone.
func (s *scene) taste() Answer {
	b, w, refused := s.tastedBatch()
	if refused != nil {
		return *refused
	}
	for _, said := range []request.Verdict{s.req.Verdict, s.req.Also} {
		switch {
		case said == "":
		case said.AboutSolids():
			w.Solid = said
		default:
			w.Taste = said
		}
	}
	a := s.tasted(b, w)
	if w.Taste != "" && w.Solid == "" { // the one thing more that the next batch asks
		for _, v := range []request.Verdict{request.Spent, request.GoodAgain} {
			a.Choices = append(a.Choices, s.verdictChoice(b, v))
		}
	}
	return a
}

// tasted keeps a result, with how much came out where that is told as well.
func (s *scene) tasted(b *Batch, w Weighing) Answer {
	details := []string{"verdict", strings.Trim(string(s.req.Verdict)+", "+string(s.req.Also), ", ")}
	a := s.did(b)
	a.Verb, a.Verdict, a.Also, a.Quiet = request.Taste, s.req.Verdict, s.req.Also, false
	switch {
	case b.KeepsSolid() && s.req.Solids > 0:
		b.Drained, w.Drained, a.Solids = s.req.Solids, s.req.Solids, s.req.Solids
		details = append(details, b.outcome()...)
	case !b.KeepsSolid() && s.req.Volume > 0:
		b.Yield, w.Out, a.Volume = s.req.Volume, s.req.Volume, s.req.Volume
		details = append(details, b.outcome()...)
	}
	s.History.remember(b.Title, w)
	s.log(b, "tasted", details...)
	if s.Batches[b.ID] != nil {
		for _, kind := range []EntryKind{StrainCall, ClearCall, LabelCall} {
			s.edit(b, kind)
		}
		s.post(b, Slip)
		if a.Volume > 0 || a.Solids > 0 {
			s.history(b)
		}
	}
	return a
}

// measuredLate records how much came out of what left the kitchen without that
// being told.
func (s *scene) measuredLate() Answer {
	b, w, refused := s.tastedBatch()
	if refused != nil || w.Out > 0 || w.Drained > 0 || s.Batches[b.ID] != nil {
		return s.refuseNothing()
	}
	return s.tasted(b, w)
}

// verdictChoice is a button that says a verdict of the same batch.
func (s *scene) verdictChoice(b *Batch, v request.Verdict) Choice {
	line := request.Request{Verb: request.Taste, Verdict: v, Vessel: b.Vessel}
	return Choice{Code: ChoiceCode(v), Tap: Tap{Line: line.String(), Batch: b.ID}}
}

// tastedBatch finds what was tasted: the button's batch, else what was strained
// last out of the vessel or of the recipe that was named. One that left the
// kitchen is found in what is remembered.
func (s *scene) tastedBatch() (*Batch, Weighing, *Answer) {
	id := s.tap.Batch
	if id == 0 {
		id = s.strainedLast()
	}
	if b := s.Batches[id]; b != nil {
		switch {
		case b.Phase == Scrapped:
			a := s.refuse(b, RefuseNothing)
			return nil, Weighing{}, &a
		case b.Strained == nil || b.Gas() > 0:
			a := s.refuse(b, RefuseNotYet)
			return nil, Weighing{}, &a
		}
		return b, s.History.weighingOf(b, s.zone), nil
	}
	title, w, found := s.History.resultOf(id)
	if !found {
		a := s.refuseNothing()
		return nil, Weighing{}, &a
	}
	r, _ := s.book.Recipe(title)
	return &Batch{ID: id, Fixed: Fixed{Title: title, Vessel: s.req.Vessel, Product: r.Product}, Moving: Moving{Phase: Stored}}, w, nil
}

// strainedLast gives the number of the batch that a typed verdict is about; 0 =
// none.
func (s *scene) strainedLast() uint32 {
	meant := func(vessel, title string) bool {
		return s.req.Vessel != "" && vessel == s.req.Vessel || s.req.Recipe != "" && title == s.req.Recipe
	}
	last, waiting := uint32(0), uint32(0)
	for id, b := range s.Batches {
		switch {
		case !meant(b.Vessel, b.Title) || b.Phase == Scrapped:
		case b.Strained == nil:
			waiting = max(waiting, id)
		default:
			last = max(last, id)
		}
	}
	for _, f := range s.Diary.Finished {
		if meant(f.Vessel, f.Title) && !f.Scrapped {
			last = max(last, f.Batch)
		}
	}
	for _, w := range s.History.Weighed[s.req.Recipe] {
		last = max(last, w.Batch)
	}
	if last == 0 {
		return waiting
	}
	return last
}
