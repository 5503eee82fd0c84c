package keeping

import (
	"slices"
	"time"

	"ventbell/internal/quantity"
)

// Setup is one vessel as it is about to be used or stands: what the pairs of
// things that must not meet are held against. What is not said is not assumed,
// except for the manual: no entry in it counts as one charger.
type Setup struct {
	Liquid         Liquid
	Strength       Strength // the high end counts
	Solids         []Solid
	Storage        Storage
	Temp           quantity.Temperature
	Heated         bool // the infusion is warmed
	TCS            bool
	PH             Reading
	RawEgg         bool
	Powder         bool // powder or pulp
	Irritant       bool // its spray hurts eyes; a name that says so counts too
	Fizzy          bool // carbonated or fermenting
	Metal          Metal
	RatedForHeat   bool
	OverLine       bool // liquid and solids above the mark
	Chargers       int
	Manual         int // the manual's most; 0 = not entered
	CarbonDioxide  bool
	CarbonRated    bool // the manual allows carbon dioxide
	NoID           bool // the vessel has none
	PlasticHead    bool
	FlameNear      bool
	Goggles        bool
	InVessel       time.Duration // solids in it
	Charged        time.Duration
	BrandedBottle  bool // the infusion goes into a bottle with a brand on it
	AddedStimulant bool
	Where          string
}

// Metal is what the liquid touches.
type Metal string

// The metals that acid must not meet; the others need no name.
const (
	BareAluminium Metal = "bare aluminium"
	Copper        Metal = "copper"
	Brass         Metal = "brass"
)

// Pair is two things that must not meet.
type Pair struct {
	Code    Code
	Act     Act
	Sources []Source
	meets   func(*Setup) bool
}

// The pairs.
const (
	PairOilAllium       Code = "allium in oil out of the fridge"
	PairHotVessel       Code = "hot in an unrated vessel"
	PairOverLine        Code = "above the line"
	PairOverManual      Code = "more chargers than the manual"
	PairCarbonDioxide   Code = "carbon dioxide in a nitrous oxide vessel"
	PairRawEgg          Code = "raw egg in a drink"
	PairAcidCopper      Code = "acid on copper or brass"
	PairAcidAluminium   Code = "acid on bare aluminium"
	PairPowder          Code = "powder or pulp"
	PairFizzy           Code = "carbonated or fermenting"
	PairStrongFlame     Code = "strong spirit near a flame"
	PairWarmFlame       Code = "warm spirit near a flame"
	PairNoGoggles       Code = "irritant without goggles"
	PairNoID            Code = "vessel without an id"
	PairPlasticHead     Code = "plastic head"
	PairSolidsLong      Code = "solids over 12 h"
	PairChargedLong     Code = "TCS charged over 48 h"
	PairBrandedBottle   Code = "branded bottle"
	PairHeatedSpirit    Code = "heated spirit"
	PairStimulantSpirit Code = "stimulant with spirit"
)

// The lines that the pairs draw; all common practice but for the hot line,
// which is that of pressurised cans in EU and US law (directive 75/324/EEC,
// 16 CFR 1500.130).
const (
	hotLine     = 50 * quantity.Celsius
	warmLine    = 25 * quantity.Celsius
	strongLine  = 60.0 // percent by volume
	warmStrong  = 20.0 // percent by volume
	longSolids  = 12 * time.Hour
	longCharged = 48 * time.Hour
	// acidPH is where the Food Code's rule on copper begins.
	acidPH = 6.0
)

var (
	cansAreWarm = Source{"directive 75/324/EEC and 16 CFR 1500.130 for pressurised cans", Verified}
	recalls     = Source{"French consumer authority: plastic heads burst, over 200 000 recalled", Verified}
	mistBurns   = Source{"HSE RR1108: a mist can burn below its flash point", Verified}
)

var pairs = []Pair{
	{PairOilAllium, Refuse, []Source{oilFourDays}, func(s *Setup) bool {
		return s.Liquid == Oil && s.Storage == Shelf && s.has(Allium)
	}},
	{PairHotVessel, Refuse, []Source{cansAreWarm}, func(s *Setup) bool { return s.Temp > hotLine && !s.RatedForHeat }},
	{PairOverLine, Refuse, []Source{practice}, func(s *Setup) bool { return s.OverLine }},
	{PairOverManual, Refuse, []Source{practice}, func(s *Setup) bool { return s.Chargers > max(s.Manual, 1) }},
	{PairCarbonDioxide, Refuse, []Source{{"carbon dioxide chargers run at higher pressure", FromMemory}}, func(s *Setup) bool {
		return s.CarbonDioxide && !s.CarbonRated
	}},
	{PairRawEgg, Refuse, []Source{rawEggDrinks}, func(s *Setup) bool { return s.RawEgg }},
	{PairAcidCopper, Refuse, []Source{metalsAndAcid}, func(s *Setup) bool {
		return (s.Metal == Copper || s.Metal == Brass) && s.acid()
	}},
	{PairAcidAluminium, Warn, []Source{practice}, func(s *Setup) bool { return s.Metal == BareAluminium && s.acid() }},
	{PairPowder, Warn, []Source{practice}, func(s *Setup) bool { return s.Powder }},
	{PairFizzy, Refuse, []Source{practice}, func(s *Setup) bool { return s.Fizzy }},
	{PairStrongFlame, Refuse, []Source{mistBurns, practice}, func(s *Setup) bool { return s.FlameNear && s.strength() > strongLine }},
	{PairWarmFlame, Refuse, []Source{mistBurns, practice}, func(s *Setup) bool {
		return s.FlameNear && s.strength() > warmStrong && (s.Heated || s.Temp > warmLine)
	}},
	{PairNoGoggles, Warn, []Source{practice}, func(s *Setup) bool { return !s.Goggles && s.irritant() }},
	{PairNoID, Refuse, []Source{practice}, func(s *Setup) bool { return s.NoID }},
	{PairPlasticHead, Refuse, []Source{recalls}, func(s *Setup) bool { return s.PlasticHead }},
	{PairSolidsLong, Warn, []Source{practice}, func(s *Setup) bool { return s.InVessel > longSolids }},
	{PairChargedLong, Refuse, []Source{reducedOxygen, practice}, func(s *Setup) bool { return s.TCS && s.Charged > longCharged }},
	{PairBrandedBottle, Warn, []Source{{"26 USC 5301(c)", Verified}}, func(s *Setup) bool {
		return s.BrandedBottle && s.region() == UnitedStates
	}},
	{PairHeatedSpirit, Warn, []Source{{"Washington LCB Bulletin 19-04", SecondHand}}, func(s *Setup) bool {
		j, _ := Where(s.Where)
		return s.Heated && s.strength() > 0 && j.WarmFlag
	}},
	{PairStimulantSpirit, Refuse, []Source{stimulantLaws}, func(s *Setup) bool {
		return s.strength() > 0 && (s.AddedStimulant || slices.ContainsFunc(s.Solids, isStimulant))
	}},
}

// Pairs gives the whole list.
func Pairs() []Pair { return slices.Clone(pairs) }

// Meetings gives the pairs that meet in a setup, gravest first. None does not
// mean that it is safe.
func Meetings(s Setup) ([]Finding, error) {
	if err := s.Strength.check(); err != nil {
		return nil, err
	}
	if s.PH.Known {
		if err := quantity.Within("pH", s.PH.Value, 0, 14, ""); err != nil {
			return nil, err
		}
	}
	if err := quantity.Within("temperature", s.Temp.Degrees(), -80, 250, "°C"); err != nil {
		return nil, err
	}
	if err := quantity.Within("chargers", float64(s.Chargers), 0, 100, ""); err != nil {
		return nil, err
	}
	var all []Finding
	for _, p := range pairs {
		if p.meets(&s) {
			all = append(all, Finding{Act: p.Act, Code: p.Code, Sources: p.Sources})
		}
	}
	slices.SortStableFunc(all, func(a, b Finding) int { return gravity[b.Act] - gravity[a.Act] })
	return all, nil
}

func (s *Setup) has(k Class) bool {
	return slices.ContainsFunc(s.Solids, func(v Solid) bool { return v.counted().Class == k })
}

// acid reports whether the liquid eats metal: measured below 6, or by nature.
func (s *Setup) acid() bool {
	if s.PH.Known {
		return s.PH.Value < acidPH
	}
	return s.Liquid == Vinegar || s.Liquid == Wine || slices.ContainsFunc(s.Solids, func(v Solid) bool {
		return holdsAny(plain(v.names()), "citrus", "lemon", "lime", "orange", "grapefruit", "mandarin", "yuzu", "pomelo", "bergamot")
	})
}

// strength gives the high end; a spirit that nobody measured counts as strong.
func (s *Setup) strength() float64 {
	switch {
	case s.Strength.Known:
		return s.Strength.High
	case s.Liquid == Spirit:
		return 100
	case s.Liquid == Wine:
		return warmStrong
	}
	return 0
}

func (s *Setup) irritant() bool { return s.Irritant || slices.ContainsFunc(s.Solids, isIrritant) }

func isIrritant(v Solid) bool { return warnsOf(v, Irritant) }

func isStimulant(v Solid) bool { return warnsOf(v, Stimulant) }

func warnsOf(v Solid, why Hazard) bool {
	return slices.ContainsFunc(CautionsFor(v.names()...), func(c Caution) bool { return c.Why == why })
}

func (s *Setup) region() Region {
	j, _ := Where(s.Where)
	return j.Region
}
