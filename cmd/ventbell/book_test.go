package main_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"ventbell/internal/book"
)

// quickBook writes the sample book with clocks so short that a batch takes
// seconds and vessels that take that many chargers, and gives its path. Nobody
// infuses by it.
func quickBook(t *testing.T, chargers int) string {
	t.Helper()
	body := book.SampleYAML()
	for _, c := range []struct{ key, with string }{
		{"charger_limit", "charger_limit: " + strconv.Itoa(chargers)},
		{"swirl", "swirl: 1 s"},
		{"rest", "rest: {min: 1 s, target: 3 s, max: 5 min}"},
		{"settle", "settle: 1 s"},
		{"contact", "contact: 20 min"},
		{"strain_first", "strain_first: false"},
	} {
		line := regexp.MustCompile(`(?m)^    ` + c.key + `: \S.*$`)
		if !line.Match(body) {
			t.Fatalf("the sample book has no %s", c.key)
		}
		body = line.ReplaceAll(body, []byte("    "+c.with))
	}
	path := filepath.Join(t.TempDir(), "quick.yaml")
	if err := os.WriteFile(path, body, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}
