package request

import (
	"slices"
	"strings"
	"time"
)

// verb gives the verb that a kind belongs to.
func (k Kind) verb() Verb {
	switch k {
	case Hurt, Burn, Eye, Fire, Fainted:
		return Emergency
	}
	return Trouble
}

// look reads a line that changes nothing: help, a question, trouble. It never
// fails, so a word that it doesn't know is passed over.
func (s *sentence) look(say saying) Reading {
	req := Request{Verb: say.verb, Topic: say.topic, Kind: say.kind}
	s.wondering = looks(say.verb)
	tags, unclear := s.vessels(say.verb)
	if len(tags) == 0 && unclear != nil && (say.verb == Trouble || say.verb == Emergency) {
		tags = append(tags, *unclear)
	}
	if first := s.toks[0]; say.verb == Trouble && len(tags) == 0 && first.capital && !first.used && isTag(s.tags, first.text) { // "A tiene una fuga"
		tags = append(tags, s.tagOf(first.text))
	}
	switch say.topic {
	case Allergens:
		req.Allergen = s.allergen()
	case OwnBoard:
		switch {
		case len(tags) != 1:
			return understood(req)
		case s.asked || s.asks(): // "is B mine"
			return understood(Request{Verb: Asks, Topic: WhoHas, Vessel: tags[0].text})
		}
		return understood(Request{Verb: Take, Vessel: tags[0].text})
	case ChargersFor:
		if len(tags) == 1 { // "how many chargers are in A"
			return understood(Request{Verb: Resting, Vessel: tags[0].text})
		}
		return understood(req)
	case Closing: // whoever asks what is left gets the list
		return understood(Request{Verb: CloseList})
	case Unstrained, Expiring, StockLeft:
		return understood(req)
	}
	if say.verb == OnShift && len(tags) == 1 { // "I'm on B" takes it
		return understood(Request{Verb: Take, Vessel: tags[0].text})
	}
	if say.verb == OnShift || say.verb == OffShift {
		if _, more := s.unread(); more || s.asked { // "I'm on the pass"
			return ask(WhichMeant, string(say.verb), addOption(nil, req))
		}
		return understood(req)
	}
	if say.kind == Overrun {
		for i := range s.toks {
			if span, _, ok := s.spanAt(i); ok && req.Rest == 0 {
				req.Rest = min(span.Round(time.Second), longAgo)
			}
		}
	}
	if say.topic == OnNow {
		return understood(req)
	}
	switch o := s.mentioned(); {
	case say.topic == WhoHas && len(tags)+len(o) == 0 && s.onNow(say) && s.recipe() == "": // of nothing
		req.Topic = OnNow
	case len(tags) == 1:
		req.Vessel = tags[0].text
	case len(tags) == 0 && len(o) == 1:
		req.Vessel = o[0].Vessel
	case len(tags) == 0 && say.verb == Asks:
		req.Recipe = s.recipe()
	case len(tags) == 0 && say.verb == Resting && say.words != nil && say.words[len(say.words)-1] == "in": // "what's in the gin"
		if name := s.recipe(); name != "" {
			return understood(Request{Verb: Asks, Topic: Allergens, Recipe: name})
		}
	}
	return understood(req)
}

// asksOfAllergens reads a question that names an allergen: "is there celery in
// the vermouth".
func (s *sentence) asksOfAllergens() (Reading, bool) {
	if !s.asked && (!s.asks() || s.offered()) || s.allergen() == "" {
		return Reading{}, false
	}
	return s.look(saying{verb: Asks, topic: Allergens}), true
}

// offered says that the line begins with a word that asks for a batch as well:
// "can you make".
func (s *sentence) offered() bool { return s.roles&offerWord != 0 }

// spans says that a span of time or a plus stands in the line.
func (s *sentence) spans() bool {
	for i := range s.toks {
		if _, _, ok := s.spanAt(i); ok || s.toks[i].text == "+" {
			return true
		}
	}
	return false
}

// allergen gives the allergen that the line names, the last one.
func (s *sentence) allergen() string {
	found := ""
	for i := range s.toks {
		if a := s.toks[i].known.allergen; a != "" {
			found = a
		}
	}
	return found
}

// subject gives the words of the line that the book knows, the rest passed over.
func (s *sentence) subject() []term {
	var terms []term
	for _, t := range s.terms() {
		if t.id >= 0 && !t.spare && s.toks[t.from].known.allergen == "" && len(terms) < maxTerms {
			terms = append(terms, t)
		}
	}
	return terms
}

// recipe gives the one recipe that a question is about.
func (s *sentence) recipe() string {
	terms := s.subject()
	if len(terms) == 0 {
		return ""
	}
	m := s.exact(terms)
	if len(m.recipes) == 1 {
		return s.book.Recipes[m.recipes[0]].Name
	}
	var all []int
	for _, p := range m.pairs {
		for _, r := range s.index.recipesOf(p.solid, p.liquid) {
			if !slices.Contains(all, r) {
				all = append(all, r)
			}
		}
	}
	if len(all) == 1 {
		return s.book.Recipes[all[0]].Name
	}
	return ""
}

// mentioned gives the open batches that the known words of a question speak of.
func (s *sentence) mentioned() []Open {
	terms := s.subject()
	if len(terms) == 0 {
		return nil
	}
	var all []Open
	for _, o := range s.open {
		words := s.wordsOf(o)
		if !slices.ContainsFunc(terms, func(t term) bool { return !words[t.id] }) {
			all = append(all, o)
		}
	}
	return all
}

// wordsOf gives the words that can be said of an open batch: those of its
// title, and in every language those of what it is made of.
func (s *sentence) wordsOf(o Open) map[int]bool {
	title := texts(o.Title)
	words := map[int]bool{}
	for _, text := range title {
		if id, ok := s.index.has(text); ok {
			words[id] = true
		}
	}
	defer func() { // "the red one" is a vessel, and no red chile
		for id := range words {
			if s.lex.role(s.index.words[id].text)&lookWord != 0 && !slices.Contains(title, s.index.words[id].text) {
				delete(words, id)
			}
		}
	}()
	for i, r := range s.book.Recipes {
		if same(r.Name, o.Title) {
			for id := range s.index.about[i] {
				words[id] = true
			}
			return words
		}
	}
	for _, list := range []*names{&s.index.solids, &s.index.liquids} {
		for _, n := range list.list {
			if !slices.ContainsFunc(n.words, func(id int) bool { return !slices.Contains(title, s.index.words[id].text) }) {
				for _, other := range list.list {
					if other.of == n.of {
						for _, id := range other.words {
							words[id] = true
						}
					}
				}
			}
		}
	}
	return words
}

// offer reads that somebody else shall take a batch over. Why is passed over.
func (s *sentence) offer() Reading {
	st := &step{sentence: s, req: Request{Verb: Offer}}
	st.vessels, st.unclear = s.vessels(Offer)
	if len(st.vessels) == 0 {
		st.titled = s.mentioned()
	}
	return st.choose()
}

// onNow says that a question who has something can as well ask who is on shift.
func (s *sentence) onNow(say saying) bool {
	if _, more := s.unread(); more {
		return false
	}
	switch strings.Join(say.words, " ") {
	case "who is on", "who's on", "whos on":
		return true
	}
	return false
}

// shift reads "on" and "off" alone: the speaker comes or goes.
func (s *sentence) shift() (Reading, bool) {
	verb := Verb("")
	for _, t := range s.toks {
		switch {
		case t.text == string(OnShift) && verb == "":
			verb = OnShift
		case t.text == string(OffShift) && verb == "":
			verb = OffShift
		case t.role&greeting == 0:
			return Reading{}, false
		}
	}
	return understood(Request{Verb: verb}), verb != ""
}
