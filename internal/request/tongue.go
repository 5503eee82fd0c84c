package request

import "strings"

// tongue is a set of languages, one bit each.
type tongue uint8

const (
	inEnglish tongue = 1 << iota
	inSpanish
	inFrench

	anyTongue = inEnglish | inSpanish | inFrench
)

// The names of the languages, as ISO 639-1 writes them.
var tongues = []struct {
	is   tongue
	code string
}{{inEnglish, "en"}, {inSpanish, "es"}, {inFrench, "fr"}}

// How much a word tells of the language of its line: one that the tables of
// verbs and small words know tells more than the name of a thing, which every
// kitchen borrows.
const (
	smallWord = 3
	nameWord  = 1
)

// weigh gives what the accents of a word tell of a language.
func weigh(accents, of tongue) int {
	if accents == of {
		return nameWord
	}
	return 0
}

// accentsOf gives the languages that write the accents of a word: none for one
// without.
func accentsOf(text string) tongue {
	switch {
	case strings.ContainsAny(text, "èêëàâçœùûîï") || strings.Count(text, "é") > 1 || strings.HasPrefix(text, "é"):
		return inFrench
	case strings.ContainsAny(text, "ñáíóú"):
		return inSpanish
	}
	return 0
}

// votes gives what the words of the line tell of each language.
func (s *sentence) votes() (votes [3]int) {
	for i := range s.toks {
		e := s.toks[i].known
		if e == nil || s.toks[i].kind != word {
			continue
		}
		weight, in := smallWord, e.tongue
		if in == 0 || s.toks[i].name && e.named != 0 { // the "the" of a tea without its accent
			weight, in = nameWord, e.named
		}
		if s.toks[i].sharp { // no English word ends so, and French reports do
			in &^= inEnglish
			votes[2]++
		}
		if e.named&inEnglish == 0 { // a jalapeño has its accent everywhere
			votes[1] += weigh(s.toks[i].accents, inSpanish)
			votes[2] += weigh(s.toks[i].accents, inFrench)
		}
		if in == anyTongue {
			continue
		}
		for k, t := range tongues {
			if in&t.is != 0 {
				votes[k] += weight
			}
		}
	}
	return votes
}

// plainly gives the language that the words of the line leave no doubt about;
// empty = they do.
func (s *sentence) plainly() string {
	best, second, code := 0, 0, ""
	for k, n := range s.votes() {
		switch {
		case n > best:
			best, second, code = n, best, tongues[k].code
		case n > second:
			second = n
		}
	}
	if best == second {
		return ""
	}
	return code
}

// language gives the language that the line was written in: the one that most
// of its words belong to, the kitchen's own where two are level or nothing
// tells.
func (s *sentence) language(own string) string {
	votes := s.votes()
	best, most := own, 0
	for k, t := range tongues {
		if t.code == own {
			most = votes[k]
		}
	}
	for k, t := range tongues {
		if votes[k] > most {
			best, most = t.code, votes[k]
		}
	}
	return best
}
