package voice

import (
	"fmt"
	"math"

	"ventbell/internal/kitchen"
)

// labelFacts are the strength and the last day that go onto a label; nothing
// when neither is known.
func (v Voice) labelFacts(b *kitchen.Batch) Line {
	vals := values{"abv": about(b.ABVLow, b.ABVHigh), "use": day(b.UseBy), "storage": b.Storage}
	switch {
	case b.ABVHigh > 0 && b.UseBy != 0:
		return v.say("label.facts", vals)
	case b.UseBy != 0:
		return v.say("label.useby", vals)
	case b.ABVHigh > 0:
		return v.say("label.strength", vals)
	}
	return nil
}

// about gives a strength as a cook says it: one figure where its ends round to
// nearly the same, else both.
func about(low, high float64) string {
	if high-low < 1.5 {
		return fmt.Sprintf("%.0f", math.Round((low+high)/2))
	}
	return fmt.Sprintf("%.0f to %.0f", low, high)
}
