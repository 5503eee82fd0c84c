package kitchen

import (
	"slices"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/keeping"
	"ventbell/internal/quantity"
)

// Label is what stands on the label of a batch, as values; the room voice words it.
// Nothing on it says that a thing is free of anything.
type Label struct {
	Batch   uint32
	Code    string // YYMMDD-recipe-vessel-n
	Title   string
	Product book.Product
	Phase   Phase
	// Ingredients are the base first, then the solids, then what it was cleared with.
	Ingredients []Ingredient
	// Contains is what the law of the place and the house tell of what went in, and
	// May what the vessel carried from before and had no deep wash since.
	Contains, May keeping.Contains
	// ABVLow and ABVHigh are the strength that was worked out, in percent by volume.
	// Of pieces that are kept it is not told: Alcohol says that they hold some.
	ABVLow, ABVHigh float64
	Alcohol         bool
	Made            Mark
	Strained        *Mark
	Labelled        *Mark
	UseBy           Moment // a moment of its last day; 0 = not known
	// Shortened says that UseBy is earlier than it was, for the batch stood without
	// a label when the day was signed.
	Shortened bool
	Storage   string
	Yield     quantity.Volume
	Drained   quantity.Mass
	// Plain says that the law wants it in a plain container, never in a bottle of a
	// brand.
	Plain bool
	// Full says that what is packed here before a guest chooses it needs all of this.
	Full bool
}

// Ingredient is one thing that went in.
type Ingredient struct {
	Name      string
	Lot       string   // empty = nobody told
	Allergens []string // by the book's words
}

// Carried is what a label needs beside the plan, copied from the book at the start.
// Allergens are sets: a bit each, in the order of the list of fourteen.
type Carried struct {
	Law   LawFlags `cbor:"l,omitempty"`
	Bears []uint16 `cbor:"b,omitempty"` // of the base, of each solid, of Agent
	Agent string   `cbor:"a,omitempty"` // what it is cleared with
	May   uint16   `cbor:"m,omitempty"` // left in the vessel by what was in it
}

// LawFlags says what the law of the place wants of a label.
type LawFlags uint8

// The flags. A batch without LawKnown was started before they were kept: the strictest
// counts.
const (
	LawKnown LawFlags = 1 << iota
	LawNine           // the nine of the US are told, in a line of their own; else the fourteen
	LawPlain          // a plain container
	LawFull           // all ingredients on what is packed before it is chosen
)

// lawFlags gives what the law of a house's place wants.
func lawFlags(h book.House) LawFlags {
	place, found := keeping.Where(keeping.WhereIs(h))
	if !found {
		return 0
	}
	flags := LawKnown
	if place.Allergens == keeping.NineUS {
		flags |= LawNine
	}
	if slices.ContainsFunc(place.Rules, func(r keeping.Rule) bool { return r.Code == keeping.PlainContainer }) {
		flags |= LawPlain
	}
	if place.FullLabel {
		flags |= LawFull
	}
	return flags
}

// allergenSet gives allergens as a set. Words that no law has are in none.
func allergenSet(words []string) uint16 {
	set := uint16(0)
	for i, key := range keeping.FourteenEU.Keys() {
		if slices.Contains(words, key) {
			set |= 1 << i
		}
	}
	return set
}

// allergensIn gives the words of a set.
func allergensIn(set uint16) []string {
	var words []string
	for i, key := range keeping.FourteenEU.Keys() {
		if set&(1<<i) != 0 {
			words = append(words, key)
		}
	}
	return words
}

// carried copies from the book what the label of a batch needs.
func (s *scene) carried(f Fixed) Carried {
	c := Carried{Law: lawFlags(s.book.House), Agent: s.agentOf(f), May: allergenSet(s.strange(f.Vessel, f.Allergens))}
	c.Bears = append(c.Bears, allergenSet(s.book.AllergensOf("", f.Base)))
	for _, x := range f.Solids {
		c.Bears = append(c.Bears, allergenSet(s.book.AllergensOf(x.Name, "")))
	}
	if c.Agent != "" {
		c.Bears = append(c.Bears, allergenSet(s.book.AllergensOfAgent(c.Agent)))
	}
	if !slices.ContainsFunc(c.Bears, func(set uint16) bool { return set != 0 }) {
		c.Bears = nil
	}
	return c
}

// agentOf gives what the recipe of a batch is cleared with; empty = nothing.
func (s *scene) agentOf(f Fixed) string {
	r, ok := s.book.Recipe(f.Title)
	if !ok || !f.House {
		return ""
	}
	return r.ClearWith
}

// Label gives what stands on the label of a batch as it stands now.
func (b *Batch) Label() Label {
	l := Label{
		Batch: b.ID, Code: b.Code, Title: b.Title, Product: b.Product, Phase: b.Phase,
		Alcohol: b.ABVHigh > 0, Made: b.Started, Strained: b.Strained, Labelled: b.Labelled, UseBy: b.UseBy,
		Shortened: b.Latest != 0 && b.UseBy == b.Latest, Storage: b.Storage, Yield: b.Yield, Drained: b.Drained,
		Plain: b.holdsLaw(LawPlain), Full: b.Carried.Law&LawFull != 0,
	}
	if !b.KeepsSolid() {
		l.ABVLow, l.ABVHigh = b.ABVLow, b.ABVHigh
	}
	l.Ingredients = b.ingredients()
	place := "BE" // any place of the fourteen: only its list is asked for
	if b.Carried.Law&LawNine != 0 {
		place = "US"
	}
	parts := []keeping.Bearer{}
	told := uint16(0)
	for _, x := range l.Ingredients {
		parts = append(parts, keeping.Bearer{Name: x.Name, Allergens: x.Allergens})
		told |= allergenSet(x.Allergens)
	}
	// What the recipe claims and no part brings is told all the same, of the whole.
	rest := slices.DeleteFunc(slices.Clone(b.Allergens), func(a string) bool { return told&allergenSet([]string{a}) != 0 })
	parts = append(parts, keeping.Bearer{Name: b.Title, Allergens: rest})
	l.Contains = keeping.Allergens(place, parts, nil)
	l.May = keeping.Allergens(place, []keeping.Bearer{{Name: b.Vessel, Allergens: allergensIn(b.Carried.May)}}, nil)
	return l
}

// holdsLaw says that the law wants something of the label, or that it isn't known
// which law counts.
func (b *Batch) holdsLaw(flag LawFlags) bool {
	return b.Carried.Law&LawKnown == 0 || b.Carried.Law&flag != 0
}

// ingredients gives what went into a batch.
func (b *Batch) ingredients() []Ingredient {
	var names []string
	if b.Base != "" {
		names = append(names, b.Base)
	}
	from := 1 - len(names) // Bears begins with the base, whether it is named or not
	for _, x := range b.Solids {
		names = append(names, x.Name)
	}
	if b.Carried.Agent != "" {
		names = append(names, b.Carried.Agent)
	}
	var list []Ingredient
	for i, name := range names {
		x := Ingredient{Name: name, Lot: b.Lots[name]}
		if from+i < len(b.Carried.Bears) {
			x.Allergens = allergensIn(b.Carried.Bears[from+i])
		}
		list = append(list, x)
	}
	return list
}

// WaitsForLabel says that a batch is off its solids and stands without a label.
func (b *Batch) WaitsForLabel() bool {
	return b.Strained != nil && b.Labelled == nil && b.Phase != Stored && b.Phase != Scrapped && b.Gas() == 0
}

// unlabelledDays is how long what stands without a label at close is kept where the
// book says nothing: until the end of the next business day (our choice).
const unlabelledDays = 1

// shortenUnlabelled carries out the house's rule on what stands without a label when
// a day is signed: it is gone a day later, or when the book says. A last day that
// comes sooner stays, and one that is not offered at all stays that.
func (s *scene) shortenUnlabelled() {
	days := unlabelledDays
	if s.book.House.UnlabelledDays > 0 {
		days = s.book.House.UnlabelledDays
	}
	today := dayNumber(businessDate(s.now.Time().In(s.zone)))
	last := At(dayOf(today+uint32(days), s.zone))
	for _, b := range s.Open() {
		if !b.WaitsForLabel() || b.UseBy == 0 || b.UseBy <= last {
			continue
		}
		s.log(b, "use-by shortened", "before", b.UseBy.Time().In(s.zone).Format(time.DateOnly), "use-by", last.Time().In(s.zone).Format(time.DateOnly))
		b.UseBy, b.Latest = last, last
		s.post(b, Slip)
	}
}
