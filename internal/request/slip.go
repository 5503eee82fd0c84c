package request

import (
	"slices"
	"strings"

	"ventbell/internal/book"
)

// slip finds a first word that the book doesn't know and that nearly is a verb.
func (s *sentence) slip() (int, saying, bool) {
	i := slices.IndexFunc(s.toks, func(t token) bool {
		return !t.used && t.kind == word && t.role&(filler|asker) == 0 && !isTag(s.tags, t.text)
	})
	if i < 0 || s.toks[i].name || s.toks[i].role != 0 {
		return 0, saying{}, false
	}
	if s.toks[i].known.id >= 0 {
		return 0, saying{}, false
	}
	say, ok := s.nearVerb(s.toks[i].text)
	return i, say, ok
}

// remeasured gives the sentence with a word that nobody knows taken for the
// unit, fraction or vessel that it is nearly.
func (s *sentence) remeasured() (*sentence, bool) {
	i := slices.IndexFunc(s.toks, func(t token) bool { return t.known == &stranger && !t.used && t.kind == word })
	if i < 0 || len(s.toks) > maxTerms {
		return nil, false
	}
	best, most := known{}, book.LongestWord
	typed := shapeOf(s.toks[i].text)
	for k, m := range s.measured.words {
		if d, ok := near(s.toks[i].text, m.text, &typed, &s.measured.shapes[k]); ok && d < most {
			best, most = m, d
		}
	}
	if best.text == "" {
		return nil, false
	}
	one := s.copied()
	t := &one.toks[i]
	t.text, t.known = best.text, s.lex.entries[best.text]
	t.role = t.known.role
	return one, true
}

// without gives the sentence with one token read.
func (s *sentence) without(i int) *sentence {
	one := *s
	one.toks = slices.Clone(s.toks)
	one.use(i, i+1)
	return &one
}

// misspelt reads a first word that nearly is a verb. What only looks is done;
// everything else is asked back.
func (s *sentence) misspelt() (Reading, bool) {
	i, say, ok := s.slip()
	if !ok || say.verb == Start || say.verb == Again {
		return Reading{}, false
	}
	one := s.without(i)
	if looks(say.verb) {
		r := one.look(say)
		_, more := one.unread()
		return r, !more
	}
	if say.verb == MoreGas { // nobody is told of gas by a slip of the thumb
		return Reading{}, false
	}
	r := one.step(say.verb, true)
	return r, r.Problem == nil
}

// misspeltStart reads a first word that nearly is a start, if all the rest is
// understood: a start only plans, and says what it understood.
func (s *sentence) misspeltStart() (Reading, bool) {
	i, say, ok := s.slip()
	if !ok || say.verb != Start {
		return Reading{}, false
	}
	r := s.without(i).start()
	return r, r.Problem == nil
}

// nearVerb gives the one verb that a word is nearest to.
func (r *Reader) nearVerb(text string) (saying, bool) {
	typed := shapeOf(text)
	best, tied := book.LongestWord, false
	var say saying
	for i := range r.verbs.words {
		v := &r.verbs.words[i]
		d, ok := near(text, v.text, &typed, &r.verbs.shapes[i])
		ok = ok && (d < 2 || len(text) > 7)
		if text == "went" || text == "bent" { // what autocorrect makes of "vent"
			d, ok = book.Distance(text, v.text, 1), v.text == "vent"
		}
		switch {
		case !ok || d > best:
		case d < best:
			best, say, tied = d, v.say, false
		case v.say.verb != say.verb || v.say.kind != say.kind || v.say.topic != say.topic:
			tied = true
		}
	}
	return say, say.verb != "" && !tied
}

// singleVerbs gives the verbs that are one word, long enough to be recognised
// when a thumb wordList. The order is fixed, so that a tie is the same each time.
func (lex *lexicon) singleVerbs() wordList {
	var all []known
	for text, e := range lex.entries {
		if len(e.sayings) == 0 {
			continue
		}
		last := e.sayings[len(e.sayings)-1]
		if len(last.words) == 1 && slack(len(text)) > 0 {
			all = append(all, known{text: text, say: last})
		}
	}
	return inOrder(all)
}

// measures gives the words for a unit of volume or mass, for a part of one and
// for a vessel, likewise.
func (lex *lexicon) measures() wordList {
	var all []known
	for text, e := range lex.entries {
		of := e.fraction.d != 0 || e.role&(vesselNoun|doubleWord) != 0
		for _, u := range e.units {
			of = of || len(u.words) == 1 && (u.measure == ofVolume || u.measure == ofMass)
		}
		if of && slack(len(text)) > 0 {
			all = append(all, known{text: text})
		}
	}
	return inOrder(all)
}

// wordList is a list of words that a thumb may have wordList on.
type wordList struct {
	words  []known
	shapes []shape
}

func inOrder(all []known) wordList {
	slices.SortFunc(all, func(a, b known) int { return strings.Compare(a.text, b.text) })
	s := wordList{words: all}
	for _, k := range all {
		s.shapes = append(s.shapes, shapeOf(k.text))
	}
	return s
}
