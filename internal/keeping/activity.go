package keeping

import (
	"math"

	"ventbell/internal/quantity"
)

// Growth is what the interaction tables of the Food Code say of a product.
type Growth string

// The verdicts of the tables. A product that wants assessing counts as TCS
// food (time and temperature control for safety) until a laboratory has said
// otherwise.
const (
	NonTCS Growth = "non-TCS"
	Assess Growth = "product assessment required"
)

// TableA reads Food Code table A: product heated to kill vegetative cells and
// then packaged. The table is in the definitions, 1-201.10.
func TableA(ph, activity float64) (Growth, error) {
	if err := checkProduct(ph, activity); err != nil {
		return "", err
	}
	switch {
	case ph <= 4.6, activity <= 0.92, ph <= 5.6 && activity <= 0.95:
		return NonTCS, nil
	}
	return Assess, nil
}

// TableB reads Food Code table B: product not heated, or heated and not
// packaged. It is the one that fits what a bar strains and keeps.
func TableB(ph, activity float64) (Growth, error) {
	if err := checkProduct(ph, activity); err != nil {
		return "", err
	}
	switch {
	case ph < 4.2, activity < 0.88, ph <= 4.6 && activity <= 0.92, ph <= 5.0 && activity <= 0.90:
		return NonTCS, nil
	}
	return Assess, nil
}

func checkProduct(ph, activity float64) error {
	if err := quantity.Within("pH", ph, 0, 14, ""); err != nil {
		return err
	}
	return quantity.Within("water activity", activity, 0, 1, "")
}

// The figures of Norrish's equation for sucrose in water.
const (
	norrishSucrose = 6.47 // from memory
	sucroseMolar   = 342.3
	waterMolar     = 18.015
	// mostBrix is where sucrose saturates water at 20 °C, in % by mass (from
	// memory: 66.7). Above it the equation speaks of nothing that stays clear.
	mostBrix = 67.0
)

// SyrupActivity gives the water activity of plain sucrose syrup of so many
// Brix, by Norrish's equation. Fruit, glucose and honey shift it: it is an
// estimate for cane or beet sugar alone, and no measurement.
func SyrupActivity(brix float64) (float64, error) {
	if err := quantity.Within("syrup", brix, 0, mostBrix, "Brix"); err != nil {
		return 0, err
	}
	sucrose, water := brix/sucroseMolar, (100-brix)/waterMolar
	share := sucrose / (sucrose + water)
	return (1 - share) * math.Exp(-norrishSucrose*share*share), nil
}
