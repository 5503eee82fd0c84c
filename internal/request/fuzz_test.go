package request

import (
	"testing"

	"ventbell/internal/book"
)

func FuzzRead(f *testing.F) {
	for _, row := range manual {
		f.Add(row.line, uint8(len(row.open)))
	}
	for _, rows := range [][]row{tradeRows, englishRows, spanishRows, frenchRows, shiftEnglish, shiftSpanish, shiftFrench} {
		for _, w := range rows {
			f.Add(w.line, uint8(len(w.open)))
		}
	}
	for _, line := range []string{
		"", "\x00", "\xff\xfe", "a", "A:", "1", "x", "+", "+1", "-1", "1/0", "1/2/3", "1.2.3", "1:2", "1:22:33+04:05", "½½", "ago", "at",
		"rest", "rest rest", "more", "as class", "2x2x2", "A A A", "in in in", "0000", "1 000 000", "@", "@A", ":a:", "<", "<@", "<@U1",
		"start \u200bpepper\ufe0f tequila", "charged a\u0301", "🅰 vented", "9999999999", "999999999 l", "1e9 ml", "start 5 l l l", "half half",
	} {
		f.Add(line, uint8(3))
	}
	readers := []*Reader{NewReader(house()), NewReader(odd()), NewReader(bar()), NewReader(book.Sample())}
	sets := [][]Open{idle, one, two, shift, late, busy, ventDue, threeOpen, labelDue, oneCharging}
	f.Fuzz(func(t *testing.T, line string, with uint8) {
		c := Context{Now: evening, Open: sets[int(with)%len(sets)]}
		if err := checkReading(readers[int(with)/len(sets)%len(readers)], line, c); err != nil {
			t.Fatal(err)
		}
	})
}
