package request

import (
	"slices"
	"strings"
	"testing"
	"time"
)

func BenchmarkRead(b *testing.B) {
	r := NewReader(house())
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
		{"spanish start", "empieza tequila de chile 500ml", idle},
		{"spanish step", "colado A 345", shift},
		{"spanish question", "cuántas cápsulas quedan", shift},
		{"french start", "lance un gin à la rhubarbe 40 cl", idle},
		{"french step", "vidé A il y a 2 min", shift},
		{"french question", "il reste combien sur C", shift},
		{"emergency", "my hand is burned", shift},
		{"more gas", "I put 2 more in A by mistake", shift},
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

// The lines of the trade in each language, one after the other.
func BenchmarkReadTypical(b *testing.B) {
	r := NewReader(bar())
	for name, rows := range map[string][]row{"trade": tradeRows, "english": englishRows, "spanish": spanishRows, "french": frenchRows} {
		b.Run(name, func(b *testing.B) {
			var took []time.Duration
			for b.Loop() {
				for _, w := range rows {
					from := time.Now()
					r.Read(w.line, Context{Now: evening, Open: w.open})
					took = append(took, time.Since(from))
				}
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)/2].Nanoseconds()), "ns/median-line")
			b.ReportMetric(float64(took[len(took)*95/100].Nanoseconds()), "ns/p95-line")
		})
	}
}

// The longest lines that are read, of what costs most.
func BenchmarkReadLongest(b *testing.B) {
	r := NewReader(house())
	for name, piece := range map[string]string{
		"one word": "a", "letters": "a ", "names": "pepper tequila ", "unknown": "peper teqiula ", "numbers": "1 1/2 ", "verbs": "charged A ",
		"glued": "1mla", "done": "done ", "gas": "put 2 more ", "days": "for friday ", "elided": "l'a ", "spelled": "trois cent ", "counts": "2x", "spans": "1 min ", "rests": "rest 1 min ", "fractions": "half a ", "signs": "+1", "colons": ":a", "tags": "A ",
		// As many words as are read at all.
		"long words": "pepertequiliaxy ", "long names": "lemongrassvodka ", "long numbers": "1 charged the A, ",
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

// A line that makes no sense as one is read again in parts.
func BenchmarkReadInParts(b *testing.B) {
	r := NewReader(house())
	for name, line := range map[string]string{
		"two requests": "start ginger gin 400 and bay vodka 300", "correction": "ginger gin 400 no wait 300", "nothing": strings.Repeat("strawbery, no wait hazlenut ", 4),
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				r.Read(line, Context{Now: evening})
			}
		})
	}
}

func BenchmarkNewReader(b *testing.B) {
	sample := house()
	for b.Loop() {
		NewReader(sample)
	}
}
