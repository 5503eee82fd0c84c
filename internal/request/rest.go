package request

import "time"

// rest reads "rest 90", "rest for 2 min", "rest: 1:30" and "2 min rest". Without
// a unit twenty and more are seconds, less are minutes.
func (b *start) rest() {
	for i := range b.toks {
		if !b.is(i, restWord) {
			continue
		}
		from, j := i, i+1
		for b.is(j, filler) && b.toks[j].role&oneWord == 0 {
			j++
		}
		if _, n, ok := b.tagAt(j); ok && b.spanFrom(j+n) { // "rest A 90"
			b.use(from, from+1)
			from, j = j+n, j+n
		}
		span, end, ok := b.spanAt(j)
		if !ok {
			span, end, ok = b.bareSpan(j)
		}
		to := end
		if !ok {
			from, span, ok = b.spanBefore(i)
			to = i + 1
		}
		span = span.Round(time.Second)
		switch {
		case !ok:
			b.fail(BadRest, i, i+1)
		case b.req.Rest != 0, span < time.Second, span > longAgo:
			b.fail(BadRest, from, to)
		default:
			b.req.Rest = span
		}
		b.use(from, to)
	}
	for i := range b.toks { // "400 ml for 90 s": what else would last so long
		if span, end, ok := b.spanAt(i); ok && b.req.Rest == 0 && b.toks[end-1].kind == word && b.lasts(i, end) && span >= time.Second && span < time.Hour {
			b.req.Rest = span.Round(time.Second)
			b.use(i, end)
		}
	}
}

// lasts says that the span from i up to end is no moment: "in 5 min", "5 min ago".
func (b *start) lasts(i, end int) bool {
	return !b.is(i-1, place|atWord) && !b.is(end, agoWord) && b.roles&(moreWord|denial) == 0
}

// spanFrom says that a span begins at i.
func (b *start) spanFrom(i int) bool {
	_, _, said := b.spanAt(i)
	_, _, bare := b.bareSpan(i)
	return said || bare
}

// bareSpan reads a number without a unit as a rest.
func (b *start) bareSpan(i int) (time.Duration, int, bool) {
	a, end, ok := b.numberAt(i)
	if _, after, unit := b.unitAt(end); !ok || unit && !b.letterIsTag(i, after) {
		return 0, i, false
	}
	a = a.plain()
	size := time.Minute
	if a.atLeast(fewestSeconds) {
		size = time.Second
	}
	n, ok := a.times(int64(size))
	return time.Duration(n), end, ok
}

// spanOf gives what a whole number without a unit is as a rest.
func spanOf(n int64) (time.Duration, bool) {
	if n < fewestSeconds {
		return time.Duration(n) * time.Minute, n > 0
	}
	return time.Duration(n) * time.Second, n <= 900
}

// spanBefore reads the span that ends just before i.
func (b *start) spanBefore(i int) (int, time.Duration, bool) {
	for from := max(0, i-4); from < i; from++ {
		if span, end, ok := b.spanAt(from); ok && end == i {
			return from, span, true
		}
	}
	return i, 0, false
}
