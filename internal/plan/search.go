package plan

import (
	"cmp"
	"math/bits"
	"slices"
	"time"
)

// search looks for the best starts of up to six jobs. It takes the earliest
// moments that what is settled so far allows, finds two blocks for which a hand
// is missing, and goes on three ways: the one first, the other first, or both at
// once. Moments only grow by what is settled, so a way that is no better than the
// best found so far is left. It needs no grid of times: the earliest moments are
// sums of the jobs' own spans.
type search struct {
	jobs   []Job
	hands  int
	blocks []block
	root   state // before anything was tried
	best   [mostJobs]time.Duration
	end    time.Duration // by which everything of best is done
	sum    time.Duration // of the starts of best
}

// block is a piece of a job that takes a hand: from so long after a moment, for
// so long.
type block struct {
	job   int
	from  int // the moment it hangs on, see bounds
	off   time.Duration
	span  time.Duration
	vents bool
}

// mostBlocks is how many blocks a search has: a charge, a vent and a strain for
// each job.
const mostBlocks = 3 * mostJobs

// state is what is settled: spans between moments, and which blocks are at once.
type state struct {
	bounds
	beside [mostBlocks]uint32 // for each block a bit for each that it overlaps
}

// pair is two blocks of different jobs.
type pair struct{ a, b int }

// newSearch lays out the moments of the jobs and what is known of them, with one
// job after the other as the first answer to beat.
func newSearch(jobs []Job, hands int) *search {
	s := &search{jobs: jobs, hands: hands, root: state{bounds: newBounds(2*len(jobs) + 1)}}
	for i, j := range jobs {
		start, strain := startOf(i), strainOf(i)
		s.root.settle(origin, start, 0)
		s.root.settle(start, strain, j.strainAt())
		s.root.settle(strain, start, -j.strainAt()-j.Slack)
		s.blocks = append(s.blocks,
			block{job: i, from: start, span: j.Charge},
			block{job: i, from: start, off: j.ventAt(), span: j.Vent, vents: true},
			block{job: i, from: strain, span: j.Strain})
		if i > 0 {
			s.end += jobs[i-1].Wash
		}
		s.best[i] = s.end
		s.sum += s.end
		s.end += j.strainAt() + j.tail()
	}
	s.queue()
	s.alike()
	return s
}

// queue makes each job wait for its vessel.
func (s *search) queue() {
	last := map[string]int{}
	for i, j := range s.jobs {
		if before, ok := last[j.Vessel]; ok && j.Vessel != "" {
			s.root.settle(strainOf(before), startOf(i), s.jobs[before].Strain+s.jobs[before].Wash)
		}
		last[j.Vessel] = i
	}
}

// alike keeps jobs that are the same, each alone in its vessel, in the order of
// the list: to swap them changes nothing.
func (s *search) alike() {
	uses := map[string]int{}
	for _, j := range s.jobs {
		uses[j.Vessel]++
	}
	alone := func(j Job) bool { return j.Vessel == "" || uses[j.Vessel] == 1 }
	for i, j := range s.jobs {
		for k := i + 1; k < len(s.jobs); k++ {
			other := s.jobs[k]
			if !alone(j) || !alone(other) {
				continue
			}
			if other.Vessel = j.Vessel; other == j {
				s.root.settle(startOf(i), startOf(k), 0)
				break
			}
		}
	}
}

// run searches from the root.
func (s *search) run() {
	if s.follow(&s.root) && s.better(&s.root) {
		s.look(&s.root)
	}
}

// look searches on from what is settled in st, the most promising way first.
func (s *search) look(st *state) {
	p, ok := s.clash(st)
	if !ok {
		s.keep(st)
		return
	}
	var ways []state
	for _, o := range [...]pair{p, {p.b, p.a}} {
		next := *st
		if next.settle(s.between(o)) && s.follow(&next) {
			ways = append(ways, next)
		}
	}
	if next := *st; s.mayBeAtOnce(st, p) && s.atOnce(&next, p) && s.follow(&next) {
		ways = append(ways, next)
	}
	slices.SortStableFunc(ways, func(a, b state) int {
		aEnd, aSum := s.ends(&a)
		bEnd, bSum := s.ends(&b)
		return cmp.Or(cmp.Compare(aEnd, bEnd), cmp.Compare(aSum, bSum))
	})
	for i := range ways {
		if s.better(&ways[i]) {
			s.look(&ways[i])
		}
	}
}

// between gives what has to be settled for a to be over before b begins.
func (s *search) between(p pair) (x, y int, span time.Duration) {
	a, b := &s.blocks[p.a], &s.blocks[p.b]
	span = a.off + a.span - b.off
	if a.vents && b.vents {
		span += ventGap
	}
	return a.from, b.from, span
}

// mayBeAtOnce says that p are not two vents, and that there is a hand for each
// of them and for each pair that is at once with both.
func (s *search) mayBeAtOnce(st *state, p pair) bool {
	if s.hands == 1 || s.blocks[p.a].vents && s.blocks[p.b].vents {
		return false
	}
	return !st.crowded(st.beside[p.a]&st.beside[p.b], s.hands-1)
}

// crowded says that among the blocks there are n that are all at once.
func (st *state) crowded(blocks uint32, n int) bool {
	if n == 0 {
		return true
	}
	for ; bits.OnesCount32(blocks) >= n; blocks &= blocks - 1 {
		if st.crowded(blocks&st.beside[bits.TrailingZeros32(blocks)], n-1) {
			return true
		}
	}
	return false
}

// atOnce settles that neither of p is over before the other begins.
func (s *search) atOnce(st *state, p pair) bool {
	a, b := &s.blocks[p.a], &s.blocks[p.b]
	st.beside[p.a] |= 1 << p.b
	st.beside[p.b] |= 1 << p.a
	return st.settle(b.from, a.from, b.off-a.off-a.span) && st.settle(a.from, b.from, a.off-b.off-b.span)
}

// follow settles everything of which only one way is left. It gives false where
// none is.
func (s *search) follow(st *state) bool {
	for i, j := range s.jobs {
		if !st.settle(strainOf(i), origin, j.tail()-s.end) {
			return false
		}
	}
	for again := true; again; {
		again = false
		for a := range s.blocks {
			for b := a + 1; b < len(s.blocks); b++ {
				if s.blocks[a].job == s.blocks[b].job || st.beside[a]&(1<<b) != 0 {
					continue
				}
				moved, ok := s.followPair(st, pair{a, b})
				if !ok {
					return false
				}
				again = again || moved
			}
		}
	}
	return true
}

// followPair settles a pair of which only one way is left.
func (s *search) followPair(st *state, p pair) (moved, ok bool) {
	ax, ay, ab := s.between(p)
	bx, by, ba := s.between(pair{p.b, p.a})
	if st.least[ax][ay] >= ab || st.least[bx][by] >= ba {
		return false, true
	}
	first, second := st.allows(ax, ay, ab), st.allows(bx, by, ba)
	switch {
	case first && second:
		return false, true
	case s.mayBeAtOnce(st, p):
		if first || second {
			return false, true
		}
		return true, s.atOnce(st, p)
	case first:
		return true, st.settle(ax, ay, ab)
	case second:
		return true, st.settle(bx, by, ba)
	}
	return false, false
}

// better says whether the earliest moments in st beat the best.
func (s *search) better(st *state) bool {
	end, sum := s.ends(st)
	return end < s.end || end == s.end && sum < s.sum
}

// ends gives by when the earliest moments in st have everything done, and the
// sum of the starts.
func (s *search) ends(st *state) (end, sum time.Duration) {
	for i := range s.jobs {
		end = max(end, st.least[origin][strainOf(i)]+s.jobs[i].tail())
		sum += st.least[origin][startOf(i)]
	}
	return end, sum
}

// keep takes the earliest moments in st as the best.
func (s *search) keep(st *state) {
	s.end, s.sum = s.ends(st)
	for i := range s.jobs {
		s.best[i] = st.least[origin][startOf(i)]
	}
}

// clash finds the first two blocks that clash at the earliest moments in st:
// two vents, or two of more blocks than there are hands.
func (s *search) clash(st *state) (found pair, ok bool) {
	var first time.Duration
	for a := range s.blocks {
		at := s.at(st, a)
		if ok && at >= first {
			continue
		}
		if p, clashes := s.clashAt(st, a, at); clashes {
			found, first, ok = p, at, true
		}
	}
	return found, ok
}

// at gives the earliest moment of a block.
func (s *search) at(st *state, a int) time.Duration {
	return st.least[origin][s.blocks[a].from] + s.blocks[a].off
}

// clashAt finds two blocks that clash when a begins.
func (s *search) clashAt(st *state, a int, at time.Duration) (pair, bool) {
	busy := make([]int, 0, mostJobs)
	for b := range s.blocks {
		from, until := s.at(st, b), s.at(st, b)+s.blocks[b].span
		if a != b && s.blocks[a].vents && s.blocks[b].vents && from <= at && at < until+ventGap {
			return pair{b, a}, true
		}
		if from <= at && at < until {
			busy = append(busy, b)
		}
	}
	if len(busy) <= s.hands {
		return pair{}, false
	}
	for i, x := range busy { // so many at once are never settled, so two are open
		for _, y := range busy[i+1:] {
			if st.beside[x]&(1<<y) == 0 {
				return pair{x, y}, true
			}
		}
	}
	return pair{}, false
}
