package quantity

import "fmt"

// RangeError says that a value lies outside the range in which a figure made
// from it holds. NaN lies outside every range.
type RangeError struct {
	What      string // "temperature"
	Value     float64
	Low, High float64
	Unit      string // "K"; empty for a bare number
}

// Error says the value and the range.
func (e *RangeError) Error() string {
	unit := e.Unit
	if unit != "" {
		unit = " " + unit
	}
	return fmt.Sprintf("%s %.6g%s is outside %.6g to %.6g%s", e.What, e.Value, unit, e.Low, e.High, unit)
}

// Within gives a *RangeError unless value is from low to high.
func Within(what string, value, low, high float64, unit string) error {
	if value >= low && value <= high {
		return nil
	}
	return &RangeError{What: what, Value: value, Low: low, High: high, Unit: unit}
}
