package gas

import "math"

// The errors of the inputs, each as far as it is believed to reach either way;
// the solubility has its own band.
const (
	brimGuessed  = 0.07
	brimMeasured = 0.01
	chargeError  = 0.05 // chargers of 7.5 to 8.4 g are sold as 8 g
	heatError    = 3.0  // K
)

// figures is how many numbers of a run get a band: three for each charger and
// the pressure of all chargers at once.
const figures = 3*MaxChargers + 1

// run is one pass through the sequence at one set of inputs.
type run struct {
	unswirled, swirled [MaxChargers]balance
	atOnce             balance
	// For each charger bar unswirled, bar swirled, g/l; last, bar at once.
	figures [figures]float64
}

// budget runs the sequence again with each input alone at its edges, and sums
// the squares of what that does to every figure, upwards and downwards apart.
type budget struct {
	n         int
	mol       float64 // of one charger
	central   run
	up, down  [figures]float64
	saturated [MaxChargers]bool
}

// widen takes in one input: the vessel and the share of the charge at its one
// edge and at its other.
func (u *budget) widen(a, b vessel, shareA, shareB float64) {
	var one, other run
	a.sequence(u.n, u.mol*shareA, &one)
	b.sequence(u.n, u.mol*shareB, &other)
	for i, c := range u.central.figures {
		down := c - min(one.figures[i], other.figures[i], c)
		up := max(one.figures[i], other.figures[i], c) - c
		u.down[i] += down * down
		u.up[i] += up * up
	}
	for i := range u.n {
		u.saturated[i] = u.saturated[i] || u.central.reaches(i) || one.reaches(i) || other.reaches(i)
	}
}

// band gives one figure with the root of its sums either way.
func (u *budget) band(i int) Band {
	c := u.central.figures[i]
	return Band{Low: max(c-math.Sqrt(u.down[i]), 0), Central: c, High: c + math.Sqrt(u.up[i])}
}

// reaches says that the gas reached saturation at charger i.
func (r *run) reaches(i int) bool { return r.unswirled[i].atTop() || r.swirled[i].atTop() }

// sequence fills r with one pass: each charger unswirled, then swirled.
func (v *vessel) sequence(n int, mol float64, r *run) {
	before := v.still()
	for i := range n {
		total := mol * float64(i+1)
		r.unswirled[i] = v.unswirled(total, before)
		r.swirled[i] = v.swirled(total)
		before = r.swirled[i]
		r.figures[3*i] = v.gauge(r.unswirled[i])
		r.figures[3*i+1] = v.gauge(before)
		r.figures[3*i+2] = grams(before.dissolved) / (v.liquid * 1e3)
	}
	r.atOnce = v.unswirled(mol*float64(n), v.still())
	r.figures[figures-1] = v.gauge(r.atOnce)
}

// vessel is the load in SI units at one temperature.
func (l Load) vessel(line *ceiling) vessel {
	return vessel{
		line:      line,
		headspace: (l.Brim - l.Liquid - l.Solids).Millilitres() * 1e-6,
		liquid:    l.Liquid.Millilitres() * 1e-6,
		ostwald:   l.Solvent.ostwald(line.kelvin),
		poynting:  molarVolume,
		swelling:  molarVolume,
	}
}

// brimError is how far the brim volume may be off, in m³.
func (l Load) brimError() float64 {
	share := brimGuessed
	if l.Measured {
		share = brimMeasured
	}
	return share * l.Brim.Millilitres() * 1e-6
}

// larger is the vessel with more brim volume, in m³.
func (v vessel) larger(by float64) vessel {
	v.headspace += by
	return v
}

// times is the vessel with the solubility multiplied.
func (v vessel) times(factor float64) vessel {
	v.ostwald *= factor
	return v
}

// residual is what stays in a charger in balance with the vessel, in grams.
func (v *vessel) residual(b balance) float64 {
	return v.line.residualIn(v.absolute(b) * pascalPerBar)
}
