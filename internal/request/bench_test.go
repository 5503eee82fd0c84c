package request

import (
	"strings"
	"testing"

	"ventbell/internal/book"
)

func BenchmarkRead(b *testing.B) {
	r := NewReader(book.Sample())
	for _, row := range []struct {
		name, line string
		open       []Open
	}{
		{"start", "start pepper tequila 500ml", idle},
		{"start all said", "start pepper tequila 500ml x2 in A 60 g rest 90 s 20 C", idle},
		{"start misspelt", "start peper tequlia 500ml", idle},
		{"start not house", "rhubarb vodka 400ml", idle},
		{"start unknown", "start dragonfruit tequila 500ml", idle},
		{"charged", "charged A 40s ago", shift},
		{"strained", "strained A 345 ok", shift},
		{"resting", "what's resting", shift},
	} {
		b.Run(row.name, func(b *testing.B) {
			c := Context{Now: evening, Open: row.open}
			b.ReportAllocs()
			for b.Loop() {
				r.Read(row.line, c)
			}
		})
	}
}

// The longest lines that are read, of what costs most.
func BenchmarkReadLongest(b *testing.B) {
	r := NewReader(book.Sample())
	for name, piece := range map[string]string{
		"one word": "a", "letters": "a ", "names": "pepper tequila ", "unknown": "peper teqiula ", "numbers": "1 1/2 ", "verbs": "charged A ",
		"counts": "2x", "spans": "1 min ", "rests": "rest 1 min ", "fractions": "half a ", "signs": "+1", "colons": ":a", "tags": "A ",
	} {
		line := strings.Repeat(piece, longest/len(piece))
		b.Run(name, func(b *testing.B) {
			c := Context{Now: evening, Open: shift}
			for b.Loop() {
				r.Read(line, c)
			}
		})
	}
}

func BenchmarkNewReader(b *testing.B) {
	sample := book.Sample()
	for b.Loop() {
		NewReader(sample)
	}
}
