package request

import (
	"fmt"
	"strings"
	"testing"
)

// row is a line that kitchens type, with what is open, and its full reading:
// the language it is in and the request as its own line (which reads back to
// the same request, and that is checked), "? code word: option | option", or
// "! code word".
type row struct {
	line string
	open []Open
	in   string
	want string
}

// brief writes a reading as the rows do.
func brief(g Reading) string {
	switch {
	case g.Request != nil:
		return g.Request.String()
	case g.Question != nil:
		var lines []string
		for _, o := range g.Question.Options {
			lines = append(lines, o.Line)
		}
		return fmt.Sprintf("? %s %s: %s", g.Question.Code, g.Question.Word, strings.Join(lines, " | "))
	}
	return strings.TrimRight(fmt.Sprintf("! %s %s", g.Problem.Code, g.Problem.Word), " ")
}

func TestLinesOfTheTradeAreRead(t *testing.T) {
	t.Parallel()
	r := NewReader(bar())
	for name, rows := range map[string][]row{"trade": tradeRows, "english": englishRows, "spanish": spanishRows, "french": frenchRows} {
		right := 0
		for _, w := range rows {
			c := Context{Now: evening, Open: w.open}
			g := r.Read(w.line, c)
			if got := brief(g); got != w.want || g.Language != w.in {
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
