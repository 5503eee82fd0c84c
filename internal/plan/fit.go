package plan

import (
	"cmp"
	"slices"
	"sort"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// offerStep is the grain of the volumes worked out here, not said.
const offerStep = 10 * quantity.Millilitre

// cold is the highest target temperature at which a vessel that keeps its
// contents cold is the better of two alike (estimate).
const cold = 10 * quantity.Celsius

// mass gives the solids for v of liquid: what was said for the volume asked,
// the same proportion for another, else by the ratio.
func (d draft) mass(v quantity.Volume) quantity.Mass {
	said := d.request.Solids
	switch {
	case said == 0:
		return d.recipe.Ratio.Of(v)
	case v == d.each:
		return said
	}
	return weighable(quantity.Mass(int64(said) * int64(v) / int64(d.each)))
}

// weighable rounds m down to what a bench scale shows: whole grams, tenths
// below ten grams, and at least one tenth.
func weighable(m quantity.Mass) quantity.Mass {
	const tenth = quantity.Gram / 10
	if m < 10*quantity.Gram {
		return max(m-m%tenth, tenth)
	}
	return m - m%quantity.Gram
}

// fills says whether v may be filled with so much liquid and its solids.
func (d draft) fills(v book.Vessel, liquid quantity.Volume) bool {
	return d.recipe.Fits(v, liquid, d.solid.TrueVolume(d.mass(liquid)))
}

// fits says whether so much liquid is neither too much nor too little for v.
func (d draft) fits(v book.Vessel, liquid quantity.Volume) bool {
	return liquid >= least(v) && d.fills(v, liquid)
}

// least gives the least liquid worth a charge in v: a quarter of its line
// (estimate), so that the gas goes into the liquid and not into headspace.
func least(v book.Vessel) quantity.Volume { return v.Line / 4 }

// fullest gives the most liquid that v holds, in whole steps of ten millilitres,
// and whose pressure the estimate does not forbid.
func (d draft) fullest(v book.Vessel) quantity.Volume {
	most := d.mostOf(v, d.fills)
	if most == 0 || d.bears(v, most) {
		return most
	}
	v.Line = most
	return d.mostOf(v, d.bears)
}

// mostOf gives the most liquid in v that passes, up to its line.
func (d draft) mostOf(v book.Vessel, passes func(book.Vessel, quantity.Volume) bool) quantity.Volume {
	steps := sort.Search(int(v.Line/offerStep), func(i int) bool {
		return !passes(v, quantity.Volume(i+1)*offerStep)
	})
	return quantity.Volume(steps) * offerStep
}

// nut gives the draft's first allergen that keeps it out of a nut-free
// vessel, or nothing. The names are those of Regulation (EU) 1169/2011, annex II.
func (d draft) nut() string {
	for _, a := range d.recipe.Allergens {
		switch a {
		case "nuts", "peanuts", "sesame":
			return a
		}
	}
	return ""
}

// usable gives the free vessels that the draft may go into at all.
func (d draft) usable(free []book.Vessel) []book.Vessel {
	nut := d.nut() != ""
	return slices.DeleteFunc(slices.Clone(free), func(v book.Vessel) bool {
		return nut && v.NutFree || d.eaten(v) || v.Head == book.PlasticHead
	})
}

// choose picks one vessel for each run: the named one first, then the best of
// those that the load fits.
func (d draft) choose(free []book.Vessel) ([]book.Vessel, *Problem) {
	named := d.request.Vessel
	if problem := d.reach(named, free); problem != nil {
		return nil, problem
	}
	usable := d.usable(free)
	switch {
	case len(usable) == 0 && slices.ContainsFunc(free, d.eaten):
		return nil, &Problem{Code: AcidMetal, Vessel: free[slices.IndexFunc(free, d.eaten)].Tag}
	case len(usable) == 0:
		return nil, &Problem{Code: NoVessel, Volume: d.each}
	case d.count > len(usable):
		return nil, &Problem{Code: TooFew, Volume: d.each, Count: d.count}
	}
	fitting := slices.DeleteFunc(slices.Clone(usable), func(v book.Vessel) bool { return !d.fits(v, d.each) })
	if len(fitting) < d.count || named != "" && only(fitting, named) == nil {
		return nil, d.misfit(usable)
	}
	slices.SortStableFunc(fitting, d.better)
	return fitting[:d.count], nil
}

// reach says why the named vessel, if any, cannot be had.
func (d draft) reach(named string, free []book.Vessel) *Problem {
	if named == "" {
		return nil
	}
	at := only(free, named)
	if len(at) == 0 {
		return &Problem{Code: VesselShut, Vessel: named}
	}
	if at[0].Head == book.PlasticHead {
		return &Problem{Code: PlasticHead, Vessel: named}
	}
	if nut := d.nut(); at[0].NutFree && nut != "" {
		return &Problem{Code: NutFreeOnly, Vessel: named, Name: nut}
	}
	if d.eaten(at[0]) {
		return &Problem{Code: AcidMetal, Vessel: named}
	}
	return nil
}

// only gives the vessel with the given tag, if it is there.
func only(vessels []book.Vessel, tag string) []book.Vessel {
	i := slices.IndexFunc(vessels, func(v book.Vessel) bool { return v.Tag == tag })
	if i < 0 {
		return nil
	}
	return vessels[i : i+1]
}

// misfit says why the usable vessels do not do: too little liquid for the
// smallest of them, or too much for one or all.
func (d draft) misfit(usable []book.Vessel) *Problem {
	problem := &Problem{Code: TooMuch, Volume: d.each}
	if v := only(usable, d.request.Vessel); len(v) > 0 && !d.fits(v[0], d.each) {
		problem.Vessel = d.request.Vessel
		usable = v
	}
	smallest := slices.MinFunc(usable, func(a, b book.Vessel) int { return cmp.Compare(a.Line, b.Line) })
	if d.each < least(smallest) {
		problem.Code, problem.Vessel = TooLittle, smallest.Tag
	}
	return problem
}

// better orders vessels that fit, best first: the named one, then for acid those
// known to be of steel, then those not kept nut-free, then the size the ratio
// was proven in, then the smallest.
// Between two alike an insulated vessel comes first for a cold load and last
// for any other, whose warmth a hand should feel.
func (d draft) better(a, b book.Vessel) int {
	wantCold := d.temp <= cold
	key := func(v book.Vessel) [5]int64 {
		return [5]int64{
			rank(v.Tag != d.request.Vessel),
			rank(d.acid && v.Material != steel),
			rank(v.NutFree),
			rank(v.Nominal != d.recipe.Proven),
			int64(v.Nominal)*2 + rank(v.Insulated != wantCold),
		}
	}
	ka, kb := key(a), key(b)
	return slices.Compare(ka[:], kb[:])
}

// rank gives 0 for false, 1 for true.
func rank(last bool) int64 {
	if last {
		return 1
	}
	return 0
}

// chargers gives how many chargers r takes in v. A vessel smaller than the one
// the recipe was proven in takes its share, rounded down, and at least one; a
// bigger one keeps the count. The vessel's limit always wins.
func chargers(r book.Recipe, v book.Vessel) int {
	return min(wanted(r, v), v.ChargerLimit())
}

// wanted is chargers without the vessel's limit.
func wanted(r book.Recipe, v book.Vessel) int {
	n := r.Chargers
	if v.Nominal < r.Proven {
		n = int(int64(n) * int64(v.Nominal) / int64(r.Proven))
	}
	return max(n, 1)
}
