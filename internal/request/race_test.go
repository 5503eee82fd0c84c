//go:build race

package request

import (
	"flag"

	_ "pgregory.net/rapid" // for its flag
)

// Under the race detector a property takes some eight times as long, and nothing
// here runs side by side: it is checked less often there. The command line still
// says otherwise.
func init() {
	if err := flag.Set("rapid.checks", "20"); err != nil {
		panic(err)
	}
}
