package request

import (
	"strings"
	"testing"
	"time"

	"ventbell/internal/book"
)

// afternoon is when the lines of the shift are said.
var afternoon = time.Date(2026, time.November, 24, 16, 0, 0, 0, mustZone("Europe/Brussels"))

// What is open when a line of the shift is said.
var (
	oneCharging = []Open{{Batch: 1, Title: "ginger gin", Vessel: "A", Phase: charging, Mine: true}}
	ventDue     = []Open{
		{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: venting, Mine: true, Due: Vented},
		{Batch: 2, Title: "coffee rum", Vessel: "B", Phase: settling},
	}
	threeOpen = []Open{
		{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: resting, Mine: true},
		{Batch: 2, Title: "black tea vodka", Vessel: "B", Phase: resting},
		{Batch: 3, Title: "thyme oil", Vessel: "C", Phase: straining, Mine: true, Due: Strained},
	}
	labelDue = []Open{{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: labelling, Mine: true, Due: Labelled}}
)

// The lines of the shift are read with the sample book, as it stands. What else
// the book could offer beside a question is its own matter: where a row writes
// no options, only the question counts.
func TestLinesOfAShiftAreRead(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for name, rows := range map[string][]row{"english": shiftEnglish, "spanish": shiftSpanish, "french": shiftFrench} {
		right := 0
		for _, w := range rows {
			c := Context{Now: afternoon, Open: w.open}
			g := r.Read(w.line, c)
			got := brief(g)
			same := got == w.want || g.Question != nil && strings.HasPrefix(got, w.want+": ")
			if !same || g.Language != w.in {
				t.Errorf("%q in %s\n  reads as %s %s\n  and not  %s", w.line, w.in, g.Language, got, w.want)
			} else {
				right++
			}
			if err := checkReading(r, w.line, c); err != nil {
				t.Error(err)
			}
		}
		t.Logf("%s: %d of %d lines read as they should", name, right, len(rows))
	}
}
