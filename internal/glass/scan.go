package glass

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"ventbell/internal/book"
)

// kind is what a token is.
type kind uint8

const (
	word kind = iota + 1
	number
	percent   // a number with its sign
	separator // between two parts
)

// token is one piece of a line.
type token struct {
	kind     kind
	text     string // folded; for a number as typed
	value    float64
	fraction bool // the number was written with a fraction bar
	thousand bool // "1.000": a thousand or one, as its unit says
	at, end  int  // its bytes in the line
}

// vulgar are the fractions that are one character.
var vulgar = map[rune]float64{'½': 1. / 2, '¼': 1. / 4, '¾': 3. / 4, '⅓': 1. / 3, '⅔': 2. / 3, '⅛': 1. / 8}

// scanner cuts a line into tokens.
type scanner struct {
	src  string
	toks []token
}

func scan(line string) []token {
	s := scanner{src: line}
	for i := 0; i < len(line); {
		i = s.next(i)
	}
	return s.toks
}

// next reads what stands at byte i and gives the byte after it.
func (s *scanner) next(i int) int {
	r, size := utf8.DecodeRuneInString(s.src[i:])
	switch {
	case isDigit(s.at(i)), s.at(i) == '-' && isDigit(s.at(i+1)), s.at(i) == '.' && isDigit(s.at(i+1)):
		return s.number(i)
	case vulgar[r] > 0:
		return s.addNumber(token{value: vulgar[r], fraction: true, at: i, end: i + size})
	case strings.ContainsRune(",;+&|\n", r):
		s.toks = append(s.toks, token{kind: separator, text: string(r), at: i, end: i + size})
	case unicode.IsLetter(r):
		return s.word(i)
	}
	return i + size
}

// at gives the byte at i, or 0 past the end.
func (s *scanner) at(i int) byte {
	if i >= len(s.src) {
		return 0
	}
	return s.src[i]
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func (s *scanner) digits(i int) int {
	for isDigit(s.at(i)) {
		i++
	}
	return i
}

// number reads digits with at most one mark for the decimals, a fraction, or a
// proportion such as "2:1", which is a word.
func (s *scanner) number(i int) int {
	start := i
	if s.at(i) == '-' {
		i++
	}
	end := s.digits(i)
	switch mark := s.at(end); {
	case mark == ':' && isDigit(s.at(end+1)):
		end = s.digits(end + 1)
		s.toks = append(s.toks, token{kind: word, text: s.src[start:end], at: start, end: end})
		return end
	case mark == '/' && isDigit(s.at(end+1)):
		return s.ratio(start, i, end)
	case (mark == '.' || mark == ',') && isDigit(s.at(end+1)):
		whole := end - i
		end = s.digits(end + 1)
		decimals := end - i - whole - 1
		t := token{at: start, end: end, thousand: decimals == 3 && whole > 0 && whole < 4 && s.at(i) != '0'}
		t.value = valueOf(strings.Replace(s.src[start:end], ",", ".", 1))
		return s.addNumber(t)
	}
	return s.addNumber(token{value: valueOf(s.src[start:end]), at: start, end: end})
}

// ratio reads the fraction that begins at start, its digits at i and its bar at
// bar.
func (s *scanner) ratio(start, i, bar int) int {
	end := s.digits(bar + 1)
	v := 0.0
	if below := valueOf(s.src[bar+1 : end]); below > 0 {
		v = valueOf(s.src[i:bar]) / below
	}
	if start < i {
		v = -v
	}
	return s.addNumber(token{value: v, fraction: true, at: start, end: end})
}

// valueOf reads plain digits. What is beyond a float64 is endless, and no
// volume.
func valueOf(digits string) float64 {
	v, _ := strconv.ParseFloat(digits, 64) // only digits come here
	return v
}

// addNumber adds a number, joined with a whole number before it ("1 1/2"), and
// as a percentage when its sign follows.
func (s *scanner) addNumber(t token) int {
	t.kind = number
	if last := len(s.toks) - 1; t.fraction && last >= 0 && t.value < 1 {
		before := s.toks[last]
		gap := strings.TrimLeft(s.src[before.end:t.at], " ")
		if before.kind == number && !before.fraction && gap == "" && before.value >= 0 {
			t.value, t.at = t.value+before.value, before.at
			s.toks = s.toks[:last]
		}
	}
	end := t.end
	if rest := strings.TrimLeft(s.src[end:], " "); strings.HasPrefix(rest, "%") {
		t.kind = percent
		end = len(s.src) - len(rest) + 1
		t.end = end
	}
	t.text = s.src[t.at:t.end]
	s.toks = append(s.toks, t)
	return end
}

// word reads a word; an apostrophe or a digit inside belongs to it.
func (s *scanner) word(i int) int {
	end := i
	for end < len(s.src) {
		r, size := utf8.DecodeRuneInString(s.src[end:])
		if !unicode.IsLetter(r) && !unicode.Is(unicode.Mn, r) && r != '\'' && r != '’' {
			break
		}
		end += size
	}
	text := book.Fold(strings.ReplaceAll(s.src[i:end], "’", "'"))
	if text != "" {
		s.toks = append(s.toks, token{kind: word, text: text, at: i, end: end})
	}
	return end
}
