package plan

import (
	"cmp"
	"slices"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// maxOffers is how many offers a problem carries.
const maxOffers = 3

// offers gives what works instead of r, the nearest to what was asked first.
// Each was laid out before it is offered, so that none can be refused in turn.
func offers(b *book.Book, r request.Request, free []book.Vessel, in Input, problem Problem) []Offer {
	d, ok := draftOf(b, r, in)
	if !ok || problem.Code == Refused || problem.Code == BadFigure || d.decide() != nil {
		return nil
	}
	d.request = d.withinLimits()
	d.pour()
	if o, ok := d.try(d.request, free); ok {
		return []Offer{o}
	}
	var out []Offer
	for _, c := range d.candidates(free, problem) {
		o, ok := d.try(c, free)
		known := slices.ContainsFunc(out, func(x Offer) bool { return x.Line == o.Line })
		if ok && !known {
			out = append(out, o)
		}
	}
	if o, ok := d.together(free, out); ok {
		out = append(out, o)
	}
	asked := d.each * quantity.Volume(d.count)
	slices.SortStableFunc(out, func(x, y Offer) int {
		return cmp.Compare(apart(x.total(), asked), apart(y.total(), asked))
	})
	return out[:min(len(out), maxOffers)]
}

// try lays r out and gives it as an offer if it works.
func (d draft) try(r request.Request, free []book.Vessel) (Offer, bool) {
	p, problem := lay(d.book, r, free, d.in)
	if problem != nil {
		return Offer{}, false
	}
	o := Offer{Line: r.String(), Runs: len(p.Runs), Volume: p.Runs[0].Liquid}
	if r.Split && len(p.Runs) > 1 {
		o.Split, o.Volume = true, p.Volume
	}
	for _, run := range p.Runs {
		o.Vessel = append(o.Vessel, run.Vessel)
	}
	return o, true
}

// total gives the liquid of all the offer's runs.
func (o Offer) total() quantity.Volume {
	if o.Split {
		return o.Volume
	}
	return o.Volume * quantity.Volume(o.Runs)
}

// apart gives how far a and b are apart.
func apart(a, b quantity.Volume) quantity.Volume { return max(a-b, b-a) }

// withinLimits gives the request with everything that lies outside the
// recipe's limits brought to the nearest limit, and the one tap given.
func (d draft) withinLimits() request.Request {
	r, rest, temp := d.request, d.recipe.Rest, d.recipe.Temp
	r.Sure = r.Sure || !d.house
	if r.Rest != 0 {
		r.Rest = min(max(r.Rest, rest.Min), rest.Max)
	}
	if t := min(max(d.temp, temp.Min), temp.Max, d.hottest()); r.Temp != nil || t < d.temp {
		r.Temp = &t
	}
	if most := d.strongest(); r.Solids > most {
		r.Solids = weighable(most)
	}
	return r
}

// candidates gives requests near the draft's own that other vessels or other
// volumes might make work.
func (d draft) candidates(free []book.Vessel, problem Problem) []request.Request {
	usable := d.usable(free)
	var out []request.Request
	if named := d.request.Vessel; named != "" {
		elsewhere := d.request
		elsewhere.Vessel = ""
		out = append(out, elsewhere)
		for _, v := range only(usable, named) {
			out = append(out, d.of(d.nearest(v), 1, named))
		}
		if _, ok := d.try(elsewhere, free); ok {
			return out
		}
	} else if problem.Code == OverStamp { // less of it in the same vessel
		for _, v := range only(usable, problem.Vessel) {
			out = append(out, d.of(d.nearest(v), 1, v.Tag))
		}
	}
	out = append(out, d.singles(usable)...)
	return append(out, d.several(usable)...)
}

// of gives the draft's request with another volume, count and vessel, its
// solids in the same proportion.
func (d draft) of(each quantity.Volume, count int, vessel string) request.Request {
	r := d.request
	r.Volume, r.Count, r.Vessel, r.Split = each, count, vessel, false
	if count == 1 {
		r.Count = 0
	}
	if r.Solids != 0 {
		r.Solids = d.mass(each)
	}
	return r
}

// nearest gives the volume nearest to all that was asked that v holds.
func (d draft) nearest(v book.Vessel) quantity.Volume {
	lowest := (least(v) + offerStep - 1) / offerStep * offerStep
	return min(max(d.each*quantity.Volume(d.count), lowest), d.fullest(v))
}

// singles gives the one run that comes nearest to what was asked from below,
// and the one from above.
func (d draft) singles(usable []book.Vessel) []request.Request {
	asked := d.each * quantity.Volume(d.count)
	var below, above request.Request
	for _, v := range usable {
		near := d.nearest(v)
		switch {
		case !d.fits(v, near):
		case near <= asked && near > below.Volume:
			below = d.of(near, 1, v.Tag)
		case near > asked && (above.Volume == 0 || near < above.Volume):
			above = d.of(near, 1, v.Tag)
		}
	}
	return slices.DeleteFunc([]request.Request{below, above}, func(r request.Request) bool { return r.Volume == 0 })
}

// several gives runs in more than one vessel: those that come nearer to what
// was asked than fewer runs do, and as many as asked or fit of the size asked.
func (d draft) several(usable []book.Vessel) []request.Request {
	asked := d.each * quantity.Volume(d.count)
	var room []quantity.Volume
	same := 0
	for _, v := range usable {
		room = append(room, d.fullest(v))
		same += int(rank(d.fits(v, d.each)))
	}
	slices.SortFunc(room, func(x, y quantity.Volume) int { return cmp.Compare(y, x) })
	var out []request.Request
	if same > 0 && same < d.count {
		out = append(out, d.of(d.each, same, ""))
	}
	var best quantity.Volume
	for i, most := range room {
		runs := i + 1
		each := min(share(asked, runs), most)
		total := each * quantity.Volume(runs)
		if total > best && runs > 1 {
			out = append(out, d.of(each, runs, ""))
		}
		best = max(best, total)
	}
	return out
}

// share gives what of v each of n runs takes: the exact part where it is whole
// millilitres, else rounded down to ten.
func share(v quantity.Volume, n int) quantity.Volume {
	part := v / quantity.Volume(n)
	if part*quantity.Volume(n) == v && part%quantity.Millilitre == 0 {
		return part
	}
	return part / offerStep * offerStep
}

// worthSplitting is how much nearer to what was asked unequal runs have to come
// than equal ones, as a part of their own volume: less is not worth their trouble
// (estimate).
const worthSplitting = 10

// together offers all that was asked, or as much of it as the free vessels hold
// together, split in one round, where no other offer comes as near.
func (d draft) together(free []book.Vessel, others []Offer) (Offer, bool) {
	asked := d.each * quantity.Volume(d.count)
	if slices.ContainsFunc(others, func(o Offer) bool { return o.total() == asked }) {
		return Offer{}, false
	}
	var room []quantity.Volume
	for _, v := range d.usable(free) {
		room = append(room, d.fullest(v))
	}
	slices.SortFunc(room, func(x, y quantity.Volume) int { return cmp.Compare(y, x) })
	var most quantity.Volume
	for _, v := range room[:min(len(room), mostRuns)] {
		most += v
	}
	r := d.of(min(asked, most), 1, "")
	r.Split = true
	o, ok := d.try(r, free)
	if !ok || !o.Split || again(o.Vessel) {
		return Offer{}, false
	}
	for _, x := range others {
		if apart(x.total(), asked)-apart(o.total(), asked) < o.total()/worthSplitting {
			return Offer{}, false
		}
	}
	return o, true
}

// again says that a vessel is used more than once.
func again(tags []string) bool {
	tags = slices.Sorted(slices.Values(tags))
	return len(slices.Compact(tags)) < len(tags)
}
