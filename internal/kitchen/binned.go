package kitchen

import (
	"maps"
	"slices"

	"ventbell/internal/request"
)

// binned notes that a batch is in the bin, or with the tap's "missing" that it was
// looked for and not found. What is still in a vessel is scrapped, gas first; it
// is there, whoever did not find it.
func (s *scene) binned() Answer {
	l := Lacks{Code: s.req.Code}
	if a, lacking := s.lacks(l); lacking {
		return a
	}
	list := s.gather(l)
	if len(list) == 0 {
		return Answer{Kind: Refuse, Code: RefuseNoCode, Verb: request.Binned, Line: l.Code, Private: true}
	}
	b := list[0]
	m := s.mark()
	a := Answer{Kind: Done, Verb: request.Binned, Title: b.Title, Line: b.Code, Vessel: b.Vessel, Who: m.By, At: m.Done, Private: true}
	a.Quiet, a.Missing = s.cmd.Tap != nil, s.tap.With == "missing"
	if was := s.binnedBefore(b.ID); was != nil {
		a.Kind, a.Who, a.At, a.Missing, a.Quiet = Already, was.By, was.Done, false, false
		return a
	}
	if s.Batches[b.ID] != nil && b.Labelled == nil {
		switch {
		case b.Gas() > 0:
			return s.refuse(b, RefusePressured)
		case a.Missing && b.Phase != Scrapped:
			return s.refuse(b, RefuseRecalled)
		case b.Phase != Scrapped:
			s.tap.With = "sure"
			s.scrap(b)
		}
	}
	event := "binned"
	if a.Missing {
		event = "not found"
	}
	s.accounted(b.ID, m, a.Missing)
	if !a.Missing && b.Labelled != nil && b.UseBy != 0 {
		s.History.took(b.Title, dayNumber(b.UseBy.Time().In(s.zone)))
	}
	s.log(b, event)
	return a
}

// binnedBefore gives who put a batch into the bin that was taken back; nil = nobody.
func (k *Kitchen) binnedBefore(batch uint32) *Mark {
	for _, r := range k.Recalls {
		for _, x := range r.Items {
			if x.Batch == batch && x.Binned != nil {
				return x.Binned
			}
		}
	}
	return nil
}

// took takes one jar of a recipe that ends on the day with this number off the shelf.
func (h *History) took(title string, last uint32) {
	i := slices.Index(h.Shelf[title], last)
	if i < 0 {
		return
	}
	shelf := maps.Clone(h.Shelf)
	shelf[title] = slices.Delete(slices.Clone(shelf[title]), i, i+1)
	if len(shelf[title]) == 0 {
		delete(shelf, title)
	}
	h.Shelf = shelf
}

// accounted notes in every recall of a batch that it is in the bin, or was not found.
func (s *scene) accounted(batch uint32, m Mark, missing bool) {
	s.account(batch, func(x *Recalled) {
		if missing {
			x.Missing = &m
		} else {
			x.Binned, x.Missing = &m, nil
		}
	})
}

// account changes what is known of a batch in every recall of it.
func (s *scene) account(batch uint32, change func(*Recalled)) {
	s.Recalls = slices.Clone(s.Recalls)
	for i := range s.Recalls {
		r := &s.Recalls[i]
		j := slices.IndexFunc(r.Items, func(x Recalled) bool { return x.Batch == batch })
		if j < 0 {
			continue
		}
		r.Items = slices.Clone(r.Items)
		change(&r.Items[j])
		switch left := len(r.Left()); {
		case left == 0:
			r.CallAt = 0
		case r.CallAt == 0 && r.Rung < lastRung: // one came back
			r.CallAt = s.now.Add(recallLadder[0])
		}
	}
}

// recallsFollow keeps the recalls in step with what became of their open batches:
// what is scrapped and empty is in the bin, what an undo brought back is not. The
// messages of a recall are brought up to date when anything of it changed.
func (s *scene) recallsFollow() {
	for _, r := range s.Recalls {
		for _, x := range r.Items {
			b := s.Batches[x.Batch]
			switch {
			case b == nil || x.Shelf:
			case b.Phase == Scrapped && b.Gas() == 0 && x.Binned == nil && b.Ended != nil:
				s.accounted(x.Batch, *b.Ended, false)
			case b.Phase != Scrapped && x.Binned != nil:
				s.account(x.Batch, func(x *Recalled) { x.Binned = nil })
			}
		}
	}
	for i := range s.Recalls {
		r := &s.Recalls[i]
		changed := slices.ContainsFunc(s.ch.Log, func(l Line) bool {
			return l.Batch != 0 && slices.ContainsFunc(r.Items, func(x Recalled) bool { return x.Batch == l.Batch })
		})
		if changed {
			s.editRecall(r)
		}
	}
}

// editRecall brings the messages of a recall up to date: the first one, and the
// latest second call.
func (s *scene) editRecall(r *Recall) {
	rungs := []uint8{0}
	if r.Rung > 0 {
		rungs = append(rungs, r.Rung)
	}
	for _, rung := range rungs {
		key := Key(0, RecallCall, r.N, rung)
		if !slices.ContainsFunc(s.ch.Outbox, func(e Entry) bool { return e.Key == key }) {
			s.postRecall(r, rung, true)
		}
	}
}
