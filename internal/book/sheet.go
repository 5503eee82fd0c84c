package book

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"github.com/goccy/go-yaml/token"

	"ventbell/internal/quantity"
)

// The longest words a book may hold, in characters: a name stays a few words in
// a chat line, a note stays one line on a slip.
const (
	mostName = 40
	mostNote = 160
)

// sheet is one entry while it is read. It gathers the keys of its figures, so
// that each can be asked for its source at the end.
type sheet struct {
	r       *reader
	what    string // recipe "rhubarb gin"
	at      *token.Token
	figures []string
}

func (r *reader) sheet(kind string, name text, at *token.Token) *sheet {
	s := &sheet{r: r, what: kind, at: at}
	if name.value != "" {
		s.what = fmt.Sprintf("%s %q", kind, name.value)
	}
	return s
}

func (s *sheet) missing(key string) { s.r.fault(s.at, "%s: %s is missing", s.what, key) }

// figure reads a figure that must be there.
func figure[T any](s *sheet, key string, t text, parse func(string) (T, error)) T {
	if t.at == nil {
		s.missing(key)
	}
	return optional(s, key, t, parse)
}

// optional reads a figure that may be absent and is then nothing.
func optional[T any](s *sheet, key string, t text, parse func(string) (T, error)) T {
	var none T
	if t.at == nil {
		return none
	}
	s.figures = append(s.figures, key)
	v, err := parse(t.value)
	if err != nil {
		s.r.fault(t.at, "%s: %v", key, err)
		return none
	}
	return v
}

// between reads a figure with its limits, which must stand in order.
func between[T cmp.Ordered](s *sheet, key string, y limits, parse func(string) (T, error)) (low, target, high T) {
	if y == (limits{}) {
		s.missing(key)
		return low, target, high
	}
	s.figures = append(s.figures, key) // the three are one figure with one source
	before := len(s.r.faults)
	part := &sheet{r: s.r, what: s.what, at: s.at}
	low = figure(part, key+".min", y.Min, parse)
	target = figure(part, key+".target", y.Target, parse)
	high = figure(part, key+".max", y.Max, parse)
	if len(s.r.faults) == before && (target < low || target > high) {
		s.r.fault(y.Target.at, "%s: the target %s is outside %s to %s", key, y.Target.value, y.Min.value, y.Max.value)
	}
	return low, target, high
}

func (s *sheet) span(key string, y limits) Span {
	low, target, high := between(s, key, y, quantity.ParseSpan)
	return Span{Min: low, Target: target, Max: high}
}

func (s *sheet) temp(y limits) TempRange {
	low, target, high := between(s, "temp", y, quantity.ParseTemperature)
	return TempRange{Min: low, Target: target, Max: high}
}

// name reads a name or an alias: a few words that can be typed into a chat line.
func (s *sheet) name(key string, t text) string {
	v := strings.Join(strings.Fields(t.value), " ")
	switch {
	case v == "":
		s.missing(key)
	case len([]rune(v)) > mostName:
		s.r.fault(t.at, "%s: longer than %d characters", key, mostName)
	case strings.ContainsFunc(v, func(r rune) bool { return !unicode.IsLetter(r) && r != ' ' && r != '-' && r != '\'' }):
		s.r.fault(t.at, "%s: use letters, spaces, hyphens and apostrophes only", key)
	}
	return v
}

func (s *sheet) optionalName(key string, t text) string {
	if t.at == nil {
		return ""
	}
	return s.name(key, t)
}

func (s *sheet) names(key string, ts []text) []string {
	var all []string
	for _, t := range ts {
		all = append(all, s.name(key, t))
	}
	return all
}

// note reads a line of prose.
func (s *sheet) note(key string, t text) string {
	v := strings.Join(strings.Fields(t.value), " ")
	switch {
	case v == "":
		s.missing(key)
	case len([]rune(v)) > mostNote:
		s.r.fault(t.at, "%s: longer than %d characters", key, mostNote)
	case strings.ContainsFunc(v, unicode.IsControl):
		s.r.fault(t.at, "%s: has a character that cannot be shown", key)
	}
	return v
}

// oneOf reads one word of a closed list.
func oneOf[T ~string](s *sheet, key string, t text, words []T) T {
	v := T(t.value)
	switch {
	case t.at == nil:
		s.missing(key)
	case !slices.Contains(words, v):
		s.r.fault(t.at, "%s: %q is none of %s", key, t.value, list(words))
	}
	return v
}

// optionalOneOf reads one word of a closed list that may be absent.
func optionalOneOf[T ~string](s *sheet, key string, t text, words []T) T {
	if t.at == nil {
		return ""
	}
	return oneOf(s, key, t, words)
}

func list[T ~string](words []T) string {
	var all []string
	for _, w := range words {
		all = append(all, string(w))
	}
	return strings.Join(all, ", ")
}

// allergens reads allergens, each one of the list that the law has.
func (s *sheet) allergens(ts []text) []string {
	var all []string
	for _, t := range ts {
		a := oneOf(s, "allergens", t, lawAllergens)
		if slices.Contains(all, a) {
			s.r.fault(t.at, "allergens: %s stands there twice", a)
		}
		all = append(all, a)
	}
	return all
}

// sources reads where the figures come from and holds it against the figures
// that are there: each has one source, and no source is for nothing.
func (s *sheet) sources(y fromFile) Provenance {
	from := Provenance{}
	add := func(src Source, keys []text) {
		for _, key := range keys {
			switch other, twice := from[key.value]; {
			case !slices.Contains(s.figures, key.value):
				s.r.fault(key.at, "from: %s has no figure %q", s.what, key.value)
			case twice:
				s.r.fault(key.at, "from: %q comes from %q already", key.value, other)
			default:
				from[key.value] = src
			}
		}
	}
	add(CommonPractice, y.CommonPractice)
	add(Estimate, y.Estimate)
	add(Demo, y.Demo)
	for _, publication := range slices.Sorted(maps.Keys(y.Published)) {
		if strings.TrimSpace(publication) == "" {
			s.r.fault(s.at, "from: %s: name the publication", s.what)
		}
		add(Published(publication), y.Published[publication])
	}
	for _, key := range s.figures {
		if _, ok := from[key]; !ok {
			s.r.fault(s.at, "%s: from does not say where %s comes from", s.what, key)
		}
	}
	return from
}
