package request

import (
	"slices"
	"strings"
)

// know takes in the tags of the open batches, gives the tokens their roles and
// drops the mentions. A mention that is a vessel's tag is a slip: it is kept.
func (s *sentence) know(open []Open) {
	s.tags = s.Reader.tags
	for _, o := range open {
		if !hasTag(s.tags, o.Vessel) {
			s.tags = addTag(s.tags[:len(s.tags):len(s.tags)], o.Vessel)
		}
	}
	kept := s.toks[:0]
	for _, t := range s.toks {
		if t.kind == mention {
			if !isTag(s.tags, t.text) {
				continue
			}
			t.kind = word
		}
		if t.known = s.lex.entries[t.text]; t.known == nil {
			t.known = s.drawn(&t)
		}
		if e := s.lex.entries[t.known.slipOf]; e != nil && t.known.id < 0 {
			t.text, t.known = t.known.slipOf, e
		}
		t.role = t.known.role
		s.roles |= t.role
		kept = append(kept, t)
	}
	s.toks = kept
	s.unglue()
	s.ordinals()
	s.letters()
	for i := len(s.toks) - 2; i >= 0; i-- {
		if s.toks[i].role&lookWord != 0 && s.toks[i+1].role&chargerNoun != 0 { // which charger it was tells nothing
			s.toks = slices.Delete(s.toks, i, i+1)
		}
	}
	for i := range s.toks {
		if i > 0 && i+1 < len(s.toks) && s.toks[i].text == "d" && s.toks[i-1].known.id >= 0 && s.toks[i+1].known.id >= 0 && !s.toks[i].capital {
			s.use(i, i+1) // "ron d coco" is in no vessel D
		}
		if end, ok := s.phraseAt(i, anAside); ok {
			s.use(i, end)
		}
	}
}

// ordinals drops the number that tells which charger it was: "2nd charger in". It
// tells nothing of how many went in.
func (s *sentence) ordinals() {
	for i := len(s.toks) - 3; i >= 0; i-- {
		if s.toks[i].kind != number || !s.toks[i].integer() || !s.toks[i+1].glued || s.toks[i+2].role&chargerNoun == 0 {
			continue
		}
		switch s.toks[i+1].text {
		case "st", "nd", "rd", "th", "er", "ere", "e", "eme", "do", "da", "ra":
			s.toks = slices.Delete(s.toks, i, i+2)
		}
	}
}

// letters takes a letter for what it stands for: its name, as a voice was written
// down, for the vessel, where only a vessel can stand ("in bee"), and an "l" before a
// unit for a one.
func (s *sentence) letters() {
	for i := 1; i < len(s.toks); i++ {
		t := &s.toks[i]
		if t.text == "l" && s.toks[i-1].kind == word && i+1 < len(s.toks) && len(s.toks[i+1].text) > 1 && slices.ContainsFunc(s.toks[i+1].known.units, func(u unit) bool { return u.measure == ofVolume }) {
			t.kind, t.text, t.num, t.known, t.role = number, "1", amount{n: 1, d: 1}, &stranger, 0 // "l litre"
			continue
		}
		if s.toks[i-1].role&place == 0 {
			continue
		}
		letter := heardAs[t.text]
		if letter == "" || !isTag(s.tags, letter) {
			continue
		}
		t.text, t.capital, t.known = letter, true, s.lex.entries[letter]
		if t.known == nil {
			t.known = &stranger
		}
		t.role = t.known.role
	}
}

// heardAs are the letters by the words that a voice is written down as.
var heardAs = map[string]string{"bee": "b", "sea": "c", "dee": "d", "ay": "a", "eh": "a"}

// drawn gives what is known of a word that an "is" was drawn together with
// ("bulb's in"), or that is a word of the book in the plural ("two gins").
func (s *sentence) drawn(t *token) *entry {
	text, plural := strings.CutSuffix(t.text, "s")
	text, is := strings.CutSuffix(text, "'")
	if e := s.lex.entries[text]; plural && e != nil && (is && e.tongue&inEnglish != 0 || e.id >= 0 && (is || e.role == 0 && len(e.sayings) == 0)) {
		t.text = text
		return e
	}
	return &stranger
}

// unglue takes a unit and the word after it apart where they were typed as one
// behind a number: "500mltequila".
func (s *sentence) unglue() {
	for i, split := 1, 0; i < len(s.toks) && split < maxSplits; i++ {
		t := s.toks[i]
		if t.kind != word || !t.glued || s.toks[i-1].kind != number || t.known != &stranger || t.end-t.at != len(t.text) {
			continue
		}
		for n := min(len(t.text)-2, longestUnit); n > 0; n-- {
			u, rest := s.lex.entries[t.text[:n]], s.lex.entries[t.text[n:]]
			if u == nil || len(u.units) == 0 || len(u.units[len(u.units)-1].words) > 1 {
				continue
			}
			if rest == nil { // "500mlgingergin"
				if _, _, two := s.index.split(t.text[n:]); !two {
					continue
				}
				rest = &stranger
			}
			tail := t
			s.toks[i].text, s.toks[i].end, s.toks[i].known, s.toks[i].role = t.text[:n], t.at+n, u, u.role
			tail.text, tail.at, tail.known, tail.role = t.text[n:], t.at+n, rest, rest.role
			s.toks = slices.Insert(s.toks, i+1, tail)
			split++
			break
		}
	}
}

// maxSplits is how many such words a line has at most.
const maxSplits = 8

// longestUnit is how many letters a unit has that is typed in one with what
// follows it.
const longestUnit = 6

// claim marks the names that are said in full, word after word, so that nothing
// else is read out of them.
func (s *sentence) claim() {
	for i := 0; i < len(s.toks); i++ {
		for _, words := range s.toks[i].known.names {
			if end, ok := s.follows(i, words); ok {
				for k := i; k < end; k++ {
					s.toks[k].name = true
				}
				i = end - 1
				break
			}
		}
	}
}
