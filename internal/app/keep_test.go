package app

import (
	"testing"
	"time"
)

func TestHowLongThingsAreKeptIsSetByTheHouse(t *testing.T) {
	t.Parallel()
	const day = 24 * time.Hour
	for text, want := range map[string]time.Duration{
		"": 400 * day, "13 months": 400 * day, "400 days": 400 * day, "31d": 31 * day, "1 Month": 35 * day,
		"2 years": 735 * day, "3660 days": 3660 * day,
		// refused
		"30 days": 0, "3661 days": 0, "0 days": 0, "-40 days": 0, "forever": 0, "13": 0, "13 moons": 0, "1.5 years": 0, "9999999999999999999 days": 0,
	} {
		got, err := Options{Keep: text}.keep()
		if got != want || (err != nil) != (want == 0) {
			t.Errorf("%q is %v, %v; want %v", text, got, err, want)
		}
	}
}
