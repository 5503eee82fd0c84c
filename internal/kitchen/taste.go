package kitchen

import (
	"slices"
	"time"

	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// day is how a day is counted that a batch was made on.
const day = 24 * time.Hour

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
func (h *History) weighed(b *Batch) {
	if b.Labelled == nil {
		h.forget(b.ID)
		return
	}
	h.remember(b.Title, h.weighingOf(b))
}

// weighingOf gives what a batch tells of itself, and what was said of it.
func (h *History) weighingOf(b *Batch) Weighing {
	w, _ := h.Tasted(b.ID)
	w.Batch, w.In, w.Out, w.Solids = b.ID, b.Liquid, b.Yield, 0
	w.Made = uint32(b.Started.Done.Time().Unix() / int64(day/time.Second))
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
// batch. Of those above the bound the oldest goes of which nothing was told, else
// the oldest; likewise the recipe that was not made for longest.
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
	if len(list) > weighings {
		untold := slices.IndexFunc(list[:len(list)-1], func(o Weighing) bool { return o.Out == 0 && o.Taste == "" })
		list = slices.Delete(list, max(untold, 0), max(untold, 0)+1)
	}
	h.Weighed[title] = list
	for len(h.Weighed) > weighedTitles {
		delete(h.Weighed, h.longestAgo())
	}
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
		In: w.In, Solids: w.Solids, Out: w.Out, Taste: w.Taste, Solid: w.Solid,
		Meant: time.Duration(w.Meant) * time.Second,
		Rest:  time.Duration(w.Rest) * time.Second, Contact: time.Duration(w.Contact) * time.Second,
	}
	if w.Made != 0 {
		r.Made = time.Unix(int64(w.Made)*int64(day/time.Second), 0).UTC()
	}
	return r
}

// taste records how a batch came out. Said again it corrects, as long as the
// batch is remembered; it moves no clock and is never undone.
func (s *scene) taste() Answer {
	b, w, refused := s.tastedBatch()
	if refused != nil {
		return *refused
	}
	if s.req.Verdict.AboutSolids() {
		w.Solid = s.req.Verdict
	} else {
		w.Taste = s.req.Verdict
	}
	s.History.remember(b.Title, w)
	s.log(b, "tasted", "verdict", string(s.req.Verdict))
	if s.Batches[b.ID] != nil {
		s.post(b, Slip)
	}
	a := s.did(b)
	a.Verdict, a.Quiet, a.Volume = s.req.Verdict, false, w.Out
	if w.Taste != "" && w.Solid == "" { // the one thing more that the next batch asks
		for _, v := range []request.Verdict{request.Spent, request.GoodAgain} {
			a.Choices = append(a.Choices, s.verdictChoice(b, v))
		}
	}
	return a
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
		return b, s.History.weighingOf(b), nil
	}
	title, w, found := s.History.resultOf(id)
	if !found {
		a := s.refuseNothing()
		return nil, Weighing{}, &a
	}
	return &Batch{ID: id, Fixed: Fixed{Title: title, Vessel: s.req.Vessel}, Moving: Moving{Phase: Stored}}, w, nil
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
