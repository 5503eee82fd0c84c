package book

import (
	"slices"

	"github.com/goccy/go-yaml/token"

	"ventbell/internal/quantity"
)

// The heat limits of a vessel that is charged or about to be: 50 C is the
// warning mark of pressurised cans in EU and US law (directive 75/324/EEC,
// 16 CFR 1500.130); the two for spirit are common practice against fire.
const (
	hottestCharged = 50 * quantity.Celsius
	hottestSpirit  = 40 * quantity.Celsius
	hottestStrong  = 25 * quantity.Celsius
	strongSpirit   = 60 * quantity.Percent
)

// agree finds what can only be seen across entries, and lets each recipe know
// its class.
func (r *reader) agree(b *placed) {
	unique(r, "vessel", b.Vessels, b.vessels, func(v Vessel) string { return v.Tag })
	unique(r, "class", b.Classes, b.classes, func(c Class) string { return c.Name })
	unique(r, "liquid", b.Liquids, b.liquids, func(l Liquid) string { return l.Name })
	unique(r, "botanical", b.Botanicals, b.botanicals, func(s Botanical) string { return s.Name })
	unique(r, "recipe", b.Recipes, b.recipes, func(c Recipe) string { return c.Name })
	for i, c := range b.Classes {
		r.heat(Liquid{Family: c.Family}, c.Temp, b.classes[i])
	}
	for i := range b.Recipes {
		r.join(b, &b.Recipes[i], b.recipes[i])
	}
}

// unique finds names that stand in a list twice.
func unique[T any](r *reader, kind string, all []T, at []*token.Token, name func(T) string) {
	first := map[string]int{}
	for i, t := range all {
		n := Fold(name(t))
		if line, twice := first[n]; twice {
			r.fault(at[i], "%s %q stands in line %d already", kind, name(t), line)
			continue
		}
		first[n] = at[i].Position.Line
	}
}

// join ties a recipe to its solid, its base and its class.
func (r *reader) join(b *placed, c *Recipe, at *token.Token) {
	solid, known := b.Botanical(c.Solid)
	switch {
	case !known:
		r.fault(at, "recipe %q: no botanical is called %q", c.Name, c.Solid)
	case solid.Refused != "":
		r.fault(at, "recipe %q: %s is refused: %s", c.Name, solid.Name, solid.Refused)
	}
	base, ok := b.Liquid(c.Base)
	if !ok {
		r.fault(at, "recipe %q: no liquid is called %q", c.Name, c.Base)
	}
	if agent, known := b.Botanical(c.ClearWith); known && agent.Refused != "" {
		r.fault(at, "recipe %q: %s is refused: %s", c.Name, agent.Name, agent.Refused)
	}
	if !known || !ok || solid.Refused != "" {
		return
	}
	class, ok := b.classFor(base.Family, solid.Kind, c.Product)
	if !ok {
		r.fault(at, "recipe %q: no class for %s in %s: write one under classes, or take another solid or base", c.Name, solid.Kind, base.Family)
		return
	}
	c.Solid, c.Base, c.Class = solid.Name, base.Name, class.Name
	c.Allergens = joined(c.Allergens, b.AllergensOfAgent(c.ClearWith))
	r.heat(base, c.Temp, at)
}

// joined gives a list of allergens with those that it lacks at its end.
func joined(all, more []string) []string {
	for _, a := range more {
		if !slices.Contains(all, a) {
			all = append(all, a)
		}
	}
	return all
}

// heat holds a temperature against the limits of a charged vessel.
func (r *reader) heat(base Liquid, t TempRange, at *token.Token) {
	switch {
	case t.Max > hottestCharged:
		r.fault(at, "temp: a vessel that is charged never goes above %s", hottestCharged)
	case base.Family == Spirit && t.Max > hottestSpirit:
		r.fault(at, "temp: spirit is never warmed above %s", hottestSpirit)
	case base.Strength > strongSpirit && t.Max > hottestStrong:
		r.fault(at, "temp: a spirit above %s is never warmed", strongSpirit)
	}
}
