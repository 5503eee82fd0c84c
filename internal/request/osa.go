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

// shape is what rules most words out before two are compared letter by letter.
type shape struct {
	letters       uint32 // its letters as bits: one edit changes at most two
	first, second byte
	length, slack uint8
}

func shapeOf(text string) shape {
	s := shape{length: uint8(min(len(text), 255)), slack: uint8(slack(len(text)))}
	for _, c := range []byte(text) {
		if c >= 'a' && c <= 'z' {
			s.letters |= 1 << (c - 'a')
		} else {
			s.letters |= 1 << 26
		}
	}
	if len(text) > 1 {
		s.first, s.second = text[0], text[1]
	}
	return s
}

// most gives how many edits a typed word may be off a known one; 0 = too many are
// needed for sure. The beginning must agree (a swap, a letter too many or too few
// count as agreeing), else toffee would be coffee and parsley barley.
func (known *shape) most(typed *shape) int {
	if typed.first != known.first && typed.first != known.second && typed.second != known.first {
		return 0
	}
	most := min(int(known.slack), int(typed.length)/2)
	off := int(typed.length) - int(known.length)
	if off > most || -off > most || bits.OnesCount32(typed.letters^known.letters) > 2*most {
		return 0
	}
	return most
}

// near gives how far a typed word is from a known one, if that is within the
// slack.
func near(typed, known string, of, to *shape) (int, bool) {
	most := to.most(of)
	if most == 0 {
		return 0, false
	}
	d := book.Distance(typed, known, most)
	return d, d <= most
}
