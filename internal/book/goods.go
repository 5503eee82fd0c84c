package book

import (
	"github.com/goccy/go-yaml/token"

	"ventbell/internal/quantity"
)

func (r *reader) liquid(y liquidFile, at *token.Token) Liquid {
	s := r.sheet("liquid", y.Name, at)
	l := Liquid{
		Name:      s.name("name", y.Name),
		Aliases:   s.names("aliases", y.Aliases),
		Family:    oneOf(s, "family", y.Family, families),
		Strength:  optional(s, "strength", y.Strength, quantity.ParseStrength),
		Allergens: s.allergens(y.Allergens),
		Acidity:   optional(s, "acidity", y.Acidity, anAcidity),
		Brix:      optional(s, "brix", y.Brix, aBrix),
		Sugar:     optional(s, "sugar", y.Sugar, aSugar),
		Foams:     bool(y.Foams),
		Price:     optional(s, "price", y.Price, aPriceALitre),
		FileLine:  at.Position.Line,
	}
	if alcoholic := l.Family == Spirit || l.Family == Wine; alcoholic && y.Strength.at == nil {
		s.missing("strength")
	}
	s.fat(&l, y.Fat)
	s.sweet(&l, y)
	if y.Acidity.at != nil && l.Family != Vinegar && l.Family != Water {
		r.fault(y.Acidity.at, "%s: acidity is told of vinegar and juice only", s.what)
	}
	l.From = s.sources(y.From)
	return l
}

// fat reads the fat in 100 g of a dairy liquid and keeps it by volume.
func (s *sheet) fat(l *Liquid, t text) {
	fat := optional(s, "fat_in_100g", t, quantity.ParseMass)
	switch {
	case t.at == nil:
	case l.Family != Dairy:
		s.r.fault(t.at, "%s: fat is told of dairy only", s.what)
	case fat > 100*quantity.Gram:
		s.r.fault(t.at, "%s: the fat is more than the whole", s.what)
	default:
		l.Fat = fatVolume(fat)
	}
}

// fatVolume gives the share of fat by volume, in tenths of a percent, from the
// fat in 100 g: the fat counts with 0.91 g/ml, the rest with 1.035. Both
// densities are from memory.
func fatVolume(fat quantity.Mass) int {
	oily, rest := 1035*int64(fat), 910*int64(100*quantity.Gram-fat)
	return int((2000*oily + oily + rest) / (2 * (oily + rest)))
}

// sweet holds the two figures of sugar against each other; the one for a
// volume follows from the one by mass where it is not told.
func (s *sheet) sweet(l *Liquid, y liquidFile) {
	if l.Brix == 0 {
		return
	}
	if l.Family != Syrup {
		s.r.fault(y.Brix.at, "%s: Brix is told of syrup only", s.what)
	}
	sugar := sugarIn100ml(l.Brix)
	switch off := l.Sugar - sugar; {
	case l.Sugar == 0 && y.Sugar.at == nil:
		l.Sugar = sugar
	case l.Sugar > 0 && 20*max(off, -off) > sugar: // 5 %
		s.r.fault(y.Sugar.at, "%s: %d.%d Brix is about %d.%d g/100ml", s.what, l.Brix/10, l.Brix%10, sugar/10, sugar%10)
	}
}

// sugarIn100ml gives the sugar in 100 ml of syrup, in tenths of a gram, from
// its Brix in tenths. A gram of dissolved sugar takes up 0.625 ml: an estimate,
// within half a percent of handbook densities from 50 to 67 Brix.
func sugarIn100ml(brix int) int {
	const whole = 1000                     // 100 g, in tenths
	volume := 625*brix + 1002*(whole-brix) // of 100 g, in ten-thousandths of a ml
	return (100*whole*brix*10 + volume/2) / volume
}

// mostWater is the water in 100 g up to which a botanical can count as dry to
// the touch, in tenths of a gram: an estimate, above every dry spice of the
// USDA table and below every fresh herb.
const mostWater = 200

func (r *reader) botanical(y botanicalFile, at *token.Token) Botanical {
	s := r.sheet("botanical", y.Name, at)
	b := Botanical{
		Name:      s.name("name", y.Name),
		Aliases:   s.names("aliases", y.Aliases),
		Allergens: s.allergens(y.Allergens),
		FileLine:  at.Position.Line,
	}
	if y.Refused.at != nil {
		b.Refused = s.note("refused", y.Refused)
		if y.tellsMore() {
			r.fault(y.Refused.at, "%s: what is refused has no kind and no figure", s.what)
		}
		return b
	}
	if y.SignOff.at != nil {
		b.SignOff = s.note("sign_off", y.SignOff)
	}
	b.Kind = oneOf(s, "kind", y.Kind, kinds)
	water := figure(s, "water_in_100g", y.Water, quantity.ParseMass)
	fat := figure(s, "fat_in_100g", y.Fat, quantity.ParseMass)
	if water+fat > 100*quantity.Gram {
		r.fault(orAt(y.Water, s), "%s: water and fat are more than the whole", s.what)
	}
	b.VolumePerGram = trueVolume(water, fat)
	b.Water = int((water + 50*quantity.Milligram) / (100 * quantity.Milligram))
	b.Retention = optional(s, "retention", y.Retention, aRetention)
	b.Price = optional(s, "price", y.Price, aPriceAKilogram)
	b.Dry, b.Allium, b.Mushroom, b.DriedVegetable = bool(y.Dry), bool(y.Allium), bool(y.Mushroom), bool(y.DriedVegetable)
	b.Powder, b.Irritant = bool(y.Powder), bool(y.Irritant)
	if b.Dry && b.Water > mostWater {
		r.fault(orAt(y.Water, s), "%s: with so much water it is not dry to the touch", s.what)
	}
	b.From = s.sources(y.From)
	return b
}

// tellsMore reports whether an entry tells more than its name, its allergens
// and why it is refused.
func (y botanicalFile) tellsMore() bool {
	for _, t := range []text{y.Kind, y.Water, y.Fat, y.Retention, y.Price, y.SignOff} {
		if t.at != nil {
			return true
		}
	}
	return bool(y.Dry || y.Allium || y.Mushroom || y.DriedVegetable || y.Powder || y.Irritant)
}

// trueVolume gives the volume of one gram with its pores flooded from its water
// and fat in 100 g: the water counts with 1.00 g/ml, the fat with 0.91, the rest
// with 1.5. These densities are estimates.
func trueVolume(water, fat quantity.Mass) quantity.Volume {
	rest := 100*quantity.Gram - water - fat
	// One milligram of water is one microlitre; over 273 = 3*91 all three are whole.
	in100g := 273*int64(water) + 300*int64(fat) + 182*int64(rest)
	return quantity.Volume((in100g + 273*50) / (273 * 100))
}
