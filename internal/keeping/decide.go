// Package keeping says what may be made of a botanical and a liquid, where it
// is kept and until which day, what it has to tell of allergens, and why: a
// decision table with its sources, the law's caps and the botanicals to refuse,
// to limit or to warn of. It speaks codes and values, never sentences, and it
// knows no clock. It is no legal advice and no laboratory: the local code, its
// inspector and licensed practice always win, and silence here never means safe.
package keeping

import (
	"slices"
	"time"
)

// Standing is what becomes of a product.
type Standing string

// The standings.
const (
	Kept      Standing = "kept"
	Held      Standing = "held" // until somebody has decided
	Discarded Standing = "discarded"
	Refused   Standing = "refused" // not made, or not kept like this
)

// Keep is how long and where a product keeps.
type Keep struct {
	Standing Standing
	Rule     string // row of the table that decided
	Finished Finished
	Storage  Storage
	Start    Date // day one
	// KeepDays is how many days in all it keeps, day one included and days in
	// the freezer left out.
	KeepDays int
	UseBy    Date // last day; zero while frozen, unless a law or a maker's date ends it
	By       Code // what decided the date
	TCS      bool
	Notes    []Note
	// AfterThaw is how many days are left once it is thawed, the day of thawing
	// being the first; only while it is frozen.
	AfterThaw int
	// BestFrozen is the last day of its quality in the freezer, where the table
	// has one.
	BestFrozen Date
	// Overridden says that Override made it longer, for the log.
	Overridden bool
	Override   Override
}

// mostOut is how long TCS food may stand out of chill, in all.
const mostOut = 4 * time.Hour

// washedDays is how long a washed spirit keeps when meat fat or curd stayed in.
const washedDays = 7

// Decide says how long and where a product keeps, and everything found on the
// way. It refuses by its Standing; its error is a *quantity.RangeError for a
// figure that means nothing.
func Decide(c Case) (Keep, []Finding, error) {
	if err := c.check(); err != nil {
		return Keep{}, nil, err
	}
	d := newDecision(c)
	d.start()
	d.refuseSolids()
	d.pickRows()
	d.pickStorage()
	d.count()
	d.deviate()
	d.ask()
	if slices.ContainsFunc(d.found, func(f Finding) bool { return f.Act == Refuse && f.Code != TooLongOutChill }) {
		d.keep = Keep{Standing: Refused, Rule: d.keep.Rule, Finished: d.keep.Finished, Start: d.keep.Start, TCS: d.keep.TCS, Notes: d.keep.Notes}
	}
	slices.SortStableFunc(d.found, func(a, b Finding) int { return gravity[b.Act] - gravity[a.Act] })
	return d.keep, d.found, nil
}

// decision is one case on its way through the table.
type decision struct {
	c     Case
	where Jurisdiction
	row   Row   // the one with the fewest days
	rows  []Row // one for each solid
	keep  Keep
	found []Finding
}

func newDecision(c Case) *decision {
	c.Solids = c.counted()
	d := &decision{c: c, keep: Keep{Standing: Kept}}
	d.where, _ = Where(c.Where)
	return d
}

// counted gives everything that leaves something behind, as it counts: a plain
// clearing agent leaves nothing that shortens, what washes counts as fat, and
// what is not known counts as nobody knows what.
func (c *Case) counted() []Solid {
	all := slices.Clone(c.Solids)
	for i, s := range all {
		all[i] = s.counted()
	}
	for _, a := range c.Agents {
		switch f, known := a.fact(); {
		case !known:
			all = append(all, Solid{Name: string(a)})
		case f.fat:
			all = append(all, Solid{Name: string(a), Class: Fat})
		}
	}
	return all
}

func (d *decision) find(f Finding) { d.found = append(d.found, f) }

// start sets day one: the shift's day, or the day that an ingredient which
// spoils was opened if that is earlier.
func (d *decision) start() {
	d.keep.Start = d.c.made()
	if d.keep.Start != DateOf(d.c.Made) {
		d.find(Finding{Act: Reason, Code: ByBusiness, Date: d.keep.Start, Sources: []Source{practice, hourOrCalendar}})
	}
	for _, p := range d.c.Parts {
		if p.TCS && !p.Opened.IsZero() && p.Opened.Before(d.keep.Start) {
			d.keep.Start = p.Opened
			d.find(Finding{Act: Reason, Code: ByOpened, Name: p.Name, Date: p.Opened, Sources: []Source{dateMarking}})
		}
	}
}

// refuseSolids stops what is never infused, before anything is reckoned.
func (d *decision) refuseSolids() {
	for _, s := range d.c.Solids {
		for _, caution := range CautionsFor(s.names()...) {
			act := caution.ActAt(d.where.Region, d.c.alcoholic())
			code := SolidNamed
			if act == Refuse {
				code = RefusedSolid
			}
			d.find(Finding{Act: act, Code: code, Name: s.Name, Rule: caution.ID, Sources: caution.Sources})
		}
	}
	if d.c.holdsEgg() && !d.c.PasteurisedEgg {
		d.find(Finding{Act: Refuse, Code: RawEgg, Sources: []Source{rawEggDrinks}})
	}
	if d.c.alcoholic() && d.c.Licensed == No {
		d.find(Finding{Act: Refuse, Code: NotLicensed, Name: d.where.Code})
	}
}

func (c *Case) holdsEgg() bool {
	return c.Liquid == Egg || slices.ContainsFunc(c.Agents, func(a Agent) bool {
		f, known := a.fact()
		return f.egg || !known && slices.Contains(saidBy(string(a)), "eggs")
	})
}

// pickRows finds the row for each solid; the one with the fewest days decides.
func (d *decision) pickRows() {
	for _, s := range d.c.Solids {
		r := d.c.rowFor(s)
		d.rows = append(d.rows, r)
		d.find(Finding{Act: Reason, Code: ByTable, Rule: r.ID, Name: s.Name, Days: r.Fridge, Sources: r.Sources})
		switch {
		case s.Class == "":
			d.find(Finding{Act: Ask, Code: AskSolid, Name: s.Name})
		case r.Finished == NothingListed:
			d.find(Finding{Act: Ask, Code: AskManager, Name: s.Name})
		}
		if d.c.Acidified && s.Class == Allium && r.ID != "O4" {
			d.find(Finding{Act: Ask, Code: AcidifiedBare, Name: s.Name, Rule: r.ID, Sources: []Source{acidifiedTest, variance}})
		}
	}
	d.row = slices.MinFunc(d.rows, func(a, b Row) int { return a.Fridge - b.Fridge })
	d.keep.Rule, d.keep.Finished, d.keep.Notes = d.row.ID, d.row.Finished, d.row.Notes
	if d.keep.Finished == PlainSpirit && (Test{MinABV: 40}).holds(&d.c, Solid{}) {
		d.keep.Finished = StrongSpirit
	}
	d.keep.TCS = slices.ContainsFunc(d.rows, func(r Row) bool { return r.TCS })
}

// pickStorage gives the shelf only where every row does.
func (d *decision) pickStorage() {
	d.keep.Storage = Fridge
	if d.c.Storage == Freezer && len(d.c.Freezes) == 0 {
		d.c.Freezes = []Freeze{{In: d.c.made()}}
	}
	if n := len(d.c.Freezes); n > 0 && d.c.Freezes[n-1].Out.IsZero() {
		d.keep.Storage = Freezer
		return
	}
	if d.c.Storage != Shelf {
		return
	}
	for i, r := range d.rows {
		s := d.c.Solids[i]
		if slices.Contains(r.StopAt, s.Class) {
			code := OilOnShelf
			if d.c.Liquid == Honey {
				code = HoneyOnShelf
			}
			d.find(Finding{Act: Refuse, Code: code, Name: s.Name, Rule: r.ID, Sources: r.Sources})
		}
	}
	if slices.ContainsFunc(d.rows, func(r Row) bool { return r.Shelf == 0 }) {
		d.find(Finding{Act: Warn, Code: MovedToFridge, Rule: d.row.ID})
		return
	}
	d.keep.Storage = Shelf
}

// days gives the most days of the table at the storage that was picked.
func (d *decision) days() int {
	if d.keep.Storage != Shelf {
		return d.row.Fridge
	}
	shortest := slices.MinFunc(d.rows, func(a, b Row) int { return a.Shelf - b.Shelf })
	return shortest.Shelf
}

// deviate holds or discards what went wrong.
func (d *decision) deviate() {
	out := d.c.OutOfChill > mostOut
	if out && d.keep.TCS {
		d.keep.Standing = Discarded
		d.find(Finding{Act: Refuse, Code: TooLongOutChill, Rule: d.row.ID, Sources: []Source{outOfChill}})
	}
	for _, v := range d.c.Deviations {
		if d.keep.Standing == Kept {
			d.keep.Standing = Held
		}
		d.find(Finding{Act: Ask, Code: HeldByDeviation, Name: string(v), Sources: []Source{practice}})
	}
	if out && d.keep.Standing == Kept {
		d.keep.Standing = Held
		d.find(Finding{Act: Ask, Code: HeldByDeviation, Name: string(WarmFridge), Sources: []Source{practice}})
	}
}

// ask gathers what a person should still answer or measure.
func (d *decision) ask() {
	c := &d.c
	d.found = append(d.found, placeFindings(c.Where)...)
	if c.alcoholic() {
		d.found = append(d.found, licenceFindings(c.Licensed)...)
		if d.where.Approval {
			d.find(Finding{Act: Ask, Code: ApprovalNeeded, Name: d.where.Code, Sources: []Source{d.where.Rules[len(d.where.Rules)-1].Source}})
		}
	}
	measure := func(code Code, r Reading) {
		if !r.Known {
			d.find(Finding{Act: Ask, Code: code, Rule: d.row.ID})
		}
	}
	switch c.Liquid {
	case Spirit, Wine:
		measure(MeasureStrength, Reading{Known: c.Strength.Known})
	case Vinegar:
		measure(MeasureAcidity, c.Acidity)
		measure(MeasurePH, c.PH)
	case Syrup, Honey:
		measure(MeasureBrix, c.Brix)
		if c.Liquid == Syrup && c.Brix.Known && c.Brix.Value >= 60 && c.Brix.Value < 65 {
			measure(MeasurePH, c.PH)
		}
	}
}
