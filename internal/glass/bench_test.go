package glass

import (
	"strings"
	"testing"

	"ventbell/internal/book"
)

func BenchmarkRead(b *testing.B) {
	for name, line := range map[string]string{
		"plain":    "60 rhubarb gin, 10 syrup 1:1, 20 lemon, stirred",
		"misspelt": "60 rhubrab gin, 10 sirup 1:1, 20 lemmon, stirred",
		"unknown":  "60 dragonfruit gin, 10 syrup 1:1, 20 lemon, stirred",
		"longest":  strings.Repeat("1 dragonfruit gin,", longestLine/len("1 dragonfruit gin,")),
	} {
		b.Run(name, func(b *testing.B) {
			sample := book.Sample()
			b.ReportAllocs()
			for b.Loop() {
				Read(line, sample)
			}
		})
	}
}

func BenchmarkSum(b *testing.B) {
	d, p := Read("60 rhubarb gin, 10 syrup 1:1, 20 lemon, stirred", book.Sample())
	if p != nil {
		b.Fatal(*p)
	}
	b.ReportAllocs()
	for b.Loop() {
		Sum(d)
	}
}
