package kitchen

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// Told is the answer to a question: Topic says to which, Batches are the open
// batches that it is about, Facts is what else is known.
const Told AnswerKind = "told"

// Facts is what a question is answered with, beside the open batches.
type Facts struct {
	Shelf []Finished `cbor:"s,omitempty"` // of what was labelled
	Jars  []Jar      `cbor:"j,omitempty"` // of what was labelled before
	Book  []string   `cbor:"b,omitempty"` // recipes of the book
	Used  int        `cbor:"u,omitempty"` // chargers that were counted today
	Need  int        `cbor:"n,omitempty"` // chargers still to go into what is open

	// Of one batch or recipe.
	Allergens []string `cbor:"a,omitempty"`
	ABVLow    float64  `cbor:"l,omitempty"`
	ABVHigh   float64  `cbor:"h,omitempty"`
	UseBy     Moment   `cbor:"y,omitempty"`
	Days      int      `cbor:"d,omitempty"` // how long a recipe keeps, the first one counted
	Storage   string   `cbor:"o,omitempty"`
	// Product is what is kept of it.
	Product book.Product `cbor:"k,omitempty"`
}

// asked answers a question. It changes nothing.
func (s *scene) asked() Answer {
	if s.req.Topic == request.WhereLot || s.req.Topic == request.TraceOf {
		return s.traced()
	}
	if s.req.Topic == request.Register {
		return s.registered()
	}
	a := Answer{
		Kind: Told, Verb: request.Asks, Topic: s.req.Topic, Vessel: s.req.Vessel, Title: s.req.Recipe,
		Allergen: s.req.Allergen, Who: s.cmd.By, At: s.now, Private: true, Facts: &Facts{},
	}
	list := s.subject()
	switch s.req.Topic {
	case request.OwnBoard:
		list = s.Mine(s.cmd.By)
	case request.Unstrained:
		list = keepOnly(list, func(b *Batch) bool { return b.Strained == nil && b.Phase != Loading })
	case request.MayOpen, request.Overnight:
		list = keepOnly(list, (*Batch).holdsVessel)
		if pressed := keepOnly(list, (*Batch).pressed); a.Vessel == "" && len(pressed) > 0 {
			list = pressed
		}
	case request.WhoHas:
		a.Choices = s.toTake(list)
	case request.ChargersFor, request.StockLeft:
		list = s.gasUsed(a.Facts)
		a.Stock = s.page()
	case request.Expiring:
		list = s.expiring(a.Facts, list)
	case request.Allergens:
		if s.named() {
			list = s.facts(&a, list)
		} else {
			if s.cmd.Records == nil {
				a.Lacks = &Lacks{Allergen: cmp.Or(s.req.Allergen, AnyAllergen)}
			}
			list = s.holding(a.Facts, list)
		}
	case request.UseBy, request.Strength, request.TheLabel:
		list = s.facts(&a, list)
	case request.OnNow:
		a.Crew, list = s.onNow(), nil
	}
	for _, b := range list {
		a.Batches = append(a.Batches, b.ID)
	}
	if len(list) == 1 && (s.named() || a.Topic != request.Allergens) {
		a.Batch, a.Vessel, a.Title = list[0].ID, list[0].Vessel, list[0].Title
	}
	return a
}

// keepOnly gives the batches of a list that a question is about.
func keepOnly(list []*Batch, is func(*Batch) bool) []*Batch {
	return slices.DeleteFunc(slices.Clone(list), func(b *Batch) bool { return !is(b) })
}

// pressed says that a batch's vessel may hold gas.
func (b *Batch) pressed() bool { return b.Gas() > 0 }

// named says that a question names a vessel or a recipe.
func (s *scene) named() bool { return s.req.Vessel != "" || s.req.Recipe != "" }

// subject gives the open batches that a question is about: of its vessel or its
// recipe, all where it names none.
func (s *scene) subject() []*Batch {
	return keepOnly(s.Open(), func(b *Batch) bool {
		of := s.req.Vessel == "" || b.Vessel == s.req.Vessel
		return of && (s.req.Recipe == "" || strings.EqualFold(b.Title, s.req.Recipe)) && !b.over()
	})
}

// toTake offers one batch that somebody else owns.
func (s *scene) toTake(list []*Batch) []Choice {
	if len(list) != 1 || list[0].Owner.ID == s.cmd.By.ID {
		return nil
	}
	return []Choice{s.choice(list[0], ChooseTakeOver, request.Take, "mine")}
}

// gasUsed counts the chargers of today and those that open batches still want.
func (s *scene) gasUsed(f *Facts) []*Batch {
	f.Used = s.ChargersUsed(s.now.Time().In(s.zone))
	f.Need = s.toCharge()
	return nil
}

// expiring finds what is to be gone today, as far as the kitchen still knows it:
// what is open, what was labelled just now, and the jars of before.
func (s *scene) expiring(f *Facts, list []*Batch) []*Batch {
	now := s.now.Time().In(s.zone)
	due := func(m Moment) bool { return m != 0 && dayNumber(m.Time().In(s.zone)) <= dayNumber(now) }
	for _, x := range s.Today(now) {
		if due(x.UseBy) && s.Batches[x.Batch] != nil {
			f.Shelf = append(f.Shelf, x)
		}
	}
	f.Jars = s.History.jars("", dayNumber(now), now)
	return keepOnly(list, func(b *Batch) bool { return due(b.UseBy) && b.Labelled == nil })
}

// holding finds what holds an allergen; without one, what holds any.
func (s *scene) holding(f *Facts, list []*Batch) []*Batch {
	has := func(allergens []string) bool {
		return len(allergens) > 0 && (s.req.Allergen == "" || slices.Contains(allergens, s.req.Allergen))
	}
	for _, x := range s.Today(s.now.Time().In(s.zone)) {
		if has(x.Allergens) && !x.Scrapped && !s.gone(x.Batch) {
			f.Shelf = append(f.Shelf, x)
		}
	}
	for _, b := range s.cmd.Records {
		told := slices.ContainsFunc(f.Shelf, func(x Finished) bool { return x.Batch == b.ID })
		if x, is := b.finished(); is && !told && has(x.Allergens) && s.Batches[b.ID] == nil && !s.gone(b.ID) {
			f.Shelf = append(f.Shelf, x)
		}
	}
	for _, r := range s.book.Recipes {
		if has(s.allergens(r.Name)) {
			f.Book = append(f.Book, r.Name)
		}
	}
	return keepOnly(list, func(b *Batch) bool { return has(b.Allergens) })
}

// allergens gives those of a recipe of the book.
func (s *scene) allergens(recipe string) []string {
	r, _ := s.book.Recipe(recipe)
	list := joined(nil, r.Allergens)
	return joined(list, s.book.AllergensOf(r.Solid, r.Base))
}

// facts tells of the one thing that a question is about: a batch that is open,
// what was labelled today, else a recipe as it would be made now.
func (s *scene) facts(a *Answer, list []*Batch) []*Batch {
	f := a.Facts
	if len(list) > 0 && (s.named() || len(list) == 1) {
		b := list[0]
		f.Allergens, f.ABVLow, f.ABVHigh, f.UseBy, f.Storage = b.Allergens, b.ABVLow, b.ABVHigh, b.UseBy, b.Storage
		f.Product, f.Jars = b.Product, s.older(nil)
		return list[:1]
	}
	if !s.named() {
		return list
	}
	for _, x := range slices.Backward(s.Today(s.now.Time().In(s.zone))) {
		of := s.req.Recipe == "" || strings.EqualFold(x.Title, s.req.Recipe)
		if of && (s.req.Vessel == "" || x.Vessel == s.req.Vessel) && !x.Scrapped {
			f.Shelf, f.Allergens, f.UseBy, a.Title = []Finished{x}, x.Allergens, x.UseBy, x.Title
			f.Product, f.ABVLow, f.ABVHigh = x.Product, x.ABVLow, x.ABVHigh
			break
		}
	}
	f.Jars = s.older(f.Shelf)
	if p, ok := s.asMade(s.req.Recipe); ok {
		f.Allergens, f.ABVLow, f.ABVHigh = p.Allergens, p.Figures.ABVLow, p.Figures.ABVHigh
		f.Days, f.Storage, f.Product = p.Figures.Keep.Days, p.Figures.Keep.Storage, p.Product
	} else if s.req.Recipe != "" {
		f.Allergens = s.allergens(s.req.Recipe)
	}
	return nil
}

// older gives the jars of the recipe whose last day is asked for, but for those
// that are told of already.
func (s *scene) older(told []Finished) []Jar {
	if s.req.Topic != request.UseBy || s.req.Recipe == "" {
		return nil
	}
	list := s.History.jars(s.req.Recipe, math.MaxUint32, s.now.Time().In(s.zone))
	for _, x := range told {
		if i := slices.IndexFunc(list, func(j Jar) bool { return j.UseBy == x.UseBy }); i >= 0 && s.Batches[x.Batch] == nil {
			list[i].N--
		}
	}
	return slices.DeleteFunc(list, func(j Jar) bool { return j.N == 0 })
}

// asMade plans a recipe over all vessels of the house, only to know its figures.
func (s *scene) asMade(recipe string) (plan.Plan, bool) {
	if recipe == "" {
		return plan.Plan{}, false
	}
	in := s.History.input(recipe, s.now.Time().In(s.zone))
	in.SignedOff = true
	p, problem := plan.Make(s.book, request.Request{Verb: request.Start, Recipe: recipe}, s.book.Vessels, in)
	return p, problem == nil
}
