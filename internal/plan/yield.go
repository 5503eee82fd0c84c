package plan

import (
	"math"
	"slices"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// What is lost between the vessel and the jar, as shares of the liquid.
const (
	sprayed = 0.02 // in the vent: 1 to 3 %, from memory
	drawn   = 0.05 // with what sinks while it stands to clear: paper takes 3 to 6 %, our estimate
	washed  = 0.12 // with the curd or the clearing agent: 8 to 15 %, our estimate
)

// weighings are how many of the house's own weighings beat the table, and how
// many of the latest are looked at.
const (
	enoughWeighings = 3
	latestWeighings = 5
	// mostShare is the most that can come out of what went in: twice.
	mostShare = 2.0
)

// drained gives what the solids in so much liquid weigh once they are drained,
// where they are the product, and whether that is by the house's own weighings.
// What they keep of the liquid counts as a gram a millilitre.
func (d draft) drained(liquid quantity.Volume) (quantity.Mass, bool) {
	in := float64(d.mass(liquid))
	own := func(w Weighing) float64 { return float64(w.Drained) / float64(max(w.Solids, 1)) }
	if share, ok := weighed(d.in.Weighed, own); ok {
		return quantity.Mass(in * share), true
	}
	return quantity.Mass(in * (1 + retention(d.solid).Millilitres())), false
}

// yield gives what comes out of so much liquid after straining and decanting,
// and whether that is by the house's own weighings. What water the solids give
// they take as much of the liquid for, so it is not counted on top.
func (d draft) yield(liquid quantity.Volume) (quantity.Volume, bool) {
	own := func(w Weighing) float64 { return float64(w.Out) / float64(max(w.In, 1)) }
	share, ok := weighed(d.in.Weighed, own)
	kept, gauged := d.kept()
	switch {
	case gauged:
		share = 1 - d.lost() - d.mass(liquid).Grams()/liquid.Millilitres()*kept.Central
	case !ok:
		share = 1 - d.lost() - d.mass(liquid).Grams()/liquid.Millilitres()*retention(d.solid).Millilitres()
	}
	return max(quantity.Volume(math.Round(float64(liquid)*share)), 0), ok
}

// lost gives the share of the liquid that is lost whatever the solids keep.
func (d draft) lost() float64 {
	switch {
	case d.recipe.ClearWith != "":
		return sprayed + washed
	case d.recipe.Clear > 0:
		return sprayed + drawn
	}
	return sprayed
}

// kept gives what a gram of the solids keeps by the house's own weighings, in
// millilitres, from the least to the most of the latest; what is lost besides is
// taken off. With it a yield follows the solids where there are more or fewer of
// them than were weighed.
func (d draft) kept() (Band, bool) {
	var all []float64
	own := func(w Weighing) float64 {
		share := float64(w.Out) / float64(max(w.In, 1))
		if share > 0 && share <= mostShare && w.Solids > 0 {
			all = append(all, (w.In.Millilitres()*(1-d.lost())-w.Out.Millilitres())/w.Solids.Grams())
		}
		return share
	}
	if _, ok := weighed(d.in.Weighed, own); !ok || len(all) < enoughWeighings || d.recipe.Product == book.SolidKept {
		return Band{}, false
	}
	sum := 0.0
	for _, k := range all {
		sum += k
	}
	if sum <= 0 { // they gave more than they kept: the share alone tells
		return Band{}, false
	}
	return Band{Low: max(slices.Min(all), 0), Central: sum / float64(len(all)), High: slices.Max(all)}, true
}

// weighed gives the share that came out of what went in, the mean of the latest
// weighings. What cannot be true is not counted.
func weighed(all []Weighing, of func(Weighing) float64) (share float64, enough bool) {
	n := 0
	for i := len(all) - 1; i >= 0 && n < latestWeighings; i-- {
		if own := of(all[i]); own > 0 && own <= mostShare {
			share += own
			n++
		}
	}
	if n < enoughWeighings {
		return 0, false
	}
	return share / float64(n), true
}

// retention gives what a gram of a solid keeps of the liquid, in microlitres
// for the gram. Where the book tells nothing it is the middle of a range from
// memory: a weighing of the house's own is better.
func retention(b book.Botanical) quantity.Volume {
	const microlitres = quantity.Microlitre
	switch leaf := b.Kind == book.Herb || b.Kind == book.Woody; {
	case b.Retention > 0:
		return b.Retention
	case b.Kind == book.Tea, leaf && b.Dry:
		return 3000 * microlitres // dried leaf
	case leaf, b.Kind == book.Spice, b.Kind == book.Roast, b.Kind == book.Bitter:
		return 500 * microlitres
	case b.Kind == book.Peel:
		return 200 * microlitres
	}
	return 100 * microlitres // fresh pieces: a film
}

// serveOf gives how big a serve is: as said, else the recipe's, else the house's.
func (d draft) serveOf() quantity.Volume {
	for _, v := range [...]quantity.Volume{d.request.Serve, d.recipe.Serve, d.book.House.Serve} {
		if v > 0 {
			return v
		}
	}
	return 0
}

// spare is what is poured beside the serves that are counted (common practice).
const spare = 0.05

// mostServes is more than any kitchen makes in one go; more is a slip.
const mostServes = 2000

// serve adds what the plan's runs come to: the yield, the serves and the cost.
func (d draft) serve(p *Plan) {
	f := &p.Figures
	for _, run := range p.Runs {
		f.Yield += run.Figures.Yield
		f.Drained += run.Figures.Drained
		f.Weighed = run.Figures.Weighed
	}
	f.Kept, _ = d.kept()
	f.Serve = d.serveOf()
	f.Cost = d.cost(*p)
	f.Currency = d.book.House.Currency
	if f.Serve > 0 {
		f.Serves = int(f.Yield / f.Serve)
	}
	if f.Serves > 0 {
		f.CostPerServe = quantity.Money(float64(f.Cost)*float64(f.Serve)/float64(f.Yield) + 0.5)
	}
}

// cost gives what liquid, solids and chargers cost together; nothing where a
// price of one of them was never entered.
func (d draft) cost(p Plan) quantity.Money {
	litre, kilogram, charger := d.liquid.Price, d.solid.Price, d.book.House.ChargerPrice
	if litre == 0 || kilogram == 0 || charger == 0 {
		return 0
	}
	sum := 0.5
	for _, run := range p.Runs {
		sum += float64(litre) * float64(run.Liquid) / float64(quantity.Litre)
		sum += float64(charger) * float64(run.Chargers*max(p.Cycles, 1))
		for _, s := range run.Solids {
			sum += float64(kilogram) * float64(s.Mass) / float64(quantity.Kilogram)
		}
	}
	return quantity.Money(sum)
}

// served turns a number of serves into the liquid that they take: each of them
// with a little to spare, over what the recipe yields.
func served(b *book.Book, r request.Request, in Input) (request.Request, *Problem) {
	if r.Serves == 0 {
		return r, nil
	}
	if err := quantity.Within("serves", float64(r.Serves), 1, mostServes, ""); err != nil {
		return r, outOfRange(err)
	}
	d, ok := draftOf(b, r, in)
	if !ok {
		return r, nil
	}
	serve, from := d.serveOf(), quantity.Litre
	if d.recipe.Product == book.SolidKept {
		return r, &Problem{Code: NotPoured, Count: r.Serves, Name: d.recipe.Name}
	}
	if serve == 0 {
		return r, &Problem{Code: NoServe, Count: r.Serves, Name: d.recipe.Name}
	}
	yield, _ := d.yield(from)
	if yield == 0 {
		return r, &Problem{Code: TooStrong, Name: d.recipe.Solid, Count: int(d.most / quantity.GramsPer100)}
	}
	runs := quantity.Volume(max(r.Count, 1))
	all := float64(r.Serves) * float64(serve) * (1 + spare) * float64(from) / float64(yield)
	each := quantity.Volume(all)/runs + offerStep - 1
	r.Volume, r.Serves = each/offerStep*offerStep, 0
	return r, nil
}
