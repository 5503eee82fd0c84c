package book

import (
	"strings"
	"unicode"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"

	"ventbell/internal/quantity"
)

// The closed lists of a book.
var (
	languages = []string{"en"}
	storages  = []string{"fridge", "shelf"}
	families  = []Family{Spirit, Wine, Oil, Vinegar, Syrup, Dairy, Water}
	kinds     = []Kind{Produce, HotPepper, Fruit, Spice, Roast, Peel, Tea, Herb, Woody}
	// lawAllergens are the fourteen of Regulation (EU) 1169/2011, annex II.
	lawAllergens = []string{
		"gluten", "crustaceans", "eggs", "fish", "peanuts", "soya", "milk", "nuts",
		"celery", "mustard", "sesame", "sulphites", "lupin", "molluscs",
	}
)

func (r *reader) house(e entry, root ast.Node) House {
	if e.node == nil {
		r.fault(root.GetToken(), "house is missing")
		return House{}
	}
	y, ok := decode[houseFile](r, e.node)
	if !ok {
		return House{}
	}
	s := r.sheet("house", text{}, e.node.GetToken())
	h := House{
		Name:     s.name("name", y.Name),
		Language: oneOf(s, "language", y.Language, languages),
		Zone:     y.Zone.value,
		Country:  y.Country.value,
		Bottle:   figure(s, "bottle", y.Bottle, aVolume),
		From:     Provenance{},
	}
	if area, place, _ := strings.Cut(h.Zone, "/"); h.Zone != "UTC" && (area == "" || place == "") {
		r.fault(orAt(y.Zone, s), `zone: write a time zone like "Europe/Brussels"`)
	}
	if len(h.Country) != 2 || strings.ContainsFunc(h.Country, func(r rune) bool { return r < 'A' || r > 'Z' }) {
		r.fault(orAt(y.Country, s), `country: write two capital letters like "BE"`)
	}
	h.From = s.sources(y.From)
	return h
}

// orAt gives where t stands, or its entry when it is not there.
func orAt(t text, s *sheet) *token.Token {
	if t.at != nil {
		return t.at
	}
	return s.at
}

func (r *reader) vessel(y vesselFile, at *token.Token) Vessel {
	s := r.sheet("vessel", y.Tag, at)
	v := Vessel{
		Tag:             y.Tag.value,
		Nominal:         figure(s, "nominal", y.Nominal, aVolume),
		Line:            figure(s, "line", y.Line, aVolume),
		Brim:            optional(s, "brim", y.Brim, aVolume),
		Limit:           optional(s, "charger_limit", y.Limit, aCount),
		StampedBar:      optional(s, "stamped_pressure", y.Stamped, aPressure),
		LineHoldsSolids: bool(y.LineHoldsSolids),
		Insulated:       bool(y.Insulated),
		NutFree:         bool(y.NutFree),
		FileLine:        at.Position.Line,
	}
	if !isTag(v.Tag) {
		r.fault(orAt(y.Tag, s), "tag: a vessel's tag is a letter and at most seven more letters or digits")
	}
	if v.Brim > 0 && v.Brim < v.Line {
		r.fault(y.Brim.at, "brim: %s is less than the line at %s", v.Brim, v.Line)
	}
	v.From = s.sources(y.From)
	return v
}

func isTag(s string) bool {
	for i, r := range s {
		if !(unicode.IsLetter(r) || i > 0 && unicode.IsDigit(r)) || i > 7 {
			return false
		}
	}
	return s != ""
}

func (r *reader) liquid(y liquidFile, at *token.Token) Liquid {
	s := r.sheet("liquid", y.Name, at)
	l := Liquid{
		Name:      s.name("name", y.Name),
		Aliases:   s.names("aliases", y.Aliases),
		Family:    oneOf(s, "family", y.Family, families),
		Strength:  optional(s, "strength", y.Strength, quantity.ParseStrength),
		Allergens: s.allergens(y.Allergens),
		FileLine:  at.Position.Line,
	}
	if alcoholic := l.Family == Spirit || l.Family == Wine; alcoholic && y.Strength.at == nil {
		s.missing("strength")
	}
	l.From = s.sources(y.From)
	return l
}

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
		if y.Kind.at != nil || y.Water.at != nil || y.Fat.at != nil {
			r.fault(y.Refused.at, "%s: what is refused has no kind, water or fat", s.what)
		}
		return b
	}
	b.Kind = oneOf(s, "kind", y.Kind, kinds)
	water := figure(s, "water_in_100g", y.Water, quantity.ParseMass)
	fat := figure(s, "fat_in_100g", y.Fat, quantity.ParseMass)
	if water+fat > 100*quantity.Gram {
		r.fault(orAt(y.Water, s), "%s: water and fat are more than the whole", s.what)
	}
	b.VolumePerGram = trueVolume(water, fat)
	b.From = s.sources(y.From)
	return b
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

func (r *reader) class(y classFile, at *token.Token) []Class {
	s := r.sheet("class", y.Family, at)
	c := Class{
		Family:      oneOf(s, "family", y.Family, families),
		Temp:        s.temp(y.Temp),
		Proven:      figure(s, "proven", y.Proven, aVolume),
		Chargers:    figure(s, "chargers", y.Chargers, aCount),
		Swirl:       figure(s, "swirl", y.Swirl, aSpan),
		Rest:        s.span("rest", y.Rest),
		Settle:      figure(s, "settle", y.Settle, aSpan),
		StrainFirst: bool(y.StrainFirst),
		Contact:     figure(s, "contact", y.Contact, aSpan),
		Clear:       optional(s, "clear", y.Clear, aSpan),
		JudgeAfter:  figure(s, "judge_after", y.JudgeAfter, aSpan),
		Gentle:      bool(y.Gentle),
		Storage:     oneOf(s, "storage", y.Storage, storages),
		FileLine:    at.Position.Line,
	}
	c.RatioMin, c.Ratio, c.RatioMax = between(s, "ratio", y.Ratio, aRatio)
	c.From = s.sources(y.From)
	if len(y.Kinds) == 0 {
		s.missing("kinds")
	}
	var all []Class
	for _, k := range y.Kinds {
		c.Kind = oneOf(s, "kinds", k, kinds)
		c.Name = string(c.Family) + " + " + string(c.Kind)
		all = append(all, c)
	}
	return all
}

func (r *reader) recipe(y recipeFile, at *token.Token) Recipe {
	s := r.sheet("recipe", y.Name, at)
	c := Recipe{
		Name:        s.name("name", y.Name),
		Aliases:     s.names("aliases", y.Aliases),
		Solid:       s.name("solid", y.Solid),
		Base:        s.name("base", y.Base),
		Batch:       figure(s, "batch", y.Batch, aVolume),
		Ratio:       figure(s, "ratio", y.Ratio, aRatio),
		Prep:        s.note("prep", y.Prep),
		Choose:      s.note("choose", y.Choose),
		Use:         s.note("use", y.Use),
		Temp:        s.temp(y.Temp),
		Proven:      figure(s, "proven", y.Proven, aVolume),
		Chargers:    figure(s, "chargers", y.Chargers, aCount),
		Swirl:       figure(s, "swirl", y.Swirl, aSpan),
		Rest:        s.span("rest", y.Rest),
		Settle:      figure(s, "settle", y.Settle, aSpan),
		StrainFirst: bool(y.StrainFirst),
		Contact:     figure(s, "contact", y.Contact, aSpan),
		Clear:       optional(s, "clear", y.Clear, aSpan),
		JudgeAfter:  figure(s, "judge_after", y.JudgeAfter, aSpan),
		Gentle:      bool(y.Gentle),
		Storage:     oneOf(s, "storage", y.Storage, storages),
		Allergens:   s.allergens(y.Allergens),
		FileLine:    at.Position.Line,
	}
	c.From = s.sources(y.From)
	return c
}
