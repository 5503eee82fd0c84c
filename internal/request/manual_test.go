package request

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

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
	one  = []Open{{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: resting, Mine: true}}
	two  = []Open{{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: resting, Mine: true}, {Batch: 2, Title: "toasted barley whisky", Vessel: "B", Phase: venting, Mine: false}}

	shift = []Open{
		{Batch: 2, Title: "toasted barley whisky", Vessel: "B", Phase: venting, Mine: false},
		{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: resting, Mine: true},
		{Batch: 3, Title: "thyme oil", Vessel: "C", Phase: loading, Mine: false},
		{Batch: 4, Title: "smoky tea rum", Vessel: "D", Phase: straining, Mine: false},
	}
	late = []Open{
		{Batch: 5, Title: "bay vodka", Vessel: "A", Phase: clearing, Mine: false},
		{Batch: 6, Title: "ginger gin", Vessel: "B", Phase: labelling, Mine: true},
		{Batch: 7, Title: "coffee rum", Vessel: "C", Phase: charging, Mine: false},
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
	r := NewReader(house())
	for _, row := range manual {
		c := Context{Book: house(), Now: evening, Open: row.open}
		got := r.Read(row.line, c)
		if got.Language != "en" {
			t.Errorf("%q is in %q", row.line, got.Language)
		}
		got.Language = ""
		if got.Problem != nil {
			got.Problem.Another, got.Problem.Meant = "", "" // checkReading looks at the one, TestWhatFoundNothingOpenIsTold at the other
		}
		if diff := cmp.Diff(row.want, got); diff != "" {
			t.Errorf("%q with %d open (-want +got):\n%s", row.line, len(row.open), diff)
		}
		if err := checkReading(r, row.line, c); err != nil {
			t.Error(err)
		}
	}
}
