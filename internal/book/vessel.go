package book

import (
	"ventbell/internal/quantity"
)

// mostFilled is how much of the brim volume liquid and solids may take, in per
// cent: an estimate, it leaves the gas its headspace.
const mostFilled = 80

// Holds reports whether v may be filled with so much liquid and solids of that
// true volume. The liquid never stands above the line; where the manual counts
// solids into the line or the brim was never measured, solids count too; and
// the two never take more than 80 % of the brim.
func (v Vessel) Holds(liquid, solids quantity.Volume) bool {
	toLine := liquid
	if v.LineHoldsSolids || v.Brim == 0 {
		toLine += solids
	}
	return toLine <= v.Line && (v.Brim == 0 || 100*(liquid+solids) <= mostFilled*v.Brim)
}

// Fits reports whether so much liquid and solids of that true volume may be
// filled into v for r. Pieces that are kept lie in the liquid and lift it as
// they go in: they always count to the line.
func (r Recipe) Fits(v Vessel, liquid, solids quantity.Volume) bool {
	v.LineHoldsSolids = v.LineHoldsSolids || r.Product == SolidKept
	return v.Holds(liquid, solids)
}

// TrueVolume gives the volume that m of b takes up with its pores flooded,
// rounded up, since an estimate may forbid but never permit.
func (b Botanical) TrueVolume(m quantity.Mass) quantity.Volume {
	return quantity.Volume((int64(b.VolumePerGram)*int64(m) + int64(quantity.Gram) - 1) / int64(quantity.Gram))
}
