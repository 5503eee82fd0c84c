package glass

import (
	"math"
	"slices"

	"ventbell/internal/quantity"
	"ventbell/internal/spirit"
)

// ethanolDensity is that of pure ethanol at 20 °C in g/ml (OIML R 22).
const ethanolDensity = 0.7892391

// Sums are the figures of one drink, plain enough to keep.
type Sums struct {
	Parts    []Pour `cbor:"p"`
	Method   Method `cbor:"m,omitempty"`
	Dilution Band   `cbor:"d"` // percent of what was poured
	Volume   Band   `cbor:"v"` // ml in the glass, ice apart
	// ABV is in percent by volume. Its low end goes with the most water and the
	// low strength of an infusion.
	ABV     Band    `cbor:"a"`
	Alcohol Band    `cbor:"g"`           // g
	Sugar   float64 `cbor:"s,omitempty"` // g, what is told of it
	Acid    float64 `cbor:"i,omitempty"` // g, likewise
	// Cost is in hundredths of the currency; 0 = the book does not price all of
	// its parts. It leaves out our own ingredients, which Unpriced names.
	Cost     quantity.Money `cbor:"c,omitempty"`
	Currency string         `cbor:"y,omitempty"`
	Unpriced []string       `cbor:"u,omitempty"`
	// Serves is how many drinks a house batch of its infusion gives, of the
	// scarcest if there are several; ServesOf names it.
	Serves   int      `cbor:"n,omitempty"`
	ServesOf string   `cbor:"o,omitempty"`
	Contains []string `cbor:"k,omitempty"` // allergens that the book knows of
	Untold   []Untold `cbor:"t,omitempty"`
	Uses     []Use    `cbor:"e,omitempty"`
}

// Pour is one part of a drink as it was understood.
type Pour struct {
	Name     string          `cbor:"n"`
	Volume   quantity.Volume `cbor:"v"`
	Strength Band            `cbor:"s"`           // percent by volume
	Infusion bool            `cbor:"i,omitempty"` // its strength is an estimate
	Source   string          `cbor:"f,omitempty"` // where its figures come from
}

// Untold is what the book does not tell of a part or of the solid in it, so that
// it is not counted.
type Untold struct {
	Name string `cbor:"n"`
	What string `cbor:"w"` // Sugar, Acid or SugarAndAcid
}

// What a book may not tell of a part.
const (
	Sugar = "sugar"
	Acid  = "acid"
	// SugarAndAcid of a fruit go over into its infusion, nobody knows how much.
	SugarAndAcid = "sugar and acid"
)

// Use is what an infusion is for, as its recipe says.
type Use struct {
	Name string `cbor:"n"`
	Note string `cbor:"u"`
}

// Sum works out the figures of a drink.
func Sum(d Drink) Sums {
	s := Sums{Method: d.method, Dilution: d.dilution, Currency: d.currency}
	cost, priced, poured := 0.0, len(d.parts) > 0, false
	for _, p := range d.parts {
		s.Parts = append(s.Parts, Pour{p.name, p.volume, p.strength, p.infusion, p.source})
		s.Sugar += p.sugar
		s.Acid += p.acid
		s.note(p)
		switch {
		case p.free:
		case p.own:
			s.Unpriced = add(s.Unpriced, p.name)
		default:
			cost, priced, poured = cost+p.cost, priced && p.priced, true
		}
	}
	if priced && poured {
		s.Cost = quantity.Money(math.Round(cost))
	} else {
		s.Unpriced = nil
	}
	s.mix(d)
	return s
}

// mix works out volume, strength and alcohol, by mass: what ethanol and water
// lose in volume when they mix is lost, the sugar's room is added.
func (s *Sums) mix(d Drink) {
	var all [3]spirit.Blend // without the water of the ice
	for _, p := range d.parts {
		for i := range all {
			all[i] = all[i].Plus(p.mixed[i])
		}
	}
	room := sugarVolume * s.Sugar
	volume := func(b spirit.Blend) float64 {
		if b.Grams() == 0 {
			return room
		}
		return b.Millilitres() + room
	}
	abv := func(b spirit.Blend) float64 {
		if b.Ethanol() == 0 {
			return 0
		}
		return 100 * b.Ethanol() / ethanolDensity / volume(b)
	}
	const low, central, high = 0, 1, 2
	s.Alcohol = Band{all[low].Ethanol(), all[central].Ethanol(), all[high].Ethanol()}
	s.Volume = Band{
		volume(all[central].Plus(d.ice[low])), volume(all[central].Plus(d.ice[central])), volume(all[central].Plus(d.ice[high])),
	}
	s.ABV = Band{
		abv(all[low].Plus(d.ice[high])), abv(all[central].Plus(d.ice[central])), abv(all[high].Plus(d.ice[low])),
	}
}

// note gathers what a part says beside its figures.
func (s *Sums) note(p part) {
	for _, u := range p.untold {
		s.Untold = add(s.Untold, u)
	}
	for _, a := range p.contains {
		s.Contains = add(s.Contains, a)
	}
	if p.use != "" {
		s.Uses = add(s.Uses, Use{p.name, p.use})
	}
	if p.serves > 0 && (s.ServesOf == "" || p.serves < s.Serves) {
		s.Serves, s.ServesOf = p.serves, p.name
	}
}

// add puts into a list what is not there yet.
func add[T comparable](list []T, one T) []T {
	if slices.Contains(list, one) {
		return list
	}
	return append(list, one)
}

// SugarPer100 gives the sugar in g per 100 ml in the glass.
func (s Sums) SugarPer100() float64 { return s.per100(s.Sugar) }

// AcidPercent gives the acid in g per 100 ml in the glass, which a bar calls
// percent.
func (s Sums) AcidPercent() float64 { return s.per100(s.Acid) }

func (s Sums) per100(grams float64) float64 {
	if s.Volume.Central == 0 {
		return 0
	}
	return 100 * grams / s.Volume.Central
}

// About reports whether the strength rests on an estimate of an infusion's.
func (s Sums) About() bool {
	return slices.ContainsFunc(s.Parts, func(p Pour) bool { return p.Infusion })
}

// WaterShare gives which share of a diluted drink is water from the ice: what
// a ready bottle needs instead, by volume.
func WaterShare(dilution float64) float64 { return dilution / (100 + dilution) }
