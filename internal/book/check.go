package book

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"ventbell/internal/quantity"
)

// Finding is one thing worth mending in a book that can be read.
type Finding struct {
	Line int    // of the entry in its file
	What string // the name of the entry
	Code FindingCode
	Said string // one line for who edits the book: what it means and its cure
}

// String gives what was said.
func (f Finding) String() string { return f.Said }

// FindingCode says what was found.
type FindingCode string

// The findings.
const (
	NoVessels      FindingCode = "no vessels"
	NoLimit        FindingCode = "no limit"
	NoBrim         FindingCode = "no brim"
	NoStamp        FindingCode = "no stamped pressure"
	ShortContact   FindingCode = "short contact"
	FitsNoVessel   FindingCode = "fits no vessel"
	TooManyCharges FindingCode = "too many chargers"
	LacksAllergen  FindingCode = "lacks allergen"
	OddRatio       FindingCode = "odd ratio"
	WrongStorage   FindingCode = "wrong storage"
	AliasTwice     FindingCode = "alias twice"
	NotAnswered    FindingCode = "not answered"
	NoState        FindingCode = "no state"
	HalfRoom       FindingCode = "half a room"
	NoCurrency     FindingCode = "no currency"
	NoMaterial     FindingCode = "no material"
	NoAcidity      FindingCode = "no acidity"
	NoBrix         FindingCode = "no brix"
	NoRetention    FindingCode = "no retention"
)

// The least that the hands need besides the spans of a recipe, both common
// practice: a charger is screwed home, and a vent ends with two silent presses
// 30 s apart, the first 30 s after the flow has died.
const (
	chargeTakes = 10 * time.Second
	ventTakes   = 60 * time.Second
)

// Check looks a book over for what is no error but worth mending, in the order
// of the file.
func Check(b *Book) []Finding {
	all := b.checkHouse()
	if len(b.Vessels) == 0 {
		all = append(all, Finding{Line: 1, What: "vessels", Code: NoVessels, Said: "the book has no vessel, so nothing can be planned: enter the house's vessels"})
	}
	for _, v := range b.Vessels {
		all = append(all, checkVessel(v)...)
	}
	for _, c := range b.Classes {
		took := handTime(c.Chargers, c.Swirl, c.Rest.Target, c.Settle, c.StrainFirst)
		all = append(all, checkContact(c.FileLine, "class "+c.Name, took, c.Contact)...)
	}
	all = append(all, b.checkGoods()...)
	for _, r := range b.Recipes {
		all = append(all, b.checkRecipe(r)...)
	}
	all = append(all, b.checkAliases()...)
	slices.SortStableFunc(all, func(a, b Finding) int { return cmp.Compare(a.Line, b.Line) })
	return all
}

func checkVessel(v Vessel) []Finding {
	var all []Finding
	find := func(code FindingCode, format string, args ...any) {
		all = append(all, Finding{v.FileLine, v.Tag, code, fmt.Sprintf("vessel "+v.Tag+": "+format, args...)})
	}
	if v.Limit == 0 {
		find(NoLimit, "no charger limit, so it counts as one charger: enter charger_limit from its manual")
	}
	if v.Brim == 0 {
		find(NoBrim, "no brim volume, so solids count to the line: weigh it full of water with its head on and enter brim")
	}
	if v.StampedBar == 0 {
		find(NoStamp, "no stamped pressure: read it off the vessel and enter stamped_pressure")
	}
	if v.Material == "" {
		find(NoMaterial, "no material, so acid counts as harming it: enter material, steel or aluminium")
	}
	return all
}

func (b *Book) checkRecipe(r Recipe) []Finding {
	took := handTime(r.Chargers, r.Swirl, r.Rest.Target, r.Settle, r.StrainFirst)
	all := checkContact(r.FileLine, r.Name, took, r.Contact)
	find := func(code FindingCode, format string, args ...any) {
		all = append(all, Finding{r.FileLine, r.Name, code, fmt.Sprintf(r.Name+": "+format, args...)})
	}
	solid, _ := b.Botanical(r.Solid)
	for _, a := range b.AllergensOf(r.Solid, r.Base) {
		if !slices.Contains(r.Allergens, a) {
			find(LacksAllergen, "%s or %s brings %s: add it to the recipe's allergens", r.Solid, r.Base, a)
		}
	}
	volume := solid.TrueVolume(r.Ratio.Of(r.Batch))
	if !slices.ContainsFunc(b.Vessels, func(v Vessel) bool { return v.Holds(r.Batch, volume) }) && len(b.Vessels) > 0 {
		find(FitsNoVessel, "its batch of %s with %s of solids fits no vessel: make the batch smaller", r.Batch, r.Ratio.Of(r.Batch))
	}
	for _, v := range b.Vessels {
		if v.Nominal == r.Proven && v.ChargerLimit() < r.Chargers {
			find(TooManyCharges, "%d chargers, but vessel %s takes %d: prove the ratio with fewer", r.Chargers, v.Tag, v.ChargerLimit())
		}
	}
	if c, ok := b.ClassFor(b.Family(r), solid.Kind); ok && (r.Ratio < c.RatioMin || r.Ratio > c.RatioMax) {
		find(OddRatio, "%s is outside %s to %s, the usual for %s: weigh again", r.Ratio, c.RatioMin, c.RatioMax, c.Name)
	}
	if f := b.Family(r); r.Storage != "fridge" && (f == Oil || f == Dairy || f == Wine || f == Water || f == Syrup || isFresh(solid.Kind)) {
		find(WrongStorage, "%s with %s keeps in the fridge only: set storage to fridge", r.Base, r.Solid)
	}
	return all
}

// isFresh reports whether a kind of botanical holds water that spoils.
func isFresh(k Kind) bool {
	return k == Produce || k == HotPepper || k == Fruit || k == Herb || k == Peel
}

// handTime gives the least time from the first charger until the solids are out.
func handTime(chargers int, swirl, rest, settle time.Duration, strainFirst bool) time.Duration {
	took := time.Duration(chargers)*(chargeTakes+swirl) + rest + ventTakes
	if !strainFirst {
		took += settle
	}
	return took
}

func checkContact(line int, what string, took, limit time.Duration) []Finding {
	if took <= limit {
		return nil
	}
	return []Finding{{line, what, ShortContact, fmt.Sprintf("%s: contact is cut at %s, but charging, rest, vent and settling take at least %s: set strain_first or shorten them",
		what, quantity.Words(limit), quantity.Words(took))}}
}

// checkAliases finds words that could mean two things of one list. Liquids and
// botanicals share theirs: a line names one of each.
func (b *Book) checkAliases() []Finding {
	var all []Finding
	seen := map[string]string{}
	look := func(line int, name string, aliases []string) {
		for _, word := range append([]string{name}, aliases...) {
			folded := Fold(word)
			if other, twice := seen[folded]; twice {
				all = append(all, Finding{line, name, AliasTwice, fmt.Sprintf("%s: the word %q also means %s: keep it in one place", name, word, other)})
				continue
			}
			seen[folded] = name
		}
	}
	for _, l := range b.Liquids {
		look(l.FileLine, l.Name, l.Aliases)
	}
	for _, s := range b.Botanicals {
		look(s.FileLine, s.Name, s.Aliases)
	}
	clear(seen)
	for _, r := range b.Recipes {
		look(r.FileLine, r.Name, r.Aliases)
	}
	return all
}
