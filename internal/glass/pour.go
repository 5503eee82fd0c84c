package glass

import (
	"fmt"
	"math"
	"slices"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
	"ventbell/internal/spirit"
)

// drink works out the parts that were read.
func (r *reader) drink() (Drink, *Problem) {
	d := Drink{method: r.method, dilution: dilutions[r.method], currency: r.book.House.Currency}
	if r.method == ByFigure {
		d.dilution = exactly(r.dilution)
	}
	poured := 0.0
	for _, m := range r.poured {
		p, err := r.pourOf(m)
		if err != nil {
			return Drink{}, &Problem{Code: BadFigures, Word: m.title()}
		}
		poured += p.volume.Millilitres()
		d.parts = append(d.parts, p)
	}
	for i, share := range d.dilution.ends() {
		water, err := blendOf(poured*share/100, 0)
		if err != nil {
			return Drink{}, &Problem{Code: BadDilution}
		}
		d.ice[i] = water
	}
	return d, nil
}

// ends gives a band as a list: low, central, high.
func (b Band) ends() [3]float64 { return [3]float64{b.Low, b.Central, b.High} }

// pourOf works out one part.
func (r *reader) pourOf(m measured) (part, error) {
	p := part{pour: pour{name: m.title(), volume: m.volume}}
	var err error
	switch {
	case m.recipe != nil:
		err = r.infusion(&p, *m.recipe)
	case m.liquid != nil:
		r.liquid(&p, *m.liquid)
	default:
		p.ingredient(*m.own)
	}
	if err != nil {
		return part{}, err
	}
	if m.stated != nil {
		p.strength, p.stated, p.infusion = exactly(*m.stated), true, false
		p.source = "strength as said; " + p.source
	}
	return p, p.mix()
}

func (p *part) ingredient(i ingredient) {
	p.strength = exactly(i.strength)
	p.sugar, p.acid = i.sugar*p.hundreds(), i.acid*p.hundreds()
	p.own, p.free = true, i.name == "water"
	p.source, p.contains = i.source, i.contains
}

// hundreds is the volume in so many times 100 ml.
func (p *part) hundreds() float64 { return p.volume.Millilitres() / 100 }

func (r *reader) liquid(p *part, l book.Liquid) {
	p.strength = exactly(percentOf(l.Strength))
	p.sweetAndSour(l)
	p.source, p.contains = "the book", l.Allergens
	p.free = l.Family == book.Water && book.Fold(l.Name) == "water"
	p.priced = l.Price > 0
	p.cost = float64(l.Price) * p.volume.Millilitres() / 1000
}

func percentOf(s quantity.Strength) float64 { return float64(s) / float64(quantity.Percent) }

// sweetAndSour takes the sugar and the acid of a liquid, and notes what its
// kind has and the book does not tell.
func (p *part) sweetAndSour(l book.Liquid) {
	p.sugar = float64(l.Sugar) / 10 * p.hundreds()
	p.acid = float64(l.Acidity) / 10 * p.hundreds()
	switch {
	case l.Sugar == 0 && (l.Family == book.Syrup || l.Family == book.Wine):
		p.miss(p.name, Sugar)
	case l.Acidity == 0 && l.Family == book.Vinegar:
		p.miss(p.name, Acid)
	}
}

func (p *part) miss(name, what string) { p.untold = append(p.untold, Untold{name, what}) }

// infusion works out an infusion of the book. Its sugar and acid are those of
// its liquid: what the solid gives or takes is not known.
func (r *reader) infusion(p *part, recipe book.Recipe) error {
	base, ok := r.book.Liquid(recipe.Base)
	if !ok {
		return fmt.Errorf("find liquid of %s: no %q", recipe.Name, recipe.Base)
	}
	solid, _ := r.book.Botanical(recipe.Solid)
	strength, err := spirit.AfterProduce(quantity.Litre, base.Strength, waterIn(solid, recipe.Ratio.Of(quantity.Litre)))
	if err != nil {
		return fmt.Errorf("work out strength of %s: %w", recipe.Name, err)
	}
	p.strength = Band{Low: strength.Low, Central: (strength.Low + strength.High) / 2, High: strength.High}
	p.sweetAndSour(base)
	if solid.Kind == book.Fruit {
		p.miss(solid.Name, SugarAndAcid)
	}
	p.infusion, p.use, p.source = true, recipe.Use, "the book; strength after produce water, share traded from memory"
	p.contains = slices.Concat(recipe.Allergens, r.book.AllergensOf(recipe.Solid, recipe.Base))
	yield := yieldOf(recipe, solid)
	if yield <= 0 {
		return nil
	}
	p.serves = int(yield / p.volume)
	batch, priced := costOf(r.book.House, recipe, base, solid)
	p.priced = priced
	p.cost = batch * float64(p.volume) / float64(yield)
	return nil
}

// waterIn gives the water that a mass of a solid may give off. A fresh solid
// whose water the book does not tell counts as all water, which keeps the low
// end low; a dry one gives none.
func waterIn(solid book.Botanical, mass quantity.Mass) quantity.Mass {
	fresh := slices.Contains([]book.Kind{book.Produce, book.SoftProduce, book.HotPepper, book.Fruit, book.Herb, book.Peel}, solid.Kind)
	if solid.Water == 0 && fresh && !solid.Dry {
		return mass
	}
	return mass * quantity.Mass(solid.Water) / 1000
}

// What is lost between the vessel and the jar, as shares of the liquid, beside
// what the solid keeps.
const (
	sprayed = 0.02 // in the vent: 1 to 3 %, from memory
	drawn   = 0.05 // with what sinks while it stands to clear: 3 to 6 %, an estimate
	washed  = 0.12 // with the curd or the clearing agent: 8 to 15 %, an estimate
)

// yieldOf gives what a house batch of an infusion gives after straining and
// decanting; what water the solid gives it takes as much of the liquid for. 0 =
// the book does not tell what the solid keeps.
func yieldOf(recipe book.Recipe, solid book.Botanical) quantity.Volume {
	if solid.Retention <= 0 || recipe.Batch <= 0 {
		return 0
	}
	lost := sprayed
	switch {
	case recipe.ClearWith != "":
		lost += washed
	case recipe.Clear > 0:
		lost += drawn
	}
	kept := float64(solid.Retention) * recipe.Ratio.Of(recipe.Batch).Grams()
	return quantity.Volume(math.Round(float64(recipe.Batch)*(1-lost) - kept))
}

// costOf gives the cost of a house batch in hundredths of the currency, and
// whether the book prices all of it: liquid, solid and chargers.
func costOf(house book.House, recipe book.Recipe, base book.Liquid, solid book.Botanical) (float64, bool) {
	liquid := float64(base.Price) * recipe.Batch.Millilitres() / 1000
	solids := float64(solid.Price) * recipe.Ratio.Of(recipe.Batch).Grams() / 1000
	chargers := float64(house.ChargerPrice) * float64(recipe.Chargers*max(recipe.Cycles, 1))
	return liquid + solids + chargers, base.Price > 0 && solid.Price > 0 && house.ChargerPrice > 0
}

// mix works out what a part holds of ethanol and water: all of it but the room
// that its sugar takes. Acid, fat and extract count as water.
func (p *part) mix() error {
	if err := quantity.Within("sugar", p.sugar, 0, mostSugar*p.hundreds(), "g"); err != nil {
		return err
	}
	if err := quantity.Within("acid", p.acid, 0, 100*p.hundreds(), "g"); err != nil {
		return err
	}
	room := p.volume.Millilitres() - sugarVolume*p.sugar
	for i, percent := range p.strength.ends() {
		b, err := blendOf(room, percent*p.volume.Millilitres()/room)
		if err != nil {
			return fmt.Errorf("mix %s: %w", p.name, err)
		}
		p.mixed[i] = b
	}
	return nil
}

// blendOf gives what so many millilitres of a strength hold.
func blendOf(ml, percent float64) (spirit.Blend, error) {
	fraction, err := spirit.ByMass(percent)
	if err != nil {
		return spirit.Blend{}, err
	}
	density, err := spirit.Density(fraction, spirit.Reference)
	if err != nil {
		return spirit.Blend{}, err
	}
	grams := ml * density / 1000
	b, err := spirit.OfWater(milligrams((1 - fraction) * grams))
	if err != nil {
		return spirit.Blend{}, err
	}
	pure := quantity.Volume(math.Round(fraction * grams / ethanolDensity * float64(quantity.Millilitre)))
	if pure == 0 {
		return b, nil
	}
	ethanol, err := spirit.Of(pure, 100*quantity.Percent)
	return b.Plus(ethanol), err
}

func milligrams(grams float64) quantity.Mass {
	return quantity.Mass(math.Round(grams * float64(quantity.Gram)))
}
