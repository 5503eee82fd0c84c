package plan

import (
	"slices"
	"strings"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/keeping"
	"ventbell/internal/quantity"
	"ventbell/internal/spirit"
)

// anyDay stands for the day made where none was told: how many days a thing
// keeps, and whether it may be made at all, hangs on no date.
var anyDay = time.Date(2026, time.January, 1, 12, 0, 0, 0, time.UTC)

// strengthen works out the strength after the produce gave its water. A strength
// is tried on what holds alcohol only.
func (d *draft) strengthen() error {
	if d.strength == 0 {
		return nil
	}
	if d.liquid.Strength == 0 && d.family != book.Spirit && d.family != book.Wine {
		return quantity.Within("strength of "+d.liquid.Name, percent(d.strength), 0, 0, "% vol")
	}
	r, err := spirit.AfterProduce(d.each, d.strength, d.water())
	d.after = r
	return err
}

// water is the water that the solids of one run hold.
func (d draft) water() quantity.Mass {
	const whole = 1000 // the book tells tenths of a gram in 100 g
	return (d.mass(d.each)*quantity.Mass(d.solid.Water) + whole - 1) / whole
}

// decide asks how long and where what comes out keeps, and whether it may be
// made here at all.
func (d *draft) decide() *Problem {
	if err := d.strengthen(); err != nil {
		return outOfRange(err)
	}
	c := d.keepingCase()
	keep, found, err := keeping.Decide(c)
	if err != nil {
		return outOfRange(err)
	}
	d.acid = acid(c)
	d.heed(found)
	if keep.Standing != keeping.Kept {
		return &Problem{Code: Refused, Name: refusal(found)}
	}
	d.keep = Keep{
		Rule: keep.Rule, Class: string(keep.Finished), Storage: string(keep.Storage), Days: keep.KeepDays,
		Allergens: d.recipe.Allergens,
	}
	if keep.Overridden {
		d.keep.Override = keep.Override.By + ", " + keep.Override.Document
	}
	if !d.in.Now.IsZero() {
		// Noon, for there are zones and days that have no midnight.
		u := keep.UseBy
		d.keep.UseBy = time.Date(u.Year, u.Month, u.Day, 12, 0, 0, 0, d.in.Now.Location())
	}
	for _, f := range found {
		switch {
		case f.Act == keeping.Reason && (f.Code != keeping.ByTable || f.Rule == keep.Rule):
			d.keep.addReasons(f.Sources)
		case f.Act == keeping.Ask:
			d.keep.Ask = append(d.keep.Ask, string(f.Code))
		}
	}
	return nil
}

// keepingCase tells the draft as the decision table wants it.
func (d *draft) keepingCase() keeping.Case {
	house := d.book.House
	c := keeping.For(d.liquid, d.solid)
	c.Drained = d.recipe.Product == book.SolidKept
	if d.strength > 0 {
		c.Strength = keeping.Between(d.after.Low, d.after.High)
	}
	if d.liquid.Acidity > 0 {
		c.Acidity = keeping.Measured(float64(d.liquid.Acidity) / 10)
	}
	if d.liquid.Brix > 0 {
		c.Brix = keeping.Measured(d.thinned(float64(d.liquid.Brix) / 10))
	}
	c.Wet = d.family == book.Oil && !d.solid.Dry
	if a := d.recipe.ClearWith; a != "" {
		a, c.PasteurisedEgg = pasteurised(a)
		c.Agents = []keeping.Agent{keeping.Agent(a)}
	}
	c.HoldDays = d.recipe.Hold
	o := d.recipe.Override
	c.Override = keeping.Override{By: o.By, Document: o.Document, Days: o.Days}
	c.Storage = keeping.Storage(d.recipe.Storage)
	c.Made, c.DayStarts = d.in.Now, time.Duration(d.in.Opens)*time.Hour
	if c.Made.IsZero() {
		c.Made, c.DayStarts = anyDay, 0
	}
	c.Where = keeping.WhereIs(house)
	if house.Licensed == string(keeping.Yes) || house.Licensed == string(keeping.No) {
		c.Licensed = keeping.Answer(house.Licensed)
	}
	return c
}

// thinned gives the Brix of a syrup once all the water of the solids is in it:
// the low end, as for strength. Sugar that the solids give is left out.
func (d *draft) thinned(brix float64) float64 {
	// The density of syrup by its Brix, within half a percent of handbook tables
	// from 0 to 67 (fitted from memory).
	density := 1 + 0.00385*brix + 0.0000155*brix*brix
	syrup := d.each.Millilitres() * density
	return brix * syrup / (syrup + d.water().Grams())
}

// pasteurised takes the word out of a clearing agent's name: only egg that is
// called so is not raw.
func pasteurised(agent string) (plain string, said bool) {
	words := strings.Fields(book.Fold(agent))
	rest := slices.DeleteFunc(slices.Clone(words), func(w string) bool {
		return w == "pasteurised" || w == "pasteurized"
	})
	return strings.Join(rest, " "), len(rest) < len(words)
}

// refusal names what stands in the way: the botanical, else the rule.
func refusal(found []keeping.Finding) string {
	for _, f := range found {
		switch {
		case f.Act != keeping.Refuse:
		case f.Code == keeping.RefusedSolid:
			return f.Name
		default:
			return string(f.Code)
		}
	}
	return ""
}

// mostReasons is how many sources a plan carries for its use-by.
const mostReasons = 3

func (k *Keep) addReasons(sources []keeping.Source) {
	for _, s := range sources {
		if len(k.Reasons) < mostReasons && !slices.Contains(k.Reasons, s.Text) {
			k.Reasons = append(k.Reasons, s.Text)
		}
	}
}

// agentAllergens gives what a clearing agent brings, by the words of the book.
func agentAllergens(agent string) []string {
	if agent == "" {
		return nil
	}
	agent, _ = pasteurised(agent)
	told := keeping.Allergens("", nil, []keeping.Agent{keeping.Agent(agent)})
	var all []string
	for _, t := range slices.Concat(told.Listed, told.Also) {
		all = append(all, t.Key)
	}
	return all
}
