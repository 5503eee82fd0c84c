package book

import (
	_ "embed"
	"slices"
	"sync"
)

//go:embed sample.yaml
var sampleYAML []byte

var sample = sync.OnceValue(func() *Book {
	b, err := Parse(sampleYAML)
	if err != nil {
		panic(err)
	}
	return b
})

// Sample gives the sample book of the scenario that the demonstration plays. It
// is parsed once and shared, so it must not be changed.
func Sample() *Book { return sample() }

// SampleYAML gives the sample book as its file.
func SampleYAML() []byte { return slices.Clone(sampleYAML) }
