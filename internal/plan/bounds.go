package plan

import "time"

// origin is the moment at which the crew begins. The others are the start and
// the strain of each job, see startOf and strainOf.
const origin = 0

func startOf(job int) int  { return 2*job + 1 }
func strainOf(job int) int { return 2*job + 2 }

// unbound says that nothing is known of two moments.
const unbound = time.Duration(-1 << 62)

// bounds holds, for each two moments, the least span from the one to the other
// that follows from what was settled: longest paths, kept up as constraints
// are added. The spans from the origin are the earliest moments, all at once.
type bounds struct {
	n     int
	least [2*mostJobs + 1][2*mostJobs + 1]time.Duration
}

// newBounds gives bounds of n moments of which nothing is known.
func newBounds(n int) bounds {
	b := bounds{n: n}
	for i := range b.n {
		for k := range b.n {
			if i != k {
				b.least[i][k] = unbound
			}
		}
	}
	return b
}

// allows says whether y can come so long after x.
func (b *bounds) allows(x, y int, span time.Duration) bool {
	return b.least[y][x] == unbound || b.least[y][x]+span <= 0
}

// settle makes y come so long after x at least, and gives false where that
// cannot be.
func (b *bounds) settle(x, y int, span time.Duration) bool {
	if b.least[x][y] >= span {
		return true
	}
	if !b.allows(x, y, span) {
		return false
	}
	for i := range b.n {
		if b.least[i][x] == unbound {
			continue
		}
		before := b.least[i][x] + span
		for k := range b.n {
			if after := b.least[y][k]; after != unbound && before+after > b.least[i][k] {
				b.least[i][k] = before + after
			}
		}
	}
	return true
}
