package voice

import (
	"slices"
	"strings"

	"ventbell/internal/kitchen"
)

// WallText is what the display on the wall shows, in words.
type WallText struct {
	Language string // by its tag
	Title    string
	AsOf     string
	Vessels  []WallRow
	Off      string // the heading of what is off its solids
	Waiting  []WallRow
	None     string // said where neither is there
	Labels   string // what the page of all labels is called
	Print    string // what the link to one label is called
}

// WallRow is one vessel, or one batch that is out of its vessel.
type WallRow struct {
	Vessel string
	State  string // in words; under pressure since when and by whom
	// Pressed says that it is or may be under pressure: the page frames it, and the
	// words say it too.
	Pressed bool
	Due     bool // what comes next is to be done now
	What    string
	Next    string
	Label   uint32 // the batch whose label can be printed; 0 = none
}

// Wall words what is in every vessel of a kitchen: those under pressure first, then
// in the order that is given.
func (v Voice) Wall(k *kitchen.Kitchen, tags []string, now kitchen.Moment) WallText {
	v = v.of(k)
	t := WallText{
		Language: v.tag.String(), Title: v.word("wall.title", nil), Off: v.word("wall.off", nil), Labels: v.word("wall.labels", nil),
		Print: v.word("wall.print", nil), AsOf: v.word("wall.as of", values{"at": toSecond(now), "day": day(now)}),
	}
	tags = slices.Clone(tags)
	for _, b := range k.Open() { // a vessel that left the book and still holds something
		if _, holder := k.Look(b.Vessel); holder == b && !slices.Contains(tags, b.Vessel) {
			tags = append(tags, b.Vessel)
		}
	}
	for _, tag := range tags {
		t.Vessels = append(t.Vessels, v.wallVessel(k, tag))
	}
	slices.SortStableFunc(t.Vessels, func(x, y WallRow) int { return x.rank() - y.rank() })
	for _, b := range k.Open() {
		if b.WaitsForLabel() {
			row := WallRow{Vessel: b.Vessel, What: v.word("wall.from", v.about(b)), Label: b.ID}
			row.Next, row.Due = v.wallNext(b)
			t.Waiting = append(t.Waiting, row)
		}
	}
	if len(t.Vessels)+len(t.Waiting) == 0 {
		t.None = v.word("wall.none", nil)
	}
	return t
}

func (r WallRow) rank() int {
	switch {
	case r.Pressed && r.Due:
		return 0
	case r.Pressed:
		return 1
	case r.Due:
		return 2
	}
	return 3
}

// wallVessel is one vessel's row.
func (v Voice) wallVessel(k *kitchen.Kitchen, tag string) WallRow {
	state, b := k.Look(tag)
	row := WallRow{Vessel: tag, State: v.word(phrase("state."+string(state)), nil)}
	row.Pressed = state == kitchen.VesselPressurised || state == kitchen.VesselBlocked
	record := k.Vessels[tag]
	switch c := k.CreamIn(tag); {
	case b != nil:
		v.wallBatch(&row, b)
	case c != nil:
		row.What = c.Title + ", " + c.By.Name
		row.State = v.word("pressurised", values{"since": c.Since, "by": c.By, "gas": v.chargers(c.Charged)})
		row.Next = v.word("wall.next.empty", values{"day": day(c.Until), "next": c.Until})
	case state == kitchen.VesselDirty:
		row.What = record.Title
	}
	if x := record.Blocked; x != nil {
		row.Due, row.Next = x.Fenced == nil, "" // what to do about it stands in the chat, step by step
		row.State = strings.TrimSuffix(strings.TrimPrefix(v.word("register.blocked", v.blockedValues(x, tag)), tag+" "), ".")
	}
	return row
}

// wallBatch puts what is known of the batch in a vessel into its row.
func (v Voice) wallBatch(row *WallRow, b *kitchen.Batch) {
	vals := v.about(b)
	row.What = b.Title + ", " + b.Owner.Name
	if b.Phase == kitchen.Loading {
		vals["next"] = b.HeldUntil()
		row.What = v.word("wall.held", vals)
		return
	}
	if b.Gas() > 0 {
		row.State = v.pressurised(b)
	}
	row.Next, row.Due = v.wallNext(b)
}

// wallNext says what comes next for a batch and at what time of the clock, and whether
// it is to be done now.
func (v Voice) wallNext(b *kitchen.Batch) (next string, due bool) {
	step, at := phrase(""), kitchen.Moment(0)
	switch {
	case b.Gas() > 0 && b.VentAt != 0:
		step, at, due = "wall.next.vent", b.VentAt, b.Phase == kitchen.Venting || b.Phase == kitchen.Scrapped
	case b.Gas() > 0:
		step, at = "wall.next.charge", b.CallAt
	case b.Strained == nil && b.StrainAt() != 0:
		step, at, due = "wall.next.strain", b.StrainAt(), b.Phase == kitchen.Straining
	case b.Phase == kitchen.Clearing:
		step, at, due = "wall.next.clear", b.ClearAt(), b.Rung > 0
	case b.Phase == kitchen.Labelling:
		return v.word("wall.next.label", nil), true
	}
	if step == "" || at == 0 {
		return "", false
	}
	next = v.word(step, values{"next": at, "kept": b.KeepsSolid()})
	if due {
		next = v.word("wall.now", values{"what": next})
	}
	return next, due
}

// WallWords are the words of the pages about labels.
type WallWords struct {
	Language, Labels, NoLabels, Gone, Back, Print string
}

// WallWords gives the words of the pages about labels in a kitchen's own language.
func (v Voice) WallWords(k *kitchen.Kitchen) WallWords {
	v = v.of(k)
	return WallWords{
		Language: v.tag.String(), Labels: v.word("wall.labels", nil), NoLabels: v.word("wall.labels.none", nil),
		Gone: v.word("wall.gone", nil), Back: v.word("wall.back", nil), Print: v.word("wall.print", nil),
	}
}

// LabelOf words the label of a batch in its kitchen's own language.
func (v Voice) LabelOf(k *kitchen.Kitchen, b *kitchen.Batch) LabelText {
	return v.of(k).Label(b.Label())
}
