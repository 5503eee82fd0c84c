package request

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

const (
	ml   = quantity.Millilitre
	gram = quantity.Gram
)

// evening is when the lines of the manual are said.
var evening = time.Date(2026, time.November, 24, 18, 8, 30, 0, mustZone("Europe/Brussels"))

func at(hour, minute, second int) time.Time {
	return time.Date(2026, time.November, 24, hour, minute, second, 0, evening.Location())
}

func celsius(degrees float64) *quantity.Temperature {
	t := quantity.Temperature(degrees * float64(quantity.Celsius))
	return &t
}

// What is open when a line of the manual is said.
var (
	idle []Open
	one  = []Open{{1, "rhubarb gin", "A", resting, true}}
	two  = []Open{{1, "rhubarb gin", "A", resting, true}, {2, "toasted barley whisky", "B", venting, false}}

	shift = []Open{
		{2, "toasted barley whisky", "B", venting, false},
		{1, "rhubarb gin", "A", resting, true},
		{3, "thyme oil", "C", loading, false},
		{4, "smoky tea rum", "D", straining, false},
	}
	late = []Open{
		{5, "bay vodka", "A", clearing, false},
		{6, "ginger gin", "B", labelling, true},
		{7, "coffee rum", "C", charging, false},
	}
)

func yes(r Request) Reading { return Reading{Request: &r} }

// asks makes a question. An option is its line, or "label => line".
func asks(code QuestionCode, word string, options ...string) Reading {
	q := Question{Code: code, Word: word}
	for _, o := range options {
		label, line, both := strings.Cut(o, " => ")
		if !both {
			line = label
		}
		q.Options = append(q.Options, Option{Label: label, Line: line})
	}
	return Reading{Question: &q}
}

func no(code ProblemCode, word string, where int, example string, names ...string) Reading {
	return Reading{Problem: &Problem{Code: code, Word: word, Where: where, Example: example, Names: names}}
}

// The manual: what is typed, what is open, how it is read. The house is that
// of the sample book. The readings are common practice, no source.
func TestLinesAreReadAsTheManualSays(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for _, row := range manual {
		c := Context{Book: book.Sample(), Now: evening, Open: row.open}
		if diff := cmp.Diff(row.want, r.Read(row.line, c)); diff != "" {
			t.Errorf("%q with %d open (-want +got):\n%s", row.line, len(row.open), diff)
		}
		if err := checkReading(r, row.line, c); err != nil {
			t.Error(err)
		}
	}
}
