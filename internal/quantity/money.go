package quantity

import (
	"errors"
	"fmt"
	"math/big"
)

// mostMoney is the most that an amount in a book can mean, in hundredths.
const mostMoney Money = 1_000_000_00

// String gives m with its two decimals and without a currency: "24.00".
func (m Money) String() string {
	sign, n := "", uint64(m)
	if m < 0 {
		sign, n = "-", -n
	}
	return fmt.Sprintf("%s%d.%02d", sign, n/100, n%100)
}

// ParseMoney reads an amount of the house's currency, to the hundredth and
// never rounded: "24.00", "0.7", "12".
func ParseMoney(s string) (Money, error) {
	m, err := parseMoney(s)
	return m, wrap("amount", s, err)
}

func parseMoney(s string) (Money, error) {
	value, unit, err := split(s)
	if err != nil {
		return 0, err
	}
	if unit != "" {
		return 0, errors.New(`write the bare amount, like "24.00"`)
	}
	value.Mul(value, big.NewRat(100, 1))
	switch {
	case !value.IsInt():
		return 0, errors.New("at most two decimals")
	case value.Cmp(big.NewRat(int64(mostMoney), 1)) > 0:
		return 0, errors.New("too much to be meant")
	}
	return Money(value.Num().Int64()), nil
}
