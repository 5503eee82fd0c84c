package book

// LongestWord is how much of a word Distance compares, in bytes.
const LongestWord = 47

// Distance counts the edits that turn a into b: letters put in, left out,
// replaced, or two neighbours swapped (optimal string alignment). It gives up
// above most and then gives more than that. The words are folded, so a letter
// of the Latin alphabet is a byte.
func Distance(a, b string, most int) int {
	a, b = a[:min(len(a), LongestWord)], b[:min(len(b), LongestWord)]
	if len(a)-len(b) > most || len(b)-len(a) > most {
		return most + 1
	}
	const far = 2 * LongestWord
	var rows [3][LongestWord + 1]uint8
	for j := range len(b) + 1 {
		rows[0][j] = uint8(j)
	}
	for i := 1; i <= len(a); i++ {
		row, above, twoAbove := &rows[i%3], &rows[(i+2)%3], &rows[(i+1)%3]
		// Further than most from the diagonal nothing is near enough.
		from, to := max(1, i-most), min(len(b), i+most)
		row[from-1] = far
		if from == 1 {
			row[0] = uint8(i)
		}
		if i > 1 && to == i+most {
			above[to] = far
		}
		best := row[from-1]
		for j := from; j <= to; j++ {
			cost := uint8(1)
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
		if int(best) > most+1 { // one more row could still swap back by one
			return most + 1
		}
	}
	return int(rows[len(a)%3][len(b)])
}
