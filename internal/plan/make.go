// Package plan lays one request out: the grams, the vessels, the chargers and
// the clocks, from the house's book and the vessels that are free now. It puts
// nothing into words, keeps nothing and knows no batch that is already open.
package plan

import (
	"math"
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
	"ventbell/internal/spirit"
)

// GasPerCharger is the nitrous oxide in one charger: 8 g, the nominal content
// of the standard charger (common practice; some makers fill 7.5 to 7.8 g).
const GasPerCharger = 8 * quantity.Gram

// Make lays r out over the vessels that are free, given in the book's order.
// It gives a plan with its figures, or a problem with lines that work instead:
// every line that it offers was laid out over the same vessels before it was
// offered.
func Make(b *book.Book, r request.Request, free []book.Vessel, in Input) (Plan, *Problem) {
	if err := in.check(); err != nil {
		return Plan{}, outOfRange(err)
	}
	free = in.vessels(free)
	r, problem := served(b, r, in)
	if problem != nil {
		return Plan{}, problem
	}
	p, problem := lay(b, r, free, in)
	if problem != nil {
		problem.Offers = offers(b, r, free, in, *problem)
		return p, problem
	}
	learn(b, r, free, in, &p)
	return p, nil
}

// lay is Make without the offers.
func lay(b *book.Book, r request.Request, free []book.Vessel, in Input) (Plan, *Problem) {
	d, ok := draftOf(b, r, in)
	if !ok || !d.house && !r.Sure {
		return Plan{}, &Problem{Code: NotHouseRule, Name: strings.TrimSpace(r.Recipe + r.Solid + " " + r.Base)}
	}
	if problem := d.decide(); problem != nil {
		return Plan{}, problem
	}
	if d.solid.SignOff != "" && !in.SignedOff {
		return Plan{}, &Problem{Code: SignOff, Name: d.solid.Name}
	}
	if problem := d.refuse(); problem != nil {
		return Plan{}, problem
	}
	p, problem := d.whole(free)
	if problem != nil && r.Split && problem.tooBig() {
		if parts := d.split(free); parts != nil {
			return d.plan(parts)
		}
	}
	return p, problem
}

// whole lays the draft out as it was said, nothing split.
func (d draft) whole(free []book.Vessel) (Plan, *Problem) {
	vessels, problem := d.choose(free)
	if problem != nil {
		return Plan{}, problem
	}
	return d.plan(parts(vessels, d.each))
}

// draft is a request beside what the book says about it.
type draft struct {
	book    *book.Book
	in      Input
	request request.Request
	recipe  book.Recipe // the house's own, or one made of the class default
	house   bool
	solid   book.Botanical
	liquid  book.Liquid
	family  book.Family
	most    quantity.Ratio  // of solids in the liquid
	each    quantity.Volume // liquid in each run
	count   int             // runs

	strength quantity.Strength    // of the liquid as poured
	temp     quantity.Temperature // of the liquid
	heat     float64              // J/K in a millilitre of it
	flash    float64              // its caution figure in °C; 0 = none

	// What decide found.
	after    spirit.Range // strength in % vol, once the produce gave its water
	keep     Keep
	acid     bool // it eats bare metal
	irritant bool // its spray hurts eyes
	heeded   bool // the solid is to be limited or warned of
}

// draftOf looks r up in the book. It fails where the book has no recipe and
// no class default to go by.
func draftOf(b *book.Book, r request.Request, in Input) (draft, bool) {
	d := draft{book: b, in: in, request: r, each: r.Volume, count: max(r.Count, 1)}
	d.recipe, d.house = b.Recipe(r.Recipe)
	if !d.house {
		d.recipe = book.Recipe{Solid: r.Solid, Base: r.Base}
	}
	liquid, knownLiquid := b.Liquid(d.recipe.Base)
	solid, knownSolid := b.Botanical(d.recipe.Solid)
	class, knownClass := b.ClassOf(d.recipe)
	if !d.house {
		known := r.Recipe == "" && knownLiquid && knownSolid && knownClass
		if !known || solid.Refused != "" || liquid.Family == book.Oil || liquid.Family == book.Dairy {
			return draft{}, false
		}
		d.recipe = fromClass(class, solid, liquid)
	}
	d.solid, d.liquid, d.family = solid, liquid, liquid.Family
	d.most = max(class.RatioMax, d.recipe.Ratio)
	d.recipe.Allergens = union(d.recipe.Allergens, b.AllergensOf(solid.Name, liquid.Name))
	d.recipe.Allergens = union(d.recipe.Allergens, agentAllergens(d.recipe.ClearWith))
	if d.each == 0 {
		d.each = d.batch()
	}
	d.pour()
	return d, true
}

// batch gives the liquid where no volume was said: the house batch, or what
// covers the pieces that were said where the pieces are kept.
func (d draft) batch() quantity.Volume {
	said, ratio := d.request.Solids, d.recipe.Ratio
	if d.recipe.Product != book.SolidKept || said == 0 || ratio == 0 {
		return d.recipe.Batch
	}
	covers := quantity.Volume(int64(said) * int64(100*quantity.Millilitre) / int64(ratio))
	return (covers + offerStep - 1) / offerStep * offerStep
}

// pour settles how strong and how warm the liquid is: as tried, as said, else
// by the book.
func (d *draft) pour() {
	d.strength, d.temp = d.liquid.Strength, d.recipe.Temp.Target
	if d.in.ABV != 0 {
		d.strength = d.in.ABV
	}
	switch {
	case d.in.Temp != nil:
		d.temp = *d.in.Temp
	case d.request.Temp != nil:
		d.temp = *d.request.Temp
	}
	d.heat, d.flash = heatOf(d.family, d.strength), flashOf(d.strength)
}

// fromClass makes a recipe of a class default. Its batch is four fifths of the
// vessel, which leaves room for the solids (estimate). A class knows its family
// only: for a strong spirit its temperature may go too far.
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

// refuse says what in the request lies outside the limits of heat and of the
// recipe, whatever the vessel.
func (d draft) refuse() *Problem {
	if problem := d.tooHot(); problem != nil {
		return problem
	}
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

// plan lays the draft out in its parts, one for each run.
func (d draft) plan(parts []part) (Plan, *Problem) {
	r := d.recipe
	p := Plan{
		Title: r.Name, House: d.house, Class: r.Class, Solid: r.Solid, Base: r.Base, Family: d.family,
		Volume: d.each * quantity.Volume(d.count), VolumeSaid: d.each != r.Batch || d.request.Volume != 0,
		Prep: r.Prep, Choose: r.Choose, Use: r.Use, Temp: r.Temp,
		Swirl: r.Swirl, Rest: r.Rest, Settle: r.Settle, StrainFirst: r.StrainFirst,
		Contact: r.Contact, Clear: r.Clear, JudgeAfter: r.JudgeAfter,
		Gentle: r.Gentle, Vent: r.Vent, Product: r.Product, Storage: d.keep.Storage, Allergens: r.Allergens, Cycles: r.Cycles,
		SignOff: d.solid.SignOff,
	}
	if d.request.Rest != 0 {
		p.Rest.Target = d.request.Rest
	}
	p.Temp = book.TempRange{Min: min(r.Temp.Min, d.temp), Target: d.temp, Max: max(min(r.Temp.Max, d.hottest()), d.temp)}
	for _, part := range parts {
		run, problem := d.run(part.vessel, part.liquid)
		if problem != nil {
			return Plan{}, problem
		}
		run.Figures.Round = part.round
		p.Runs = append(p.Runs, run)
	}
	if err := d.start(&p); err != nil {
		return Plan{}, outOfRange(err)
	}
	p.Steps = steps(p)
	p.Notes = d.notes(p, firstRound(parts))
	return p, d.figure(&p)
}

// run lays out one vessel's part, so much liquid in v, unless the estimate of its
// pressure forbids it.
func (d draft) run(v book.Vessel, liquid quantity.Volume) (Run, *Problem) {
	f, err := d.figuresOf(v, liquid)
	switch {
	case err != nil:
		return Run{}, outOfRange(err)
	case f.overStamp():
		return Run{}, &Problem{
			Code: OverStamp, Vessel: v.Tag, Volume: liquid, Count: chargers(d.recipe, v),
			Bar: int(math.Ceil(f.worst())), Stamp: f.StampBar,
		}
	}
	n := chargers(d.recipe, v)
	return Run{
		Vessel:   v.Tag,
		Liquid:   liquid,
		Solids:   []Solid{{Name: d.recipe.Solid, Mass: d.mass(liquid), Prep: d.recipe.Prep}},
		Chargers: n,
		Charge:   quantity.Mass(n) * d.in.charge(),
		Figures:  f,
	}, nil
}

// figure adds the figures behind the whole plan.
func (d draft) figure(p *Plan) *Problem {
	p.Figures = Figures{ABVLow: d.after.Low, ABVHigh: d.after.High, FlashPoint: d.flash, Keep: d.keep}
	d.serve(p)
	air, err := d.air(*p)
	if err != nil {
		return outOfRange(err)
	}
	p.Figures.Air = air
	return nil
}
