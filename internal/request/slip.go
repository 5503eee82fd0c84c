package request

import (
	"slices"

	"ventbell/internal/book"
)

// slip finds a first word that the book doesn't know and that nearly is a verb.
func (s *sentence) slip() (int, Verb, bool) {
	i := slices.IndexFunc(s.toks, func(t token) bool {
		return !t.used && t.kind == word && t.role&(filler|asker) == 0 && !isTag(s.tags, t.text)
	})
	if i < 0 || s.toks[i].name || s.toks[i].role != 0 {
		return 0, "", false
	}
	if _, known := s.index.ids[s.toks[i].text]; known {
		return 0, "", false
	}
	verb, ok := s.nearVerb(s.toks[i].text)
	return i, verb, ok
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
	i, verb, ok := s.slip()
	if !ok || verb == Start {
		return Reading{}, false
	}
	one := s.without(i)
	if verb == Help || verb == Resting {
		_, more := one.unread()
		return one.look(verb), !more
	}
	r := one.step(verb, true)
	return r, r.Problem == nil
}

// misspeltStart reads a first word that nearly is a start, if all the rest is
// understood: a start only plans, and says what it understood.
func (s *sentence) misspeltStart() (Reading, bool) {
	i, verb, ok := s.slip()
	if !ok || verb != Start {
		return Reading{}, false
	}
	r := s.without(i).start()
	return r, r.Problem == nil
}

// nearVerb gives the one verb that a word is nearest to.
func (r *Reader) nearVerb(text string) (Verb, bool) {
	set := letters(text)
	best, verb, tied := book.LongestWord, Verb(""), false
	for _, v := range r.verbs {
		d, ok := near(text, v.text, set, v.letters)
		if text == "went" || text == "bent" { // what autocorrect makes of "vent"
			d, ok = book.Distance(text, v.text, 1), v.text == "vent"
		}
		of := r.lex.sayings[v.text][len(r.lex.sayings[v.text])-1].verb
		switch {
		case !ok || d > best:
		case d < best:
			best, verb, tied = d, of, false
		case of != verb:
			tied = true
		}
	}
	return verb, verb != "" && !tied
}
