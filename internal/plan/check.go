package plan

import (
	"cmp"
	"fmt"
	"slices"

	"ventbell/internal/book"
	"ventbell/internal/keeping"
	"ventbell/internal/request"
)

// CheckBook looks a book over for what is worth mending: what it shows by itself
// and what shows only when its recipes are kept and laid out. The findings
// come in the order of the file.
func CheckBook(b *book.Book) []book.Finding {
	all := book.Check(b)
	for _, s := range b.Botanicals {
		all = append(all, checkBotanical(s)...)
	}
	for _, l := range b.Liquids {
		all = append(all, untold(l.FileLine, l.Name, allergensOf(l), l.Allergens)...)
	}
	asked := *b
	asked.House.Licensed = string(keeping.Yes) // whether it is not is another finding
	for _, r := range b.Recipes {
		for _, f := range checkRecipe(&asked, r) {
			same := func(o book.Finding) bool { return o.Line == f.Line && o.Code == f.Code }
			if !slices.ContainsFunc(all, same) {
				all = append(all, f)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b book.Finding) int { return cmp.Compare(a.Line, b.Line) })
	return all
}

// finding is one thing worth mending in an entry of the book.
func finding(line int, what string, code book.FindingCode, format string, args ...any) book.Finding {
	return book.Finding{Line: line, What: what, Code: code, Said: what + ": " + fmt.Sprintf(format, args...)}
}

// checkBotanical finds what has to be refused, signed off or told.
func checkBotanical(s book.Botanical) []book.Finding {
	if s.Refused != "" {
		return nil
	}
	names := append([]string{s.Name}, s.Aliases...)
	for _, c := range keeping.CautionsFor(names...) {
		switch {
		case c.Refuses():
			return []book.Finding{finding(s.FileLine, s.Name, book.NeverMade, "it is never infused (%s): take its figures out and write refused, with the reason", c.Why)}
		case c.SignOff && s.SignOff == "":
			return []book.Finding{finding(s.FileLine, s.Name, book.NeedsSignOff, "a manager has to answer for it (%s): write sign_off, with the reason", c.Why)}
		}
	}
	return untold(s.FileLine, s.Name, keeping.AllergensNamed(names...), s.Allergens)
}

// allergensOf gives the allergens that the names of a liquid tell. What grain a
// spirit was distilled from is none (Regulation (EU) 1169/2011, annex II).
func allergensOf(l book.Liquid) []string {
	said := keeping.AllergensNamed(append([]string{l.Name}, l.Aliases...)...)
	if l.Family == book.Spirit {
		return slices.DeleteFunc(said, func(a string) bool { return a == "gluten" })
	}
	return said
}

func untold(line int, name string, said, told []string) []book.Finding {
	var all []book.Finding
	for _, a := range said {
		if !slices.Contains(told, a) {
			all = append(all, finding(line, name, book.UntoldAllergen, "its name says %s, and its allergens do not: write allergens: [%s]", a, a))
		}
	}
	return all
}

// checkRecipe holds a recipe against the keeping rules and lays it out in each
// vessel of the house: one that takes it will do.
func checkRecipe(b *book.Book, r book.Recipe) []book.Finding {
	asked := request.Request{Verb: request.Start, Recipe: r.Name}
	d, ok := draftOf(b, asked, Input{SignedOff: true})
	if !ok {
		return nil
	}
	d.recipe.Hold, d.recipe.Storage = 0, string(keeping.Fridge)
	found, refused := d.checkKeep(r)
	if refused || len(b.Vessels) == 0 {
		return found
	}
	var problem Problem
	for _, v := range b.Vessels {
		_, p := lay(b, asked, []book.Vessel{v}, Input{SignedOff: true})
		switch {
		case p == nil:
			return found
		case p.Code == OverStamp || problem.Code == "":
			problem = *p // the pressure tells most
		}
	}
	switch problem.Code {
	case OverStamp:
		return append(found, finding(r.FileLine, r.Name, book.OverPressure,
			"the estimate goes to %d bar and vessel %s is stamped %d: prove it with fewer chargers or a smaller batch", problem.Bar, problem.Vessel, problem.Stamp))
	case TooMuch:
		return append(found, finding(r.FileLine, r.Name, book.FitsNoVessel, "its batch fits no vessel: make the batch smaller"))
	case TooLittle:
		return append(found, finding(r.FileLine, r.Name, book.CannotPlan, "its batch is too little for every vessel: make the batch bigger"))
	}
	return append(found, finding(r.FileLine, r.Name, book.CannotPlan, "no vessel of the house takes it (%s): enter one that does, or change the recipe", problem.Code))
}

// bestPH is how acid a sharp vinegar or a middle syrup can be found to be; a
// hold is held against the days that a good reading gives.
const bestPH = 3

// checkKeep finds a recipe that is refused, kept in the wrong place or for too
// long. The draft has neither a hold of its own nor a place.
func (d draft) checkKeep(r book.Recipe) (found []book.Finding, refused bool) {
	if d.strengthen() != nil {
		return nil, false // laying it out tells
	}
	c := d.keepingCase()
	c.PH = keeping.Measured(bestPH)
	keep, why, err := keeping.Decide(c)
	switch {
	case err != nil:
		return nil, false
	case keep.Standing == keeping.Refused:
		return []book.Finding{finding(r.FileLine, r.Name, book.NeverMade, "the keeping rules refuse it (%s): take it out of the book", refusal(why))}, true
	}
	if r.Storage == string(keeping.Shelf) {
		c.Storage = keeping.Shelf
		shelved, _, err := keeping.Decide(c)
		if err != nil || shelved.Storage != keeping.Shelf {
			found = append(found, finding(r.FileLine, r.Name, book.WrongStorage, "by row %s of the keeping table it keeps in the fridge only: set storage to fridge", keep.Rule))
		} else {
			keep = shelved
		}
	}
	if r.Hold > keep.KeepDays {
		found = append(found, finding(r.FileLine, r.Name, book.HoldTooLong, "held for %d days, and row %s of the keeping table gives %d: set hold to %d days, or take it out",
			r.Hold, keep.Rule, keep.KeepDays, keep.KeepDays))
	}
	return found, false
}
