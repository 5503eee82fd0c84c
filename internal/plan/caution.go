package plan

import (
	"slices"

	"ventbell/internal/book"
	"ventbell/internal/keeping"
	"ventbell/internal/quantity"
	"ventbell/internal/spirit"
)

// The heat limits of a vessel that is charged or about to be: 50 °C is the
// warning mark of pressurised cans in EU and US law (directive 75/324/EEC,
// 16 CFR 1500.130); the others are common practice against fire.
const (
	hottestCharged = 50 * quantity.Celsius
	hottestSpirit  = 40 * quantity.Celsius
	hottestStrong  = 25 * quantity.Celsius // room temperature: never warmed
	strongSpirit   = 60 * quantity.Percent // above it
	anySpirit      = 20 * quantity.Percent // from it on whatever it is called
	lightsReadily  = 50 * quantity.Percent // from it on without being warmed
)

// warm is the highest target temperature that asks for no warning (estimate):
// above it a 40 % spirit is near its flash point.
const warm = 25 * quantity.Celsius

// hottest gives the most that the draft's liquid may be warmed to.
func (d draft) hottest() quantity.Temperature {
	switch {
	case d.strength > strongSpirit:
		return hottestStrong
	case d.family == book.Spirit, d.strength >= anySpirit:
		return hottestSpirit
	}
	return hottestCharged
}

// tooHot refuses a liquid that is warmer than it may ever be.
func (d draft) tooHot() *Problem {
	if d.temp <= d.hottest() {
		return nil
	}
	return &Problem{Code: TooHot, Name: d.recipe.Name, Temp: book.TempRange{Target: d.temp, Max: d.hottest()}}
}

// flashOf gives the caution figure in °C of a liquid as it is poured, at its
// strongest. Weaker than the table begins there is none.
func flashOf(strength quantity.Strength) float64 {
	if percent(strength) < spirit.LeastFlash {
		return 0
	}
	celsius, err := spirit.Caution(percent(strength))
	if err != nil {
		return 0
	}
	return celsius
}

// strong says that the liquid's vapour lights readily.
func (d draft) strong() bool {
	return d.strength >= lightsReadily || d.flash > 0 && d.temp.Degrees() >= d.flash
}

// acid says that the liquid eats bare metal.
func acid(c keeping.Case) bool {
	meets, err := keeping.Meetings(keeping.Setup{
		Liquid: c.Liquid, Strength: keeping.Between(0, 0), Solids: c.Solids, PH: c.PH,
		Metal: keeping.BareAluminium, Goggles: true,
	})
	return err == nil && slices.ContainsFunc(meets, func(f keeping.Finding) bool { return f.Code == keeping.PairAcidAluminium })
}

// The metals of the book that matter here.
const (
	steel     = "steel"
	aluminium = "aluminium"
)

// eaten says that the draft would eat v.
func (d draft) eaten(v book.Vessel) bool { return d.acid && v.Material == aluminium }

// The rules on botanicals that have a note of their own, or none: allergens are
// told anyway.
const (
	ruleIrritant = "irritant"
	ruleAllergen = "allergen"
)

// heed takes in what was found about the draft's solid.
func (d *draft) heed(found []keeping.Finding) {
	d.irritant = d.solid.Irritant
	for _, f := range found {
		switch {
		case f.Code != keeping.SolidNamed, f.Rule == ruleAllergen:
		case f.Rule == ruleIrritant:
			d.irritant = true
		default:
			d.heeded = true
		}
	}
}

// nearlyFull is the share of the brim volume, in per cent, from which liquid and
// solids leave little headspace (estimate).
const nearlyFull = 75

func (d draft) isNearlyFull(v book.Vessel, liquid quantity.Volume) bool {
	brim, _ := d.brim(v)
	return 100*(liquid+d.solid.TrueVolume(d.mass(liquid))) > nearlyFull*brim
}

// notes gives what to know: first what can hurt, then what the batch is, then
// weighing and filling, charging, and what comes after the vent.
func (d draft) notes(p Plan, parts []part) []Note {
	r := d.recipe
	out := make([]Note, 0, 16)
	add := func(when bool, n Note) {
		if when {
			out = append(out, n)
		}
	}
	add(!p.House, Note{Code: NoteNotHouse, Name: p.Class})
	add(d.strong(), Note{Code: NoteStrong})
	add(p.Temp.Target > warm, Note{Code: NoteWarm})
	add(d.irritant, Note{Code: NoteIrritant, Name: r.Solid})
	add(d.solid.Powder, Note{Code: NotePowder, Name: r.Solid})
	for _, a := range p.Allergens {
		add(true, Note{Code: NoteAllergen, Name: a})
	}
	add(d.heeded, Note{Code: NoteCaution, Name: r.Solid})
	add(p.SignOff != "", Note{Code: NoteSignOff, Name: r.Solid})
	kept := p.Product == book.SolidKept
	add(kept, Note{Code: NoteKeepSolid, Name: r.Solid})
	add(kept, Note{Code: NoteSameShift})
	add(kept && d.after.High > 0, Note{Code: NoteHoldsAlcohol, Name: r.Solid})
	add(p.Vent == book.SlowVent, Note{Code: NoteSlowVent})
	add(!p.VolumeSaid, Note{Code: NoteHouseBatch, Volume: r.Batch})
	add(d.foams(), Note{Code: NoteFoams, Volume: d.jug(most(parts))})
	for _, part := range parts {
		v := part.vessel
		brim, _ := d.brim(v)
		add(d.acid && v.Material == "", Note{Code: NoteAcid, Vessel: v.Tag})
		add(d.isNearlyFull(v, part.liquid), Note{Code: NoteNearlyFull, Vessel: v.Tag})
		add(v.Insulated, Note{Code: NoteInsulated, Vessel: v.Tag})
		add(v.Brim == 0, Note{Code: NoteNoBrim, Vessel: v.Tag, Volume: brim})
	}
	for _, part := range parts {
		v := part.vessel
		n := chargers(r, v)
		cut := v.Limit > 0 && n < wanted(r, v)
		thin := int64(n)*int64(r.Proven) < int64(r.Chargers)*int64(v.Nominal)
		add(v.Limit == 0, Note{Code: NoteNoLimit, Vessel: v.Tag, Count: n})
		add(cut, Note{Code: NoteFewerCharges, Vessel: v.Tag, Count: n})
		add(v.Nominal > r.Proven && thin, Note{Code: NoteWeaker, Vessel: v.Tag, Count: n, Volume: v.Nominal})
	}
	add(p.Gentle, Note{Code: NoteGentle})
	add(p.Cycles > 1, Note{Code: NoteCycles, Count: p.Cycles})
	add(contact(p.Steps) > p.Contact, Note{Code: NoteShortContact, Span: p.Contact})
	add(p.StrainFirst, Note{Code: NoteStrainFirst})
	add(p.Clear > 0, Note{Code: NoteStandClear, Span: p.Clear})
	add(p.JudgeAfter > 0, Note{Code: NoteGasLeaves, Span: p.JudgeAfter})
	return out
}
