package request

import (
	"math/bits"

	"ventbell/internal/book"
)

// slack is how many edits a word of n letters may be off: a short word turns
// into another one too easily.
func slack(n int) int {
	switch {
	case n <= 3:
		return 0
	case n <= 5:
		return 1
	case n <= 9:
		return 2
	}
	return 3
}

// near gives how far typed is from known, if that is within the slack. The
// beginning must agree (a swap, a letter too many or too few count as
// agreeing), else toffee would be coffee and parsley barley.
func near(typed, known string, typedLetters, knownLetters uint32) (int, bool) {
	most := min(slack(len(known)), len(typed)/2)
	if most == 0 || bits.OnesCount32(typedLetters^knownLetters) > 2*most {
		return 0, false
	}
	if typed[0] != known[0] && typed[0] != known[1] && typed[1] != known[0] {
		return 0, false
	}
	d := book.Distance(typed, known, most)
	return d, d <= most
}

// letters gives the letters of a word as bits: one edit changes at most two.
func letters(s string) uint32 {
	var set uint32
	for _, c := range []byte(s) {
		if c >= 'a' && c <= 'z' {
			set |= 1 << (c - 'a')
		} else {
			set |= 1 << 26
		}
	}
	return set
}
