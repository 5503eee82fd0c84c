package app

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"ventbell/internal/ledger"
)

// dayLong is how long a day of the log is: it is counted in UTC.
const dayLong = 24 * time.Hour

// keep gives how long the log and the records are kept: "400 days", "13 months",
// "2 years". A month has its mean length, with four days to spare in all, so that
// thirteen of them are 400 days.
func (o Options) keep() (time.Duration, error) {
	text := strings.ToLower(strings.TrimSpace(o.Keep))
	if text == "" {
		return ledger.KeepDefault, nil
	}
	number := strings.TrimRight(text, "abcdefghijklmnopqrstuvwxyz ")
	n, err := strconv.Atoi(number)
	count := 0
	switch unit := strings.TrimSpace(strings.TrimPrefix(text, number)); {
	case err != nil || n < 1 || n > days(ledger.KeepMost):
	case unit == "d" || unit == "day" || unit == "days":
		count = n
	case unit == "month" || unit == "months":
		count = monthDays(n)
	case unit == "year" || unit == "years":
		count = monthDays(12 * n)
	}
	keep := time.Duration(count) * dayLong
	switch {
	case count == 0:
		return 0, fmt.Errorf("VENTBELL_KEEP is %q: say 13 months, or 400 days", o.Keep)
	case keep < ledger.KeepLeast || keep > ledger.KeepMost:
		return 0, fmt.Errorf("VENTBELL_KEEP is %q: say %d days at least and %d at most",
			o.Keep, days(ledger.KeepLeast), days(ledger.KeepMost))
	}
	return keep, nil
}

func monthDays(n int) int { return int(math.Ceil(float64(n)*365.25/12)) + 4 }

// days gives a span as whole days.
func days(d time.Duration) int { return int(d / dayLong) }
