package request

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// tag is a vessel's tag as the book writes it, and as the words of a line.
type tag struct {
	text  string
	words []string
	from  int // its first token, in a line that names it
}

func addTag(tags []tag, text string) []tag {
	if words := texts(text); len(words) > 0 {
		tags = append(tags, tag{text: text, words: words})
	}
	return tags
}

func hasTag(tags []tag, text string) bool {
	return slices.ContainsFunc(tags, func(t tag) bool { return strings.EqualFold(t.text, text) })
}

// distinct adds tags to a list that lacks them.
func distinct(list []tag, more ...tag) []tag {
	for _, t := range more {
		if !slices.ContainsFunc(list, func(o tag) bool { return o.text == t.text }) {
			list = append(list, t)
		}
	}
	return list
}

// isTag says that one word is a tag.
func isTag(tags []tag, word string) bool {
	return slices.ContainsFunc(tags, func(t tag) bool { return len(t.words) == 1 && t.words[0] == word })
}

// tagAt gives the longest tag that stands at i, and its length in tokens.
func (s *sentence) tagAt(i int) (tag, int, bool) {
	var best tag
	for _, t := range s.tags {
		if len(t.words) <= len(best.words) || i >= len(s.toks) || t.words[0] != s.toks[i].text {
			continue
		}
		if _, ok := s.follows(i, t.words); ok {
			best = t
		}
	}
	return best, len(best.words), len(best.words) > 0
}

// introduced reads the vessels that are introduced as such ("vessel 1"), before
// anything else is read out of their tags.
func (s *sentence) introduced() {
	for i := range s.toks {
		t, n, ok := s.tagAt(i + 1)
		if !ok || !s.is(i, namer) || s.isHas(i+1) {
			continue
		}
		s.use(i+1, i+1+n)
		t.from = i + 1
		s.toks[i+1].tag = true
		s.told = append(s.told, t)
	}
}

// vessels reads the vessels that a line names. Where it can't be told whether
// a word is a tag ("A charger in": a charger, or vessel A?), the tag comes back
// as unclear and the word counts as read.
func (s *sentence) vessels(v Verb) (named []tag, unclear *tag) {
	named = distinct(nil, s.told...)
	last := s.lastName()
	for i := 0; i < len(s.toks); i++ {
		t, n, ok := s.tagAt(i)
		if !ok {
			continue
		}
		t.from = i
		switch s.meantAsTag(i, n, v == Start && i < last) {
		case isTheTag:
			named = distinct(named, t)
			s.use(i, i+n)
		case mayBeTag:
			unclear = &t
			s.use(i, i+n)
		}
		i += n - 1
	}
	return named, unclear
}

// verdict is what a word turned out to be.
type verdict uint8

const (
	noTag verdict = iota
	isTheTag
	mayBeTag
)

// meantAsTag decides whether a word that is a tag is meant as one. After "in"
// or "vessel" and before a colon it is. Elsewhere a word that means something
// else as well (a number, "ok", a unit) is not, and "a" depends on where it
// stands.
func (s *sentence) meantAsTag(i, n int, nameToCome bool) verdict {
	t := s.toks[i]
	switch {
	case t.colon && n == 1:
		return isTheTag
	case t.role&article != 0 && n == 1:
		return s.article(i, nameToCome)
	case n == 1 && len(t.text) == 1 && t.capital && i > 0 && !s.loud:
		return isTheTag
	case s.is(i-1, place):
		return isTheTag
	case n > 1:
		return isTheTag
	case t.kind != word, t.role != 0, t.known.number != 0:
		return noTag
	}
	return isTheTag
}

// isHas says that the small "a" at i is the French "has": "il a débordé", "le
// siphon a fui".
func (s *sentence) isHas(i int) bool {
	t := s.toks[i]
	if i == 0 || t.text != "a" || t.capital && !s.loud || i+1 == len(s.toks) {
		return false
	}
	next := s.toks[i+1]
	return s.toks[i-1].role&subject != 0 || s.toks[i-1].role&namer != 0 && (next.sharp || next.known.tongue == inFrench && len(next.known.sayings) > 0)
}

// article decides about an "a" that is also a tag. In this order: "in a" is the
// vessel unless a measure follows; a capital inside a line typed in small
// letters is the vessel; before a thing that can be counted ("a charger in") it
// could be either; at the end of the line, and before what no article stands
// before (a verb, a time, "ok"), it is the vessel; before a number it is the
// vessel, except in a start that names the recipe only afterwards ("a 500 ml
// pepper tequila"). What is left is an article.
func (s *sentence) article(i int, nameToCome bool) verdict {
	next := i + 1
	last := next == len(s.toks)
	capital := s.toks[i].capital && i > 0 && !s.loud && (last || !s.toks[next].capital || s.toks[next].kind != word)
	_, _, measured := s.unitAt(next)
	switch {
	case s.isHas(i), !capital && s.measuredAt(next):
		return noTag
	case !last && !capital && s.toks[next].kind == word && !s.is(i-1, place) && (s.toks[next].role&(definite|atWord) != 0 || s.toks[next].role&oneWord != 0 && s.toks[next].known.tongue&inEnglish == 0):
		return noTag // "ron a la piña", "a las 7", "llama a una ambulancia"
	case s.is(i-1, place) && !measured:
		return isTheTag
	case last, capital:
		return isTheTag
	case len(s.toks[next].text) == 1 && s.toks[next].kind == word && isTag(s.tags, s.toks[next].text): // "a, b"
		return isTheTag
	case s.toks[next].role&chargerNoun != 0:
		return mayBeTag
	case s.toks[next].name:
		return noTag
	case s.toks[next].kind == number && nameToCome:
		return noTag
	case s.toks[next].used && s.wondering && i > 0 && s.toks[next].role&(denial|asker) == 0: // "there's a leak"
		return noTag
	case s.toks[next].used, s.toks[next].kind != word:
		return isTheTag
	case s.toks[next].role&filler != 0 && s.toks[next].role&fillerNoun == 0:
		return isTheTag
	case s.toks[next].role&(atWord|denial|restWord) != 0:
		return isTheTag
	}
	return noTag
}

// measuredAt says that a temperature stands at i, or the size of a serve, so that a
// small "a" before it is the Spanish "at": "a 4 grados".
func (s *sentence) measuredAt(i int) bool {
	if i+1 >= len(s.toks) || s.toks[i].kind != number {
		return false
	}
	return s.roles&serveNoun != 0 || slices.ContainsFunc(s.toks[i+1].known.units, func(u unit) bool {
		return u.measure == ofCelsius || u.measure == ofFahrenheit
	}) && !isTag(s.tags, s.toks[i+1].text)
}

// lastName gives the last token that is something of a name, or -1.
func (s *sentence) lastName() int {
	for i, t := range slices.Backward(s.toks) {
		if t.name || !t.used && t.kind == word && t.known.id >= 0 && t.role == 0 {
			return i
		}
	}
	return -1
}

// unknownVessel finds a word where only a vessel's tag can stand and that is
// none: what follows "vessel"; a letter or two after "in"; a letter by itself.
func (s *sentence) unknownVessel() (int, bool) {
	for i, t := range s.toks {
		if !s.free(i) || t.known.id >= 0 || t.role&filler != 0 {
			continue
		}
		short := 1
		if s.is(i-1, place) {
			short = 2
		}
		strange := t.kind == word && t.role == 0 && utf8.RuneCountInString(t.text) <= short
		if strange || s.is(i-1, namer) && (t.kind == word || t.kind == number) {
			return i, true
		}
	}
	return 0, false
}

// tagOf gives the tag that is one word.
func (s *sentence) tagOf(word string) tag {
	i := slices.IndexFunc(s.tags, func(t tag) bool { return len(t.words) == 1 && t.words[0] == word })
	return s.tags[i]
}

// tagNames gives the tags that there are, for a problem.
func (s *sentence) tagNames() []string {
	var names []string
	for _, t := range s.tags[:min(len(s.tags), 6)] {
		names = append(names, t.text)
	}
	return names
}
