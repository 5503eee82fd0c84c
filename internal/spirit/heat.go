package spirit

import "ventbell/internal/quantity"

// point is one entry of a table.
type point struct{ x, y float64 }

// heatTable is the specific heat of ethanol and water at 20 °C, kJ/(kg K) by
// percent of mass: Melinder's data set for 11 to 60 % as the CoolProp project
// carries it, with water and ethanol of Zabransky's splines at the ends. A
// mean by mass of those two would be 13 % low at 40 % vol.
var heatTable = [13]point{
	{0, 4.184},
	{11, 4.332},
	{15, 4.355},
	{20, 4.342},
	{25, 4.291},
	{30, 4.211},
	{35, 4.111},
	{40, 3.996},
	{45, 3.874},
	{50, 3.749},
	{55, 3.626},
	{60, 3.508},
	{100, 2.39},
}

// HeatCapacity gives the specific heat in J/(kg K) at 20 °C of a strength in
// percent by volume, straight between the entries of the table. Above 60 % by
// mass the straight line is long, and good to some 5 % (our estimate).
func HeatCapacity(percent float64) (float64, error) {
	if err := quantity.Within("strength", percent, 0, 100, "% vol"); err != nil {
		return 0, err
	}
	return 1000 * interpolate(heatTable[:], 100*byMass(percent)), nil
}

// interpolate goes straight between the points, which rise in x, and stays at
// the first and the last beyond them.
func interpolate(table []point, x float64) float64 {
	last := table[0]
	if x <= last.x {
		return last.y
	}
	for _, p := range table[1:] {
		if x <= p.x {
			return last.y + (p.y-last.y)*(x-last.x)/(p.x-last.x)
		}
		last = p
	}
	return last.y
}
