package request

import (
	"cmp"
	"slices"

	"ventbell/internal/book"
)

// start is the reading of one line that starts a batch. What stands in the line
// is read off it piece by piece; the names are made of what is left.
type start struct {
	*sentence
	req     Request
	vessels []tag
	fault   *Problem // the first thing wrong
	// alts are the meanings of something that has two of them: the tokens from
	// doubt up to end.
	alts  []meaning
	doubt int
	end   int
	// part is how much of the house batch is wanted, no denominator = not said;
	// unsaid that nobody said of what it is a half.
	part     amount
	partFrom int
	partTo   int
	unsaid   bool
	bare     int // the number that is the volume without saying so, up to bareTo
	bareTo   int
	either   int   // the token of "50 C": a temperature, or a volume and a vessel; -1 = none
	warm     *band // a temperature said in a word
}

// meaning puts one meaning of something into a request.
type meaning func(*Request)

// start reads the line as the start of a batch. If it fails, a word that nobody
// knows may have been meant for a measure: "hlaf litre".
func (s *sentence) start() Reading {
	one, found := s.remeasured()
	r := s.startAsTyped()
	if found && r.Problem != nil {
		if again := one.startAsTyped(); again.Problem == nil {
			return again
		}
	}
	return r
}

func (s *sentence) startAsTyped() Reading {
	b := &start{sentence: s, req: Request{Verb: Start}, either: -1}
	b.says(byClass, &b.req.Sure)
	b.says(inRuns, &b.req.Split)
	b.rest()
	b.scaled()
	b.counts()
	b.measures()
	b.wanted()
	b.vessels, _ = s.vessels(Start)
	b.unseen()
	b.bareNumbers()
	b.eitherWay()
	if i, ok := s.unknownVessel(); ok {
		b.fail(UnknownVessel, i, i+1)
	}
	m := s.names()
	b.warmth(m)
	return b.finish(m)
}

// fail notes that the tokens from i up to j are at fault. The first fault counts.
func (b *start) fail(code ProblemCode, i, j int) {
	if b.fault == nil {
		text, at := b.said(i, j)
		b.fault = &Problem{Code: code, Word: text, Where: at}
		if code == UnknownVessel {
			b.fault.Names = b.tagNames()
		}
	}
	b.use(i, j)
}

// warmth reads the temperatures said in a word. A word that belongs to the name
// is none ("hot pepper").
func (b *start) warmth(m match) {
	for i, t := range m.terms {
		if m.taken&(1<<i) != 0 {
			b.use(t.from, t.to)
		}
	}
	for i := range b.toks {
		said, end, ok := b.warmAt(i)
		if !ok {
			continue
		}
		number := b.req.Temp
		switch {
		case b.warm != nil && *b.warm != said, number != nil && (*number < said.low || *number > said.high):
			b.fail(BadTemperature, i, end)
		default:
			b.warm = &said
			b.use(i, end)
		}
	}
}

// warmed gives the request with the temperature that a word means for a recipe:
// its own target, as far as the word reaches. A word that has nothing in common
// with the recipe's range means the middle of its own, and the plan refuses it.
func (b *start) warmed(r Request, own book.TempRange) Request {
	if b.warm == nil || r.Temp != nil {
		return r
	}
	low, high := max(b.warm.low, own.Min), min(b.warm.high, own.Max)
	t := min(max(own.Target, low), high)
	if low > high || own == (book.TempRange{}) {
		t = (b.warm.low + b.warm.high) / 2
	}
	r.Temp = &t
	return r
}

// choice is one thing that the names of a line may mean, as a whole request.
type choice struct {
	req   Request
	label string
}

// house gives the request for a recipe of the book.
func (b *start) house(recipe int) choice {
	own := b.book.Recipes[recipe]
	r := b.req
	r.Recipe, r.Sure = own.Name, false
	return choice{b.warmed(r, own.Temp), own.Name}
}

// choices gives what the names may mean. Where there is nothing, code says why.
//
// Where one word fits several botanicals and the house makes only one of them,
// that one is meant; in oil and dairy it is asked all the same.
func (b *start) choices(m *match) (all []choice, code ProblemCode) {
	for _, r := range m.recipes {
		all = append(all, b.house(r))
	}
	if r, ok := b.settled(m); ok {
		m.half = false
		return []choice{b.house(r)}, ""
	}
	code = m.code
	for _, p := range m.pairs {
		if recipes := b.index.recipesOf(p.solid, p.liquid); len(recipes) > 0 {
			for _, r := range recipes {
				all = append(all, b.house(r))
			}
			continue
		}
		c, why := b.byClass(p)
		if why != "" {
			code = why
			continue
		}
		all = append(all, c)
	}
	if len(all) > 0 {
		code = ""
	}
	// What the house makes goes before what the class tells, and two of that
	// instead of it.
	slices.SortStableFunc(all, func(a, b choice) int { return cmp.Compare(a.rank(), b.rank()) })
	if len(all) > 2 && all[1].req.Recipe != "" {
		all = slices.DeleteFunc(all, func(c choice) bool { return c.req.Recipe == "" })
	}
	return all, code
}

// rank puts what the house makes before what the class tells.
func (c choice) rank() int {
	if c.req.Recipe == "" {
		return 1
	}
	return 0
}

// settled gives the one recipe that the house makes of the pairs that a line
// could mean. One that brings an allergen has to be said in full.
func (b *start) settled(m *match) (int, bool) {
	if len(m.recipes) > 0 || len(m.pairs) < 2 {
		return 0, false
	}
	var made []int
	for _, p := range m.pairs {
		if b.book.Botanicals[p.solid].Refused != "" {
			return 0, false
		}
		made = append(made, b.index.recipesOf(p.solid, p.liquid)...)
	}
	return only(made, func(r int) bool { return !b.delicate(r) && (!m.half || len(b.book.Recipes[r].Allergens) == 0) })
}

// only gives the one element of a list, if it is fit.
func only(list []int, fit func(int) bool) (int, bool) {
	if len(list) != 1 || !fit(list[0]) {
		return 0, false
	}
	return list[0], true
}

// byClass gives the request for what is not a house recipe. In oil and dairy
// there is none: a wrong figure there makes people ill.
func (b *start) byClass(p pair) (choice, ProblemCode) {
	solid, liquid := b.book.Botanicals[p.solid], b.book.Liquids[p.liquid]
	if solid.Refused != "" {
		return choice{}, Refused
	}
	class, ok := b.book.ClassFor(liquid.Family, solid.Kind)
	if !ok || liquid.Family == book.Oil || liquid.Family == book.Dairy {
		return choice{}, NoDefault
	}
	r := b.req
	r.Solid, r.Base, r.Class, r.Sure = solid.Name, liquid.Name, class.Name, true
	r = b.warmed(r, class.Temp)
	return choice{r, solid.Name + " " + liquid.Name + " as class"}, ""
}

// finish makes the reading of what was found. What must never be made goes
// before every other fault.
func (b *start) finish(m match) Reading {
	all, code := b.choices(&m)
	b.portioned(all)
	b.solidKept(all)
	one := len(all) == 1 && !m.half && (all[0].req.Recipe != "" || b.req.Sure)
	if (!one || code != "" || b.fault != nil) && len(m.pairs) > 0 && m.nearest == nil {
		m.nearest = b.nearest(m.terms)
	}
	switch {
	case code == Refused || code == NoDefault:
		return b.refuse(m, code)
	case b.fault != nil:
		b.fault.Example = b.example(all, m)
		return problem(*b.fault)
	case code != "":
		return b.unknown(m, code)
	case len(b.vessels) > 1:
		return b.whichVessel(m, all, one)
	case b.alts != nil:
		return b.whichMeant(m, all, one)
	}
	for i := range all {
		all[i] = b.placed(all[i])
	}
	if one {
		return understood(all[0].req)
	}
	return b.whichName(m, all)
}

// placed gives a choice in the vessel that the line names.
func (b *start) placed(c choice) choice {
	if len(b.vessels) > 0 {
		c.req.Vessel = b.vessels[0].text
	}
	return c
}

// refuse is the answer to what is never made by a default, or never at all.
func (b *start) refuse(m match, code ProblemCode) Reading {
	text, at := b.said(m.from, m.to)
	p := Problem{Code: code, Word: text, Where: at}
	recipes := m.nearest
	if code == Refused {
		p.Names = []string{b.book.Botanicals[b.refusedIn(m)].Refused}
	} else {
		recipes = b.sameFamily(m)
		p.Names = b.namesOf(recipes)
	}
	p.Example = b.example(nil, match{nearest: recipes})
	return problem(p)
}

// refusedIn gives the refused botanical that a match came upon.
func (b *start) refusedIn(m match) int {
	for _, p := range m.pairs {
		if b.book.Botanicals[p.solid].Refused != "" {
			return p.solid
		}
	}
	return m.refused
}

// sameFamily gives the nearest house recipes, those of the same family of
// liquid first.
func (b *start) sameFamily(m match) []int {
	var same, others []int
	for _, r := range m.nearest {
		base := b.index.baseOf[r]
		if len(m.pairs) > 0 && base >= 0 && b.book.Liquids[base].Family == b.book.Liquids[m.pairs[0].liquid].Family {
			same = append(same, r)
		} else {
			others = append(others, r)
		}
	}
	return append(same, others...)
}

// unknown is the answer when the names mean nothing, or there are none.
func (b *start) unknown(m match, code ProblemCode) Reading {
	p := Problem{Code: code, Names: b.namesOf(m.nearest), Example: b.example(nil, m)}
	switch { // two examples, whatever is near
	case len(m.nearest) > 1:
		p.Another = b.placed(b.house(m.nearest[1])).req.String()
	case len(m.nearest) == 0 && len(b.book.Recipes) > 1:
		p.Another = b.placed(b.house(1)).req.String()
	case p.Example != b.anyStart():
		p.Another = b.anyStart()
	default:
		p.Another = string(Resting)
	}
	if code == UnknownRecipe {
		p.Word, p.Where = b.said(m.from, m.to)
	}
	if code == NoRecipe {
		for _, r := range b.book.Recipes[:min(3, len(b.book.Recipes))] {
			p.Names = append(p.Names, r.Name)
		}
	}
	return problem(p)
}

func (b *start) namesOf(recipes []int) []string {
	var names []string
	for _, r := range recipes[:min(len(recipes), maxOptions)] {
		names = append(names, b.book.Recipes[r].Name)
	}
	return names
}

// example gives the line with what was understood of it and a name that works.
func (b *start) example(all []choice, m match) string {
	var c choice
	switch {
	case len(all) > 0:
		c = all[0]
	case len(m.nearest) > 0:
		c = b.house(m.nearest[0])
	case len(b.book.Recipes) > 0:
		c = b.house(0)
	default:
		return b.anyStart()
	}
	return b.placed(c).req.String()
}
