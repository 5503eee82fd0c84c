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
	NoHead         FindingCode = "no head"
	HeadOfPlastic  FindingCode = "plastic head"
	NoAcidity      FindingCode = "no acidity"
	NoBrix         FindingCode = "no brix"
	NoRetention    FindingCode = "no retention"
	RestTooLong    FindingCode = "rest over contact"
	UnknownSize    FindingCode = "unknown size"
	BlownOut       FindingCode = "blown out"
	WeakVent       FindingCode = "weak vent"
	SourDairy      FindingCode = "sour dairy"
)

// The findings of the rooms that know what is made of a book.
const (
	HoldTooLong    FindingCode = "hold too long"
	NeverMade      FindingCode = "never made"
	NeedsSignOff   FindingCode = "needs sign-off"
	UntoldAllergen FindingCode = "untold allergen"
	OverPressure   FindingCode = "over pressure"
	CannotPlan     FindingCode = "cannot be planned"
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
		all = append(all, checkRest(c.FileLine, "class "+c.Name, c.Rest, c.Contact)...)
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
	switch v.Head {
	case "":
		find(NoHead, "no head: look what its head is of and enter head, steel, aluminium or plastic; plastic may not be charged")
	case PlasticHead:
		find(HeadOfPlastic, "its head is of plastic, so nothing may be charged in it: take it out of the house's use and ask its maker")
	}
	return all
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

// checkRest finds a rest that may go on until the solids should be out.
func checkRest(line int, what string, rest Span, limit time.Duration) []Finding {
	if rest.Max <= limit {
		return nil
	}
	return []Finding{{line, what, RestTooLong, fmt.Sprintf("%s: the rest may go to %s, and contact is cut at %s: set rest.max to no more than that",
		what, quantity.Words(rest.Max), quantity.Words(limit))}}
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
