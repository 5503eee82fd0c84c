package kitchen

import "ventbell/internal/glass"

// glass says what is in the glass of a drink. It changes nothing.
func (s *scene) glass() Answer {
	a := Answer{Kind: GlassAnswer, Line: s.req.Text, Private: true}
	drink, problem := glass.Read(s.req.Text, s.book)
	if problem != nil {
		a.NoGlass = problem
		return a
	}
	sums := glass.Sum(drink)
	a.Glass = &sums
	return a
}
