package request

import (
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// localUnit is a unit that holds more in one country than in another.
type localUnit uint8

const (
	aFluidOunce localUnit = iota
	aPint
	aQuart
	aGallon
	aCup
	aShot
	aJigger
)

// pound is the avoirdupois pound, to a milligram (NIST Handbook 44, appendix C).
const pound = 453_592 * quantity.Milligram

// in gives what the unit holds in a country. An American pint is 16 of its
// ounces and a British one 20 of its own, a quart is two pints and a gallon
// eight (NIST Handbook 44, appendix C). Where neither is at home the American
// ones count: whoever types them there mostly comes from over there. A shot is
// what bars of a country pour, common practice, no source.
func (u localUnit) in(country string) quantity.Volume {
	floz, pint := quantity.USFluidOunce, 16*quantity.USFluidOunce
	if country == "GB" || country == "IE" {
		floz, pint = quantity.UKFluidOunce, 20*quantity.UKFluidOunce
	}
	switch u {
	case aPint:
		return pint
	case aQuart:
		return 2 * pint
	case aGallon:
		return 8 * pint
	case aCup:
		if country == "US" {
			return 8 * floz
		}
		return 250 * quantity.Millilitre
	case aShot:
		switch country {
		case "US":
			return 44 * quantity.Millilitre
		case "GB":
			return 25 * quantity.Millilitre
		case "AU", "NZ":
			return 30 * quantity.Millilitre
		}
		return 40 * quantity.Millilitre
	case aJigger:
		return 44 * quantity.Millilitre
	}
	return floz
}

// bottle gives what a bottle holds: what the house says, else what spirits are
// sold in, 750 ml in the Americas and 700 ml elsewhere (27 CFR 5.203; Directive
// 2007/45/EC).
func bottle(h book.House) quantity.Volume {
	switch {
	case h.Bottle > 0:
		return h.Bottle
	case h.Country == "US" || h.Country == "CA" || h.Country == "MX":
		return 750 * quantity.Millilitre
	}
	return 700 * quantity.Millilitre
}

// saidIn gives the names of a good that a country uses: a limón is a lemon in
// Spain and a lime in Mexico. Elsewhere it is asked. Common practice, no source.
func saidIn(country string, names [][]string) [][]string {
	const limon = "limon"
	other := map[string]string{"ES": "lime peel", "MX": "lemon peel"}[country]
	if len(names) == 0 || other == "" || strings.Join(names[0], " ") != other {
		return names
	}
	return slices.DeleteFunc(slices.Clone(names), func(words []string) bool { return len(words) == 1 && words[0] == limon })
}
