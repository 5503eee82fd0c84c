package plan

import (
	"cmp"
	"slices"
	"sort"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// mostRuns is how many runs a volume is split into at most.
const mostRuns = 6

// part is what goes into one vessel in one go.
type part struct {
	vessel book.Vessel
	liquid quantity.Volume
	round  int // 1, or the round in which the vessel is used again
}

// parts gives v for each vessel.
func parts(vessels []book.Vessel, v quantity.Volume) []part {
	out := make([]part, len(vessels))
	for i := range vessels {
		out[i] = part{vessels[i], v, 1}
	}
	return out
}

// firstRound gives the parts that fill a vessel for the first time.
func firstRound(all []part) []part {
	return slices.DeleteFunc(slices.Clone(all), func(p part) bool { return p.round > 1 })
}

// most gives the most liquid in one part.
func most(all []part) quantity.Volume {
	return slices.MaxFunc(all, func(a, b part) int { return cmp.Compare(a.liquid, b.liquid) }).liquid
}

// tooBig says that several runs may do what one cannot.
func (p *Problem) tooBig() bool { return p.Code == TooMuch || p.Code == TooFew || p.Code == OverStamp }

// turn is a vessel that may be used once, with the least and the most that it
// takes in steps of ten millilitres.
type turn struct {
	vessel      book.Vessel
	least, most int
}

// split gives the parts that come to all that was asked: in one round if the
// free vessels hold it, in as few runs as that takes, and these as equal as their
// vessels allow. It gives none where six runs do not do.
func (d draft) split(free []book.Vessel) []part {
	once := d.turns(free)
	for rounds := 1; rounds <= mostRuns && len(once) > 0; rounds++ {
		var turns []turn
		for _, t := range once {
			turns = append(turns, slices.Repeat([]turn{t}, rounds)...)
		}
		for runs := 1; runs <= min(mostRuns, len(turns)); runs++ {
			if out := d.divide(turns, runs); out != nil {
				return out
			}
		}
	}
	return nil
}

// turns gives one turn of each vessel that the draft may go into, the better
// first; of the named one alone where one is named.
func (d draft) turns(free []book.Vessel) []turn {
	vessels := slices.Clone(d.usable(free))
	if named := d.request.Vessel; named != "" {
		vessels = only(vessels, named)
	}
	slices.SortStableFunc(vessels, d.better)
	var out []turn
	for _, v := range vessels {
		t := turn{v, int((least(v) + offerStep - 1) / offerStep), int(d.fullest(v) / offerStep)}
		if t.least <= t.most {
			out = append(out, t)
		}
	}
	return out
}

// divide gives the parts of so many runs, the most equal ones; of those as equal
// the ones that use a vessel again the least, and then those in better vessels.
func (d draft) divide(turns []turn, runs int) []part {
	asked := d.each * quantity.Volume(d.count)
	steps := int(asked / offerStep)
	var best []part
	least := [2]int{steps + 1}
	choose(turns, runs, steps, func(chosen []turn) {
		shares := level(chosen, steps)
		cost := [2]int{slices.Max(shares) - slices.Min(shares), repeats(chosen)}
		if slices.Compare(cost[:], least[:]) >= 0 {
			return
		}
		if out := d.poured(chosen, shares, asked%offerStep); out != nil {
			best, least = out, cost
		}
	})
	return best
}

// choose tries every choice of so many turns that can hold so many steps. Turns
// of one vessel stand side by side; the first of them are taken.
func choose(turns []turn, runs, steps int, try func([]turn)) {
	chosen := make([]turn, 0, runs)
	var from func(i, least, most int)
	from = func(i, least, most int) {
		if len(chosen) == runs {
			if least <= steps && steps <= most {
				try(chosen)
			}
			return
		}
		for k := i; k < len(turns); k++ {
			t := turns[k]
			if k > i && t.vessel.Tag == turns[k-1].vessel.Tag {
				continue
			}
			chosen = append(chosen, t)
			from(k+1, least+t.least, most+t.most)
			chosen = chosen[:len(chosen)-1]
		}
	}
	from(0, 0, 0)
}

// repeats counts the rounds beyond the first of all vessels: a third one twice.
func repeats(chosen []turn) int {
	sum, round := 0, 0
	for i, t := range chosen { // turns of one vessel stand side by side
		if round++; i == 0 || t.vessel.Tag != chosen[i-1].vessel.Tag {
			round = 0
		}
		sum += round
	}
	return sum
}

// level pours so many steps out over the turns chosen, which hold them, so that
// they stand as level as their least and most allow.
func level(chosen []turn, steps int) []int {
	shares := make([]int, len(chosen))
	pour := func(height int) int {
		sum := 0
		for i, t := range chosen {
			shares[i] = min(max(height, t.least), t.most)
			sum += shares[i]
		}
		return sum
	}
	height := sort.Search(steps, func(h int) bool { return pour(h+1) > steps })
	left := steps - pour(height)
	for i, t := range chosen {
		if left > 0 && shares[i] == height && shares[i] < t.most {
			shares[i]++
			left--
		}
	}
	return shares
}

// poured makes parts of shares. What was asked beyond whole steps goes to the
// first vessel that takes it. It gives none where nothing takes it, or where the
// estimate of a pressure forbids a part.
func (d draft) poured(chosen []turn, shares []int, rest quantity.Volume) []part {
	out := make([]part, len(chosen))
	rounds := map[string]int{}
	for i, t := range chosen {
		liquid := quantity.Volume(shares[i]) * offerStep
		if d.fits(t.vessel, liquid+rest) {
			liquid, rest = liquid+rest, 0
		}
		if !d.bears(t.vessel, liquid) {
			return nil
		}
		rounds[t.vessel.Tag]++
		out[i] = part{t.vessel, liquid, rounds[t.vessel.Tag]}
	}
	if rest > 0 {
		return nil
	}
	return out
}
