package request

import "strings"

// asksForADrink reports whether the line's first word is the one for what is in
// a glass. Only there it is a verb: "oat drink" is a liquid.
func (s *sentence) asksForADrink() bool {
	return len(s.toks) > 0 && s.toks[0].kind == word && s.toks[0].text == string(Drink)
}

// drink keeps the rest of the line as it stands: another room reads it.
func (s *sentence) drink() Reading {
	return understood(Request{Verb: Drink, Text: strings.TrimSpace(s.src[s.toks[0].end:])})
}
