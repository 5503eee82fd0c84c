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
	var rows [3][LongestWord + 1]int
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
