package keeping_test

import (
	"errors"
	"math"
	"slices"
	"testing"
	"time"

	"ventbell/internal/keeping"
	"ventbell/internal/quantity"
)

// The lines are common practice but for 50 °C (directive 75/324/EEC and 16 CFR
// 1500.130, pressurised cans), pH 6 on copper (Food Code 4-101.14) and the
// branded bottle (26 USC 5301(c)).
func TestPairsThatMustNotMeet(t *testing.T) {
	t.Parallel()
	const refuse, warn = keeping.Refuse, keeping.Warn
	solid := func(name string, k keeping.Class) []keeping.Solid { return []keeping.Solid{{Name: name, Class: k}} }
	quiet := keeping.Setup{Liquid: keeping.Spirit, Strength: keeping.Between(37, 40), Temp: 20 * quantity.Celsius, Chargers: 2, Manual: 2, Solids: solid("clove", keeping.Dry), Where: "BE"}
	covered := map[keeping.Code]bool{}
	for _, w := range []struct {
		name string
		set  func(*keeping.Setup)
		act  keeping.Act
		code keeping.Code // empty = none meets
	}{
		{"nothing odd", func(*keeping.Setup) {}, "", ""},
		{"garlic oil on the shelf", func(s *keeping.Setup) {
			s.Liquid, s.Strength, s.Storage, s.Solids = keeping.Oil, keeping.Strength{}, keeping.Shelf, solid("garlic", keeping.Dry)
		}, refuse, keeping.PairOilAllium},
		{"at 50 C", func(s *keeping.Setup) { s.Temp = 50 * quantity.Celsius }, "", ""},
		{"above 50 C", func(s *keeping.Setup) { s.Temp = 50*quantity.Celsius + 1 }, refuse, keeping.PairHotVessel},
		{"above 50 C in a rated vessel", func(s *keeping.Setup) { s.Temp, s.RatedForHeat = 60*quantity.Celsius, true }, "", ""},
		{"over the line", func(s *keeping.Setup) { s.OverLine = true }, refuse, keeping.PairOverLine},
		{"three chargers, manual two", func(s *keeping.Setup) { s.Chargers = 3 }, refuse, keeping.PairOverManual},
		{"two chargers, manual not entered", func(s *keeping.Setup) { s.Manual = 0 }, refuse, keeping.PairOverManual},
		{"carbon dioxide", func(s *keeping.Setup) { s.CarbonDioxide = true }, refuse, keeping.PairCarbonDioxide},
		{"carbon dioxide that the manual allows", func(s *keeping.Setup) { s.CarbonDioxide, s.CarbonRated = true, true }, "", ""},
		{"raw egg", func(s *keeping.Setup) { s.RawEgg = true }, refuse, keeping.PairRawEgg},
		{"vinegar on copper", func(s *keeping.Setup) {
			s.Liquid, s.Strength, s.Metal = keeping.Vinegar, keeping.Strength{}, keeping.Copper
		}, refuse, keeping.PairAcidCopper},
		{"pH 5.9 on brass", func(s *keeping.Setup) { s.PH, s.Metal = keeping.Measured(5.9), keeping.Brass }, refuse, keeping.PairAcidCopper},
		{"pH 6 on brass", func(s *keeping.Setup) { s.PH, s.Metal = keeping.Measured(6), keeping.Brass }, "", ""},
		{"lemon on bare aluminium", func(s *keeping.Setup) {
			s.Metal, s.Solids = keeping.BareAluminium, solid("lemon peel", keeping.Fruit)
		}, warn, keeping.PairAcidAluminium},
		{"powder", func(s *keeping.Setup) { s.Powder = true }, warn, keeping.PairPowder},
		{"fermenting", func(s *keeping.Setup) { s.Fizzy = true }, refuse, keeping.PairFizzy},
		{"60 % near a flame, cold", func(s *keeping.Setup) { s.FlameNear, s.Strength = true, keeping.Between(58, 60) }, "", ""},
		{"its high end above 60 %", func(s *keeping.Setup) { s.FlameNear, s.Strength = true, keeping.Between(50, 60.1) }, refuse, keeping.PairStrongFlame},
		{"a spirit of unknown strength near a flame", func(s *keeping.Setup) { s.FlameNear, s.Strength = true, keeping.Strength{} }, refuse, keeping.PairStrongFlame},
		{"warm near a flame", func(s *keeping.Setup) { s.FlameNear, s.Temp = true, 30*quantity.Celsius }, refuse, keeping.PairWarmFlame},
		{"warm and weak near a flame", func(s *keeping.Setup) {
			s.FlameNear, s.Temp, s.Strength = true, 30*quantity.Celsius, keeping.Between(10, 20)
		}, "", ""},
		{"chilli without goggles", func(s *keeping.Setup) { s.Solids = solid("green chillies", keeping.Veg) }, warn, keeping.PairNoGoggles},
		{"chilli with goggles", func(s *keeping.Setup) { s.Solids, s.Goggles = solid("chilli", keeping.Veg), true }, "", ""},
		{"told to be irritant", func(s *keeping.Setup) { s.Irritant = true }, warn, keeping.PairNoGoggles},
		{"no id", func(s *keeping.Setup) { s.NoID = true }, refuse, keeping.PairNoID},
		{"plastic head", func(s *keeping.Setup) { s.PlasticHead = true }, refuse, keeping.PairPlasticHead},
		{"solids in it for 12 h", func(s *keeping.Setup) { s.InVessel = 12 * time.Hour }, "", ""},
		{"solids in it for longer", func(s *keeping.Setup) { s.InVessel = 12*time.Hour + time.Minute }, warn, keeping.PairSolidsLong},
		{"cream charged for 49 h", func(s *keeping.Setup) { s.TCS, s.Charged = true, 49*time.Hour }, refuse, keeping.PairChargedLong},
		{"gin charged for 49 h", func(s *keeping.Setup) { s.Charged = 49 * time.Hour }, "", ""},
		{"a branded bottle in the US", func(s *keeping.Setup) { s.BrandedBottle, s.Where = true, "US-NY" }, warn, keeping.PairBrandedBottle},
		{"a branded bottle in Belgium", func(s *keeping.Setup) { s.BrandedBottle = true }, "", ""},
		{"heated in Washington", func(s *keeping.Setup) { s.Heated, s.Where = true, "US-WA" }, warn, keeping.PairHeatedSpirit},
		{"heated in Oregon", func(s *keeping.Setup) { s.Heated, s.Where = true, "US-OR" }, "", ""},
		{"guarana", func(s *keeping.Setup) { s.Solids = solid("guarana", keeping.Dry) }, refuse, keeping.PairStimulantSpirit},
		{"an added stimulant", func(s *keeping.Setup) { s.AddedStimulant = true }, refuse, keeping.PairStimulantSpirit},
		{"a stimulant in water", func(s *keeping.Setup) {
			s.AddedStimulant, s.Liquid, s.Strength = true, keeping.Water, keeping.Strength{}
		}, "", ""},
	} {
		s := quiet
		w.set(&s)
		found, err := keeping.Meetings(s)
		if err != nil {
			t.Fatal(err)
		}
		covered[w.code] = true
		if w.code == "" && len(found) != 0 || w.code != "" && !has(found, w.act, w.code) {
			t.Errorf("%s: %+v, want %q", w.name, found, w.code)
		}
	}
	for _, p := range keeping.Pairs() {
		if !covered[p.Code] {
			t.Errorf("no test meets %q", p.Code)
		}
		if len(p.Sources) == 0 || slices.Contains(p.Sources, keeping.Source{}) {
			t.Errorf("%q names no source", p.Code)
		}
	}
}

func TestTheGravestMeetingComesFirst(t *testing.T) {
	t.Parallel()
	found, err := keeping.Meetings(keeping.Setup{Powder: true, NoID: true, Liquid: keeping.Water})
	if err != nil || len(found) != 2 || found[0].Act != keeping.Refuse {
		t.Errorf("%+v, %v", found, err)
	}
}

func TestASetupThatMeansNothingIsRefused(t *testing.T) {
	t.Parallel()
	for name, s := range map[string]keeping.Setup{
		"strength NaN":          {Strength: keeping.Between(math.NaN(), 40)},
		"strength turned round": {Strength: keeping.Between(40, 30)},
		"pH NaN":                {PH: keeping.Measured(math.NaN())},
		"too cold":              {Temp: -300 * quantity.Celsius},
		"less than no charger":  {Chargers: -1},
	} {
		var bounds *quantity.RangeError
		if found, err := keeping.Meetings(s); !errors.As(err, &bounds) || found != nil {
			t.Errorf("%s: %v, %v", name, found, err)
		}
	}
}
