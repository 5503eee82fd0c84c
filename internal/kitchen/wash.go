package kitchen

import (
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// What is asked about a wash.
const (
	// AskDeep: Vessel is washed after Title, which left Line in it: was it a deep
	// wash?
	AskDeep Code = "deep"
	// AskTraces: Vessel carries Line of Title, had no deep wash since, and what is
	// to be started is without it.
	AskTraces Code = "traces"
)

// The buttons about a wash.
const (
	ChooseDeep  ChoiceCode = "deep"       // the deep wash is done
	ChoosePlain ChoiceCode = "plain"      // it was no deep one
	ChooseOther ChoiceCode = "other"      // start in Line's vessel instead
	ChooseClean ChoiceCode = "deep start" // the deep wash is done, start
)

// What a tap says besides about a wash.
const (
	tapPlain = "plain"
	tapDeep  = "deep"
)

// washed makes a dirty vessel free again. What held an allergen leaves it in
// valve, gasket and nozzle until a deep wash; which wash it was is asked.
func (s *scene) washed() Answer {
	tag, deep := s.req.Vessel, s.req.Verb == request.DeepWash
	b, r := s.heldBy(tag), s.Vessels[tag]
	switch {
	case r.Blocked != nil:
		a, _ := s.unusable(tag)
		return a
	case b != nil && b.Gas() > 0:
		return s.refuse(b, RefusePressured)
	case b != nil:
		return s.refuse(b, RefuseHolding)
	case r.Dirty == 0 && (!deep || len(r.Traces) == 0):
		return Answer{Kind: Already, Verb: s.req.Verb, Vessel: tag, Private: true}
	}
	if s.late && s.before(Mark{Done: r.Dirty}) { // it was another wash
		return Answer{
			Kind: Refuse, Code: RefuseTooEarly, Verb: s.req.Verb, Vessel: tag, Title: r.Title, Who: r.By, At: r.Dirty, Private: true,
		}
	}
	if !deep && len(r.Traces) > 0 && s.tap.With != tapPlain {
		return s.askDeep(tag, r)
	}
	title := r.Title
	if deep {
		s.deepWash(tag)
	} else {
		m := s.mark()
		s.record(tag, func(r *Vessel) { r.Dirty, r.Plain = 0, &m })
		s.note(nil, "washed", tag, "title", title)
	}
	a := Answer{Kind: Done, Verb: s.req.Verb, Vessel: tag, Title: title, Who: s.cmd.By, At: s.done, Private: true}
	a.Allergens = s.Vessels[tag].Traces
	return a
}

// leave notes the allergens that something leaves in a vessel until its deep wash.
func (r *Vessel) leave(allergens []string, title string) {
	if len(allergens) > 0 {
		r.Traces, r.Left, r.Plain = joined(r.Traces, allergens), title, nil
	}
}

// deepWash notes that valve, gasket and nozzle of a vessel were washed apart.
func (s *scene) deepWash(tag string) {
	old := s.Vessels[tag]
	s.record(tag, func(r *Vessel) { r.Dirty, r.Traces = 0, nil })
	s.note(nil, "deep washed", tag, "title", old.Title, "of", strings.Join(old.Traces, ", "))
}

// askDeep asks which wash it was.
func (s *scene) askDeep(tag string, r Vessel) Answer {
	a := s.aboutVessel(Ask, AskDeep, tag)
	a.Title, a.Allergens = r.Left, r.Traces
	a.Choices = []Choice{
		{Code: ChooseDeep, Tap: Tap{Line: request.Request{Verb: request.DeepWash, Vessel: tag}.String()}},
		{Code: ChoosePlain, Tap: Tap{Line: request.Request{Verb: request.Washed, Vessel: tag}.String(), With: tapPlain}},
	}
	return a
}

// strange gives the allergens that a vessel carries and that a recipe has not.
func (s *scene) strange(tag string, allergens []string) []string {
	return slices.DeleteFunc(slices.Clone(s.Vessels[tag].Traces), func(a string) bool { return slices.Contains(allergens, a) })
}

// traces looks a plan over for vessels that carry an allergen which it has not.
// Other vessels are taken where they do; else it asks.
func (s *scene) traces(p plan.Plan) (plan.Plan, *Answer) {
	var carry []string
	for _, run := range p.Runs {
		if len(s.strange(run.Vessel, p.Allergens)) > 0 {
			carry = append(carry, run.Vessel)
		}
	}
	if len(carry) == 0 {
		return p, nil
	}
	if s.tap.With == tapDeep && len(carry) == 1 && carry[0] == s.req.Vessel {
		s.deepWash(carry[0])
		return p, nil
	}
	other := s.req
	other.Vessel = ""
	instead, problem := s.planOver(other, slices.DeleteFunc(s.free(s.book, s.now), func(v book.Vessel) bool {
		return s.heldBack(other, v.Tag) != nil || len(s.strange(v.Tag, p.Allergens)) > 0
	}))
	if problem == nil && s.req.Vessel == "" {
		return instead, nil
	}
	a := s.askTraces(carry[0], p)
	if problem == nil && len(instead.Runs) == 1 && s.tap.With != "replace" {
		other.Vessel = instead.Runs[0].Vessel
		a.Free = []string{other.Vessel}
		a.Choices = append(a.Choices, Choice{Code: ChooseOther, Tap: Tap{Line: other.String()}})
	}
	return p, &a
}

// askTraces asks for the deep wash of a vessel before something is started in it.
func (s *scene) askTraces(tag string, p plan.Plan) Answer {
	r := s.Vessels[tag]
	a := Answer{Kind: Ask, Code: AskTraces, Verb: request.Start, Vessel: tag, Title: r.Left, Line: s.req.String(), At: s.now, Who: s.cmd.By, Private: true}
	a.Allergens = s.strange(tag, p.Allergens)
	if r.Plain != nil {
		a.Who, a.At, a.Washed = r.Plain.By, r.Plain.Done, true
	}
	clean := Choice{Code: ChooseDeep, Tap: Tap{Line: request.Request{Verb: request.DeepWash, Vessel: tag}.String()}}
	if len(p.Runs) == 1 {
		named := s.req
		named.Vessel = tag
		clean = Choice{Code: ChooseClean, Tap: Tap{Line: named.String(), With: tapDeep}}
	}
	if s.tap.With != "replace" { // there, it is deep washed by itself
		a.Choices = []Choice{clean}
	}
	return a
}
