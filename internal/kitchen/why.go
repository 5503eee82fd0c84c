package kitchen

import (
	"slices"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// why gives the figures behind a batch's plan, worked out again as at its
// start. It changes nothing and is not kept.
func (s *scene) why(b *Batch) Answer {
	at := b.Started.Done.Time().In(s.zone)
	asWas, req := s.asStarted(b)
	if req == nil {
		req = s.reader.Read(b.Line, request.Context{Book: s.book, Now: at}).Request
	}
	vessel, known := s.book.Vessel(b.Vessel)
	if req == nil || !known {
		return s.refuse(b, RefuseNothing)
	}
	r := *req
	r.Vessel, r.Volume, r.Count, r.Split = b.Vessel, b.Liquid, 1, false
	p, problem := plan.Make(asWas, r, []book.Vessel{vessel}, s.History.input(b.Title, at))
	if problem != nil {
		return Answer{Kind: Impossible, Plan: problem, Verb: request.Why, Vessel: b.Vessel, Private: true}
	}
	a := s.did(b)
	a.Kind, a.Why, a.Since = Figured, &p, s.changedSince(b)
	return a
}

// changedSince says that something of the book that a batch is made by was
// changed after the batch was started.
func (s *scene) changedSince(b *Batch) bool {
	for part, names := range map[book.Part][]string{
		book.PartHouse: {""}, book.PartRecipes: {b.Title}, book.PartVessels: {b.Vessel}, book.PartLiquids: {b.Base},
		book.PartBotanicals: {b.solid()},
	} {
		for _, name := range names {
			if s.edition(part, name) > b.Edition {
				return true
			}
		}
	}
	return false
}

// asStarted gives the book with a batch's recipe as it was at the start, as far
// as the batch copied it, and what was asked for; nil while the book's own
// recipe still is that one.
func (s *scene) asStarted(b *Batch) (*book.Book, *request.Request) {
	if !b.House || s.edition(book.PartRecipes, b.Title) <= b.Edition || len(b.Solids) == 0 || b.Liquid == 0 {
		return s.book, nil
	}
	r, _ := s.book.Recipe(b.Title) // for what the batch did not copy
	vessel, _ := s.book.Vessel(b.Vessel)
	r.Name, r.Solid, r.Base, r.Prep = b.Title, b.solid(), b.Base, b.Solids[0].Prep
	r.Batch, r.Ratio = b.Liquid, ratioOf(b.Solids[0].Mass, b.Liquid)
	r.Temp, r.Proven, r.Chargers, r.Swirl, r.Rest, r.Settle = b.Temp, vessel.Nominal, b.Chargers, b.Swirl, b.Rest, b.Settle
	r.StrainFirst, r.Contact, r.Clear, r.JudgeAfter = b.StrainFirst, b.Contact, b.Clear, b.JudgeAfter
	r.Gentle, r.Storage, r.Allergens = b.Gentle, b.Storage, b.Allergens
	if b.Product != "" {
		r.Product, r.Vent = b.Product, b.Vent
	}
	as := *s.book
	as.Recipes = append(slices.DeleteFunc(slices.Clone(as.Recipes), func(o book.Recipe) bool {
		return book.Fold(o.Name) == book.Fold(b.Title)
	}), r)
	return &as, &request.Request{Verb: request.Start, Recipe: b.Title, Solids: b.Solids[0].Mass}
}

// ratioOf gives so much of a solid in so much liquid as a ratio, rounded up.
func ratioOf(m quantity.Mass, v quantity.Volume) quantity.Ratio {
	return quantity.Ratio((int64(m)*int64(100*quantity.Millilitre) + int64(v) - 1) / int64(v))
}

// solid gives the name of what is in the liquid.
func (f Fixed) solid() string {
	if len(f.Solids) == 0 {
		return ""
	}
	return f.Solids[0].Name
}
