package book

import (
	"unicode"

	"github.com/goccy/go-yaml/token"
)

// The closed lists of a book.
var (
	languages = []string{"en", "es", "fr"}
	answers   = []string{"yes", "no", "unknown"}
	materials = []string{"steel", "aluminium"}
	heads     = []string{"steel", "aluminium", PlasticHead}
	storages  = []string{"fridge", "shelf"}
	families  = []Family{Spirit, Wine, Oil, Vinegar, Syrup, Dairy, Water}
	kinds     = []Kind{Produce, SoftProduce, HotPepper, Fruit, Spice, Roast, Peel, Tea, Herb, Woody, Bitter}
	vents     = []Vent{FastVent, SlowVent}
	products  = []Product{LiquidKept, SolidKept}
)

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
		Material:        optionalOneOf(s, "material", y.Material, materials),
		Head:            optionalOneOf(s, "head", y.Head, heads),
		CheckEvery:      optional(s, "check_every", y.CheckEvery, aHold),
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
		if letter := unicode.IsLetter(r) || i > 0 && unicode.IsDigit(r); !letter || i > 7 {
			return false
		}
	}
	return s != ""
}

func (r *reader) class(y classFile, at *token.Token) []Class {
	s := r.sheet("class", y.Family, at)
	c := Class{
		Family:      oneOf(s, "family", y.Family, families),
		Product:     optionalOneOf(s, "product", y.Product, products),
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
		if c.Product == SolidKept {
			c.Name += " (solid)"
		}
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
		Vent:        optionalOneOf(s, "vent", y.Vent, vents),
		Product:     optionalOneOf(s, "product", y.Product, products),
		Storage:     oneOf(s, "storage", y.Storage, storages),
		Allergens:   s.allergens(y.Allergens),
		Hold:        optional(s, "hold", y.Hold, aHold),
		Override:    s.override(y),
		ClearWith:   s.optionalName("clear_with", y.ClearWith),
		Serve:       optional(s, "serve", y.Serve, aVolume),
		Cycles:      optional(s, "cycles", y.Cycles, aCount),
		FileLine:    at.Position.Line,
	}
	if c.Product == SolidKept && (c.Clear > 0 || c.ClearWith != "" || c.StrainFirst || c.Serve > 0) {
		r.fault(y.Product.at, "%s: a solid that is kept is not strained, cleared or poured: leave out clear, clear_with, strain_first and serve", s.what)
	}
	c.From = s.sources(y.From)
	return c
}

// override reads who let a recipe keep longer, and by what: all of it or none.
func (s *sheet) override(y recipeFile) Override {
	o := Override{
		Days: optional(s, "override", y.Override, aHold),
		By:   s.optionalName("override_by", y.OverrideBy),
	}
	if y.OverrideDoc.at != nil {
		o.Document = s.note("override_document", y.OverrideDoc)
	}
	if o != (Override{}) {
		for key, there := range map[string]bool{
			"override": o.Days > 0, "override_by": o.By != "", "override_document": o.Document != "",
		} {
			if !there {
				s.missing(key)
			}
		}
	}
	return o
}
