package book

import (
	"fmt"
	"slices"
	"strings"
)

// checkRecipe finds what in a recipe contradicts itself, its class or the
// vessels of the house.
func (b *Book) checkRecipe(r Recipe) []Finding {
	c := recipeCheck{b: b, r: r}
	c.solid, _ = b.Botanical(r.Solid)
	c.clocks()
	c.goods()
	c.filling()
	c.vent()
	return c.found
}

// recipeCheck is one recipe while it is looked over.
type recipeCheck struct {
	b     *Book
	r     Recipe
	solid Botanical
	found []Finding
}

func (c *recipeCheck) find(code FindingCode, format string, args ...any) {
	c.found = append(c.found, Finding{c.r.FileLine, c.r.Name, code, fmt.Sprintf(c.r.Name+": "+format, args...)})
}

func (c *recipeCheck) clocks() {
	r := c.r
	took := handTime(r.Chargers, r.Swirl, r.Rest.Target, r.Settle, r.StrainFirst)
	c.found = append(c.found, checkContact(r.FileLine, r.Name, took, r.Contact)...)
	c.found = append(c.found, checkRest(r.FileLine, r.Name, r.Rest, r.Contact)...)
}

func (c *recipeCheck) goods() {
	r := c.r
	for _, a := range c.b.AllergensOf(r.Solid, r.Base) {
		if !slices.Contains(r.Allergens, a) {
			c.find(LacksAllergen, "%s or %s brings %s: add it to the recipe's allergens", r.Solid, r.Base, a)
		}
	}
	family := c.b.Family(r)
	moist := family == Oil || family == Dairy || family == Wine || family == Water || family == Syrup
	if r.Storage != "fridge" && (moist || isFresh(c.solid.Kind) || r.Product == SolidKept) {
		c.find(WrongStorage, "%s with %s keeps in the fridge only: set storage to fridge", r.Base, r.Solid)
	}
	if family == Dairy && c.solid.isSour() {
		c.find(SourDairy, "%s is sour and splits %s: take another base or another solid", r.Solid, r.Base)
	}
}

func (c *recipeCheck) filling() {
	r, b := c.r, c.b
	volume := c.solid.TrueVolume(r.Ratio.Of(r.Batch))
	if !slices.ContainsFunc(b.Vessels, func(v Vessel) bool { return r.Fits(v, r.Batch, volume) }) && len(b.Vessels) > 0 {
		c.find(FitsNoVessel, "its batch of %s with %s of solids fits no vessel: make the batch smaller", r.Batch, r.Ratio.Of(r.Batch))
	}
	known := len(b.Vessels) == 0
	for _, v := range b.Vessels {
		if v.Nominal != r.Proven {
			continue
		}
		known = true
		if v.ChargerLimit() < r.Chargers {
			c.find(TooManyCharges, "%d chargers, but vessel %s takes %d: prove the ratio with fewer", r.Chargers, v.Tag, v.ChargerLimit())
		}
	}
	if !known {
		c.find(UnknownSize, "proven in %s, and no vessel has that size: set proven to the nominal of one of the house's", r.Proven)
	}
	if class, ok := b.ClassOf(r); ok && (r.Ratio < class.RatioMin || r.Ratio > class.RatioMax) {
		c.find(OddRatio, "%s is outside %s to %s, the usual for %s: weigh again", r.Ratio, class.RatioMin, class.RatioMax, class.Name)
	}
}

func (c *recipeCheck) vent() {
	switch kept, slow := c.r.Product == SolidKept, c.r.Vent == SlowVent; {
	case kept && !slow:
		c.find(BlownOut, "a fast vent blows the liquid out of the pieces that are kept: set vent to slow")
	case slow && !kept:
		c.find(WeakVent, "a slow vent leaves the flavour in the pieces, and the liquid is what is kept: take vent out, or set product to solid")
	}
}

// isFresh reports whether a kind of botanical holds water that spoils.
func isFresh(k Kind) bool {
	return k == Produce || k == SoftProduce || k == HotPepper || k == Fruit || k == Herb || k == Peel
}

// sourWords are in the names of what is sour besides fruit (common practice).
var sourWords = []string{"hibiscus", "roselle", "sorrel", "tamarind", "sumac", "citric acid", "tartaric acid", "malic acid"}

// isSour reports whether a botanical splits milk and cream.
func (b Botanical) isSour() bool {
	return b.Kind == Fruit || slices.ContainsFunc(append([]string{b.Name}, b.Aliases...), func(name string) bool {
		return slices.ContainsFunc(sourWords, func(w string) bool { return strings.Contains(Fold(name), w) })
	})
}
