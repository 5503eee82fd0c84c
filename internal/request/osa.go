package request

import "math/bits"

// longestWord is how much of a word is compared, in bytes.
const longestWord = 47

// distance counts the edits that turn a into b: letters put in, left out,
// replaced, or two neighbours swapped (optimal string alignment). It gives up
// above most and then gives more than that. The words are folded, so a letter
// of the Latin alphabet is a byte.
func distance(a, b string, most int) int {
	a, b = a[:min(len(a), longestWord)], b[:min(len(b), longestWord)]
	if len(a)-len(b) > most || len(b)-len(a) > most {
		return most + 1
	}
	var rows [3][longestWord + 1]int
	for j := range len(b) + 1 {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		row, above, twoAbove := &rows[i%3], &rows[(i+2)%3], &rows[(i+1)%3]
		row[0] = i
		best := i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			d := min(above[j]+1, row[j-1]+1, above[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, twoAbove[j-2]+1)
			}
			row[j] = d
			best = min(best, d)
		}
		if best > most+1 { // one more row could still swap back by one
			return most + 1
		}
	}
	return rows[len(a)%3][len(b)]
}

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
	d := distance(typed, known, most)
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
