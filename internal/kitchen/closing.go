package kitchen

import (
	"cmp"
	"slices"
	"time"

	"ventbell/internal/keeping"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// Closing is what is kept of the end of a day: the list that is open, the one that
// was signed last, the temperatures, and when the kitchen looks at them again.
type Closing struct {
	V      int       `cbor:"v"`
	N      uint16    `cbor:"n,omitempty"` // the number of the last list
	List   *OpenList `cbor:"l,omitempty"`
	Last   *Closed   `cbor:"s,omitempty"`
	Fridge *Reading  `cbor:"f,omitempty"` // the last one
	Hot    []Cooling `cbor:"h,omitempty"`
	// Ends is when the business day ends that something is open in; 0 = nothing is.
	Ends Moment `cbor:"e,omitempty"`
	// Morning is when the next morning note is looked at, and Noted the number of
	// the last message about a day.
	Morning Moment `cbor:"m,omitempty"`
	Noted   uint16 `cbor:"o,omitempty"`
	// Before is the day that ended unsigned, as the last late word tells of it.
	Before string `cbor:"b,omitempty"`
}

// OpenList is a list in the channel that nobody signed yet: of closing, or between
// two shifts.
type OpenList struct {
	By Person `cbor:"b"`
	At Moment `cbor:"a"`
	// Shift says that it is one between two shifts; To is who was named to take
	// over, and Gone the signature of who goes.
	Shift bool   `cbor:"s,omitempty"`
	To    Person `cbor:"t,omitzero"`
	Gone  *Mark  `cbor:"g,omitempty"`
}

// Reading is a temperature that somebody told.
type Reading struct {
	Mark
	Temp quantity.Temperature `cbor:"t"`
}

// ItemCode says what is open on a closing list.
type ItemCode string

// What can be open, in the order of the list.
const (
	ItemBlocked    ItemCode = "blocked"    // Vessel does not vent; Fenced says whether it is fenced off
	ItemGas        ItemCode = "gas"        // Batch is under pressure, N chargers
	ItemCream      ItemCode = "cream"      // Cream is under pressure
	ItemUnstrained ItemCode = "unstrained" // Batch still holds its solids
	ItemUnlabelled ItemCode = "unlabelled" // Batch
	ItemCooling    ItemCode = "cooling"    // what was made warm is not cold yet, or was not in time
	ItemPast       ItemCode = "past"       // N jars of Title are past UseBy
	ItemDirty      ItemCode = "dirty"      // Vessel and its head
	ItemChargers   ItemCode = "chargers"   // the full ones are not counted
	ItemShells     ItemCode = "shells"     // nor the spent ones
	ItemFridge     ItemCode = "fridge"     // its temperature is not entered, or Temp is too warm
)

// ClosingItem is one thing that is open.
type ClosingItem struct {
	Code   ItemCode              `cbor:"c"`
	Batch  uint32                `cbor:"b,omitempty"` // or the number of the cream
	Vessel string                `cbor:"a,omitempty"`
	Title  string                `cbor:"t,omitempty"`
	Who    Person                `cbor:"w,omitzero"` // who has it
	Since  Moment                `cbor:"s,omitempty"`
	UseBy  Moment                `cbor:"u,omitempty"`
	N      int                   `cbor:"n,omitempty"`
	Fenced *Mark                 `cbor:"f,omitempty"`
	Temp   *quantity.Temperature `cbor:"e,omitempty"`
}

// Pressed says that a vessel is or may be under pressure and is not fenced off.
func (x ClosingItem) Pressed() bool {
	switch x.Code {
	case ItemGas, ItemCream:
		return true
	case ItemBlocked:
		return x.Fenced == nil
	}
	return false
}

// ClosingPage is a closing list as the kitchen stands now, and what else an answer
// about the end of a day is about.
type ClosingPage struct {
	N     uint16        `cbor:"n,omitempty"` // the list's number; 0 = none is open
	List  *OpenList     `cbor:"l,omitempty"`
	Day   string        `cbor:"d"`
	Items []ClosingItem `cbor:"i,omitempty"`
	// Fridge is the reading of this business day; Most is what a fridge may have
	// and Law what the law of the place allows, 0 = no figure.
	Fridge *Reading             `cbor:"f,omitempty"`
	Most   quantity.Temperature `cbor:"m,omitempty"`
	Law    quantity.Temperature `cbor:"w,omitempty"`
	Hot    *Cooling             `cbor:"h,omitempty"`
	Last   *Closed              `cbor:"s,omitempty"`
}

// Pressed gives the vessels under pressure that are not fenced off.
func (p ClosingPage) Pressed() []ClosingItem {
	return slices.DeleteFunc(slices.Clone(p.Items), func(x ClosingItem) bool { return !x.Pressed() })
}

// ClosingSlip is the message of a closing list, edited in place as things are
// ticked. Its Turn is the list's number.
const ClosingSlip EntryKind = "closing"

const (
	// relistFrom is how old a list is that is posted anew when somebody asks for it,
	// so that it is not far up (our choice).
	relistFrom = 20 * time.Minute
	// daysKept is how many lists and notes back a message may still be edited.
	daysKept = 4
	// MostFridge is what a fridge may have: what keeping's days rest on; FDA Food
	// Code 3-501.16 has 5 °C (41 °F) as well.
	MostFridge = 5 * quantity.Celsius
)

// ClosingList gives the list as the kitchen stands now. now is in the kitchen's own
// zone.
func (k *Kitchen) ClosingList(now time.Time) ClosingPage {
	p := ClosingPage{N: k.Closing.N, List: k.Closing.List, Day: businessDay(now)}
	if p.List == nil {
		p.N = 0
	}
	p.Items = slices.Concat(k.pressedItems(), k.batchItems(), k.coolingItems(), k.pastItems(now), k.dirtyItems(), k.countItems(now))
	p.Fridge = k.fridgeToday(now)
	switch {
	case p.Fridge == nil:
		p.Items = append(p.Items, ClosingItem{Code: ItemFridge})
	case p.Fridge.Temp > MostFridge:
		p.Items = append(p.Items, ClosingItem{Code: ItemFridge, Temp: &p.Fridge.Temp})
	}
	return p
}

// fridgeToday gives the last reading of the business day of now; nil if there is none.
func (k *Kitchen) fridgeToday(now time.Time) *Reading {
	f := k.Closing.Fridge
	if f == nil || businessDay(f.Done.Time().In(now.Location())) != businessDay(now) {
		return nil
	}
	return f
}

// pressedItems gives what is under pressure, or may be: what does not vent first.
func (k *Kitchen) pressedItems() []ClosingItem {
	var list []ClosingItem
	for _, x := range k.Blockages() {
		item := ClosingItem{Code: ItemBlocked, Vessel: x.Vessel, Batch: x.Batch, Since: x.Since.Done, Fenced: x.Fenced, Who: x.Since.By}
		if b := k.heldBy(x.Vessel); b != nil {
			item.Batch, item.Title = b.ID, b.Title
		}
		list = append(list, item)
	}
	for _, b := range k.Open() {
		if k.Vessels[b.Vessel].Blocked == nil && b.mayHoldGas() {
			list = append(list, ClosingItem{
				Code: ItemGas, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Who: b.Owner, Since: b.lastGas().Done, N: b.Gas(),
			})
		}
	}
	for _, c := range k.Creams() {
		if k.Vessels[c.Vessel].Blocked == nil {
			list = append(list, ClosingItem{
				Code: ItemCream, Batch: c.N, Vessel: c.Vessel, Title: c.Title, Who: c.By, Since: c.Since, UseBy: c.Until, N: c.Charged,
			})
		}
	}
	return list
}

// mayHoldGas says that a batch's vessel holds gas, or that somebody told of a
// charger and nobody knows yet.
func (b *Batch) mayHoldGas() bool { return b.Gas() > 0 || b.Told != nil && b.holdsVessel() }

// batchItems gives what is not strained and what has no label.
func (k *Kitchen) batchItems() []ClosingItem {
	var wet, bare []ClosingItem
	for _, b := range k.Open() {
		x := ClosingItem{Code: ItemUnstrained, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Who: b.Owner, UseBy: b.UseBy}
		switch {
		case b.over() || b.mayHoldGas() || k.Vessels[b.Vessel].Blocked != nil && b.holdsVessel():
		case b.Strained == nil:
			wet = append(wet, x)
		case k.coolingFailed(b.ID): // it is to be binned
		case b.Labelled == nil:
			x.Code = ItemUnlabelled
			bare = append(bare, x)
		}
	}
	return append(wet, bare...)
}

// pastItems gives the jars that are past their last day and were not told to be gone.
func (k *Kitchen) pastItems(now time.Time) []ClosingItem {
	var list []ClosingItem
	today := businessDate(now)
	for _, j := range k.History.jars("", dayNumber(today)-1, today) {
		list = append(list, ClosingItem{Code: ItemPast, Title: j.Title, UseBy: j.UseBy, N: j.N})
	}
	return list
}

// dirtyItems gives the vessels that wait to be washed, by tag.
func (k *Kitchen) dirtyItems() []ClosingItem {
	var list []ClosingItem
	for tag, r := range k.Vessels {
		if state, _ := k.Look(tag); r.Dirty != 0 && (state == VesselDirty || state == VesselWithdrawn) {
			list = append(list, ClosingItem{Code: ItemDirty, Vessel: tag, Title: r.Title, Since: r.Dirty})
		}
	}
	slices.SortFunc(list, func(x, y ClosingItem) int { return cmp.Compare(x.Vessel, y.Vessel) })
	return list
}

// countItems gives what is still to be counted.
func (k *Kitchen) countItems(now time.Time) []ClosingItem {
	var list []ClosingItem
	box, shells := k.Stock.Counts(now)
	if box == nil {
		list = append(list, ClosingItem{Code: ItemChargers})
	}
	if shells == nil {
		list = append(list, ClosingItem{Code: ItemShells})
	}
	return list
}

// closingNumber gives the number under which the messages about the end of a day
// are kept.
func closingNumber(n uint16) uint32 { return ownNumber(rowClosing, n) }

// putList queues the message of a list as it is now.
func (s *scene) putList(n uint16, edit bool) {
	e := s.noteOf(ClosingSlip, n)
	e.Edit = edit
	s.queue(e)
}

// closeList posts the list, or that between two shifts. There is one at a time:
// asked for again soon, it stays where it is.
func (s *scene) closeList(shift bool) Answer {
	c := &s.Closing
	if last := c.Last; last != nil && !shift && c.List == nil && last.Day == businessDay(s.now.Time().In(s.zone)) {
		return s.signedBefore(last)
	}
	same := c.List != nil && c.List.Shift == shift && c.List.To.ID == s.req.Person
	if !same || s.now.Sub(c.List.At) >= relistFrom {
		old, was := c.N, c.List
		c.V = version
		c.N++
		s.ch.Forget = append(s.ch.Forget, closingNumber(c.N-daysKept))
		c.List = &OpenList{By: s.cmd.By, At: s.now, Shift: shift}
		if s.req.Person != "" {
			c.List.To = s.known(s.req.Person)
		}
		if was != nil {
			if same {
				c.List.Gone = was.Gone
			}
			s.putList(old, true)
		}
		s.log(nil, "list opened", "list", itoa(int(c.N)), "kind", string(s.req.Verb))
		s.putList(c.N, false)
	}
	return s.aboutClosing(Done, "")
}

// known gives a person by their id, by name where they did something lately.
func (s *scene) known(id string) Person {
	for _, p := range slices.Concat(s.Head.Team.Managers, s.Head.People, s.OnShift(s.now.Time())) {
		if p.ID == id {
			return p
		}
	}
	return Person{ID: id, Name: id}
}

// aboutClosing is an answer about the end of the day.
func (s *scene) aboutClosing(kind AnswerKind, code Code) Answer {
	p := s.ClosingList(s.now.Time().In(s.zone))
	p.Most, p.Law = MostFridge, s.lawOfFridges()
	return Answer{Kind: kind, Code: code, Verb: s.req.Verb, Who: s.cmd.By, At: s.now, Closing: &p, Private: true}
}

// lawOfFridges gives what the law of the place allows a fridge; 0 = no figure.
func (s *scene) lawOfFridges() quantity.Temperature {
	place, _ := keeping.Where(keeping.WhereIs(s.book.House))
	return place.MostChill
}

// endOfDay carries out the verbs of the end of a day.
func (s *scene) endOfDay() Answer {
	switch s.req.Verb {
	case request.HandOver:
		return s.closeList(true)
	case request.Sign:
		return s.sign()
	case request.Fridge:
		return s.fridge()
	case request.Cooled:
		return s.cooled()
	}
	return s.closeList(false)
}

// closings brings the end of the day up to date after whatever happened.
func (s *scene) closings() {
	s.coolings()
	s.watchDay()
	s.relist()
}

// relist brings the list up to date after whatever happened.
func (s *scene) relist() {
	if s.Closing.List != nil && !slices.ContainsFunc(s.ch.Outbox, func(e Entry) bool { return e.Kind == ClosingSlip && e.Turn == s.Closing.N }) {
		s.putList(s.Closing.N, true)
	}
}

// fridge notes the temperature of a fridge.
func (s *scene) fridge() Answer {
	s.Closing.V = version
	s.Closing.Fridge = &Reading{Mark: s.mark(), Temp: *s.req.Temp}
	s.log(nil, "fridge", "temperature", s.req.Temp.String())
	return s.aboutClosing(Done, "")
}

// pastBinned notes that all jars past their last day are in the bin.
func (s *scene) pastBinned() Answer {
	now := s.now.Time().In(s.zone)
	items := s.pastItems(now)
	if len(items) == 0 {
		return s.aboutClosing(Done, "")
	}
	a := s.aboutClosing(Done, "")
	for _, x := range items {
		s.History.binned(x.Title, dayNumber(x.UseBy.Time().In(s.zone)))
		s.log(nil, "binned", "title", x.Title, "use-by", x.UseBy.Time().In(s.zone).Format(time.DateOnly), "n", itoa(x.N))
		a.N += x.N
	}
	a.Quiet = s.tap.Line != ""
	return a
}
