package plan

import (
	"cmp"
	"slices"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// Result is what became of one batch of a recipe.
type Result struct {
	Made    time.Time
	In      quantity.Volume
	Solids  quantity.Mass
	Out     quantity.Volume // 0 = nobody measured it
	Drained quantity.Mass   // of pieces that are kept, in place of Out; 0 = nobody weighed them
	Meant   time.Duration   // the rest that was planned; 0 = not known
	Rest    time.Duration   // really taken, up to the word that it is empty; 0 = not known
	Contact time.Duration   // really taken, of liquid on solids; 0 = not known
	Taste   request.Verdict // Weak, Right or Strong; empty = nobody told
	Solid   request.Verdict // of the solids: Spent or GoodAgain; empty = nobody told
}

// ratio gives the solids in the liquid.
func (r Result) ratio() quantity.Ratio { return ratioOf(r.Solids, r.In) }

// Proposal is a change of a recipe that its last results speak for. It is shown
// and never applied.
type Proposal struct {
	Figure Figure
	Why    request.Verdict // what was said of it: Weak or Strong
	N, Of  int             // N of the last Of said so
	// From and To are of Figure: the solids in 100 ml, or the rest.
	FromRatio, ToRatio quantity.Ratio
	FromRest, ToRest   time.Duration
	// Low and High are the class's for the ratio, the recipe's own for the rest.
	LowRatio, HighRatio quantity.Ratio
	LowRest, HighRest   time.Duration
	Solids              quantity.Mass // for one run, at ToRatio
	Line                string        // what to type to have it so; it was laid out first
}

// Figure is what a proposal is about.
type Figure string

// The figures.
const (
	OfRatio Figure = "ratio"
	OfRest  Figure = "rest"
	// OfTime: the recipe was not kept to, so there is nothing to change in it but
	// to keep its time: the rest within LowRest and HighRest.
	OfTime Figure = "time"
)

// How results speak: all estimates of ours.
const (
	looked = 3 // of the latest results with a taste are looked at
	agreed = 2 // of them say the same, and none the opposite

	// pressing is what the two silent presses, half a minute apart, add to the
	// rest that a vessel really had until it was told empty.
	pressing = time.Minute
	// usual is how far a yield may lie from the one expected, as a share of the
	// liquid: beyond it something else went wrong.
	usual = 0.15
	// alike is by what share two ratios may differ and still be one recipe.
	alike = 0.05

	ratioStep = 0.10 // of the ratio, up or down
	restStep  = 0.15 // of the rest
	leastStep = 0.05 // less than that nobody tastes
)

// learn shows a plan's last results, the latest first, and what they speak for.
func learn(b *book.Book, r request.Request, free []book.Vessel, in Input, p *Plan) {
	if len(in.Results) == 0 {
		return
	}
	p.Last = slices.Clone(in.Results[max(0, len(in.Results)-looked):])
	slices.Reverse(p.Last)
	d, ok := draftOf(b, r, in)
	if !ok || d.decide() != nil {
		return
	}
	l := lesson{draft: d, plan: *p, free: free}
	p.Proposal = l.propose()
}

// lesson is a plan beside what was said of the batches before it.
type lesson struct {
	draft
	plan  Plan
	free  []book.Vessel
	taste request.Verdict
	n, of int
}

// propose gives the change that the last results speak for; nil = none.
func (l lesson) propose() *Proposal {
	said := l.told()
	l.of = len(said)
	for _, l.taste = range []request.Verdict{request.Weak, request.Strong} {
		complaints := filter(said, func(r Result) bool { return r.Taste == l.taste })
		if l.n = len(complaints); l.n < agreed {
			continue
		}
		if slices.ContainsFunc(said, func(r Result) bool { return r.Taste != l.taste && r.Taste != request.Right }) {
			return nil
		}
		if len(filter(complaints, l.inTime)) < agreed {
			return l.keepTime()
		}
		return l.change()
	}
	return nil
}

// told gives the latest results that say a taste of this recipe as it is
// planned now, and whose yield was as usual. What was weak with less of it or less
// time says nothing of more, nor what was strong with more.
func (l lesson) told() []Result {
	said := filter(l.in.Results, func(r Result) bool {
		of := float64(r.ratio()) / float64(max(l.now(), 1))
		time := float64(cmp.Or(r.Meant, l.plan.Rest.Target)) / float64(max(l.plan.Rest.Target, 1))
		switch {
		case r.Taste == "" || r.Rest == 0 || !l.usual(r):
			return false
		case r.Taste == request.Weak:
			return min(of, time) >= 1-alike
		case r.Taste == request.Strong:
			return max(of, time) <= 1+alike
		}
		return true
	})
	return said[max(0, len(said)-looked):]
}

// usual says that a yield lies near the one expected, or was never measured. Of
// pieces that are kept it is what a gram of them weighs drained.
func (l lesson) usual(r Result) bool {
	if l.recipe.Product == book.SolidKept {
		if r.Drained == 0 || r.Solids == 0 {
			return true
		}
		expected, _ := l.drained(l.each)
		off := float64(r.Drained)/float64(r.Solids) - float64(expected)/float64(max(l.mass(l.each), 1))
		return off <= usual && off >= -usual
	}
	if r.Out == 0 || r.In == 0 {
		return true
	}
	expected, _ := l.yield(l.each)
	off := float64(r.Out)/float64(r.In) - float64(expected)/float64(l.each)
	return off <= usual && off >= -usual
}

// inTime says that a batch had the rest that its recipe asks for, and that its
// solids were not left in too long: most of what is too strong happens after
// the vent.
func (l lesson) inTime(r Result) bool {
	rest := l.recipe.Rest
	if r.Rest < rest.Min || r.Rest > rest.Max+pressing {
		return false
	}
	return l.taste != request.Strong || l.recipe.Contact == 0 || r.Contact <= l.recipe.Contact
}

// now gives the ratio of the plan.
func (l lesson) now() quantity.Ratio { return ratioOf(l.mass(l.each), l.each) }

func (l lesson) proposal(f Figure) *Proposal {
	rest := l.recipe.Rest
	return &Proposal{Figure: f, Why: l.taste, N: l.n, Of: l.of, LowRest: rest.Min, HighRest: rest.Max}
}

// keepTime says that the clock was the cause.
func (l lesson) keepTime() *Proposal {
	p := l.proposal(OfTime)
	p.FromRest, p.ToRest = l.plan.Rest.Target, l.plan.Rest.Target
	return p
}

// change gives the first change that stays within all limits: for what is weak
// more time before more solids; for what is strong fewer solids, and first less
// time where heat or tannin goes on growing with it.
func (l lesson) change() *Proposal {
	order := []func() *Proposal{l.rest, l.ratio}
	if l.taste == request.Strong && !grows(l.solid) {
		slices.Reverse(order)
	}
	for _, try := range order {
		if p := try(); p != nil {
			return p
		}
	}
	return nil
}

// grows says that what a solid gives goes on growing while it lies in the liquid:
// the heat of a pepper, the tannin of tea and leaf (common practice, no source).
func grows(b book.Botanical) bool {
	return b.Irritant || b.Kind == book.HotPepper || b.Kind == book.Tea || b.Kind == book.Herb || b.Kind == book.Woody
}

// rest proposes another rest within the recipe's own limits.
func (l lesson) rest() *Proposal {
	p := l.proposal(OfRest)
	p.FromRest = l.plan.Rest.Target
	p.ToRest = min(max(stepped(p.FromRest, l.up(restStep)), p.LowRest), p.HighRest)
	if !l.moves(float64(p.FromRest), float64(p.ToRest)) {
		return nil
	}
	r := l.request
	r.Rest = p.ToRest
	return l.laidOut(p, r)
}

// ratio proposes more or less of the solid within the class's limits. Of pieces
// that are kept it only says how many the liquid covers.
func (l lesson) ratio() *Proposal {
	class, known := l.book.ClassOf(l.recipe)
	if !known || class.RatioMax == 0 || l.recipe.Product == book.SolidKept {
		return nil
	}
	p := l.proposal(OfRatio)
	p.FromRatio, p.LowRatio, p.HighRatio = l.now(), class.RatioMin, class.RatioMax
	to := quantity.Ratio(float64(p.FromRatio)*(1+l.up(ratioStep)) + 0.5)
	p.Solids = weighable(min(max(to, p.LowRatio), p.HighRatio).Of(l.each))
	p.ToRatio = ratioOf(p.Solids, l.each)
	if p.ToRatio < p.LowRatio || p.ToRatio > p.HighRatio || !l.moves(float64(p.FromRatio), float64(p.ToRatio)) {
		return nil
	}
	r := l.request
	r.Solids, r.Volume = p.Solids, l.each
	return l.laidOut(p, r)
}

// up gives a step with its sign: what is weak wants more.
func (l lesson) up(step float64) float64 {
	if l.taste == request.Strong {
		return -step
	}
	return step
}

// moves says that a change goes the way it should, far enough to be tasted.
func (l lesson) moves(from, to float64) bool {
	share := (to - from) / max(from, 1)
	if l.taste == request.Strong {
		share = -share
	}
	return share >= leastStep
}

// laidOut gives a proposal once the plan with it was laid out over the same
// vessels: it fits, and the solids are still out in time.
func (l lesson) laidOut(p *Proposal, r request.Request) *Proposal {
	q, problem := lay(l.book, r, l.free, l.in)
	if problem != nil || len(q.Runs) != len(l.plan.Runs) {
		return nil
	}
	for i, run := range q.Runs {
		if run.Vessel != l.plan.Runs[i].Vessel {
			return nil
		}
	}
	if q.Contact > 0 && outAt(q.Steps) > max(q.Contact, outAt(l.plan.Steps)) {
		return nil
	}
	p.Line = r.String()
	return p
}

// outAt gives when the solids come out.
func outAt(steps []Step) time.Duration {
	for _, s := range steps {
		if s.Do == Strain || s.Do == Drain {
			return s.At
		}
	}
	return 0
}

// stepped changes a span by a share, to what a clock shows well: five seconds,
// and one where the span is short.
func stepped(d time.Duration, share float64) time.Duration {
	grain := 5 * time.Second
	if d < 45*time.Second {
		grain = time.Second
	}
	return time.Duration(float64(d) * (1 + share)).Round(grain)
}

// ratioOf gives so much of a solid in so much liquid as a ratio, to the nearest.
func ratioOf(m quantity.Mass, v quantity.Volume) quantity.Ratio {
	if v == 0 {
		return 0
	}
	return quantity.Ratio((int64(m)*int64(100*quantity.Millilitre) + int64(v)/2) / int64(v))
}

func filter(all []Result, pass func(Result) bool) []Result {
	var out []Result
	for _, r := range all {
		if pass(r) {
			out = append(out, r)
		}
	}
	return out
}
