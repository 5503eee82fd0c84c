// Package plan lays one request out: the grams, the vessels, the chargers and
// the clocks, from the house's book and the vessels that are free now. It puts
// nothing into words, keeps nothing and knows no batch that is already open.
package plan

import (
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// GasPerCharger is the nitrous oxide in one charger: 8 g, the nominal content
// of the standard charger (common practice; some makers fill 7.5 to 7.8 g).
const GasPerCharger = 8 * quantity.Gram

// Make lays r out over the vessels that are free, given in the book's order.
// It gives a plan, or a problem with lines that work instead: every line that
// it offers was laid out over the same vessels before it was offered.
func Make(b *book.Book, r request.Request, free []book.Vessel) (Plan, *Problem) {
	p, problem := lay(b, r, free)
	if problem != nil {
		problem.Offers = offers(b, r, free)
	}
	return p, problem
}

// lay is Make without the offers.
func lay(b *book.Book, r request.Request, free []book.Vessel) (Plan, *Problem) {
	d, ok := draftOf(b, r)
	if !ok || !d.house && !r.Sure {
		return Plan{}, &Problem{Code: NotHouseRule, Name: strings.TrimSpace(r.Recipe + r.Solid + " " + r.Base)}
	}
	if problem := d.refuse(); problem != nil {
		return Plan{}, problem
	}
	vessels, problem := d.choose(free)
	if problem != nil {
		return Plan{}, problem
	}
	return d.plan(vessels), nil
}

// draft is a request beside what the book says about it.
type draft struct {
	request request.Request
	recipe  book.Recipe // the house's own, or one made of the class default
	house   bool
	solid   book.Botanical
	family  book.Family
	most    quantity.Ratio  // of solids in the liquid
	each    quantity.Volume // liquid in each run
	count   int             // runs
}

// draftOf looks r up in the book. It fails where the book has no recipe and
// no class default to go by.
func draftOf(b *book.Book, r request.Request) (draft, bool) {
	d := draft{request: r, each: r.Volume, count: max(r.Count, 1)}
	d.recipe, d.house = b.Recipe(r.Recipe)
	if !d.house {
		d.recipe = book.Recipe{Solid: r.Solid, Base: r.Base}
	}
	liquid, knownLiquid := b.Liquid(d.recipe.Base)
	solid, knownSolid := b.Botanical(d.recipe.Solid)
	class, knownClass := b.ClassFor(liquid.Family, solid.Kind)
	if !d.house {
		known := r.Recipe == "" && knownLiquid && knownSolid && knownClass
		if !known || solid.Refused != "" || liquid.Family == book.Oil || liquid.Family == book.Dairy {
			return draft{}, false
		}
		d.recipe = fromClass(class, solid, liquid)
	}
	d.solid, d.family = solid, liquid.Family
	d.most = max(class.RatioMax, d.recipe.Ratio)
	d.recipe.Allergens = union(d.recipe.Allergens, b.AllergensOf(solid.Name, liquid.Name))
	if d.each == 0 {
		d.each = d.recipe.Batch
	}
	return d, true
}

// A spirit above 60 % is never warmed above room temperature (common practice
// against fire). A class knows its family only; its temperature may go further.
const (
	strongSpirit  = 60 * quantity.Percent
	hottestStrong = 25 * quantity.Celsius
)

// fromClass makes a recipe of a class default. Its batch is four fifths of the
// vessel, which leaves room for the solids (estimate).
func fromClass(c book.Class, solid book.Botanical, liquid book.Liquid) book.Recipe {
	temp := c.Temp
	if liquid.Strength > strongSpirit {
		temp.Max = min(temp.Max, hottestStrong)
		temp.Target = min(temp.Target, temp.Max)
		temp.Min = min(temp.Min, temp.Max)
	}
	return book.Recipe{
		Name: solid.Name + " " + liquid.Name, Solid: solid.Name, Base: liquid.Name, Class: c.Name,
		Batch: c.Proven * 4 / 5, Ratio: c.Ratio, Temp: temp, Proven: c.Proven, Chargers: c.Chargers,
		Swirl: c.Swirl, Rest: c.Rest, Settle: c.Settle, StrainFirst: c.StrainFirst, Contact: c.Contact,
		Clear: c.Clear, JudgeAfter: c.JudgeAfter, Gentle: c.Gentle, Storage: c.Storage,
	}
}

// union gives a and what of b is not in it, in a new slice.
func union(a, b []string) []string {
	all := slices.Clone(a)
	for _, s := range b {
		if !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	return all
}

// refuse says what in the request lies outside the recipe's limits, whatever
// the vessel.
func (d draft) refuse() *Problem {
	r, rest, temp := d.request, d.recipe.Rest, d.recipe.Temp
	switch {
	case r.Rest != 0 && (r.Rest < rest.Min || r.Rest > rest.Max):
		return &Problem{Code: RestOutside, Name: d.recipe.Name, Rest: rest}
	case r.Temp != nil && (*r.Temp < temp.Min || *r.Temp > temp.Max):
		return &Problem{Code: TempOutside, Name: d.recipe.Name, Temp: temp}
	case r.Solids > d.strongest():
		return &Problem{
			Code: TooStrong, Name: d.recipe.Solid, Volume: d.each,
			Count: int(d.most / quantity.GramsPer100),
		}
	}
	return nil
}

// strongest gives the most solids for one run, rounded down to the milligram.
func (d draft) strongest() quantity.Mass {
	return quantity.Mass(int64(d.most) * int64(d.each) / int64(100*quantity.Millilitre))
}

// plan lays the draft out over its vessels, one for each run.
func (d draft) plan(vessels []book.Vessel) Plan {
	r := d.recipe
	p := Plan{
		Title: r.Name, House: d.house, Class: r.Class, Solid: r.Solid, Base: r.Base, Family: d.family,
		Volume: d.each * quantity.Volume(d.count), VolumeSaid: d.request.Volume != 0,
		Prep: r.Prep, Choose: r.Choose, Use: r.Use, Temp: r.Temp,
		Swirl: r.Swirl, Rest: r.Rest, Settle: r.Settle, StrainFirst: r.StrainFirst,
		Contact: r.Contact, Clear: r.Clear, JudgeAfter: r.JudgeAfter,
		Gentle: r.Gentle, Storage: r.Storage, Allergens: r.Allergens,
	}
	if d.request.Rest != 0 {
		p.Rest.Target = d.request.Rest
	}
	if d.request.Temp != nil {
		p.Temp.Target = *d.request.Temp
	}
	for _, v := range vessels {
		n := chargers(r, v)
		p.Runs = append(p.Runs, Run{
			Vessel:   v.Tag,
			Liquid:   d.each,
			Solids:   []Solid{{Name: r.Solid, Mass: d.mass(d.each), Prep: r.Prep}},
			Chargers: n,
			Charge:   quantity.Mass(n) * GasPerCharger,
		})
	}
	p.Steps = steps(p)
	p.Notes = notes(p, r, vessels)
	return p
}
