package voice

import (
	"fmt"
	"math"

	"ventbell/internal/kitchen"
)

// labelFacts are the strength and the last day that go onto a label; nothing
// when neither is known.
func (v Voice) labelFacts(b *kitchen.Batch) Line {
	vals := values{"abv": v.strength(b.ABVLow, b.ABVHigh), "use": day(b.UseBy)}
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

// strength gives a strength as a cook says it, with its ends where they differ.
func (v Voice) strength(low, high float64) string {
	middle := fmt.Sprintf("%.0f %%", math.Round((low+high)/2))
	if high-low < 1.5 {
		return middle
	}
	return v.word("label.band", values{"middle": middle, "low": whole(low), "high": whole(high)})
}
