package kitchen

import (
	"cmp"
	"slices"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// Diary is what a kitchen did in its present business day, and how many
// chargers it used on the days before.
type Diary struct {
	V        int        `cbor:"v"`
	Day      string     `cbor:"d,omitempty"` // "2006-01-02"; another day's list is over
	Finished []Finished `cbor:"f,omitempty"` // oldest first
	Used     []Used     `cbor:"u,omitempty"` // oldest day first
}

// Finished is a batch that was labelled or scrapped.
type Finished struct {
	Batch    uint32          `cbor:"b"`
	Title    string          `cbor:"t"`
	Vessel   string          `cbor:"a"`
	Liquid   quantity.Volume `cbor:"l"`           // as filled in
	Yield    quantity.Volume `cbor:"y,omitempty"` // as strained; 0 = never measured
	Scrapped bool            `cbor:"s,omitempty"` // false = labelled
	At       Moment          `cbor:"m"`
	By       Person          `cbor:"w"`
	UseBy    Moment          `cbor:"u,omitempty"` // a moment of the last day; 0 = scrapped, or not known
	// Allergens are those of its label.
	Allergens []string `cbor:"g,omitempty"`
	// Product is what was kept of it; then Drained is what the pieces weighed, 0 =
	// never told.
	Product book.Product  `cbor:"k,omitempty"`
	Drained quantity.Mass `cbor:"y2,omitempty"`
	// ABVLow and ABVHigh are the strength of the liquid, as the batch had them.
	ABVLow  float64 `cbor:"h,omitempty"`
	ABVHigh float64 `cbor:"h1,omitempty"`
	// Over is how many minutes it rested or stood on its solids beyond its time.
	Over uint16 `cbor:"o,omitempty"`
}

// Used is how many chargers went in on one business day.
type Used struct {
	Day      string `cbor:"d"`
	Chargers int    `cbor:"n"`
}

const (
	// finishedAtMost is how many of a day are kept, the latest: more than a
	// small kitchen makes (our choice), and a bound on what is stored.
	finishedAtMost = 36
	// usedDays is how many days of chargers are kept: two weeks, so that the
	// same weekday can be looked up.
	usedDays = 14
)

// Today gives what was finished in the business day of now, oldest first. now
// is in the kitchen's own zone. What still holds gas is not finished.
func (k *Kitchen) Today(now time.Time) []Finished {
	var list []Finished
	day := businessDay(now)
	if k.Diary.Day == day {
		list = slices.Clone(k.Diary.Finished)
	}
	for _, b := range k.Batches {
		if f, is := b.finished(); is && businessDay(f.At.Time().In(now.Location())) == day {
			list = append(list, f)
		}
	}
	slices.SortFunc(list, func(x, y Finished) int {
		return cmp.Or(cmp.Compare(x.At, y.At), cmp.Compare(x.Batch, y.Batch))
	})
	return list[max(0, len(list)-finishedAtMost):]
}

// ChargersUsed gives how many chargers went in on the business day of now, as
// counted. now is in the kitchen's own zone.
func (k *Kitchen) ChargersUsed(now time.Time) int {
	day, n := businessDay(now), 0
	for _, u := range k.Diary.Used {
		if u.Day == day {
			n += u.Chargers
		}
	}
	for _, b := range k.Batches {
		for _, c := range b.Charges {
			if businessDay(c.Done.Time().In(now.Location())) == day {
				n++
			}
		}
	}
	return n
}

// finished gives a batch as the diary tells it, once it is labelled or
// scrapped. A reservation that nobody charged was no batch.
func (b *Batch) finished() (Finished, bool) {
	if b.Ended == nil || b.Gas() > 0 || len(b.Charges) == 0 {
		return Finished{}, false
	}
	f := Finished{
		Batch: b.ID, Title: b.Title, Vessel: b.Vessel, Liquid: b.Liquid, Yield: b.Yield,
		Scrapped: b.Labelled == nil, At: b.Ended.Done, By: b.Ended.By, UseBy: b.UseBy,
		Allergens: b.Allergens, Product: b.Product, Drained: b.Drained,
		ABVLow: b.ABVLow, ABVHigh: b.ABVHigh, Over: b.ran(),
	}
	if f.Scrapped {
		f.UseBy, f.Allergens, f.ABVLow, f.ABVHigh = 0, nil, 0, 0
	}
	return f, true
}

// shelved writes a batch down that leaves the kitchen on the day of now. Until
// then it is read off the batch itself, so that an undo takes it back.
func (d *Diary) shelved(b *Batch, now time.Time) {
	d.used(b.Charges, now)
	f, is := b.finished()
	if !is || businessDay(f.At.Time().In(now.Location())) != businessDay(now) {
		return
	}
	d.turn(now)
	list := append(slices.Clone(d.Finished), f)
	d.Finished = list[max(0, len(list)-finishedAtMost):]
}

// turn begins the list of a new day.
func (d *Diary) turn(now time.Time) {
	d.V = version
	if day := businessDay(now); d.Day != day {
		d.Day, d.Finished = day, nil
	}
}

// spend counts n chargers that went into no batch.
func (d *Diary) spend(n int, now time.Time) {
	for range n {
		d.used([]Charge{{Mark: Mark{Done: At(now)}}}, now)
	}
}

// used counts chargers, each on its own day, that no batch in the kitchen
// counts any more.
func (d *Diary) used(charges []Charge, now time.Time) {
	if len(charges) == 0 {
		return
	}
	d.turn(now)
	d.Used = slices.Clone(d.Used)
	for _, c := range charges {
		day := businessDay(c.Done.Time().In(now.Location()))
		i, found := slices.BinarySearchFunc(d.Used, day, func(u Used, day string) int { return cmp.Compare(u.Day, day) })
		if !found {
			d.Used = slices.Insert(d.Used, i, Used{Day: day})
		}
		d.Used[i].Chargers++
	}
	d.Used = d.Used[max(0, len(d.Used)-usedDays):]
}

// spoilt takes the last day off what was labelled of a batch.
func (d *Diary) spoilt(batch uint32) {
	for i, f := range d.Finished {
		if f.Batch == batch {
			d.Finished = slices.Clone(d.Finished)
			d.Finished[i].UseBy = 0
		}
	}
}
